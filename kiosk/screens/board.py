"""The part board: which part is at which step. Filter by kind; type or scan a mark to open one."""

from kiosk.screens.action import BIG, Action
from kiosk.screens.asking import ASK_KEY
from kiosk.screens.base import Drawn, KioskScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET, Lines
from kiosk.views.board import BoardRow, KindCount
from kiosk.views.wishes import asked_line


class BoardScreen(KioskScreen):
    """A page of parts at a time; no scrolling."""

    NAME = "board"
    HINT = "Or scan a mark."

    def __init__(self) -> None:
        super().__init__()
        self.kind = -1  # all kinds
        self.at = 0
        self._rows: list[BoardRow] = []
        self._taken = 0  # rows of what was asked for

    @property
    def part_shown(self) -> str:
        """The part on the chosen line."""
        return self._rows[self.at].mark if self._rows else ""

    @property
    def _page(self) -> int:
        return max(4, self.body_rows - 2 - self._taken)

    def draw(self) -> Drawn:
        """The rows of this page and how far the kind is; open, page, and filter."""
        counts = self.bench.kind_counts()
        return Drawn(self._table(counts), self._can_do(len(counts)))

    def _can_do(self, kinds: int) -> list[Action]:
        return [
            Action("OPEN THE PART", BIG, self._open),
            Action("Page back", "left", lambda: self._move(-self._page), repeats=True),
            Action("Page on", "right", lambda: self._move(self._page), repeats=True),
            Action("Kind", "f7", lambda: self._filter(self.kind + 1 if self.kind + 1 < kinds else -1)),
            Action(
                "Held only", "f8", lambda: self._filter(-1 if self.kind == kinds else kinds), shown="wide"
            ),
            Action("Its life", "tab", self._show_life, shown="key"),
            Action("Finished when", "f12", lambda: self.kiosk.go("forecast"), shown="roomy"),
            Action("Move", "up", lambda: self._move(-1), shown="key", repeats=True),
            Action("Move", "down", lambda: self._move(1), shown="key", repeats=True),
        ]

    def _table(self, counts: list[KindCount]) -> Lines:
        chosen = counts[self.kind] if 0 <= self.kind < len(counts) else None
        self._rows = self.bench.board(chosen.kind if chosen else None)
        if self.kind == len(counts):
            self._rows = [row for row in self._rows if row.state_word in ("HELD", "QUESTION")]
        self.at = max(0, min(self.at, len(self._rows) - 1))
        lines = self._asked()
        self._taken = lines.rows
        first = self.at - self.at % self._page
        shown = self._rows[first : first + self._page]
        if chosen is not None:
            title = f"{chosen.name}: {chosen.complete} complete, {chosen.begun} begun, {chosen.all} in all"
        elif self.kind == len(counts):
            title = f"Held or in question: {len(self._rows)}"
        else:
            done = sum(count.complete for count in counts)
            title = f"All parts: {done} complete of {sum(count.all for count in counts)}"
        pages = max(1, -(-len(self._rows) // self._page))
        lines.raw(f"{title}   page {first // self._page + 1} of {pages}", BOLD)
        for number, row in enumerate(shown):
            here = first + number == self.at
            pointer = "▶" if here else " "
            text = row.reason if row.state_word in ("HELD", "WAITS") and row.reason else row.where
            style = ACCENT if here else (PLAIN if row.state_word != "COMPLETE" else QUIET)
            lines.raw(f"{pointer}{row.mark:<7} {row.state_word:<9} {text}", style)
        if not shown:
            lines.add("Nothing is held.", PLAIN)
        return lines

    def _asked(self) -> Lines:
        """What was asked for at the bench, over the parts."""
        lines = self.lines()
        asked = asked_line(self.bench.context, self.bench.asked_for())
        lines.add(f"{asked} F2, then {ASK_KEY.upper()} takes it back." if asked else "", BOLD)
        return lines

    def _open(self) -> None:
        if self._rows:
            self.kiosk.open_part(self._rows[self.at].mark)

    def _show_life(self) -> None:
        if self._rows:
            self.kiosk.show_life(self._rows[self.at].mark)

    def _move(self, by: int) -> None:
        self.at += by

    def _filter(self, kind: int) -> None:
        self.kind, self.at = kind, 0
