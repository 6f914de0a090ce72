"""The wall screen's application: the bench it talks to, the way between screens, and what may stop it."""

import gc
import signal
import sys
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import ClassVar

from textual.app import App
from textual.binding import BindingType
from textual.screen import Screen

from kiosk.bench import Bench
from kiosk.errors import KioskError
from kiosk.record.journal import RecordingStopped
from kiosk.screens.base import SAME_TAP_S, KioskScreen
from kiosk.screens.dialogs import ChoiceScreen, PageScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN
from kiosk.screens.place import PlaceScreen
from kiosk.shop.faults import nearest
from kiosk.shop.parts import marks_in_full

OBJECTS_OF_A_SCREEN = 10_000  # made before the next look for garbage
SNAGS = ("Crack", "Wrong size", "Scratch that a nail can feel", "Hole in the wrong place")


class KioskApp(App[None], inherit_bindings=False):
    """One shop on one screen."""

    CSS_PATH = "kiosk.tcss"
    BINDINGS: ClassVar[list[BindingType]] = []
    ENABLE_COMMAND_PALETTE = False
    ALLOW_SELECT = False
    AUTO_FOCUS = None
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (79, "-wide"), (110, "-roomy")]

    def __init__(self, bench: Bench) -> None:
        super().__init__()
        self.bench = bench
        self.animation_level = "none"
        self.typed = ""  # a part mark being typed or scanned
        self.message: tuple[str, bool] = ("", False)
        self._last_tap: tuple[str, float] = ("", 0.0)
        self.deaf_until = 0.0  # after another screen's change swept this one away
        self._slot_ends: float | None = None

    def get_default_screen(self) -> Screen[None]:
        """The place card is the first screen, with none beneath it to be laid out."""
        return PlaceScreen()

    def on_mount(self) -> None:
        """Open on the place card, and leave cleanly when the machine says so."""
        self.call_after_refresh(_settle)
        loop = self._loop
        if loop is not None:
            for number in (signal.SIGTERM, signal.SIGHUP):
                try:
                    loop.add_signal_handler(number, self.exit)
                except (NotImplementedError, ValueError, RuntimeError):
                    break  # not the main thread, as in a test

    # Messages and taps

    def say(self, text: str, *, trouble: bool = False) -> None:
        """Put a line at the foot of the screen."""
        self.message = (text, trouble)

    def accept(self, action: str, at: float) -> bool:
        """False for the same action again within 0.4 s: a bounced key, a held pedal, a double tap.

        Also false just after another screen's change took this screen away: the tap was meant for it.
        """
        if at < self.deaf_until:
            return False
        same = self._last_tap[0] == action and at - self._last_tap[1] < SAME_TAP_S
        if same and action.rpartition("/")[2] not in ("up", "down", "left", "right"):
            # A held pedal repeats for as long as it is held: count from its last repeat.
            self._last_tap = (action, at)
            return False
        self._last_tap = (action, at)
        return True

    def attempt(self, act: Callable[[], object]) -> bool:
        """Do something for a dialog; a refusal is said at the foot. True when it was done."""
        try:
            act()
        except RecordingStopped as error:
            self.recording_stopped(error)
            return False
        except (KioskError, ValueError) as error:
            self.say(f"NOT DONE: {error}", trouble=True)
            return False
        return True

    def recording_stopped(self, error: RecordingStopped) -> None:
        """Say over the whole screen that nothing is recorded now."""
        if isinstance(self.screen, PageScreen):
            return
        self.push_screen(
            PageScreen(
                "RECORDING STOPPED",
                [
                    [
                        ("RECORDING STOPPED", ACCENT),
                        ("Your last tap is not recorded. What was recorded before is safe.", BOLD),
                        (str(error), PLAIN),
                        ("Check the disk, then press Enter and tap again.", BOLD),
                    ]
                ],
            )
        )

    # The slot

    def begin_slot(self, minutes: int) -> None:
        """A slot of so many minutes runs from now."""
        self._slot_ends = time.monotonic() + minutes * 60

    def slot_left(self) -> str:
        """The header's words for the time left in the slot."""
        if self._slot_ends is None:
            return ""
        left = (self._slot_ends - time.monotonic()) / 60
        away = self.bench.shop.file.put_away
        if left < -5:
            self._slot_ends = None
            return ""
        if left <= away:
            return "PUT AWAY NOW  "
        return f"{left - away:.0f} min, then put away  "

    def ask_place(self, marks: Sequence[str]) -> None:
        """Parts stand on a step that their procedure no longer has: ask where they go on."""
        where = self.bench.position(marks[0])
        if where.procedure is None:
            return
        steps = {f"{number}. {step.do}": step.id for number, step in enumerate(where.procedure.steps, 1)}

        def chosen(text: str | None) -> None:
            if text in steps:
                for mark in marks:
                    self.attempt(partial(self.bench.answer_place, mark, steps[text]))
                self._redraw()

        detail = [f"{where.procedure.title}: step {where.vanished!r} is no longer there."]
        self.push_screen(
            ChoiceScreen(f"{marks_in_full(marks)}: which step comes next?", list(steps), detail=detail),
            chosen,
        )

    # Ways between screens

    def go(self, name: str) -> None:
        """Go to one of the places, leaving whatever is open."""
        if name == "place":
            while len(self.screen_stack) > 1:
                self.pop_screen()
        else:
            self._show(_screen(name))

    def _show(self, screen: KioskScreen) -> None:
        """Show a screen over the place card, instead of whatever was open over it."""
        while len(self.screen_stack) > 2:
            self.pop_screen()
        if len(self.screen_stack) == 2:
            self.switch_screen(screen)
        else:
            self.push_screen(screen)

    def go_to(self, action: str) -> None:
        """What the keys mean on every screen."""
        if action in ("place", "spare", "board", "people", "close-up", "numbers", "forecast"):
            self.go(action)
        elif action == "back":
            self.go("place")
        elif action == "undo":
            self._undo()
        elif action == "snag":
            card = self.bench.place_card()
            if card.marks:
                self.raise_snag(card.marks[0])
        elif action == "ctrl+c":
            self.say("F10 closes up and leaves the kiosk.")

    def walk(self, work: str) -> None:
        """Walk the step in hand."""
        from kiosk.screens.walk import WalkScreen

        self._show(WalkScreen(work))

    def open_part(self, mark: str) -> None:
        """Open a part's page."""
        from kiosk.screens.part import PartScreen

        self._show(PartScreen(mark))

    def find(self, text: str) -> None:
        """Go to the part with the typed or scanned mark."""
        mark = self.bench.shop.find_part(text)
        if mark is None:
            self.say(
                f"No part is marked {text.upper()!r}: {nearest(text.upper(), self.bench.shop.parts)}",
                trouble=True,
            )
        else:
            self.open_part(mark)

    def raise_snag(self, mark: str) -> None:
        """Ask what is not right on a part and hold it."""

        def said(text: str | None) -> None:
            if text is not None and self.attempt(lambda: self.bench.raise_snag(mark, text)):
                self.say(f"Saved. {mark} is held until you decide.")
            self._redraw()

        self.push_screen(
            ChoiceScreen(f"What is not right on {mark}?", SNAGS, text_hint="Or in your words:"), said
        )

    def _undo(self) -> None:
        entry = self.bench.latest_undoable()
        if entry is None:
            self.say("Nothing can be taken back.")
            return
        take, leave = f"Take back: {entry.label}", "Leave it"

        def chosen(text: str | None) -> None:
            if text == take and self.attempt(lambda: self.bench.undo(entry.event)):
                self.say(f"Taken back: {entry.label}. Both stay in the record.")
            self._redraw()

        self.push_screen(ChoiceScreen("Undo", [take, leave]), chosen)

    def _redraw(self) -> None:
        if isinstance(self.screen, KioskScreen):
            self.screen.show()


