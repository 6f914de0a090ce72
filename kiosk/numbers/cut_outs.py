"""Openings in a rib's web where a spar or a stringer passes: from an edge, or within the web.

What cannot be is refused with OutOfRange on ``cut_outs``, the field of the rib's inputs; its words say which.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from kiosk.numbers.aerofoil import Point, line_length, ordinate_at
from kiosk.numbers.result import require

Edge = Literal["top", "bottom", "middle"]


@dataclass(frozen=True)
class CutOut:
    """A rectangular opening for a spar or a stringer, square to the chord line.

    ``station`` is its middle as a share of the chord. From an edge, ``depth_in`` is measured from the lowest
    point of the finished outline over its width (highest, at the bottom); in the middle it is its height.
    """

    station: float
    width_in: float
    depth_in: float
    edge: Edge


def _span(notch: CutOut, points: Sequence[Point], chord_in: float) -> tuple[float, float]:
    """Front and rear of a cut-out. Raises OutOfRange when it is not within the line."""
    middle = notch.station * chord_in
    front, rear = middle - notch.width_in / 2, middle + notch.width_in / 2
    require(
        notch.width_in > 0 and notch.depth_in > 0,
        "cut_outs",
        "a cut-out has no size",
        "give its width and depth",
    )
    require(
        points[0][0] < front and rear < points[-1][0],
        "cut_outs",
        f"the cut-out at {notch.station:g} of the chord reaches beyond the rib",
        "move it, or make it narrower",
    )
    return front, rear


def _floor(outline: Sequence[Point], notch: CutOut, chord_in: float, sign: float) -> float:
    """The ordinate of a cut-out's bottom: its depth within the finished outline all over its width."""
    front, rear = _span(notch, outline, chord_in)
    heights = [ordinate_at(outline, front), ordinate_at(outline, rear)]
    heights += [y for x, y in outline if front < x < rear]
    return sign * min(sign * y for y in heights) - sign * notch.depth_in


def notched(
    points: Sequence[Point], outline: Sequence[Point], notches: Sequence[CutOut], chord_in: float, sign: float
) -> tuple[Point, ...]:
    """A line with the cut-outs from its edge; all lines of a side share the cut-out's sides and bottom."""
    made = list(points)
    for notch in notches:
        front, rear = _span(notch, outline, chord_in)
        floor = _floor(outline, notch, chord_in, sign)
        before = [point for point in made if point[0] < front]
        after = [point for point in made if point[0] > rear]
        require(
            bool(before) and bool(after) and before[-1][1] * sign > floor * sign < after[0][1] * sign,
            "cut_outs",
            f"the cut-out at {notch.station:g} of the chord does not fit the outline",
            "cut-outs may not touch each other or the rib's ends",
        )
        sides = [(front, ordinate_at(points, front)), (front, floor)]
        sides += [(rear, floor), (rear, ordinate_at(points, rear))]
        made = [*before, *sides, *after]
    return tuple(made)


def flange_pieces(
    outline: Sequence[Point], notches: Sequence[CutOut], chord_in: float
) -> list[tuple[float, list[Point]]]:
    """The pieces of flange between cut-outs, each with how far along the outline it begins."""
    pieces: list[tuple[float, list[Point]]] = []
    spans = [_span(notch, outline, chord_in) for notch in notches]
    for (_, rear), (front, _) in pairwise(spans):
        require(rear < front, "cut_outs", "two cut-outs overlap", "move one of them")
    fronts = [outline[0][0], *(rear for _, rear in spans)]
    rears = [*(front for front, _ in spans), outline[-1][0]]
    for first, last in zip(fronts, rears, strict=True):
        piece = [(first, ordinate_at(outline, first))]
        piece += [point for point in outline if first < point[0] < last]
        piece.append((last, ordinate_at(outline, last)))
        before = [point for point in outline if point[0] < first] + [piece[0]]
        pieces.append((line_length(before), piece))
    return pieces


def opening(
    upper: Sequence[Point], lower: Sequence[Point], cut_out: CutOut, chord_in: float
) -> tuple[Point, ...]:
    """A closed rectangle about the middle line. Raises OutOfRange when it does not stay within the web."""
    front, rear = _span(cut_out, upper, chord_in)
    at = (front + rear) / 2
    middle = (ordinate_at(upper, at) + ordinate_at(lower, at)) / 2
    bottom, top = middle - cut_out.depth_in / 2, middle + cut_out.depth_in / 2
    for x in (front, rear):
        require(
            ordinate_at(lower, x) < bottom and top < ordinate_at(upper, x),
            "cut_outs",
            f"the cut-out at {cut_out.station:g} of the chord is higher than the web",
            "make it lower, or cut it from an edge",
        )
    return ((front, bottom), (rear, bottom), (rear, top), (front, top), (front, bottom))


def check_depths(
    upper: Sequence[Point], lower: Sequence[Point], cut_outs: Sequence[CutOut], chord_in: float
) -> None:
    """Refuse a cut-out from an edge that reaches the other flange. Raises OutOfRange."""
    for one in cut_outs:
        if one.edge == "middle":
            continue
        own, other, sign = (upper, lower, 1.0) if one.edge == "top" else (lower, upper, -1.0)
        front, rear = _span(one, own, chord_in)
        floor = _floor(own, one, chord_in, sign)
        require(
            all(sign * floor > sign * ordinate_at(other, x) for x in (front, rear)),
            "cut_outs",
            f"the cut-out at {one.station:g} of the chord goes through the whole rib",
            "make it less deep",
        )
