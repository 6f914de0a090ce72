"""Choose one of a few things, or type one's own words. For touch, keys and pedal.

Nothing is chosen beforehand: Enter on an untouched dialog takes nothing. The one exception is made here, by
``goes``: a list of places to go, where the first does no harm.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Generic, TypeVar

from textual.app import ComposeResult

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.screens.action import BIG, Action, Shown
from kiosk.screens.dialog import Answer, Dialog
from kiosk.screens.keypad import NOT_WHOLE, Reads, why_not_whole
from kiosk.screens.keys import Keys
from kiosk.screens.page_text import ACCENT, BOLD, POINTER, QUIET, Lines
from kiosk.screens.target import Targets
from kiosk.shop.characters import visible

if TYPE_CHECKING:
    from kiosk.screens.letters import Face, Hand

T = TypeVar("T")

ROWS_EACH = 3
MOST_ROWS = 4  # of options on the screen at a time
ROWS_OF_WORDS = 2  # that stand well on a target of three
BESIDE_ITS_WORDS = 6  # columns of an option that its words do not have: the pointer, and a gap
LONGEST = 160  # characters of typed words


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
    face: Face = "letters"  # which keys are up for a finger
    reads: Reads | None = None  # where a figure is wanted: what takes it for a whole one


def _hand(face: Face) -> Hand:
    from kiosk.screens.letters import Hand  # a start without words does without

    return Hand(face)


def words(hint: str, *, secret: bool = False, face: Face = "letters") -> Words[str]:
    """One's own words, taken as they are."""
    return Words(hint, str, secret, face)


def same(texts: Sequence[str]) -> list[Choice[str]]:
    """Choices that stand for their own words, such as a reason: recorded as they are in the code, and shown
    in the language."""
    return [Choice(said(text), text) for text in texts]


