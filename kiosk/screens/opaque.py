"""What all screens and dialogs here have in common for Textual: nothing beneath one of them is seen.

Textual is made for screens that let the one beneath show through. It therefore styles, lays out and paints
the covered one as well, and the upper one again after it. Here each is opened by one layout and one painting.
"""

from typing import TypeVar

from textual import events
from textual.screen import Screen
from textual.widget import Widget

from kiosk.screens.strip import Strip
from kiosk.screens.width import know_width

T = TypeVar("T")


class OpaqueScreen(Screen[T]):
    """A screen through which nothing is seen."""

    AUTO_FOCUS = None

    def _extend_compose(self, widgets: list[Widget]) -> None:
        """Nothing of Textual's own is added: there are no tooltips and no notifications here."""

    @property
    def is_current(self) -> bool:
        """Whether it can be seen, which is only from the top."""
        stack = self.app.screen_stack
        return bool(stack) and stack[-1] is self

    def on_screen_resume(self, event: events.ScreenResume) -> None:
        """On top: its styles are those that it was composed with, for nothing changes them meanwhile."""
        event.refresh_styles = False
        for strip in self.query(Strip):
            strip.go_on()

    def on_screen_suspend(self) -> None:
        """Covered by another: its strip is not in sight."""
        for strip in self.query(Strip):
            strip.rest()

    def on_resize(self, event: events.Resize) -> None:
        """Another size, or the one that it was laid out for just now: nothing is laid out again for that."""
        if event.size == self.outer_size:
            event.prevent_default()
            know_width(self, styled=True)
        self.call_after_refresh(self.settle)

    def on_strip_changed(self) -> None:
        """The strip took a row, or gave it back."""
        self.call_after_refresh(self.settle)

    def settle(self) -> None:
        """Draw again where what is drawn was drawn for another room."""
        raise NotImplementedError
