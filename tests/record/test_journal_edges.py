"""The journal and its rows at their edges: what is read, what an event is given, when a snapshot is kept."""

import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record import journal
from kiosk.record.events import NoteWritten
from kiosk.record.journal import Journal, Record, SystemClocks
from kiosk.record.rows import row_of
from kiosk.record.stopped import DamagedRecord, NewerRecord, RecordingStopped
from tests.conftest import SteadyClocks
from tests.record.by_hand import append_by_hand


def test_the_events_are_read_from_the_first_or_after_a_number(demo_shop: Path) -> None:
    opened = Journal(demo_shop / "record.db")
    numbers = [event.seq for event in opened.read_on()]
    assert numbers == list(range(1, len(numbers) + 1))
    assert [event.seq for event in opened.stream(40)] == numbers[40:]
    assert [event.seq for event in opened.after(len(numbers) - 1)] == numbers[-1:]
    assert opened.after(len(numbers)) == []
    every = opened.after(0)
    for kind in ("step_finished", "note_written", "no_such"):
        assert list(opened.of_kind(kind)) == [event for event in every if event.body.kind == kind]
    assert opened.newest(("step_finished",), 30) == [
        event for event in every[:-31:-1] if event.body.kind == "step_finished"
    ]
    assert opened.between(30, 60, "NR-01") == [
        event for event in every[29:60] if "NR-01" in row_of(event)[-1]
    ]
    opened.close()


class Gone:
    """A connection to a file that the disk gives no more."""

    def execute(self, *_: object) -> sqlite3.Cursor:
        raise sqlite3.DatabaseError("database disk image is malformed")


