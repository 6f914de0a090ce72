"""The second column of a large screen: the drawing, what comes next, other clocks, the rest of the batch."""

from collections.abc import Iterator, Sequence

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.drawing.cells import LEAST_COLUMNS, LEAST_ROWS
from kiosk.plural import so_many
from kiosk.screens.large import GAP, MOST_WRAPPED
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET, Lines, Paragraph, Runs
from kiosk.screens.picture_of import picture_of
from kiosk.views.ahead import Ahead
from kiosk.views.step_drawing import StepDrawingView

_DRAWING_ROWS = 10  # a drawing gets as many, where the clocks and the next step leave them
_WORDS_COLUMNS = 38  # beside a drawing, where the column has twice as many


@dataclass(frozen=True)
class _Room:
    """What of each is shown: so many rows to a step, so many steps, parts that stand alike, clocks."""

    step_rows: int
    steps: int
    then: bool
    others: int
    clocks: int
    wrapped: int = MOST_WRAPPED  # rows of a clock, and of the next step


def second_column(
    ahead: Ahead, clocks: Sequence[str], drawing: StepDrawingView | None, columns: int, rows: int
) -> Sequence[Runs]:
    """The drawing, and under or beside it what runs, what comes next, where the rest of the batch stands."""
    sketch = drawing.sketch if drawing is not None and columns >= LEAST_COLUMNS else None
    picture: Sequence[Runs]
    if sketch is not None and columns >= 2 * _WORDS_COLUMNS:
        across = columns - _WORDS_COLUMNS - GAP
        both = Lines(across)
        picture = picture_of(sketch, across, rows)
        both.paragraphs += [Paragraph([row], 0) for row in (picture or [[("", PLAIN)]])]
        words = _words(ahead, clocks, _WORDS_COLUMNS, rows)
        both.beside(words.kept_rows(rows), across + GAP)
        return both.whole_rows(rows)
    if drawing is not None and drawing.sketch is None:
        wrong = Lines(columns)
        wrong.add(said("The drawing cannot be shown; its key says why."), QUIET)
        words = _words(ahead, clocks, columns, rows - wrong.rows)
        return [*wrong.kept_rows(rows), *words.kept_rows(rows - wrong.rows)]
    words = _words(ahead, clocks, columns, rows)
    if sketch is None or rows - LEAST_ROWS < _least_rows(ahead, clocks, columns):
        return words.kept_rows(rows)  # the drawing is a key or a tap away; a clock is nowhere else
    if rows - words.rows < _DRAWING_ROWS:
        least = _least_rows(ahead, clocks, columns)
        words = _words(ahead, clocks, columns, max(least, rows - _DRAWING_ROWS))
    kept = words.kept_rows(rows - LEAST_ROWS)
    return [*picture_of(sketch, columns, rows - len(kept)), *kept]


def _ways(ahead: Ahead, clocks: Sequence[str]) -> Iterator[_Room]:
    """What is shown of each, ever less: the steps far off go first, the clocks last."""
    steps, others = len(ahead.steps), len(ahead.others)
    yield _Room(2, steps, True, others, len(clocks))
    for fewer in range(steps, 0, -1):
        yield _Room(1, fewer, True, others, len(clocks))
    for fewer in range(others, -1, -1):
        yield _Room(1, min(1, steps), False, fewer, len(clocks))
    yield _Room(1, min(1, steps), False, 0, len(clocks), wrapped=2)
    for fewer in range(len(clocks) - 1, -1, -1):
        yield _Room(1, min(1, steps), False, 0, fewer, wrapped=2)


def _words(ahead: Ahead, clocks: Sequence[str], columns: int, rows: int) -> Lines:
    """The words, as much of them as ``rows`` hold. Each list that is cut says how many more there are."""
    for room in _ways(ahead, clocks):
        found = _words_of(ahead, clocks, columns, room)
        if found.rows <= rows:
            break
    return found


def _least_rows(ahead: Ahead, clocks: Sequence[str], columns: int) -> int:
    """The rows of all clocks and the next step: what a drawing has to leave."""
    return _words_of(ahead, clocks, columns, _Room(1, min(1, len(ahead.steps)), False, 0, len(clocks))).rows


def _words_of(ahead: Ahead, clocks: Sequence[str], columns: int, room: _Room) -> Lines:
    lines = Lines(columns)
    if clocks:
        lines.add(said("ALSO RUNNING"), BOLD)
        for text in clocks[: room.clocks]:
            lines.add(text, ACCENT, most=room.wrapped)
        if more := len(clocks) - room.clocks:
            lines.add(
                "    " + said("and {more_clocks}", more_clocks=so_many(more, "more clock", "more clocks")),
                ACCENT,
            )
    for place, step in enumerate(ahead.steps[: room.steps]):
        if place == 0:
            lines.add(said("NEXT IN THIS PROCEDURE"), BOLD, importance=1)
        words = Lines(columns)
        words.add(step.do, PLAIN, indent="    ", most=room.step_rows if place else room.wrapped)
        words.add(step.needs, BOLD, indent="    ", most=2)
        rows = [row for one in words.paragraphs for row in one.lines]
        (first, style), *_ = rows[0]
        rows[0] = [(f"{step.number:>2}{first[2:]}", style)]
        lines.paragraphs.append(Paragraph(rows, 1))
    if more := len(ahead.steps) - room.steps + ahead.more:
        lines.add(
            "    " + said("and {more_steps}", more_steps=so_many(more, "more step", "more steps")),
            QUIET,
            importance=1,
        )
    if room.then and ahead.then:
        lines.add(said("Then: {then}", then=ahead.then), QUIET, importance=2, most=1)
    more = sum(one.parts for one in ahead.others[room.others :])
    if room.others:
        lines.add(said("THE REST OF THE BATCH"), BOLD, importance=1)
        for one in ahead.others[: room.others]:
            lines.add(one.words, PLAIN, importance=1, most=MOST_WRAPPED)
        if more:
            lines.add(
                "    " + said("and {more_parts}", more_parts=so_many(more, "more part", "more parts")),
                QUIET,
                importance=1,
            )
    elif more:
        lines.add(
            said("THE REST OF THE BATCH: {parts}", parts=so_many(more, "part", "parts")), BOLD, importance=1
        )
    return lines
