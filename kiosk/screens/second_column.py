"""The second column of a large screen: the drawing, what comes next, other clocks, the rest of the batch."""

from collections.abc import Sequence

from kiosk.drawing.cells import LEAST_COLUMNS, LEAST_ROWS
from kiosk.screens.large import GAP
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET, Lines, Paragraph, Runs
from kiosk.screens.picture_of import picture_of
from kiosk.views.ahead import Ahead
from kiosk.views.step_drawing import StepDrawingView

_DRAWING_ROWS = 10  # a drawing gets as many, where the words beside it leave no more
_WORDS_COLUMNS = 38  # beside a drawing, where the column has twice as many
_OTHERS, _CLOCKS, _STEPS = 3, 2, 5  # importance: what goes first where rows are few is the steps far off


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
        wrong.add("The drawing cannot be shown; its key says why.", QUIET)
        words = _words(ahead, clocks, columns, rows - wrong.rows)
        return [*wrong.kept_rows(rows), *words.kept_rows(rows - wrong.rows)]
    words = _words(ahead, clocks, columns, rows - (_DRAWING_ROWS if sketch is not None else 0))
    for_words = min(words.rows, max(0, rows - _DRAWING_ROWS)) if sketch is not None else rows
    picture = ()
    if sketch is not None and rows - for_words >= LEAST_ROWS:
        picture = picture_of(sketch, columns, rows - for_words)
    return [*picture, *words.kept_rows(rows - len(picture))]


def _words(ahead: Ahead, clocks: Sequence[str], columns: int, rows: int) -> Lines:
    """The words: the steps' actions in two rows each where all has room in ``rows``, else in one."""
    for most in (2, 1):
        found = _words_of(ahead, clocks, columns, most)
        if found.rows <= rows:
            break
    return found


def _words_of(ahead: Ahead, clocks: Sequence[str], columns: int, most: int) -> Lines:
    lines = Lines(columns)
    if clocks:
        lines.add("ALSO RUNNING", BOLD, importance=_CLOCKS)
        for text in clocks:
            lines.add(text, ACCENT, importance=_CLOCKS, most=2)
    for place, step in enumerate(ahead.steps):
        importance = 1 if place == 0 else _STEPS + place
        if place == 0:
            lines.add("NEXT IN THIS PROCEDURE", BOLD, importance=1)
        words = Lines(columns)
        words.add(step.do, PLAIN, indent="    ", most=most)
        words.add(step.needs, BOLD, indent="    ", most=2)
        rows = [row for one in words.paragraphs for row in one.lines]
        (first, style), *_ = rows[0]
        rows[0] = [(f"{step.number:>2}{first[2:]}", style)]
        lines.paragraphs.append(Paragraph(rows, importance))
    if ahead.more:
        lines.add(f"    and {ahead.more} more", QUIET, importance=_STEPS + len(ahead.steps))
    if ahead.then:
        lines.add(f"Then: {ahead.then}", QUIET, importance=4, most=1)
    if ahead.others:
        lines.add("THE REST OF THE BATCH", BOLD, importance=_OTHERS)
        for text in ahead.others:
            lines.add(text, PLAIN, importance=_OTHERS, most=2)
    return lines
