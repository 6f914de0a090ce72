"""What was asked for at the bench, as the advice follows it: what is wanted, what opens it, what is put off.

Asked for first are the parts named, and those that walk in one batch with them; and all that has to be
finished before they can go on: the tooling that is short, the blanks and parts that they are made from, and
whatever those wait for in turn. Put off for today are parts of which nothing is wet, running or may not be
left: that comes all the same.
"""

from collections.abc import Sequence
from typing import Literal

from kiosk.planning.work.limits import spoils_at
from kiosk.record.context import Context
from kiosk.record.position import left_in_a_run, steps_left_from
from kiosk.record.readiness import is_completed
from kiosk.record.state import Work
from kiosk.record.wishes import asked_of, wishes_for_doer

# What a minute is worth otherwise differs by less than 1,000 (worth.py). So a minute of what only opens what
# was asked for is worth more than one that nobody asked for; and one of the thing itself so much more that
# even a short one with a long set-up comes before that.
A_MINUTE_ASKED = 4000
A_MINUTE_THAT_OPENS = 1100
# For each part. An hour of what was asked for is worth 240,000: what spoils stays before that, and what may
# not be left before all else, as it is where nothing was asked for.
SPOILS_FIRST = 300_000
NOT_LEFT_FIRST = 4_000_000

Wanted = Literal["first", "opens", "not today", ""]  # "not today": it comes all the same


class Asked:
    """What somebody's advice is asked for, part by part."""

    def __init__(self, context: Context) -> None:
        self._context = context
        self._wishes = wishes_for_doer(context)
        self._named: dict[str, str] = {}
        self._first: set[str] = set()
        self._opens: set[str] = set()
        self._looked_at: set[tuple[str, str]] = set()  # kinds with a stage of their route: the same for all
        if not self._wishes:
            return
        for mark in context.shop.parts:
            said = asked_of(context, self._wishes, mark)
            if said and not is_completed(context.state, mark):
                self._named[mark] = said
        self._first = {mark for mark, said in self._named.items() if said == "first"}
        self._with_their_batches()
        for mark in list(self._first):
            self._open_for(mark)

    @property
    def anything(self) -> bool:
        """True when anything was asked for, first or not today."""
        return bool(self._named)

    @property
    def anything_first(self) -> bool:
        """True when something was asked for first."""
        return bool(self._first)

    def of(self, mark: str) -> Wanted:
        """What was asked of a part, or follows from it."""
        if mark in self._first:
            return "first"
        if self._named.get(mark) == "not today":
            return "not today"
        return "opens" if mark in self._opens else ""

    def is_named_first(self, mark: str) -> bool:
        """True for a part that was asked for first itself, or by its kind; not for what walks with one."""
        return self._named.get(mark) == "first"

    def is_put_off(self, mark: str) -> bool:
        """True when nothing of a part is offered today."""
        return self.of(mark) == "not today" and not self._comes_anyway(mark)

    def is_work_put_off(self, work: Work) -> bool:
        """The same of a step in hand: not while its clock runs, nor where one of its parts is wanted."""
        return work.status != "running" and all(self.is_put_off(mark) for mark in work.marks)

    def _comes_anyway(self, mark: str) -> bool:
        """True where something of it is wet, or would spoil, or may not be left as it is."""
        context = self._context
        part = context.state.parts.get(mark)
        if part is None:
            return False
        return spoils_at(context, mark) is not None or left_in_a_run(context.shop, part) is not None

    def _with_their_batches(self) -> None:
        """Parts of a batch walk together: whoever wants one of them first, wants all that go with it."""
        parts = self._context.state.parts
        batches = {parts[mark].batch for mark in self._first if mark in parts and parts[mark].batch}
        for mark, part in parts.items() if batches else ():
            if part.batch in batches and mark not in self._named and mark in self._context.shop.parts:
                self._first.add(mark)

    def _open_for(self, mark: str) -> None:
        """All that has to be finished before a part can go on to its end."""
        context = self._context
        shop, state = context.shop, context.state
        found: list[str] = [one for one in shop.parts[mark].made_from if not is_completed(state, one)]
        left = steps_left_from(shop, state, context.positions.of(mark))
        ahead = {procedure.id for procedure, _ in left}
        kind = shop.kind_of(mark)
        for stage in kind.route:
            if stage.procedure not in ahead or (kind.id, stage.procedure) in self._looked_at:
                continue
            self._looked_at.add((kind.id, stage.procedure))
            for needed, count in stage.needs.items():
                marks = shop.marks_of(needed)
                open_marks = [one for one in marks if not is_completed(state, one)]
                if len(marks) - len(open_marks) < count:
                    found += open_marks
        for one in found:
            if one not in self._opens and one not in self._first:
                self._opens.add(one)
                self._open_for(one)


def named_first(context: Context, marks: Sequence[str]) -> tuple[str, ...]:
    """Of these parts, those that were asked for first themselves, or by their kind."""
    wishes = wishes_for_doer(context)
    return tuple(mark for mark in marks if asked_of(context, wishes, mark) == "first") if wishes else ()


def walks_with(context: Context, marks: Sequence[str]) -> tuple[str, ...]:
    """The parts that were asked for first and are of one batch with these, and not among them."""
    parts = context.state.parts
    batches = {parts[mark].batch for mark in marks if mark in parts} - {""}
    return named_first(
        context,
        [
            mark
            for mark, part in parts.items()
            if part.batch in batches and mark not in marks and mark in context.shop.parts
        ],
    )


def worth_asked(
    wanted: Wanted, anything_first: bool, minutes: float, parts: int, *, spoils: bool, in_a_run: bool
) -> float:
    """What is added to the worth of a stretch by what was asked for; 0 where nothing was."""
    more = {"first": A_MINUTE_ASKED, "opens": A_MINUTE_THAT_OPENS}.get(wanted, 0) * minutes
    if anything_first and (in_a_run or spoils):
        more += (NOT_LEFT_FIRST if in_a_run else SPOILS_FIRST) * max(1, parts)
    return more
