"""Straight bends: allowance, setback, deduction, flat layout, minimum radius, relief holes, springback.

"Bend angle" is always degrees bent from flat: 0 is flat sheet, 90 a square flange. Radii are inside radii.
"""

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from kiosk.numbers.materials import RADIUS_COLUMNS_IN, RADIUS_MULTIPLES, RADIUS_TABLE, alloy_named, sheet_of
from kiosk.numbers.result import Quantity, Result, calculator, figure, require

__all__ = [
    "BendAllowance",
    "BendDeduction",
    "FlatWidth",
    "JBend",
    "Joggle",
    "LegAngle",
    "MinimumRadius",
    "Overbend",
    "ReliefHole",
    "Setback",
    "SightLine",
    "bend_allowance",
    "bend_deduction",
    "flat_width",
    "j_bend",
    "joggle",
    "leg_angle",
    "minimum_radius",
    "overbend",
    "relief_hole",
    "setback",
    "sight_line",
]


@dataclass(frozen=True)
class FlatLayout:
    """A developed section: its width and flats, and each bend's lines from the edge of the first leg."""

    width_in: float
    flats_in: tuple[float, ...]
    tangent_lines_in: tuple[float, ...]
    sight_lines_in: tuple[float, ...]  # the leg before the bend under the nose
    far_sight_lines_in: tuple[float, ...]  # the leg after the bend under the nose
    far_tangent_lines_in: tuple[float, ...]


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


def allowance_in(
    thickness_in: float, radius_in: float, bend_angle_deg: float, neutral_factor: float | None = None
) -> float:
    """Bend allowance in inches: by the handbook's formula, or by the arc where trial strips gave a factor.

    Raises OutOfRange for a neutral line outside the sheet.
    """
    require_neutral_factor(neutral_factor)
    if neutral_factor is None:
        return empirical_allowance_in(thickness_in, radius_in, bend_angle_deg)
    return arc_allowance_in(thickness_in, radius_in, bend_angle_deg, neutral_factor)


def require_neutral_factor(neutral_factor: float | None) -> None:
    """Refuse a neutral line outside the sheet. Raises OutOfRange."""
    require(
        neutral_factor is None or 0 <= neutral_factor <= 1,
        "neutral_factor",
        f"the neutral line at {neutral_factor} of the thickness lies outside the sheet",
        "give 0 to 1, as trial strips find it, or leave it out",
    )


def setback_in(thickness_in: float, radius_in: float, bend_angle_deg: float) -> float:
    """Setback in inches: tan(N/2) (R + T). Source: AC 43.13-1B paragraph 4-56b and Table 4-7."""
    return math.tan(math.radians(bend_angle_deg) / 2) * (radius_in + thickness_in)


def deduction_in(thickness_in: float, radius_in: float, bend_angle_deg: float) -> float:
    """Bend deduction in inches: 2 x setback - empirical allowance. Source: FAA-H-8083-31 ch. 4."""
    back = setback_in(thickness_in, radius_in, bend_angle_deg)
    return 2 * back - empirical_allowance_in(thickness_in, radius_in, bend_angle_deg)


def check_bend(
    thickness_in: float,
    radius_in: float,
    bend_angle_deg: float,
    angle_argument: str = "bend_angle_deg",
    item: int | None = None,
) -> None:
    """Refuse a bend that the formulas do not cover. Raises OutOfRange.

    ``angle_argument`` is what the caller's own signature calls the angle, to blame it by that name, and
    ``item`` which of a list it is, from 0.
    """
    require(
        0 < thickness_in <= 0.26,
        "thickness_in",
        f"thickness {thickness_in} in is outside 0 to 0.26 in",
        "these rules are for sheet",
    )
    require(
        0 <= radius_in <= 10,
        "inside_radius_in",
        f"radius {radius_in} in is outside 0 to 10 in",
        "give the inside radius",
    )
    require(
        0 <= bend_angle_deg < LARGEST_ANGLE_DEG,
        angle_argument,
        f"bend angle {bend_angle_deg} is outside 0 to {LARGEST_ANGLE_DEG:g} degrees",
        "give the degrees bent from flat (180 less the angle between the legs)",
        item,
    )


