"""Solid rivets: names both ways, diameter, length, shop head, drill, edge and pitch, rows, joints.

Diameters are named in 32nds of an inch and lengths in 16ths, as the part number does.
"""

import math
import re
from typing import Literal

from kiosk.numbers.drills import LETTER_DRILL_IN, NUMBER_DRILL_IN
from kiosk.numbers.result import Answer, OutOfRange, Quantity, calculator, require

# Diameter in 32nds -> drill. Sizes from a naval manual and a 1940s repair manual; decimals standard series.
RIVET_DRILL: dict[int, str] = {2: "#51", 3: "#40", 4: "#30", 5: "#21", 6: "#11", 8: "F"}
# Diameter in 32nds -> nominal hole in inches (MIL-HDBK-5, from memory, high; recovered from AC 43.13-1B
# Table 4-10, whose every cell they reproduce).
NOMINAL_HOLE_IN: dict[int, float] = {3: 0.096, 4: 0.1285, 5: 0.159, 6: 0.191, 8: 0.257}

HEADS = {"20470": "universal head", "20426": "100 degree countersunk head"}
# Alloy letters -> alloy and the mark on the head (FAA-H-8083-31 ch. 4).
ALLOYS = {
    "A": ("1100", "plain"),
    "AD": ("2117-T", "dimple"),
    "D": ("2017-T", "raised dot"),
    "DD": ("2024-T", "two raised dashes"),
    "B": ("5056", "raised cross"),
}
SHEAR_AD_PSI = 30_000  # driven 2117-T3, on the nominal hole's area (MIL-HDBK-5)
SHEET_BEARING_PSI = 60_000  # ultimate of the sheet in AC 43.13-1B Table 4-10
_CODE = re.compile(
    r"^(?:MS|AN)?\s*(?P<head>20470|20426|470|426)\s*(?P<alloy>AD|DD|A|B|D)\s*(?P<diameter>\d+)"
    r"\s*-\s*(?P<length>\d+(?:\.5|-5)?)$"
)


def drill_in(name: str) -> float:
    """Decimal inches of a drill named ``#30`` or ``F``."""
    return NUMBER_DRILL_IN[int(name[1:])] if name.startswith("#") else LETTER_DRILL_IN[name]


def size_of(diameter_in: float) -> int:
    """Diameter in 32nds. Raises OutOfRange when no rivet is made so."""
    size = round(diameter_in * 32)
    if size not in RIVET_DRILL or abs(diameter_in * 32 - size) > 0.05:
        raise OutOfRange(f"no rivet of {diameter_in:g} in here", "use 1/16, 3/32, 1/8, 5/32, 3/16 or 1/4")
    return size


@calculator(
    subject="rivets",
    title="Rivet",
    unit="",
    formula="head number, alloy letters, diameter in 32nds, dash length in 16ths",
    source="AC 43.13-1B ch. 4 (rivet identification); FAA-H-8083-31 ch. 4 (head marks)",
    holds="MS20470 and MS20426 (and the AN470, AN426 they replace)",
)
def rivet_name(code: str) -> Answer:
    """What a rivet's part number means."""
    match = _CODE.match(code.strip().upper())
    if match is None:
        raise OutOfRange(f"{code!r} is no rivet number here", "write it like MS20470AD4-4")
    head = match["head"].rjust(5, "_").replace("__", "20")  # AN470 became MS20470
    size = int(match["diameter"])
    require(size in RIVET_DRILL, f"no rivet is {size}/32 in thick", "the first number counts 32nds")
    length = float(match["length"].replace("-5", ".5")) / 16
    alloy, mark = ALLOYS[match["alloy"]]
    more = (
        Quantity(name="diameter", value=size / 32, unit="in"),
        Quantity(name="length", value=length, unit="in"),
        Quantity(name="alloy", value=alloy),
        Quantity(name="mark on the head", value=mark),
        Quantity(name="drill", value=RIVET_DRILL[size]),
    )
    counted = "overall, head included" if head == "20426" else "under the head"
    return Answer(f"{HEADS[head]}, {alloy}", more, (f"The length is {counted}.",))


