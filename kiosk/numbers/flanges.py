"""Curved flanges: how much a shrunk edge must lose, how many flutes take it up, how far an edge stretches.

No published numeric rule for flutes was found. The geometry here is derived and says so.
"""

import math
from dataclasses import dataclass

from kiosk.numbers.materials import sheet_of
from kiosk.numbers.result import Result, calculator, figure, require

__all__ = [
    "ConePattern",
    "EdgeStretch",
    "Flutes",
    "StretchRadius",
    "cone_pattern",
    "edge_stretch",
    "flutes",
    "stretch_radius",
]


def flute_uptake_in(chord_in: float, depth_in: float) -> float:
    """Edge length in inches that one flute takes up, as a circular arc of this chord and depth.

    2 r asin(c / 2 r) - c with r = (c^2/4 + h^2) / (2 h). Derived: plain geometry.
    """
    radius = (chord_in**2 / 4 + depth_in**2) / (2 * depth_in)
    return 2 * radius * math.asin(min(1.0, chord_in / (2 * radius))) - chord_in


@dataclass(frozen=True, kw_only=True)
class Flutes(Result):
    """How many flutes bring a flange flat, the edge they have to take up, and what each takes."""

    flutes: int = figure(unit="flutes")
    edge_to_lose_in: float
    each_in: float = figure("each flute takes")


@calculator(
    subject="flanges",
    title="Flutes to take up the edge",
    formula="excess = flange width x turning angle in radians; flutes = excess / edge taken up by one arc",
    source="derived: plain geometry; no published rule for flutes was found",
    holds="outward-curved (shrunk) flange; depth no more than half the flute's width; an upper bound",
)
def flutes(
    flange_width_in: float,
    turning_angle_deg: float,
    flute_width_in: float = 0.5,
    flute_depth_in: float = 0.09375,
) -> Flutes:
    """How many flutes bring an outward-curved flange flat.

    Parameters
    ----------
    flange_width_in : float
        Width of the flange in inches, above 0.
    turning_angle_deg : float
        How far the flange's outline turns from end to end, in degrees, 0 to 360.
    flute_width_in : float, default 0.5
        Width of a flute along the edge (the chord of its arc) in inches, twice its depth or more.
    flute_depth_in : float, default 0.09375
        Depth of a flute in inches, above 0 to half its width; deep enough to take something up.

    Returns
    -------
    Flutes
        ``flutes`` is ``edge_to_lose_in`` over ``each_in``, rounded up [1]_.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    Notes
    -----
    The flat edge is longer than the bent one by the flange's width times the angle it turns through, in
    radians. A flute is taken as a circular arc; it takes up the arc less its chord. The metal takes some
    shrink without a flute, so the count is an upper bound.

    References
    ----------
    .. [1] Derived: plain geometry. No published rule for flutes was found.

    Examples
    --------
    A flange 5/8 wide that turns through 17.2 degrees, with flutes of the usual size:

    >>> worked = flutes(0.625, 17.2)
    >>> worked.flutes, round(worked.edge_to_lose_in, 3), round(worked.each_in, 4)
    (5, 0.188, 0.0456)
    """
    require(flange_width_in > 0, "flange_width_in", "the flange has no width", "give the flange width")
    require(
        0 <= turning_angle_deg <= 360,
        "turning_angle_deg",
        "the turning angle is outside 0 to 360 degrees",
        "add up the bends",
    )
    require(flute_width_in > 0, "flute_width_in", "the flute has no width", "give the flute width")
    require(flute_depth_in > 0, "flute_depth_in", "the flute has no depth", "give the flute depth")
    require(
        flute_depth_in <= flute_width_in / 2,
        "flute_depth_in",
        "the flute is deeper than half its width",
        "give a wider or shallower flute",
    )
    excess = flange_width_in * math.radians(turning_angle_deg)
    each = flute_uptake_in(flute_width_in, flute_depth_in)
    require(each > 0, "flute_depth_in", "the flute is too shallow to take anything up", "give a deeper flute")
    warnings: tuple[str, ...] = ()
    if turning_angle_deg > 120:
        warnings = ("A nose this round is usually cut into tabs: follow the plans.",)
    return Flutes(
        flutes=math.ceil(excess / each - 1e-9), edge_to_lose_in=excess, each_in=each, warnings=warnings
    )


@dataclass(frozen=True, kw_only=True)
class EdgeStretch(Result):
    """How far an edge must stretch, and how far the alloy is specified to."""

    stretch_percent: float
    specified_elongation_percent: float


