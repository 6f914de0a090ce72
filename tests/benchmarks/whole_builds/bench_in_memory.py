"""The bench on a record that no disk holds: every rule and every fold as on the wall, and quick."""

import contextlib
from collections.abc import Iterator
from pathlib import Path
from unittest import mock

from kiosk.bench import Bench
from kiosk.record.events import Event
from kiosk.record.head import Head
from kiosk.record.journal import Clocks, Journal, Record
from kiosk.record.snapshot import Found
from kiosk.record.state import State
from kiosk.record.stopped import RecordingStopped


class JournalInMemory(Journal):
    """Takes events and keeps only their ids: the state has all that a simulated build reads."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.reading = False
        self.events = 0
        self._ids: set[str] = set()

    @contextlib.contextmanager
    def writing(self, wait_s: float = 0.0) -> Iterator[None]:
        """Nobody else writes."""
        yield

    def append(self, event: Event) -> Event:
        """Take an event."""
        self.events += 1
        self._ids.add(event.id)
        return event

    def after(self, seq: int) -> list[Event]:
        """No other screen wrote anything."""
        return []

    def stream(self, seq: int) -> Iterator[Event]:
        """Nothing was recorded before the beginning."""
        return iter(())

    def last(self) -> Head:
        """Nothing was recorded before the beginning."""
        return Head()

    def has(self, event_id: str) -> bool:
        """True when an event with this id was taken."""
        return event_id in self._ids

    def data_version(self) -> int:
        """Never changes."""
        return 0

    def read_snapshot(self) -> Found:
        """There is none."""
        return Found()

    def write_snapshot(self, current: State) -> None:
        """Not wanted."""

    @property
    def head_trouble(self) -> str:
        """There is no head to keep."""
        return ""

    def close(self) -> None:
        """Nothing is open."""


class RecordInMemory(Record):
    """The record over a journal in memory."""

    def _opened(self, path: Path) -> Journal:
        return JournalInMemory(path)


def bench_in_memory(folder: Path, clocks: Clocks) -> Bench:
    """A bench on a shop folder that records nothing there."""
    with mock.patch("kiosk.bench.Record", RecordInMemory):
        return Bench(folder, clocks)


def open_as_new_screen(bench: Bench, name: str) -> None:
    """Let the next events come from another run, as when the kiosk is started for a sitting."""
    assert isinstance(bench.record, RecordInMemory)
    if bench.state.sitting is not None:
        raise RecordingStopped("a sitting is open", "close up first")
    bench.record.run = name
