"""Flanged lightening holes: the geometry between the hole and flange sizes that the plans give."""

import math
from dataclasses import dataclass

from kiosk.numbers.materials import sheet_of
from kiosk.numbers.result import Result, calculator, figure, require

__all__ = [
    "BlockOpening",
    "FlangedHole",
    "FlangingDies",
    "HoleSpacing",
    "PressForce",
    "block_opening",
    "flanged_hole",
    "flanging_dies",
    "hole_spacing",
    "press_force",
]

BLOCK_ROOM_IN = 0.0625  # round a hole's flange, in the block that it drops into; common practice, no source
_LONGEST_SHOULDER = 2.0  # of the flange's slant: a steep cone that went on to the pilot would need a long die


def _flange_angle_rad(flange_angle_deg: float) -> float:
    """The angle in radians. Raises OutOfRange outside 1 to 90 degrees."""
    require(
        1 <= flange_angle_deg <= 90,
        "flange_angle_deg",
        "the flange angle is outside 1 to 90 degrees",
        "45 is usual",
    )
    return math.radians(flange_angle_deg)


def _check_slant(flange_slant_in: float, cut_out_in: float, mend: str) -> None:
    """Refuse a flange of no width, or one that reaches the middle of its hole. Raises OutOfRange."""
    require(flange_slant_in > 0, "flange_slant_in", "the flange has no width", "give its slant width")
    require(flange_slant_in < cut_out_in / 2, "flange_slant_in", "the flange is too wide for this hole", mend)


def _check_sheet(thickness_in: float) -> None:
    """Refuse what is no sheet. Raises OutOfRange."""
    require(
        0 < thickness_in <= 0.26,
        "thickness_in",
        f"thickness {thickness_in} in is outside 0 to 0.26 in",
        "these rules are for sheet",
    )


@dataclass(frozen=True, kw_only=True)
class FlangedHole(Result):
    """The hole to cut, and what it becomes: the opening of its die, its height and its edge's stretch."""

    cut_out_in: float
    die_opening_in: float = figure("die opening at the face")
    flange_height_in: float
    edge_stretch_percent: float


@calculator(
    subject="holes",
    title="Cut-out before flanging",
    formula="finished hole - 2 x slant x (1 - cos angle)",
    source="derived: cone geometry at the sheet's mid-line, bend radius neglected",
    holds="flange angle 1 to 90 degrees, slant shorter than the hole's radius",
)
def flanged_hole(
    finished_hole_in: float, flange_slant_in: float, alloy: str, flange_angle_deg: float = 45.0
) -> FlangedHole:
    """Diameter to cut, so that the flanged hole comes out at the wanted clear diameter.

    Parameters
    ----------
    finished_hole_in : float
        Clear diameter of the flanged hole in inches; its flange must fit inside it.
    flange_slant_in : float
        Width of the flange along its slope in inches, above 0 and below half the cut-out.
    alloy : str
        Alloy and temper, such as ``2024-T3``; gives the specified elongation.
    flange_angle_deg : float, default 45
        Degrees the flange is bent from flat, 1 to 90.

    Returns
    -------
    FlangedHole
        ``cut_out_in`` is the diameter to cut, ``die_opening_in`` the female die's at its face without the
        sheet's thickness, ``edge_stretch_percent`` how far the edge must stretch [1]_. A warning says when
        that is over the alloy's specified elongation.

    Raises
    ------
    OutOfRange
        When an input is outside its range or the alloy is unknown.

    Notes
    -----
    The flange is a cone at the sheet's mid-line and the bend radius is neglected. At 90 degrees the stretch
    is the hole expansion ratio of ISO 16630.

    References
    ----------
    .. [1] Derived: plain geometry of a cone.

    Examples
    --------
    >>> worked = flanged_hole(3.1464, 0.25, "2024-T3")
    >>> round(worked.cut_out_in, 3), round(worked.edge_stretch_percent, 2)
    (3.0, 4.88)
    """
    angle = _flange_angle_rad(flange_angle_deg)
    cut = finished_hole_in - 2 * flange_slant_in * (1 - math.cos(angle))
    require(finished_hole_in > 0, "finished_hole_in", "the hole has no size", "give its clear diameter")
    _check_slant(flange_slant_in, cut, "give a narrower flange")
    limit = sheet_of(alloy).elongation_percent
    strain = 100 * flange_slant_in * (1 - math.cos(angle)) / (cut / 2)
    warnings = (
        (f"Edge stretch is over the {limit:g} % specified elongation of {alloy}.",) if strain > limit else ()
    )
    return FlangedHole(
        cut_out_in=cut,
        die_opening_in=cut + 2 * flange_slant_in,
        flange_height_in=flange_slant_in * math.sin(angle),
        edge_stretch_percent=strain,
        warnings=warnings,
    )


