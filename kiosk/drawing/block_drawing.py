"""The full-size drawing of a form block: the face to glue on, and what the edge has to be."""

from kiosk.drawing.hands import is_mirrored, way_of_flanges
from kiosk.drawing.marks import Circle, Drawing, Line, Mark, cross, mirrored
from kiosk.drawing.rib_drawing import arrows
from kiosk.numbers.holes import BLOCK_ROOM_IN
from kiosk.numbers.rib import Rib
from kiosk.shop.parts import Hand


def draw_block(rib: Rib, title: str, hand: Hand = "none", side_angle_deg: float | None = None) -> Drawing:
    """A form block for a rib. ``side_angle_deg`` is the angle from flat that the flange is driven to.

    The rib's own outline stands round it: a strip of the sheet on edge has to cover what is between them.
    """
    marks: list[Mark] = [
        Line("BLOCK", rib.block[:-1], closed=True),
        Line("WEB", rib.web[:-1], closed=True),
    ]
    for hole in rib.tooling_holes:
        marks += [Circle("HOLES", hole.centre, hole.diameter_in / 2), *cross("HOLES", hole.centre, 0.06)]
    for hole in rib.lightening_holes:
        if hole.rim_in > hole.diameter_in:
            radius = hole.rim_in / 2 + BLOCK_ROOM_IN
            marks += [
                Circle("OPENINGS", hole.centre, radius),
                *cross("OPENINGS", hole.centre, 0.125),
            ]
    marks += arrows(rib, hand)
    if is_mirrored(hand):
        marks = [mirrored(mark) for mark in marks]
    given = rib.inputs
    notes = [
        way_of_flanges(hand) + " The face drawn is the one that the web lies on; flanges go away from you.",
        f"Form block, inside the rib's outline by the sheet, {given.thickness_in:g} in, wherever a flange"
        " goes down over it. Drill, saw and sand two as one, pinned together under this page.",
        f"Round both at the face between them to {given.bend_radius_in:g} in, the bend's inside radius.",
    ]
    if side_angle_deg is not None:
        notes.append(
            f"Plane both sides back from there to {180 - side_angle_deg:.1f} degrees in the wood: the flange"
            f" is driven to {side_angle_deg:.1f} degrees from flat, and springs back to 90."
        )
    notes += [
        f"The {end.end} flange goes up: it is not bent over this block."
        for end in rib.ends
        if end.way == "up"
    ]
    if any(hole.rim_in > hole.diameter_in for hole in rib.lightening_holes):
        notes.append(
            f"Openings in both, for holes that are flanged already: {BLOCK_ROOM_IN:g} in clear all round"
            " is in the circles drawn."
        )
    if rib.inputs.cut_outs:
        notes.append("Cut-outs of the web are not cut in the block: it holds the metal beside them.")
    notes.append("The plans decide. This drawing approves nothing.")
    return Drawing(title, tuple(marks), tuple(notes))
