"""The part board: which part is at which step. Show some of them; tap, type or scan a mark to open one."""

from functools import partial

from rich.cells import cell_len

from kiosk.catalogue import said, to_be_said
from kiosk.screens.action import BIG, Action
from kiosk.screens.asking import ASK_KEY
from kiosk.screens.base import Drawn, KioskScreen
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.large import SecondColumn, first_width, scale_of
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, POINTER, QUIET, Lines
from kiosk.screens.part_column import part_column
from kiosk.views.board import STATES_SAID, BoardRow, KindCount, Narrowed
from kiosk.views.clocks import every_clock
from kiosk.views.one_row import told_apart
from kiosk.views.wishes import asked_line

# What can be shown alone, as it is chosen, as it stands over the parts, and what is said where there is none.
NARROWED: dict[Narrowed, tuple[str, str, str]] = {
    "in work": (to_be_said("In work"), to_be_said("In work"), to_be_said("Nothing is in work.")),
    "waiting": (to_be_said("Waiting, and for what"), to_be_said("Waiting"), to_be_said("Nothing waits.")),
    "mine": (
        to_be_said("Mine, or for me to do"),
        to_be_said("Mine"),
        to_be_said("Nothing is yours to do now."),
    ),
    "held": (
        to_be_said("Held or in question"),
        to_be_said("Held or in question"),
        to_be_said("Nothing is held."),
    ),
}


