"""The part board: which part is at which step. Filter by kind; type or scan a mark to open one."""

from kiosk.screens.base import KioskScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET
from kiosk.screens.target import Tap
from kiosk.views.board import BoardRow


class BoardScreen(KioskScreen):
    """A page of parts at a time; no scrolling."""

    NAME = "board"

    def __init__(self) -> None:
        super().__init__()
        self.kind = -1  # all kinds
        self.at = 0
        self._rows: list[BoardRow] = []

    def taps(self) -> list[Tap]:
        """Open, page, and filter."""
        return [
            Tap("big", "OPEN THE PART", "Enter", classes="big"),
            Tap("left", "Page back", "←"),
            Tap("right", "Page on", "→"),
            Tap("f7", "Kind", "F7"),
            Tap("f8", "Held only", "F8", classes="optional"),
            Tap("forecast", "Finished when", "F12", classes="roomy"),
        ]

    @property
    def _page(self) -> int:
        return max(4, self.body_rows - 2)

    def draw(self) -> None:
        """The rows of this page and how far the kind is."""
        counts = self.bench.kind_counts()
        chosen = counts[self.kind] if 0 <= self.kind < len(counts) else None
        self._rows = self.bench.board(chosen.kind if chosen else None)
        if self.kind == len(counts):
            self._rows = [row for row in self._rows if row.state_word in ("HELD", "QUESTION")]
        self.at = max(0, min(self.at, len(self._rows) - 1))
        first = self.at - self.at % self._page
        shown = self._rows[first : first + self._page]
        lines = self.lines()
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
        self.set_body(lines)

    def hint(self) -> str:
        """How to move."""
        return "↑ ↓ move.  F7 next kind.  F8 held only.  F12 finished when.  Or scan a mark."

    def do(self, action: str) -> bool:
        """Move, page, filter, open."""
        counts = len(self.bench.kind_counts())
        if action == "big":
            if self._rows:
                self.kiosk.open_part(self._rows[self.at].mark)
        elif action in ("up", "down"):
            self.at += -1 if action == "up" else 1
        elif action in ("left", "right"):
            self.at += -self._page if action == "left" else self._page
        elif action == "f7":
            self.kind = self.kind + 1 if self.kind + 1 < counts else -1
            self.at = 0
        elif action in ("forecast", "f12"):
            self.kiosk.go("forecast")
        elif action == "f8":
            self.kind = -1 if self.kind == counts else counts
            self.at = 0
        else:
            return False
        return True
