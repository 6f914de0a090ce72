"""Letters for fingers: words, marks and figures are typed without a keyboard.

Laid out as on a keyboard, for that is where a hand looks for a letter. A key is a tenth of the screen wide
and three rows high: some 21 by 16 mm on a screen of 10.1 in (size for a finger: common practice, no source).
What was said before stands on a face of its own, the newest first: one tap puts it in whole.
"""

import textwrap
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import zip_longest
from typing import ClassVar, Literal

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from textual import events
from textual.geometry import Region
from textual.strip import Strip
from textual.widgets import Static

from kiosk.catalogue import said, to_be_said
from kiosk.screens.action import Action
from kiosk.screens.target import Target
from kiosk.shop.characters import visible
from kiosk.views.one_row import CUT

Face = Literal["letters", "figures", "said"]

FACES: dict[Literal["letters", "figures"], tuple[str, ...]] = {
    "letters": ("qwertyuiop", "asdfghjkl-", "zxcvbnm,./"),
    "figures": ("1234567890", "+-./=%()#:", "'\"*&?!°;@,"),
}
_OTHER: dict[Face, tuple[Face, str]] = {
    "letters": ("figures", "123 #"),
    "figures": ("letters", to_be_said("ABC")),
    "said": ("letters", to_be_said("ABC")),
}
IN_A_ROW = 10
SAID_IN_A_ROW = 2
ROWS = 3
ROWS_EACH = 3  # rows of cells of a key
MILLIMETRES = "mm"


