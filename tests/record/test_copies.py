"""Copies: whole, checked, named by when and how far, kept in a ring; and what stops one is said."""

import errno
import json
import os
import shutil
import sqlite3
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.errors import KioskError
from kiosk.record import copies
from kiosk.record.copies import (
    Copy,
    check_copy,
    copies_in,
    copy_name,
    keep_copy,
    made_elsewhere,
    make_copy,
    not_kept,
)
from kiosk.record.head import Head
from kiosk.record.journal import Record
from kiosk.record.stopped import CannotWrite, RecordingStopped
from kiosk.record.troubles import ROOM_BYTES
from tests.conftest import SteadyClocks, local_time, room_for
from tests.record.by_hand import change_by_hand

AT = local_time(2027, 5, 8, 12, 3)


def test_a_copy_is_one_whole_file_named_by_the_wall_and_the_head(demo_shop: Path, tmp_path: Path) -> None:
    record = Record(demo_shop / "record.db")
    copy = make_copy(demo_shop / "record.db", tmp_path, AT)
    head = record.journal.last()
    assert copy.path.name == f"2027-05-08-1203-event-{head.seq}-{head.hash[:12]}.db"
    assert sorted(path.name for path in tmp_path.iterdir() if path.is_file()) == [copy.path.name]
    assert check_copy(copy.path) == head
    assert copies_in(tmp_path) == [copy]
    again = Record(copy.path)
    assert again.state == record.state
    again.close()
    record.close()


def test_a_copy_has_what_is_only_in_the_wal_and_stops_no_writer(bench: Bench, tmp_path: Path) -> None:
    bench.note("only in the WAL")
    copy = make_copy(bench.record.journal.path, tmp_path, AT)
    assert copy.seq == bench.state.seq
    bench.note("after it")
    assert make_copy(bench.record.journal.path, tmp_path, AT).seq == copy.seq + 1


def test_two_copies_of_one_minute_have_two_names_and_nothing_is_overwritten(
    demo_shop: Path, tmp_path: Path
) -> None:
    first = make_copy(demo_shop / "record.db", tmp_path, AT)
    second = make_copy(demo_shop / "record.db", tmp_path, AT)
    third = make_copy(demo_shop / "record.db", tmp_path, AT)
    stem = first.path.stem
    assert [one.path.name for one in (second, third)] == [f"{stem}-2.db", f"{stem}-3.db"]
    assert len(copies_in(tmp_path)) == 3
    taken = tmp_path / "taken.db"
    taken.write_text("a letter")
    with pytest.raises(KioskError, match="is there already"):
        make_copy(demo_shop / "record.db", taken, AT)
    assert taken.read_text() == "a letter" and not list(tmp_path.glob(".*"))


def test_a_damaged_record_makes_no_copy_and_lets_go_of_none(demo_shop: Path) -> None:
    path = demo_shop / "record.db"
    good = keep_copy(path, AT)
    change_by_hand(path, "by", "somebody", 40)
    with pytest.raises(RecordingStopped, match="is not whole: event 40 is not what was recorded"):
        keep_copy(path, AT)
    assert [copy.path for copy in copies_in(demo_shop / "copies")] == [good.path]
    assert len(list((demo_shop / "copies").iterdir())) == 1


def test_a_copy_that_was_cut_short_says_where(demo_shop: Path, tmp_path: Path) -> None:
    copy = make_copy(demo_shop / "record.db", tmp_path, AT)
    connection = sqlite3.connect(copy.path, isolation_level=None)
    connection.execute("DROP TRIGGER event_is_never_deleted")
    connection.execute("DELETE FROM event WHERE seq>400")
    connection.close()
    with pytest.raises(RecordingStopped, match=f"was cut short: it ends at event 400 of {copy.seq}"):
        check_copy(copy.path)


