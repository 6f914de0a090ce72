"""What stands beside a part on a large screen: where it is in its procedure, and what comes next."""

from collections.abc import Sequence

from kiosk.bench import Bench
from kiosk.screens.page_text import BOLD, PLAIN, QUIET, Lines, Runs
from kiosk.views.left import left_line
from kiosk.views.part_words import part_words
from kiosk.views.wording import action_words


def part_column(
    bench: Bench, marks: tuple[str, ...], columns: int, rows: int, *, drawn: bool, named: bool
) -> Sequence[Runs]:
    """The steps after the next one of the first part, and the rest of its batch besides ``marks``; ``drawn``
    with the drawing of that step.

    Where the page has not ``named`` the part, it is named here first, with its next step and what is left.
    """
    from kiosk.screens.second_column import second_column

    head = Lines(columns)
    mark = marks[0]
    where = bench.position(mark)
    if not named:
        head.add(part_words(bench.shop, mark), BOLD)
        if where.step is not None and not where.completed:
            head.add(action_words(bench.context, where.step), PLAIN)
        head.add(left_line(bench.context, mark), QUIET)
        head.gap(importance=0)
    if where.procedure is None or where.step is None or where.completed:
        return head.kept_rows(rows)
    ref = where.procedure.ref(where.step)
    drawing = bench.drawing_of_part(mark, ref) if drawn else None
    left = rows - head.rows
    return [
        *head.kept_rows(rows),
        *second_column(bench.ahead(mark, ref, marks), (), drawing, columns, left),
    ]
