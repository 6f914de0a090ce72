"""Keys for fingers, row by row: letters, and the figures of a keypad. One widget paints them all: made of one
each, they took most of the time in which a dialog opens."""

import textwrap
from collections.abc import Iterator, Sequence
from itertools import groupby, zip_longest
from typing import ClassVar

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Region
from textual.strip import Strip
from textual.widgets import Static

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.screens.action import BIG, Action
from kiosk.screens.target import Target
from kiosk.shop.characters import visible
from kiosk.views.one_row import CUT

ROWS_EACH = 3  # rows of cells of a key

Row = Sequence[Action | None]  # one that stands there twice in a row is as wide as two; None is a gap


@dataclass(frozen=True)
class Key:
    """A key where it stands: what it does, and its place on the screen."""

    action: Action
    region: Region


class Keys(Static):
    """The rows of keys, or nothing while they are put away.

    ``between`` is how many rows of cells lie between two rows of keys, and ``gap`` how many columns between
    two keys; None for one where there is room.
    """

    can_focus = False
    COMPONENT_CLASSES: ClassVar[set[str]] = {f"keys--{one}" for one in ("odd", "even", "here", "big", "away")}

    def __init__(self, id: str, classes: str = "", *, between: int = 0, gap: int | None = None) -> None:
        super().__init__(id=id, classes=classes, markup=False)
        self._between, self._gap = between, gap
        self._rows: list[Row] = []
        self._down: Action | None = None  # the key under the finger that came down

    def put(self, rows: Sequence[Row]) -> None:
        """Let these keys stand there; none at all puts them away."""
        self.update_classes({"gone": not rows}, update=self.is_attached)
        before, self._rows = self._rows, list(rows)
        for number, (was, now) in enumerate(zip_longest(before, self._rows, fillvalue=())):
            if _shown(was) != _shown(now):
                self.refresh(Region(0, number * self._rows_of_one, self.size.width, ROWS_EACH))

    @property
    def keys(self) -> list[Key]:
        """Those that stand on the screen."""
        if not (self.is_attached and self.display):
            return []
        x, y = self.content_region.offset
        return [
            Key(action, Region(x + left, y + number * self._rows_of_one, right - left, ROWS_EACH))
            for number, row in enumerate(self._rows)
            for action, left, right in self._columns(row)
        ]

    @property
    def _rows_of_one(self) -> int:
        return ROWS_EACH + self._between

    def _columns(self, row: Row) -> Iterator[tuple[Action, int, int]]:
        """The keys of a row, and from which column to which each stands: all places alike."""
        width, gap, at = self.size.width, self._gap, 0
        if gap is None:
            # By the size itself: a screen has its classes only after the first rows were painted.
            begins = {name: least for least, name in self.app.HORIZONTAL_BREAKPOINTS or ()}
            gap = int(self.app.size.width >= begins["-wide"])
        for _, same in groupby(row, key=id):
            action, *more = same
            begin, at = at, at + 1 + len(more)
            if action is not None:
                yield action, width * begin // len(row), width * at // len(row) - gap

    def _at(self, x: int, y: int) -> Action | None:
        """The key at a cell."""
        number, row_in_it = divmod(y, self._rows_of_one)
        if not (0 <= number < len(self._rows) and row_in_it < ROWS_EACH):
            return None
        return next(
            (one for one, left, right in self._columns(self._rows[number]) if left <= x < right), None
        )

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """A finger came down."""
        self._down = self._at(event.x, event.y)

    def on_click(self, event: events.Click) -> None:
        """A finger or the mouse; one that is lifted from another key than it came down on means neither, and
        nor does one under which another came to stand."""
        event.stop()
        action, down = self._at(event.x, event.y), self._down
        if action is not None and down is not None and action.label == down.label:
            self.post_message(Target.Pressed(action))

    def render_line(self, y: int) -> Strip:
        """One row of cells through a row of keys."""
        self._dirty_regions.clear()  # Textual notes there what its own way of rendering has to make again
        number, at = divmod(y, self._rows_of_one)
        row = self._rows[number] if number < len(self._rows) and at < ROWS_EACH else ()
        ground = self.visual_style.rich_style
        cells: list[Segment] = []
        end = 0
        for action, left, right in self._columns(row):
            face = self._style(action, odd=number % 2 == 1)
            cells += [Segment(" " * (left - end), ground), Segment(_row_of(action, at, right - left), face)]
            end = right
        return Strip(cells).extend_cell_length(self.size.width, ground)

    def _style(self, action: Action, *, odd: bool) -> Style:
        name = "odd" if odd else "even"
        if action.here:
            name = "here"
        elif action.key in (BIG, "escape"):
            name = "big" if action.key == BIG else "away"
        return self.get_component_rich_style(f"keys--{name}")


def words_on(action: Action, width: int) -> list[str]:
    """What stands on a key that is so wide, row by row."""
    words = visible(said(action.label))
    face = [action.key_face] if action.key else []
    label = textwrap.wrap(words, max(2, width), max_lines=ROWS_EACH - len(face), placeholder=CUT)
    return [*label, *face]


def _row_of(action: Action, at: int, width: int) -> str:
    """One of the rows of a key: its words stand in the middle."""
    words = words_on(action, width)
    at -= (ROWS_EACH - len(words)) // 2
    word = words[at] if 0 <= at < len(words) else ""
    before = max(0, width - cell_len(word)) // 2
    return set_cell_size(" " * before + word, width)


def _shown(row: Row) -> list[tuple[str, bool] | None]:
    return [(one.label, one.here) if one is not None else None for one in row]