@dataclass(frozen=True, kw_only=True)
class BendAllowance(Result):
    """Sheet used up by one bend, by the handbook's formula and by the arc at half the thickness."""

    allowance_in: float
    arc_in: float = figure("arc at half thickness")
    arc_less_empirical_in: float | None = None  # None where the two agree to half a thousandth


@calculator(
    subject="bends",
    title="Bend allowance",
    formula="(0.01743 x radius + 0.0078 x thickness) x degrees of bend",
    source=HANDBOOK,
    holds="0 to 175 degrees from flat, sheet up to 0.26 in",
)
def bend_allowance(
    thickness_in: float,
    inside_radius_in: float,
    bend_angle_deg: float = 90.0,
    neutral_factor: float | None = None,
) -> BendAllowance:
    """Sheet used up by one bend.

    Parameters
    ----------
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.26.
    inside_radius_in : float
        Inside bend radius in inches, 0 to 10.
    bend_angle_deg : float, default 90
        Degrees bent from flat, 0 to below 175.
    neutral_factor : float, optional
        Where the neutral line lies in the thickness, 0 to 1, as trial strips find it. Left out, the
        handbook's formula is used.

    Returns
    -------
    BendAllowance
        ``allowance_in`` by the handbook's formula [1]_; ``arc_in`` is the exact arc at half the thickness,
        and ``arc_less_empirical_in`` how far the two differ where it is half a thousandth or more.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    Notes
    -----
    The formula is a fit, (0.01743 R + 0.0078 T) N: its first constant is pi/180 to four figures, its second
    puts the neutral line at 0.447 of the thickness.

    References
    ----------
    .. [1] FAA-H-8083-31, Aviation Maintenance Technician Handbook - Airframe, chapter 4, bend allowance.
    """
    check_bend(thickness_in, inside_radius_in, bend_angle_deg)
    allowance = allowance_in(thickness_in, inside_radius_in, bend_angle_deg, neutral_factor)
    arc = arc_allowance_in(thickness_in, inside_radius_in, bend_angle_deg)
    apart = arc - allowance if abs(arc - allowance) >= 0.0005 else None
    return BendAllowance(allowance_in=allowance, arc_in=arc, arc_less_empirical_in=apart)


@dataclass(frozen=True, kw_only=True)
class Setback(Result):
    """From the mould line to the bend tangent line."""

    setback_in: float


@calculator(
    subject="bends",
    title="Setback",
    formula="tan(half the bend angle) x (radius + thickness)",
    source="AC 43.13-1B paragraph 4-56b and Table 4-7",
    holds="0 to 175 degrees from flat",
)
def setback(thickness_in: float, inside_radius_in: float, bend_angle_deg: float = 90.0) -> Setback:
    """Distance from the outside corner (mould line) to the bend tangent line.

    Parameters
    ----------
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.26.
    inside_radius_in : float
        Inside bend radius in inches, 0 to 10.
    bend_angle_deg : float, default 90
        Degrees bent from flat, 0 to below 175.

    Returns
    -------
    Setback
        ``setback_in`` [1]_.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    References
    ----------
    .. [1] FAA AC 43.13-1B, paragraph 4-56b and Table 4-7 (K = tan(N/2)).
    """
    check_bend(thickness_in, inside_radius_in, bend_angle_deg)
    return Setback(setback_in=setback_in(thickness_in, inside_radius_in, bend_angle_deg))


@dataclass(frozen=True, kw_only=True)
class BendDeduction(Result):
    """What one bend takes off the sum of the outside legs, and the two figures it is made from."""

    deduction_in: float
    setback_in: float
    allowance_in: float = figure("bend allowance")


