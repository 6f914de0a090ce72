"""What is left to do on one part, in a line: time at the bench, and time to wait."""

import math
from collections.abc import Sequence
from itertools import groupby

from kiosk.catalogue import said
from kiosk.plural import so_many
from kiosk.record.context import Context
from kiosk.record.position import steps_left
from kiosk.record.state import Piece
from kiosk.record.waits import seconds_left, wait_minutes
from kiosk.shop.procedure import Procedure, Step
from kiosk.views.clocks import left_words


def left_line(context: Context, mark: str) -> str:
    """How many steps are left, the minutes they take by the estimates, and the waits among them.

    Setting up and putting away is told apart, once for steps that follow each other in one family: it is
    shared by whatever goes through the same steps together.
    """
    left = steps_left(context.shop, context.state, mark)
    if not left:
        return ""
    shared = _set_up_and_away_minutes(left)
    minutes = sum(step.minutes.each for _, step in left) + shared
    steps = so_many(len(left), "step", "steps")
    line = said("{steps} left, about {minutes} min at the bench", steps=steps, minutes=f"{minutes:.0f}")
    if round(shared):
        line = said(
            "{steps} left, about {minutes} min at the bench ({shared} to set up and put away)",
            steps=steps,
            minutes=f"{minutes:.0f}",
            shared=f"{shared:.0f}",
        )
    waiting = _running_s(context, mark) + 60 * sum(
        wait_minutes(context.state, procedure.id, step, wait, Piece(mark))
        for procedure, step in left
        for wait in step.waits
        if wait.must_pass
    )
    return (
        said("{line} and {waiting} of waiting", line=line, waiting=left_words(waiting, up=True))
        if waiting > 0
        else said("{line} by the estimates", line=line)
    )


def _set_up_and_away_minutes(left: Sequence[tuple[Procedure, Step]]) -> float:
    """Minutes of setting up and putting away: the most that a step asks of those that stand out together."""
    minutes = 0.0
    for _, together in groupby(left, key=lambda one: one[1].family or one[0].ref(one[1])):
        times = [step.minutes for _, step in together]
        minutes += max(one.set_up for one in times) + max(one.put_away for one in times)
    return minutes


def _running_s(context: Context, mark: str) -> float:
    """Seconds of the longest wait that runs on it already."""
    waits = [clock for clock in context.state.part(mark).clocks if clock.kind == "must_pass"]
    return math.ceil(max((seconds_left(context, clock) or 0.0 for clock in waits), default=0.0))
