"""What a drawing is made of, before it is written in any format. Inches, x forward to aft, y up."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Literal

from kiosk.dataclass import dataclass
from kiosk.numbers.aerofoil import Point

_LETTER_WIDTH = 0.55  # of its height, on the average
FONT_SIZE = 1.35  # of a capital letter's height
PRINTED_IN = "Helvetica"  # one of the standard fonts that every PDF reader has (ISO 32000-1, 9.6.2.2)


@dataclass(frozen=True)
class Line:
    """An open or closed line on a layer."""

    layer: str
    points: tuple[Point, ...]
    closed: bool = False


@dataclass(frozen=True)
class Circle:
    """A circle on a layer."""

    layer: str
    centre: Point
    radius_in: float


@dataclass(frozen=True)
class Words:
    """A line of text on a layer, from its place to the right or with its middle there."""

    layer: str
    at: Point
    height_in: float
    text: str
    align: Literal["left", "middle"] = "left"

    @property
    def width_in(self) -> float:
        """About how wide it is set."""
        return _LETTER_WIDTH * self.height_in * len(self.text)


Mark = Line | Circle | Words


@dataclass(frozen=True)
class Drawing:
    """A full-size drawing: what it shows, its marks, and what has to be said beside it, line by line."""

    title: str
    marks: tuple[Mark, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Bounds:
    """The least box, square to the axes, round some marks."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width_in(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height_in(self) -> float:
        """From bottom to top."""
        return self.top - self.bottom


def bounds_of(marks: Iterable[Mark]) -> Bounds:
    """The least box round marks, words about as wide as they are set."""
    points: list[Point] = []
    for mark in marks:
        if isinstance(mark, Line):
            points += mark.points
        elif isinstance(mark, Circle):
            (x, y), r = mark.centre, mark.radius_in
            points += [(x - r, y - r), (x + r, y + r)]
        else:
            left = mark.at[0] - (mark.width_in / 2 if mark.align == "middle" else 0.0)
            points += [(left, mark.at[1]), (left + mark.width_in, mark.at[1] + mark.height_in)]
    xs, ys = [point[0] for point in points], [point[1] for point in points]
    return Bounds(min(xs), min(ys), max(xs), max(ys))


def moved(mark: Mark, right_in: float, up_in: float) -> Mark:
    """The same mark elsewhere."""
    if isinstance(mark, Line):
        return replace(mark, points=tuple((x + right_in, y + up_in) for x, y in mark.points))
    if isinstance(mark, Circle):
        return replace(mark, centre=(mark.centre[0] + right_in, mark.centre[1] + up_in))
    return replace(mark, at=(mark.at[0] + right_in, mark.at[1] + up_in))


def mirrored(mark: Mark) -> Mark:
    """The same mark with left and right changed; words stay readable."""
    if isinstance(mark, Line):
        return replace(mark, points=tuple((-x, y) for x, y in mark.points))
    if isinstance(mark, Circle):
        return replace(mark, centre=(-mark.centre[0], mark.centre[1]))
    shift = mark.width_in if mark.align == "left" else 0.0
    return replace(mark, at=(-mark.at[0] - shift, mark.at[1]))


def cross(layer: str, centre: Point, half_in: float) -> tuple[Line, Line]:
    """Two short lines that cross at a centre."""
    x, y = centre
    return (
        Line(layer, ((x - half_in, y), (x + half_in, y))),
        Line(layer, ((x, y - half_in), (x, y + half_in))),
    )
