"""Solid rivets: names both ways, diameter, length, shop head, drill, edge and pitch, rows, joints.

Diameters are named in 32nds of an inch and lengths in 16ths, as the part number does.
"""

import math
import re
from dataclasses import dataclass
from typing import Literal

from kiosk.numbers.drills import LETTER_DRILL_IN, NUMBER_DRILL_IN
from kiosk.numbers.result import OutOfRange, Result, calculator, figure, require

__all__ = [
    "BoltTorque",
    "DeburrLimit",
    "FlushRivet",
    "JointShear",
    "RivetCode",
    "RivetDiameter",
    "RivetGrip",
    "RivetLength",
    "RivetName",
    "RivetRow",
    "RivetSpacing",
    "ShopHead",
    "SpliceRivets",
    "bolt_torque",
    "deburr_limit",
    "flush_rivet",
    "joint_shear",
    "rivet_code",
    "rivet_diameter",
    "rivet_grip",
    "rivet_length",
    "rivet_name",
    "rivet_row",
    "rivet_spacing",
    "shop_head",
    "splice_rivets",
]

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
        raise OutOfRange(
            f"no rivet of {diameter_in:g} in here", "use 1/16, 3/32, 1/8, 5/32, 3/16 or 1/4", "diameter_in"
        )
    return size


@dataclass(frozen=True, kw_only=True)
class RivetName(Result):
    """What a rivet is: its head and alloy, its size, the mark on it and the drill for it."""

    rivet: str
    diameter_in: float
    length_in: float
    alloy: str
    mark: str = figure("mark on the head")
    drill: str


@calculator(
    subject="rivets",
    title="Rivet",
    formula="head number, alloy letters, diameter in 32nds, dash length in 16ths",
    source="AC 43.13-1B ch. 4 (rivet identification); FAA-H-8083-31 ch. 4 (head marks)",
    holds="MS20470 and MS20426 (and the AN470, AN426 they replace)",
)
def rivet_name(code: str) -> RivetName:
    """What a rivet's part number means.

    Parameters
    ----------
    code : str
        A part number such as ``MS20470AD4-4``; ``AN470AD4-4``, ``470AD4-4`` and half lengths
        (``MS20470AD4-3.5``) are read too.

    Returns
    -------
    RivetName
        ``rivet`` is its head and alloy in words, ``mark`` what its head carries [2]_, ``diameter_in`` and
        ``length_in`` its size [1]_, and ``drill`` the size to drill. A warning says how the length is
        counted.

    Raises
    ------
    OutOfRange
        When the number cannot be read or no rivet is made so.

    References
    ----------
    .. [1] FAA AC 43.13-1B, chapter 4, rivet identification.
    .. [2] FAA-H-8083-31, chapter 4, rivet head marks.

    Examples
    --------
    >>> worked = rivet_name("MS20470AD4-4")
    >>> worked.rivet, worked.diameter_in, worked.length_in, worked.mark, worked.drill
    ('universal head, 2117-T', 0.125, 0.25, 'dimple', '#30')
    """
    match = _CODE.match(code.strip().upper())
    if match is None:
        raise OutOfRange(f"{code!r} is no rivet number here", "write it like MS20470AD4-4", "code")
    head = match["head"].rjust(5, "_").replace("__", "20")  # AN470 became MS20470
    size = int(match["diameter"])
    require(size in RIVET_DRILL, "code", f"no rivet is {size}/32 in thick", "the first number counts 32nds")
    alloy, mark = ALLOYS[match["alloy"]]
    counted = "overall, head included" if head == "20426" else "under the head"
    return RivetName(
        rivet=f"{HEADS[head]}, {alloy}",
        diameter_in=size / 32,
        length_in=float(match["length"].replace("-5", ".5")) / 16,
        alloy=alloy,
        mark=mark,
        drill=RIVET_DRILL[size],
        warnings=(f"The length is {counted}.",),
    )


@dataclass(frozen=True, kw_only=True)
class RivetCode(Result):
    """The part number of a rivet."""

    code: str


