"""Whether a WAL belongs to the database file that it lies beside, however the two may stand together.

The format of both files, and that frames are folded into the file page by page: sqlite.org/fileformat2.html
(section 4) and sqlite.org/wal.html.
"""

import shutil
import sqlite3
from pathlib import Path

import pytest

from kiosk.record.copies import check_copy
from kiosk.record.events import NoteWritten
from kiosk.record.head import head_path
from kiosk.record.journal import Record
from kiosk.record.opening import wal_belongs, wal_of
from tests.conftest import SteadyClocks

IN_FILE, IN_BOTH = 11, 17  # events of the file alone, and with its WAL: each run writes its own first


def stand_together(folder: Path, how: str) -> Path:
    """Files that lie as a kill left them, with one thing about them otherwise."""
    path = folder / "record.db"
    record = Record(path, SteadyClocks())
    for number in range(0 if how.startswith("all in the WAL") else IN_FILE - 1):
        body = NoteWritten(text=f"note {number}")
        record.transact(lambda _, body=body: [body], by="wren", tap=None)  # type: ignore[misc]
    if not how.startswith("all in the WAL"):
        record.close()
        record = Record(path, SteadyClocks())
    for number in range(IN_BOTH - IN_FILE - 1):
        body = NoteWritten(text=f"later {number}")
        record.transact(lambda _, body=body: [body], by="wren", tap=None)  # type: ignore[misc]
    if how.endswith("an event of it is changed"):
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("DROP TRIGGER event_is_never_changed")
        other.execute("UPDATE event SET by='pip' WHERE seq=(SELECT max(seq)-1 FROM event)")
        other.close()
    record.journal._keeper.close()
    left = folder / "left"
    left.mkdir()
    for file in (path, wal_of(path), head_path(path)):
        shutil.copy(file, left / file.name)
    last_in_file = record.journal.hash_at(IN_FILE)
    page = record.journal._connection.execute("PRAGMA page_size").fetchone()[0]
    root = record.journal._connection.execute(
        "SELECT rootpage FROM sqlite_master WHERE name='snapshot'"
    ).fetchone()[0]
    record.close()
    path = left / "record.db"
    if how == "no WAL":
        wal_of(path).unlink()
    elif how == "no file":
        path.unlink()
    elif how == "the file was torn while the WAL was folded in":
        text = bytearray(path.read_bytes())
        for start in range(0, len(text), page):
            at = start // page + 1
            if at in _pages_of(wal_of(path), page):
                text[start : start + page] = b"\xff" * page
        path.write_bytes(text)
    if "its last event is torn" in how:  # in the file alone: the WAL has that page as it should be
        lay = path.read_bytes()
        assert last_in_file.encode() in lay
        path.write_bytes(lay.replace(last_in_file.encode(), b"0" * len(last_in_file)))
    if "a page of the file is of another" in how:  # one that the WAL does not hold, nor any event
        text = bytearray(path.read_bytes())
        text[(root - 1) * page : root * page] = b"\xff" * page
        path.write_bytes(text)
    return path


def _pages_of(wal: Path, page: int) -> set[int]:
    """The pages in a WAL: each frame begins with its page's number, and is 24 bytes longer than the page."""
    text = wal.read_bytes()
    return {int.from_bytes(text[at : at + 4], "big") for at in range(32, len(text), 24 + page)}


@pytest.mark.parametrize(
    ("how", "in_file", "at_a_glance", "thoroughly"),
    [
        ("no WAL", IN_FILE, True, True),
        ("no file", IN_FILE, True, True),
        ("as a kill leaves them", 0, True, True),
        ("as a kill leaves them", IN_FILE, True, True),
        ("as a kill leaves them", IN_FILE + 1, False, False),  # an older file: that event was in it once
        ("an event of it is changed", 0, False, False),
        ("a page of the file is of another", 0, True, False),
        ("the file was torn while the WAL was folded in", 0, True, True),
        ("the file was torn while the WAL was folded in", IN_FILE, True, True),
        ("its last event is torn", 0, True, True),
        ("its last event is torn", IN_BOTH, True, True),
        ("its last event is torn", IN_BOTH + 1, False, False),
        ("its last event is torn and a page of the file is of another", 0, False, False),
        ("its last event is torn, and an event of it is changed", 0, False, False),
        ("all in the WAL", 0, True, True),
        ("all in the WAL, an event of it is changed", 0, False, False),
    ],
)
def test_a_wal_belongs_to_its_file(
    tmp_path: Path, how: str, in_file: int, at_a_glance: bool, thoroughly: bool
) -> None:
    path = stand_together(tmp_path, how)
    lay = [(file, file.read_bytes()) for file in sorted(path.parent.iterdir()) if file.suffix != ".db-shm"]
    assert wal_belongs(path, in_file) == at_a_glance
    assert wal_belongs(path, in_file, thoroughly=True) == thoroughly
    for file, text in lay:
        assert file.read_bytes() == text, f"{file} was written to"


@pytest.mark.parametrize(
    ("how", "comes_to"),
    [
        ("as a kill leaves them", IN_BOTH),
        ("a page of the file is of another", IN_BOTH),  # no entry stands on it, so none is lost with it
        ("the file was torn while the WAL was folded in", IN_BOTH),
        ("its last event is torn and a page of the file is of another", IN_BOTH),
        ("an event of it is changed", IN_FILE),
        ("no WAL", IN_FILE),
    ],
)
def test_of_a_copy_and_its_wal_every_entry_is_taken_that_goes_on(
    tmp_path: Path, how: str, comes_to: int
) -> None:
    assert check_copy(stand_together(tmp_path, how)).seq == comes_to
