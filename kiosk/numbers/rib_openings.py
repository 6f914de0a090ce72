"""What is cut out of a rib's web: cut-outs, lightening holes and tooling holes, each clear of the rest.

Every opening within the web lies between the bends. Between two of them, and between a hole and a bend, at
least ``LEAST_LAND_IN`` of metal is left; common practice, no source: the plans may ask for more.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import shapely
from shapely import Polygon

from kiosk.numbers.aerofoil import Point
from kiosk.numbers.cut_outs import CutOut, corner_centres, notch_of, opening_of, require_corners
from kiosk.numbers.holes import BLOCK_ROOM_IN
from kiosk.numbers.result import require
from kiosk.numbers.rib_ends import ROUNDNESS
from kiosk.numbers.rib_inputs import LighteningHole, RibInputs
from kiosk.numbers.rib_outline import RibOutline

LEAST_LAND_IN = 0.125
_BLOCK_LAND_IN = 0.25  # of wood between that opening and a pin; common practice, no source
_USUAL_TOOLING_PLACES = (0.12, 0.5, 0.88)  # shares of the rib's length; common practice, no source
_STEPS = 200
_HAIR_IN = 1e-6  # what the corners' short straight pieces may take off


@dataclass(frozen=True)
class RoundHole:
    """A round hole in the web; ``rim_in`` is the diameter that its flange reaches out to."""

    kind: Literal["tooling", "lightening"]
    centre: Point
    diameter_in: float
    rim_in: float


@dataclass(frozen=True)
class Openings:
    """All that is cut out of the web: notches from an edge, openings within it, and round holes."""

    notches: tuple[Polygon, ...]
    within: tuple[Polygon, ...]
    corners: tuple[Point, ...]  # centres of the drill that leaves their round corners
    lightening_holes: tuple[RoundHole, ...]
    tooling_holes: tuple[RoundHole, ...]


@dataclass(frozen=True)
class _Taken:
    """Room in the web that is taken, whose words and argument a fault names."""

    words: str
    argument: str
    surface: Polygon


def openings_of(outline: RibOutline, reliefs: Sequence[Polygon], inputs: RibInputs) -> Openings:
    """Everything that is cut out of the web. Raises OutOfRange naming the guilty input."""
    between_bends = outline.web.buffer(-inputs.setback_in, join_style="mitre")
    notches = tuple(_notch(one, outline, inputs) for one in inputs.cut_outs if one.edge != "middle")
    within = tuple(
        opening_of(one, outline.upper, outline.lower, inputs.chord_in, inputs.cut_out_radius_in)
        for one in inputs.cut_outs
        if one.edge == "middle"
    )
    require_corners(inputs.cut_outs, inputs.cut_out_radius_in)
    edged = [one for one in inputs.cut_outs if one.edge != "middle"]
    middle = [one for one in inputs.cut_outs if one.edge == "middle"]
    surfaces = (*zip(edged, notches, strict=True), *zip(middle, within, strict=True))
    taken = [_Taken(one.words, "cut_outs", surface) for one, surface in surfaces]
    for one, surface in zip(middle, within, strict=True):
        require(
            between_bends.covers(surface),
            "cut_outs",
            f"{one.words} reaches into a bend or out of the web",
            "make it lower, move it, or cut it from an edge",
        )
    for first, second in combinations(taken, 2):
        require(
            not first.surface.intersects(second.surface),
            "cut_outs",
            f"{first.words} and {second.words} run into each other",
            "move one of them, or make it smaller",
        )
        between = shapely.distance(first.surface, second.surface)
        require(
            between >= LEAST_LAND_IN - _HAIR_IN,
            "cut_outs",
            f"{first.words} and {second.words} leave {between:.3f} in between them, under {LEAST_LAND_IN:g}",
            "move one of them, or make it smaller",
        )
    for cut in taken:
        between = min((shapely.distance(cut.surface, relief) for relief in reliefs), default=LEAST_LAND_IN)
        require(
            between > 0,
            "cut_outs",
            f"{cut.words} runs into the relief where two flanges meet",
            "move it away from the rib's end",
        )
        require(
            between >= LEAST_LAND_IN - _HAIR_IN,
            "cut_outs",
            f"{cut.words} leaves {between:.3f} in to the relief where two flanges meet, under "
            f"{LEAST_LAND_IN:g}",
            "move it away from the rib's end",
        )
    cut_outs = list(taken)
    taken += [_Taken("a relief where a flange ends", "reliefs", relief) for relief in reliefs]
    lightening = _lightening_holes(outline, between_bends, taken, inputs)
    tooling = _tooling_holes(outline, between_bends, taken, inputs)
    whole = outline.web
    left = (
        shapely.difference(whole, shapely.union_all([cut.surface for cut in cut_outs])) if cut_outs else whole
    )
    require(
        left.geom_type == "Polygon" and not left.is_empty,
        "cut_outs",
        "the cut-outs part the web into pieces",
        "make one less deep",
    )
    corners = tuple(
        centre
        for one, surface in surfaces
        for centre in corner_centres(one, surface, inputs.cut_out_radius_in)
    )
    return Openings(notches, within, corners, lightening, tooling)


def _notch(one: CutOut, outline: RibOutline, inputs: RibInputs) -> Polygon:
    own, other = (outline.upper, outline.lower) if one.edge == "top" else (outline.lower, outline.upper)
    notch = notch_of(one, own, inputs.chord_in, inputs.cut_out_radius_in, inputs.setback_in)
    opposite = shapely.LineString(other.points)
    left = shapely.distance(shapely.intersection(notch, outline.web), opposite) - inputs.setback_in
    require(
        left > 0,
        "cut_outs",
        f"{one.words} goes through the whole rib, or into the other flange's bend",
        "make it less deep",
    )
    require(
        left >= LEAST_LAND_IN - _HAIR_IN,
        "cut_outs",
        f"{one.words} leaves {left:.3f} in of flat web to the other flange's bend, under {LEAST_LAND_IN:g}",
        "make it less deep",
    )
    return notch


def _middle_at(outline: RibOutline, x: float) -> Point:
    return x, (outline.upper.height_at_x(x) + outline.lower.height_at_x(x)) / 2


def _circle(centre: Point, diameter_in: float) -> Polygon:
    return shapely.Point(centre).buffer(diameter_in / 2, quad_segs=ROUNDNESS)


def _hole_words(hole: LighteningHole) -> str:
    return f"the lightening hole at {hole.station:g} of the chord"


def _lightening_holes(
    outline: RibOutline, between_bends: Polygon, taken: list[_Taken], inputs: RibInputs
) -> tuple[RoundHole, ...]:
    """The lightening holes, each added to what is taken."""
    made = []
    for one in inputs.lightening_holes:
        words = _hole_words(one)
        require(
            0 < one.cut_out_in <= one.rim_in,
            "lightening_holes",
            f"{words} has no size",
            "give finished_hole and flange_slant",
        )
        x = one.station * inputs.chord_in
        _within_rib(outline, x, "lightening_holes", words)
        centre = _middle_at(outline, x)
        _clear(centre, one.rim_in, between_bends, taken, "lightening_holes", words)
        made.append(RoundHole("lightening", centre, one.cut_out_in, one.rim_in))
        taken.append(_Taken(words, "lightening_holes", _circle(centre, one.rim_in)))
    return tuple(made)


def _within_rib(outline: RibOutline, x: float, argument: str, words: str) -> None:
    require(
        outline.front_x < x < outline.rear_x, argument, f"{words} lies beyond the rib", "move it onto the rib"
    )


def _clear(
    centre: Point,
    diameter_in: float,
    between_bends: Polygon,
    taken: Sequence[_Taken],
    argument: str,
    words: str,
) -> None:
    """Refuse a hole that leaves too little metal beside it. Raises OutOfRange."""
    with_land = _circle(centre, diameter_in + 2 * LEAST_LAND_IN)
    require(
        between_bends.covers(with_land),
        argument,
        f"{words} leaves under {LEAST_LAND_IN:g} in to a bend or an end of the rib",
        "move it, or make it smaller",
    )
    for one in taken:
        require(
            not with_land.intersects(one.surface),
            argument,
            f"{words} leaves under {LEAST_LAND_IN:g} in to {one.words}",
            "move it, or make it smaller",
        )


def _tooling_holes(
    outline: RibOutline, between_bends: Polygon, taken: list[_Taken], inputs: RibInputs
) -> tuple[RoundHole, ...]:
    size = inputs.tooling_hole_in
    # A pin's hole in the block keeps clear of the opening that a flanged hole drops into.
    room_in = 2 * (BLOCK_ROOM_IN + _BLOCK_LAND_IN - LEAST_LAND_IN)
    taken = [
        *(one for one in taken if one.argument in ("cut_outs", "reliefs")),
        *(
            _Taken(
                _hole_words(one),
                "lightening_holes",
                _circle(
                    _middle_at(outline, one.station * inputs.chord_in),
                    one.rim_in + (room_in if one.rim_in > one.cut_out_in else 0.0),
                ),
            )
            for one in inputs.lightening_holes
        ),
    ]
    if inputs.tooling_hole_stations is not None:
        centres = []
        for station in inputs.tooling_hole_stations:
            x = station * inputs.chord_in
            words = f"the tooling hole at {station:g} of the chord"
            _within_rib(outline, x, "tooling_hole_stations", words)
            centre = _middle_at(outline, x)
            _clear(centre, size, between_bends, taken, "tooling_hole_stations", words)
            taken.append(_Taken(words, "tooling_hole_stations", _circle(centre, size)))
            centres.append(centre)
        return tuple(RoundHole("tooling", centre, size, size) for centre in centres)
    made: list[RoundHole] = []
    for share in _USUAL_TOOLING_PLACES:
        found = _nearest_clear(outline, between_bends, taken, share, size)
        require(
            found is not None,
            "tooling_hole_in",
            f"there is no room for {len(_USUAL_TOOLING_PLACES)} tooling holes of {size:g} in",
            "write tooling_hole smaller, or tooling_hole_stations as the plans give them",
        )
        assert found is not None
        taken.append(_Taken("a tooling hole", "tooling_hole_in", _circle(found, size)))
        made.append(RoundHole("tooling", found, size, size))
    return tuple(sorted(made, key=lambda hole: hole.centre))


def _nearest_clear(
    outline: RibOutline, between_bends: Polygon, taken: Sequence[_Taken], share: float, size_in: float
) -> Point | None:
    """The place on the middle line nearest to a share of the length that is clear of everything."""
    long = outline.rear_x - outline.front_x
    free = shapely.difference(
        between_bends.buffer(-(size_in / 2 + LEAST_LAND_IN)),
        shapely.union_all([one.surface.buffer(size_in / 2 + LEAST_LAND_IN) for one in taken])
        if taken
        else shapely.Polygon(),
    )
    shapely.prepare(free)
    for number in range(_STEPS):
        for way in (1, -1):
            at = share + way * number / _STEPS
            if not 0 < at < 1:
                continue
            centre = _middle_at(outline, outline.front_x + at * long)
            if free.covers(shapely.Point(centre)):
                return centre
    return None