@calculator(
    subject="rivets",
    title="Rivet number",
    formula="MS20470 or MS20426, alloy letters, diameter in 32nds, dash length in 16ths",
    source="AC 43.13-1B ch. 4 (rivet identification)",
    holds="lengths 1/8 to 2 in",
)
def rivet_code(
    diameter_in: float,
    length_in: float,
    alloy: Literal["A", "AD", "D", "DD", "B"] = "AD",
    head: Literal["universal", "countersunk"] = "universal",
) -> RivetCode:
    """The part number of the rivet that is needed.

    Parameters
    ----------
    diameter_in : float
        Diameter of the shank in inches: 1/16, 3/32, 1/8, 5/32, 3/16 or 1/4.
    length_in : float
        Length in inches, 1/8 to 2, in steps of 1/32; under the head, or overall when it is countersunk.
    alloy : {'A', 'AD', 'D', 'DD', 'B'}, default 'AD'
        Letters of the alloy: 1100, 2117-T, 2017-T, 2024-T, 5056.
    head : {'universal', 'countersunk'}, default 'universal'
        Shape of the manufactured head; countersunk is 100 degrees.

    Returns
    -------
    RivetCode
        ``code``, such as ``MS20470AD4-4`` [1]_.

    Raises
    ------
    OutOfRange
        When no rivet is made so.

    References
    ----------
    .. [1] FAA AC 43.13-1B, chapter 4, rivet identification.

    Examples
    --------
    >>> rivet_code(1 / 8, 7 / 32).code
    'MS20470AD4-3.5'
    """
    size = size_of(diameter_in)
    dash = length_in * 16
    require(
        2 <= dash <= 32 and abs(dash * 2 - round(dash * 2)) < 0.05,
        "length_in",
        f"length {length_in:g} in is no standard step",
        "lengths go by 1/16, half steps by 1/32",
    )
    half = round(dash * 2) % 2
    text = f"{round(dash * 2) // 2}" + (".5" if half else "")
    number = "20470" if head == "universal" else "20426"
    return RivetCode(code=f"MS{number}{alloy}{size}-{text}")


@dataclass(frozen=True, kw_only=True)
class RivetDiameter(Result):
    """A suggested diameter, and the bounds around it."""

    diameter_in: float
    least_in: float = figure("at least")
    three_sheets_in: float = figure("three times the sheet")


@calculator(
    subject="rivets",
    title="Rivet diameter",
    formula="the next standard size at or above three times the thickest sheet",
    source="AC 43.13-1B ch. 4 splice example (about 3 T); naval manual (1 to 3 T, 3/32 or more)",
    holds="a suggestion: the plans say which rivet",
)
def rivet_diameter(thickest_sheet_in: float) -> RivetDiameter:
    """A diameter to suggest for the thickest sheet of a joint.

    Parameters
    ----------
    thickest_sheet_in : float
        Thickness of the thickest sheet in inches, above 0 to 0.083 (a third of the largest rivet here).

    Returns
    -------
    RivetDiameter
        ``diameter_in`` is the next standard size at or above ``three_sheets_in`` [1]_; ``least_in`` is the
        lower bound of a naval manual [2]_.

    Raises
    ------
    OutOfRange
        When three times the sheet is more than 1/4 in, or it has no thickness.

    References
    ----------
    .. [1] FAA AC 43.13-1B, chapter 4, splice example (about three times the sheet).
    .. [2] Naval structural-mechanic manual: one to three times the thickest sheet, 3/32 or more.

    Examples
    --------
    >>> rivet_diameter(0.032).diameter_in
    0.125
    """
    require(
        0 < thickest_sheet_in <= 0.25 / 3 + 1e-9,
        "thickest_sheet_in",
        "no rivet here is thick enough",
        "ask the designer",
    )
    sizes = [size for size in RIVET_DRILL if size >= 3]
    size = next(one for one in sizes if one / 32 >= 3 * thickest_sheet_in - 1e-9)
    return RivetDiameter(
        diameter_in=size / 32,
        least_in=max(thickest_sheet_in, 3 / 32),
        three_sheets_in=3 * thickest_sheet_in,
    )


@dataclass(frozen=True, kw_only=True)
class RivetLength(Result):
    """The length to order, the sum it is rounded up from, the drill and the shop head to aim at."""

    length_in: float
    exact_sum_in: float
    dash_length: int
    drill: str
    shop_head_wide_in: float
    shop_head_high_in: float


