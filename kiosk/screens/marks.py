"""Choose several parts at once, each by one tap: for beginning together, and for splitting a batch."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from textual.app import ComposeResult
from textual.containers import Container

from kiosk.catalogue import said
from kiosk.screens.action import BIG, Action
from kiosk.screens.dialog import Answer, Dialog
from kiosk.screens.page_text import BOLD, POINTER, Lines
from kiosk.screens.target import Targets
from kiosk.shop.parts import marks_in_full

IN_A_ROW = 4
MOST_ROWS = 6
ROWS_EACH = 3
_OTHER_ROWS = 9  # the title, what is said, the actions and the foot


class MarksScreen(Dialog[tuple[str, ...]]):
    """Gives the marks that were chosen, in the order in which they stand. None is chosen beforehand but
    those of ``chosen``; ``always`` goes along whatever is tapped. ``first`` is what All takes first, where
    others are of other kinds."""

    MOST_TARGETS = 5

    def __init__(
        self,
        title: str,
        marks: Sequence[str],
        *,
        takes: str,
        chosen: Sequence[str] = (),
        always: str = "",
        first: Sequence[str] = (),
    ) -> None:
        """``takes`` are the words of the big target, before the number: ``TAKE``."""
        super().__init__(title)
        self.marks = list(marks)
        self.takes = takes
        self.always = always
        self.first = set(first or marks)
        self.chosen = {*chosen, *([always] if always else [])}
        self.at = 0
        self._points = False  # keys move a pointer; a finger needs none

    def targets(self) -> ComposeResult:
        """The marks above the actions."""
        self._rows = [Targets(IN_A_ROW, id=f"marks-{number}") for number in range(MOST_ROWS)]
        yield Container(*self._rows, id="marks")
        yield from super().targets()

    @property
    def _page(self) -> int:
        rows = max(1, min(MOST_ROWS, (self.size.height - _OTHER_ROWS) // ROWS_EACH))
        return rows * IN_A_ROW

    @property
    def _first(self) -> int:
        return self.at - self.at % self._page

    @property
    def _taken(self) -> tuple[str, ...]:
        return tuple(mark for mark in self.marks if mark in self.chosen)

    def lines(self, rows: int) -> Lines:
        """Which are chosen, as far as there is room."""
        lines = self.empty_page()
        lines.add(
            said("Chosen: {parts}", parts=marks_in_full(self._taken)) if self._taken else "", BOLD, most=2
        )
        return lines

    def actions(self) -> list[Action]:
        """Take them, all or none, and the pages."""
        several = len(self.marks) > self._page
        rest = [mark for mark in self.marks if mark not in self.chosen]
        kinds = bool(rest) and self.first.isdisjoint(rest)
        turn = said("All kinds") if kinds else said("All") if rest else said("None")
        take = f"{self.takes} {len(self._taken)}" if self._taken else said("CHOOSE ONE ABOVE")
        found = [
            Action(take, BIG, self._take),
            Action(turn, "up", partial(self._all, kinds) if rest else self._none),
            Action("Tick", "space", self._tick, shown="key"),
            Action("Next", "down", partial(self._move, 1), shown="key", repeats=True),
        ]
        if several:
            found.append(Action("Page back", "left", partial(self._turn, -1), repeats=True))
            found.append(Action("Page on", "right", partial(self._turn, 1), repeats=True))
        return [*found, Action("Leave", "escape", self.leave)]

    def put(self, actions: Sequence[Action]) -> None:
        """The page of marks, and the actions."""
        super().put(actions)
        page = self.marks[self._first : self._first + self._page]
        keys = [
            Action(
                f"{POINTER if self._points and self.marks[self.at] == mark else ' '}"
                f"[{'x' if mark in self.chosen else ' '}] {mark}",
                "",
                partial(self._toggle, mark),
                here=mark in self.chosen,
                called=mark,
            )
            for mark in page
        ]
        for number, row in enumerate(self._rows):
            here = keys[number * IN_A_ROW : (number + 1) * IN_A_ROW]
            row.put(here and [*here, *[None] * (IN_A_ROW - len(here))])
            row.update_classes({"gone": not here}, update=row.is_attached)

    def foot(self) -> str:
        """How many, and how keys do it."""
        pages = -(-len(self.marks) // self._page)
        page = (
            said(", page {first} of {pages}", first=self._first // self._page + 1, pages=pages)
            if pages > 1
            else ""
        )
        return said(
            "{number} of {of}{page}. Tap, scan, or ↓ and space.",
            number=len(self._taken),
            of=len(self.marks),
            page=page,
        )

    def scanned(self, text: str) -> bool:
        """The label of a part chooses it."""
        mark = text.strip().upper()
        if mark not in self.marks:
            return False
        self.chosen.add(mark)
        self.tell(said("Scanned {mark}: chosen.", mark=mark))
        return True

    def _toggle(self, mark: str) -> None:
        if mark == self.always:
            self._told = said("{mark} is the one it is about: it goes along.", mark=mark)
        else:
            self.chosen ^= {mark}

    def _all(self, kinds: bool) -> None:
        self.chosen |= set(self.marks) if kinds else self.first

    def _none(self) -> None:
        self.chosen = {self.always} if self.always else set()

    def _tick(self) -> None:
        self._toggle(self.marks[self.at])

    def _move(self, by: int) -> None:
        self.at = (self.at + (by if self._points else 0)) % len(self.marks)
        self._points = True

    def _turn(self, by: int) -> None:
        pages = -(-len(self.marks) // self._page)
        self.at = (self._first // self._page + by) % pages * self._page

    def _take(self) -> None:
        if self._taken:
            self.leave(Answer(self._taken, " ".join(self._taken)))
        else:
            self._told = said("Nothing is chosen yet. Tap the marks, or All.")