@calculator(
    subject="bends",
    title="Bend deduction",
    formula="2 x setback - bend allowance; flat width = outside legs added up - deductions",
    source=HANDBOOK + "; AC 43.13-1B 4-56b for the setback",
    holds="0 to 175 degrees from flat; legs measured outside, corner to corner",
)
def bend_deduction(
    thickness_in: float,
    inside_radius_in: float,
    bend_angle_deg: float = 90.0,
    neutral_factor: float | None = None,
) -> BendDeduction:
    """What one bend takes off the sum of the outside legs.

    Parameters
    ----------
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.26.
    inside_radius_in : float
        Inside bend radius in inches, 0 to 10.
    bend_angle_deg : float, default 90
        Degrees bent from flat, 0 to below 175.
    neutral_factor : float, optional
        Where the neutral line lies in the thickness, 0 to 1, as trial strips find it. Left out, the
        handbook's formula is used.

    Returns
    -------
    BendDeduction
        ``deduction_in`` = 2 x ``setback_in`` [2]_ - ``allowance_in`` [1]_.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    References
    ----------
    .. [1] FAA-H-8083-31, chapter 4, bend deduction and empirical bend allowance.
    .. [2] FAA AC 43.13-1B, paragraph 4-56b.
    """
    check_bend(thickness_in, inside_radius_in, bend_angle_deg)
    sizes = (thickness_in, inside_radius_in, bend_angle_deg)
    allowance, back = allowance_in(*sizes, neutral_factor), setback_in(*sizes)
    return BendDeduction(deduction_in=2 * back - allowance, setback_in=back, allowance_in=allowance)


def radius_column(thickness_in: float) -> int:
    """Index of the printed column that covers a sheet: the first at or above it."""
    return bisect_left(RADIUS_COLUMNS_IN, thickness_in - 1e-9)


@dataclass(frozen=True, kw_only=True)
class MinimumRadius(Result):
    """The safe end of the table's range, the other end, and the printed column that was used."""

    radius_in: float
    lowest_in: float = figure("lowest in the table")
    column_in: float = figure("column used")


@calculator(
    subject="bends",
    title="Minimum inside radius",
    formula="thickness x the upper multiple in the next printed column at or above this thickness",
    source=RADIUS_TABLE,
    holds="90-degree cold bends, sheet up to 0.258 in; the table gives no rule between its columns",
)
def minimum_radius(thickness_in: float, alloy: str) -> MinimumRadius:
    """Smallest inside radius to bend cold through 90 degrees, on the safe side of the table.

    Parameters
    ----------
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.258.
    alloy : str
        Alloy and temper of the table, such as ``2024-T3``; ``clad 2024-T3`` takes the same radius.

    Returns
    -------
    MinimumRadius
        ``radius_in`` is the thickness times the upper multiple of the printed column at or above it [1]_;
        ``lowest_in`` takes the lower multiple, ``column_in`` is that column's thickness.

    Raises
    ------
    OutOfRange
        When the alloy is not in the table or the sheet is thicker than its last column.

    Notes
    -----
    Published charts disagree by up to two times; the result names the table it used, and the radius on the
    plans wins. The table gives no rule between its columns: the next thicker column is the safe one.

    References
    ----------
    .. [1] FAA AC 43.13-1B, Table 4-6, recommended radii for 90-degree bends in aluminum alloys.
    """
    core = alloy_named(alloy, RADIUS_MULTIPLES)
    require(
        0 < thickness_in <= RADIUS_COLUMNS_IN[-1],
        "thickness_in",
        f"thickness {thickness_in} in is beyond the table (0.258 in)",
        "ask the designer",
    )
    low, high = RADIUS_MULTIPLES[core][radius_column(thickness_in)]
    return MinimumRadius(
        radius_in=high * thickness_in,
        lowest_in=low * thickness_in,
        column_in=RADIUS_COLUMNS_IN[radius_column(thickness_in)],
        warnings=(
            "Charts disagree by up to two times: the plans' radius wins.",
            "Bends along the grain crack sooner than bends across it.",
        ),
    )


