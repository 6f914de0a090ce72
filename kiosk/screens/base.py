"""What every screen shares: the header, the big action, the way to the other places, keys, pedal, scanner."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.screen import Screen
from textual.widgets import Static

from kiosk.bench import Bench
from kiosk.errors import KioskError
from kiosk.record.stopped import RecordingStopped
from kiosk.screens.page_text import Lines
from kiosk.screens.target import Tap
from kiosk.views.wording import time_of_day

if TYPE_CHECKING:
    from kiosk.screens.app import KioskApp

SAME_TAP_S = 0.4  # the same action again within this counts once
POLL_S = 0.4  # how often another screen's changes are looked for

PLACES: tuple[tuple[str, str, str], ...] = (
    ("place", "Place", "F1"),
    ("spare", "Minutes", "F2"),
    ("board", "Board", "F3"),
    ("people", "People", "F4"),
    ("undo", "Undo", "F6"),
    ("close-up", "Close up", "F10"),
)
FUNCTION_KEYS = {key.lower(): action for action, _, key in PLACES} | {"f5": "snag", "f9": "numbers"}


class KioskScreen(Screen[None]):
    """The base of the full screens. A subclass says what it shows and what its actions do."""

    AUTO_FOCUS = None
    NAME: ClassVar[str] = ""
    inherit_bindings = False

    @property
    def kiosk(self) -> KioskApp:
        """The app, with its own type."""
        from kiosk.screens.app import KioskApp

        assert isinstance(self.app, KioskApp)
        return self.app

    @property
    def bench(self) -> Bench:
        """The shop and its record."""
        return self.kiosk.bench

    def compose(self) -> ComposeResult:
        """Header, body, actions, places, foot."""
        yield Static(id="head", markup=False)
        yield Static(id="body", markup=False)
        yield Horizontal(*self.taps(), id="actions")
        with Horizontal(id="places"):
            for action, label, key in PLACES:
                optional = " optional" if action == "people" else ""
                here = "here" if action == self.NAME else ""
                yield Tap(action, label, key, classes=here + optional)
        yield Static(id="foot", markup=False)

    def taps(self) -> list[Tap]:
        """The actions of this screen, the big one first."""
        return [Tap("big", "", "Enter", classes="big")]

    def on_mount(self) -> None:
        """Show what is so at once, again when the sizes are settled, and look for other screens' changes."""
        self.show()
        self.call_after_refresh(self.show)
        self.set_interval(POLL_S, self._poll)

    def on_screen_resume(self) -> None:
        """Back on this screen: show the newest."""
        if self.is_mounted:
            self.call_after_refresh(self.show)

    def on_resize(self) -> None:
        """The terminal changed its size."""
        self.call_after_refresh(self.show)

    def _poll(self) -> None:
        if self.is_current:
            try:
                changed = self.bench.refresh()
            except RecordingStopped as error:
                self.kiosk.recording_stopped(error)
                return
            if changed:
                self.show()
            else:
                self.tick()

    def tick(self) -> None:
        """Once every poll while nothing changed: the header's clock."""
        if self.query("#head"):
            self._show_head()

    def show(self) -> None:
        """Draw the newest state."""
        if not self.query("#foot"):
            return  # not composed yet, or already on its way out
        try:
            self.draw()
        except KioskError as error:
            self.kiosk.say(str(error), trouble=True)
            self.kiosk.deaf_until = time.monotonic() + 2 * SAME_TAP_S
            self.kiosk.go("place")
            return
        self._show_head()
        self._show_foot()

    def draw(self) -> None:
        """Fill the body and the faces of the taps."""
        raise NotImplementedError

    @property
    def body_rows(self) -> int:
        """Rows between the header and the actions, guessed before the sizes are settled."""
        return self.query_one("#body").size.height or self.app.size.height - 9

    def set_body(self, lines: Lines) -> None:
        """Show lines in the body, cut to its height."""
        self.query_one("#body", Static).update(lines.fitted(max(4, self.body_rows)))

    def lines(self) -> Lines:
        """An empty page as wide as the body."""
        return Lines(self.app.size.width - 2)

    def face(self, action: str, label: str, key: str = "") -> None:
        """What is written on one of this screen's taps; an empty label hides it."""
        for tap in self.query(Tap):
            if tap.action == action:
                tap.face(label, key)
                tap.set_class(not label, "gone")

    def _show_head(self) -> None:
        head = self.query_one("#head", Static)
        doer = self.bench.doer
        people = ", ".join(person.name for person in self.bench.people)
        slot = self.kiosk.slot_left()
        right = f"{slot}{time_of_day(self.bench.now)}"
        left = f"{self.bench.shop.file.aeroplane.name}  at the bench: {people}"
        if len(self.bench.people) > 1:
            left = f"{self.bench.shop.file.aeroplane.name}  {people}  hands: {doer.name}"
        room = max(0, self.app.size.width - 2 - len(right) - 1)
        head.update(f"{left[:room]:<{room}} {right}")

    def _show_foot(self) -> None:
        foot = self.query_one("#foot", Static)
        text, trouble = self.kiosk.message
        if self.kiosk.typed:
            text, trouble = f"Find: {self.kiosk.typed}▌  Enter to go there", False
        foot.set_class(trouble and bool(text), "trouble")
        foot.update(text or self.hint())

    def hint(self) -> str:
        """The foot's text when there is no message."""
        return "Type or scan a part mark to go to it.  F5 snag"

    # Keys, pedal, scanner, touch

    def on_key(self, event: events.Key) -> None:
        """Every key comes here: nothing on a screen takes the focus."""
        event.stop()
        event.prevent_default()
        key = event.key
        if key == self.bench.shop.file.screen.pedal:
            self.act("big")
        elif key == "enter":
            self._enter()
        elif key == "space" and not self.kiosk.typed:
            if not self.take_text(" "):
                self.act("big")
        elif key == "backspace":
            if self.kiosk.typed:
                self.kiosk.typed = self.kiosk.typed[:-1]
                self._show_foot()
            else:
                self.erase()
        elif key == "escape":
            self.kiosk.typed = ""
            self.kiosk.say("")
            self.act("back")
        elif event.is_printable and event.character:
            self._type(event.character)
        elif key in FUNCTION_KEYS:
            self.act(FUNCTION_KEYS[key])
        else:
            self.act(key)

    def on_paste(self, event: events.Paste) -> None:
        """A scanner that the terminal delivers as a paste."""
        event.stop()
        for line in event.text.splitlines() or [event.text]:
            self.kiosk.typed = line.strip()
            self._enter()

    def _type(self, character: str) -> None:
        if not self.kiosk.typed and self.take_text(character):
            return
        self.kiosk.typed += character
        self._show_foot()

    def _enter(self) -> None:
        typed, self.kiosk.typed = self.kiosk.typed.strip(), ""
        if typed:
            self.entered(typed)
            self._show_foot()
        else:
            self.act("big")

    def take_text(self, character: str) -> bool:
        """Use a typed character here; False lets it be the beginning of a part mark."""
        return False

    def erase(self) -> None:
        """Backspace while no mark is being typed."""

    def entered(self, text: str) -> None:
        """A mark was typed or scanned."""
        self.kiosk.find(text)

    @on(Tap.Pressed)
    def _tapped(self, message: Tap.Pressed) -> None:
        message.stop()
        self.act(message.action)

    def act(self, action: str) -> None:
        """Do an action once, wherever it came from; refusals are said at the foot."""
        if not self.kiosk.accept(f"{type(self).__name__}/{action}", time.monotonic()):
            return
        self.kiosk.say("")
        try:
            if not self.do(action):
                self.kiosk.go_to(action)
        except RecordingStopped as error:
            self.kiosk.recording_stopped(error)
            return
        except KioskError as error:
            self.kiosk.say(f"NOT DONE: {error}", trouble=True)
        if self.is_current:
            self.show()

    def do(self, action: str) -> bool:
        """Do one of this screen's actions; False when it is none of them."""
        return False
