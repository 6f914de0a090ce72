"""Whether the wall clock is believed. Decided here alone: whatever rests on the time of day or the date asks.

Small computers start with a wrong clock, and clocks are set while a kiosk runs. A clock that is not believed
dates nothing: ages are those of the last day that is sure, an expiry or a reading is not known, and a wait
runs on the monotonic clock or is asked about (``waits.py``).
"""

from datetime import UTC, datetime, timedelta
from typing import Literal

from kiosk.dataclass import dataclass
from kiosk.record.state import FIRST_DAY, ClockReading, State

JUMP = timedelta(minutes=2)  # more than a time server ever corrects a clock that was right
FAR_AHEAD = timedelta(days=60)  # longer away from the bench than that, and a person is asked
EARLIEST = datetime.fromisoformat(FIRST_DAY).replace(tzinfo=UTC)

Why = Literal[
    "before the kiosk",
    "behind the record",
    "far ahead",
    "changed",  # set while the machine ran
    "said to be wrong",
    "not settled",  # the last boot's was wrong to the end, and nobody has looked since
]


@dataclass(frozen=True)
class Doubt:
    """Why the wall clock is not believed, what it shows, and the last entry under one that was."""

    why: Why
    shows: datetime
    last: datetime | None


def doubt(state: State, now: ClockReading, at_start: ClockReading) -> Doubt | None:
    """Why the wall clock is not believed now; None when it is.

    ``at_start`` are the clocks as this run first read them, for a run that has recorded nothing yet.
    """
    why = _why(state, now, at_start)
    return Doubt(why, now.at, state.believed_at) if why else None


def _why(state: State, now: ClockReading, at_start: ClockReading) -> Why | None:
    known = last_known(state, now.boot)
    if jumped(known or at_start, now):
        return "changed"
    if known is None:
        return _implausible(state, now)
    if known.believed:
        return None
    return _implausible(state, now) or "said to be wrong"


def _implausible(state: State, now: ClockReading) -> Why | None:
    """What speaks against a clock of which nothing was said in this boot of the machine."""
    if now.at < EARLIEST:
        return "before the kiosk"
    last = state.believed_at
    if last is not None and now.at < last - JUMP:
        return "behind the record"
    if last is not None and now.at > last + FAR_AHEAD:
        return "far ahead"
    newest = next(reversed(state.run_clocks.values()), None)
    if newest is not None and newest.boot != now.boot and not newest.believed:
        return "not settled"
    return None


def last_known(state: State, boot: str) -> ClockReading | None:
    """The clocks as the newest run in this boot of the machine said."""
    return next((one for one in reversed(state.run_clocks.values()) if one.boot == boot), None)


def jumped(before: ClockReading, now: ClockReading) -> bool:
    """True when the wall clock was set between two readings of one boot."""
    by_wall = now.at - before.at
    return abs(by_wall - timedelta(seconds=now.monotonic_s - before.monotonic_s)) > JUMP


def surely_past(state: State) -> datetime:
    """A moment that lies in the past whatever the clock says: nobody is younger than they were then."""
    return max(EARLIEST, state.believed_at or EARLIEST)


def age_of(before: ClockReading, now: ClockReading) -> timedelta | None:
    """How long ago a moment was; None where nobody knows. ``now.believed`` says whether the wall clock is."""
    if before.boot and before.boot == now.boot:
        return timedelta(seconds=now.monotonic_s - before.monotonic_s)
    if before.believed and now.believed and now.at >= before.at - JUMP:
        return now.at - before.at
    return None
