"""What has to be asked of a clock on a part: a limit was missed, or nobody knows how the clock stands."""

from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.record.events import ClockSet
from kiosk.record.rules.clocks import in_time_words, may_be_in_time, missed_limit, unknown_clock


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


def missed_question(context: Context, mark: str) -> ClockQuestion | None:
    """The limit that ran out on a part, with the other parts on which the same one did."""
    clock = missed_limit(context, mark)
    if clock is None:
        return None
    others = (other for other in context.state.parts if other != mark and other in context.shop.parts)
    return _question(context, clock, (mark, *(one for one in others if missed_limit(context, one) == clock)))


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
    )
