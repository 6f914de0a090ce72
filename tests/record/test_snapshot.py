"""The snapshot is a convenience: it never fails a tap, never stops a start, is never just believed."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from kiosk.bench import Bench, new_tap
from kiosk.record import journal, snapshot
from kiosk.record.apply import fold
from kiosk.record.events import Event
from kiosk.record.journal import Record
from kiosk.record.snapshot import packed
from kiosk.record.state import State
from tests.conftest import SteadyClocks


def damage(path: Path, *statements: str) -> None:
    connection = sqlite3.connect(path, isolation_level=None)
    for statement in statements:
        connection.execute(statement)
    connection.close()


def test_a_full_disk_at_the_snapshot_fails_no_tap_and_the_retry_doubles_nothing(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Flutes went 5, 6, 7 over three refused Enters that were all recorded."""

    def full(_: State) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(bench.record.journal, "write_snapshot", full)
    for number in range(journal.SNAPSHOT_EVERY + journal.SNAPSHOT_AGAIN):
        bench.note(f"note {number}")  # raises nothing
    assert "disk is full" in bench.record.snapshot_trouble
    before, tap = bench.state.seq, new_tap()
    for _ in range(3):
        bench.raise_snag("FB-NR", "chipped", tap)
    assert bench.state.seq == before + 1
    monkeypatch.undo()
    for number in range(journal.SNAPSHOT_AGAIN):
        bench.note(f"note {number}")
    assert not bench.record.snapshot_trouble
    assert bench.record.journal.read_snapshot() is not None


def test_a_fault_of_the_snapshots_own_fails_no_tap_and_no_closing(
    new_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench = Bench(new_shop, SteadyClocks())

    def wrong(*_: object) -> None:
        raise RecursionError("its own fault")

    monkeypatch.setattr(snapshot, "write", wrong)
    monkeypatch.setattr(bench.record, "_snapshot_due", 0)
    bench.note("recorded all the same")
    assert bench.record.snapshot_trouble == "its own fault"
    bench.close()
    again = Record(new_shop / "record.db")
    assert again.state.seq == 3
    again.close()


@pytest.mark.parametrize(
    "statements",
    [
        ("DROP TABLE snapshot",),
        ("DROP TABLE snapshot", "CREATE TABLE snapshot (something TEXT)"),
        ("DELETE FROM snapshot",),
        ("UPDATE snapshot SET body='not a state'",),
        ("UPDATE snapshot SET body=CAST(X'FFFEFD' AS TEXT)",),
        ("UPDATE snapshot SET body=substr(body, 1, length(body) / 2)",),
        ("UPDATE snapshot SET hash='of another record'",),
        ("UPDATE snapshot SET seq=seq-1",),
        ("UPDATE snapshot SET code='of other code'",),
    ],
)
def test_a_snapshot_that_is_lost_or_damaged_never_stops_a_start(
    demo_shop: Path, statements: tuple[str, ...]
) -> None:
    path = demo_shop / "record.db"
    damage(path, *statements)
    record = Record(path)
    assert record.state == fold(record.journal.after(0))
    record.close()
    again = Record(path)
    if "CREATE TABLE snapshot (something TEXT)" not in statements:
        assert again.journal.read_snapshot() == record.state  # and it was made again
    assert again.state == record.state
    again.close()


def test_a_part_cannot_be_made_complete_by_changing_the_snapshot(demo_shop: Path) -> None:
    """One UPDATE made a cracked part complete while the logbook said that nothing was changed."""
    path = demo_shop / "record.db"
    record = Record(path)
    forged = fold([], record.state)
    forged.snags.clear()
    body = packed(forged)
    record.close()
    connection = sqlite3.connect(path, isolation_level=None)
    [text] = connection.execute("SELECT body FROM snapshot").fetchone()
    connection.execute("UPDATE snapshot SET body=?", (text.partition("\n")[0] + "\n" + body,))
    connection.close()
    again = Record(path)
    assert [snag.mark for snag in again.state.open_snags()] == ["NR-06"]
    again.close()


def test_a_start_takes_the_snapshot_and_only_the_events_after_it(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without this the others would pass with no snapshot at all."""
    record = Record(demo_shop / "record.db")
    record.close()
    read: list[int] = []
    original = journal.Journal.stream

    def stream(self: journal.Journal, seq: int = 0) -> Iterator[Event]:
        read.append(seq)
        return original(self, seq)

    monkeypatch.setattr(journal.Journal, "stream", stream)
    again = Record(demo_shop / "record.db")
    assert read == [record.state.seq]
    again.close()