@dataclass(frozen=True, kw_only=True)
class FlangingDies(Result):
    """The opening of the female die at its face, and the sizes of the male die and the chamfer."""

    opening_in: float
    male_pilot_in: float
    male_cone_deg: float = figure("male cone, included")
    female_chamfer_in: float = figure("female chamfer deep")
    male_shoulder_in: float = figure("male shoulder along its slope")
    male_shoulder_diameter_in: float = figure("male shoulder, diameter at its face")
    female_bore_in: float = figure("female bore below the slope")


@calculator(
    subject="holes",
    title="Opening of the female die",
    formula="opening = cut-out + 2 x slant; shoulder's diameter = opening - 2 x thickness x tan(angle / 2); "
    "bore = the finished hole; pilot = cut-out - clearance; cone = 180 - 2 x angle",
    source="FAA-H-8083-31 ch. 4 (pilot the hole's size, shoulder the flange's angle); derived: the sheet's "
    "thickness between two cones",
    holds="flange angle 1 to 90 degrees",
)
def flanging_dies(
    cut_out_in: float,
    flange_slant_in: float,
    thickness_in: float,
    flange_angle_deg: float = 45.0,
    pilot_clearance_in: float = 0.010,
) -> FlangingDies:
    """Sizes of a pair of dies that flange a hole.

    Parameters
    ----------
    cut_out_in : float
        Diameter of the hole before flanging in inches, above twice the slant.
    flange_slant_in : float
        Width of the flange along its slope in inches, above 0 and below half the cut-out.
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.26.
    flange_angle_deg : float, default 45
        Degrees the flange is bent from flat, 1 to 90.
    pilot_clearance_in : float, default 0.010
        How much smaller the male die's pilot is than the hole, in inches on the diameter, 0 to 1/16: more
        than hole and pilot may be off together, so that every good pilot enters every good hole.

    Returns
    -------
    FlangingDies
        ``opening_in`` of the female die at its face, the same as ``flanged_hole`` gives; ``male_pilot_in``
        [1]_; ``male_shoulder_diameter_in``, where the male cone meets the male die's face, and
        ``male_shoulder_in``, that cone's width along its slope, down to the pilot or, where it is steep, to
        twice the flange's width; ``male_cone_deg`` is the
        included angle; ``female_bore_in`` is the finished hole, and ``female_chamfer_in`` how deep the slope
        goes from the face down to it [2]_.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    Notes
    -----
    Bottomed, the sheet lies between two faces and between two cones, its thickness apart in both places.
    The cones then meet their faces on circles that differ by 2 T tan(angle / 2) in diameter: a shoulder only
    as wide as the flange goes deeper than its slope and bottoms before the flange stands at the angle. The
    sheet's mid-line turns between them, T tan(angle / 2) inside the opening: .010 in in .025 sheet at 45
    degrees, by which the finished hole comes out .003 small. The bend radius is neglected.

    References
    ----------
    .. [1] FAA-H-8083-31, chapter 4, flanging dies: the pilot is the hole's size, the shoulder the flange's
       width and angle.
    .. [2] Derived: plain geometry of two cones with a sheet between them.

    Examples
    --------
    >>> worked = flanging_dies(2.854, 0.25, 0.025)
    >>> round(worked.male_shoulder_diameter_in, 3), round(worked.male_shoulder_in, 3)
    (3.333, 0.346)
    >>> round(worked.female_bore_in, 3), round(worked.female_chamfer_in, 3)
    (3.0, 0.177)
    """
    angle = _flange_angle_rad(flange_angle_deg)
    require(cut_out_in > 0, "cut_out_in", "the hole has no size", "give its diameter before flanging")
    _check_slant(flange_slant_in, cut_out_in, "check both")
    _check_sheet(thickness_in)
    require(
        0 <= pilot_clearance_in <= 1 / 16,
        "pilot_clearance_in",
        f"a clearance of {pilot_clearance_in:g} in is outside 0 to 1/16",
        "give what the pilot is smaller than the hole",
    )
    opening = cut_out_in + 2 * flange_slant_in
    pilot = cut_out_in - pilot_clearance_in
    shoulder = opening - 2 * thickness_in * math.tan(angle / 2)
    wide = (shoulder - pilot) / 2
    require(wide > 0, "thickness_in", "the sheet is too thick for so narrow a flange", "check both")
    most = _LONGEST_SHOULDER * flange_slant_in
    return FlangingDies(
        opening_in=opening,
        male_pilot_in=pilot,
        male_cone_deg=180 - 2 * flange_angle_deg,
        female_chamfer_in=flange_slant_in * math.sin(angle),
        male_shoulder_in=wide / math.cos(angle) if wide < most * math.cos(angle) else most,
        male_shoulder_diameter_in=shoulder,
        female_bore_in=opening - 2 * flange_slant_in * math.cos(angle),
    )


