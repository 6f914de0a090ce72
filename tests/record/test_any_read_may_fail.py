"""Whichever question the database does not answer any more, every door to the record says so in one line."""

import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kiosk.errors import KioskError
from kiosk.record.checking import check_copies, check_record, check_snapshot
from kiosk.record.copies import check_copy, keep_copy, make_copy
from kiosk.record.head import head_path
from kiosk.record.journal import Journal, Record
from kiosk.record.opening import wal_of
from kiosk.record.restoring import how_far, plan_as_found, plan_copy
from tests.conftest import SteadyClocks, local_time
from tests.record.test_witness import note

AT = local_time(2027, 5, 8, 12, 3)
CLOCKS = SteadyClocks()


def _unused(path: Path) -> Path:
    """Where a copy goes, and nothing lies."""
    new = path.with_name("new.db")
    new.unlink(missing_ok=True)
    return new


DOORS: dict[str, Callable[[Path, Path], object]] = {
    "a screen": lambda path, copy: Record(path, CLOCKS).close(),
    "a journal that is only read": lambda path, copy: Journal(path, reading=True).close(),
    "a check": lambda path, copy: check_record(path),
    "a check of the snapshot": lambda path, copy: check_snapshot(path),
    "a check of the copies": lambda path, copy: check_copies(path),
    "a copy": lambda path, copy: make_copy(path, _unused(path), AT),
    "a check of a copy": lambda path, copy: check_copy(copy),
    "a record that is checked as a copy": lambda path, copy: check_copy(path),
    "what is known of it": lambda path, copy: how_far(path),
    "going on with it": lambda path, copy: plan_as_found(path),
    "putting a copy back": lambda path, copy: plan_copy(path, copy),
}
# In turn, one for each question: SQLite's own words, and its names of them (sqlite.org/rescode.html).
FAULTS = (
    (sqlite3.DatabaseError, "database disk image is malformed", "SQLITE_CORRUPT"),
    (sqlite3.OperationalError, "disk I/O error", "SQLITE_IOERR_READ"),
)


class Failing(sqlite3.Connection):
    """A database that gives no answer to one question of all that are asked, on whichever connection."""

    asked = 0
    fails_at = 0

    def execute(self, *asked: Any) -> sqlite3.Cursor:
        self._count()
        return super().execute(*asked)

    def backup(self, *given: Any, **named: Any) -> None:
        self._count()
        super().backup(*given, **named)

    def _count(self) -> None:
        Failing.asked += 1
        if Failing.asked == Failing.fails_at:
            kind, words, name = FAULTS[Failing.asked % 2]
            error = kind(words)
            error.sqlite_errorname = name
            raise error


@pytest.fixture(scope="module")
def lies(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a record as a kill left it, something of it in the WAL alone, and a copy from before."""
    folder = tmp_path_factory.mktemp("lies")
    record = Record(folder / "record.db", CLOCKS)
    note(record, 3)
    record.close()
    keep_copy(folder / "record.db", AT)
    record = Record(folder / "record.db", CLOCKS)
    note(record, 2, "later")
    record.journal._keeper.close()
    left = tmp_path_factory.mktemp("left") / "shop"
    shutil.copytree(folder, left)
    record.close()
    return left


@pytest.mark.parametrize("door", DOORS)
def test_no_answer_is_told_in_a_line_and_changes_nothing(
    lies: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, door: str
) -> None:
    connect = sqlite3.connect
    monkeypatch.setattr(sqlite3, "connect", lambda *a, **b: connect(*a, **{"factory": Failing, **b}))
    told = number = 0
    shop = tmp_path / "shop"
    shutil.copytree(lies, shop)
    [copy] = (shop / "copies").iterdir()
    path = shop / "record.db"
    while Failing.asked >= Failing.fails_at:
        number += 1
        if door == "a screen":  # it may write, and fold the WAL in
            shutil.rmtree(shop)
            shutil.copytree(lies, shop)
        Failing.asked, Failing.fails_at = 0, number
        try:
            DOORS[door](path, copy)
        except KioskError as error:
            assert "\n" not in str(error)
            told += 1
    Failing.fails_at = 0
    assert number > 5 and bool(told) == (door != "what is known of it")  # that says what it can
    (shop / "new.db").unlink(missing_ok=True)
    assert {file.name for file in shop.iterdir() if file.suffix in (".part", ".db")} == {"record.db"}
    if door != "a screen":
        for file in (path, wal_of(path), head_path(path), copy):
            assert file.read_bytes() == (lies / file.relative_to(shop)).read_bytes()
    left = Record(path, CLOCKS)
    assert left.state.seq == 7
    left.close()
