"""Acts on clocks: a limit that was missed, a clock nobody knows the stand of, and the wall clock itself."""

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from kiosk.record import events as e
from kiosk.record.belief import EARLIEST, jumped
from kiosk.record.context import Context
from kiosk.record.position import position
from kiosk.record.rules.door import Bodies, Refused, act, require_parts
from kiosk.record.state import ClockReading
from kiosk.record.waits import clocks_on, holds, is_late, is_same_limit, run_on, seconds_left
from kiosk.shop.procedure import StepRef

IN_TIME = "Finished in time; the tap came late"
BEGUN_IN_TIME = "Begun in time, and more than begun when it was left"
FEWEST_LETTERS = 3  # of words that say what was done


@act("the builder")
def answer_limit(
    context: Context,
    marks: Sequence[str],
    did: str,
    *,
    in_time: bool = False,
    asked: e.ClockSet | None = None,
) -> Bodies:
    """A time limit was missed: what was done about it, in the builder's words or the procedure's.

    The part goes back to the step that the procedure names, where what was asked is asked again; where it
    names none, the clock runs anew. ``in_time`` says that a step in hand was finished before its limit, or
    begun, where the limit ends so. ``asked`` is the limit that was asked about, where one was: another may
    run out meanwhile.
    """
    require_parts(context, marks)
    if sum(character.isalpha() for character in did) < FEWEST_LETTERS:
        raise Refused("nothing says what was done", "choose it, or type it")
    return [_answered(context, mark, did.strip(), asked, in_time=in_time) for mark in marks]


def _answered(
    context: Context, mark: str, did: str, asked: e.ClockSet | None, *, in_time: bool
) -> e.ClockAnswered:
    missed = missed_limit(context, mark)
    if asked is not None:
        of_part = missed_limits(context, mark)
        same = (one for one in of_part if is_same_limit(asked, one))  # each of a batch at its own moment
        missed = asked if asked in of_part else next(same, None)
    if missed is None:
        raise Refused(f"no time limit was missed on {mark}", "go on")
    answered = e.ClockAnswered(
        mark=mark,
        procedure=missed.procedure,
        step=missed.step,
        did=did,
        what=missed.what,
        until=missed.until,
        asked=missed,
    )
    if in_time:
        if not may_be_in_time(context, mark, missed):
            raise Refused(f"{mark} was not in hand at that step", "say what was done instead")
        return replace(answered, did=in_time_words(missed))
    back = _back_to(context, mark, missed)
    if back is None:
        return replace(answered, again=set_anew(context, missed, missed.minutes))
    return replace(answered, back_to_procedure=back.procedure, back_to_step=back.step, limits_go_on=True)


def missed_limit(context: Context, mark: str) -> e.ClockSet | None:
    """The limit that ran out on a part, where it has to do with the step the part stands at.

    Of several the one that sends it back least: each asks for something of its own, such as a mix to discard,
    and what goes further back would let the others go unanswered.
    """
    late = missed_limits(context, mark)
    numbers = context.shop.route_of(context.shop.kind_of(mark)).numbers if len(late) > 1 else {}

    def how_far_back(clock: e.ClockSet) -> tuple[float, datetime]:
        return -numbers.get(StepRef(clock.procedure, clock.back_to), math.inf), clock.until

    return min(late, key=how_far_back, default=None)


def missed_limits(context: Context, mark: str) -> list[e.ClockSet]:
    """All that ran out on a part and have to do with the step it stands at."""
    where = position(context.shop, context.state, mark)
    if where.procedure is None or where.step is None:
        return []
    return [
        clock
        for clock in clocks_on(context.shop, context.state, mark)
        if is_late(context, clock) and holds(context.shop, clock, mark, where.procedure, where.step)
    ]