@dataclass(frozen=True, kw_only=True)
class BlockOpening(Result):
    """The opening in a form block that a flanged hole drops into."""

    opening_in: float


@calculator(
    subject="holes",
    title="Opening in the form block",
    formula="circle where the hole's flange begins + 2 x room",
    source="derived: plain geometry; the room is common practice, no source",
    holds="a hole that is flanged before the rib is formed",
)
def block_opening(flange_circle_in: float, room_in: float = BLOCK_ROOM_IN) -> BlockOpening:
    """Diameter of the opening that both form blocks need where a hole is flanged already.

    Parameters
    ----------
    flange_circle_in : float
        Diameter at which the hole's flange begins, in inches, above 0: the opening of its female die.
    room_in : float, default 0.0625
        Room wanted round the flange, in inches, 0 to 1/2: the bend's own radius lies in it.

    Returns
    -------
    BlockOpening
        ``opening_in``, the least diameter of the opening [1]_.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    References
    ----------
    .. [1] Derived: plain geometry.

    Examples
    --------
    >>> round(block_opening(3.3536).opening_in, 3)
    3.479
    """
    require(flange_circle_in > 0, "flange_circle_in", "the flange has no size", "give its circle's diameter")
    require(
        0 <= room_in <= 0.5,
        "room_in",
        f"a room of {room_in:g} in is outside 0 to 1/2",
        "1/16 is usual",
    )
    return BlockOpening(opening_in=flange_circle_in + 2 * room_in)


@dataclass(frozen=True, kw_only=True)
class PressForce(Result):
    """The force to allow for, and the mean that it doubles."""

    force_lbf: float
    mean_lbf: float = figure("mean, no friction")


@calculator(
    subject="holes",
    title="Press force, roughly",
    formula="(work to stretch the edge + work to bend it) / flange height; doubled for friction and peak",
    source="derived: pi t Y s^2 (1 - cos a) + (Y t^2 / 4) a pi D, over s sin a; friction a guess",
    holds="soft and half-hard sheet, 45 degrees or so; an order of magnitude, not a rating",
)
def press_force(
    cut_out_in: float,
    flange_slant_in: float,
    thickness_in: float,
    alloy: str,
    flange_angle_deg: float = 45.0,
) -> PressForce:
    """Force to allow for at the press.

    Parameters
    ----------
    cut_out_in : float
        Diameter of the hole before flanging in inches.
    flange_slant_in : float
        Width of the flange along its slope in inches, above 0 and below half the cut-out.
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.26.
    alloy : str
        Alloy and temper, such as ``2024-T3``; gives the yield.
    flange_angle_deg : float, default 45
        Degrees the flange is bent from flat, 1 to 90.

    Returns
    -------
    PressForce
        ``force_lbf`` in pounds of force is twice ``mean_lbf``, the mean without friction [1]_.

    Raises
    ------
    OutOfRange
        When an input is outside its range or the alloy is unknown.

    Notes
    -----
    The work to stretch the edge and to bend it, over the height of the flange. Doubling it for friction and
    the peak is a guess: the figure is an order of magnitude, not a rating of a press.

    References
    ----------
    .. [1] Derived: work of bending and stretching.
    """
    strength = sheet_of(alloy).yield_psi
    angle = _flange_angle_rad(flange_angle_deg)
    require(cut_out_in > 0, "cut_out_in", "the hole has no size", "give its diameter before flanging")
    _check_slant(flange_slant_in, cut_out_in, "check both")
    _check_sheet(thickness_in)
    mean = press_force_mean_lbf(cut_out_in, flange_slant_in, thickness_in, strength, angle)
    return PressForce(force_lbf=2 * mean, mean_lbf=mean)


