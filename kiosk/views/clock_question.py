"""What has to be asked of a clock on a part: a limit was missed, or nobody knows how the clock stands."""

from collections.abc import Iterator

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.record.batch import members
from kiosk.record.context import Context
from kiosk.record.events import ClockSet
from kiosk.record.rules.clocks import in_time_words, may_be_in_time, missed_limit, unknown_clock
from kiosk.record.waits import clocks_on, ends_at, is_late, is_same_limit
from kiosk.views.clocks import time_or_day


@dataclass(frozen=True)
class ClockQuestion:
    """A clock with all parts that it is asked for at once."""

    marks: tuple[str, ...]
    clock: ClockSet  # as it stands on the part that it was asked of
    what: str
    is_limit: bool
    minutes: float
    if_missed: str
    back_to: str  # the step that a missed limit sends back to, in its words; empty where none is named
    may_be_in_time: bool  # the step was in hand: it may have been finished, or begun, before the limit
    in_time: str  # that it was, in words
    stands_too: tuple[str, ...] = ()  # what was mixed since, and is on no clock once the part has gone back


def missed_question(context: Context, mark: str) -> ClockQuestion | None:
    """The limit that ran out on a part, with the other parts on which the same one did, and those of its
    batch on which it did at a moment of their own."""
    clock = missed_limit(context, mark)
    if clock is None:
        return None
    batch = members(context.shop, context.state, mark)
    others = (other for other in context.state.parts if other != mark and other in context.shop.parts)
    missed = ((other, missed_limit(context, other)) for other in others)
    with_it = (
        other
        for other, limit in missed
        if limit == clock or (other in batch and limit is not None and is_same_limit(clock, limit))
    )
    return _question(context, clock, (mark, *with_it))


def unknown_question(context: Context, mark: str) -> ClockQuestion | None:
    """The clock on a part that nobody knows the stand of, with the other parts on which the same one runs."""
    clock = unknown_clock(context, mark)
    if clock is None:
        return None
    others = (other for other in context.state.parts if other != mark and other in context.shop.parts)
    return _question(context, clock, (mark, *(one for one in others if unknown_clock(context, one) == clock)))


def _question(context: Context, clock: ClockSet, marks: tuple[str, ...]) -> ClockQuestion:
    _, back = context.shop.find_step(clock.procedure, clock.back_to)
    return ClockQuestion(
        marks=marks,
        clock=clock,
        what=clock.what,
        is_limit=clock.kind == "within",
        minutes=clock.minutes,
        if_missed=clock.if_missed,
        back_to=back.do if back is not None else "",
        may_be_in_time=all(may_be_in_time(context, mark, clock) for mark in marks),
        in_time=in_time_words(clock),
        stands_too=tuple(_stands_too(context, clock, marks)),
    )


def _stands_too(context: Context, missed: ClockSet, marks: tuple[str, ...]) -> Iterator[str]:
    """The limits that run on the parts by steps after the one that they go back to, each once, with what is
    done with what stands: a mix in the gun is still there when the metal is washed again."""
    procedure = context.shop.procedures.get(missed.procedure)
    back = procedure.index(missed.back_to) if procedure is not None and missed.back_to else None
    if procedure is None or back is None:
        return
    since = {step.id for step in procedure.steps[back:]}
    told: set[str] = set()
    for mark in marks:
        for clock in clocks_on(context.shop, context.state, mark):
            ends = ends_at(context, clock)
            runs = clock.kind == "within" and clock != missed and not is_late(context, clock)
            if not runs or ends is None or clock.what in told or clock.set_by not in since:
                continue
            told.add(clock.what)
            yield said(
                "STANDS TOO, until {time}: {what}. {if_missed}",
                time=time_or_day(ends, context.now),
                what=clock.what,
                if_missed=clock.if_missed,
            )