def may_be_in_time(context: Context, mark: str, missed: e.ClockSet) -> bool:
    """True when the step that was to be finished, or begun, is in hand: what was wanted may have come before
    the tap, or without one."""
    work = context.state.works.get(context.state.part(mark).work or "")
    if work is None or work.ref != StepRef(missed.procedure, missed.step):
        return False
    return missed.ends == "finish" or missed in run_on(context.shop, work, mark)


def in_time_words(missed: e.ClockSet) -> str:
    """What a person says whose step in hand kept the limit all the same."""
    return IN_TIME if missed.ends == "finish" else BEGUN_IN_TIME


def _back_to(context: Context, mark: str, missed: e.ClockSet) -> StepRef | None:
    """The step a missed limit sends a part back to: the named one, or the first done one after it."""
    procedure = context.shop.procedures.get(missed.procedure)
    if not missed.back_to or procedure is None or procedure.index(missed.back_to) is None:
        return None
    done = context.state.part(mark).passes.get(missed.procedure, {})
    after = procedure.steps[procedure.index(missed.back_to) :]
    first = next((step.id for step in after if step.id in done), None)
    return StepRef(missed.procedure, first) if first is not None else None


def set_anew(context: Context, clock: e.ClockSet, minutes: float) -> e.ClockSet:
    """A clock like this one that runs from now."""
    return replace(
        clock,
        minutes=minutes,
        until=context.now + timedelta(minutes=minutes),
        boot=context.boot,
        set_s=context.monotonic_s,
        believed=context.doubt is None,
    )


def unknown_clock(context: Context, mark: str) -> e.ClockSet | None:
    """The clock that nobody knows the stand of, where it has to do with the step a part stands at."""
    where = position(context.shop, context.state, mark)
    if where.procedure is None or where.step is None:
        return None
    for clock in clocks_on(context.shop, context.state, mark):
        if seconds_left(context, clock) is None and holds(
            context.shop, clock, mark, where.procedure, where.step
        ):
            return clock
    return None


@act("an adult")
def look_at_clock(context: Context, marks: Sequence[str], minutes: float) -> Bodies:
    """The wall clock was changed, so nobody knows how a clock stands: a person looked at the parts.

    ``minutes`` are left of it, 0 to all of it. A wait of which none are left is over; a limit is missed.
    """
    require_parts(context, marks)
    found: Bodies = []
    for mark in marks:
        clock = unknown_clock(context, mark)
        if clock is None:
            raise Refused(f"no clock of {mark} is in doubt", "go on")
        if not 0 <= minutes <= clock.minutes:
            raise Refused(f"{minutes:g} min of {clock.minutes:g} cannot be left", "look at the part again")
        again = set_anew(context, clock, minutes) if minutes else None
        if again is None and clock.kind == "within":
            again = replace(set_anew(context, clock, 0), set_s=context.monotonic_s - 1.0)
        found.append(
            e.ClockAnswered(
                mark=mark,
                procedure=clock.procedure,
                step=clock.step,
                did=f"The clock was changed. Looked at: {minutes:g} min left",
                what=clock.what,
                until=clock.until,
                asked=clock,
                again=again,
            )
        )
    return found


@act("an adult")
def mark_clock(context: Context, *, right: bool, shown: ClockReading | None = None) -> Bodies:
    """A person looked at the wall clock and says whether it is right. ``shown`` are the clocks as the person
    saw them: what is said of one time is never said of another that the clock was set to meanwhile."""
    if right and context.doubt is None:
        return []
    now = ClockReading(context.boot, context.now, context.monotonic_s)
    if shown is not None and (shown.boot != now.boot or jumped(shown, now)):
        raise Refused("the clock was set to another time meanwhile", "look at it again")
    if right and context.now < EARLIEST:
        shows = context.now.astimezone().strftime("%d %b %Y")
        raise Refused(f"a clock that shows {shows} is not right", "set the machine's clock")
    day = context.now.astimezone().date().isoformat()
    return [e.ClockMarked(boot=context.boot, right=right, day=day)]
