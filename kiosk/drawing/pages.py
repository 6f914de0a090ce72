"""A full-size drawing on pages: one large sheet, or tiles for a printer with a first page that explains them.

Neighbouring tiles overlap. In each overlap stand register marks that both pages show: lay one mark on the
other and the picture goes on. Every page has a bar along it and a bar across it, to measure before use.
"""

import math
from collections.abc import Sequence

from kiosk.dataclass import dataclass
from kiosk.drawing.layers import LAYERS
from kiosk.drawing.marks import (
    FONT_SIZE,
    PRINTED_IN,
    Bounds,
    Circle,
    Drawing,
    Line,
    Mark,
    Words,
    bounds_of,
    cross,
    moved,
)
from kiosk.drawing.scale_bar import SCALE_BAR_IN, SHORT_BAR_IN, scale_bar
from kiosk.numbers.aerofoil import Point

PAPER_IN: dict[str, tuple[float, float]] = {
    "letter": (8.5, 11.0),  # ANSI/ASME Y14.1 size A
    "a4": (210 / 25.4, 297 / 25.4),  # ISO 216
}
MARGIN_IN = 0.4  # printers leave less than this white
OVERLAP_IN = 0.5
_STRIP_IN = 0.45  # beside the picture, for the bars
_LETTERS_IN = 0.11
_LINE_IN = 0.2
_LEAST_SHEET_IN = 6.0
_MAP_IN = 2.5


@dataclass(frozen=True)
class Page:
    """One page: its size, what stands beside the picture, and the picture with the box that it is cut to."""

    name: str
    width_in: float
    height_in: float
    beside: tuple[Mark, ...]  # in inches from the page's lower left corner, like all of it
    picture: tuple[Mark, ...] = ()
    window: Bounds | None = None


def key_of(marks: Sequence[Mark], left: float, top: float) -> tuple[Mark, ...]:
    """A sample of each kind of line that is drawn, with its words, downward from a point."""
    drawn = {mark.layer for mark in marks}
    found: list[Mark] = []
    y = top
    for layer in LAYERS.values():
        if layer.name not in drawn or layer.name == "NOTES":
            continue
        y -= _LINE_IN
        middle = y + _LETTERS_IN / 2
        centre = (left + 0.45, middle)
        if layer.name == "RIVETS":
            found += [Circle(layer.name, centre, 0.05), *cross(layer.name, centre, 0.08)]
        elif layer.name == "HOLES":
            found += [Circle(layer.name, centre, 0.08), *cross(layer.name, centre, 0.03)]
        elif layer.name == "REGISTER":
            found += _register_mark(centre)
        elif layer.name == "OPENINGS":
            found += [Circle(layer.name, centre, 0.08), *cross(layer.name, centre, 0.11)]
        elif layer.name == "RIMS":
            found.append(Circle(layer.name, centre, 0.08))
        elif layer.name == "FLUTES":
            found.append(Line(layer.name, ((left + 0.3, y), (left + 0.45, y + _LETTERS_IN), (left + 0.6, y))))
        else:
            found.append(Line(layer.name, ((left, middle), (left + 0.9, middle))))
        found.append(Words("NOTES", (left + 1.05, y), _LETTERS_IN, layer.key))
    return tuple(found)


def one_sheet(drawing: Drawing) -> Page:
    """The whole drawing on one sheet as large as it needs, with bar, key and notes below."""
    box = bounds_of(drawing.marks)
    notes = _set_lines([drawing.title, *drawing.notes], max(box.width_in, SCALE_BAR_IN, _LEAST_SHEET_IN))
    keyed = key_of(drawing.marks, 0.0, 0.0)
    key_high = -bounds_of(keyed).bottom if keyed else 0.0
    notes_high = _LINE_IN * len(notes)
    below = 0.9 + key_high + notes_high
    width = max(box.width_in, SCALE_BAR_IN, _LEAST_SHEET_IN) + 2 * MARGIN_IN
    height = box.height_in + below + 2 * MARGIN_IN
    shift = (MARGIN_IN - box.left, height - MARGIN_IN - box.top)
    bar_y = MARGIN_IN + key_high + notes_high + 0.3
    beside: list[Mark] = [*scale_bar((MARGIN_IN, bar_y), SCALE_BAR_IN)]
    beside += [moved(mark, MARGIN_IN, bar_y - 0.1) for mark in keyed]
    beside += [
        Words("NOTES", (MARGIN_IN, MARGIN_IN + notes_high - _LINE_IN * (n + 1)), _LETTERS_IN, line)
        for n, line in enumerate(notes)
    ]
    picture = tuple(moved(mark, *shift) for mark in drawing.marks)
    return Page(drawing.title, width, height, tuple(beside), picture)


