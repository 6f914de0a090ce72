"""The smallest window: in a smaller one something would not be seen, so nothing is taken there."""

from textual.geometry import Size

LEAST_COLUMNS, LEAST_ROWS = 64, 20
TOO_SMALL = f"Make the window bigger: at least {LEAST_COLUMNS} by {LEAST_ROWS}."


def is_too_small(size: Size) -> bool:
    """True when a page could be cut at this size."""
    return size.width < LEAST_COLUMNS or size.height < LEAST_ROWS
