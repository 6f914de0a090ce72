"""A sketch as rows of styled text. What is told apart by style is told apart by its characters too."""

from collections.abc import Sequence

from kiosk.drawing.cells import Tone, put_on_cells
from kiosk.drawing.sketch import Sketch
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, Runs

_STYLES: dict[Tone, str] = {"line": PLAIN, "words": BOLD, "in hand": ACCENT}


def picture_of(sketch: Sketch, columns: int, rows: int) -> Sequence[Runs]:
    """The sketch in a box of cells; nothing where the box is too small for it."""
    cells = put_on_cells(sketch, columns, rows)
    return [[(run, _STYLES[tone]) for run, tone in row] for row in cells.rows] if cells is not None else ()
