"""The rib at the bench: outline, openings, rivets and flutes, the one in hand marked, forward and hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal, NamedTuple

from kiosk.drawing.hands import is_mirrored, way_of_flanges
from kiosk.drawing.sketch import (
    DONE,
    HOLE,
    IN_HAND,
    RIVET,
    TO_DO,
    InHand,
    Label,
    Side,
    Sketch,
    Stroke,
    Symbol,
    circle,
    mirrored,
)
from kiosk.drawing.step_drawing import step_drawing
from kiosk.numbers.aerofoil import Point
from kiosk.shop.parts import Hand

if TYPE_CHECKING:  # the geometry behind it is loaded when a rib is laid out
    from kiosk.numbers.cut_outs import CutOut
    from kiosk.numbers.rib import Rib

Shape = Literal["formed", "flat"]
Counted = Literal["nothing", "flute", "tooling hole", "lightening hole", "cut-out", "corner hole"]
Order = Literal["along", "every second"]

_RANK_RIVET, _RANK_COUNTED, _RANK_IN_HAND = 0, 1, 2


@step_drawing
def rib(
    in_hand: InHand,
    rib: Rib,
    shape: Shape = "formed",
    counted: Counted = "nothing",
    order: Order = "along",
) -> Sketch:
    """The laid-out rib of the part kind.

    Parameters
    ----------
    in_hand : InHand
        The piece: its hand turns the drawing round, and its count marks one of what is ``counted``.
    rib : Rib
        The rib as it is laid out.
    shape : {"formed", "flat"}
        The finished outline, or the blank with the outline dashed in it.
    counted : {"nothing", "flute", "tooling hole", "lightening hole", "cut-out", "corner hole"}
        What the step's repeat counts. From the front, the upper flange first; cut-outs, and the corner holes
        of each, as the plans do. The one in hand is said with its size: how deep a flute begins, or how wide
        and deep a cut-out is. Where the repeat counts another number than there are, none is marked.
    order : {"along", "every second"}
        Whether they are done one after the other, or every second first and those between them after.

    Returns
    -------
    Sketch
        Forward to the left, or to the right for a left hand, the flanges away from the eye.
    """
    strokes = [Stroke(opening) for opening in rib.openings]
    if shape == "flat":
        strokes += [Stroke(rib.blank), Stroke(rib.web, "dashed")]
    else:
        strokes.append(Stroke(rib.web))
    for hole in rib.lightening_holes:
        strokes.append(Stroke(circle(hole.centre, hole.diameter_in / 2)))
    symbols = [Symbol(at, RIVET, _RANK_RIVET) for at in _rivets(rib, shape)]
    symbols += [Symbol(hole.centre, HOLE, _RANK_RIVET) for hole in rib.tooling_holes]
    symbols += [Symbol(at, TO_DO, _RANK_COUNTED) for at, _, _ in _flutes(rib, shape)]
    labels = []
    places = _places(rib, shape, counted)
    if len(places) != in_hand.of:
        places = []
    this_one = ""
    for turn, place in enumerate(_in_order(places, order)):
        at, side, size = place
        if turn < in_hand.done:
            symbols.append(Symbol(at, DONE, _RANK_COUNTED))
        elif turn == in_hand.next:
            this_one = f"{in_hand.words(counted)}{size}"
            symbols.append(Symbol(at, IN_HAND, _RANK_IN_HAND))
            labels.append(Label(at, this_one, side, in_hand=True))
    outline = rib.blank if shape == "flat" else rib.web
    middle = (min(x for x, _ in outline) + max(x for x, _ in outline)) / 2
    foot = (middle, min(y for _, y in outline))
    labels.append(Label(foot, f"{_forward(in_hand.hand)}   {_HANDS[in_hand.hand]}", "below"))
    key = [*([f"{IN_HAND} this one: {this_one}"] if this_one else []), *([f"{DONE} done"] if places else [])]
    words = _words(rib, shape, counted, order, key, in_hand.hand)
    sketch = Sketch("Rib", tuple(strokes), tuple(symbols), tuple(labels), words)
    return mirrored(sketch) if is_mirrored(in_hand.hand) else sketch


_HANDS: dict[Hand, str] = {"left": "LEFT HAND", "right": "RIGHT HAND", "none": "EITHER HAND"}


def _forward(hand: Hand) -> str:
    return "FORWARD ►" if is_mirrored(hand) else "◄ FORWARD"


def _rivets(rib: Rib, shape: Shape) -> list[Point]:
    if shape == "flat":
        return list(rib.flat_rivets)
    found = [side.line.at(at) for side in (rib.upper, rib.lower) for at in side.rivets_in]
    return found + [(end.x_in, mark.flat[1]) for end in rib.ends for mark in end.rivets]


class _Place(NamedTuple):
    """Where one of what is counted stands, the side on which it is said, and its size in words."""

    at: Point
    side: Side
    size: str = ""


def _flutes(rib: Rib, shape: Shape) -> list[_Place]:
    found: list[_Place] = []
    for side in (rib.upper, rib.lower):
        outward: Side = "above" if side.line.sign > 0 else "below"
        for flute in side.flutes:
            at = flute.flat[1] if shape == "flat" else side.line.at(flute.at_in)
            found.append(_Place(at, outward, f", {flute.depth_in:.3f} deep"))
    return found


def _places(rib: Rib, shape: Shape, counted: Counted) -> list[_Place]:
    """What is counted, in the order in which it is laid out."""
    if counted == "flute":
        return _flutes(rib, shape)
    if counted == "cut-out":
        return [
            _Place(_middle_of(rib, one), "above", f", {one.width_in:g} x {one.depth_in:g}")
            for one in rib.inputs.cut_outs
        ]
    if counted == "corner hole":
        return [_Place(centre, "above") for centre in rib.cut_out_corners]
    holes = {"tooling hole": rib.tooling_holes, "lightening hole": rib.lightening_holes}.get(counted, ())
    return [_Place(hole.centre, "above") for hole in holes]


def _middle_of(rib: Rib, one: CutOut) -> Point:
    x = one.station * rib.inputs.chord_in
    top, bottom = rib.upper.line.height_at_x(x), rib.lower.line.height_at_x(x)
    if one.edge == "top":
        return x, top - one.depth_in / 2
    return x, bottom + one.depth_in / 2 if one.edge == "bottom" else (top + bottom) / 2


def _in_order(places: Sequence[_Place], order: Order) -> list[_Place]:
    """In the order in which they are done: each flange by itself where every second comes first."""
    if order == "along":
        return list(places)
    flanges = [[one for one in places if one.side == side] for side in ("above", "below")]
    return [one for first in (0, 1) for flange in flanges for one in flange[first::2]]


def _words(
    rib: Rib, shape: Shape, counted: Counted, order: Order, of_counted: Sequence[str], hand: Hand
) -> tuple[str, ...]:
    key = [f"{RIVET} rivet"]
    if rib.upper.flutes or rib.lower.flutes:
        key.append(f"{TO_DO} flute")
    if rib.tooling_holes:
        key.append(f"{HOLE} tooling hole")
    lines = ["  ".join([*key, *of_counted])]
    if shape == "flat":
        lines.append("Solid: the blank, cut here. Dashed: the finished outline.")
    if counted == "flute":
        first = ", every second flute before those between" if order == "every second" else ""
        lines.append(f"Counted from the front, the upper flange first{first}.")
        for flange in (rib.upper, rib.lower):
            deep = ", ".join(f"{one.depth_in:.3f}" for one in flange.flutes)
            lines += [f"Begin the {flange.name} flutes so deep, from the front: {deep}."] if deep else []
    if counted in ("cut-out", "corner hole"):
        radius = rib.inputs.cut_out_radius_in
        lines.append(f"Corner holes {2 * radius:g} in, their centres {radius:g} in inside both lines.")
    lines.append("Flanges go away from you as it is drawn.")
    if hand != "none":
        lines.append(way_of_flanges(hand))
    return tuple(lines)