@dataclass
class Hand:
    """Which face is up, whether the next letter is a capital, and what was ``said`` before."""

    face: Face = "letters"
    shift: bool = False
    said: list[str] = field(default_factory=list)
    page: int = 0

    def rows(
        self, text: str, typed: Callable[[str], None], put_in: Callable[[str], None]
    ) -> list[list[Action]]:
        """The keys, row by row. The first letter of all is a capital, as anybody would write it."""
        if self.face == "said":
            return self._said_rows(text, put_in)
        big = self.face == "letters" and (self.shift or not text)
        return [
            [
                Action(one, "", partial(self._type, one, typed), repeats=True)
                for one in (row.upper() if big else row)
            ]
            for row in FACES[self.face]
        ]

    def _said_rows(self, text: str, put_in: Callable[[str], None]) -> list[list[Action]]:
        """What was said before: what begins as the text does first, then the newest first."""
        begun = text.strip().casefold()
        fits = sorted(self.said, key=lambda one: not one.casefold().startswith(begun))
        each = ROWS * SAID_IN_A_ROW
        self.page %= max(1, -(-len(fits) // each))
        here = fits[self.page * each : (self.page + 1) * each]
        keys = [Action(one, "", partial(put_in, whole(text, one)), repeats=True) for one in here]
        return [keys[first : first + SAID_IN_A_ROW] for first in range(0, each, SAID_IN_A_ROW)]

    def bar(self, typed: Callable[[str], None], erase: Callable[[], None]) -> list[Action]:
        """The keys under the letters."""
        keys = [
            Action(_OTHER[self.face][1], "", self._turn, repeats=True),
            Action("space", "", partial(self._type, " ", typed), repeats=True),
            Action("⌫", "", erase, repeats=True),
        ]
        if self.face == "letters":
            keys.insert(0, Action("⇧", "", self._shift, repeats=True, here=self.shift))
        elif self.face == "figures":
            keys.insert(0, Action(MILLIMETRES, "", partial(self._type, MILLIMETRES, typed), repeats=True))
        elif len(self.said) > ROWS * SAID_IN_A_ROW:
            keys.insert(0, Action("Older", "", self._older, repeats=True))
        if self.said and self.face != "said":
            keys.append(Action("Said before", "", self._say_again, repeats=True))
        return keys

    def _type(self, character: str, typed: Callable[[str], None]) -> None:
        self.shift = False
        typed(character)

    def _shift(self) -> None:
        self.shift = not self.shift

    def _turn(self) -> None:
        self.face = _OTHER[self.face][0]

    def _say_again(self) -> None:
        self.face, self.page = "said", 0

    def _older(self) -> None:
        self.page += 1


def whole(text: str, said: str) -> str:
    """A text with what was said before: in place of its beginning, or after it."""
    begun = text.strip()
    if not begun or said.casefold().startswith(begun.casefold()):
        return said
    return f"{begun} {said}"


@dataclass(frozen=True)
class Key:
    """A key where it stands: what it does, and its place on the screen."""

    action: Action
    region: Region


class Letters(Static):
    """The rows of keys, or nothing while they are put away. One widget paints them all: made of one each, the
    forty of them took three quarters of the time in which a dialog opens."""

    can_focus = False
    COMPONENT_CLASSES: ClassVar[set[str]] = {"letters--odd", "letters--even", "letters--here"}

    def __init__(self, id: str, classes: str) -> None:
        super().__init__(id=id, classes=classes, markup=False)
        self._rows: list[Sequence[Action]] = []
        self._down: Action | None = None  # the key under the finger that came down

    def put(self, rows: Sequence[Sequence[Action]]) -> None:
        """Let these keys stand there, the bar last; none at all puts them away."""
        self.update_classes({"gone": not rows}, update=self.is_attached)
        before, self._rows = self._rows, list(rows)
        for number, (was, now) in enumerate(zip_longest(before, self._rows, fillvalue=())):
            if _shown(was) != _shown(now):
                self.refresh(Region(0, number * ROWS_EACH, self.size.width, ROWS_EACH))

    @property
    def keys(self) -> list[Key]:
        """Those that stand on the screen."""
        if not (self.is_attached and self.display):
            return []
        x, y = self.region.offset
        return [
            Key(action, Region(x + left, y + number * ROWS_EACH, right - left, ROWS_EACH))
            for number, row in enumerate(self._rows)
            for action, (left, right) in zip(row, self._columns(len(row)), strict=True)
        ]

    def _columns(self, keys: int) -> list[tuple[int, int]]:
        """From which column to which each key of a row stands: all alike, with a gap where there is room."""
        width = self.size.width
        # By the size itself: a screen has its classes only after the first rows were painted.
        begins = {name: least for least, name in self.app.HORIZONTAL_BREAKPOINTS or ()}
        gap = int(self.app.size.width >= begins["-wide"])
        return [(width * at // keys, width * (at + 1) // keys - gap) for at in range(keys)]

    def _at(self, x: int, y: int) -> Action | None:
        """The key at a cell."""
        row = self._rows[y // ROWS_EACH] if 0 <= y // ROWS_EACH < len(self._rows) else ()
        places = zip(row, self._columns(len(row)), strict=True)
        return next((action for action, (left, right) in places if left <= x < right), None)

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """A finger came down."""
        self._down = self._at(event.x, event.y)

    def on_click(self, event: events.Click) -> None:
        """A finger or the mouse; one that is lifted from another key than it came down on means neither."""
        event.stop()
        action = self._at(event.x, event.y)
        if action is not None and action is self._down:
            self.post_message(Target.Pressed(action))

    def render_line(self, y: int) -> Strip:
        """One row of cells through a row of keys."""
        self._dirty_regions.clear()  # Textual notes there what its own way of rendering has to make again
        number, at = divmod(y, ROWS_EACH)
        row = self._rows[number] if number < len(self._rows) else ()
        ground = self.visual_style.rich_style
        face = self.get_component_rich_style("letters--odd" if number % 2 else "letters--even")
        cells: list[Segment] = []
        end = 0
        for action, (left, right) in zip(row, self._columns(len(row)), strict=True):
            style = self.get_component_rich_style("letters--here") if action.here else face
            cells += [Segment(" " * (left - end), ground), Segment(_row_of(action, at, right - left), style)]
            end = right
        return Strip(cells).extend_cell_length(self.size.width, ground)


def words_on(action: Action, width: int) -> list[str]:
    """What stands on a key that is so wide, row by row."""
    words = visible(said(action.label))
    return textwrap.wrap(words, max(2, width), max_lines=ROWS_EACH, placeholder=CUT)


def _row_of(action: Action, at: int, width: int) -> str:
    """One of the rows of a key: its words stand in the middle."""
    words = words_on(action, width)
    at -= (ROWS_EACH - len(words)) // 2
    word = words[at] if 0 <= at < len(words) else ""
    before = max(0, width - cell_len(word)) // 2
    return set_cell_size(" " * before + word, width)


def _shown(row: Sequence[Action]) -> list[tuple[str, bool]]:
    return [(one.label, one.here) for one in row]
