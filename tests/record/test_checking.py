"""What a check proves, in words that claim no more, and the check beside the screen."""

import contextlib
import os
import shutil
import sqlite3
import sys
import threading
from pathlib import Path
from typing import Any

import pytest

from kiosk.bench import Bench
from kiosk.record import chain, checking
from kiosk.record.chain import follow
from kiosk.record.checking import BackgroundCheck, Checked, check_copies, check_record
from kiosk.record.copies import keep_copy
from kiosk.record.head import Head, head_path
from kiosk.record.journal import Record
from kiosk.record.rows import COLUMNS
from tests.conftest import SteadyClocks, local_time
from tests.record.by_hand import change_by_hand

AT = local_time(2027, 5, 8, 12, 3)


def test_a_whole_record_is_said_to_be_whole_and_no_more(demo_shop: Path) -> None:
    checked = check_record(demo_shop / "record.db")
    seq = checked.events
    assert checked.whole and checked.trouble == "" and checked.outside == "agrees"
    assert checked.chain_words.startswith(f"entries 1 to {seq}: each fits the one before it")
    assert (
        checked.outside_words == f"record.head noted entry {seq} as the last, and the record has it as it was"
    )


@pytest.mark.parametrize(
    ("events", "bad", "words"),
    [
        (0, None, "no entry was made yet"),
        (1, None, "entry 1: each fits"),
        (2, None, "entries 1 to 2: each fits"),
        (0, 1, "bad it is"),
        (1, 2, "entries 1 to 1 fit one another; bad it is"),
        (7, 8, "entries 1 to 7 fit one another; bad it is"),
    ],
)
def test_what_is_proved_of_the_chain_is_said_to_the_entry(events: int, bad: int | None, words: str) -> None:
    what = "" if bad is None else "bad it is"
    for outside, whole in (("none", bad is None), ("agrees", bad is None), ("differs", False)):
        checked = Checked(events, Head(events), bad, what, outside, "record.head", 9, "it differs")  # type: ignore[arg-type]
        assert checked.chain_words.startswith(words) and checked.whole == whole
        assert checked.trouble == ("it differs" if bad is None else what)


def test_without_a_witness_nothing_is_claimed_of_the_end(demo_shop: Path) -> None:
    head_path(demo_shop / "record.db").unlink()
    checked = check_record(demo_shop / "record.db")
    assert checked.whole and checked.outside == "none"
    assert "a lost end would not show" in checked.outside_words


def test_a_changed_event_is_named_and_what_stands_before_it(demo_shop: Path) -> None:
    change_by_hand(demo_shop / "record.db", "by", "somebody", 40)
    checked = check_record(demo_shop / "record.db")
    assert not checked.whole and checked.bad == 40 and checked.events == 39
    assert checked.trouble == "event 40 is not what was recorded: its hash does not fit"
    assert checked.chain_words == f"entries 1 to 39 fit one another; {checked.trouble}"


def test_a_removed_event_is_named(demo_shop: Path) -> None:
    connection = sqlite3.connect(demo_shop / "record.db", isolation_level=None)
    connection.execute("DROP TRIGGER event_is_never_deleted")
    connection.execute("DELETE FROM event WHERE seq=40")
    connection.close()
    checked = check_record(demo_shop / "record.db")
    assert checked.bad == 40 and checked.what == "event 40 is missing"


def test_an_event_that_cannot_be_read_is_named(demo_shop: Path) -> None:
    change_by_hand(demo_shop / "record.db", "by", "wren", 40)
    connection = sqlite3.connect(demo_shop / "record.db", isolation_level=None)
    connection.execute("UPDATE event SET by=CAST(X'FF7772' AS TEXT) WHERE seq=40")
    connection.close()
    checked = check_record(demo_shop / "record.db")
    assert checked.bad is not None and checked.bad <= 40 and not checked.whole


class Torn(sqlite3.Connection):
    """A database that gives its events one by one, and not several at once; or neither."""

    wholly = False

    def execute(self, sql: str, *values: Any) -> sqlite3.Cursor:
        if "hash FROM event WHERE seq>" in sql or (self.wholly and "FROM event WHERE seq>" in sql):
            raise sqlite3.DatabaseError("database disk image is malformed")
        if f"{COLUMNS},hash" in sql and values[0] == (43,):
            raise sqlite3.DatabaseError("the third is torn")
        return super().execute(sql, *values)


@pytest.mark.parametrize(
    ("wholly", "bad", "what"),
    [
        (False, 43, "event 43 cannot be read (the third is torn)"),
        (True, 41, "the events from 41 on cannot be read (database disk image is malformed)"),
    ],
)
def test_where_a_file_is_torn_the_first_event_that_cannot_be_read_is_named(
    demo_shop: Path, wholly: bool, bad: int, what: str
) -> None:
    with contextlib.closing(sqlite3.connect(demo_shop / "record.db", factory=Torn)) as torn:
        torn.wholly = wholly
        found = follow(torn, 40)
        assert (found.bad, found.what, found.last.seq, found.whole) == (bad, what, 40, False)


