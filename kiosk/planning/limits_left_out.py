"""Parts on which a limit runs, and for which an answer has nothing: they are told, with what hinders them.

A clock that is not called, and on no line of Minutes, is a clock that nobody looks at."""

from collections.abc import Callable, Container, Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from kiosk.planning.work.chain import Steps
from kiosk.planning.work.find_work import StopsOf
from kiosk.planning.work.found_work import NotNow
from kiosk.planning.work.limits import SPOILS_SOON
from kiosk.record.context import Context
from kiosk.record.position import steps_left
from kiosk.record.quiet_hours import quiet_at, quiet_within
from kiosk.record.readiness import Block, BlockKind, begins_by
from kiosk.record.rules.things import LONGEST_SLOT
from kiosk.record.waits import clocks_on, ends_at, run_out_before
from kiosk.shop.procedure import StepRef

MinutesWanted = Callable[[Sequence[str], StepRef], int | None]


def limits_left_out(
    context: Context, stops_of: StopsOf, told: Container[str], minutes_wanted: MinutesWanted
) -> Iterator[NotNow]:
    """Of the parts that are not ``told`` of, those on which a limit runs out within a week, like ones
    together: the step that they stand at, and what hinders the one that the limit is for or one before it;
    where nothing does, the minutes are too few, and it is told how many it takes."""
    shop, state = context.shop, context.state
    gathered: dict[tuple[StepRef, str, StepRef], tuple[list[str], datetime, Steps]] = {}
    for mark in sorted(context.kept.positions.busy):  # followed by whoever asked for the answer
        part = state.parts.get(mark)
        if part is None or mark in told or mark not in shop.parts or part.work in state.works:
            continue
        limits = (one for one in clocks_on(shop, state, mark) if one.kind == "within")
        clock = min(limits, key=lambda one: one.until, default=None)
        ends = ends_at(context, clock) if clock is not None else None
        left = steps_left(shop, state, mark)
        if clock is None or ends is None or not left:
            continue
        if not context.now <= ends < context.now + SPOILS_SOON:
            continue
        wanted = StepRef(clock.procedure, clock.step)
        key = (left[0][0].ref(left[0][1]), clock.what, wanted)
        marks, soonest, _ = gathered.get(key, ([], ends, left))
        gathered[key] = ([*marks, mark], min(soonest, ends), left)
    for (_, what, wanted), (marks, ends, left) in gathered.items():
        stop = _what_hinders(wanted, left, stops_of)
        if stop is None:
            stop = Block("limit", _too_few_minutes(context, minutes_wanted(marks, wanted)))
        yield NotNow(
            tuple(marks),
            *left[0],
            replace(stop, text=f"{what} until {ends.astimezone():%a %H:%M}: {stop.text}", until=ends),
        )


def with_what_runs_out(context: Context, one: NotNow) -> NotNow:
    """The same, with the limits that end on these parts before what hinders them is over."""
    ref = StepRef(one.procedure.id, one.block.step or one.step.id)
    _, step = context.shop.find_step(ref.procedure, ref.step, one.marks[0])
    until = begins_by(context, step or one.step, [one.block])
    if until is None or one.block.kind in ("late", "limit"):
        return one
    ends = [(clock.what, at) for clock, at in run_out_before(context, one.marks, ref, until)]
    if not ends:
        return one
    before = ", ".join(f"{what} {at.astimezone():%a %H:%M}" for what, at in ends)
    return replace(one, block=replace(one.block, text=f"{one.block.text}; runs out before that: {before}"))


def _too_few_minutes(context: Context, wanted: int | None) -> str:
    if wanted is not None:
        return f"by itself it takes about {wanted} min"
    more = "more minutes are wanted for it"
    quiet_in = quiet_within(context.shop, context.now, LONGEST_SLOT)
    if quiet_in is None:
        return more
    quiet = quiet_at(context.shop, context.now + timedelta(minutes=quiet_in + 1))
    until = f" until {quiet[1].astimezone():%a %H:%M}" if quiet is not None else ""
    return f"{more} than are left before quiet hours{until}"


def _what_hinders(wanted: StepRef, left: Steps, stops_of: StopsOf) -> Block | None:
    """What hinders the step that a limit is for, or one before it; a reading of the room clears its own."""
    for procedure, step in left:
        if stops := stops_of(step):
            kind: BlockKind = "room air" if stops[0].kind == "room air" else "limit"
            return Block(kind, f"{stops[0].text} ({step.do.rstrip('.')})")
        if procedure.ref(step) == wanted:
            break
    return None
