"""Solid rivets: names both ways, diameter, length, shop head, drill, edge and pitch, rows, flush heads.

Diameters are named in 32nds of an inch and lengths in 16ths, as the part number does.
"""

import math
import re
from dataclasses import dataclass
from typing import Literal

from kiosk.numbers.drills import LETTER_DRILL_IN, NUMBER_DRILL_IN
from kiosk.numbers.result import OutOfRange, Result, calculator, figure, require

__all__ = [
    "DeburrLimit",
    "FlushRivet",
    "OversizeEdge",
    "RivetCode",
    "RivetDiameter",
    "RivetField",
    "RivetGrip",
    "RivetHole",
    "RivetLength",
    "RivetName",
    "RivetPerimeter",
    "RivetRow",
    "RivetSpacing",
    "RivetSubstitute",
    "ShopHead",
    "deburr_limit",
    "flush_rivet",
    "oversize_edge",
    "rivet_code",
    "rivet_diameter",
    "rivet_field",
    "rivet_grip",
    "rivet_hole",
    "rivet_length",
    "rivet_name",
    "rivet_perimeter",
    "rivet_row",
    "rivet_spacing",
    "rivet_substitute",
    "shop_head",
]

# Diameter in 32nds -> drill. Sizes from a naval manual and a 1940s repair manual; decimals standard series.
RIVET_DRILL: dict[int, str] = {2: "#51", 3: "#40", 4: "#30", 5: "#21", 6: "#11", 8: "F"}
# Diameter in 32nds -> nominal hole in inches (MIL-HDBK-5, from memory; recovered from AC 43.13-1B
# Table 4-10, whose every cell they reproduce).
NOMINAL_HOLE_IN: dict[int, float] = {3: 0.096, 4: 0.1285, 5: 0.159, 6: 0.191, 8: 0.257}

# Diameter in 32nds -> pilot drill, one size of rivet down: common practice, from memory.
PILOT_DRILL: dict[int, str] = {3: "#50", 4: "#40", 5: "#30", 6: "#21"}
# Diameter in 32nds -> least and greatest hole in inches: MIL-R-47196A Table I, its 3/32 row as builders quote
# it by name; the others as the trade press quotes them without one, from memory.
HOLE_LIMITS_IN: dict[int, tuple[float, float]] = {
    3: (0.093, 0.103),
    4: (0.125, 0.135),
    5: (0.156, 0.171),
    6: (0.187, 0.202),
}
LEAST_EDGE_DIAMETERS = 2.0  # FAA AC 43.13-1B paragraph 4-57: edge distance, rivet centre to sheet edge
LEAST_PITCH_DIAMETERS = 3.0  # US Navy aviation structural-mechanic manual: rivet pitch
MOST_PITCH_DIAMETERS = 10.0  # trade practice (common practice, no source)
MOST_WIDE_DIAMETERS = 1.76  # of a shop head; derived, see shop_head
SHORTEST_IN, LONGEST_IN = 1 / 8, 2.0  # of a rivet, as its part number counts it

