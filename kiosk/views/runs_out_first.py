"""What runs out on parts before their step can go on, and what is done with it then: nobody pours a mix that
cannot be sprayed, or waits with it till morning, because no line said so."""

from collections.abc import Sequence

from kiosk.catalogue import said
from kiosk.record.context import Context
from kiosk.record.readiness import Block, begins_by
from kiosk.record.waits import run_out_before
from kiosk.shop.procedure import StepRef
from kiosk.views.clocks import time_or_day


def runs_out_first(
    context: Context, marks: Sequence[str], ref: StepRef, stops: Sequence[Block]
) -> tuple[str, ...]:
    """A line for each limit on the parts that ends before a step can begin, or one that has to follow it, for
    all that ``stops`` it."""
    stopped = StepRef(ref.procedure, stops[0].step or ref.step) if stops else ref
    _, step = context.shop.find_step(stopped.procedure, stopped.step, marks[0])
    until = begins_by(context, step, stops) if step is not None else None
    if until is None:
        return ()
    return tuple(
        said(
            "RUNS OUT FIRST: {what}, {time}. {if_missed}",
            what=clock.what,
            time=time_or_day(ends, context.now),
            if_missed=clock.if_missed,
        )
        for clock, ends in run_out_before(context, marks, stopped, until)
    )
