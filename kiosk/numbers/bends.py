"""Straight bends: allowance, setback, deduction, flat layout, minimum radius, relief holes, springback.

"Bend angle" is always degrees bent from flat: 0 is flat sheet, 90 a square flange. Radii are inside radii.
"""

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from kiosk.numbers.materials import RADIUS_COLUMNS_IN, RADIUS_MULTIPLES, RADIUS_TABLE, sheet_of
from kiosk.numbers.result import Answer, Quantity, calculator, require


@dataclass(frozen=True)
class ScribeLine:
    """A line to scribe, in inches from the edge that the layout starts at."""

    name: str
    from_edge_in: float


@dataclass(frozen=True)
class FlatLayout:
    """A developed section: its width, its flats, allowances and setbacks, and its lines in scribing order."""

    width_in: float
    flats_in: tuple[float, ...]
    allowances_in: tuple[float, ...]
    setbacks_in: tuple[float, ...]
    lines: tuple[ScribeLine, ...]


EMPIRICAL_RADIUS_FACTOR = 0.01743  # per degree; pi/180 is 0.0174533
EMPIRICAL_THICKNESS_FACTOR = 0.0078  # per degree
LARGEST_ANGLE_DEG = 175.0  # the setback grows without limit towards 180 (AC 43.13-1B Table 4-7)
HANDBOOK = "FAA-H-8083-31 ch. 4, empirical bend allowance formula"


def arc_allowance_in(
    thickness_in: float, radius_in: float, bend_angle_deg: float, neutral_factor: float = 0.5
) -> float:
    """Length in inches of the arc at the neutral line, which lies ``neutral_factor`` of T from the inside."""
    return math.radians(bend_angle_deg) * (radius_in + neutral_factor * thickness_in)


def empirical_allowance_in(thickness_in: float, radius_in: float, bend_angle_deg: float) -> float:
    """Bend allowance in inches by the handbook formula (0.01743 R + 0.0078 T) N."""
    factor = EMPIRICAL_RADIUS_FACTOR * radius_in + EMPIRICAL_THICKNESS_FACTOR * thickness_in
    return factor * bend_angle_deg


def setback_in(thickness_in: float, radius_in: float, bend_angle_deg: float) -> float:
    """Setback in inches: tan(N/2) (R + T). Source: AC 43.13-1B paragraph 4-56b and Table 4-7."""
    return math.tan(math.radians(bend_angle_deg) / 2) * (radius_in + thickness_in)


def deduction_in(thickness_in: float, radius_in: float, bend_angle_deg: float) -> float:
    """Bend deduction in inches: 2 x setback - empirical allowance. Source: FAA-H-8083-31 ch. 4."""
    back = setback_in(thickness_in, radius_in, bend_angle_deg)
    return 2 * back - empirical_allowance_in(thickness_in, radius_in, bend_angle_deg)


def check_bend(thickness_in: float, radius_in: float, bend_angle_deg: float) -> None:
    """Refuse a bend that the formulas do not cover. Raises OutOfRange."""
    require(
        0 < thickness_in <= 0.26,
        f"thickness {thickness_in} in is outside 0 to 0.26 in",
        "these rules are for sheet",
    )
    require(0 <= radius_in <= 10, f"radius {radius_in} in is outside 0 to 10 in", "give the inside radius")
    require(
        0 <= bend_angle_deg < LARGEST_ANGLE_DEG,
        f"bend angle {bend_angle_deg} is outside 0 to {LARGEST_ANGLE_DEG:g} degrees",
        "give the degrees bent from flat (180 less the angle between the legs)",
    )


@calculator(
    subject="bends",
    title="Bend allowance",
    unit="in",
    formula="(0.01743 x radius + 0.0078 x thickness) x degrees of bend",
    source=HANDBOOK,
    holds="0 to 175 degrees from flat, sheet up to 0.26 in",
)
def bend_allowance(thickness_in: float, inside_radius_in: float, bend_angle_deg: float = 90.0) -> Answer:
    """Sheet used up by one bend, in inches. The exact half-thickness arc is given beside it."""
    check_bend(thickness_in, inside_radius_in, bend_angle_deg)
    empirical = empirical_allowance_in(thickness_in, inside_radius_in, bend_angle_deg)
    arc = arc_allowance_in(thickness_in, inside_radius_in, bend_angle_deg)
    more = [Quantity(name="arc at half thickness", value=arc, unit="in")]
    if abs(arc - empirical) >= 0.0005:
        more.append(Quantity(name="arc less empirical", value=arc - empirical, unit="in"))
    return Answer(empirical, tuple(more))


@calculator(
    subject="bends",
    title="Setback",
    unit="in",
    formula="tan(half the bend angle) x (radius + thickness)",
    source="AC 43.13-1B paragraph 4-56b and Table 4-7",
    holds="0 to 175 degrees from flat",
)
def setback(thickness_in: float, inside_radius_in: float, bend_angle_deg: float = 90.0) -> Answer:
    """Distance in inches from the outside corner (mould line) to the bend tangent line."""
    check_bend(thickness_in, inside_radius_in, bend_angle_deg)
    return Answer(setback_in(thickness_in, inside_radius_in, bend_angle_deg))