@calculator(
    subject="flanges",
    title="Edge stretch",
    formula="flange width / (radius of the bend line - flange width)",
    source="derived: plain geometry; limit from the specified elongation of the alloy",
    holds="inward-curved (stretched) flange narrower than its radius; file the edge smooth first",
)
def edge_stretch(flange_width_in: float, bend_line_radius_in: float, alloy: str) -> EdgeStretch:
    """How far the free edge of an inward-curved flange must stretch.

    Parameters
    ----------
    flange_width_in : float
        Width of the flange in inches, above 0 and below the radius of its bend line.
    bend_line_radius_in : float
        Radius of the curve that the bend line follows, in inches, above the flange's width.
    alloy : str
        Alloy and temper, such as ``2024-T3``; gives the specified elongation.

    Returns
    -------
    EdgeStretch
        ``stretch_percent`` [1]_ beside ``specified_elongation_percent`` [2]_; a warning says when the first
        is over the second.

    Raises
    ------
    OutOfRange
        When an input is outside its range or the alloy is unknown.

    References
    ----------
    .. [1] Derived: plain geometry, w / (R - w).
    .. [2] Specified minimum elongation of the sheet, mill data sheet.

    Examples
    --------
    >>> worked = edge_stretch(0.625, 6.0, "2024-T3")
    >>> round(worked.stretch_percent, 1), worked.specified_elongation_percent
    (11.6, 10.0)
    >>> worked.warnings
    ('Over the 10 % specified elongation of 2024-T3: expect cracks.',)
    """
    require(flange_width_in > 0, "flange_width_in", "the flange has no width", "give the flange width")
    require(
        flange_width_in < bend_line_radius_in,
        "bend_line_radius_in",
        "the flange is wider than its curve's radius",
        "check both sizes",
    )
    limit = sheet_of(alloy).elongation_percent
    stretch = 100 * flange_width_in / (bend_line_radius_in - flange_width_in)
    warnings = (
        (f"Over the {limit:g} % specified elongation of {alloy}: expect cracks.",) if stretch > limit else ()
    )
    return EdgeStretch(stretch_percent=stretch, specified_elongation_percent=float(limit), warnings=warnings)


@dataclass(frozen=True, kw_only=True)
class StretchRadius(Result):
    """The tightest curve that a stretched flange can follow, and the elongation it rests on."""

    least_radius_in: float
    specified_elongation_percent: float


@calculator(
    subject="flanges",
    title="Least radius of a stretched flange",
    formula="flange width x (1 + 1 / specified elongation)",
    source="derived: edge stretch w / (R - w) kept within the specified elongation of the alloy",
    holds="inward-curved (stretched) flange; file the edge smooth first; the plans' radius wins",
)
def stretch_radius(flange_width_in: float, alloy: str) -> StretchRadius:
    """The least radius of the bend line at which a stretched flange's edge stays within its elongation.

    Parameters
    ----------
    flange_width_in : float
        Width of the flange in inches, above 0.
    alloy : str
        Alloy and temper, such as ``2024-T3``; gives the specified elongation.

    Returns
    -------
    StretchRadius
        ``least_radius_in`` of the bend line [1]_, and the elongation [2]_.

    Raises
    ------
    OutOfRange
        When the flange has no width or the alloy is unknown.

    References
    ----------
    .. [1] Derived: ``edge_stretch`` solved for the radius.
    .. [2] Specified minimum elongation of the sheet, mill data sheet.

    Examples
    --------
    >>> round(stretch_radius(0.625, "2024-T3").least_radius_in, 3)
    6.875
    """
    require(flange_width_in > 0, "flange_width_in", "the flange has no width", "give the flange width")
    limit = float(sheet_of(alloy).elongation_percent)
    return StretchRadius(
        least_radius_in=flange_width_in * (1 + 100 / limit), specified_elongation_percent=limit
    )


@dataclass(frozen=True, kw_only=True)
class ConePattern(Result):
    """The sector of sheet that rolls up into a cone."""

    outer_radius_in: float
    inner_radius_in: float
    sector_deg: float


@calculator(
    subject="flanges",
    title="Flat pattern of a cone, outer radius",
    formula="slant x large / (large - small); slant = hypot(height, half the difference)",
    source="plain geometry: radial-line development of a right cone",
    holds="sizes at the sheet's mid-line, no allowance for the lap",
)
def cone_pattern(large_diameter_in: float, small_diameter_in: float, height_in: float) -> ConePattern:
    """The sector to cut for a right cone or a frustum.

    Parameters
    ----------
    large_diameter_in : float
        Diameter of the large end in inches, at the middle of the sheet's thickness.
    small_diameter_in : float
        Diameter of the small end in inches, 0 for a pointed cone, below the large one.
    height_in : float
        Height between the ends in inches, above 0.

    Returns
    -------
    ConePattern
        ``outer_radius_in`` and ``inner_radius_in`` of the sector, and its angle ``sector_deg`` in degrees
        [1]_. The lap is to be added.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    References
    ----------
    .. [1] Derived: radial-line development, plain geometry.

    Examples
    --------
    A cone as high as makes a 3-4-5 triangle:

    >>> worked = cone_pattern(6, 0, 4)
    >>> worked.outer_radius_in, worked.sector_deg
    (5.0, 216.0)
    """
    require(large_diameter_in > 0, "large_diameter_in", "the cone has no large end", "give its diameter")
    require(
        0 <= small_diameter_in < large_diameter_in,
        "small_diameter_in",
        "the small end is not smaller than the large one",
        "give 0 for a pointed cone; a straight pipe has no cone",
    )
    require(height_in > 0, "height_in", "the cone has no height", "give the height between the ends")
    large, small = large_diameter_in / 2, small_diameter_in / 2
    slant = math.hypot(height_in, large - small)
    outer = slant * large / (large - small)
    return ConePattern(outer_radius_in=outer, inner_radius_in=outer - slant, sector_deg=360 * large / outer)