@calculator(
    subject="rivets",
    title="Rivet number",
    unit="",
    formula="MS20470 or MS20426, alloy letters, diameter in 32nds, dash length in 16ths",
    source="AC 43.13-1B ch. 4 (rivet identification)",
    holds="lengths 1/8 to 2 in",
)
def rivet_code(
    diameter_in: float,
    length_in: float,
    alloy: Literal["A", "AD", "D", "DD", "B"] = "AD",
    head: Literal["universal", "countersunk"] = "universal",
) -> Answer:
    """The part number of the rivet that is needed."""
    size = size_of(diameter_in)
    dash = length_in * 16
    require(
        2 <= dash <= 32 and abs(dash * 2 - round(dash * 2)) < 0.05,
        f"length {length_in:g} in is no standard step",
        "lengths go by 1/16, half steps by 1/32",
    )
    half = round(dash * 2) % 2
    text = f"{round(dash * 2) // 2}" + (".5" if half else "")
    number = "20470" if head == "universal" else "20426"
    return Answer(f"MS{number}{alloy}{size}-{text}")


@calculator(
    subject="rivets",
    title="Rivet diameter",
    unit="in",
    formula="the next standard size at or above three times the thickest sheet",
    source="AC 43.13-1B ch. 4 splice example (about 3 T); naval manual (1 to 3 T, 3/32 or more)",
    holds="a suggestion: the plans say which rivet",
)
def rivet_diameter(thickest_sheet_in: float) -> Answer:
    """A suggested diameter in inches, and the bounds a naval manual gives."""
    require(0 < thickest_sheet_in <= 0.25 / 3 + 1e-9, "no rivet here is thick enough", "ask the designer")
    sizes = [size for size in RIVET_DRILL if size >= 3]
    size = next(one for one in sizes if one / 32 >= 3 * thickest_sheet_in - 1e-9)
    more = (
        Quantity(name="at least", value=max(thickest_sheet_in, 3 / 32), unit="in"),
        Quantity(name="three times the sheet", value=3 * thickest_sheet_in, unit="in"),
    )
    return Answer(size / 32, more)


@calculator(
    subject="rivets",
    title="Rivet length",
    unit="in",
    formula="grip + 1.5 x diameter, rounded up to the next 1/16",
    source="naval structural-mechanic manual (1-1/2 D + G = L); next standard length greater than the sum",
    holds="protruding heads, diameters 1/16 to 1/4",
)
def rivet_length(grip_in: float, diameter_in: float) -> Answer:
    """Length in inches of a solid rivet for a grip, in steps of 1/16."""
    size = size_of(diameter_in)
    require(0 < grip_in <= 1.0, f"grip {grip_in} in is outside 0 to 1 in", "add up the sheets under the head")
    wanted = grip_in + 1.5 * diameter_in
    sixteenths = math.ceil(wanted * 16 - 1e-9)
    drill = RIVET_DRILL[size]
    more = (
        Quantity(name="exact sum", value=wanted, unit="in"),
        Quantity(name="dash length", value=sixteenths),
        Quantity(name="drill", value=f"{drill} ({drill_in(drill):.4f} in)"),
        Quantity(name="shop head wide", value=1.5 * diameter_in, unit="in"),
        Quantity(name="shop head high", value=0.5 * diameter_in, unit="in"),
    )
    short = wanted - (sixteenths - 1) / 16
    warnings = (
        (f"-{sixteenths - 1} is only {short:.4f} in short: try both on scrap.",) if 0 < short < 0.005 else ()
    )
    return Answer(sixteenths / 16, more, warnings)


@calculator(
    subject="rivets",
    title="Shop head, go and no-go",
    unit="in",
    formula="at least 1.3 diameters wide and 0.3 high; aim at 1.5 wide and 0.5 high",
    source="MIL-HDBK-5H p. 8-9 (limits); FAA-H-8083-31 ch. 4 (1.5 wide, 0.5 high)",
    holds="solid rivets in aluminium",
)
def shop_head(diameter_in: float) -> Answer:
    """Least width in inches of a shop head; the other limits for a gauge beside it."""
    size_of(diameter_in)
    more = (
        Quantity(name="aim at wide", value=1.5 * diameter_in, unit="in"),
        Quantity(name="aim at high", value=0.5 * diameter_in, unit="in"),
        Quantity(name="least high", value=0.3 * diameter_in, unit="in"),
    )
    return Answer(1.3 * diameter_in, more)