@calculator(
    subject="bends",
    title="Bend deduction",
    unit="in",
    formula="2 x setback - bend allowance; flat width = outside legs added up - deductions",
    source=HANDBOOK + "; AC 43.13-1B 4-56b for the setback",
    holds="0 to 175 degrees from flat; legs measured outside, corner to corner",
)
def bend_deduction(thickness_in: float, inside_radius_in: float, bend_angle_deg: float = 90.0) -> Answer:
    """What one bend takes off the sum of the outside legs, in inches."""
    check_bend(thickness_in, inside_radius_in, bend_angle_deg)
    sizes = (thickness_in, inside_radius_in, bend_angle_deg)
    more = (
        Quantity(name="setback", value=setback_in(*sizes), unit="in"),
        Quantity(name="bend allowance", value=empirical_allowance_in(*sizes), unit="in"),
    )
    return Answer(deduction_in(*sizes), more)


def radius_column(thickness_in: float) -> int:
    """Index of the printed column that covers a sheet: the first at or above it, an older alias included."""
    return bisect_left(RADIUS_COLUMNS_IN, thickness_in - 1e-9)


@calculator(
    subject="bends",
    title="Minimum inside radius",
    unit="in",
    formula="thickness x the upper multiple in the next printed column at or above this thickness",
    source=RADIUS_TABLE,
    holds="90-degree cold bends, sheet up to 0.258 in; the table gives no rule between its columns",
)
def minimum_radius(thickness_in: float, alloy: str) -> Answer:
    """Smallest inside radius in inches to bend cold through 90 degrees, on the safe side of the table."""
    require(
        alloy in RADIUS_MULTIPLES,
        f"alloy {alloy!r} is not in the table",
        f"use one of {', '.join(RADIUS_MULTIPLES)}",
    )
    require(
        0 < thickness_in <= RADIUS_COLUMNS_IN[-1],
        f"thickness {thickness_in} in is beyond the table (0.258 in)",
        "ask the designer",
    )
    low, high = RADIUS_MULTIPLES[alloy][radius_column(thickness_in)]
    more = (
        Quantity(name="lowest in the table", value=low * thickness_in, unit="in"),
        Quantity(name="column used", value=RADIUS_COLUMNS_IN[radius_column(thickness_in)], unit="in"),
    )
    return Answer(high * thickness_in, more, ("Charts disagree by up to two times: the plans' radius wins.",))


def springback_radius_ratio(
    radius_in: float, thickness_in: float, yield_psi: float, modulus_psi: float
) -> float:
    """Radius under the tool over radius after release, for an elastic, perfectly plastic sheet.

    4 X^3 - 3 X + 1 with X = R Y / (E T). Source: standard textbook closed form (from memory, high).
    Raises OutOfRange when the sheet would only flex (X >= 0.5).
    """
    flex = radius_in * yield_psi / (modulus_psi * thickness_in)
    require(flex < 0.5, "the sheet only flexes at this radius and springs flat", "use a smaller radius")
    return 4 * flex**3 - 3 * flex + 1


@calculator(
    subject="bends",
    title="Bend to",
    unit="deg",
    formula="wanted angle / K; K = (2 Ri/T + 1) / (2 Rf/T + 1); Ri/Rf = 4 X^3 - 3 X + 1; X = Ri Y / (E T)",
    source="elastic springback of a plastic sheet, textbook closed form (from memory, high)",
    holds="X below 0.5; measured springback is usually a little less: bend a trial strip",
)
def overbend(
    thickness_in: float, inside_radius_in: float, alloy: str, bend_angle_deg: float = 90.0
) -> Answer:
    """Angle in degrees from flat to bend to, so that the sheet springs back to the wanted angle."""
    check_bend(thickness_in, inside_radius_in, bend_angle_deg)
    sheet = sheet_of(alloy)
    require(inside_radius_in > 0, "a sharp bend has no springback figure", "give the inside radius")
    ratio = springback_radius_ratio(
        inside_radius_in, thickness_in, sheet.yield_psi, sheet.elastic_modulus_psi
    )
    final_radius = inside_radius_in / ratio
    factor = (2 * inside_radius_in / thickness_in + 1) / (2 * final_radius / thickness_in + 1)
    more = (
        Quantity(name="over the wanted angle", value=bend_angle_deg / factor - bend_angle_deg, unit="deg"),
        Quantity(name="radius after release", value=final_radius, unit="in"),
        Quantity(name="springback factor", value=factor),
    )
    return Answer(bend_angle_deg / factor, more)


