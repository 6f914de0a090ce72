"""Puts a sketch on the cells of a terminal: lines as braille dots, words and symbols in cells of their own.

A cell is taken to be twice as high as wide, as terminals draw it: two dots by four (Unicode block Braille
Patterns, U+2800 to U+28FF), so that an inch is as long across as up. plotille sets the dots. A font without
braille shows boxes instead of lines; words and symbols stay.
"""

import math
from collections.abc import Iterable
from functools import lru_cache
from itertools import groupby, pairwise
from typing import Literal

from kiosk.dataclass import dataclass
from kiosk.drawing.sketch import IN_HAND, Label, Pattern, Sketch, Stroke
from kiosk.numbers.aerofoil import Point

Tone = Literal["line", "words", "in hand"]
Row = tuple[tuple[str, Tone], ...]  # one row of cells: runs of like characters, together as wide as the box

LEAST_COLUMNS, LEAST_ROWS = 30, 7  # less shows nothing that a person could tell
DOTS_ACROSS, DOTS_UP = 2, 4  # in a cell
_MOST_DOTS_IN = 400.0  # to an inch: nothing at a bench is drawn larger
_DASHES: dict[Pattern, tuple[float, float]] = {"dashed": (5.0, 4.0), "dotted": (0.0, 3.0)}  # dots on, and off
_FARTHEST = 5  # rows, or twice as many columns, from its own place: farther off a label belongs to nothing
_INK_COSTS = 3.0  # a cell of line covered is as bad as so many columns away
_BLANK = "\u2800"


@dataclass(frozen=True)
class Scale:
    """Where an inch of the sketch is in the box: dots to the inch, and the dot of the sketch's origin."""

    dots_in: float
    left: float
    bottom: float

    def dot(self, point: Point) -> Point:
        """The point in dots from the box's lower left corner."""
        return point[0] * self.dots_in + self.left, point[1] * self.dots_in + self.bottom

    def cell(self, point: Point, rows: int) -> tuple[int, int]:
        """The cell in which the point's dot is set: row from the top, and column."""
        across, up = (round(one) for one in self.dot(point))
        return rows - 1 - up // DOTS_UP, across // DOTS_ACROSS


@dataclass(frozen=True)
class Cells:
    """A sketch on cells: its rows, its scale, and where each of its words came to stand.

    A label that found no room has no place; nothing is cut off, and nothing covers words.
    """

    rows: tuple[Row, ...]
    scale: Scale
    placed: tuple[tuple[Label, tuple[int, int] | None], ...]

    @property
    def text(self) -> str:
        """The rows as plain text."""
        return "\n".join("".join(run for run, _ in row) for row in self.rows)


@lru_cache(maxsize=16)
def put_on_cells(sketch: Sketch, columns: int, rows: int) -> Cells | None:
    """The sketch as large as fits in a box of cells, in its middle; None where the box is too small."""
    if columns < LEAST_COLUMNS or rows < LEAST_ROWS:
        return None
    scale = _scale(sketch, columns, rows)
    if scale is None:
        return None
    characters = _dots(sketch.strokes, scale, columns, rows)
    tones: list[list[Tone]] = [["line"] * columns for _ in range(rows)]
    taken: set[tuple[int, int]] = set()
    for symbol in sorted(sketch.symbols, key=lambda one: one.rank):
        row, column = scale.cell(symbol.at, rows)
        if 0 <= row < rows and 0 <= column < columns:
            characters[row][column] = symbol.character
            tones[row][column] = "in hand" if symbol.character == IN_HAND else "words"
            taken.add((row, column))
    placed = []
    for label in sorted(sketch.labels, key=lambda one: not one.in_hand):
        ink = {
            (row, column)
            for row, line in enumerate(characters)
            for column, character in enumerate(line)
            if character != " "
        }
        place = _place(label, scale, taken, ink, columns, rows)
        placed.append((label, place))
        if place is not None:
            for further, character in enumerate(label.text):
                characters[place[0]][place[1] + further] = character
                tones[place[0]][place[1] + further] = "in hand" if label.in_hand else "words"
            taken |= _cells_of(place, label)
    made = tuple(_runs(line, tone) for line, tone in zip(characters, tones, strict=True))
    return Cells(made, scale, tuple(placed))


def _runs(characters: Iterable[str], tones: Iterable[Tone]) -> Row:
    pairs = zip(characters, tones, strict=True)
    return tuple(
        ("".join(character for character, _ in run), tone)
        for tone, run in groupby(pairs, key=lambda pair: pair[1])
    )


# The scale


