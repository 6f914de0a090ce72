"""Waits and limits: how long a step's are, how those that run on parts stand, and which steps they hold."""

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from kiosk.record.belief import JUMP
from kiosk.record.context import Context
from kiosk.record.events import ClockSet
from kiosk.record.state import Piece, State, Work
from kiosk.shop.procedure import Procedure, Step, StepRef, Wait
from kiosk.shop.shop import Shop

NEAR_SHARE = 0.2  # of a limit: from here on it is called out
# Nothing that was mixed or cleaned stands for so long after its limit. Common practice, no source.
LONG_OVER = timedelta(hours=12)
LAST_MINUTE_S = 60.0
TYPICAL = " (typical)"  # said of a wait whose minutes are for want of the product's own


def clocks_on(shop: Shop, state: State, mark: str) -> tuple[ClockSet, ...]:
    """The clocks on a part: those that are set on it, and those that beginning its step ended too soon."""
    part = state.part(mark)
    work = state.works.get(part.work or "")
    return part.clocks if work is None else part.clocks + run_on(shop, work, mark)


def run_on(shop: Shop, work: Work, mark: str) -> tuple[ClockSet, ...]:
    """The limits that ended when the step was begun, and run on because nothing came of it.

    Metal ages on while its step is paused, or left so that nobody knows how it stands. A step that runs is
    begun, and so is one at which something was answered or counted on the part, or on any of those that go
    through together.
    """
    if work.status == "running" or not work.stopped:
        return ()
    _, step = shop.find_step(work.procedure, work.step)
    together = step is not None and step.batch == "together"
    if any(one.is_begun for one in work.pieces if together or one.mark == mark):
        return ()
    begun_by = [at for of, at in work.begun_by if of == mark]
    return tuple(
        clock
        for of, clock in work.stopped
        if of == mark and clock.kind == "within" and not any(at <= clock.until for at in begun_by)
    )


def seconds_left(context: Context, clock: ClockSet) -> float | None:
    """Seconds until a clock ends, negative when it has; None when nobody knows.

    Within the boot of the machine in which it was set it runs on the monotonic clock, which nobody can set.
    In any other, on the wall clock, if that is believed now and was when the clock was set.
    """
    if clock.boot and clock.boot == context.boot and clock.set_s is not None:
        return clock.set_s + clock.minutes * 60 - context.monotonic_s
    left = clock.until - context.now
    if context.doubt is not None or not clock.believed or left > timedelta(minutes=clock.minutes) + JUMP:
        return None
    return left.total_seconds()


def limit_taken_back(
    context: Context, work: Work, step: Step, wait: Wait, marks: Sequence[str]
) -> ClockSet | None:
    """The limit that an end of this step had set on these parts, which was taken back: of several the oldest,
    and before all one of which nobody knows how old it is.

    One that had run out for long when the step was begun was of something else.
    """
    found = [
        clock
        for mark in marks
        for clock in context.state.part(mark).undone_limits
        if (clock.procedure, clock.set_by) == (work.procedure, step.id)
        and wait in waits_of(step, clock)
        and not (clock.believed and context.doubt is None and clock.until + LONG_OVER < work.started_at)
    ]

    def age_s(clock: ClockSet) -> float:
        left_s = seconds_left(context, clock)
        return math.inf if left_s is None else clock.minutes * 60 - left_s

    return max(found, key=age_s, default=None)


def limits_gone_on(context: Context, mark: str) -> list[ClockSet]:
    """The limits that an end of the step in hand on a part had set, and that go on though the end was taken
    back: what was mixed ages while the step is in hand again. Not one of which nobody knows how it stands:
    that is asked once the step is ended again."""
    part = context.state.part(mark)
    work = context.state.works.get(part.work or "")
    if work is None or not part.undone_limits:
        return []
    _, step = context.shop.find_step(work.procedure, work.step, mark)
    if step is None:
        return []
    marks = work.marks if step.batch == "together" else (mark,)
    found = (
        limit_taken_back(context, work, step, one, marks) for one in step.waits if one.within is not None
    )
    return [one for one in found if one is not None and seconds_left(context, one) is not None]


def mixes_left(context: Context) -> dict[ClockSet, tuple[str, ...]]:
    """What was mixed and still stands though its parts went back before it was used: by its limit, which has
    not ended yet, the parts that it was for."""
    found: dict[ClockSet, tuple[str, ...]] = {}
    for mark, part in context.state.parts.items():
        for clock in part.mixes_left:
            left_s = seconds_left(context, clock)
            if left_s is not None and left_s > 0:
                found[clock] = (*found.get(clock, ()), mark)
    return found


def ends_at(context: Context, clock: ClockSet) -> datetime | None:
    """When a clock ends or ended, by the wall clock as it shows now; None when nobody knows."""
    left = seconds_left(context, clock)
    return None if left is None else context.now + timedelta(seconds=left)


def is_late(context: Context, clock: ClockSet) -> bool:
    """True when a limit was missed."""
    left = seconds_left(context, clock) if clock.kind == "within" else None
    return left is not None and left < 0


