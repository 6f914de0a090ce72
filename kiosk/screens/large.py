"""What a large screen does with its room: larger figures, the action in solid letters, and a second column.

From :data:`WIDE` on the place card and the step have a second column and solid figures; at :data:`GREAT` the
figures are twice as large. Below that nothing is otherwise, and nothing that a person needs is only here.
"""

from collections.abc import Callable, Sequence

from textual.geometry import Size

from kiosk.screens.big_text import ROWS, solid_lines
from kiosk.screens.page_text import LONGEST_LINE, PLAIN, Lines, Paragraph, Runs

WIDE = (100, 26)  # columns and rows: 16 by 9 has 28 rows to 100 columns
GREAT = (150, 44)
LEAST_SECOND = 32  # columns: a drawing has its least with some left
GAP = 2  # columns between the two
MOST_WRAPPED = 3  # rows of a clock, or of the next step, in the second column
_LEAST_BELOW = 14  # rows that the action in solid letters leaves to all that stands under it
_SPACE = 9  # importance of an empty row: the first to go
_MOST_CUT_LINES = 2  # of an action that has no room as a whole: it stands under them in full


def scale_of(size: Size) -> int:
    """How large the figures are on a screen of this size: see :class:`Lines`."""
    if size.width >= GREAT[0] and size.height >= GREAT[1]:
        return 2
    return int(size.width >= WIDE[0] and size.height >= WIDE[1])


def first_width(columns: int) -> int:
    """How wide the first column is, of so many columns in all."""
    return min(LONGEST_LINE, columns - GAP - LEAST_SECOND)


def whole_or_plainer(
    head: Callable[[Lines, bool], None],
    body: Callable[[Lines, bool], None],
    columns: int,
    scale: int,
    rows: int,
    *,
    clock_first: bool = False,
) -> tuple[Lines, Paragraph | None]:
    """The first column with figures, and with its clock, as large as leaves nothing out in so many rows; and
    the last paragraph of its head, which goes over both columns.

    ``head`` and ``body`` fill lines; they are told whether the clock is a figure or stays in the words. Where
    even the plainest has no room, a clock with ``clock_first`` is large all the same: there is a page more
    to turn to anyway, and it runs out meanwhile.
    """
    ways = [*((one, True, True) for one in range(scale, 0, -1)), (1, True, False), (1, False, False)]
    ways.append((0, False, False))
    if clock_first:
        ways.append((1, True, True))
    for way, (one, clock, generous) in enumerate(ways):
        lines, over = Lines(first_width(columns), one, generous=generous), Lines(columns, one)
        head(over, clock)
        lines.paragraphs += over.paragraphs
        body(lines, clock)
        if way == len(ways) - 1 or lines.is_whole(rows):
            return lines, over.paragraphs[-1] if over.paragraphs else None
    raise AssertionError("there is always a last way")


def put_headline(
    lines: Lines, at: int, text: str, columns: int, rows: int, clocks: Sequence[str] = ()
) -> Paragraph | None:
    """The action, whose paragraph stands at ``at``, in solid letters over both columns, where everything else
    keeps its room in ``rows``: as a whole in place of the plain words, else its beginning over them.

    ``clocks`` stand under it in the second column, and keep their room there.
    """
    plain = lines.paragraphs[at]
    spare = rows - lines.rows
    above = sum(len(one.lines) for one in lines.paragraphs[:at])
    most = rows - above - max(_LEAST_BELOW, _rows_of_clocks(clocks, columns))
    whole = solid_lines(text, columns, min(spare + len(plain.lines), most) // ROWS[1])
    if whole is not None and whole[1]:
        lines.paragraphs[at] = lines.solid(whole[0])
        lines.paragraphs.insert(at + 1, Paragraph([[("", PLAIN)]], _SPACE))
        return lines.paragraphs[at]
    cut = solid_lines(text, columns, min(spare // ROWS[1], most // ROWS[1], _MOST_CUT_LINES))
    if cut is None:
        return None
    lines.paragraphs.insert(at, lines.solid(cut[0]))
    return lines.paragraphs[at]


def _rows_of_clocks(clocks: Sequence[str], columns: int) -> int:
    """How many rows of the second column the clocks take, and the next step under them."""
    if not clocks:
        return 0
    lines = Lines(columns - first_width(columns) - GAP)
    for text in clocks:
        lines.add(text, most=MOST_WRAPPED)
    return 1 + lines.rows + 1 + MOST_WRAPPED + 1  # with both headings, and how many steps more there are


class SecondColumn:
    """The second column beside a page: its rows are kept for as long as nothing that they are made from is
    another."""

    def __init__(self) -> None:
        self._made_for: tuple[object, ...] = ()
        self._rows: Sequence[Runs] = ()

    def put(
        self,
        lines: Lines,
        below: Paragraph | None,
        size: tuple[int, int],
        drawn_from: object,
        shows: tuple[object, ...],
        make: Callable[[int, int], Sequence[Runs]],
    ) -> None:
        """Put it beside the lines under a paragraph, on a page of so many columns and rows.

        ``drawn_from`` is what the page is drawn from, ``shows`` what it shows of that. ``make`` draws it on
        the columns and rows that are left.
        """
        columns, rows = size
        column, height = lines.width + GAP, rows - lines.rows_to(below)
        made_for = (drawn_from, *shows, columns - column, height)
        if self._made_for != made_for:
            self._made_for, self._rows = made_for, make(columns - column, height)
        lines.beside(self._rows, column, below=below)

    def stands(self, before: object, now: object) -> None:
        """What came between the two that a page is drawn from is nothing that stands here."""
        if self._made_for[:1] == (before,):
            self._made_for = (now, *self._made_for[1:])
