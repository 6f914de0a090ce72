"""The ends of a rib: flanges to the spars, the relief where two flanges meet, and the spar's own bevel.

Where two flanges meet, both bends would cross in the web's corner. The corner is cut away: each flange ends
where the other one's bend begins, and a hole round the crossing of the two inside tangent lines lets the
bends end without tearing (FAA-H-8083-31 chapter 4, box folding).
"""

import math
from dataclasses import dataclass
from typing import Literal

import shapely

from kiosk.numbers.aerofoil import Point
from kiosk.numbers.bends import relief_hole
from kiosk.numbers.edge_line import EdgeLine
from kiosk.numbers.result import OutOfRange, require
from kiosk.numbers.rib_inputs import End, EndWay, RibInputs, developed_flange_in
from kiosk.numbers.rib_outline import RibOutline
from kiosk.numbers.rib_rivets import RivetMark, end_distance_in, row_of

ROUNDNESS = 32  # pieces in a quarter circle


@dataclass(frozen=True)
class Relief:
    """What is cut away where a bend ends: the hole's centre, its diameter, and the whole as a surface."""

    centre: Point
    diameter_in: float
    surface: shapely.Polygon


@dataclass(frozen=True)
class EndFlange:
    """A flange to a spar: where it stands, which way it goes, its flat surface, bend lines and rivets.

    ``way`` is seen with the long flanges going down, away from the eye.
    """

    end: End
    way: EndWay
    width_in: float
    x_in: float
    bottom_in: float
    top_in: float
    surface: tuple[Point, ...]
    rivets: tuple[RivetMark, ...]

    @property
    def length_in(self) -> float:
        """From its lower to its upper end."""
        return self.top_in - self.bottom_in


@dataclass(frozen=True)
class Corner:
    """Where a long flange meets an end flange: how far along the long one the relief lies, and the relief."""

    along_in: float
    y_in: float
    relief: Relief


@dataclass(frozen=True)
class SparBevel:
    """How a spar's flanges have to be bent to lie under the skin at one end of the rib.

    ``slope_deg`` is the surface's slope there, rising aft. The bend of a spar flange is counted from flat.
    """

    end: End
    side: Literal["upper", "lower"]
    slope_deg: float

    @property
    def aft_bend_deg(self) -> float:
        """The bend of a spar's flange that points aft."""
        return 90 - self.slope_deg if self.side == "upper" else 90 + self.slope_deg

    @property
    def forward_bend_deg(self) -> float:
        """The bend of a spar's flange that points forward."""
        return 180 - self.aft_bend_deg


def relief_diameter_in(inputs: RibInputs) -> float:
    """The relief hole's diameter. Raises OutOfRange naming the sheet."""
    try:
        return relief_hole(inputs.thickness_in, inputs.bend_radius_in).diameter_in
    except OutOfRange as error:
        raise OutOfRange(error.wrong, error.mend, "thickness_in") from None


def corner_of(line: EdgeLine, end: End, x_in: float, inputs: RibInputs) -> Corner:
    """The corner between a long flange and the end flange at a station. Raises OutOfRange."""
    back = inputs.setback_in
    inward = 1.0 if end == "front" else -1.0
    try:
        along = line.distance_at_x(x_in + inward * back, -back)
    except ValueError:
        raise OutOfRange(
            "the rib is too short for the bend of its end flange", "move the station", f"{end}_station"
        ) from None
    crossing = line.outside(along, -back)
    foot = line.at(along)
    end_in = 0.0 if end == "front" else line.length_in
    between = line.part(min(along, end_in), max(along, end_in)).points
    if end == "rear":
        between = tuple(reversed(between))  # from the corner inward
    diameter = relief_diameter_in(inputs)
    kite = shapely.Polygon([crossing, (x_in, crossing[1]), *between, foot])
    hole = shapely.Point(crossing).buffer(diameter / 2, quad_segs=ROUNDNESS)
    return Corner(along, crossing[1], Relief(crossing, diameter, shapely.union(kite, hole)))


def free_end_relief(line: EdgeLine, at_in: float, toward_front: bool, inputs: RibInputs) -> Relief:
    """The relief beside a flange that ends on an edge that goes on without one, as at an open nose."""
    diameter = relief_diameter_in(inputs)
    centre_at = at_in - diameter / 2 if toward_front else at_in + diameter / 2
    inner = line.outside(centre_at, -inputs.setback_in)
    slot = shapely.LineString([inner, line.outside(centre_at, developed_flange_in(inputs))])
    return Relief(inner, diameter, slot.buffer(diameter / 2, quad_segs=ROUNDNESS))


def end_flange(end: End, x_in: float, bottom: Corner, top: Corner, inputs: RibInputs) -> EndFlange:
    """The flange to a spar between its two corners. Raises OutOfRange."""
    width = inputs.end_width_in(end)
    outward = -1.0 if end == "front" else 1.0
    count = inputs.end_rivets(end)
    high = top.y_in - bottom.y_in
    require(
        high > 0,
        f"{end}_station",
        "the rib is too thin here for an end flange",
        f"move the station, or write {end}_flange: none",
    )
    edge = x_in + outward * developed_flange_in(inputs, width)
    line_x = edge - outward * inputs.end_rivet_line_in(end)
    marks: tuple[RivetMark, ...] = ()
    if count:
        try:
            rows = row_of(count, high, end_distance_in(inputs.rivet_diameter_in))
        except OutOfRange:
            raise OutOfRange(
                f"the {end} flange is {high:.2f} in long, less than two end distances of its rivets",
                "write fewer rivets",
                f"{end}_rivets",
            ) from None
        marks = tuple(RivetMark(at, (line_x, bottom.y_in + at)) for at in rows)
    surface = (
        (x_in, bottom.y_in),
        (edge, bottom.y_in),
        (edge, top.y_in),
        (x_in, top.y_in),
    )
    return EndFlange(end, inputs.end_way(end), width, x_in, bottom.y_in, top.y_in, surface, marks)


def spar_bevels(outline: RibOutline) -> tuple[SparBevel, ...]:
    """The bevels of the spars' flanges at both ends; none at a nose."""
    found = []
    ends: tuple[tuple[End, int], ...] = (("rear", -1),) if outline.has_nose else (("front", 0), ("rear", -1))
    for end, place in ends:
        found.append(SparBevel(end, "upper", math.degrees(outline.upper.directions_rad[place])))
        found.append(SparBevel(end, "lower", math.degrees(outline.lower.directions_rad[place])))
    return tuple(found)
