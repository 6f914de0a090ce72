"""The strip over every screen and dialog: what runs out, what was missed, a wait that ended. It rings too."""

from typing import Protocol, cast

from textual.message import Message
from textual.timer import Timer
from textual.widgets import Static

LOOK_S = 0.4  # between two looks at the clocks


class CallsOut(Protocol):
    """What the strip asks of the app."""

    def called_out(self, width: int) -> str:
        """What is to be called out now, in so many columns; empty when nothing is. Rings for what is new."""


class Strip(Static):
    """One row in reverse, there only while something is called out."""

    class Changed(Message):
        """It came or went: the rest of the screen has a row fewer, or more."""

    def __init__(self) -> None:
        super().__init__(id="strip", markup=False, classes="gone")
        self._words = ""
        self._looking: Timer | None = None

    @property
    def said(self) -> str:
        """What stands on it; empty while it is gone."""
        return self._words

    def on_mount(self) -> None:
        """Look at once, and go on looking."""
        self.look()
        self._looking = self.set_interval(LOOK_S, self.look)

    def rest(self) -> None:
        """Its screen is covered: a clock that ticks for nobody takes a part of the processor all the same."""
        if self._looking is not None:
            self._looking.pause()

    def go_on(self) -> None:
        """Its screen is on top again."""
        if self._looking is not None:
            self._looking.reset()  # resumed, it would look at once, in the middle of what leads back

    def on_resize(self) -> None:
        """More or less of it fits now."""
        self.look()

    def look(self) -> None:
        """Show what is so now. A screen that is covered does not look: the one above it does."""
        if self.app.screen is not self.screen:
            return
        words = cast(CallsOut, self.app).called_out(self.app.size.width - 2)
        if words != self._words:
            self._words = words
            self.update(words, layout=False)
        if self.has_class("gone") != (not words):
            self.set_class(not words, "gone")
            self.post_message(self.Changed())
