"""What is left to do on one part, in a line: time at the bench, and time to wait."""

import math

from kiosk.catalogue import said
from kiosk.plural import so_many
from kiosk.record.context import Context
from kiosk.record.position import steps_left
from kiosk.record.state import Piece
from kiosk.record.waits import seconds_left, wait_minutes
from kiosk.views.clocks import left_words


def left_line(context: Context, mark: str) -> str:
    """How many steps are left, the minutes they take by the estimates, and the waits among them."""
    left = steps_left(context.shop, context.state, mark)
    if not left:
        return ""
    minutes = sum(step.minutes.each for _, step in left)
    line = said(
        "{steps} left, about {minutes} min at the bench",
        steps=so_many(len(left), "step", "steps"),
        minutes=f"{minutes:.0f}",
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


def _running_s(context: Context, mark: str) -> float:
    """Seconds of the longest wait that runs on it already."""
    waits = [clock for clock in context.state.part(mark).clocks if clock.kind == "must_pass"]
    return math.ceil(max((seconds_left(context, clock) or 0.0 for clock in waits), default=0.0))