def _set_lines(lines: Sequence[str], room_in: float) -> list[str]:
    """Lines broken at words, so that none is wider than there is room; a longer word stands by itself."""
    found: list[str] = []
    for line in lines:
        row = ""
        for word in line.split():
            longer = f"{row} {word}" if row.strip() else row + word
            if row.strip() and set_width_in(longer, _LETTERS_IN) > room_in:
                found.append(row)
                longer = "  " + word
            row = longer
        found.append(row)
    return found


def set_width_in(text: str, height_in: float) -> float:
    """How wide text comes out on paper, by the published widths of the letters that it is printed in."""
    from reportlab.pdfbase.pdfmetrics import stringWidth  # of Helvetica, one of the standard PDF fonts

    return float(stringWidth(text, PRINTED_IN, FONT_SIZE * height_in))


@dataclass(frozen=True)
class _Grid:
    """How tiles lie over a drawing: their window, how many each way, and where the first begins."""

    page: tuple[float, float]
    window: tuple[float, float]
    columns: int
    rows: int
    left: float
    bottom: float

    def box(self, column: int, row: int) -> Bounds:
        """The part of the drawing that a tile shows; rows count from the top."""
        wide, high = self.window
        left = self.left + column * (wide - OVERLAP_IN)
        bottom = self.bottom + (self.rows - 1 - row) * (high - OVERLAP_IN)
        return Bounds(left, bottom, left + wide, bottom + high)


def _grid(box: Bounds, page: tuple[float, float]) -> _Grid:
    window = (page[0] - 2 * MARGIN_IN - _STRIP_IN, page[1] - 2 * MARGIN_IN - _STRIP_IN)
    room = (box.width_in + 0.1, box.height_in + 0.1)
    columns, rows = (
        max(1, math.ceil((long - OVERLAP_IN) / (wide - OVERLAP_IN) - 1e-9))
        for long, wide in zip(room, window, strict=True)
    )
    all_wide = columns * (window[0] - OVERLAP_IN) + OVERLAP_IN
    all_high = rows * (window[1] - OVERLAP_IN) + OVERLAP_IN
    return _Grid(
        page,
        window,
        columns,
        rows,
        box.left - (all_wide - box.width_in) / 2,
        box.bottom - (all_high - box.height_in) / 2,
    )


def tiles(drawing: Drawing, paper: str) -> tuple[Page, ...]:
    """The drawing on pages of a paper of ``PAPER_IN``: what it is and how the pages lie, then the tiles.

    The pages stand or lie, whichever needs fewer.
    """
    short, long = PAPER_IN[paper]
    box = bounds_of(drawing.marks)
    grids = [_grid(box, page) for page in ((long, short), (short, long))]
    grid = min(grids, key=lambda one: one.columns * one.rows)
    picture = (*drawing.marks, *_register_marks(grid))
    made = [_first_page(drawing, picture, grid)]
    count = grid.columns * grid.rows
    for row in range(grid.rows):
        for column in range(grid.columns):
            made.append(_tile(drawing, picture, grid, column, row, count))
    return tuple(made)


def _name(column: int, row: int) -> str:
    return f"{chr(ord('A') + row)}{column + 1}"


def _register_marks(grid: _Grid) -> list[Mark]:
    """Two in every overlap, numbered, so that no two are taken for each other."""
    centres = []
    for row in range(grid.rows):
        for column in range(grid.columns):
            box = grid.box(column, row)
            if column + 1 < grid.columns:
                x = box.right - OVERLAP_IN / 2
                centres += [(x, box.bottom + share * box.height_in) for share in (0.25, 0.75)]
            if row + 1 < grid.rows:
                y = box.bottom + OVERLAP_IN / 2
                centres += [(box.left + share * box.width_in, y) for share in (0.25, 0.75)]
    marks: list[Mark] = []
    for number, centre in enumerate(centres, 1):
        marks += _register_mark(centre)
        marks.append(Words("REGISTER", (centre[0] + 0.12, centre[1] + 0.06), 0.1, str(number)))
    return marks


