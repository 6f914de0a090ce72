"""The flat blank and the form block of a rib, as closed outlines.

The blank is the web and every flange developed, less the cut-outs and the reliefs where flanges end. The form
block is the web less the sheet's thickness wherever a flange goes down over it; where a rib ends without a
flange it is flush, and it has no cut-outs: what is cut out of the web is still held by the block.
"""

import math
from collections.abc import Sequence

import shapely
from shapely import Polygon

from kiosk.numbers.aerofoil import Point
from kiosk.numbers.edge_line import EdgeLine
from kiosk.numbers.result import require
from kiosk.numbers.rib_ends import EndFlange, Relief
from kiosk.numbers.rib_flange import FlangeSide
from kiosk.numbers.rib_inputs import RibInputs
from kiosk.numbers.rib_openings import Openings
from kiosk.numbers.rib_outline import RibOutline

_GRID_IN = 1e-8  # coordinates are the same within this
_SLIVER_IN2 = 1e-6  # a thousandth by a thousandth: no metal


def blank_of(
    outline: RibOutline,
    sides: Sequence[FlangeSide],
    ends: Sequence[EndFlange],
    reliefs: Sequence[Relief],
    openings: Openings,
) -> tuple[Point, ...]:
    """The blank's outline, closed. Raises OutOfRange when it is not one piece."""
    web = _less(outline.web, openings.notches)
    flanges = [Polygon(piece.surface) for side in sides for piece in side.pieces]
    require(
        all(flange.is_valid for flange in flanges),
        "flange_width_in",
        "the flange's edge crosses itself",
        "give a narrower flange, or leave it off where the outline turns so sharply",
    )
    flanges += [Polygon(end.surface) for end in ends]
    cut = [relief.surface for relief in reliefs]
    joined = shapely.union_all([web, *flanges], grid_size=_GRID_IN)
    blank = _without_slivers(_less(joined, cut))
    require(
        blank is not None,
        "flange_width_in",
        "the blank does not come out as one piece: flanges run into each other",
        "give a narrower flange, or move a cut-out",
    )
    assert blank is not None
    return tuple(blank.exterior.coords)


def web_of(outline: RibOutline, openings: Openings) -> tuple[Point, ...]:
    """The finished outline with the cut-outs from its edges, closed."""
    web = _less(outline.web, openings.notches)
    assert isinstance(web, Polygon)
    return tuple(web.exterior.coords)


def block_of(outline: RibOutline, inputs: RibInputs) -> tuple[Point, ...]:
    """The form block, closed: inside every flange that goes down over it. Raises OutOfRange."""
    inset = inputs.thickness_in
    inside = outline.web.buffer(-inset, join_style="mitre", mitre_limit=20)
    front, bottom, rear, top = outline.web.bounds
    # The buffer also takes the sheet off an end without a flange over the block: the lines put it back.
    ends = (True, not outline.has_nose)
    lines = [_longer(line, -inset, *ends) for line in (outline.upper, outline.lower)]
    inside = shapely.union(inside, Polygon([*lines[0], *reversed(lines[1])]).buffer(0))
    left = front + inset if inputs.front_flange == "down" else front
    right = rear - inset if inputs.rear_flange == "down" else rear
    block = shapely.intersection(inside, shapely.box(left, bottom, right, top))
    require(
        block.geom_type == "Polygon",
        "thickness_in",
        "the form block comes out in pieces: the rib is too thin for its sheet",
        "move the station inward",
    )
    return tuple(block.exterior.coords)


def _longer(line: EdgeLine, away_in: float, at_rear: bool, at_front: bool) -> list[Point]:
    """A parallel line, made longer by an inch at its ends, straight on."""
    points = list(line.parallel(away_in))
    for wanted, place, way in ((at_front, 0, -1.0), (at_rear, len(points), 1.0)):
        if wanted:
            (x, y), direction = (
                points[min(place, len(points) - 1)],
                line.directions_rad[0 if place == 0 else -1],
            )
            points.insert(
                place if place == 0 else len(points),
                (x + way * math.cos(direction), y + way * math.sin(direction)),
            )
    return points


def _without_slivers(surface: shapely.Geometry) -> Polygon | None:
    """The one piece that a surface is, less what rounding leaves where two cuts touch; None if it is more."""
    pieces = sorted(shapely.get_parts(surface), key=shapely.area)
    if not pieces or any(piece.area > _SLIVER_IN2 for piece in pieces[:-1]):
        return None
    whole = pieces[-1]
    holes = [ring for ring in whole.interiors if Polygon(ring).area > _SLIVER_IN2]
    return whole if whole.is_valid and not holes else None


def _less(surface: Polygon, cut: Sequence[Polygon]) -> shapely.Geometry:
    return shapely.difference(surface, shapely.union_all(list(cut)), grid_size=_GRID_IN) if cut else surface