class BoardScreen(KioskScreen):
    """A page of parts at a time; no scrolling."""

    NAME = "board"
    HINT = to_be_said("Or scan a mark.")

    def __init__(self) -> None:
        super().__init__()
        self.kind: str | None = None  # all kinds
        self.to: Narrowed | None = None  # all of them
        self.at = 0
        self._wanted: str | None = ""  # the part that it opens at; empty: the first with something to do
        self._rows: list[BoardRow] = []
        self._kept: tuple[object, list[BoardRow]] | None = None
        self._taken = 0  # rows of what was asked for
        self._over_rows = 0  # the place of the title among the paragraphs
        self._second = SecondColumn()

    def point_at(self, mark: str) -> None:
        """Open at this part."""
        self._wanted = mark

    @property
    def part_shown(self) -> str:
        """The part on the chosen line."""
        return self._rows[self.at].mark if self._rows else ""

    @property
    def _page(self) -> int:
        return max(4, self.body_rows - 2 - self._taken)

    def draw(self) -> Drawn:
        """The rows of this page and how far the kind is; open, page, and show others."""
        lines = self._table(self.bench.kind_counts())
        columns = self.app.size.width - 2
        if scale_of(self.app.size) and self._rows:
            mark = self._rows[self.at].mark
            make = partial(part_column, self.bench, (mark,), drawn=False, named=False)
            below = lines.paragraphs[self._over_rows]
            self._second.put(lines, below, (columns, self._text_rows), self.drawn_from, (mark,), make)
        return Drawn(lines, self._can_do(), on_row=self._point)

    def _can_do(self) -> list[Action]:
        all_again = said("All parts") if self.to == "held" else said("Held only")
        turn_back = partial(self._show, None if self.to == "held" else "held")
        big = Action("OPEN THE PART", BIG, self._open)
        if not self._rows:
            big = Action("SHOW ALL PARTS", BIG, partial(self._show, None))
        return [
            big,
            Action("Up", "up", partial(self._move, -1), repeats=True),
            Action("Down", "down", partial(self._move, 1), repeats=True),
            Action("Page on", "right", self._page_on, repeats=True),
            Action("Show…", "f7", self._ask_what),
            Action(all_again, "f8", turn_back, shown="wide"),
            Action("Page back", "left", lambda: self._move(-self._page), repeats=True, shown="roomy"),
            Action("Its life", "tab", self._show_life, shown="key"),
        ]

    def _table(self, counts: list[KindCount]) -> Lines:
        self._rows = self._newest_rows()
        if self._wanted is not None:
            self.at = self._opened_at(self._wanted)
            self._wanted = None
        self.at = max(0, min(self.at, len(self._rows) - 1))
        lines = self._asked()
        self._taken = lines.rows
        first = self.at - self.at % self._page
        shown = self._rows[first : first + self._page]
        pages = max(1, -(-len(self._rows) // self._page))
        self._over_rows = len(lines.paragraphs)
        end = "   " + said("page {first} of {pages}", first=first // self._page + 1, pages=pages)
        lines.row(self._title(counts, lines.width, end), BOLD, end=end)
        for number, row in enumerate(shown, first):
            here = number == self.at
            pointer = POINTER if here else " "
            text = row.reason if row.state_word in ("HELD", "WAITS") and row.reason else row.where
            style = ACCENT if here else (PLAIN if row.state_word != "COMPLETE" else QUIET)
            lines.row(
                f"{pointer}{row.mark:<7} {said(STATES_SAID[row.state_word]):<9} {text}", style, of=number
            )
        if not shown and self.to is not None:
            lines.add(said(NARROWED[self.to][2]), PLAIN)
        return lines

    def _opened_at(self, wanted: str) -> int:
        of_mark = (at for at, row in enumerate(self._rows) if row.mark == wanted)
        to_do = (at for at, row in enumerate(self._rows) if row.state_word != "COMPLETE")
        return next(of_mark, next(to_do, 0))

    def _newest_rows(self) -> list[BoardRow]:
        """Worked out again when something was recorded, a clock ran out or another minute began: quiet hours
        and dates change with it."""
        bench = self.bench
        context = bench.context
        over = tuple(one.left_s is None or one.left_s <= 0 for one in every_clock(context))
        minute = (int(context.now.timestamp() // 60), context.doubt is None, over)
        made_for = (*self.drawn_from, minute, self.kind, self.to)
        if self._kept is None or self._kept[0] != made_for:
            self._kept = (made_for, bench.board(self.kind, self.to))
        return self._kept[1]

    def _title(self, counts: list[KindCount], width: int, end: str) -> str:
        """What is shown; of a kind with a long name its counts, and what tells it from the others, stay."""
        if self.to is not None:
            return f"{said(NARROWED[self.to][1])}: {len(self._rows)}"
        chosen = next((one for one in counts if one.kind == self.kind), None)
        if chosen is not None:
            counted = said(
                "{complete} complete, {begun} begun, {all} in all",
                complete=chosen.complete,
                begun=chosen.begun,
                all=chosen.all,
            )
            room = width - cell_len(f": {counted}{end}")
            return f"{told_apart(chosen.name, room, [one.name for one in counts])}: {counted}"
        done = sum(count.complete for count in counts)
        return said("All parts: {done} complete of {of}", done=done, of=sum(count.all for count in counts))

    def _asked(self) -> Lines:
        """What was asked for at the bench, over the parts."""
        lines = self.lines()
        if scale_of(self.app.size):
            lines = Lines(first_width(lines.width), lines.scale)
        asked = asked_line(self.bench.context, self.bench.asked_for())
        lines.add(
            said("{asked} F2, then {ask_key} takes it back.", asked=asked, ask_key=ASK_KEY.upper())
            if asked
            else "",
            BOLD,
        )
        return lines

    def _ask_what(self) -> None:
        """Ask which parts are shown: those that stand alike, of all kinds, or those of one kind."""
        choices = [Choice[Narrowed | KindCount | None](said(names[0]), to) for to, names in NARROWED.items()]
        choices.append(Choice(said("All parts"), None))
        choices += [Choice(one.name, one) for one in self.bench.kind_counts()]

        def chosen(what: Narrowed | KindCount | None) -> None:
            if isinstance(what, KindCount):
                self._show(None, what.kind)
            else:
                self._show(what)

        self.kiosk.ask(ChoiceScreen(said("Which parts are shown?"), choices, goes=True), chosen)

    def _show(self, to: Narrowed | None, kind: str | None = None) -> None:
        self.to, self.kind, self.at = to, kind, 0

    def _open(self) -> None:
        if self._rows:
            self.kiosk.open_part(self._rows[self.at].mark)

    def _show_life(self) -> None:
        if self._rows:
            self.kiosk.show_life(self._rows[self.at].mark)

    def _point(self, number: int) -> Action:
        """What a finger on a line does: points at it, and on the line that is pointed at opens the part."""
        if number == self.at:
            return Action("Open", "", self._open)
        return Action("Point", "", partial(self._go_to, number), repeats=True)

    def _go_to(self, number: int) -> None:
        self.at = number

    def _move(self, by: int) -> None:
        self.at += by

    def _page_on(self) -> None:
        """The next page; after the last the first, so that a finger comes round."""
        first = self.at - self.at % self._page + self._page
        self.at = first if first < len(self._rows) else 0