def springback_radius_ratio(
    radius_in: float, thickness_in: float, yield_psi: float, modulus_psi: float
) -> float:
    """Radius under the tool over radius after release, for an elastic, perfectly plastic sheet.

    4 X^3 - 3 X + 1 with X = R Y / (E T). Source: standard textbook closed form (from memory).
    Raises OutOfRange when the sheet would only flex (X >= 0.5).
    """
    flex = radius_in * yield_psi / (modulus_psi * thickness_in)
    require(
        flex < 0.5,
        "inside_radius_in",
        "the sheet only flexes at this radius and springs flat",
        "use a smaller radius",
    )
    return 4 * flex**3 - 3 * flex + 1


@dataclass(frozen=True, kw_only=True)
class Overbend(Result):
    """The angle to bend to, and what the sheet does on release."""

    angle_deg: float
    over_deg: float = figure("over the wanted angle")
    released_radius_in: float = figure("radius after release")
    springback_factor: float
    block_face_deg: float = figure("in a form block, the face between to the side")
    wanted_deg: float = figure("wanted after release, from flat")


@calculator(
    subject="bends",
    title="Bend to",
    formula="wanted angle / K; K = (2 Ri/T + 1) / (2 Rf/T + 1); Ri/Rf = 4 X^3 - 3 X + 1; X = Ri Y / (E T)",
    source="elastic springback of a plastic sheet, textbook closed form (from memory)",
    holds="X below 0.5 and a bend under the tool of no more than 175 degrees; a trial strip decides",
)
def overbend(
    thickness_in: float,
    inside_radius_in: float,
    alloy: str,
    bend_angle_deg: float = 90.0,
    yield_psi: float | None = None,
    springback_factor: float | None = None,
) -> Overbend:
    """Angle to bend to, so that the sheet springs back to the wanted angle.

    Parameters
    ----------
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.26.
    inside_radius_in : float
        Inside radius of the tool in inches, above 0 to 10.
    alloy : str
        Alloy and temper, such as ``2024-T3``; gives yield and modulus.
    bend_angle_deg : float, default 90
        The angle wanted after release, degrees from flat, 0 to below 175.
    yield_psi : float, optional
        Yield of the sheet in psi, 3,000 to 90,000, where its certificate gives it. Left out, the alloy's
        specified minimum is used, and a sheet that is stronger springs back further.
    springback_factor : float, optional
        Angle after release over angle set, 0.5 to 1.05, as trial strips find it. Given, it is K, and the
        yield is not asked.

    Returns
    -------
    Overbend
        ``angle_deg`` from flat under the tool, ``over_deg`` beyond the wanted angle, the radius after
        release, and the springback factor K (angle after over angle before). ``block_face_deg`` is what a
        protractor reads in the wood of a form block that lets the flange go so far, and ``wanted_deg`` the
        angle that was asked for.

    Raises
    ------
    OutOfRange
        When an input is outside its range, the alloy is unknown, the sheet would only flex, or would have to
        be bent beyond 175 degrees.

    Notes
    -----
    The closed form takes an elastic, perfectly plastic sheet of the specified minimum yield [1]_. A sheet's
    real yield is higher and it work-hardens, so a trial strip decides.

    References
    ----------
    .. [1] Elastic springback in bending, textbook closed form (from memory).
    """
    check_bend(thickness_in, inside_radius_in, bend_angle_deg)
    sheet = sheet_of(alloy)
    require(
        inside_radius_in > 0,
        "inside_radius_in",
        "a sharp bend has no springback figure",
        "give the inside radius",
    )
    require(
        yield_psi is None or 3_000 <= yield_psi <= 90_000,
        "yield_psi",
        f"a yield of {yield_psi} psi is no aluminium sheet's",
        "give 3,000 to 90,000 psi, as the certificate says, or leave it out",
    )
    require(
        springback_factor is None or 0.5 <= springback_factor <= 1.05,
        "springback_factor",
        f"a springback factor of {springback_factor} is no bend's",
        "give 0.5 to 1.05, as trial strips find it, or leave it out",
    )
    turns = 2 * inside_radius_in / thickness_in + 1
    warnings: tuple[str, ...] = ()
    if springback_factor is not None:
        factor = springback_factor
        final_radius = (turns / factor - 1) * thickness_in / 2
    else:
        strength = sheet.yield_psi if yield_psi is None else yield_psi
        ratio = springback_radius_ratio(inside_radius_in, thickness_in, strength, sheet.elastic_modulus_psi)
        final_radius = inside_radius_in / ratio
        factor = turns / (2 * final_radius / thickness_in + 1)
        if yield_psi is None:
            warnings = (f"Worked with the least yield of {alloy}: {strength:,.0f} psi.",)
    angle = bend_angle_deg / factor
    require(
        angle <= LARGEST_ANGLE_DEG,
        "inside_radius_in",
        f"it would have to be bent {angle:.0f} degrees: so round a bend springs nearly flat",
        "use a smaller radius, or roll it",
    )
    return Overbend(
        angle_deg=angle,
        over_deg=angle - bend_angle_deg,
        released_radius_in=final_radius,
        springback_factor=factor,
        block_face_deg=180 - angle,
        wanted_deg=bend_angle_deg,
        warnings=warnings,
    )


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
    require(len(bend_angles_deg) >= 1, "bend_angles_deg", "nothing is bent", "give a bend angle")
    require(
        len(legs_in) == len(bend_angles_deg) + 1,
        "legs_in",
        "a section has one leg more than bends",
        "count them",
    )
    for number, angle in enumerate(bend_angles_deg):
        check_bend(thickness_in, inside_radius_in, angle, "bend_angles_deg", number)
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
            "legs_in",
            f"leg {number + 1} of {leg:g} in is shorter than its setbacks",
            "make it longer or the radius smaller",
            number,
        )
    tangents: list[float] = []
    at = 0.0
    for flat, allowance in zip(flats[:-1], allowances, strict=True):
        tangents.append(at + flat)
        at += flat + allowance
    far_tangents = tuple(a + b for a, b in zip(tangents, allowances, strict=True))
    return FlatLayout(
        width_in=at + flats[-1],
        flats_in=tuple(flats),
        tangent_lines_in=tuple(tangents),
        sight_lines_in=tuple(tangent + inside_radius_in for tangent in tangents),
        far_sight_lines_in=tuple(far - inside_radius_in for far in far_tangents),
        far_tangent_lines_in=far_tangents,
    )


