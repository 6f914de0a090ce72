"""A target for a finger: three rows, at least twelve columns, its key written on it."""

from rich.text import Text
from textual import events
from textual.message import Message
from textual.widgets import Static


class Tap(Static):
    """Sends :class:`Tap.Pressed` with its action when tapped. Never takes the focus, so that a scanner's
    Enter cannot press it again."""

    can_focus = False

    class Pressed(Message):
        """A tap, with the action it stands for."""

        def __init__(self, action: str) -> None:
            self.action = action
            super().__init__()

    def __init__(self, action: str, label: str, key: str = "", *, classes: str = "") -> None:
        self.action = action
        super().__init__(_face(label, key), classes=classes, markup=False)

    def face(self, label: str, key: str = "") -> None:
        """Change what is written on it."""
        self.update(_face(label, key))

    def on_click(self, event: events.Click) -> None:
        """A finger or the mouse."""
        event.stop()
        if self.action:
            self.post_message(self.Pressed(self.action))


def _face(label: str, key: str) -> Text:
    text = Text(justify="center", no_wrap=False)
    text.append(f"{label}\n{key}" if key else label)
    return text
