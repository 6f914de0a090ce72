"""Until when a step can be begun, or has to be ended, so that what has to follow it at once is done before
quiet hours.

A limit that runs for hours is no help to who sprays: the house goes to sleep before. What stops it is asked
of each minute until then; it is told while something can still be done about it.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import dropwhile

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.record.context import Context
from kiosk.record.quiet_hours import minutes_until_quiet
from kiosk.record.readiness import Block, blocks, in_hand_could_not_follow, told_first
from kiosk.record.soonest import AtBench
from kiosk.record.state import Work
from kiosk.record.waits import clocks_on
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.shop import Shop

LOOKED_AHEAD_MINUTES = 180


@dataclass(frozen=True)
class LastMoment:
    """Until when a step of these parts can be begun; of one in hand, by when it has to be ended."""

    marks: tuple[str, ...]
    procedure: Procedure
    step: Step
    at: datetime  # a whole minute
    in_hand: bool = False


def begin_by(context: Context, ahead: Callable[[Context], Sequence[Block]]) -> datetime | None:
    """The last whole minute of the clock at which ``ahead`` finds nothing that could not follow.

    None where that is now no longer, where it never comes before quiet hours, and where these are far.
    """
    if not quiet_hours_are_near(context):
        return None
    until_quiet = minutes_until_quiet(context.shop, context.now) or 0.0
    last = context.now.replace(second=0, microsecond=0)  # the minute that has begun
    minutes = range(int(until_quiet) + 1)
    lost = bisect_left(minutes, True, key=lambda after: bool(ahead(_later(context, last, after))))
    return last + timedelta(minutes=lost - 1) if 0 < lost < len(minutes) else None


def quiet_hours_are_near(context: Context) -> bool:
    """True while they come so soon that somebody is told of them beforehand."""
    if not context.shop.file.quiet_hours or context.doubt is not None:
        return False
    until_quiet = minutes_until_quiet(context.shop, context.now)
    return until_quiet is not None and 0 < until_quiet <= LOOKED_AHEAD_MINUTES


def matters_to(context: Context, procedure: Procedure, step: Step) -> bool:
    """True where quiet hours are near, and the step or one after it in its procedure is loud."""
    after = dropwhile(lambda one: one.id != step.id, procedure.steps)
    return quiet_hours_are_near(context) and any(one.conditions.loud for one in after)


def begin_step_by(
    context: Context, marks: Sequence[str], procedure: Procedure, step: Step
) -> datetime | None:
    """Until when the next step of these parts can be begun: None where quiet hours do not matter to it."""
    if not matters_to(context, procedure, step):
        return None
    bench = AtBench(context)
    return begin_by(context, lambda then: told_first(then, marks, procedure, step, at_bench=bench.then(then)))


def end_step_by(context: Context, work: Work) -> datetime | None:
    """By when a step in hand has to be ended: None where quiet hours do not matter to it."""
    procedure, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
    if procedure is None or step is None or not matters_to(context, procedure, step):
        return None
    bench = AtBench(context)
    return begin_by(context, lambda then: in_hand_could_not_follow(then, work, bench.then(then)))


class LastMoments:
    """Those of all that is in hand or runs under a limit, asked anew with each entry and each minute."""

    def __init__(self) -> None:
        self._made_from: tuple[Shop, int, str, datetime] | None = None
        self._found: tuple[LastMoment, ...] = ()

    def of(self, context: Context) -> tuple[LastMoment, ...]:
        """The first to come first."""
        if not quiet_hours_are_near(context):
            return ()
        minute = context.now.replace(second=0, microsecond=0)
        made_from = (context.shop, context.state.seq, context.doer.id, minute)
        if self._made_from != made_from:
            found = (*_in_hand(context), *_under_a_limit(context))
            self._made_from, self._found = made_from, tuple(sorted(found, key=lambda one: one.at))
        return self._found


def _in_hand(context: Context) -> Iterator[LastMoment]:
    for work in context.state.works.values():
        with suppress(KioskError):  # a figure that cannot be worked out: `kiosk check` names it
            at = end_step_by(context, work) if work.status != "unknown" else None
            procedure, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
            if procedure is not None and step is not None and at is not None:
                yield LastMoment(work.marks, procedure, step, at, in_hand=True)


def _under_a_limit(context: Context) -> Iterator[LastMoment]:
    """Of parts that stand in a run or under a limit, those of one kind at one step together."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    positions = context.positions
    for mark in positions.in_order({*positions.busy, *positions.in_runs}):
        where = positions.of(mark)
        if where.procedure is None or where.step is None or context.state.part(mark).work:
            continue
        limits = (one.kind == "within" for one in clocks_on(context.shop, context.state, mark))
        if mark in positions.in_runs or any(limits):
            kind = context.shop.parts[mark].kind
            alike.setdefault((kind, where.procedure.id, where.step.id), []).append(mark)
    for marks in alike.values():
        with suppress(KioskError):
            where = positions.of(marks[0])
            if where.procedure is None or where.step is None:
                continue
            at = begin_step_by(context, marks, where.procedure, where.step)
            stops = blocks(context, marks[0], where.procedure, where.step) if at is not None else []
            waits = [one.until for one in stops if one.kind == "wait" and one.until is not None]
            # What else stops it is told of itself, and a wait that is longer stops it too.
            if at is not None and len(waits) == len(stops) and all(until <= at for until in waits):
                yield LastMoment(tuple(marks), where.procedure, where.step, at)


def _later(context: Context, minute: datetime, after: int) -> Context:
    """The moment so many minutes on: now, or a whole minute of the clock."""
    then = max(context.now, minute + timedelta(minutes=after))
    seconds = (then - context.now).total_seconds()
    return replace(context, now=then, monotonic_s=context.monotonic_s + seconds)