@pytest.mark.parametrize("text", [b"", b"a letter" * 1000])
def test_what_is_no_copy_is_said_in_one_line(tmp_path: Path, text: bytes) -> None:
    (tmp_path / "x.db").write_bytes(text)
    with pytest.raises(RecordingStopped) as caught:
        head = check_copy(tmp_path / "x.db")
        raise RecordingStopped(f"{head.seq} events", "")  # an empty file is a record of none
    assert "\n" not in str(caught.value)
    with pytest.raises(RecordingStopped, match="is no copy of a record"):
        check_copy(tmp_path / "not-there.db")


def _named(at: datetime, seq: int) -> Copy:
    return Copy(Path(copy_name(Head(seq, f"{seq:064x}"), at)), f"{at.astimezone():%Y-%m-%d-%H%M}", seq, "0")


def test_the_ring_keeps_the_last_few_and_the_last_of_each_month_for_two_years() -> None:
    begun = datetime(2024, 1, 3, 20, tzinfo=UTC)
    made = [_named(begun + timedelta(days=3 * number), number) for number in range(400)]  # three years
    gone = set(not_kept(made))
    kept = [copy for copy in made if copy not in gone]
    assert kept[-8:] == made[-8:]
    months = sorted({copy.month for copy in made})
    assert {copy.month for copy in kept} == set(months[-24:])
    for month in months[-24:-1]:
        assert max(copy.seq for copy in made if copy.month == month) in [copy.seq for copy in kept]
    assert len(kept) <= 8 + 24


def test_a_clock_that_booted_in_1970_does_not_let_go_of_the_newest(demo_shop: Path) -> None:
    folder = demo_shop / "copies"
    folder.mkdir()
    for number in range(40):
        (folder / copy_name(Head(number, "0" * 64), AT + timedelta(days=number))).write_text("older")
    made = keep_copy(demo_shop / "record.db", datetime(1970, 1, 1, 0, 2, tzinfo=UTC))
    assert made.path.exists() and copies_in(folder)[-1].path == made.path
    assert len(copies_in(folder)) == 8 + 1  # the last of May and the first days of June hold the rest