def flat_layout(
    legs_in: Sequence[float],
    bend_angles_deg: Sequence[float],
    thickness_in: float,
    inside_radius_in: float,
    neutral_factor: float | None = None,
) -> FlatLayout:
    """Develop a section with any number of bends, every leg measured outside, corner to corner.

    ``neutral_factor`` None takes the handbook's empirical allowance; otherwise the exact arc at that share of
    the thickness from the inside, as a trial bend finds it. Raises OutOfRange when a leg is too short.
    Source: FAA-H-8083-31 ch. 4, flat = mould line dimension - setbacks, width = flats + allowances.
    """
    require(len(legs_in) == len(bend_angles_deg) + 1, "a section has one leg more than bends", "count them")
    require(len(bend_angles_deg) >= 1, "nothing is bent", "give a bend angle")
    for angle in bend_angles_deg:
        check_bend(thickness_in, inside_radius_in, angle)
    backs = [setback_in(thickness_in, inside_radius_in, angle) for angle in bend_angles_deg]
    allowances = [
        empirical_allowance_in(thickness_in, inside_radius_in, angle)
        if neutral_factor is None
        else arc_allowance_in(thickness_in, inside_radius_in, angle, neutral_factor)
        for angle in bend_angles_deg
    ]
    flats = []
    for number, leg in enumerate(legs_in):
        before = backs[number - 1] if number else 0.0
        after = backs[number] if number < len(backs) else 0.0
        flats.append(leg - before - after)
        require(
            flats[-1] >= 0,
            f"leg {number + 1} of {leg:g} in is shorter than its setbacks",
            "make it longer or the radius smaller",
        )
    lines: list[ScribeLine] = []
    at = 0.0
    for number, allowance in enumerate(allowances):
        at += flats[number]
        lines.append(ScribeLine(f"bend {number + 1} tangent line", at))
        lines.append(ScribeLine(f"bend {number + 1} sight line", at + inside_radius_in))
        at += allowance
        lines.append(ScribeLine(f"bend {number + 1} far tangent line", at))
    return FlatLayout(
        width_in=at + flats[-1],
        flats_in=tuple(flats),
        allowances_in=tuple(allowances),
        setbacks_in=tuple(backs),
        lines=tuple(sorted(lines, key=lambda line: line.from_edge_in)),
    )


@calculator(
    subject="bends",
    title="Flat width",
    unit="in",
    formula="each leg less its setbacks, added up, and a bend allowance for each bend",
    source=HANDBOOK + "; sight line one radius from the tangent line under the brake's nose",
    holds="legs outside, corner to corner; 0 to 175 degrees a bend; the first leg under the nose",
)
def flat_width(
    legs_in: tuple[float, ...],
    bend_angles_deg: tuple[float, ...],
    thickness_in: float,
    inside_radius_in: float,
    neutral_factor: float | None = None,
) -> Answer:
    """Width in inches of the flat sheet, and every line in the order to scribe it from one edge."""
    layout = flat_layout(legs_in, bend_angles_deg, thickness_in, inside_radius_in, neutral_factor)
    more = [
        Quantity(name=f"flat {number}", value=flat, unit="in")
        for number, flat in enumerate(layout.flats_in, 1)
    ]
    more += [Quantity(name=line.name, value=line.from_edge_in, unit="in") for line in layout.lines]
    return Answer(
        layout.width_in, tuple(more), ("Bend across the grain where you can: bends along it crack sooner.",)
    )


@calculator(
    subject="bends",
    title="Sight line from the tangent line",
    unit="in",
    formula="one inside radius into the bend, from the tangent line that goes under the nose",
    source="FAA-H-8083-31 ch. 4, sight line",
    holds="cornice or box brake with a radius bar",
)
def sight_line(inside_radius_in: float, tangent_line_in: float) -> Answer:
    """Where the nose of the radius bar has to look down on, in inches from the sheet's edge."""
    require(inside_radius_in >= 0 and tangent_line_in >= 0, "a length is below nothing", "check both")
    return Answer(tangent_line_in + inside_radius_in)


RELIEF_SMALL_IN, RELIEF_LARGE_IN = 1 / 8, 3 / 16


@calculator(
    subject="bends",
    title="Relief hole where bends cross",
    unit="in",
    formula="twice the bend radius, and no less than 1/8 (sheet to .064) or 3/16 (sheet .072 to .128)",
    source='FAA-H-8083-31 ch. 4, box folding (it prints "3/160" for 3/16, and both 2R and R as the rule)',
    holds="aluminium alloy sheet up to 0.128 in",
)
def relief_hole(thickness_in: float, inside_radius_in: float) -> Answer:
    """Recommended diameter in inches; the handbook's minimum is given beside it."""
    require(0 < thickness_in <= 0.128, f"thickness {thickness_in} in is beyond the rule", "ask the designer")
    smallest = RELIEF_SMALL_IN if thickness_in <= 0.064 else RELIEF_LARGE_IN
    least = max(smallest, inside_radius_in)
    return Answer(
        max(smallest, 2 * inside_radius_in),
        (Quantity(name="at least", value=least, unit="in"),),
        ("Centre it where the inside tangent lines cross, 1/32 to 1/16 beyond them.",),
    )
