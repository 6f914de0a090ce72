"""The room's air as it was last read, and how long a reading holds."""

from datetime import timedelta

from kiosk.record.context import Context
from kiosk.record.state import ClockReading

READING_GOOD_FOR = timedelta(hours=4)  # a thermometer reading older than this is asked for again


def is_fresh(context: Context) -> bool:
    """True while the room's reading holds. One whose age nobody knows does not."""
    state = context.state
    read = state.conditions_by
    if read is None and state.conditions_at is not None:
        read = ClockReading("", state.conditions_at, 0.0)
    age = context.since(read) if read is not None else None
    return age is not None and age <= READING_GOOD_FOR