def test_other_files_in_the_folder_are_left_alone(demo_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (demo_shop / "copies").mkdir()
    (demo_shop / "copies" / "by-hand.db").write_text("mine")
    halves = {name: demo_shop / "copies" / f".{name}.part" for name in ("999999999", "9" * 30, "1", "mine")}
    for half in halves.values():
        half.write_text("half a copy")
    kill = os.kill

    def kill_of_somebody_else(process: int, signal: int) -> None:
        if process == 1:
            raise PermissionError(errno.EPERM, "not yours")
        kill(process, signal)

    monkeypatch.setattr(os, "kill", kill_of_somebody_else)
    for _ in range(3):  # nothing happened meanwhile: one copy of it is enough
        keep_copy(demo_shop / "record.db", AT)
    assert (demo_shop / "copies" / "by-hand.db").read_text() == "mine"
    left = {name for name, half in halves.items() if half.exists()}
    assert left == {"1", "mine"}, "only those of kiosks that run no more are swept away"
    assert len(copies_in(demo_shop / "copies")) == 1


def test_a_half_copy_of_a_kiosk_that_runs_is_left_where_there_is_no_proc(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on macOS: what another kiosk was just copying was taken away under it."""
    (demo_shop / "copies").mkdir()
    exists = Path.exists
    monkeypatch.setattr(Path, "exists", lambda path: "/proc" not in str(path) and exists(path))
    half = demo_shop / "copies" / f".{os.getppid()}.part"
    half.write_text("half a copy")
    keep_copy(demo_shop / "record.db", AT)
    assert half.exists()


NOTED = {"path": "/stick/copy.db", "at": "2027-05-08-1203", "seq": 7, "hash": "0123456789ab"}


@pytest.mark.parametrize(
    ("change", "is_one"),
    [
        ({}, True),
        ({"seq": 0}, True),
        ({"seq": -1}, False),
        ({"seq": 10**18 - 1}, True),  # the most that a copy's name has
        ({"seq": 10**18}, False),
        ({"seq": True}, False),
        ({"seq": 7.0}, False),
        ({"path": "stick/copy.db"}, False),
        ({"path": "/stick/co\x1bpy.db"}, False),
        *(({name: given}, False) for name in ("path", "at", "hash") for given in (7, None)),
    ],
)
def test_what_nobody_notes_so_of_a_copy_elsewhere_is_none(
    tmp_path: Path, change: dict[str, object], is_one: bool
) -> None:
    (tmp_path / "copies").mkdir()
    (tmp_path / "copies" / "elsewhere.json").write_text(json.dumps([NOTED | change, NOTED]))
    assert len(made_elsewhere(tmp_path / "record.db")) == 1 + is_one


def test_closing_up_on_a_screen_makes_a_copy(new_shop: Path, clocks: SteadyClocks) -> None:
    wall = Bench(new_shop, clocks, watch=True)
    wall.note("glue the block")
    wall.close_sitting("done for tonight")
    assert wall.copy_trouble() == ""
    [copy] = copies_in(new_shop / "copies")
    assert copy.seq == wall.state.seq
    wall.close_sitting("")  # nothing to close: no copy
    wall.close()
    assert copies_in(new_shop / "copies") == [copy]


def test_a_copy_that_cannot_be_made_is_told_and_fails_no_closing(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    (new_shop / "copies").write_text("in the way")
    wall = Bench(new_shop, clocks, watch=True)
    wall.note("glue the block")
    wall.close_sitting("done for tonight")
    assert wall.state.sitting is None
    assert "copies cannot be made" in wall.copy_trouble()
    wall.close()


def test_a_copy_is_made_beside_the_screen(
    new_shop: Path, clocks: SteadyClocks, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Closing up does not wait for it; letting go of the record does."""
    real, made = copies.make_copy, []

    def slow(*given: object) -> Copy:
        time.sleep(0.3)
        made.append(real(*given))  # type: ignore[arg-type]
        return made[-1]

    monkeypatch.setattr(copies, "make_copy", slow)
    wall = Bench(new_shop, clocks, watch=True)
    wall.note("glue the block")
    wall.close_sitting("done for tonight")
    assert not made
    wall.close()
    assert len(made) == 1


def test_a_full_disk_is_said_as_one_when_a_copy_is_made(
    demo_shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        error = sqlite3.OperationalError("database or disk is full")
        error.sqlite_errorname = "SQLITE_FULL"
        raise error

    monkeypatch.setattr(copies, "_filled", full)
    with pytest.raises(CannotWrite, match="the disk is full"):
        make_copy(demo_shop / "record.db", tmp_path, AT)


@pytest.mark.parametrize("as_file", [False, True])
def test_a_copy_for_which_a_stick_has_no_room_is_not_begun_and_the_record_is_not_blamed(
    demo_shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, as_file: bool
) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    monkeypatch.setattr(copies, "_filled", lambda *_: pytest.fail("it was begun"))
    size = (demo_shop / "record.db").stat().st_size
    room_for(monkeypatch, ROOM_BYTES + size - 1)
    words = "no copy can be made: the disk of .*stick has no room, .* make room there, then try again"
    with pytest.raises(CannotWrite, match=words):
        make_copy(demo_shop / "record.db", stick / "mine.db" if as_file else stick, AT)
    assert not list(stick.iterdir())
    monkeypatch.undo()
    room_for(monkeypatch, ROOM_BYTES + size)
    assert make_copy(demo_shop / "record.db", stick, AT).seq


def test_a_record_copied_by_hand_with_its_wal_is_a_copy(bench: Bench, tmp_path: Path) -> None:
    bench.note("only in the WAL")
    for path in bench.shop.folder.glob("record.*"):
        shutil.copy(path, tmp_path / path.name)
    assert check_copy(tmp_path / "record.db").seq == bench.state.seq
