"""Copies of the record: made whole, checked by opening, named by when and how far, and kept in a ring.

Each copy is one file that carries in itself how far the record had come, so that a copy that was cut short,
or put back by hand, is known for what it is.
"""

import contextlib
import json
import os
import re
import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.record.chain import follow, last_event
from kiosk.record.head import Head, HeadFile, head_path, sync_folder
from kiosk.record.opening import Opened, entries_go_on, open_the_file_alone, open_to_read, pages_fit
from kiosk.record.stopped import RecordingStopped
from kiosk.record.troubles import BROKEN, in_one_line, require_room, told
from kiosk.shop.files import Unreadable, read_bytes

COPIES_FOLDER = "copies"
ELSEWHERE_FILE = "elsewhere.json"
DAMAGED_INDEX = "damaged where entries are looked up"
KEPT_RECENT = 8
KEPT_MONTHS = 24

_NAME = re.compile(
    r"(?P<at>\d{4}-\d{2}-\d{2}-\d{4})-event-(?P<seq>\d{1,18})-(?P<hash>[0-9a-f]{12})(?:-\d+)?\.db"
)
_CARRIED = """
    CREATE TABLE copied_head (only INTEGER PRIMARY KEY CHECK (only = 1), seq INTEGER NOT NULL,
                              hash TEXT NOT NULL, first TEXT NOT NULL) STRICT
"""


@dataclass(frozen=True)
class Copy:
    """A copy in the folder, by its name: made at ``at`` (house time) when the record had come to ``seq``."""

    path: Path
    at: str  # 2027-05-08-1203
    seq: int
    hash_begins: str

    @property
    def month(self) -> str:
        """The month it was made in."""
        return self.at[:7]


def copies_in(folder: Path) -> list[Copy]:
    """The copies in a folder, the one that has come furthest last. Other files are not ours."""
    found = []
    with contextlib.suppress(OSError):
        for path in folder.iterdir():
            copy = _named(path)
            if copy is not None:
                found.append(copy)
    return sorted(found, key=lambda copy: (copy.seq, copy.at))


def _named(path: Path) -> Copy | None:
    """The copy that a file is by its name; None for one that is not ours."""
    named = _NAME.fullmatch(path.name)
    return Copy(path, named["at"], int(named["seq"]), named["hash"]) if named is not None else None


def is_the_shops(record: Path, folder: Path) -> bool:
    """True for the shop's own folder of copies, by whatever way it is named."""
    return folder.resolve() == (record.parent / COPIES_FOLDER).resolve()


def note_elsewhere(record: Path, copy: Copy) -> bool:
    """Note that a copy was made outside the shop's folder, as on a stick: of each such folder the newest.
    False where that cannot be written; the copy is made all the same."""
    path = copy.path.absolute()
    others = [one for one in made_elsewhere(record) if one.path.parent != path.parent]
    return note_only(record, (*others, replace(copy, path=path)))


def note_only(record: Path, copies: Sequence[Copy]) -> bool:
    """Note these copies elsewhere and no others, the newest last. False where that cannot be written."""
    kept = [
        {"path": str(one.path), "at": one.at, "seq": one.seq, "hash": one.hash_begins}
        for one in copies[-KEPT_RECENT:]
    ]
    noted = record.parent / COPIES_FOLDER / ELSEWHERE_FILE
    half = noted.with_name(f".{os.getpid()}.part")
    try:
        noted.parent.mkdir(exist_ok=True)
        half.write_text(json.dumps(kept), encoding="utf-8")
        _sync(half)
        half.rename(noted)
    except OSError:
        return False
    finally:
        with contextlib.suppress(OSError):
            half.unlink()
    return True


def made_elsewhere(record: Path) -> list[Copy]:
    """The copies noted as made outside the shop's folder, the newest last; none where the note is damaged."""
    noted = record.parent / COPIES_FOLDER / ELSEWHERE_FILE
    try:
        kept = json.loads(read_bytes(noted))
    except (Unreadable, ValueError, RecursionError):
        return []
    copies = [copy for one in kept if (copy := _noted(one))] if isinstance(kept, list) else []
    return [copy for copy in copies if not (_named(copy.path) and is_the_shops(record, copy.path.parent))]


def _noted(one: object) -> Copy | None:
    """A copy as it was noted; None for what nobody notes so."""
    if not isinstance(one, dict):
        return None
    path, at, seq, begins = (one.get(name) for name in ("path", "at", "seq", "hash"))
    if not (isinstance(path, str) and isinstance(at, str) and isinstance(begins, str)):
        return None
    if type(seq) is not int or not 0 <= seq < 10**18 or not Path(path).is_absolute():
        return None
    return Copy(Path(path), at, seq, begins) if path.isprintable() else None


def copy_name(head: Head, at: datetime) -> str:
    """What a copy is called, by the clock on the wall. ``at`` has a time zone."""
    return f"{at.astimezone():%Y-%m-%d-%H%M}-event-{head.seq}-{head.hash[:12]}.db"


def make_copy(record: Path, to: Path, at: datetime) -> Copy:
    """A whole, checked copy of a record, in a folder or as a file of this name. Nothing is overwritten.

    Raises RecordingStopped or KioskError when it cannot be made or is not whole; no half copy is left.
    """
    try:
        source = open_to_read(record)
    except BROKEN as error:
        raise told(error, record, f"{record} cannot be read") from None
    try:
        return copy_of(source.connection, to, at)
    finally:
        source.close()


