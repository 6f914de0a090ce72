"""Until when a step can be begun so that what has to follow it at once is done before quiet hours.

A limit that runs for hours is no help to who sprays: the house goes to sleep before. What stops it is asked
of each minute until then; it is told while something can still be done about it.
"""

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from kiosk.record.context import Context
from kiosk.record.quiet_hours import minutes_until_quiet
from kiosk.record.readiness import Block

LOOKED_AHEAD_MINUTES = 180


def begin_by(context: Context, ahead: Callable[[Context], Sequence[Block]]) -> datetime | None:
    """The last whole minute at which ``ahead`` finds nothing that could not follow.

    None where that is now no longer, where it never comes before quiet hours, and where these are far.
    """
    until_quiet = minutes_until_quiet(context.shop, context.now)
    if not until_quiet or until_quiet > LOOKED_AHEAD_MINUTES:
        return None
    minutes = range(int(until_quiet) + 1)
    lost = bisect_left(minutes, True, key=lambda after: bool(ahead(_later(context, after))))
    return context.now + timedelta(minutes=lost - 1) if 0 < lost < len(minutes) else None


def _later(context: Context, minutes: int) -> Context:
    later = context.now + timedelta(minutes=minutes)
    return replace(context, now=later, monotonic_s=context.monotonic_s + minutes * 60)
