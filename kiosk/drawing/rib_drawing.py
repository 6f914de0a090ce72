"""The full-size drawing of a rib: blank, finished outline, block, bends, rivets, flutes and holes.

It shows the flat blank with the flanges away from the eye: forward to the right for a left hand, to the left
for a right one (``hands.py``).
"""

import shapely

from kiosk.drawing.hands import is_mirrored, way_of_flanges
from kiosk.drawing.marks import Circle, Drawing, Line, Mark, Words, cross, mirrored
from kiosk.numbers.rib import Rib
from kiosk.numbers.rib_flange import FlangeSide
from kiosk.numbers.rib_inputs import RibInputs, developed_flange_in
from kiosk.shop.parts import Hand

_ARROW_IN = 0.5
_LETTERS_IN = 0.12


def draw_rib(rib: Rib, title: str, hand: Hand = "none") -> Drawing:
    """A rib to cut, block and form by. ``hand`` left is the mirror image of right and none."""
    marks: list[Mark] = [
        Line("BLANK", rib.blank[:-1], closed=True),
        Line("WEB", rib.web[:-1], closed=True),
        Line("BLOCK", rib.block[:-1], closed=True),
        *(Line("CUTOUTS", opening[:-1], closed=True) for opening in rib.openings),
    ]
    for side in (rib.upper, rib.lower):
        marks += _flange_marks(side, rib.inputs)
    marks += _end_marks(rib)
    radius = rib.inputs.rivet_diameter_in / 2
    for centre in rib.flat_rivets:
        marks += [Circle("RIVETS", centre, radius), *cross("RIVETS", centre, 1.6 * radius)]
    for hole in (*rib.tooling_holes, *rib.lightening_holes):
        marks += [Circle("HOLES", hole.centre, hole.diameter_in / 2), *cross("HOLES", hole.centre, 0.06)]
        if hole.rim_in > hole.diameter_in:
            marks.append(Circle("RIMS", hole.centre, hole.rim_in / 2))
    for centre in (*(relief.centre for relief in rib.reliefs), *rib.cut_out_corners):
        marks += cross("NOTES", centre, 0.06)
    marks += arrows(rib, hand)
    if is_mirrored(hand):
        marks = [mirrored(mark) for mark in marks]
    return Drawing(title, tuple(marks), _notes(rib, hand))


def _flange_marks(side: FlangeSide, inputs: RibInputs) -> list[Mark]:
    found: list[Mark] = [Line("FLUTES", flute.flat) for flute in side.flutes]
    outer = developed_flange_in(inputs) - (inputs.flange_width_in - inputs.setback_in)
    for piece in side.pieces:
        part = side.line.part(piece.first_in, piece.last_in)
        found += [Line("BENDS", part.parallel(away)) for away in (-inputs.setback_in, outer)]
    return found


def _end_marks(rib: Rib) -> list[Mark]:
    found: list[Mark] = []
    back = rib.inputs.setback_in
    for end in rib.ends:
        outward = -1.0 if end.end == "front" else 1.0
        outer = developed_flange_in(rib.inputs, end.width_in) - (end.width_in - back)
        for x in (end.x_in - outward * back, end.x_in + outward * outer):
            found.append(Line("BENDS", ((x, end.bottom_in), (x, end.top_in))))
    return found


def arrows(rib: Rib, hand: Hand) -> list[Mark]:
    """Forward and up, where the web has most room for them."""
    taken = [shapely.Point(one.centre).buffer(one.rim_in / 2) for one in rib.lightening_holes]
    taken += [shapely.Point(one.centre).buffer(one.diameter_in / 2) for one in rib.tooling_holes]
    taken += [shapely.Polygon(opening) for opening in rib.openings]
    free = shapely.Polygon(rib.block).difference(shapely.union_all(taken))
    room = shapely.maximum_inscribed_circle(free, tolerance=0.01)
    x, y = room.coords[0]
    tip, tail = x - _ARROW_IN, x + _ARROW_IN
    head = 0.09
    side = {"left": "LEFT", "right": "RIGHT", "none": "EITHER HAND"}[hand]
    return [
        Line("NOTES", ((tail, y), (tip, y))),
        Line("NOTES", ((tip + head, y + head), (tip, y), (tip + head, y - head))),
        Line("NOTES", ((tail, y), (tail, y + _ARROW_IN))),
        Line(
            "NOTES",
            ((tail - head, y + _ARROW_IN - head), (tail, y + _ARROW_IN), (tail + head, y + _ARROW_IN - head)),
        ),
        Words("NOTES", (x, y + 0.06), _LETTERS_IN, "FORWARD", "middle"),
        Words("NOTES", (tail, y + _ARROW_IN + 0.05), _LETTERS_IN, "UP", "middle"),
        Words("NOTES", (x, y - 0.26), _LETTERS_IN, side, "middle"),  # two short rows: pages end anywhere
        Words("NOTES", (x, y - 0.46), _LETTERS_IN, "flanges DOWN", "middle"),
    ]


def _notes(rib: Rib, hand: Hand) -> tuple[str, ...]:
    given = rib.inputs
    other = {"left": " Print the right hand with --hand right.", "right": "", "none": ""}[hand]
    lines = [
        f"{rib.section}, chord {given.chord_in:g} in, skin {given.skin_in:g}, sheet {given.thickness_in:g},"
        f" bend radius {given.bend_radius_in:g}, flange {given.flange_width_in:g}.",
        way_of_flanges(hand) + other,
        "Flanges marked down go away from you as it is drawn.",
        f"Blank {rib.blank_length_in:.3f} in along the chord, {rib.blank_width_in:.3f} square to it.",
    ]
    for end in rib.ends:
        lines.append(f"{end.end.capitalize()} flange goes {end.way}, {len(end.rivets)} rivets to the spar.")
    if rib.reliefs:
        lines.append(
            f"Drill {rib.reliefs[0].diameter_in:.3f} in at each relief cross before cutting the corner."
        )
    if rib.cut_out_corners:
        drill_in = 2 * rib.inputs.cut_out_radius_in
        lines.append(
            f"Drill {drill_in:.3f} in at each corner cross of the cut-outs; their lines touch these holes."
        )
    for side in (rib.upper, rib.lower):
        depths = ", ".join(f"{one.depth_in:.3f}" for one in side.flutes)
        flutes = f"{len(side.flutes)} flutes, deep from the front: {depths}" if depths else "no flutes"
        lines.append(f"{side.name.capitalize()} flange: {len(side.rivets)} rivets, {flutes}.")
        lines += [
            f"{side.name.capitalize()} edge is hollow there and stretches {one.stretch_percent:.1f} %."
            for one in side.hollows
        ]
    with_spar = {end.end for end in rib.ends}
    lines += [
        f"{one.end.capitalize()} spar, {one.side} flange: bend {one.aft_bend_deg:.1f} degrees pointing aft,"
        f" {one.forward_bend_deg:.1f} pointing forward."
        for one in rib.bevels
        if one.end in with_spar
    ]
    lines += [f"Look: {one.wrong}." for one in rib.warnings]
    lines.append("The plans decide. This drawing approves nothing.")
    return tuple(lines)
