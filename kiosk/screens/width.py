"""A screen's classes for its width, known before it is laid out: else it is styled again, and drawn again."""

from typing import Any

from textual.screen import Screen


def know_width(screen: Screen[Any]) -> None:
    """Give a screen that is being composed the classes that Textual gives it at its first resize."""
    width, steps = screen.app.size.width, screen.app.HORIZONTAL_BREAKPOINTS or []
    widest = max((least for least, _ in steps if width >= least), default=None)
    screen.update_classes({name: least == widest for least, name in steps}, update=False)
