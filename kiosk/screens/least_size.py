"""The smallest window: in a smaller one something would not be seen, so nothing is taken there."""

import textwrap

from textual.geometry import Size

from kiosk.catalogue import said, to_be_said
from kiosk.screens.page_text import PLAIN, Runs

LEAST_COLUMNS, LEAST_ROWS = 64, 20
TOO_SMALL = to_be_said("Make the window bigger: at least {columns} by {rows}.")


def too_small(size: Size) -> list[Runs]:
    """What stands in a smaller one, as wide as it is."""
    words = said(TOO_SMALL, columns=LEAST_COLUMNS, rows=LEAST_ROWS)
    return [[(row, PLAIN)] for row in textwrap.wrap(words, max(1, size.width - 2))]


def is_too_small(size: Size) -> bool:
    """True when a page could be cut at this size."""
    return size.width < LEAST_COLUMNS or size.height < LEAST_ROWS
