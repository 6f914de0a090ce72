"""Until when a step can be begun, or has to be ended, so that what has to follow it at once is done before
quiet hours.

A limit that runs for hours is no help to who sprays: the house goes to sleep before. What stops it is asked
of each minute until then; it is told while something can still be done about it.
"""

import math
from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import dropwhile
from typing import Literal

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.record.batch import pieces_to_do
from kiosk.record.context import Context
from kiosk.record.quiet_hours import minutes_until_quiet, quiet_at
from kiosk.record.readiness import Block, blocks, in_hand_could_not_follow, told_first
from kiosk.record.soonest import AtBench
from kiosk.record.state import Work
from kiosk.record.waits import clocks_on, ends_at
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.shop import Shop

LOOKED_AHEAD_MINUTES = 180


@dataclass(frozen=True)
class LastMoment:
    """Until when a step of these parts can be begun, or one in hand has to be ended or gone on with."""

    marks: tuple[str, ...]
    procedure: Procedure
    step: Step
    at: datetime  # a whole minute
    what: Literal["begin", "go on", "end"]


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
    context: Context,
    marks: Sequence[str],
    procedure: Procedure,
    step: Step,
    within_minutes: float = LOOKED_AHEAD_MINUTES,
) -> datetime | None:
    """The last whole minute of the clock at which the next step of these parts can be begun.

    None where quiet hours do not matter to it, or come first by now, and where that minute is not
    ``within_minutes``.
    """
    if not matters_to(context, procedure, step):
        return None
    bench = AtBench(context)
    return _last_moment(
        context,
        marks,
        within_minutes,
        lambda then: told_first(then, marks, procedure, step, by_hand=True, at_bench=bench.then(then)),
    )


def in_hand_by(context: Context, work: Work, within_minutes: float = LOOKED_AHEAD_MINUTES) -> datetime | None:
    """By when a step in hand has to be ended, or one that is paused gone on with: as for one to begin."""
    procedure, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
    if procedure is None or step is None or not matters_to(context, procedure, step):
        return None
    bench = AtBench(context)
    return _last_moment(
        context,
        work.marks,
        within_minutes,
        lambda then: in_hand_could_not_follow(then, work, bench.then(then), by_hand=True),
    )


def _last_moment(
    context: Context,
    marks: Sequence[str],
    within_minutes: float,
    ahead: Callable[[Context], Sequence[Block]],
) -> datetime | None:
    """The last minute before the first at which ``ahead`` finds that quiet hours come first: as far as these,
    and no farther than a limit runs that is called out of itself."""
    until_quiet = minutes_until_quiet(context.shop, context.now)
    if not until_quiet:
        return None
    begin = context.now + timedelta(minutes=until_quiet)
    ends = (
        ends_at(context, one)
        for mark in marks
        for one in clocks_on(context.shop, context.state, mark)
        if one.kind == "within"
    )
    farthest = context.now + timedelta(minutes=within_minutes + 1)
    last = min([begin, farthest, *(end for end in ends if end is not None and end > context.now)])
    minute = context.now.replace(second=0, microsecond=0)  # that has begun
    minutes = range(math.ceil((last - minute).total_seconds() / 60) + 1)

    def stopped_by(after: int) -> str:
        then = min(last, max(context.now, minute + timedelta(minutes=after)))
        kinds = [stop.kind for stop in ahead(at_moment(context, then))]
        return next((kind for kind in kinds if kind in ("quiet", "limit")), "")

    if stopped_by(0):
        return None
    quiet = quiet_at(context.shop, begin)
    if quiet is None or quiet[1] - quiet[0] >= timedelta(minutes=LOOKED_AHEAD_MINUTES):
        # What is lost at one minute is lost at all after it: it would be loud in the middle of them.
        lost = bisect_left(minutes, True, key=lambda after: bool(stopped_by(after)))
    else:
        lost = next((after for after in minutes if stopped_by(after)), len(minutes))
    if lost == len(minutes) or stopped_by(lost) != "quiet":
        return None  # or it is the limit that comes first
    return minute + timedelta(minutes=lost - 1)


class LastMoments:
    """Those of all that is in hand or runs under a limit, asked anew with each entry and each minute."""

    def __init__(self) -> None:
        self._made_from: tuple[Shop, int, str, datetime, float] | None = None
        self._found: tuple[LastMoment, ...] = ()

    def of(self, context: Context, within_minutes: float) -> tuple[LastMoment, ...]:
        """Those within so many minutes; the first to come first."""
        if not quiet_hours_are_near(context):
            return ()
        minute = context.now.replace(second=0, microsecond=0)
        made_from = (context.shop, context.state.seq, context.doer.id, minute, within_minutes)
        if self._made_from != made_from:
            found = (*_in_hand(context, within_minutes), *_under_a_limit(context, within_minutes))
            self._made_from, self._found = made_from, tuple(sorted(found, key=lambda one: one.at))
        return self._found


def _in_hand(context: Context, within_minutes: float) -> Iterator[LastMoment]:
    for work in context.state.works.values():
        marks = pieces_to_do(context.state, work)
        if work.status == "unknown" or not marks:
            continue
        with suppress(KioskError):  # a figure that cannot be worked out: `kiosk check` names it
            at = in_hand_by(context, work, within_minutes)
            procedure, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
            if procedure is not None and step is not None and at is not None:
                yield LastMoment(marks, procedure, step, at, "end" if work.status == "running" else "go on")


def _under_a_limit(context: Context, within_minutes: float) -> Iterator[LastMoment]:
    """Of parts that stand in a run or under a limit, those of one kind at one step together. It is told
    whoever has the screen, and whether or not somebody has to come, to go, or to read the room first."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    positions = context.positions
    for mark in positions.in_order({*positions.busy, *positions.in_runs}):
        where = positions.of(mark)
        if where.procedure is None or where.step is None or context.state.part(mark).work:
            continue
        if context.state.open_snags(mark):
            continue  # it is decided first, and the others go on without it
        limits = (one.kind == "within" for one in clocks_on(context.shop, context.state, mark))
        if mark in positions.in_runs or any(limits):
            kind = context.shop.parts[mark].kind
            alike.setdefault((kind, where.procedure.id, where.step.id), []).append(mark)
    for marks in alike.values():
        with suppress(KioskError):
            where = positions.of(marks[0])
            if where.procedure is None or where.step is None:
                continue
            at = begin_step_by(context, marks, where.procedure, where.step, within_minutes)
            if at is None:
                continue
            stops = blocks(context, marks[0], where.procedure, where.step)
            if not any(_stops_for_itself(one, at) for one in stops):
                yield LastMoment(tuple(marks), where.procedure, where.step, at, "begin")


def _stops_for_itself(stop: Block, at: datetime) -> bool:
    """True for what is told of itself, as a snag or a tool that is gone, and for a wait that is longer."""
    if stop.kind == "wait":
        return stop.until is None or stop.until > at
    return stop.kind not in ("person", "room", "room air")


def at_moment(context: Context, then: datetime) -> Context:
    """The bench as it stands, at a later moment."""
    seconds = max(0.0, (then - context.now).total_seconds())
    return replace(context, now=max(context.now, then), monotonic_s=context.monotonic_s + seconds)
