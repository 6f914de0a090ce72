"""Puts text on a widget whose size its text does not change, and paints nothing where it stands already.

No widget here is as wide or as high as its text: the stylesheet gives each its rows. So another text never
moves another widget, and the screen is not laid out again for it.
"""

from rich.text import Text
from textual.widgets import Static


def put_text(widget: Static, text: str | Text) -> None:
    """Let this text stand on a widget."""
    stands = widget.content
    if type(stands) is not type(text) or stands != text:
        widget.update(text, layout=False)
