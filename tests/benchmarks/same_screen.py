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
from textual.screen import Screen
from textual.widgets import Static

from kiosk.screens.action import Action
from kiosk.screens.target import Targets

MOST_TARGETS, MOST_PLACES = 7, 6  # as in kiosk/screens/base.py, which is not loaded here

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
        yield Targets(MOST_TARGETS, id="actions")
        yield Targets(MOST_PLACES, id="places")
        yield Static(SHOWN["foot"], id="foot", markup=False)

    def on_mount(self) -> None:
        """Let the same actions stand on the targets."""
        for row in ("actions", "places"):
            self.query_one(f"#{row}", Targets).put(
                [
                    Action(label, key, lambda: None, shown=shown, here=here)
                    for label, key, shown, here in SHOWN[row]
                ]
            )


class SameApp(App[None], inherit_bindings=False):
    """The kiosk's own settings."""

    CSS_PATH = Path(SHOWN["stylesheet"])
    BINDINGS: ClassVar[list[BindingType]] = []
    ENABLE_COMMAND_PALETTE = False
    ALLOW_SELECT = False
    AUTO_FOCUS = None
    HORIZONTAL_BREAKPOINTS = [(0, "-small"), (72, "-narrow"), (79, "-wide"), (110, "-roomy")]

    def on_mount(self) -> None:
        """As any Textual app shows a screen of its own."""
        self.animation_level = "none"
        self.push_screen(SameScreen())


SameApp().run()