@calculator(
    subject="rivets",
    title="Rivet length",
    formula="grip + 1.5 x diameter, rounded up to the next 1/16",
    source="naval structural-mechanic manual (1-1/2 D + G = L); next standard length greater than the sum",
    holds="protruding heads, diameters 1/16 to 1/4",
)
def rivet_length(grip_in: float, diameter_in: float) -> RivetLength:
    """Length of a solid rivet for a grip, in steps of 1/16.

    Parameters
    ----------
    grip_in : float
        All sheets under the head added up, in inches, above 0 to 1.
    diameter_in : float
        Diameter of the shank in inches: 1/16, 3/32, 1/8, 5/32, 3/16 or 1/4.

    Returns
    -------
    RivetLength
        ``length_in`` is ``exact_sum_in`` rounded up to the next 1/16 [1]_, ``dash_length`` the same in 16ths.
        A warning says when the next shorter rivet is only a hair short.

    Raises
    ------
    OutOfRange
        When the grip is outside its range or no rivet is of this diameter.

    References
    ----------
    .. [1] Naval structural-mechanic manual, 1-1/2 D + G = L.

    Examples
    --------
    Two sheets of .0625 and a 3/32 rivet:

    >>> worked = rivet_length(0.125, 3 / 32)
    >>> round(worked.exact_sum_in, 4), worked.dash_length, worked.drill
    (0.2656, 5, '#40 (0.0980 in)')
    """
    size = size_of(diameter_in)
    require(
        0 < grip_in <= 1.0,
        "grip_in",
        f"grip {grip_in} in is outside 0 to 1 in",
        "add up the sheets under the head",
    )
    wanted = grip_in + 1.5 * diameter_in
    sixteenths = math.ceil(wanted * 16 - 1e-9)
    drill = RIVET_DRILL[size]
    short = wanted - (sixteenths - 1) / 16
    warnings = (
        (f"-{sixteenths - 1} is only {short:.4f} in short: try both on scrap.",) if 0 < short < 0.005 else ()
    )
    return RivetLength(
        length_in=sixteenths / 16,
        exact_sum_in=wanted,
        dash_length=sixteenths,
        drill=f"{drill} ({drill_in(drill):.4f} in)",
        shop_head_wide_in=1.5 * diameter_in,
        shop_head_high_in=0.5 * diameter_in,
        warnings=warnings,
    )


@dataclass(frozen=True, kw_only=True)
class RivetGrip(Result):
    """What a rivet has to hold together."""

    grip_in: float


@calculator(
    subject="rivets",
    title="Grip",
    formula="the sheets under the head, added up",
    source="FAA-H-8083-31 ch. 4 (grip: the total thickness of the sheets to be joined)",
    holds="sheets that lie flat on each other",
)
def rivet_grip(sheets_in: tuple[float, ...]) -> RivetGrip:
    """Grip of a rivet: the total thickness that it goes through.

    Parameters
    ----------
    sheets_in : tuple of float
        Thickness of each sheet under the head in inches, above 0 to 0.26. One at least.

    Returns
    -------
    RivetGrip
        ``grip_in`` is their sum [1]_.

    Raises
    ------
    OutOfRange
        When there is no sheet, or one is outside its range.

    References
    ----------
    .. [1] FAA-H-8083-31, chapter 4, rivet length: the total grip is the thickness of the sheets joined.

    Examples
    --------
    >>> round(rivet_grip((0.025, 0.032)).grip_in, 3)
    0.057
    """
    require(len(sheets_in) >= 1, "sheets_in", "there is no sheet to hold", "give each sheet's thickness")
    for sheet in sheets_in:
        require(0 < sheet <= 0.26, "sheets_in", f"sheet {sheet} in is outside 0 to 0.26 in", "measure it")
    return RivetGrip(grip_in=sum(sheets_in))


@dataclass(frozen=True, kw_only=True)
class ShopHead(Result):
    """The least a shop head may measure, and what to aim at."""

    least_wide_in: float
    aim_at_wide_in: float
    aim_at_high_in: float
    least_high_in: float