HEADS = {"20470": "universal head", "20426": "100 degree countersunk head"}
# Alloy letters -> alloy and the mark on the head (FAA-H-8083-31 ch. 4).
ALLOYS = {
    "A": ("1100", "plain"),
    "AD": ("2117-T", "dimple"),
    "D": ("2017-T", "raised dot"),
    "DD": ("2024-T", "two raised dashes"),
    "B": ("5056", "raised cross"),
}
_CODE = re.compile(
    r"^(?:MS|AN)?\s*(?P<head>20470|20426|470|426)\s*(?P<alloy>AD|DD|A|B|D)\s*-?\s*(?P<diameter>\d+)"
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
        A part number such as ``MS20470AD4-4``; ``AN470AD4-4``, ``470AD4-4``, ``MS20470AD-4-4`` and half
        lengths (``MS20470AD4-3.5``) are read too. The length is 2 to 32 sixteenths.

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
    length_in = float(match["length"].replace("-5", ".5")) / 16
    require(
        SHORTEST_IN <= length_in <= LONGEST_IN,
        "code",
        f"no rivet is {match['length']}/16 in long",
        "the number after the dash counts 16ths, 2 to 32",
    )
    alloy, mark = ALLOYS[match["alloy"]]
    counted = "overall, head included" if head == "20426" else "under the head"
    return RivetName(
        rivet=f"{HEADS[head]}, {alloy}",
        diameter_in=size / 32,
        length_in=length_in,
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
        SHORTEST_IN <= length_in <= LONGEST_IN and abs(dash * 2 - round(dash * 2)) < 0.05,
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
    for item, sheet in enumerate(sheets_in):
        require(
            0 < sheet <= 0.26, "sheets_in", f"sheet {sheet} in is outside 0 to 0.26 in", "measure it", item
        )
    return RivetGrip(grip_in=sum(sheets_in))


@dataclass(frozen=True, kw_only=True)
class RivetHole(Result):
    """The drills for a rivet's hole, and the pins that say whether it may be used."""

    drill: str
    pilot: str = figure("pilot drill")
    go_in: float = figure("go pin, has to enter")
    no_go_in: float = figure("no-go pin, has to stop")


@calculator(
    subject="rivets",
    title="Drill for the hole",
    formula="a table by diameter: pilot, final drill, least and greatest hole",
    source="naval structural-mechanic manual (drill); MIL-R-47196A Table I, as quoted (limits);"
    " common practice, no source (pilot)",
    holds="solid rivets of 3/32, 1/8, 5/32 and 3/16 in; the plans' limits win",
)
def rivet_hole(diameter_in: float) -> RivetHole:
    """Pilot and final drill for a solid rivet, and the two pins that gauge the hole.

    Parameters
    ----------
    diameter_in : float
        Diameter of the shank in inches: 3/32, 1/8, 5/32 or 3/16.

    Returns
    -------
    RivetHole
        ``drill`` to final size [1]_, ``pilot`` before it, ``go_in`` the least hole and ``no_go_in`` the
        greatest [2]_: the first pin has to enter and the second to stop.

    Raises
    ------
    OutOfRange
        When no rivet of this diameter is in the table.

    References
    ----------
    .. [1] Naval structural-mechanic manual, drills for solid rivets.
    .. [2] MIL-R-47196A, 3.2.1.3 and Table I, as quoted by others.

    Examples
    --------
    >>> worked = rivet_hole(1 / 8)
    >>> worked.pilot, worked.drill, worked.go_in, worked.no_go_in
    ('#40 (0.0980 in)', '#30 (0.1285 in)', 0.125, 0.135)
    """
    size = size_of(diameter_in)
    require(
        size in HOLE_LIMITS_IN,
        "diameter_in",
        f"no limits of a hole for {diameter_in:g} in are known here",
        "use 3/32, 1/8, 5/32 or 3/16",
    )
    drill, pilot = RIVET_DRILL[size], PILOT_DRILL[size]
    least, most = HOLE_LIMITS_IN[size]
    return RivetHole(
        drill=f"{drill} ({drill_in(drill):.4f} in)",
        pilot=f"{pilot} ({drill_in(pilot):.4f} in)",
        go_in=least,
        no_go_in=most,
    )


@dataclass(frozen=True, kw_only=True)
class ShopHead(Result):
    """The least and the most a shop head may measure, and what to aim at."""

    least_wide_in: float
    aim_at_wide_in: float
    aim_at_high_in: float
    least_high_in: float
    shop_head_most_in: float = figure("wide at most")


@calculator(
    subject="rivets",
    title="Least width of a shop head",
    formula="at least 1.3 diameters wide and 0.3 high; aim at 1.5 wide and 0.5 high; at most 1.76 wide",
    source="MIL-HDBK-5H p. 8-9 (least); FAA-H-8083-31 ch. 4 (1.5 wide, 0.5 high); most: derived",
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
        the usual head [2]_, ``shop_head_most_in`` the widest that is not driven too flat [3]_.

    Raises
    ------
    OutOfRange
        When no rivet is of this diameter.

    Notes
    -----
    The 1.5 diameters of shank that stand out (rivet length), upset to half a diameter high, are a head
    sqrt(1.5 / 0.5) = 1.73 diameters wide. What is wider is flatter than the usual head; 1.76 is what an 1/8
    rivet's gauge of .220 has. Common practice, no source: the plans decide.

    References
    ----------
    .. [1] MIL-HDBK-5H, page 8-9.
    .. [2] FAA-H-8083-31, chapter 4, shop head 1.5 diameters wide and 0.5 high.
    .. [3] Derived: the volume of the shank.
    """
    size_of(diameter_in)
    return ShopHead(
        least_wide_in=1.3 * diameter_in,
        aim_at_wide_in=1.5 * diameter_in,
        aim_at_high_in=0.5 * diameter_in,
        least_high_in=0.3 * diameter_in,
        shop_head_most_in=MOST_WIDE_DIAMETERS * diameter_in,
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
    title="Least edge distance",
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
    edge = LEAST_EDGE_DIAMETERS if head == "universal" else 2.5
    return RivetSpacing(
        least_edge_in=edge * diameter_in,
        most_edge_in=4 * diameter_in,
        least_pitch_in=LEAST_PITCH_DIAMETERS * diameter_in,
        usual_pitch_from_in=4 * diameter_in,
        usual_pitch_to_in=8 * diameter_in,
        most_pitch_in=MOST_PITCH_DIAMETERS * diameter_in,
        between_rows_in=2.5 * diameter_in,
        least_overlap_in=(2 * edge + 2.5) * diameter_in,
    )


@dataclass(frozen=True, kw_only=True)
class RivetRow(Result):
    """The pitch of a row, and how many rivets are in it."""

    pitch_in: float
    rivets: int
    most_rivets: int = figure("rivets at most")


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
        From each end to the centre of the first and last rivet, in inches, above 0.
    diameter_in : float
        Diameter of the shank in inches: 1/16, 3/32, 1/8, 5/32, 3/16 or 1/4.
    wanted_pitch_in : float, default 0
        The largest pitch wanted, in inches; 0 when a count is given.
    count : int, default 0
        How many rivets, 2 or more; 0 when a pitch is given.

    Returns
    -------
    RivetRow
        ``pitch_in`` from centre to centre, and how many ``rivets`` [1]_; how many there is room for at the
        least pitch [2]_. Warnings say when the pitch or the end distance is outside the usual limits [2]_.

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
    require(end_in > 0, "end_in", "the first rivet is on the end of the row", "give its end distance")
    require(wanted_pitch_in >= 0, "wanted_pitch_in", "the pitch is below nothing", "give 0, or a pitch")
    require(count == 0 or count >= 2, "count", "a row needs two rivets or more", "give 2 or more, or 0")
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
    spaces = count - 1 if count else math.ceil(span / wanted_pitch_in - 1e-9)
    pitch = span / spaces
    warnings = []
    if pitch < LEAST_PITCH_DIAMETERS * diameter_in - 1e-9:
        warnings.append("Closer than 3 diameters: use fewer.")
    if pitch > MOST_PITCH_DIAMETERS * diameter_in + 1e-9:
        warnings.append("Wider than 10 diameters: use more.")
    if end_in < LEAST_EDGE_DIAMETERS * diameter_in - 1e-9:
        warnings.append("The end distance is under 2 diameters.")
    least = LEAST_PITCH_DIAMETERS * diameter_in
    return RivetRow(
        pitch_in=pitch,
        rivets=spaces + 1,
        most_rivets=math.floor(span / least + 1e-9) + 1,
        warnings=tuple(warnings),
    )


# Least sheet, in thousandths, that takes a machine countersink for a 100 degree head, by diameter in 32nds.
COUNTERSINK_FROM_IN: dict[int, float] = {3: 0.040, 4: 0.050, 5: 0.064, 6: 0.072, 8: 0.072}
DIMPLE_TO_IN = 0.040


@dataclass(frozen=True, kw_only=True)
class FlushRivet(Result):
    """How to let a flush head in, and between which sheets each way holds."""

    way: str
    countersink_from_in: float = figure("countersink sheet from")
    dimple_to_in: float = figure("dimple sheet to")


@calculator(
    subject="rivets",
    title="Flush rivet",
    formula="machine countersink from the table's sheet on; dimple sheet to .040; neither between them",
    source="TM 9-2320-363-34-2 Table 4 (least sheet); AC 65-15A ch. 5 (dimple to .040)",
    holds="100 degree heads, 3/32 to 1/4; a knife edge is not allowed",
)
def flush_rivet(thickness_in: float, diameter_in: float) -> FlushRivet:
    """Countersink or dimple, by sheet thickness.

    Parameters
    ----------
    thickness_in : float
        Thickness of the outer sheet in inches, above 0.
    diameter_in : float
        Diameter of the shank in inches: 3/32, 1/8, 5/32, 3/16 or 1/4.

    Returns
    -------
    FlushRivet
        ``way`` is ``'countersink'`` or ``'dimple'`` [2]_; ``countersink_from_in`` is the least sheet that may
        be machine countersunk [1]_, ``dimple_to_in`` the thickest that dimples well.

    Raises
    ------
    OutOfRange
        When no limit is tabulated for the diameter, the sheet has no thickness, or it is too thin to
        countersink and too thick to dimple.

    References
    ----------
    .. [1] US Army TM 9-2320-363-34-2, Table 4, minimum sheet for a 100 degree machine countersink.
    .. [2] FAA AC 65-15A, chapter 5, dimpling of sheet to .040.

    Examples
    --------
    >>> flush_rivet(0.032, 3 / 32).way
    'dimple'
    """
    least = COUNTERSINK_FROM_IN.get(size_of(diameter_in))
    if least is None:
        raise OutOfRange("no countersink limit is tabulated for this size", "ask the designer", "diameter_in")
    require(thickness_in > 0, "thickness_in", "the sheet has no thickness", "measure it")
    countersunk = thickness_in >= least - 1e-9
    require(
        countersunk or thickness_in <= DIMPLE_TO_IN + 1e-9,
        "thickness_in",
        f"sheet {thickness_in:g} in is too thin to countersink (from {least:g}) and too thick to dimple"
        f" (to {DIMPLE_TO_IN:g})",
        "use a protruding head or a smaller rivet: ask the designer",
    )
    return FlushRivet(
        way="countersink" if countersunk else "dimple",
        countersink_from_in=least,
        dimple_to_in=DIMPLE_TO_IN,
    )


@dataclass(frozen=True, kw_only=True)
class RivetPerimeter(Result):
    """How many rivets go round a plate, and the rows and pitches they stand in."""

    rivets: int = figure(unit="rivets")
    outer_row: int = figure("in the outer row", unit="rivets")
    long_pitch_in: float = figure("pitch along the length")
    short_pitch_in: float = figure("pitch along the width")


@calculator(
    subject="rivets",
    title="Rivets round a plate",
    formula="a rectangle of rivets at the edge distance, and one more inside it for a second row",
    source="plain division; rows 2.5 diameters apart (naval structural-mechanic manual)",
    holds="square-cornered plates; the plans' pattern wins",
)
def rivet_perimeter(
    length_in: float,
    width_in: float,
    end_in: float,
    diameter_in: float,
    wanted_pitch_in: float,
    rows: int = 1,
) -> RivetPerimeter:
    """How many rivets go round a plate in one row or in two.

    Parameters
    ----------
    length_in : float
        Length of the plate in inches.
    width_in : float
        Width of the plate in inches.
    end_in : float
        From each edge to the centre of the outer row, in inches.
    diameter_in : float
        Diameter of the shank in inches: 1/16, 3/32, 1/8, 5/32, 3/16 or 1/4.
    wanted_pitch_in : float
        The largest pitch wanted, in inches, 3 diameters or more.
    rows : int, default 1
        One row, or two that are 2.5 diameters apart.

    Returns
    -------
    RivetPerimeter
        ``rivets`` in all, ``outer_row`` those of the outer rectangle, and the pitches of that row after the
        spaces are made equal [1]_. A warning says when the edge distance is under two diameters.

    Raises
    ------
    OutOfRange
        When an input is outside its range, or the plate has no room for the rows.

    References
    ----------
    .. [1] Plain division: each side's spaces are rounded up, a corner rivet counted once. Rows 2.5 diameters
       apart: naval structural-mechanic manual.

    Examples
    --------
    A plate of 10 by 5 with two rows of 1/8 rivets at an inch:

    >>> rivet_perimeter(10, 5, 0.25, 1 / 8, wanted_pitch_in=1.0, rows=2).rivets
    56
    """
    size_of(diameter_in)
    require(rows in (1, 2), "rows", f"{rows} rows are not covered", "give 1 or 2")
    require(
        wanted_pitch_in >= 3 * diameter_in - 1e-9,
        "wanted_pitch_in",
        "the pitch is under 3 diameters",
        "give a longer pitch",
    )
    require(end_in > 0, "end_in", "the row stands on the edge", "give the edge distance")
    counts, pitches = [], (0.0, 0.0)
    for row in range(rows):
        inset = end_in + row * 2.5 * diameter_in
        sides = (length_in - 2 * inset, width_in - 2 * inset)
        for argument, side in zip(("length_in", "width_in"), sides, strict=True):
            require(side > 0, argument, "the plate has no room for the rows", "check the plate and its edges")
        spaces = [math.ceil(side / wanted_pitch_in - 1e-9) for side in sides]
        counts.append(2 * sum(spaces))
        if row == 0:
            pitches = (sides[0] / spaces[0], sides[1] / spaces[1])
    warnings = ("The edge distance is under 2 diameters.",) if end_in < 2 * diameter_in - 1e-9 else ()
    return RivetPerimeter(
        rivets=sum(counts),
        outer_row=counts[0],
        long_pitch_in=pitches[0],
        short_pitch_in=pitches[1],
        warnings=warnings,
    )


@dataclass(frozen=True, kw_only=True)
class RivetField(Result):
    """How many rivets fill a plate in rows, and how many rows there are."""

    rivets: int = figure(unit="rivets")
    rows: int = figure(unit="rows")
    in_a_row: int = figure("in a row", unit="rivets")


@calculator(
    subject="rivets",
    title="Rivets in a field",
    formula="(spaces along the length + 1) x (spaces along the width + 1), spaces rounded up",
    source="plain division",
    holds="rows square to each other; the plans' pattern wins",
)
def rivet_field(
    length_in: float, width_in: float, end_in: float, diameter_in: float, wanted_pitch_in: float
) -> RivetField:
    """How many rivets fill a plate with rows both ways.

    Parameters
    ----------
    length_in : float
        Length of the plate in inches.
    width_in : float
        Width of the plate in inches.
    end_in : float
        From each edge to the centre of the first row, in inches.
    diameter_in : float
        Diameter of the shank in inches: 1/16, 3/32, 1/8, 5/32, 3/16 or 1/4.
    wanted_pitch_in : float
        The largest pitch wanted both ways, in inches, 3 diameters or more.

    Returns
    -------
    RivetField
        ``rivets`` in all, the ``rows`` and how many are ``in_a_row`` [1]_.

    Raises
    ------
    OutOfRange
        When an input is outside its range, or the plate has no room for two rows.

    References
    ----------
    .. [1] Plain division, the spaces rounded up.

    Examples
    --------
    >>> rivet_field(10, 5, 0.25, 1 / 8, wanted_pitch_in=1.0).rivets
    66
    """
    size_of(diameter_in)
    require(
        wanted_pitch_in >= 3 * diameter_in - 1e-9,
        "wanted_pitch_in",
        "the pitch is under 3 diameters",
        "give a longer pitch",
    )
    require(end_in > 0, "end_in", "the row stands on the edge", "give the edge distance")
    counts = []
    for argument, whole in (("length_in", length_in), ("width_in", width_in)):
        side = whole - 2 * end_in
        require(side > 0, argument, "the plate has no room for two rows", "check the plate and its edges")
        counts.append(math.ceil(side / wanted_pitch_in - 1e-9) + 1)
    return RivetField(rivets=counts[0] * counts[1], rows=counts[1], in_a_row=counts[0])


@dataclass(frozen=True, kw_only=True)
class OversizeEdge(Result):
    """What edge distance is left, in diameters of the next larger rivet."""

    edge_diameters: float
    next_diameter_in: float = figure("next larger rivet")
    least_edge_in: float = figure("its least edge distance")


@calculator(
    subject="rivets",
    title="Edge distance after going one size up, in diameters",
    formula="edge distance / diameter of the next larger rivet; at least 2 (2.5 flush)",
    source="AC 43.13-1B 4-57b (next larger rivet only where its own edge distance is kept)",
    holds="a hole enlarged about its own centre",
)
def oversize_edge(
    edge_in: float, diameter_in: float, head: Literal["universal", "countersunk"] = "universal"
) -> OversizeEdge:
    """Whether a spoiled hole may take the next larger rivet, by its edge distance.

    Parameters
    ----------
    edge_in : float
        From the hole's centre to the nearest edge in inches, above 0.
    diameter_in : float
        Diameter of the rivet that was meant, in inches: 1/16, 3/32, 1/8, 5/32 or 3/16.
    head : {'universal', 'countersunk'}, default 'universal'
        Shape of the manufactured head; countersunk is 100 degrees.

    Returns
    -------
    OversizeEdge
        ``edge_diameters`` counts diameters of ``next_diameter_in`` [1]_; a warning says when they are too
        few. ``least_edge_in`` is what the larger rivet asks for.

    Raises
    ------
    OutOfRange
        When no rivet is of this diameter, there is none larger here, or there is no edge distance.

    References
    ----------
    .. [1] FAA AC 43.13-1B, paragraph 4-57b.

    Examples
    --------
    A row laid out at bare two diameters of 3/32 cannot take 1/8:

    >>> worked = oversize_edge(3 / 16, 3 / 32)
    >>> worked.edge_diameters, worked.warnings
    (1.5, ('Too near the edge for the next larger rivet: ask the designer.',))
    """
    size = size_of(diameter_in)
    require(edge_in > 0, "edge_in", "there is no edge distance", "measure it from the hole's centre")
    larger = [one for one in RIVET_DRILL if one > size]
    require(bool(larger), "diameter_in", "there is no larger rivet here", "ask the designer")
    next_in = larger[0] / 32
    least = (2.0 if head == "universal" else 2.5) * next_in
    warnings = (
        ("Too near the edge for the next larger rivet: ask the designer.",) if edge_in < least - 1e-9 else ()
    )
    return OversizeEdge(
        edge_diameters=edge_in / next_in,
        next_diameter_in=next_in,
        least_edge_in=least,
        warnings=warnings,
    )


# AC 43.13-1B 4-57b: the largest of each alloy, in 32nds, that 2117 a size larger may replace.
_REPLACED_BY_2117 = {"D": 6, "DD": 5}


@dataclass(frozen=True, kw_only=True)
class RivetSubstitute(Result):
    """The diameter of the 2117 rivet that may stand in for a harder one."""

    diameter_in: float
    drill: str


@calculator(
    subject="rivets",
    title="2117 (AD) rivet in place of a harder one",
    formula="1/32 larger; for 2017 (D) to 3/16 and 2024 (DD) to 5/32",
    source="AC 43.13-1B 4-57b",
    holds="general repairs only; the plans or the designer say whether it may be",
)
def rivet_substitute(diameter_in: float, alloy: Literal["D", "DD"]) -> RivetSubstitute:
    """Diameter of the 2117 rivet that the circular lets replace a 2017 or 2024 rivet.

    Parameters
    ----------
    diameter_in : float
        Diameter of the rivet to replace in inches: 3/32 to 3/16 of 2017, to 5/32 of 2024.
    alloy : {'D', 'DD'}
        Letters of its alloy: 2017-T or 2024-T.

    Returns
    -------
    RivetSubstitute
        ``diameter_in`` of the 2117 rivet [1]_ and its ``drill``. A warning says what else must hold.

    Raises
    ------
    OutOfRange
        When the rivet is larger than the circular lets replace, or no rivet is of this diameter.

    References
    ----------
    .. [1] FAA AC 43.13-1B, paragraph 4-57b.

    Examples
    --------
    >>> rivet_substitute(1 / 8, "DD").diameter_in
    0.15625
    """
    size = size_of(diameter_in)
    largest = _REPLACED_BY_2117[alloy]
    require(
        3 <= size <= largest,
        "diameter_in",
        f"the circular lets 2117 replace {ALLOYS[alloy][0]} from 3/32 to {largest}/32 in",
        "ask the designer",
    )
    return RivetSubstitute(
        diameter_in=(size + 1) / 32,
        drill=RIVET_DRILL.get(size + 1, ""),
        warnings=("Its own edge distance and pitch must be kept. The plans or the designer decide.",),
    )


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
