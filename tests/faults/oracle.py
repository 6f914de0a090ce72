"""What every trial is held to: nothing acknowledged is lost, nothing is doubled, no time runs backwards."""

import math
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from kiosk.bench import RECORD_FILE
from kiosk.errors import KioskError
from kiosk.record.apply import fold
from kiosk.record.events import Event, StepFinished
from kiosk.record.journal import Record
from kiosk.record.state import State
from tests.faults.jumping_clocks import JumpingClocks


@dataclass(frozen=True)
class Read:
    """A record as it opened: its events, and the state that a screen would show."""

    events: tuple[Event, ...]
    state: State


def read(folder: Path) -> Read:
    """Open the record of a shop and read all of it. Raises KioskError when it says that it cannot."""
    record = Record(folder / RECORD_FILE, JumpingClocks())
    try:
        return Read(tuple(record.journal.after(0)), record.state)
    finally:
        record.journal.close()


def read_copy(folder: Path, copy: Path) -> Read:
    """The same of a copy of the whole shop, so that what a kill left stays as it is for the next opening."""
    shutil.rmtree(copy, ignore_errors=True)
    shutil.copytree(folder, copy)
    return read(copy)


def what_is_wrong(found: Read) -> list[str]:
    """What no record may ever be, whatever happened to it: one line for each thing."""
    events, state = found.events, found.state
    wrong: list[str] = []
    if [event.seq for event in events] != list(range(1, len(events) + 1)):
        wrong.append("events are missing in the middle")
    if len({event.id for event in events}) != len(events):
        wrong.append("an event is there twice")
    if fold(events) != state:
        wrong.append("the state is not what the events say")
    return wrong + negative_times(events, state)


def negative_times(events: Sequence[Event], state: State) -> list[str]:
    """Every time that is below nothing, or that no clock can show."""
    wrong: list[str] = []
    for before, event in pairwise(events):
        if (event.at < before.at) != event.clock_ran_back:
            wrong.append(f"event {event.seq}: that the wall clock ran back is not marked as it was")
    durations = {
        f"event {one.seq}": one.body.active_s for one in events if isinstance(one.body, StepFinished)
    }
    durations |= {f"work {work.id}": work.active_s for work in state.works.values()}
    durations |= {f"minutes of {day}": minutes for day, minutes in state.minutes_by_day.items()}
    durations |= {f"planned on {day}": minutes for day, minutes in state.planned_by_day.items()}
    for where, duration in durations.items():
        if not (math.isfinite(duration) and duration >= 0):
            wrong.append(f"{where}: a duration of {duration}")
    return wrong


def in_one_line(error: BaseException) -> bool:
    """True for what a person is told in one line of words, and no fault of the kiosk's own."""
    said = str(error)
    return (
        isinstance(error, KioskError) and bool(said.strip()) and "\n" not in said and "Traceback" not in said
    )