@calculator(
    subject="rivets",
    title="Shop head, go and no-go",
    formula="at least 1.3 diameters wide and 0.3 high; aim at 1.5 wide and 0.5 high",
    source="MIL-HDBK-5H p. 8-9 (limits); FAA-H-8083-31 ch. 4 (1.5 wide, 0.5 high)",
    holds="solid rivets in aluminium",
)
def shop_head(diameter_in: float) -> ShopHead:
    """Sizes of a shop head for a go and no-go gauge.

    Parameters
    ----------
    diameter_in : float
        Diameter of the shank in inches: 1/16, 3/32, 1/8, 5/32, 3/16 or 1/4.

    Returns
    -------
    ShopHead
        ``least_wide_in`` and ``least_high_in`` are the limits [1]_, ``aim_at_wide_in`` and ``aim_at_high_in``
        the usual head [2]_.

    Raises
    ------
    OutOfRange
        When no rivet is of this diameter.

    References
    ----------
    .. [1] MIL-HDBK-5H, page 8-9.
    .. [2] FAA-H-8083-31, chapter 4, shop head 1.5 diameters wide and 0.5 high.
    """
    size_of(diameter_in)
    return ShopHead(
        least_wide_in=1.3 * diameter_in,
        aim_at_wide_in=1.5 * diameter_in,
        aim_at_high_in=0.5 * diameter_in,
        least_high_in=0.3 * diameter_in,
    )


@dataclass(frozen=True, kw_only=True)
class RivetSpacing(Result):
    """The least and the most edge distance and pitch, and the room that rows need."""

    least_edge_in: float
    most_edge_in: float = figure("edge at most")
    least_pitch_in: float = figure("pitch at least")
    usual_pitch_from_in: float = figure("pitch usual from")
    usual_pitch_to_in: float = figure("pitch usual to")
    most_pitch_in: float = figure("pitch at most")
    between_rows_in: float
    least_overlap_in: float = figure("least overlap, two rows")


@calculator(
    subject="rivets",
    title="Edge distance and pitch",
    formula="edge 2 diameters (2.5 flush) to 4; pitch 3 to 10, usual 4 to 8; rows 2.5 apart",
    source="naval structural-mechanic manual; AC 43.13-1B ch. 4 (edge 2 D); trade practice (upper ends)",
    holds="the plans' spacing wins",
)
def rivet_spacing(
    diameter_in: float, head: Literal["universal", "countersunk"] = "universal"
) -> RivetSpacing:
    """Least edge distance, and the limits of the pitch.

    Parameters
    ----------
    diameter_in : float
        Diameter of the shank in inches: 1/16, 3/32, 1/8, 5/32, 3/16 or 1/4.
    head : {'universal', 'countersunk'}, default 'universal'
        Shape of the manufactured head; countersunk is 100 degrees.

    Returns
    -------
    RivetSpacing
        ``least_edge_in`` from a rivet's centre to the sheet's edge [2]_, the limits of the pitch and the
        distance of rows [1]_. The upper ends are trade practice [3]_.

    Raises
    ------
    OutOfRange
        When no rivet is of this diameter.

    References
    ----------
    .. [1] Naval structural-mechanic manual, rivet spacing.
    .. [2] FAA AC 43.13-1B, chapter 4, edge distance of two diameters.
    .. [3] Trade practice (common practice, no source).

    Examples
    --------
    >>> worked = rivet_spacing(1 / 8)
    >>> worked.least_edge_in, worked.least_pitch_in, worked.least_overlap_in
    (0.25, 0.375, 0.8125)
    """
    size_of(diameter_in)
    edge = 2.0 if head == "universal" else 2.5
    return RivetSpacing(
        least_edge_in=edge * diameter_in,
        most_edge_in=4 * diameter_in,
        least_pitch_in=3 * diameter_in,
        usual_pitch_from_in=4 * diameter_in,
        usual_pitch_to_in=8 * diameter_in,
        most_pitch_in=10 * diameter_in,
        between_rows_in=2.5 * diameter_in,
        least_overlap_in=(2 * edge + 2.5) * diameter_in,
    )


@dataclass(frozen=True, kw_only=True)
class RivetRow(Result):
    """The pitch of a row, and how many rivets are in it."""

    pitch_in: float
    rivets: int


