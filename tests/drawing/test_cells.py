"""A sketch on cells: round stays round, words stand whole and apart, nothing is loaded before it is drawn."""

import random
import subprocess
import sys

import pytest

from kiosk.drawing.cells import DOTS_ACROSS, DOTS_UP, LEAST_COLUMNS, LEAST_ROWS, Cells, put_on_cells
from kiosk.drawing.sketch import IN_HAND, Label, Side, Sketch, Stroke, Symbol, circle

BOXES = ((71, 9), (78, 15), (44, 22), (116, 27), (LEAST_COLUMNS, LEAST_ROWS))


def dots_of(cells: Cells) -> set[tuple[int, int]]:
    """The dots that are set, from the lower left. Bits of a braille cell: Unicode, U+2800 and up."""
    bits = {0: (0, 3), 1: (0, 2), 2: (0, 1), 3: (1, 3), 4: (1, 2), 5: (1, 1), 6: (0, 0), 7: (1, 0)}
    lines = cells.text.splitlines()
    found = set()
    for row, line in enumerate(lines):
        for column, character in enumerate(line):
            for bit, (across, up) in bits.items():
                if 0x2800 <= ord(character) < 0x2900 and ord(character) - 0x2800 >> bit & 1:
                    found.add((DOTS_ACROSS * column + across, DOTS_UP * (len(lines) - 1 - row) + up))
    return found


def assert_whole(cells: Cells, columns: int, rows: int) -> None:
    """As large as the box, each placed label whole, none over another nor against one."""
    lines = cells.text.splitlines()
    assert len(lines) == rows
    assert {len(line) for line in lines} == {columns}
    taken: set[tuple[int, int]] = set()
    for label, place in cells.placed:
        if place is not None:
            row, column = place
            assert lines[row][column : column + len(label.text)] == label.text
            here = {(row, one) for one in range(column, column + len(label.text))}
            assert not {(row, column - 1), (row, column + len(label.text)), *here} & taken
            taken |= here


@pytest.mark.parametrize(("columns", "rows"), BOXES)
def test_a_circle_is_as_wide_as_high(columns: int, rows: int) -> None:
    """A cell is twice as high as wide and has two dots by four, so dots are square."""
    cells = put_on_cells(Sketch("circle", (Stroke(circle((3.0, -2.0), 1.7)),)), columns, rows)
    assert cells is not None
    dots = dots_of(cells)
    wide = max(x for x, _ in dots) - min(x for x, _ in dots)
    high = max(y for _, y in dots) - min(y for _, y in dots)
    assert abs(wide - high) <= 1
    assert wide / (2 * 1.7) == pytest.approx(cells.scale.dots_in, abs=0.5)
    assert high >= DOTS_UP * rows - 3 or wide >= DOTS_ACROSS * columns - 3  # as large as fits


def test_a_line_ends_where_it_is_drawn_to() -> None:
    line = Stroke(((0.0, 0.0), (2.0, 1.0)))
    cells = put_on_cells(Sketch("line", (line,)), 60, 20)
    assert cells is not None
    dots = dots_of(cells)
    for point in line.points:
        x, y = cells.scale.dot(point)
        assert (round(x), round(y)) in dots
    slopes = [(y - cells.scale.bottom) / (x - cells.scale.left) for x, y in dots if x > 20]
    assert min(slopes) == pytest.approx(0.5, abs=0.05) and max(slopes) == pytest.approx(0.5, abs=0.05)


def test_broken_lines_have_gaps_and_solid_ones_none() -> None:
    shares = {}
    for pattern in ("solid", "dashed", "dotted"):
        cells = put_on_cells(Sketch("line", (Stroke(((0.0, 0.0), (1.0, 0.0)), pattern),)), 60, 7)
        assert cells is not None
        shares[pattern] = len(dots_of(cells)) / (DOTS_ACROSS * 60)
    assert shares["solid"] > 0.95
    assert 0.5 < shares["dashed"] < 0.8
    assert 0.25 < shares["dotted"] < 0.45


def test_what_is_in_hand_is_seen_over_what_shares_its_cell() -> None:
    symbols = (Symbol((0.5, 0.5), IN_HAND, 2), Symbol((0.5, 0.5), "+", 0), Symbol((0.5, 0.5), "V", 1))
    cells = put_on_cells(Sketch("one", (Stroke(((0.0, 0.0), (1.0, 1.0))),), symbols), 40, 10)
    assert cells is not None
    assert cells.text.count(IN_HAND) == 1 and "+" not in cells.text and "V" not in cells.text
    assert (IN_HAND, "in hand") in [run for row in cells.rows for run in row]


def test_two_hundred_random_sketches_keep_to_their_boxes() -> None:
    chance = random.Random(20)
    sides: tuple[Side, ...] = ("left", "right", "above", "below", "over")
    unplaced = 0
    for _ in range(200):
        high, wide = chance.uniform(0.01, 300), chance.uniform(0.01, 300)

        def point(wide: float = wide, high: float = high) -> tuple[float, float]:
            return chance.uniform(-wide, wide), chance.uniform(-high, high)

        labels = tuple(
            Label(point(), "x" * chance.randint(1, 24), chance.choice(sides), chance.random() < 0.2)
            for _ in range(chance.randint(0, 8))
        )
        strokes = tuple(
            Stroke(tuple(point() for _ in range(chance.randint(2, 6))), chance.choice(["solid", "dashed"]))
            for _ in range(chance.randint(1, 5))
        )
        symbols = tuple(Symbol(point(), "+", 0) for _ in range(chance.randint(0, 30)))
        columns, rows = chance.choice(BOXES)
        cells = put_on_cells(Sketch("any", strokes, symbols, labels), columns, rows)
        assert cells is not None
        assert_whole(cells, columns, rows)
        unplaced += sum(place is None for _, place in cells.placed)
    assert unplaced < 60  # of some 800; in the small boxes there is no room for all


@pytest.mark.parametrize(
    ("columns", "rows"), [(LEAST_COLUMNS - 1, 40), (200, LEAST_ROWS - 1), (0, 0), (-3, -3)]
)
def test_a_box_too_small_shows_nothing(columns: int, rows: int) -> None:
    assert put_on_cells(Sketch("line", (Stroke(((0.0, 0.0), (1.0, 1.0))),)), columns, rows) is None


def test_what_sets_the_dots_is_loaded_when_something_is_drawn() -> None:
    code = """
import sys
import kiosk.screens.walk, kiosk.drawing.step_drawings, kiosk.drawing.cells
from kiosk.drawing.sketch import Sketch, Stroke
print(*({'plotille', 'shapely', 'yaml', 'kiosk.shop.load'} & set(sys.modules)))
kiosk.drawing.cells.put_on_cells(Sketch('', (Stroke(((0.0, 0.0), (1.0, 1.0))),)), 40, 10)
print(*({'plotille', 'shapely'} & set(sys.modules)))
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == ["", "plotille"]