def _register_mark(centre: Point) -> tuple[Mark, ...]:
    """A square on its corner with a cross: like no hole and no rivet."""
    x, y = centre
    size = 0.15
    corners = ((x - size, y), (x, y + size), (x + size, y), (x, y - size))
    return (Line("REGISTER", corners, closed=True), *cross("REGISTER", centre, size))


def _bars(page: tuple[float, float]) -> tuple[Mark, ...]:
    lies = page[0] > page[1]
    along, across = (SCALE_BAR_IN, SHORT_BAR_IN) if lies else (SHORT_BAR_IN, SCALE_BAR_IN)
    return (
        *scale_bar((MARGIN_IN + 0.05, MARGIN_IN + 0.02), along),
        *scale_bar((MARGIN_IN + 0.3, MARGIN_IN + 0.3), across, upright=True),
    )


def _first_page(drawing: Drawing, picture: Sequence[Mark], grid: _Grid) -> Page:
    wide, high = grid.page
    left = MARGIN_IN + _STRIP_IN + 0.1
    room = wide - left - MARGIN_IN
    pages = grid.columns * grid.rows
    lines = _set_lines(
        [
            drawing.title,
            "Print every page at 100 %: no fitting, no scaling. Measure both bars on each page.",
            "One page follows."
            if pages == 1
            else f"{pages} pages follow, {grid.rows} down and {grid.columns} across. "
            "Lay each register mark on the one of its number.",
            *drawing.notes,
        ],
        room,
    )
    top = high - MARGIN_IN - 0.2
    marks: list[Mark] = [
        Words("NOTES", (left, top - _LINE_IN * n), _LETTERS_IN, line) for n, line in enumerate(lines)
    ]
    top -= _LINE_IN * len(lines)
    marks += key_of(picture, left, top)
    marks += _map_of(grid, wide - MARGIN_IN - _MAP_IN - 0.1, top - 0.2, _MAP_IN)
    return Page(f"{drawing.title}: key", wide, high, (*_bars(grid.page), *marks))


def _map_of(grid: _Grid, left: float, top: float, width_in: float) -> list[Mark]:
    """How the pages lie beside each other, small."""
    size = min(width_in / grid.columns, 0.6)
    high = size * grid.window[1] / grid.window[0]
    widest = max(set_width_in(_name(column, 0), 1.0) for column in range(grid.columns))
    letters = min(_LETTERS_IN, 0.85 * size / widest, 0.85 * high)
    marks: list[Mark] = [Words("NOTES", (left, top), _LETTERS_IN, "the pages, laid out")]
    for row in range(grid.rows):
        for column in range(grid.columns):
            x, y = left + column * size, top - 0.15 - (row + 1) * high
            corners = ((x, y), (x + size, y), (x + size, y + high), (x, y + high))
            marks.append(Line("NOTES", corners, closed=True))
            marks.append(
                Words(
                    "NOTES",
                    (x + size / 2, y + (high - letters) / 2),
                    letters,
                    _name(column, row),
                    "middle",
                )
            )
    return marks


def _tile(drawing: Drawing, picture: Sequence[Mark], grid: _Grid, column: int, row: int, count: int) -> Page:
    box = grid.box(column, row)
    at = (MARGIN_IN + _STRIP_IN, MARGIN_IN + _STRIP_IN)
    shift = (at[0] - box.left, at[1] - box.bottom)
    window = Bounds(at[0], at[1], at[0] + grid.window[0], at[1] + grid.window[1])
    corners = (
        (window.left, window.bottom),
        (window.right, window.bottom),
        (window.right, window.top),
        (window.left, window.top),
    )
    number = row * grid.columns + column + 1
    name = f"{drawing.title}: {_name(column, row)}, page {number} of {count}"
    beside: list[Mark] = [*_bars(grid.page), Line("FRAME", corners, closed=True)]
    beside.append(Words("NOTES", (at[0] + 0.05, MARGIN_IN + 0.3), _LETTERS_IN, name))
    inside = tuple(mark for mark in (moved(one, *shift) for one in picture) if _touches(mark, window))
    return Page(name, grid.page[0], grid.page[1], tuple(beside), inside, window)


def _touches(mark: Mark, window: Bounds) -> bool:
    box = bounds_of((mark,))
    return (
        box.left <= window.right
        and box.right >= window.left
        and box.bottom <= window.top
        and box.top >= window.bottom
    )