@dataclass(frozen=True, kw_only=True)
class FlatWidth(Result):
    """The flat sheet's width, its flats, and where each bend's lines are scribed, from one edge."""

    width_in: float
    flats_in: tuple[float, ...]
    tangent_lines_in: tuple[float, ...]
    sight_lines_in: tuple[float, ...]
    far_sight_lines_in: tuple[float, ...]
    far_tangent_lines_in: tuple[float, ...]

    @property
    def beside(self) -> tuple[Quantity, ...]:
        """The flats, then every line in the order to scribe it; a sight line says which leg it is for."""
        bends = zip(
            self.tangent_lines_in,
            self.sight_lines_in,
            self.far_sight_lines_in,
            self.far_tangent_lines_in,
            strict=True,
        )
        lines = [
            Quantity(f"bend {number} {name}", at, "in")
            for number, places in enumerate(bends, 1)
            for name, at in zip(
                (
                    "tangent line",
                    f"sight line, leg {number} under the nose",
                    f"sight line, leg {number + 1} under the nose",
                    "far tangent line",
                ),
                places,
                strict=True,
            )
        ]
        flats = tuple(Quantity(f"flat {n}", flat, "in") for n, flat in enumerate(self.flats_in, 1))
        return (*flats, *sorted(lines, key=lambda one: float(one.value)))


