"""The state as it was at moments in the past, folded again from the journal: what was known then, no more."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from kiosk.record.apply import apply, copied
from kiosk.record.events import Event
from kiosk.record.state import State


def states_at(events: Iterable[Event], moments: Sequence[datetime]) -> list[tuple[datetime, State]]:
    """The state at each of the moments, which are in order; those after the last event are left out."""
    found: list[tuple[datetime, State]] = []
    state = State()
    wanted = list(moments)
    for event in events:
        while wanted and event.at > wanted[0]:
            found.append((wanted.pop(0), copied(state)))
        if not wanted:
            break
        apply(state, event)
    return found