@calculator(
    subject="rivets",
    title="Edge distance and pitch",
    unit="in",
    formula="edge 2 diameters (2.5 flush) to 4; pitch 3 to 10, usual 4 to 8; rows 2.5 apart",
    source="naval structural-mechanic manual; AC 43.13-1B ch. 4 (edge 2 D); trade practice (upper ends)",
    holds="the plans' spacing wins",
)
def rivet_spacing(diameter_in: float, head: Literal["universal", "countersunk"] = "universal") -> Answer:
    """Least edge distance in inches, and the limits of the pitch beside it."""
    size_of(diameter_in)
    edge = 2.0 if head == "universal" else 2.5
    more = (
        Quantity(name="edge at most", value=4 * diameter_in, unit="in"),
        Quantity(name="pitch at least", value=3 * diameter_in, unit="in"),
        Quantity(name="pitch usual from", value=4 * diameter_in, unit="in"),
        Quantity(name="pitch usual to", value=8 * diameter_in, unit="in"),
        Quantity(name="pitch at most", value=10 * diameter_in, unit="in"),
        Quantity(name="between rows", value=2.5 * diameter_in, unit="in"),
        Quantity(name="least overlap, two rows", value=(2 * edge + 2.5) * diameter_in, unit="in"),
    )
    return Answer(edge * diameter_in, more)


@calculator(
    subject="rivets",
    title="Row pitch",
    unit="in",
    formula="(length - both ends) / number of spaces; from a wanted pitch, the spaces are rounded up",
    source="plain division; limits as for edge distance and pitch",
    holds="a straight row with equal pitch",
)
def rivet_row(
    length_in: float, end_in: float, diameter_in: float, wanted_pitch_in: float = 0.0, count: int = 0
) -> Answer:
    """Pitch in inches of a row between its ends, from a count or from a wanted pitch."""
    size_of(diameter_in)
    span = length_in - 2 * end_in
    require(span > 0, "the ends take up the whole row", "check the length")
    require((wanted_pitch_in > 0) != (count > 0), "give a count or a pitch, one of the two", "drop one")
    require(count != 1, "a row needs two rivets or more", "give 2 or more")
    spaces = count - 1 if count else math.ceil(span / wanted_pitch_in - 1e-9)
    pitch = span / spaces
    warnings = []
    if pitch < 3 * diameter_in - 1e-9:
        warnings.append("Closer than 3 diameters: use fewer.")
    if pitch > 10 * diameter_in + 1e-9:
        warnings.append("Wider than 10 diameters: use more.")
    if end_in < 2 * diameter_in - 1e-9:
        warnings.append("The end distance is under 2 diameters.")
    return Answer(pitch, (Quantity(name="rivets", value=spaces + 1),), tuple(warnings))


@calculator(
    subject="rivets",
    title="Flush rivet",
    unit="",
    formula="machine countersink where the sheet is as thick as the head; else dimple (sheet to .040)",
    source="US Army manual countersink table (3/32: .040, 1/8: .050); AC 65-15A ch. 5 (dimple to .040)",
    holds="100 degree heads, 3/32 and 1/8; a knife edge is not allowed",
)
def flush_rivet(thickness_in: float, diameter_in: float) -> Answer:
    """Countersink or dimple, by sheet thickness."""
    least = {3: 0.040, 4: 0.050}.get(size_of(diameter_in))
    if least is None:
        raise OutOfRange("no countersink limit is tabulated for this size", "ask the designer")
    more = (Quantity(name="countersink from", value=least, unit="in"),)
    if thickness_in >= least - 1e-9:
        return Answer("countersink", more)
    require(thickness_in > 0, "the sheet has no thickness", "measure it")
    return Answer("dimple", more)


