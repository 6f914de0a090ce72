"""The place card's widgets with their texts given and no shop behind them: what Textual alone costs.

Run by :mod:`tests.benchmarks.cold_start` with a JSON file of the texts. Nothing of the kiosk is
loaded but the target for a finger and the stylesheet.
"""

import json
import sys
from pathlib import Path
from typing import ClassVar

from rich.text import Text
from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.screen import Screen
from textual.widgets import Static

from kiosk.screens.target import Tap

SHOWN = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))


class SameScreen(Screen[None]):
    """Head, body, actions, places and foot, as on the place card."""

    AUTO_FOCUS = None

    def compose(self) -> ComposeResult:
        """The same widgets in the same order."""
        yield Static(SHOWN["head"], id="head", markup=False)
        body = Text(no_wrap=True, overflow="ellipsis")
        for text, style in SHOWN["body"]:
            body.append(text, style)
        yield Static(body, id="body", markup=False)
        yield Horizontal(*_taps("actions"), id="actions")
        with Horizontal(id="places"):
            yield from _taps("places")
        yield Static(SHOWN["foot"], id="foot", markup=False)


def _taps(row: str) -> list[Tap]:
    return [Tap(action, label, key, classes=classes) for action, label, key, classes in SHOWN[row]]


class SameApp(App[None], inherit_bindings=False):
    """The kiosk's own settings."""

    CSS_PATH = Path(SHOWN["stylesheet"])
    BINDINGS: ClassVar[list[BindingType]] = []
    ENABLE_COMMAND_PALETTE = False
    ALLOW_SELECT = False
    AUTO_FOCUS = None
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (79, "-wide"), (110, "-roomy")]

    def on_mount(self) -> None:
        """As any Textual app shows a screen of its own."""
        self.animation_level = "none"
        self.push_screen(SameScreen())


SameApp().run()
