"""Choose one of a few things, or type one's own words. For touch, keys and pedal."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.screen import ModalScreen
from textual.widgets import Static

from kiosk.screens.base import SAME_TAP_S
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET, Lines
from kiosk.screens.target import Tap

ROWS_EACH = 3


class ChoiceScreen(ModalScreen[str | None]):
    """Gives the chosen or typed text, or None when it was left."""

    AUTO_FOCUS = None

    def __init__(
        self,
        title: str,
        options: Sequence[str],
        *,
        text_hint: str = "",
        detail: Sequence[str] = (),
        secret: bool = False,
    ) -> None:
        super().__init__()
        self.title_text = title
        self.options = list(options)
        self.text_hint = text_hint
        self.detail = list(detail)
        self.secret = secret
        self.at = 0
        self.typed = ""
        self._opened = time.monotonic()

    def compose(self) -> ComposeResult:
        """Title, options as targets, and three actions."""
        yield Static(id="head", markup=False)
        yield Static(id="body", markup=False)
        for number in range(4):
            yield Tap(f"option {number}", "", classes="option")
        with Horizontal(id="actions"):
            yield Tap("big", "TAKE IT", "Enter", classes="big")
            yield Tap("up", "Up", "↑")
            yield Tap("down", "Down", "↓")
            yield Tap("leave", "Leave", "Esc", classes="away")
        yield Static(id="foot", markup=False)

    def on_mount(self) -> None:
        """Draw once the size is known."""
        self.call_after_refresh(self.draw)

    def on_resize(self) -> None:
        """Draw again at another size."""
        self.call_after_refresh(self.draw)

    @property
    def _visible(self) -> int:
        return max(1, min(4, (self.size.height - 10) // ROWS_EACH))

    def draw(self) -> None:
        """Show the page of options that holds the highlighted one."""
        self.query_one("#head", Static).update(self.title_text)
        lines = Lines(self.size.width - 2)
        for text in self.detail:
            lines.add(text, BOLD, importance=1)
        if self.text_hint:
            shown = "*" * len(self.typed) if self.secret else self.typed
            lines.add(f"{self.text_hint} {shown}▌", ACCENT if self.typed else QUIET)
        body = self.query_one("#body", Static)
        first = self.at - self.at % self._visible
        for number, tap in enumerate(self.query(".option").results(Tap)):
            place = first + number
            tap.display = number < self._visible and place < len(self.options)
            if tap.display:
                mark = "▶ " if place == self.at else "  "
                tap.face(mark + self.options[place])
                tap.set_class(place == self.at and not self.typed, "here")
        pages = -(-len(self.options) // self._visible)
        self.query_one("#foot", Static).update(
            f"{self.at + 1} of {len(self.options)}" + (f", page {first // self._visible + 1} of {pages}")
            if self.options
            else "Type, then Enter"
        )
        body.update(lines.fitted(max(2, body.size.height)))

    def on_key(self, event: events.Key) -> None:
        """Arrows move, Enter takes, Esc leaves, letters type where words are asked for."""
        event.stop()
        event.prevent_default()
        pedal = getattr(self.app, "bench", None)
        if event.key == "enter" or (pedal and event.key == pedal.shop.file.screen.pedal):
            self._act("big")
        elif event.key in ("up", "down"):
            self._act(event.key)
        elif event.key == "escape":
            self._act("leave")
        elif event.key == "backspace":
            self.typed = self.typed[:-1]
            self.draw()
        elif event.is_printable and event.character and self.text_hint:
            self.typed = (self.typed + event.character)[:120]
            self.draw()

    @on(Tap.Pressed)
    def _tapped(self, message: Tap.Pressed) -> None:
        message.stop()
        self._act(message.action)

    def _act(self, action: str) -> None:
        if action.startswith("option"):
            first = self.at - self.at % self._visible
            self.at = min(len(self.options) - 1, first + int(action.split()[1]))
            self.typed = ""
            action = "big"
        if action == "up":
            self.at = max(0, self.at - 1)
        elif action == "down":
            self.at = min(max(0, len(self.options) - 1), self.at + 1)
        elif action == "leave":
            self.dismiss(None)
            return
        elif action == "big":
            # The press that opened this screen may still be coming in.
            if time.monotonic() - self._opened < SAME_TAP_S:
                return
            if self.typed.strip():
                self.dismiss(self.typed.strip())
            elif self.options:
                self.dismiss(self.options[self.at])
            return
        self.draw()


class PageScreen(ModalScreen[None]):
    """A page of text to read, such as the working of a number."""

    AUTO_FOCUS = None

    def __init__(self, title: str, pages: Sequence[Sequence[tuple[str, str]]]) -> None:
        super().__init__()
        self.title_text = title
        self.pages = list(pages) or [[("Nothing to show.", PLAIN)]]
        self.at = 0
        self._screens: list[Lines] = []  # the pages as they fit this screen

    def compose(self) -> ComposeResult:
        """Title, text and two actions."""
        yield Static(id="head", markup=False)
        yield Static(id="body", markup=False)
        with Horizontal(id="actions"):
            yield Tap("leave", "BACK", "Enter", classes="big")
            yield Tap("next", "Next page", "→")
        yield Static(id="foot", markup=False)

    def on_mount(self) -> None:
        """Draw once the size is known."""
        self.call_after_refresh(self.draw)

    def on_resize(self) -> None:
        """Draw again at another size."""
        self.call_after_refresh(self.draw)

    def draw(self) -> None:
        """Show the page; one that is longer than the screen goes on over the next."""
        self.query_one("#head", Static).update(self.title_text)
        body = self.query_one("#body", Static)
        height = max(4, body.size.height)
        self._screens = [screen for page in self.pages for screen in self._fit(page, height)]
        self.at = min(self.at, len(self._screens) - 1)
        body.update(self._screens[self.at].fitted(height))
        self.query_one("#foot", Static).update(f"Page {self.at + 1} of {len(self._screens)}")

    def _fit(self, page: Sequence[tuple[str, str]], height: int) -> list[Lines]:
        screens = [Lines(self.size.width - 2)]
        for text, style in page:
            block = Lines(self.size.width - 2)
            if "\n" in text:  # a plot: its rows stay as they are
                for row in text.splitlines():
                    block.raw(row, style)
            else:
                block.add(text, style)
            if screens[-1].rows and screens[-1].rows + block.rows > height:
                screens.append(Lines(self.size.width - 2))
            screens[-1].blocks += block.blocks
        return screens

    def on_key(self, event: events.Key) -> None:
        """Right turns the page; anything else goes back."""
        event.stop()
        event.prevent_default()
        if event.key in ("right", "down"):
            self._next()
        else:
            self.dismiss(None)

    def _next(self) -> None:
        self.at = (self.at + 1) % max(1, len(self._screens))
        self.draw()

    @on(Tap.Pressed)
    def _tapped(self, message: Tap.Pressed) -> None:
        message.stop()
        if message.action == "next":
            self._next()
        else:
            self.dismiss(None)


class KeypadScreen(ModalScreen[None]):
    """A keypad for fingers. Every key is kept at once, so a half-typed figure survives anything."""

    AUTO_FOCUS = None
    FACES = ("1", "2", "3", "4", "5", "6", "7", "8", "9", "0", ".", "/", "-", "⌫", "OK")

    def __init__(
        self, ask: str, wanted: str, text: str, typed: Callable[[str], None], done: Callable[[], None]
    ) -> None:
        super().__init__()
        self.ask = ask
        self.wanted = wanted
        self.text = text
        self.typed = typed
        self.done = done

    def compose(self) -> ComposeResult:
        """The question, the figure, fifteen keys."""
        yield Static(id="head", markup=False)
        yield Static(id="body", markup=False)
        with Horizontal(id="keys"):
            for face in self.FACES:
                yield Tap(face, face, classes="big" if face == "OK" else "")
        yield Static(id="foot", markup=False)

    def on_mount(self) -> None:
        """Draw once the size is known."""
        self.call_after_refresh(self.draw)

    def draw(self) -> None:
        """Show the figure as typed so far."""
        self.query_one("#head", Static).update(f"{self.ask}: {self.wanted}")
        lines = Lines(self.size.width - 2)
        lines.big(f"{self.text}", caption="▌")
        body = self.query_one("#body", Static)
        body.update(lines.fitted(max(3, body.size.height)))
        self.query_one("#foot", Static).update("OK or Enter records it. Esc keeps it half typed.")

    def on_key(self, event: events.Key) -> None:
        """The keyboard works too."""
        event.stop()
        event.prevent_default()
        if event.key == "escape":
            self.dismiss(None)
        elif event.key == "enter":
            self._press("OK")
        elif event.key == "backspace":
            self._press("⌫")
        elif event.is_printable and event.character:
            self._press(event.character)

    @on(Tap.Pressed)
    def _tapped(self, message: Tap.Pressed) -> None:
        message.stop()
        self._press(message.action)

    def _press(self, face: str) -> None:
        if face == "OK":
            self.dismiss(None)
            self.done()
            return
        self.text = self.text[:-1] if face == "⌫" else (self.text + face)[:20]
        self.typed(self.text)
        self.draw()