@calculator(
    subject="bends",
    title="Flat width",
    formula="each leg less its setbacks, added up, and a bend allowance for each bend",
    source=HANDBOOK + "; sight line one radius from the tangent line under the brake's nose",
    holds="legs outside, corner to corner (a zee's free flange from the far face); 0 to 175 degrees a bend",
)
def flat_width(
    legs_in: tuple[float, ...],
    bend_angles_deg: tuple[float, ...],
    thickness_in: float,
    inside_radius_in: float,
    neutral_factor: float | None = None,
) -> FlatWidth:
    """Width of the flat sheet that bends up into a section, and every line to scribe on it.

    Parameters
    ----------
    legs_in : tuple of float
        The legs in order, in inches, each measured outside, corner to corner. One more than the bends.
    bend_angles_deg : tuple of float
        Degrees bent from flat at each bend, 0 to below 175. One at least.
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.26.
    inside_radius_in : float
        Inside radius of every bend in inches, 0 to 10.
    neutral_factor : float, optional
        Where the neutral line lies, as a share of the thickness from the inside, 0 to 1, as trial strips
        find it: the line lies within the sheet, and seldom beyond its middle (0.5). Left out, the handbook's
        empirical allowance is used.

    Returns
    -------
    FlatWidth
        ``width_in`` is the sum of the flats and the allowances [1]_. All lines are measured from the edge of
        the first leg: ``tangent_lines_in``, ``far_tangent_lines_in``, and the sight lines one radius into
        the bend from the tangent line that goes under the nose: ``sight_lines_in`` when the leg before the
        bend lies under the nose, ``far_sight_lines_in`` when the leg after it does.

    Raises
    ------
    OutOfRange
        When legs and bends do not fit together, a leg is shorter than its setbacks, or an input is outside
        its range.

    References
    ----------
    .. [1] FAA-H-8083-31, chapter 4, flat pattern layout and sight line.

    Examples
    --------
    >>> worked = flat_width((0.75, 5.694, 0.75), (90.0, 90.0), 0.032, 0.125)
    >>> round(worked.width_in, 3)
    7.003

    The second bend with the web under the nose, and with the second flange under it:

    >>> round(worked.sight_lines_in[1], 3), round(worked.far_sight_lines_in[1], 3)
    (6.317, 6.285)
    """
    require_neutral_factor(neutral_factor)
    layout = flat_layout(legs_in, bend_angles_deg, thickness_in, inside_radius_in, neutral_factor)
    return FlatWidth(
        width_in=layout.width_in,
        flats_in=layout.flats_in,
        tangent_lines_in=layout.tangent_lines_in,
        sight_lines_in=layout.sight_lines_in,
        far_sight_lines_in=layout.far_sight_lines_in,
        far_tangent_lines_in=layout.far_tangent_lines_in,
    )


@dataclass(frozen=True, kw_only=True)
class SightLine(Result):
    """Where the nose of the radius bar has to look down on."""

    sight_line_in: float


@calculator(
    subject="bends",
    title="Sight line from the tangent line",
    formula="one inside radius into the bend, from the tangent line that goes under the nose",
    source="FAA-H-8083-31 ch. 4, sight line",
    holds="cornice or box brake with a radius bar",
)
def sight_line(inside_radius_in: float, tangent_line_in: float) -> SightLine:
    """Where the nose of the radius bar has to look down on.

    Parameters
    ----------
    inside_radius_in : float
        Inside bend radius in inches, 0 or more.
    tangent_line_in : float
        From the sheet's edge to the tangent line that goes under the nose, in inches, 0 or more.

    Returns
    -------
    SightLine
        ``sight_line_in`` from the sheet's edge [1]_.

    Raises
    ------
    OutOfRange
        When a length is negative.

    References
    ----------
    .. [1] FAA-H-8083-31, chapter 4, sight line.
    """
    require(inside_radius_in >= 0, "inside_radius_in", "the radius is below nothing", "check it")
    require(tangent_line_in >= 0, "tangent_line_in", "the tangent line is below nothing", "check it")
    return SightLine(sight_line_in=tangent_line_in + inside_radius_in)


@dataclass(frozen=True, kw_only=True)
class LegAngle(Result):
    """How far to bend from flat for an angle between the legs."""

    bend_angle_deg: float


