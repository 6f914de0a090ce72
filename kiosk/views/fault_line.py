"""A figure that cannot be worked out, in the one line that `kiosk check` gives of it."""

from functools import cache
from pathlib import Path

from kiosk.errors import KioskError
from kiosk.shop.figures import FigureFault
from kiosk.shop.shop import Shop


def fault_line(shop: Shop, error: KioskError) -> str:
    """File, line, what is wrong and how to mend it, where the shop's files tell; else the last two."""
    if isinstance(error, FigureFault):
        return _line_of(shop.folder, error.wrong, error.mend) or str(error)
    return str(error)


@cache
def _line_of(folder: Path, wrong: str, mend: str) -> str:
    """The first fault in the files that begins with these words: `kiosk check` adds who asks.

    Looked for once: a screen is drawn many times.
    """
    from kiosk.drawing.step_drawings import STEP_DRAWINGS
    from kiosk.shop.load import load  # every file is read again, which only a fault is worth

    faults = load(folder, lint=True, drawings=STEP_DRAWINGS).errors
    return next((str(one) for one in faults if one.mend == mend and one.wrong.startswith(wrong)), "")
