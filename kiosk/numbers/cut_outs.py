"""Openings in a rib's web where a spar or a stringer passes: from an edge, or within the web.

What cannot be is refused with OutOfRange on ``cut_outs``, the field of the rib's inputs; its words say which.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from kiosk.numbers.result import require

if TYPE_CHECKING:
    import shapely

    from kiosk.numbers.aerofoil import Point
    from kiosk.numbers.edge_line import EdgeLine

Edge = Literal["top", "bottom", "middle"]
SAME_PLACE_IN = 1 / 32  # two holes so near are one to a hand
_HAIR_IN = 1e-9  # what binary arithmetic leaves over
_ROUNDNESS = 32  # pieces in a quarter circle: within 1e-4 in of a radius of 1/4


@dataclass(frozen=True)
class CutOut:
    """An opening for a spar or a stringer, square to the chord line, its inner corners rounded.

    ``station`` is its middle as a share of the chord. From an edge, ``depth_in`` is measured from the lowest
    point of the finished outline over its width (highest, at the bottom); in the middle it is its height.
    """

    station: float
    width_in: float
    depth_in: float
    edge: Edge

    @property
    def words(self) -> str:
        """Which one it is."""
        return f"the cut-out at {self.station:g} of the chord"


def largest_radius_in(cut_out: CutOut) -> float:
    """The largest radius that a cut-out's inner corners can have, in inches.

    Two corners share its width, and within the web two share its height. From an edge the round has to end
    below the outline: higher up, the opening would be narrower than the spar that comes in there.
    """
    height_in = cut_out.depth_in / 2 if cut_out.edge == "middle" else cut_out.depth_in
    return min(cut_out.width_in / 2, height_in)


def require_corners(cut_outs: Sequence[CutOut], radius_in: float) -> None:
    """Refuse corners that a drill cannot make: its hole has to lie within the opening. Raises OutOfRange."""
    for one in cut_outs:
        if one.width_in <= 0 or one.depth_in <= 0:
            continue  # refused by its size
        require(
            radius_in > 0,
            "cut_out_radius_in",
            f"{one.words} has square corners, and a web cracks from a square corner",
            "give the plans' radius, or leave it out for 1/8",
        )
        most = largest_radius_in(one)
        require(
            radius_in <= most + _HAIR_IN,
            "cut_out_radius_in",
            f"corners of {radius_in:.4g} in radius do not fit {one.words}, which has room for {most:.4g}",
            f"write cut_out_radius: {most:.4g} or less, as the plans have it, or correct the cut-out",
        )


def span_of(cut_out: CutOut, line: EdgeLine, chord_in: float) -> tuple[float, float]:
    """Front and rear of a cut-out, in inches from the leading edge. Raises OutOfRange beyond the line."""
    middle = cut_out.station * chord_in
    front, rear = middle - cut_out.width_in / 2, middle + cut_out.width_in / 2
    require(
        cut_out.width_in > 0 and cut_out.depth_in > 0,
        "cut_outs",
        "a cut-out has no size",
        "give its width and depth",
    )
    require(
        line.points[0][0] < front and rear < line.points[-1][0],
        "cut_outs",
        f"{cut_out.words} reaches beyond the rib",
        "move it, or make it narrower",
    )
    return front, rear


def notch_of(
    cut_out: CutOut, own: EdgeLine, chord_in: float, radius_in: float, setback_in: float
) -> shapely.Polygon:
    """A cut-out from an edge as a surface; outside the outline it goes on for ever.

    Raises OutOfRange when it is no deeper than the bend.
    """
    import shapely

    front, rear = span_of(cut_out, own, chord_in)
    require(
        cut_out.depth_in > setback_in,
        "cut_outs",
        f"{cut_out.words} is {cut_out.depth_in:g} in deep and ends within the bend, {setback_in:.3f} in wide",
        "make it deeper, or leave it out",
    )
    heights = [own.height_at_x(front), own.height_at_x(rear)]
    heights += [y for x, y in own.points if front < x < rear]
    floor = own.sign * min(own.sign * y for y in heights) - own.sign * cut_out.depth_in
    beyond = floor + own.sign * 1000
    return _rounded(shapely.box(front, min(floor, beyond), rear, max(floor, beyond)), radius_in)


def opening_of(
    cut_out: CutOut, upper: EdgeLine, lower: EdgeLine, chord_in: float, radius_in: float
) -> shapely.Polygon:
    """A cut-out within the web as a surface, about the middle line. Raises OutOfRange beyond the rib."""
    import shapely

    front, rear = span_of(cut_out, upper, chord_in)
    at = (front + rear) / 2
    middle = (upper.height_at_x(at) + lower.height_at_x(at)) / 2
    bottom, top = middle - cut_out.depth_in / 2, middle + cut_out.depth_in / 2
    return _rounded(shapely.box(front, bottom, rear, top), radius_in)


def corner_centres(cut_out: CutOut, surface: shapely.Polygon, radius_in: float) -> tuple[Point, ...]:
    """Where the drill goes that leaves the round corners of a cut-out's surface, each place once.

    Within the web there are four; from an edge two, at its floor.
    """
    left, bottom, right, top = surface.bounds
    heights = {
        "top": (bottom + radius_in,),
        "bottom": (top - radius_in,),
        "middle": (bottom + radius_in, top - radius_in),
    }[cut_out.edge]
    places = [(x, y) for y in heights for x in (left + radius_in, right - radius_in)]
    found: list[Point] = []
    for place in places:
        if all(math.dist(place, one) > SAME_PLACE_IN for one in found):
            found.append(place)
    return tuple(found)


def _rounded(box: shapely.Polygon, radius_in: float) -> shapely.Polygon:
    """A box with rounded corners; a box as wide as two radii ends in half a circle."""
    import shapely

    left, bottom, right, top = box.bounds
    # A hair is left over where the radius is half the width: a line has no sides to grow from.
    inside = min(radius_in, (right - left) / 2 - 1e-9, (top - bottom) / 2 - 1e-9)
    core = shapely.box(left + inside, bottom + inside, right - inside, top - inside)
    return core.buffer(inside, quad_segs=_ROUNDNESS)