@calculator(
    subject="rivets",
    title="Row pitch",
    formula="(length - both ends) / number of spaces; from a wanted pitch, the spaces are rounded up",
    source="plain division; limits as for edge distance and pitch",
    holds="a straight row with equal pitch",
)
def rivet_row(
    length_in: float, end_in: float, diameter_in: float, wanted_pitch_in: float = 0.0, count: int = 0
) -> RivetRow:
    """Pitch of a row between its ends, from a count or from a wanted pitch.

    Parameters
    ----------
    length_in : float
        Length of the row's flange or strip from end to end in inches, above both end distances.
    end_in : float
        From each end to the centre of the first and last rivet, in inches.
    diameter_in : float
        Diameter of the shank in inches: 1/16, 3/32, 1/8, 5/32, 3/16 or 1/4.
    wanted_pitch_in : float, default 0
        The largest pitch wanted, in inches; 0 when a count is given.
    count : int, default 0
        How many rivets, 2 or more; 0 when a pitch is given.

    Returns
    -------
    RivetRow
        ``pitch_in`` from centre to centre, and how many ``rivets`` [1]_. Warnings say when the pitch or the
        end distance is outside the usual limits [2]_.

    Raises
    ------
    OutOfRange
        When an input is outside its range, or not exactly one of count and pitch is given.

    References
    ----------
    .. [1] Plain division; from a wanted pitch, the spaces are rounded up.
    .. [2] The limits of ``rivet_spacing``: pitch 3 to 10 diameters, end distance 2 or more.

    Examples
    --------
    >>> worked = rivet_row(25, 0.5, 1 / 8, wanted_pitch_in=1.0)
    >>> worked.pitch_in, worked.rivets
    (1.0, 25)
    """
    size_of(diameter_in)
    span = length_in - 2 * end_in
    require(span > 0, "length_in", "the ends take up the whole row", "check the length")
    require(
        wanted_pitch_in > 0 or count > 0,
        "wanted_pitch_in",
        "neither a count nor a pitch is given",
        "give one of the two",
    )
    require(
        not (wanted_pitch_in > 0 and count > 0),
        "count",
        "a count and a pitch are both given",
        "drop one of the two",
    )
    require(count != 1, "count", "a row needs two rivets or more", "give 2 or more")
    spaces = count - 1 if count else math.ceil(span / wanted_pitch_in - 1e-9)
    pitch = span / spaces
    warnings = []
    if pitch < 3 * diameter_in - 1e-9:
        warnings.append("Closer than 3 diameters: use fewer.")
    if pitch > 10 * diameter_in + 1e-9:
        warnings.append("Wider than 10 diameters: use more.")
    if end_in < 2 * diameter_in - 1e-9:
        warnings.append("The end distance is under 2 diameters.")
    return RivetRow(pitch_in=pitch, rivets=spaces + 1, warnings=tuple(warnings))


@dataclass(frozen=True, kw_only=True)
class FlushRivet(Result):
    """How to let a flush head in, and from which sheet it may be countersunk."""

    way: str
    countersink_from_in: float


@calculator(
    subject="rivets",
    title="Flush rivet",
    formula="machine countersink where the sheet is as thick as the head; else dimple (sheet to .040)",
    source="US Army manual countersink table (3/32: .040, 1/8: .050); AC 65-15A ch. 5 (dimple to .040)",
    holds="100 degree heads, 3/32 and 1/8; a knife edge is not allowed",
)
def flush_rivet(thickness_in: float, diameter_in: float) -> FlushRivet:
    """Countersink or dimple, by sheet thickness.

    Parameters
    ----------
    thickness_in : float
        Thickness of the outer sheet in inches, above 0.
    diameter_in : float
        Diameter of the shank in inches: 3/32 or 1/8.

    Returns
    -------
    FlushRivet
        ``way`` is ``'countersink'`` or ``'dimple'`` [2]_; ``countersink_from_in`` is the least sheet that may
        be machine countersunk [1]_.

    Raises
    ------
    OutOfRange
        When no limit is tabulated for the diameter, or the sheet has no thickness.

    References
    ----------
    .. [1] US Army manual, countersink table.
    .. [2] FAA AC 65-15A, chapter 5, dimpling of sheet to .040.

    Examples
    --------
    >>> flush_rivet(0.032, 3 / 32).way
    'dimple'
    """
    least = {3: 0.040, 4: 0.050}.get(size_of(diameter_in))
    if least is None:
        raise OutOfRange("no countersink limit is tabulated for this size", "ask the designer", "diameter_in")
    if thickness_in >= least - 1e-9:
        return FlushRivet(way="countersink", countersink_from_in=least)
    require(thickness_in > 0, "thickness_in", "the sheet has no thickness", "measure it")
    return FlushRivet(way="dimple", countersink_from_in=least)


