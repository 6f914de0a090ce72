"""Choose one of a few things, or type one's own words. For touch, keys and pedal.

Nothing is chosen beforehand: Enter on an untouched dialog takes nothing. The one exception is made here, by
``goes``: a list of places to go, where the first does no harm.
"""

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
        refused: str = "",
        typed: str = "",
        goes: bool = False,
    ) -> None:
        """``refused`` says why what was ``typed`` is asked again; ``goes`` offers the first at once."""
        super().__init__(title)
        self.choices = list(choices)
        self.words = words
        self.detail = list(detail)
        self.refused = refused
        self.typed = typed
        self.at: int | None = 0 if goes and self.choices else None
        self._said = ""

    def targets(self) -> ComposeResult:
        """The options above the actions."""
        yield Targets(MOST_ROWS, id="options")
        yield from super().targets()

    @property
    def _visible(self) -> int:
        return max(1, min(MOST_ROWS, (self.size.height - 10) // ROWS_EACH))

    @property
    def _first(self) -> int:
        at = self.at or 0
        return at - at % self._visible

    @property
    def _is_chosen(self) -> bool:
        return bool(self.typed.strip() and self.words is not None) or self.at is not None

    def lines(self, rows: int) -> Lines:
        """What it is about, and the words typed so far."""
        lines = self.empty_page()
        if self.refused:
            lines.add(f"NOT DONE: {self.refused}.", ACCENT)
        for text in self.detail:
            lines.add(text, BOLD, importance=1)
        if self.words is not None:
            shown = "*" * len(self.typed) if self.words.secret else self.typed
            lines.add(f"{self.words.hint} {shown}▌", ACCENT if self.typed else QUIET)
        return lines

    def actions(self) -> list[Action]:
        """Take, move, leave."""
        return [
            Action("TAKE IT" if self._is_chosen else "CHOOSE FIRST", BIG, self._take),
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
        if self._said:
            return self._said
        if not self.choices:
            return "Type, then Enter"
        pages = -(-len(self.choices) // self._visible)
        page = f", page {self._first // self._visible + 1} of {pages}"
        if self.at is None:
            return f"{len(self.choices)} to choose from{page}"
        return f"{self.at + 1} of {len(self.choices)}{page}"

    def _move(self, by: int) -> None:
        self._said = ""
        if self.choices:
            self.at = 0 if self.at is None else max(0, min(len(self.choices) - 1, self.at + by))

    def _take(self) -> None:
        typed = self.typed.strip()
        if typed and self.words is not None:
            self.leave(Answer(self.words.make(typed), typed))
        elif self.at is not None:
            self._choose(self.choices[self.at])
        elif self.choices:
            typing = ", or type" if self.words is not None else ""
            self._said = f"Nothing is taken. Choose one with ↑ ↓ or a finger{typing}."
        else:
            self._said = "Nothing is typed yet."

    def _choose(self, choice: Choice[T]) -> None:
        self.leave(Answer(choice.value, choice.label))

    def type(self, character: str) -> None:
        """Letters type where words are asked for."""
        if self.words is not None:
            self._said = ""
            self.typed = (self.typed + character)[:LONGEST]
            self.draw()

    def erase(self) -> None:
        """Take back a letter."""
        self.typed = self.typed[:-1]
        self.draw()