class ChoiceScreen(Dialog[T]):
    """Gives the value of the chosen option, or what is made of the typed words."""

    MOST_TARGETS = 5

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
        by_scan: bool = False,
        kept_as: str = "",
        back: str = "Leave",
    ) -> None:
        """``refused`` says why what was ``typed`` is asked again; ``goes`` offers the first at once; with
        ``by_scan`` the label of an option highlights it. ``kept_as`` is the key under which half-typed words
        survive anything. ``back`` is what going away without an answer is called."""
        super().__init__(title)
        self.SECRET = words is not None and words.secret
        self.choices = list(choices)
        self.words = words
        self.detail = list(detail)
        self.refused = refused
        self.typed = typed
        self.goes = goes
        self.at: int | None = 0 if goes and self.choices else None
        self._short_in = (0, False)  # whether all words are short in so many columns
        self._top = 0  # the first of the page that a finger turned to, while nothing is highlighted
        self.by_scan = by_scan
        self.kept_as = kept_as
        self._back = back
        self._said = ""
        self._had_typed = False  # what stands in the field was typed before: it is offered, and not yet taken
        self._elsewhere = ""  # what is half typed at another screen
        self._hand = _hand(words.face) if words is not None else None
        self._letters = words is not None and not self.choices  # the keys for fingers are up
        self._chosen = False  # an option was highlighted after the words were typed: it is what is taken
        self._keep: Callable[[str], None] = lambda _: None

    def targets(self) -> ComposeResult:
        """The options, or the letters, above the actions."""
        self._options = Targets(2 * MOST_ROWS, id="options")
        yield self._options
        self._keys = Keys(id="letters", classes="gone")
        if self._letters:  # many targets: where they are not up, they are not made before they are wanted
            yield self._keys
        yield from super().targets()

    @property
    def is_typed_in(self) -> bool:
        """Where the letters are up, and there is nothing to choose."""
        return self._letters

    @property
    def has_text(self) -> bool:
        """Words that are typed, unless one of the choices was highlighted since."""
        return self.words is not None and bool(self.typed) and not self._chosen

    @property
    def _columns(self) -> int:
        """Two where one is too few and all words are short enough."""
        room = self.size.width // 2 - BESIDE_ITS_WORDS
        if self._short_in[0] != room:  # there may be hundreds
            words = (visible(one.label) for one in self.choices)
            short = all(len(one) <= room or len(textwrap.wrap(one, room)) <= ROWS_OF_WORDS for one in words)
            self._short_in = (room, short)
        return 2 if self._short_in[1] and len(self.choices) > self._rows else 1

    @property
    def _rows(self) -> int:
        return max(1, min(MOST_ROWS, (self.size.height - 10) // ROWS_EACH))

    @property
    def _visible(self) -> int:
        return self._rows * self._columns

    @property
    def _first(self) -> int:
        at = self._top if self.at is None else self.at
        return at - at % self._visible

    @property
    def _is_chosen(self) -> bool:
        return self._words_are_taken or self.at is not None

    def lines(self, rows: int) -> Lines:
        """What it is about, and the words typed so far."""
        lines = self.empty_page()
        if self.refused:
            lines.add(said("NOT DONE: {refused}.", refused=self.refused), ACCENT)
        for text in self.detail:
            lines.add(text, BOLD, importance=1)
        if self.words is not None:
            shown = "*" * len(self.typed) if self.words.secret else self.typed
            hint = said("You had typed:") if self._had_typed else self.words.hint
            lines.add(f"{hint} {shown}▌", ACCENT if self._words_are_taken else QUIET)
        if self._elsewhere:
            theirs = said("Half typed at another screen: {words}", words=self._elsewhere)
            lines.add(theirs, QUIET, importance=2)
        return lines

    def actions(self) -> list[Action]:
        """Take, move or type, leave."""
        first = said("CHOOSE ONE ABOVE") if self.choices and not self._letters else said("TYPE FIRST")
        pages = not self._letters and len(self.choices) > self._visible
        by_one: Shown = "key" if self._letters or pages else "always"
        by_page: Shown = "always" if pages else "key"
        if self._is_chosen:
            first = said(NOT_WHOLE) if self._why_not_whole else said("TAKE IT")
        return [
            Action(first, BIG, self._take),
            Action("Up", "up", partial(self._move, -1), repeats=True, shown=by_one),
            Action("Down", "down", partial(self._move, 1), repeats=True, shown=by_one),
            Action("Page back", "left", partial(self._turn_page, -1), repeats=True, shown=by_page),
            Action("Page on", "right", partial(self._turn_page, 1), repeats=True, shown=by_page),
            *self._takes_words(),
            Action(self._back, "escape", self.leave),
        ]

    def _turn_page(self, by: int) -> None:
        """Another page of what can be chosen; what was highlighted is no more, for it is out of sight."""
        if self._letters or not self.choices:
            return
        pages = -(-len(self.choices) // self._visible)
        self._top = (self._first // self._visible + by) % pages * self._visible
        self.at = self._top if self.goes else None

    def _takes_words(self) -> list[Action]:
        """What was typed before is taken in by a key of its own, and never by the one that answers; else
        between what can be chosen and the letters, where there are both."""
        if self._had_typed:
            return [Action("Use these words", "f7", self._go_on)]
        if self._hand is None or not self.choices:
            return []
        return [Action("Choices" if self._letters else "Letters", "", self._turn, repeats=True)]

    def _go_on(self) -> None:
        """What was typed before is this screen's now, as if it were typed here."""
        self._said = ""
        self._had_typed = self._chosen = False
        self._keep(self.typed)

    def _turn(self) -> None:
        self._letters = not self._letters

    def put(self, actions: Sequence[Action]) -> None:
        """The page of options that holds the highlighted one, and the actions."""
        super().put(actions)
        letters = self._hand if self._letters else None
        rows = [] if letters is None else letters.rows(self.typed, self.type, self._put_in)
        bar = [] if letters is None else [letters.bar(self.type, self.erase)]
        self._keys.put([*rows, *bar])
        if self._letters and self._options.is_attached and not self._keys.is_attached:
            self.mount(self._keys, after=self._options)
        page = list(enumerate(self.choices))[self._first : self._first + self._visible]
        options = [
            Action(
                f"{POINTER if place == self.at else ' '} {choice.label}",
                "",
                partial(self._choose, choice),
                here=place == self.at and not self._words_are_taken,
            )
            for place, choice in page
        ]
        columns = self._columns
        self._options.put([] if self._letters else options, columns=columns)
        self._options.update_classes({"two": columns == 2}, update=self._options.is_attached)

    def put_away(self) -> None:
        """Nor on any key."""
        super().put_away()
        self._keys.put([])

    def foot(self) -> str:
        """Which of how many."""
        if self._said:
            return self._said
        if self._had_typed:
            return said("F7 uses the words typed before. Or type on.")
        if not self.choices or self._letters:
            return said("Type, then TAKE IT.")
        pages = -(-len(self.choices) // self._visible)
        page = said(", page {first} of {pages}", first=self._first // self._visible + 1, pages=pages)
        if self.at is None:
            return said("{number} to choose from{page}", number=len(self.choices), page=page)
        return said("{number} of {of}{page}", number=self.at + 1, of=len(self.choices), page=page)

    @property
    def _words_are_taken(self) -> bool:
        is_typed = bool(self.typed.strip()) and not self._had_typed
        return is_typed and self.words is not None and not self._chosen

    def _move(self, by: int) -> None:
        if self._letters:
            return  # the choices are not in sight
        self._said = ""
        self._chosen = bool(self.choices)
        if self.choices:
            at = self._first + (0 if by > 0 else self._visible - 1) if self.at is None else self.at + by
            self.at = max(0, min(len(self.choices) - 1, at))

    @property
    def _why_not_whole(self) -> str:
        """Why what was typed is no figure yet, where one is wanted."""
        if not self._words_are_taken or self.words is None or self.words.reads is None:
            return ""
        return why_not_whole(self.words.reads, self.typed.strip())

    def _take(self) -> None:
        if self._why_not_whole:
            self._said = said("NOT DONE: {why}", why=self._why_not_whole)
        elif self._words_are_taken and self.words is not None:
            typed = self.typed.strip()
            self.leave(Answer(self.words.make(typed), typed))
        elif self.at is not None:
            self._choose(self.choices[self.at])
        elif self._had_typed:
            self._said = said("Nothing is taken. F7 uses the words typed before.")
        elif self.choices:
            self._said = (
                said("Nothing is taken. Choose one with ↑ ↓ or a finger.")
                if self.words is None
                else said("Nothing is taken. Choose one with ↑ ↓ or a finger, or type.")
            )
        else:
            self._said = said("Nothing is typed yet.")

    def scanned(self, text: str) -> bool:
        """The label of an option highlights it; it is taken by a press."""
        wanted = text.strip().upper()
        marks = [str(choice.value).upper() for choice in self.choices] if self.by_scan else []
        if wanted not in marks:
            return False
        self.at, self._chosen = marks.index(wanted), True
        self.tell(said("Scanned {wanted}: Enter takes it.", wanted=wanted))
        return True

    def _choose(self, choice: Choice[T]) -> None:
        self.leave(Answer(choice.value, choice.label))

    def type(self, character: str) -> None:
        """Letters type where words are asked for. A space takes in nothing typed before: elsewhere it
        presses the big target."""
        if self._had_typed and character.isspace():
            self._said = said("Nothing is taken. F7 uses the words typed before.")
            self.draw()
        elif self.words is not None:
            self._said = ""
            self._type((self.typed + character)[:LONGEST])

    def _put_in(self, text: str) -> None:
        self._said = ""
        self._type(text[:LONGEST])

    def offer(self, said: Sequence[str]) -> None:
        """What was said before can be put in whole; where there is nothing to choose, it is up at once."""
        if self._hand is not None:
            choices = {text for choice in self.choices for text in (choice.label, choice.value)}
            self._hand.said = [one for one in said if one not in choices]
            if self._hand.said and self._letters and not self.typed:
                self._hand.face = "said"

    def erase(self) -> None:
        """Take back a letter."""
        self._type(self.typed[:-1])

    def _type(self, text: str) -> None:
        self._had_typed = self._chosen = False
        if text != self.typed:
            self.typed = text
            self._keep(text)
        self.draw()

    def go_on_with(self, text: str, keep: Callable[[str], None], elsewhere: str) -> None:
        """The words stand in the field again, to be gone on with, and go on being kept. What was refused just
        now stands there already."""
        self._keep, self._elsewhere = keep, elsewhere
        if not self.typed:
            self.typed, self._had_typed = text, bool(text)
