"""A sketch as rows of styled text. What is told apart by style is told apart by its characters too."""

import os
from collections.abc import Sequence

from kiosk.drawing.cells import Tone, put_on_cells
from kiosk.drawing.sketch import Sketch
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, Runs

_STYLES: dict[Tone, str] = {"line": PLAIN, "words": BOLD, "in hand": ACCENT}
_SHADE = dict.fromkeys(range(10241, 10496), "░")  # for braille, where the terminal has none


def picture_of(sketch: Sketch, columns: int, rows: int) -> Sequence[Runs]:
    """The sketch in a box of cells; nothing where the box is too small for it.

    The Linux console's own font has no braille (drivers/tty/vt/cp437.uni): lines are shaded cells there.
    """
    cells = put_on_cells(sketch, columns, rows)
    if cells is None:
        return ()
    shaded = os.environ.get("TERM") == "linux"
    return [
        [(run.translate(_SHADE) if shaded else run, _STYLES[tone]) for run, tone in row] for row in cells.rows
    ]