def press_force_mean_lbf(
    cut_out_in: float, slant_in: float, thickness_in: float, yield_psi: float, angle_rad: float
) -> float:
    """Mean force in pounds without friction. Derived work estimate."""
    hoop = math.pi * thickness_in * yield_psi * slant_in**2 * (1 - math.cos(angle_rad))
    die = cut_out_in + 2 * slant_in
    bend = yield_psi * thickness_in**2 / 4 * angle_rad * math.pi * die
    return (hoop + bend) / (slant_in * math.sin(angle_rad))


@dataclass(frozen=True, kw_only=True)
class HoleSpacing(Result):
    """Flat web left between two flanges, and between a flange and the web's edge."""

    between_in: float
    to_edge_in: float = figure("to the edge")


@calculator(
    subject="holes",
    title="Room between flanged holes",
    formula="centre distance - die opening; room to the web's edge = centre to edge - half the opening",
    source="derived: plain geometry; the least web left comes from the plans",
    holds="holes of one size in a row",
)
def hole_spacing(
    cut_out_in: float,
    flange_slant_in: float,
    centre_distance_in: float,
    centre_to_edge_in: float,
    least_web_in: float = 0.5,
) -> HoleSpacing:
    """Flat web left between two flanged holes, and between a hole and the edge.

    Parameters
    ----------
    cut_out_in : float
        Diameter of the holes before flanging in inches, above 0.
    flange_slant_in : float
        Width of their flanges along the slope in inches, 0 or more.
    centre_distance_in : float
        From centre to centre in inches.
    centre_to_edge_in : float
        From a centre to the edge of the web in inches.
    least_web_in : float, default 0.5
        Flat web that the plans want left, in inches, 0 or more; less is warned of.

    Returns
    -------
    HoleSpacing
        ``between_in`` two flanges and ``to_edge_in`` from a flange [1]_. A warning says when either is less
        than the plans want.

    Raises
    ------
    OutOfRange
        When two flanges would overlap, or one would reach over the web's edge.

    References
    ----------
    .. [1] Derived: plain geometry.

    Examples
    --------
    >>> worked = hole_spacing(2.854, 0.25, centre_distance_in=3.5, centre_to_edge_in=2.2)
    >>> round(worked.between_in, 3), round(worked.to_edge_in, 3)
    (0.146, 0.523)
    >>> worked.warnings
    ('The web between holes is under 0.5 in: look at the plans.',)
    """
    require(cut_out_in > 0, "cut_out_in", "the holes have no size", "give their diameter before flanging")
    require(flange_slant_in >= 0, "flange_slant_in", "a flange is narrower than nothing", "give 0 or more")
    require(least_web_in >= 0, "least_web_in", "the web wanted is less than nothing", "give 0 or more")
    opening = cut_out_in + 2 * flange_slant_in
    between = centre_distance_in - opening
    edge = centre_to_edge_in - opening / 2
    require(
        between >= 0,
        "centre_distance_in",
        f"the flanges overlap by {-between:.3f} in",
        "move the holes apart or make them smaller",
    )
    require(
        edge >= 0,
        "centre_to_edge_in",
        f"the flange reaches {-edge:.3f} in over the edge of the web",
        "move the hole inward or make it smaller",
    )
    warnings = tuple(
        f"{name} is under {least_web_in:g} in: look at the plans."
        for name, room in (("The web between holes", between), ("The web to the edge", edge))
        if room < least_web_in
    )
    return HoleSpacing(between_in=between, to_edge_in=edge, warnings=warnings)