def _settle() -> None:
    """What the start loaded stays for good: leave it out of every later look for garbage."""
    gc.freeze()
    gc.set_threshold(OBJECTS_OF_A_SCREEN)


def _screen(name: str) -> KioskScreen:
    """A screen over the place card. Each is loaded when it is first wanted: a start does without them."""
    match name:
        case "spare":
            from kiosk.screens.spare import SpareScreen

            return SpareScreen()
        case "board":
            from kiosk.screens.board import BoardScreen

            return BoardScreen()
        case "people":
            from kiosk.screens.people import PeopleScreen

            return PeopleScreen()
        case "close-up":
            from kiosk.screens.close_up import CloseUpScreen

            return CloseUpScreen()
        case "numbers":
            from kiosk.screens.numbers import NumbersScreen

            return NumbersScreen()
        case "forecast":
            from kiosk.screens.forecast import ForecastScreen

            return ForecastScreen()
    raise KeyError(name)


def run(folder: Path) -> int:
    """Open a shop on this terminal; gives the exit code."""
    bench = Bench(folder, watch=True)
    app = KioskApp(bench)
    try:
        app.run()
    finally:
        bench.close()
    if app.return_code:
        print("kiosk: stopped by a fault; everything recorded is safe. Open it again.", file=sys.stderr)
    return app.return_code or 0
