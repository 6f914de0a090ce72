"""Choose one of a few things, or type one's own words. For touch, keys and pedal."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Generic, TypeVar

from textual.app import ComposeResult

from kiosk.screens.action import BIG, Action
from kiosk.screens.dialog import Answer, Dialog
from kiosk.screens.page_text import ACCENT, BOLD, QUIET, Lines
from kiosk.screens.target import Targets

T = TypeVar("T")

ROWS_EACH = 3
MOST_ROWS = 4  # options on the screen at a time
LONGEST = 120  # characters of typed words
NONE_YET = -1  # nothing is highlighted: Enter does nothing until something is chosen


@dataclass(frozen=True)
class Choice(Generic[T]):
    """What can be chosen: the words on the screen, and what they stand for."""

    label: str
    value: T


@dataclass(frozen=True)
class Words(Generic[T]):
    """One's own words are welcome: what asks for them, and what is made of them."""

    hint: str
    make: Callable[[str], T]
    secret: bool = False


def words(hint: str, *, secret: bool = False) -> Words[str]:
    """One's own words, taken as they are."""
    return Words(hint, str, secret)


def same(texts: Sequence[str]) -> list[Choice[str]]:
    """Choices that stand for their own words, such as a reason to be recorded."""
    return [Choice(text, text) for text in texts]


class ChoiceScreen(Dialog[T]):
    """Gives the value of the chosen option, or what is made of the typed words."""

    def __init__(
        self,
        title: str,
        choices: Sequence[Choice[T]],
        *,
        words: Words[T] | None = None,
        detail: Sequence[str] = (),
        preselected: bool = True,
    ) -> None:
        super().__init__(title)
        self.choices = list(choices)
        self.words = words
        self.detail = list(detail)
        self.at = 0 if preselected else NONE_YET
        self.typed = ""

    def targets(self) -> ComposeResult:
        """The options above the actions."""
        yield Targets(MOST_ROWS, id="options")
        yield from super().targets()

    @property
    def _visible(self) -> int:
        return max(1, min(MOST_ROWS, (self.size.height - 10) // ROWS_EACH))

    @property
    def _first(self) -> int:
        return max(0, self.at) - max(0, self.at) % self._visible

    def lines(self, rows: int) -> Lines:
        """What it is about, and the words typed so far."""
        lines = self.empty_page()
        for text in self.detail:
            lines.add(text, BOLD, importance=1)
        if self.words is not None:
            shown = "*" * len(self.typed) if self.words.secret else self.typed
            lines.add(f"{self.words.hint} {shown}▌", ACCENT if self.typed else QUIET)
        return lines

    def actions(self) -> list[Action]:
        """Take, move, leave."""
        return [
            Action("TAKE IT", BIG, self._take),
            Action("Up", "up", partial(self._move, -1), repeats=True),
            Action("Down", "down", partial(self._move, 1), repeats=True),
            Action("Leave", "escape", self.leave),
        ]

    def put(self, actions: Sequence[Action]) -> None:
        """The page of options that holds the highlighted one, and the actions."""
        super().put(actions)
        page = list(enumerate(self.choices))[self._first : self._first + self._visible]
        options = [
            Action(
                f"{'▶' if place == self.at else ' '} {choice.label}",
                "",
                partial(self._choose, choice),
                here=place == self.at and not self.typed,
            )
            for place, choice in page
        ]
        self.query_one("#options", Targets).put(options)

    def foot(self) -> str:
        """Which of how many."""
        if not self.choices:
            return "Type, then Enter"
        if self.at == NONE_YET:
            return "Choose one: nothing is chosen yet"
        pages = -(-len(self.choices) // self._visible)
        page = f", page {self._first // self._visible + 1} of {pages}"
        return f"{self.at + 1} of {len(self.choices)}{page}"

    def _move(self, by: int) -> None:
        self.at = max(0, min(len(self.choices) - 1, self.at + by))

    def _take(self) -> None:
        typed = self.typed.strip()
        if typed and self.words is not None:
            self.leave(Answer(self.words.make(typed), typed))
        elif self.choices and self.at != NONE_YET:
            self._choose(self.choices[self.at])

    def _choose(self, choice: Choice[T]) -> None:
        self.leave(Answer(choice.value, choice.label))

    def type(self, character: str) -> None:
        """Letters type where words are asked for."""
        if self.words is not None:
            self.typed = (self.typed + character)[:LONGEST]
            self.draw()

    def erase(self) -> None:
        """Take back a letter."""
        self.typed = self.typed[:-1]
        self.draw()