def test_a_lost_end_is_the_witnesss_word(demo_shop: Path, tmp_path: Path) -> None:
    shutil.copy(demo_shop / "record.db", tmp_path / "older.db")
    bench = Bench(demo_shop, SteadyClocks())
    bench.note("lost")
    bench.close()
    shutil.copy(tmp_path / "older.db", demo_shop / "record.db")
    checked = check_record(demo_shop / "record.db")
    assert checked.bad is None and checked.outside == "differs" and not checked.whole
    assert "is an older copy" in checked.trouble and checked.outside_words == checked.trouble


def test_copies_are_compared_with_the_record(demo_shop: Path, new_shop: Path) -> None:
    good = keep_copy(demo_shop / "record.db", AT)
    bench = Bench(new_shop, SteadyClocks())
    bench.note("of another shop")
    bench.close()
    other = keep_copy(new_shop / "record.db", AT)
    shutil.copy(other.path, demo_shop / "copies")
    damaged = demo_shop / "copies" / good.path.name.replace("12", "13", 1)
    shutil.copy(good.path, damaged)
    damaged.write_bytes(damaged.read_bytes()[:8192])
    found = {copy.name: copy.wrong for copy in check_copies(demo_shop / "record.db")}
    assert found[good.path.name] == ""
    assert found[other.path.name] == f"its event {other.seq} is not the record's"
    assert found[damaged.name]


def test_the_background_check_finds_what_the_snapshot_hides(demo_shop: Path) -> None:
    """Bit rot behind the snapshot went unnoticed until an update, years later."""
    path = demo_shop / "record.db"
    record = Record(path)
    record.journal.write_snapshot(record.state)
    record.journal.close()
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("DROP TRIGGER event_is_never_changed")
    connection.execute("UPDATE event SET body=replace(body,'note','tone') WHERE seq=40")
    connection.execute("UPDATE event SET by='somebody' WHERE seq=40")
    connection.close()
    bench = Bench(demo_shop, SteadyClocks())  # opens, from the snapshot
    assert bench.record_trouble() == ""
    bench._check = BackgroundCheck(path, waits_s=0)
    bench._check.begin()
    bench._check._thread.join()
    assert bench.record_trouble() == "event 40 is not what was recorded: its hash does not fit"
    bench.close()


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere the whole process would give way")
def test_the_background_check_gives_way_to_everything_else(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[tuple[int, int, int]] = []
    monkeypatch.setattr(os, "getpriority", lambda *_: 3)
    monkeypatch.setattr(os, "setpriority", lambda *given: asked.append(given))
    check = BackgroundCheck(demo_shop / "record.db", waits_s=0)
    check.begin()
    thread = check._thread.native_id
    check.close()
    assert asked == [(os.PRIO_PROCESS, thread, 13)]  # ten steps nicer than the screen


def test_the_background_check_says_of_a_record_that_it_cannot_be_read(demo_shop: Path) -> None:
    Record(demo_shop / "record.db").close()
    check = BackgroundCheck(demo_shop / "record.db", waits_s=0)
    (demo_shop / "record.db").unlink()
    check.begin()
    check._thread.join()
    assert "is missing, and there was a record" in check.trouble and check.checked is None


def test_the_background_check_of_a_whole_record_says_nothing(demo_bench: Bench) -> None:
    check = BackgroundCheck(demo_bench.record.journal.path, waits_s=0)
    check.begin()
    check._thread.join()
    assert check.trouble == "" and check.checked is not None and check.checked.events == demo_bench.state.seq


def test_between_two_reads_the_background_check_lets_the_screen_go_first(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    waited: list[float] = []
    check = BackgroundCheck(demo_shop / "record.db")
    monkeypatch.setattr(check._ended, "wait", waited.append)
    monkeypatch.setattr(chain, "AT_ONCE", 50)
    check.begin()
    check._thread.join()
    assert check.checked is not None
    reads = -(-check.checked.events // 50) + 1  # the last finds nothing more
    assert len(waited) == 1 + reads  # and one before the look begins
    assert all(0.01 < one < 0.1 for one in waited[1:])  # a tap's own time; an hour for 1,000,000 is too long


def test_leaving_stops_the_background_check_wherever_it_is(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    waiting = BackgroundCheck(demo_shop / "record.db", waits_s=3600)
    waiting.begin()
    waiting.close()
    assert waiting.checked is None
    begun, monkeyed = threading.Event(), checking.check_record

    def slow(path: Path, between: object) -> object:
        begun.set()
        assert callable(between)
        while between(1):
            pass
        return monkeyed(path)

    monkeypatch.setattr(checking, "check_record", slow)
    reading = BackgroundCheck(demo_shop / "record.db", waits_s=0)
    reading.begin()
    assert begun.wait(10)
    reading.close()
    assert reading.checked is None and reading.trouble == ""
    BackgroundCheck(demo_shop / "record.db").close()  # one that never began