@calculator(
    subject="bends",
    title="Bend angle from flat",
    formula="180 less the angle between the legs",
    source="FAA-H-8083-31 ch. 4 (bend angle = 180 - angle between flanges)",
    holds="0 to 180 degrees; the same sum leads back",
)
def leg_angle(between_legs_deg: float) -> LegAngle:
    """Bend angle, which counts from flat, for an angle that is given between the legs; and back.

    Parameters
    ----------
    between_legs_deg : float
        Angle between the two legs in degrees, above 5 to 180 (flat sheet).

    Returns
    -------
    LegAngle
        ``bend_angle_deg`` from flat [1]_. A bend below 90 degrees leaves an open angle, one above a closed.

    Raises
    ------
    OutOfRange
        When the angle is outside its range.

    References
    ----------
    .. [1] FAA-H-8083-31, chapter 4, bend angle.

    Examples
    --------
    >>> leg_angle(120).bend_angle_deg
    60
    """
    require(
        180 - LARGEST_ANGLE_DEG < between_legs_deg <= 180,
        "between_legs_deg",
        f"{between_legs_deg:g} degrees between the legs is outside 5 to 180",
        "measure it between the legs",
    )
    return LegAngle(bend_angle_deg=180 - between_legs_deg)


@dataclass(frozen=True, kw_only=True)
class JBend(Result):
    """The flat sheet's width for a flange turned right back, and where the bend begins and ends on it."""

    width_in: float
    tangent_line_in: float
    far_tangent_line_in: float
    allowance_in: float


@calculator(
    subject="bends",
    title="Flat width of a J-bend or open hem",
    formula="(leg - R - T) + (return - R - T) + allowance for 180 degrees",
    source=HANDBOOK + "; lengths overall, to the outside of the round",
    holds="a flange turned right back; a bend this tight needs the least radius of the alloy all the more",
)
def j_bend(
    leg_in: float,
    return_in: float,
    thickness_in: float,
    inside_radius_in: float,
    neutral_factor: float | None = None,
) -> JBend:
    """Width of the flat sheet for a flange that is turned back through 180 degrees.

    Parameters
    ----------
    leg_in : float
        Long leg overall in inches, from its edge to the outside of the round.
    return_in : float
        The leg turned back overall in inches, from its edge to the outside of the round.
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.26.
    inside_radius_in : float
        Inside radius in inches, above 0 to 10; half the gap between the legs.
    neutral_factor : float, optional
        Where the neutral line lies in the thickness, 0 to 1, as trial strips find it. Left out, the
        handbook's formula is used.

    Returns
    -------
    JBend
        ``width_in`` of the flat sheet [1]_; both tangent lines from the edge of the long leg, and the
        allowance between them.

    Raises
    ------
    OutOfRange
        When a leg is shorter than its round, or an input is outside its range.

    Notes
    -----
    A setback has no meaning at 180 degrees: the corner of the legs lies nowhere. The lengths are therefore
    overall. The empirical allowance is published for any bend to 180 degrees.

    References
    ----------
    .. [1] Bend allowance for any bend from 1 to 180 degrees: FAA-H-8083-31, chapter 4.

    Examples
    --------
    >>> round(j_bend(1.0, 0.5, 0.032, 0.125).width_in, 4)
    1.6231
    """
    check_bend(thickness_in, inside_radius_in, 0.0)
    require(inside_radius_in > 0, "inside_radius_in", "the legs touch", "give half the gap between the legs")
    back = inside_radius_in + thickness_in
    for argument, leg in (("leg_in", leg_in), ("return_in", return_in)):
        require(leg >= back, argument, f"a leg of {leg:g} in is shorter than its round", "make it longer")
    allowance = allowance_in(thickness_in, inside_radius_in, 180, neutral_factor)
    return JBend(
        width_in=leg_in - back + return_in - back + allowance,
        tangent_line_in=leg_in - back,
        far_tangent_line_in=leg_in - back + allowance,
        allowance_in=allowance,
    )


JOGGLE_LENGTHS = 3.0  # of the depth, at least


@dataclass(frozen=True, kw_only=True)
class Joggle(Result):
    """How long a joggle must at least be, its slope, and what it takes of the sheet."""

    least_length_in: float
    slope_deg: float
    extra_length_in: float = figure("longer than it looks by")


