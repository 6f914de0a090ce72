"""A record that others hold: told in words within a second, and the same press again is the same tap."""

import fcntl
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

import pytest

from kiosk.bench import Bench, new_tap
from kiosk.record.journal import Record
from kiosk.record.lock import WAIT_S, locked
from kiosk.record.opening import BUSY_S
from kiosk.record.stopped import RecordBusy
from tests.conftest import SteadyClocks


@contextmanager
def lock_file_held(path: Path) -> Iterator[None]:
    """Another program holds the kiosk's lock file."""
    with path.with_name("record.db.lock").open("a") as handle:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield


@contextmanager
def database_held(path: Path) -> Iterator[None]:
    """Another program has a transaction open."""
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    yield
    other.close()


@pytest.mark.parametrize("held", [lock_file_held, database_held])
def test_a_held_record_is_told_and_the_press_again_is_the_same_tap(
    new_shop: Path, clocks: SteadyClocks, held: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    slept: list[float] = []
    ahead = [0.0]
    real = time.monotonic

    def sleep(seconds: float) -> None:
        slept.append(seconds)
        ahead[0] += seconds

    monkeypatch.setattr(time, "sleep", sleep)
    monkeypatch.setattr(time, "monotonic", lambda: real() + ahead[0])
    bench = Bench(new_shop, clocks)
    bench.note("first")
    bench.raise_snag("FB-MR", "the first keeps the words of its procedure")
    before, tap = bench.state.seq, new_tap()
    with held(bench.record.journal.path):  # type: ignore[operator]
        with pytest.raises(RecordBusy, match="another program holds the record; nothing is lost"):
            bench.raise_snag("FB-NR", "chipped", tap)
        assert not bench.refresh()  # the screen goes on looking
    waited_for = BUSY_S if held is database_held else WAIT_S
    assert waited_for > 0.1 and WAIT_S + BUSY_S < 1, "long enough for another's tap, and short for a person"
    assert held is database_held or 0.5 < sum(slept) < 0.75
    assert bench.state.seq == before
    bench.raise_snag("FB-NR", "chipped", tap)
    bench.raise_snag("FB-NR", "chipped", tap)
    assert bench.state.seq == before + 1
    bench.close()


@pytest.mark.parametrize("held", [lock_file_held, database_held])
def test_a_held_record_at_the_start_is_one_line(demo_shop: Path, held: object) -> None:
    record = Record(demo_shop / "record.db")
    record.close()
    with held(demo_shop / "record.db"):  # type: ignore[operator]
        reading = Record(demo_shop / "record.db", reading=True)  # reading needs no lock
        assert reading.state == record.state
        reading.close()
    with lock_file_held(demo_shop / "record.db"), pytest.raises(RecordBusy):
        Record(demo_shop / "record.db")


def test_a_snapshot_waits_for_nobody_and_fails_no_tap(
    new_shop: Path, clocks: SteadyClocks, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench = Bench(new_shop, clocks)
    bench.note("first")
    waits: list[float] = []
    real = bench.record.journal.writing

    def writing(wait_s: float = 1.0) -> object:
        waits.append(wait_s)
        return real(wait_s)

    monkeypatch.setattr(bench.record.journal, "writing", writing)
    monkeypatch.setattr(bench.record, "_snapshot_due", 0)
    bench.note("second")
    assert waits[-1] == 0.0
    bench.close()


def test_a_lock_held_while_closing_loses_nothing(new_shop: Path, clocks: SteadyClocks) -> None:
    bench = Bench(new_shop, clocks)
    bench.note("first")
    with lock_file_held(new_shop / "record.db"):
        bench.close()
    again = Record(new_shop / "record.db")
    assert again.state.seq == bench.state.seq
    again.close()


def test_between_two_tries_a_screen_waits_some_milliseconds_and_never_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tries, slept, let_go = list[int](), list[float](), fcntl.flock

    def held(handle: IO[str], how: int) -> None:
        tries.append(how)
        if len(tries) < 50:
            raise BlockingIOError
        let_go(handle, how)

    monkeypatch.setattr(fcntl, "flock", held)
    monkeypatch.setattr(time, "sleep", slept.append)
    with locked(tmp_path / "lock", 60):
        assert len(slept) == 49 == len({*slept}) and all(0.001 <= one <= 0.01 for one in slept)