def _scale(sketch: Sketch, columns: int, rows: int) -> Scale | None:
    """The largest at which lines, symbols and words, each at its own side, are within the box."""
    points = [point for stroke in sketch.strokes for point in stroke.points]
    points += [symbol.at for symbol in sketch.symbols]
    boxes = [(point, (0.0, 0.0, 0.0, 0.0)) for point in points]
    boxes += [(label.at, _reach(label)) for label in sketch.labels]
    most_across, most_up = DOTS_ACROSS * columns - 1.0, DOTS_UP * rows - 1.0

    def extent(dots_in: float) -> tuple[float, float, float, float]:
        left = min(x * dots_in - reach[0] for (x, _), reach in boxes)
        right = max(x * dots_in + reach[1] for (x, _), reach in boxes)
        bottom = min(y * dots_in - reach[2] for (_, y), reach in boxes)
        top = max(y * dots_in + reach[3] for (_, y), reach in boxes)
        return left, right, bottom, top

    def fits(dots_in: float) -> bool:
        left, right, bottom, top = extent(dots_in)
        return right - left <= most_across and top - bottom <= most_up

    low, high = 0.0, _MOST_DOTS_IN
    if not fits(low):
        boxes = boxes[: len(points)]  # words too long for the box: they look for another place, or have none
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    if low <= 0:
        return None
    left, right, bottom, top = extent(low)
    return Scale(low, (most_across - right - left) / 2, (most_up - top - bottom) / 2)


def _reach(label: Label) -> tuple[float, float, float, float]:
    """How many dots a label takes left, right, below and above of its place."""
    wide = DOTS_ACROSS * len(label.text)
    high = DOTS_UP
    half = wide / 2 + DOTS_ACROSS
    if label.side == "left":
        return (wide + 2 * DOTS_ACROSS, 0, high / 2, high / 2)
    if label.side == "right":
        return (0, wide + 2 * DOTS_ACROSS, high / 2, high / 2)
    if label.side == "above":
        return (half, half, 0, 2 * high)
    if label.side == "below":
        return (half, half, 2 * high, 0)
    return (half, half, high / 2, high / 2)


# Lines


def _dots(strokes: Iterable[Stroke], scale: Scale, columns: int, rows: int) -> list[list[str]]:
    from plotille import Canvas  # loaded when something is drawn

    canvas = Canvas(columns, rows, 0, 0, DOTS_ACROSS * columns, DOTS_UP * rows)
    for stroke in strokes:
        line = [scale.dot(point) for point in stroke.points]
        for (x0, y0), (x1, y1) in _dashed(line, stroke.pattern):
            canvas.line(x0, y0, x1, y1)
    text = str(canvas.plot()).replace(_BLANK, " ")
    return [list(f"{line:<{columns}}"[:columns]) for line in text.splitlines()]


def _dashed(line: list[Point], pattern: Pattern) -> Iterable[tuple[Point, Point]]:
    """The pieces of a line that are drawn, in dots."""
    if pattern not in _DASHES:
        yield from pairwise(line)
        return
    on, off = _DASHES[pattern]
    left, drawn = on, True
    for start, end in pairwise(line):
        length, at = math.dist(start, end), 0.0
        while at < length:
            step = min(left, length - at)
            if drawn:
                yield _between(start, end, at / length), _between(start, end, (at + step) / length)
            at, left = at + step, left - step
            if left <= 1e-9:
                drawn = not drawn
                left = on if drawn else off
                if left <= 0:  # a dot and no dash
                    here = _between(start, end, min(1.0, at / length))
                    yield here, here
                    drawn, left = False, off


def _between(start: Point, end: Point, share: float) -> Point:
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


# Words


def _cells_of(place: tuple[int, int], label: Label) -> set[tuple[int, int]]:
    """What nothing else may take: the words, and a cell before and after them."""
    row, column = place
    return {(row, one) for one in range(column - 1, column + len(label.text) + 1)}


def _place(
    label: Label,
    scale: Scale,
    taken: set[tuple[int, int]],
    ink: set[tuple[int, int]],
    columns: int,
    rows: int,
) -> tuple[int, int] | None:
    """Where a label stands: at its own side when that is free, else close by, where it covers least lines."""
    row, column = scale.cell(label.at, rows)
    long = len(label.text)
    own = {
        "left": (row, column - long - 1),
        "right": (row, column + 2),
        "above": (row - 1, column - long // 2),
        "below": (row + 1, column - long // 2),
        "over": (row, column - long // 2),
    }[label.side]
    best: tuple[float, tuple[int, int]] | None = None
    for at_row in range(max(0, own[0] - _FARTHEST), min(rows, own[0] + _FARTHEST + 1)):
        across = 2 * (_FARTHEST - abs(at_row - own[0]))
        for at_column in range(max(0, own[1] - across), min(columns - long, own[1] + across) + 1):
            place = (at_row, at_column)
            if _cells_of(place, label) & taken:
                continue
            covered = sum((at_row, at_column + further) in ink for further in range(long))
            cost = 2 * abs(at_row - own[0]) + abs(at_column - own[1]) + _INK_COSTS * covered
            if best is None or cost < best[0]:
                best = (cost, place)
    return best[1] if best is not None else None