@pytest.mark.parametrize(
    "read",
    [
        lambda journal: list(journal.read_on()),
        lambda journal: journal.after(0),
        lambda journal: list(journal.of_kind("note_written")),
        lambda journal: journal.newest(("note_written",), 5),
        lambda journal: journal.about("NR-01", ("note_written",)),
        lambda journal: journal.between(1, 5, "NR-01"),
        lambda journal: journal.kept_words(("0123",)),
        lambda journal: journal.last(),
        lambda journal: journal.data_version(),
    ],
)
def test_whatever_is_read_of_a_record_that_went_bad_is_refused_in_words(
    demo_shop: Path, read: Callable[[Journal], object], monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = Journal(demo_shop / "record.db")
    with monkeypatch.context() as bad:
        bad.setattr(opened, "_connection", Gone())
        with pytest.raises(RecordingStopped, match="cannot be read"):
            read(opened)
    opened.close()


@pytest.mark.parametrize("rows", [1, 2, 3, 7])
def test_events_are_read_a_few_at_a_time_and_none_twice(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch, rows: int
) -> None:
    opened = Journal(demo_shop / "record.db")
    whole = opened.after(0)
    monkeypatch.setattr(journal, "AT_ONCE", rows)
    assert opened.after(0) == whole
    assert opened.first_bad_event() is None
    opened.close()


def test_a_newer_looking_event_whose_hash_does_not_fit_is_named_with_its_kind(demo_shop: Path) -> None:
    body = {"version": 1, "kind": "note_written", "text": "dry", "mark": "", "colour": "red"}
    seq = append_by_hand(demo_shop / "record.db", body, own_hash="0" * 64)
    with pytest.raises(DamagedRecord) as caught:
        Record(demo_shop / "record.db")
    said = f"event {seq} of the record, note_written, is damaged: its hash does not fit; use kiosk restore"
    assert str(caught.value).startswith(said)


def test_a_sound_body_of_another_kind_than_its_row_says_is_damage(demo_shop: Path) -> None:
    seq = append_by_hand(
        demo_shop / "record.db", {"version": 1, "kind": "work_paused", "work": "w"}, kind="work_resumed"
    )
    with pytest.raises(
        DamagedRecord, match=f"event {seq} .*work_resumed.* its body is of kind 'work_paused'"
    ):
        Record(demo_shop / "record.db")


def test_of_several_unknown_fields_the_first_is_named(demo_shop: Path) -> None:
    body = {"version": 1, "kind": "note_written", "text": "dry", "mark": "", "colour": "red", "weight": 1}
    append_by_hand(demo_shop / "record.db", body)
    with pytest.raises(NewerRecord, match="has a field 'colour' this kiosk does not know"):
        Record(demo_shop / "record.db")


def test_a_record_whose_folder_has_gone_is_let_go_of_without_a_fault(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    opened = Journal(folder / "record.db")
    shutil.rmtree(folder)  # the card was pulled out
    opened.close()
    with pytest.raises(sqlite3.ProgrammingError):
        opened.has("anything")  # closed all the same


def test_each_event_has_its_number_run_and_hand_and_the_first_the_id_of_the_tap(bench: Bench) -> None:
    bench.hand_over("odile")
    bench.note("dry", tap="the tap")
    found = bench.record.journal.after(0)
    told, opened, *_, note = found
    assert [event.seq for event in found] == list(range(1, len(found) + 1))
    assert told.body.kind == "run_started" and told.id not in ("", "the tap")
    assert opened.id == "the tap" and note.id not in ("", "the tap")  # the first of what the tap recorded
    assert {event.by for event in found} == {"odile"}
    assert {event.run for event in found} == {bench.record.run}
    assert not any(event.clock_ran_back for event in found)  # in one moment no clock ran back
    assert {event.monotonic_s for event in found} == {1000.0}


def test_a_screen_that_sees_nothing_new_says_so(new_shop: Path, clocks: SteadyClocks) -> None:
    wall, tablet = Record(new_shop / "record.db", clocks), Bench(new_shop, clocks)
    assert not wall.refresh()
    tablet.note("dry")
    assert wall.refresh() and wall.state == tablet.state
    assert not wall.refresh()
    wall.journal.write_snapshot(wall.state)
    assert not tablet.refresh()  # a snapshot is no event
    tablet.close()
    wall.close()


def test_a_snapshot_is_kept_every_two_hundred_events_and_at_the_end(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    bench = Bench(new_shop, clocks)
    kept: list[int] = []
    for number in range(401):
        bench.note(f"note {number}")
        found = bench.record.journal.read_snapshot().state
        if found is not None and found.seq not in kept:
            kept.append(found.seq)
    assert kept == [200, 400]
    bench.close()
    again = Journal(new_shop / "record.db")
    last = again.read_snapshot().state
    assert last is not None and last.seq == 403  # the run began and the sitting was opened too
    before = again.data_version()
    Record(new_shop / "record.db", clocks).close()  # nothing new: nothing to write
    assert again.data_version() == before
    again.close()


def test_a_record_of_one_event_keeps_its_snapshot_and_one_of_none_has_none(tmp_path: Path) -> None:
    record = Record(tmp_path / "record.db", SteadyClocks())
    record.close()
    record = Record(tmp_path / "record.db", SteadyClocks())
    assert record.journal.read_snapshot().state is None
    record.transact(lambda _: [NoteWritten(text="dry")], by="wren", tap=None)
    record.close()
    again = Journal(tmp_path / "record.db")
    found = again.read_snapshot().state
    assert found is not None and found.seq == 2  # the run began too
    again.close()


_MACOS = "{ sec = 1700000000, usec = 123456 } Tue Nov 14 22:13:20 2023"


@pytest.mark.parametrize(
    ("kernel", "sysctl", "boot"),
    [
        (b"9ec1\n", None, "9ec1"),  # Linux
        (None, f"echo '{_MACOS}'", "1700000000"),  # macOS, BSD
        (None, "echo 'sec = 1700000001, and in other words'", "1700000001"),
        (None, f"echo '{_MACOS}'; exit 1", ""),
        (None, "echo 'nothing of the kind'", ""),
        (None, None, ""),
        (b"\xff", None, ""),
    ],
)
def test_a_boot_is_named_by_the_kernel_or_by_when_it_was_and_else_not_at_all(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
    kernel: bytes | None,
    sysctl: str | None,
    boot: str,
) -> None:
    """The words of sysctl: its manual page of macOS and FreeBSD, kern.boottime, a struct timeval."""
    if kernel is not None:
        (tmp_path / "boot_id").write_bytes(kernel)
    if sysctl is not None:
        (tmp_path / "sysctl").write_text(f'#!/bin/sh\n[ "$*" = "-n kern.boottime" ] && {sysctl}\n')
        (tmp_path / "sysctl").chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(journal, "_BOOT_ID", tmp_path / "boot_id")
    clocks = SystemClocks()
    assert clocks.boot() == clocks.boot() == boot
    assert capfd.readouterr() == ("", "")