def copy_of(source: sqlite3.Connection, to: Path, at: datetime) -> Copy:
    """As :func:`make_copy`, from an open connection, such as that of a record whose file was removed."""
    half = to / f".{os.getpid()}.part" if to.is_dir() else to.with_name(f".{to.name}.part")
    try:
        require_room(half.parent, _size_of(source), "no copy can be made")
        head = _filled(source, half)
        path = _free_name(to, copy_name(head, at)) if to.is_dir() else to
        if path.exists():
            raise KioskError(f"{path} is there already", "give another name")
        _sync(half)
        half.rename(path)
        sync_folder(path.parent)
    except BROKEN as error:
        raise told(error, to, f"no copy can be made in {to}") from None
    finally:
        with contextlib.suppress(OSError):
            half.unlink()
    return Copy(path, f"{at.astimezone():%Y-%m-%d-%H%M}", head.seq, head.hash[:12])


def _size_of(source: sqlite3.Connection) -> int:
    """The bytes of a database, with what its WAL holds."""
    (pages,), (size,) = (source.execute(f"PRAGMA {name}").fetchone() for name in ("page_count", "page_size"))
    return int(pages * size)


def _free_name(folder: Path, name: str) -> Path:
    """A second copy of the same event in the same minute gets a number."""
    path, number = folder / name, 1
    while path.exists():
        number += 1
        path = folder / name.replace(".db", f"-{number}.db")
    return path


def _filled(source: sqlite3.Connection, half: Path) -> Head:
    half.unlink(missing_ok=True)
    target = sqlite3.connect(half, isolation_level=None)
    try:
        source.backup(target)
        target.execute("PRAGMA journal_mode=DELETE")  # one file alone, which needs nothing beside it
        head = last_event(target)
        target.execute("DROP TABLE IF EXISTS copied_head")
        target.execute(_CARRIED)
        target.execute("INSERT INTO copied_head VALUES (1,?,?,?)", (head.seq, head.hash, head.first))
    finally:
        target.close()
    return check_copy(half, thoroughly=True)


def check_copy(path: Path, *, thoroughly: bool = False) -> Head:
    """Open a copy and follow it from its first event to its last, which it gives.

    Any database of a record is taken, also one that was copied by hand with its WAL beside it. Raises
    RecordingStopped, which says what is wrong with it: ``thoroughly`` also of the indexes, without which all
    its entries are there, and which are made anew where it is put back.
    """
    try:
        opened = open_copy(path)
    except BROKEN as error:
        raise RecordingStopped(
            f"{path} is no copy of a record ({in_one_line(error)})", "choose another"
        ) from None
    try:
        chain = follow(opened.connection)
        carried = carried_head(opened.connection)
        fits = not (thoroughly and chain.whole) or pages_fit(opened.connection)
    except BROKEN as error:
        raise RecordingStopped(
            f"{path} is no copy of a record ({in_one_line(error)})", "choose another"
        ) from None
    finally:
        opened.close()
    if not chain.whole:
        raise RecordingStopped(f"the copy {path} is not whole: {chain.what}", "choose another")
    if not fits:
        raise RecordingStopped(f"the copy {path} is {DAMAGED_INDEX}", "choose another")
    if carried is not None and chain.last.seq < carried.seq:
        raise RecordingStopped(
            f"the copy {path} was cut short: it ends at event {chain.last.seq} of {carried.seq}",
            "choose another",
        )
    return chain.last


def open_copy(path: Path) -> Opened:
    """Open a copy to read: with the WAL beside it when its entries go on there, else the file alone."""
    if not path.is_file():
        raise FileNotFoundError(f"{path} is no file")
    known = HeadFile(head_path(path)).read() or Head()  # beside a record that was copied with all its files
    return open_to_read(path) if entries_go_on(path, known.in_file) else open_the_file_alone(path)


def carried_head(connection: sqlite3.Connection) -> Head | None:
    """The head that a copy carries; None in a record that is no copy."""
    try:
        row = connection.execute("SELECT seq,hash,first FROM copied_head").fetchone()
    except sqlite3.OperationalError:
        return None
    return Head(*row) if row is not None else None


def not_kept(copies: Sequence[Copy]) -> list[Copy]:
    """Those that the ring no longer holds: all but the last few, and the last of each of the last months."""
    recent = set(copies[-KEPT_RECENT:])
    last_of_month = {copy.month: copy for copy in copies}
    monthly = {last_of_month[month] for month in sorted(last_of_month)[-KEPT_MONTHS:]}
    return [copy for copy in copies if copy not in recent | monthly]


def keep_copy(record: Path, at: datetime) -> Copy:
    """Make a copy in the shop's folder of copies and let go of what the ring no longer holds.

    Raises RecordingStopped or KioskError when none could be made; then none is let go of.
    """
    folder = record.parent / COPIES_FOLDER
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise told(error, folder, f"{folder} cannot be made") from None
    _sweep(folder)
    made = make_copy(record, folder, at)
    others = [copy for copy in copies_in(folder) if copy.path != made.path]
    same = [copy for copy in others if (copy.seq, copy.hash_begins) == (made.seq, made.hash_begins)]
    different = [copy for copy in others if copy not in same]
    for copy in [*same, *not_kept([*different, made])]:
        if copy.path != made.path:
            with contextlib.suppress(OSError):
                copy.path.unlink()
    return made


def _sweep(folder: Path) -> None:
    """Half copies of kiosks that were killed."""
    for half in folder.glob(".*.part"):
        number = half.stem.removeprefix(".")
        with contextlib.suppress(OSError):
            if number.isdecimal() and not _runs(int(number)):
                half.unlink()


def _runs(process: int) -> bool:
    """False where there is no process of this number."""
    try:
        os.kill(process, 0)  # sends nothing
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:  # somebody else's
        return True
    return True


def _sync(path: Path) -> None:
    with path.open("rb+") as handle:
        os.fsync(handle.fileno())