@calculator(
    subject="bends",
    title="Least length of a joggle",
    formula="3 x depth; slope = atan(depth / length); extra = sqrt(length^2 + depth^2) - length",
    source="3 x depth: common practice, no source; the rest is plain geometry",
    holds="2024-T3; radii as for any bend; the plans' joggle wins",
)
def joggle(depth_in: float, length_in: float = 0.0) -> Joggle:
    """How long a joggle must be at least, and how much sheet it takes.

    Parameters
    ----------
    depth_in : float
        Offset in inches, above 0 to 0.5: the sheet it goes over, and the primer.
    length_in : float, default 0
        Length of the slope along the part in inches; 0 takes the least.

    Returns
    -------
    Joggle
        ``least_length_in`` is three times the depth [1]_; ``slope_deg`` and ``extra_length_in`` are for the
        length that was given [2]_. A warning says when that is too short.

    Raises
    ------
    OutOfRange
        When the depth is outside its range or the length is negative.

    References
    ----------
    .. [1] Common practice, no source.
    .. [2] Derived: plain geometry.

    Examples
    --------
    >>> round(joggle(0.032).least_length_in, 3)
    0.096
    """
    require(0 < depth_in <= 0.5, "depth_in", f"a depth of {depth_in} in is outside 0 to 1/2", "measure it")
    require(length_in >= 0, "length_in", "the length is below nothing", "check it")
    least = JOGGLE_LENGTHS * depth_in
    length = length_in or least
    return Joggle(
        least_length_in=least,
        slope_deg=math.degrees(math.atan2(depth_in, length)),
        extra_length_in=math.hypot(length, depth_in) - length,
        warnings=("Shorter than three times its depth.",) if length < least - 1e-9 else (),
    )


RELIEF_SMALL_IN, RELIEF_LARGE_IN = 1 / 8, 3 / 16


@dataclass(frozen=True, kw_only=True)
class ReliefHole(Result):
    """The hole to drill where bends cross, and the handbook's least."""

    diameter_in: float
    least_in: float = figure("at least")


@calculator(
    subject="bends",
    title="Relief hole where bends cross",
    formula="twice the bend radius, and no less than 1/8 (sheet to .064) or 3/16 (sheet .072 to .128)",
    source='FAA-H-8083-31 ch. 4, box folding (it prints "3/160" for 3/16, and both 2R and R as the rule)',
    holds="aluminium alloy sheet up to 0.128 in",
)
def relief_hole(thickness_in: float, inside_radius_in: float) -> ReliefHole:
    """Diameter of the relief hole where two bends cross.

    Parameters
    ----------
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.128.
    inside_radius_in : float
        Inside bend radius in inches, 0 to 10.

    Returns
    -------
    ReliefHole
        ``diameter_in`` recommended, ``least_in`` the handbook's minimum [1]_.

    Raises
    ------
    OutOfRange
        When the sheet is thicker than the rule covers.

    Notes
    -----
    The handbook prints "3/160" where 3/16 is meant, and gives both the radius and twice the radius as the
    rule; the larger is recommended here and the smaller stands beside it.

    References
    ----------
    .. [1] FAA-H-8083-31, chapter 4, box folding.
    """
    require(
        0 < thickness_in <= 0.128,
        "thickness_in",
        f"thickness {thickness_in} in is beyond the rule",
        "ask the designer",
    )
    require(
        0 <= inside_radius_in <= 10,
        "inside_radius_in",
        f"inside radius {inside_radius_in} in is outside 0 to 10 in",
        "check the radius",
    )
    smallest = RELIEF_SMALL_IN if thickness_in <= 0.064 else RELIEF_LARGE_IN
    return ReliefHole(
        diameter_in=max(smallest, 2 * inside_radius_in),
        least_in=max(smallest, inside_radius_in),
        warnings=("Centre it where the inside tangent lines cross, 1/32 to 1/16 beyond them.",),
    )