def run_out_before(
    context: Context, marks: Sequence[str], ref: StepRef, until: datetime
) -> list[tuple[ClockSet, datetime]]:
    """The limits on parts that end before a step can begin, for that step or one after it: each once, by what
    it is of, and when it ends; the soonest first. Not one that has ended, nor of which nobody knows when."""
    found: dict[str, tuple[ClockSet, datetime]] = {}
    for mark in marks:
        for clock in clocks_on(context.shop, context.state, mark):
            ends = ends_at(context, clock) if clock.kind == "within" else None
            if ends is None or not context.now <= ends < until or _is_before(context.shop, clock, ref):
                continue
            if clock.what not in found or ends < found[clock.what][1]:
                found[clock.what] = clock, ends
    return sorted(found.values(), key=lambda one: one[1])


def _is_before(shop: Shop, clock: ClockSet, ref: StepRef) -> bool:
    """True where the step that a limit is for comes before another one of its procedure."""
    procedure = shop.procedures.get(ref.procedure)
    if procedure is None or clock.procedure != ref.procedure:
        return False
    at, other = procedure.index(clock.step), procedure.index(ref.step)
    return at is not None and other is not None and at < other


def is_same_limit(one: ClockSet, other: ClockSet) -> bool:
    """True for what one step started on two parts, if each at a moment of its own: one by one, each dries in
    a minute of its own."""
    fields = ("until", "boot", "set_s", "believed")
    moment: dict[str, Any] = {name: getattr(one, name) for name in fields}
    return replace(other, **moment) == one


def is_near(clock: ClockSet, left_s: float) -> bool:
    """True in the last fifth of a limit, and in its last minute."""
    return left_s <= max(LAST_MINUTE_S, NEAR_SHARE * clock.minutes * 60)


def holds(shop: Shop, clock: ClockSet, mark: str, procedure: Procedure, step: Step) -> bool:
    """True when a clock has to do with this step of a part.

    A limit has, wherever the part stands: what was missed is missed before the named step is reached. A wait
    holds the step that it names; every step after it, should the part have come past; and any step at all
    where the named one is no longer there: it is never let go because its step was renamed. Where the part's
    kind leaves that step out, it holds the next that the kind has. Where its procedure has it hold an earlier
    step by now, it holds that one too: glue is no drier for a new revision.
    """
    if clock.kind == "within":
        return True
    named = StepRef(clock.procedure, clock.step)
    here = procedure.ref(step)
    if named == here:
        return True
    route = shop.route_of(shop.kind_of(mark))
    held = route.number_of(named)
    if held is None:
        return True
    first = min(
        [held, *(one for ref in _held_today(shop, clock, mark) if (one := route.number_of(ref)) is not None)]
    )
    return here in route.numbers and first <= route.numbers[here]


def _held_today(shop: Shop, clock: ClockSet, mark: str) -> list[StepRef]:
    """The steps that the same wait of the step that set it holds in the files of today, on a part's kind."""
    _, setter = shop.find_step(clock.procedure, clock.set_by, mark)
    found = waits_of(setter, clock) if setter is not None else []
    return [StepRef(clock.procedure, wait.before) for wait in found if wait.before is not None]


def waits_of(setter: Step, clock: ClockSet) -> list[Wait]:
    """The wait in the files of today that set a clock at the end of this step; several where that cannot be
    told, for too much waiting hurts nobody; none where it is gone.

    It may have other words, another number or another step by now, but hardly all of them. Two waits of one
    step may have the same words: as long as either holds the step that it held, it is told by that.
    """
    kind = "within" if clock.kind == "within" else "must_pass"
    numbered = [(one, wait) for one, wait in enumerate(setter.waits, 1) if getattr(wait, kind) is not None]
    what = clock.what.removesuffix(TYPICAL)
    same_words = [(number, wait) for number, wait in numbered if wait.what == what]
    as_it_was = [one for one in same_words if one[1].step == clock.step]
    for likely in (as_it_was, same_words):
        by_number = [one for one in likely if one[0] == clock.number]
        if likely:
            return [wait for _, wait in by_number or likely]
    return [wait for number, wait in numbered if number == clock.number]


def wait_minutes(state: State, procedure: str, step: Step, wait: Wait, piece: Piece) -> float:
    """Minutes of a wait: the answer it takes them from, else what is written."""
    told = told_minutes(state, procedure, step, wait, piece)
    return wait.minutes if told is None else told


def told_minutes(state: State, procedure: str, step: Step, wait: Wait, piece: Piece) -> float | None:
    """Minutes of a wait as they were read at the bench; None when it takes them from no answer."""
    if wait.from_check is None:
        return None
    told = wait.from_check
    given = piece.answer_on(step, told.check) if told.step == step.id else None
    if given is not None and given.value is not None:
        return given.value
    measured = state.part(piece.mark).measured.get(StepRef(procedure, told.step), {})
    return measured.get(told.check)
