"""A page's text, row by row: only rows that are others than before are made and painted again.

Textual's own widget for text makes all of it anew for one other word. A clock changes one row a second, and
a typed digit one or two.
"""

from collections.abc import Sequence
from itertools import zip_longest

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip
from textual.widgets import Static

from kiosk.screens.page_text import Runs

_ELLIPSIS = "…"
_Row = tuple[tuple[str, str], ...]


class Rows(Static):
    """Rows of styled text, each cut with an ellipsis where it is too long; the stylesheet sizes it."""

    def __init__(self, id: str) -> None:
        super().__init__(id=id, markup=False)
        self._rows: list[_Row] = []
        self._made: dict[int, tuple[tuple[_Row, int, Style], Strip]] = {}

    @property
    def text(self) -> str:
        """All rows as plain text."""
        return "\n".join("".join(run for run, _ in row) for row in self._rows)

    def put(self, rows: Sequence[Runs]) -> None:
        """Let these rows stand there."""
        before, self._rows = self._rows, [tuple(row) for row in rows]
        other = [at for at, (was, now) in enumerate(zip_longest(before, self._rows)) if was != now]
        if other:
            self.refresh(*(Region(0, at, self.size.width, 1) for at in other))

    def render_line(self, y: int) -> Strip:
        """One row, made again where it is another than before, or as wide or styled otherwise."""
        self._dirty_regions.clear()  # Textual notes there what its own way of rendering has to make again
        row = self._rows[y] if y < len(self._rows) else ()
        made_for = (row, self.size.width, self.visual_style.rich_style)
        made = self._made.get(y)
        if made is None or made[0] != made_for:
            made = self._made[y] = (made_for, _strip(*made_for))
        return made[1]


def _strip(row: _Row, width: int, ground: Style) -> Strip:
    strip = Strip([Segment(run, ground + Style.parse(style)) for run, style in row if run])
    if strip.cell_length > width > 0:
        cut = list(strip.crop(0, width - 1))
        strip = Strip([*cut, Segment(_ELLIPSIS, cut[-1].style if cut else ground)])
    return strip.extend_cell_length(width, ground)