def rivets_per_inch(thickness_in: float, size: int) -> float:
    """AD protruding rivets for each inch of width in one row of splice, as AC 43.13-1B Table 4-10 gives them.

    The sheet's 60 ksi over the rivet's 30 ksi shear on the nominal hole, but never fewer than 1 / 1.6 holes.
    Derived: reproduces all printed cells within 0.07.
    """
    hole = NOMINAL_HOLE_IN[size]
    return max(thickness_in * SHEET_BEARING_PSI / (SHEAR_AD_PSI * math.pi / 4 * hole**2), 1 / (1.6 * hole))


@dataclass(frozen=True, kw_only=True)
class SpliceRivets(Result):
    """How many rivets a splice needs on each side, and the table's figure for an inch of it."""

    rivets: int = figure(unit="rivets")
    rivets_per_inch: float = figure("an inch, from the table")


@calculator(
    subject="rivets",
    title="Rivets in a splice",
    formula="width x rivets an inch (Table 4-10) x 0.75 for a single lap joint, rounded up",
    source="AC 43.13-1B Table 4-10 and its note c, page 4-27 example",
    holds="2017, clad 2017 and clad 2024-T3 with AD rivets; a repair rule, the plans come first",
)
def splice_rivets(
    thickness_in: float, width_in: float, diameter_in: float, single_lap: Literal["yes", "no"] = "yes"
) -> SpliceRivets:
    """How many rivets on each side of a splice.

    Parameters
    ----------
    thickness_in : float
        Sheet thickness in inches, 0.016 to 0.128.
    width_in : float
        Width of the splice across the load in inches.
    diameter_in : float
        Diameter of the shank in inches: 3/32, 1/8, 5/32, 3/16 or 1/4.
    single_lap : {'yes', 'no'}, default 'yes'
        Whether it is a single lap joint, which needs three quarters of the table's rivets.

    Returns
    -------
    SpliceRivets
        ``rivets`` on each side of the splice, rounded up, and ``rivets_per_inch`` of width [1]_.

    Raises
    ------
    OutOfRange
        When the sheet or the rivet is not in the table.

    Notes
    -----
    The table is reproduced by the sheet's 60 ksi over the rivet's 30 ksi shear on the nominal hole, but never
    fewer than one rivet in 1.6 holes.

    References
    ----------
    .. [1] FAA AC 43.13-1B, Table 4-10 and its note c, and the example on page 4-27.

    Examples
    --------
    The circular's own example, clad .032 and ten inches wide:

    >>> splice_rivets(0.032, 10, 1 / 8).rivets
    37
    """
    size = size_of(diameter_in)
    require(size in NOMINAL_HOLE_IN, "diameter_in", "this size is not in the table", "use 3/32 to 1/4")
    require(
        0.016 <= thickness_in <= 0.128,
        "thickness_in",
        f"sheet {thickness_in} in is not in the table",
        ".016 to .128",
    )
    each = rivets_per_inch(thickness_in, size)
    share = 0.75 if single_lap == "yes" else 1.0
    return SpliceRivets(
        rivets=math.ceil(width_in * round(each, 1) * share - 1e-9),
        rivets_per_inch=each,
    )


@dataclass(frozen=True, kw_only=True)
class JointShear(Result):
    """What a joint's rivets carry in shear, together and each."""

    shear_lb: float
    each_lb: float


