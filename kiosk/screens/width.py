"""A screen's classes for its width, known before it is laid out: else it is styled again, and drawn again."""

from typing import Any

from textual.screen import Screen


def know_width(screen: Screen[Any], *, styled: bool = False) -> None:
    """Give a screen the classes that Textual gives it when it is resized. One that is being composed gets
    them before it is styled; one that is ``styled`` already is styled again where they are others."""
    width, steps = screen.app.size.width, screen.app.HORIZONTAL_BREAKPOINTS or []
    widest = max((least for least, _ in steps if width >= least), default=None)
    screen.update_classes({name: least == widest for least, name in steps}, update=styled)
