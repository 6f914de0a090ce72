"""The snapshot is a convenience: it never fails a tap, never stops a start, is never just believed."""

import json
import sqlite3
from base64 import b64encode
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from kiosk.bench import Bench, new_tap
from kiosk.packed import pack, unpack
from kiosk.record import journal, snapshot
from kiosk.record.apply import copied, fold
from kiosk.record.checking import CheckedSnapshot, check_snapshot
from kiosk.record.events import ClockAnswered, Event
from kiosk.record.journal import Journal, Record
from kiosk.record.rows import read_body
from kiosk.record.snapshot import Found, differences, packed
from kiosk.record.state import PartState, State, Times
from kiosk.record.stopped import RecordBusy
from tests.conftest import SteadyClocks, in_zone, other_code


def damage(path: Path, *statements: str) -> None:
    connection = sqlite3.connect(path, isolation_level=None)
    for statement in statements:
        connection.execute(statement)
    connection.close()


def test_a_full_disk_at_the_snapshot_fails_no_tap_and_the_retry_doubles_nothing(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Flutes went 5, 6, 7 over three refused Enters that were all recorded."""

    tried: list[int] = []

    def full(current: State) -> None:
        tried.append(current.seq)
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(bench.record.journal, "write_snapshot", full)
    for number in range(journal.SNAPSHOT_EVERY + journal.SNAPSHOT_AGAIN):
        bench.note(f"note {number}")  # raises nothing
    assert "disk is full" in bench.record.snapshot_trouble
    assert tried == [200, 220], "not at each tap"
    bench.raise_snag("FB-MR", "the first keeps the words of its procedure")
    before, tap = bench.state.seq, new_tap()
    for _ in range(3):
        bench.raise_snag("FB-NR", "chipped", tap)
    assert bench.state.seq == before + 1
    monkeypatch.undo()
    for number in range(journal.SNAPSHOT_AGAIN):
        bench.note(f"note {number}")
    assert not bench.record.snapshot_trouble
    assert bench.record.journal.read_snapshot().state is not None


@pytest.mark.parametrize("until", ["2027-06-01T12:30:00Z", "2027-06-01T18:00:00+05:30"])
def test_what_was_read_of_the_record_is_kept_without_pydantics_own(until: str) -> None:
    """A moment in a zone of pydantic's: the next start would import it to read the snapshot."""
    clock = {"what": "glue", "kind": "must_pass", "minutes": 5, "until": until, "procedure": "p", "step": "s"}
    fields = {"mark": "NR-01", "procedure": "p", "step": "s", "did": "scraped", "until": until}
    text = json.dumps({"version": 1, "kind": "clock_answered", **fields, "again": clock})
    read = read_body(1, "clock_answered", text)
    assert isinstance(read, ClockAnswered) and read.until is not None and read.again is not None
    assert read.until == read.again.until == datetime(2027, 6, 1, 12, 30, tzinfo=UTC)
    _, _, pickled = pack(read).partition(b"\n")
    assert b"kiosk.record.events" in pickled and b"pydantic" not in pickled
    assert unpack(pack(read), ClockAnswered) == read


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
        assert again.journal.read_snapshot().state == record.state  # and it was made again
    assert again.state == record.state
    again.close()


def sealed(path: Path, change: Callable[[Any], object]) -> None:
    """A snapshot with a right seal whose state was changed by hand."""
    found = Journal(path)
    state = fold(found.after(0))
    change(state)
    found.write_snapshot(state)
    found.close()


def put(name: str, value: object) -> Callable[[Any], object]:
    return lambda state: setattr(state, name, value)


def part_with(**fields: Any) -> Callable[[Any], object]:
    return lambda state: state.parts.update({"NR-01": replace(state.part("NR-01"), **fields)})


WRONG: dict[str, tuple[Callable[[Any], object], str]] = {
    "a text for a table": (put("parts", "NR-01"), "State.parts is str"),
    "a text for a part": (lambda state: state.parts.update({"NR-01": "done"}), "State.parts is str"),
    "a text for a moment": (put("last_at", "yesterday"), "State.last_at is str"),
    "nothing for a name": (part_with(batch=None), "PartState.batch is NoneType"),
    "half a time": (part_with(remade=1.5), "PartState.remade is float"),
    "a field less": (lambda state: vars(state).pop("wishes"), "State.wishes is missing"),
    "a field more": (put("weight_lb", 600), "State has no field weight_lb"),
}


@pytest.mark.parametrize(("change", "said"), WRONG.values(), ids=WRONG)
def test_a_sealed_snapshot_of_wrong_types_is_thrown_away_and_said_and_stops_no_start(
    demo_shop: Path, change: Callable[[Any], object], said: str
) -> None:
    sealed(demo_shop / "record.db", change)
    bench = Bench(demo_shop, SteadyClocks())
    assert bench.state == fold(bench.record.journal.after(0))
    assert bench.kept_wrong == f"the record's snapshot was wrong ({said}): its entries were read anew"
    assert bench.record_trouble() == ""
    assert bench.record.journal.read_snapshot().state == bench.state  # kept anew at once
    bench.close()
    again = Bench(demo_shop, SteadyClocks())
    assert again.kept_wrong == ""
    again.close()


def test_a_sealed_snapshot_of_another_event_or_of_no_state_is_told(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = Journal(demo_shop / "record.db")
    state = fold(found.after(0))
    for what, said in ((Times(), "what was kept is Times"), (replace(state, seq=5), "it is of event 5, not")):
        monkeypatch.setattr(snapshot, "packed", lambda _, what=what: b64encode(pack(what)).decode())
        found.write_snapshot(state)
        assert said in found.read_snapshot().wrong
    found.close()


def test_a_snapshot_from_which_no_entry_goes_on_is_thrown_away(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = Record(demo_shop / "record.db")
    record.journal.write_snapshot(record.state)
    record.close()

    def fails_on(events: Iterator[Event], start: State | None = None) -> State:
        if start is not None:
            raise KeyError("NR-01")
        return fold(events)

    monkeypatch.setattr("kiosk.record.apply.fold", fails_on)
    again = Record(demo_shop / "record.db")
    assert again.state == record.state and "KeyError('NR-01')" in again.snapshot_wrong
    again.close()


@pytest.mark.parametrize(
    ("before", "after", "used"),
    [
        ("UTC", "UTC", True),
        ("Europe/Berlin", "Europe/Paris", True),  # by another name the same days
        ("UTC", "Asia/Tokyo", False),
        ("America/New_York", "America/Havana", False),  # on the same days, two hours apart
        ("Pacific/Auckland", "Pacific/Chatham", False),
    ],
)
def test_a_snapshot_counts_in_the_zone_in_which_it_was_folded(
    demo_shop: Path, before: str, after: str, used: bool
) -> None:
    """The days to which minutes count are the house's."""
    path = demo_shop / "record.db"
    with in_zone(before):
        record = Record(path)
        record.journal.write_snapshot(record.state)
        record.close()
    with in_zone(after):
        read = Journal(path, reading=True)
        found = read.read_snapshot()
        assert (found.state is not None) is used and found.wrong == ""
        read.close()
        again = Record(path)
        assert again.state == fold(again.journal.after(0)) and again.snapshot_wrong == ""
        again.close()


@pytest.mark.parametrize("file", ["plural.py", "record/belief.py", "record/rules/door.py", "shop/fields.py"])
def test_a_snapshot_of_other_code_is_neither_used_nor_called_wrong(
    bench: Bench, tmp_path: Path, file: str
) -> None:
    bench.note("dry")
    bench.record.journal.write_snapshot(bench.state)
    assert bench.record.journal.read_snapshot() == Found(bench.state)
    with other_code(tmp_path, file):
        assert bench.record.journal.read_snapshot() == Found()
    assert bench.record.journal.read_snapshot() == Found(bench.state)


def test_where_a_snapshot_differs_is_said_by_names_and_by_number(demo_shop: Path) -> None:
    record = Record(demo_shop / "record.db")
    state, other = record.state, copied(record.state)
    assert differences(state, other) == ""
    other.sittings += 1
    other.stock["glue"] = 0.5
    for mark in ("A-1", "A-2", "A-3", "A-4", "A-5"):
        other.parts[mark] = PartState(mark)
    assert differences(state, other) == "parts (A-1, A-2, A-3 and 2 more), stock (glue), sittings"
    assert differences(other, state) == differences(state, other)
    record.close()


def test_names_that_could_not_be_recorded_are_in_no_snapshot(
    new_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The next start would find nothing left to rename, and the entries would say otherwise for ever."""
    bench = Bench(new_shop, SteadyClocks())
    bench.raise_snag("FB-NR", "chipped")
    monkeypatch.setattr(bench.record, "_keep_snapshot", lambda: None)
    bench.close()
    path = new_shop / "shop.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("{first: FB-NR}", "{first: BL-1, renamed_from: FB-NR}"), encoding="utf-8")

    def busy(*_: object, **__: object) -> None:
        raise RecordBusy("another program holds the record")

    with monkeypatch.context() as patch:
        patch.setattr(Record, "transact", busy)
        renamed = Bench(new_shop, SteadyClocks())
        assert renamed.state.open_snags("BL-1")
        renamed.close()
    assert check_snapshot(new_shop / "record.db") == CheckedSnapshot()
    again = Bench(new_shop, SteadyClocks())
    assert again.state.renames == 1 and again.state.open_snags("BL-1")
    again.note("written")
    again.close()
    found = check_snapshot(new_shop / "record.db")
    assert found.seq == again.state.seq and not found.wrong


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