@calculator(
    subject="rivets",
    title="Shear of a joint",
    formula="rivets x 30,000 psi x area of the nominal hole",
    source="MIL-HDBK-5 (driven 2117-T3 on the nominal hole's area); sheet bearing is not checked here",
    holds="AD rivets in single shear",
)
def joint_shear(count: int, diameter_in: float) -> JointShear:
    """Ultimate shear of the rivets of a joint.

    Parameters
    ----------
    count : int
        How many rivets, 1 or more.
    diameter_in : float
        Diameter of the shank in inches: 3/32, 1/8, 5/32, 3/16 or 1/4.

    Returns
    -------
    JointShear
        ``shear_lb`` of all rivets in pounds, and ``each_lb`` [1]_. Whether the sheet bears it is not checked.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    References
    ----------
    .. [1] MIL-HDBK-5, driven 2117-T3 rivets on the nominal hole's area.
    """
    size = size_of(diameter_in)
    require(size in NOMINAL_HOLE_IN, "diameter_in", "this size is not in the table", "use 3/32 to 1/4")
    require(count >= 1, "count", "no rivet carries nothing", "give a count")
    each = SHEAR_AD_PSI * math.pi / 4 * NOMINAL_HOLE_IN[size] ** 2
    return JointShear(shear_lb=count * each, each_lb=each)


@dataclass(frozen=True, kw_only=True)
class DeburrLimit(Result):
    """How deep the chamfer of a deburred hole may be."""

    depth_in: float


@calculator(
    subject="rivets",
    title="Deepest chamfer when deburring a hole",
    formula="a tenth of the sheet, and no more than .032",
    source="MIL-R-47196A",
    holds="rivet holes in sheet",
)
def deburr_limit(thickness_in: float) -> DeburrLimit:
    """Deepest chamfer when a rivet hole is deburred.

    Parameters
    ----------
    thickness_in : float
        Sheet thickness in inches, above 0.

    Returns
    -------
    DeburrLimit
        ``depth_in``: a tenth of the sheet, and no more than .032 [1]_.

    Raises
    ------
    OutOfRange
        When the sheet has no thickness.

    References
    ----------
    .. [1] MIL-R-47196A.
    """
    require(thickness_in > 0, "thickness_in", "the sheet has no thickness", "measure it")
    return DeburrLimit(depth_in=min(thickness_in / 10, 0.032))


# AC 43.13-1B Table 7-1, inch-pounds, cadmium-plated steel, oil-free threads: low, high, most.
_TORQUE = {
    ("8-36", "tension"): (12, 15, 20),
    ("8-36", "shear"): (7, 9, 12),
    ("10-32", "tension"): (20, 25, 40),
    ("10-32", "shear"): (12, 15, 25),
}


@dataclass(frozen=True, kw_only=True)
class BoltTorque(Result):
    """The torque to set, drag included, and the table's range without it."""

    torque_in_lb: float
    table_low_in_lb: int
    table_high_in_lb: int
    table_most_in_lb: int


@calculator(
    subject="rivets",
    title="Bolt torque",
    formula="the middle of the table's range, plus the friction drag of a locking nut",
    source="AC 43.13-1B Table 7-1",
    holds="8-36 and 10-32 (AN3), cadmium-plated, oil-free; the plans come first",
)
def bolt_torque(
    thread: Literal["8-36", "10-32"], nut: Literal["tension", "shear"] = "tension", drag_in_lb: float = 0.0
) -> BoltTorque:
    """Torque to set on a small bolt's nut.

    Parameters
    ----------
    thread : {'8-36', '10-32'}
        Size of the thread; 10-32 is AN3.
    nut : {'tension', 'shear'}, default 'tension'
        Kind of nut.
    drag_in_lb : float, default 0
        Friction drag of a locking nut in inch-pounds, 0 to below the table's most.

    Returns
    -------
    BoltTorque
        ``torque_in_lb`` in inch-pounds is the middle of ``table_low_in_lb`` and ``table_high_in_lb`` [1]_
        with the drag added; ``table_most_in_lb`` is the table's limit.

    Raises
    ------
    OutOfRange
        When the drag is negative or more than the bolt may have.

    References
    ----------
    .. [1] FAA AC 43.13-1B, Table 7-1, cadmium-plated steel, oil-free threads.

    Examples
    --------
    >>> bolt_torque("10-32", drag_in_lb=4).torque_in_lb
    26.5
    """
    low, high, most = _TORQUE[(thread, nut)]
    require(
        0 <= drag_in_lb < most, "drag_in_lb", "the drag is more than the bolt may have", "use another nut"
    )
    return BoltTorque(
        torque_in_lb=(low + high) / 2 + drag_in_lb,
        table_low_in_lb=low,
        table_high_in_lb=high,
        table_most_in_lb=most,
        warnings=("Add the drag of the nut you have in hand.",),
    )