def rivets_per_inch(thickness_in: float, size: int) -> float:
    """AD protruding rivets for each inch of width in one row of splice, as AC 43.13-1B Table 4-10 gives them.

    The sheet's 60 ksi over the rivet's 30 ksi shear on the nominal hole, but never fewer than 1 / 1.6 holes.
    Derived: reproduces all printed cells within 0.07.
    """
    hole = NOMINAL_HOLE_IN[size]
    return max(thickness_in * SHEET_BEARING_PSI / (SHEAR_AD_PSI * math.pi / 4 * hole**2), 1 / (1.6 * hole))


@calculator(
    subject="rivets",
    title="Rivets in a splice",
    unit="rivets",
    formula="width x rivets an inch (Table 4-10) x 0.75 for a single lap joint, rounded up",
    source="AC 43.13-1B Table 4-10 and its note c, page 4-27 example",
    holds="2017, clad 2017 and clad 2024-T3 with AD rivets; a repair rule, the plans come first",
)
def splice_rivets(
    thickness_in: float, width_in: float, diameter_in: float, single_lap: Literal["yes", "no"] = "yes"
) -> Answer:
    """How many rivets on each side of a splice."""
    size = size_of(diameter_in)
    require(size in NOMINAL_HOLE_IN, "this size is not in the table", "use 3/32 to 1/4")
    require(0.016 <= thickness_in <= 0.128, f"sheet {thickness_in} in is not in the table", ".016 to .128")
    each = rivets_per_inch(thickness_in, size)
    share = 0.75 if single_lap == "yes" else 1.0
    count = math.ceil(width_in * round(each, 1) * share - 1e-9)
    return Answer(count, (Quantity(name="an inch, from the table", value=each),))


@calculator(
    subject="rivets",
    title="Shear of a joint",
    unit="lb",
    formula="rivets x 30,000 psi x area of the nominal hole",
    source="MIL-HDBK-5 (driven 2117-T3 on the nominal hole's area); sheet bearing is not checked here",
    holds="AD rivets in single shear",
)
def joint_shear(count: int, diameter_in: float) -> Answer:
    """Ultimate shear in pounds of the rivets of a joint."""
    size = size_of(diameter_in)
    require(size in NOMINAL_HOLE_IN, "this size is not in the table", "use 3/32 to 1/4")
    require(count >= 1, "no rivet carries nothing", "give a count")
    each = SHEAR_AD_PSI * math.pi / 4 * NOMINAL_HOLE_IN[size] ** 2
    return Answer(count * each, (Quantity(name="each", value=each, unit="lb"),))


@calculator(
    subject="rivets",
    title="Deepest chamfer when deburring a hole",
    unit="in",
    formula="a tenth of the sheet, and no more than .032",
    source="MIL-R-47196A",
    holds="rivet holes in sheet",
)
def deburr_limit(thickness_in: float) -> Answer:
    """Deepest chamfer in inches."""
    require(thickness_in > 0, "the sheet has no thickness", "measure it")
    return Answer(min(thickness_in / 10, 0.032))


# AC 43.13-1B Table 7-1, inch-pounds, cadmium-plated steel, oil-free threads: low, high, most.
_TORQUE = {
    ("8-36", "tension"): (12, 15, 20),
    ("8-36", "shear"): (7, 9, 12),
    ("10-32", "tension"): (20, 25, 40),
    ("10-32", "shear"): (12, 15, 25),
}


@calculator(
    subject="rivets",
    title="Bolt torque",
    unit="in-lb",
    formula="the middle of the table's range, plus the friction drag of a locking nut",
    source="AC 43.13-1B Table 7-1",
    holds="8-36 and 10-32 (AN3), cadmium-plated, oil-free; the plans come first",
)
def bolt_torque(
    thread: Literal["8-36", "10-32"], nut: Literal["tension", "shear"] = "tension", drag_in_lb: float = 0.0
) -> Answer:
    """Torque to set in inch-pounds, drag included; the table's range beside it."""
    low, high, most = _TORQUE[(thread, nut)]
    require(0 <= drag_in_lb < most, "the drag is more than the bolt may have", "use another nut")
    more = (
        Quantity(name="table low", value=low, unit="in-lb"),
        Quantity(name="table high", value=high, unit="in-lb"),
        Quantity(name="table most", value=most, unit="in-lb"),
    )
    return Answer((low + high) / 2 + drag_in_lb, more, ("Add the drag of the nut you have in hand.",))
