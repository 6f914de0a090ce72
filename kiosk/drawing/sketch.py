"""A drawing for the bench: few lines, few words, in inches, x to the right and y up.

It is no drawing to cut by: that one is full size and on paper (``marks.py``). This one is put on the cells of
a terminal (``cells.py``), where a letter has one size only, so words have a place and no height.
"""

import math
from collections.abc import Sequence
from typing import Literal

from kiosk.dataclass import dataclass
from kiosk.numbers.aerofoil import Point
from kiosk.shop.parts import Hand

Pattern = Literal["solid", "dashed", "dotted"]
Side = Literal["left", "right", "above", "below", "over"]

TO_DO, DONE, IN_HAND = (
    "V",
    "x",
    "█",
)  # told apart by their form: a screen adds colour, and nothing hangs on it
RIVET, HOLE = "+", "o"
CUT_SHORT = "≈"
_ARC_STEP_DEG = 4.0


@dataclass(frozen=True)
class InHand:
    """The piece that a step is worked on: its hand, and how many of how many repeats are done on it.

    With ``is_enough`` fewer were needed, and none of the rest is done.
    """

    hand: Hand = "none"
    done: int = 0
    of: int = 0
    is_enough: bool = False

    @property
    def next(self) -> int | None:
        """The place of the repeat in hand, from 0; None when none is."""
        return self.done if self.done < self.of and not self.is_enough else None

    def words(self, what: str) -> str:
        """Which of them is in hand: ``flute 3 of 7``; empty when none is."""
        return f"{what} {self.next + 1} of {self.of}" if self.next is not None else ""


@dataclass(frozen=True)
class Stroke:
    """A line through points."""

    points: tuple[Point, ...]
    pattern: Pattern = "solid"


@dataclass(frozen=True)
class Symbol:
    """One character at a place. Where several share a cell, that of the higher ``rank`` is seen."""

    at: Point
    character: str
    rank: int = 0


@dataclass(frozen=True)
class Label:
    """Words beside a place, or over it. ``in_hand`` for what the hand is at now."""

    at: Point
    text: str
    side: Side
    in_hand: bool = False


@dataclass(frozen=True)
class Sketch:
    """What is drawn, and what is said under it, a line each, where there is room."""

    title: str
    strokes: tuple[Stroke, ...]
    symbols: tuple[Symbol, ...] = ()
    labels: tuple[Label, ...] = ()
    words: tuple[str, ...] = ()


def arc(centre: Point, radius_in: float, first_deg: float, last_deg: float) -> tuple[Point, ...]:
    """Points on a circle from one direction to another, 0 to the right and 90 up."""
    steps = max(1, math.ceil(abs(last_deg - first_deg) / _ARC_STEP_DEG))
    return tuple(
        _on_circle(centre, radius_in, first_deg + (last_deg - first_deg) * step / steps)
        for step in range(steps + 1)
    )


def circle(centre: Point, radius_in: float) -> tuple[Point, ...]:
    """Points once round."""
    return arc(centre, radius_in, 0.0, 360.0)


def _on_circle(centre: Point, radius_in: float, direction_deg: float) -> Point:
    angle = math.radians(direction_deg)
    return centre[0] + radius_in * math.cos(angle), centre[1] + radius_in * math.sin(angle)


def mirrored(sketch: Sketch) -> Sketch:
    """The same with left and right changed; words stay readable."""
    other: dict[Side, Side] = {"left": "right", "right": "left"}
    return Sketch(
        sketch.title,
        tuple(Stroke(_turned(one.points), one.pattern) for one in sketch.strokes),
        tuple(Symbol((-one.at[0], one.at[1]), one.character, one.rank) for one in sketch.symbols),
        tuple(
            Label((-one.at[0], one.at[1]), one.text, other.get(one.side, one.side), one.in_hand)
            for one in sketch.labels
        ),
        sketch.words,
    )


def _turned(points: Sequence[Point]) -> tuple[Point, ...]:
    return tuple((-x, y) for x, y in points)
