"""How the database file is opened: to write, or only to read, where and as far as the disk lets us.

A reader takes no lock, records nothing and makes no record where there is none; SQLite may leave an empty WAL
and its index beside the file, which a reader may not take away. What it opens:

- usually the file itself with ``mode=ro``, beside whoever writes;
- with ``immutable=1`` where SQLite cannot make its shared memory (a read-only mount, a full disk) and no WAL
  holds anything: then the file is all there is, and nobody is writing;
- a private copy where a WAL does hold something and cannot be read in place, or where an older kiosk's tables
  have to be brought up to date first.
"""

import contextlib
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from pathlib import Path

from kiosk.dataclass import dataclass
from kiosk.record.chain import follow, hash_at, last_event
from kiosk.record.head import Head
from kiosk.record.migrations import is_up_to_date, migrate
from kiosk.record.troubles import BROKEN

BUSY_S = 0.25  # how long SQLite waits for another program's lock; the kiosk's own lock is waited for before
_SHARED_MEMORY = Path("/dev/shm")  # where a copy has room when the disk is full


@dataclass
class Opened:
    """A connection that only reads, and the folder that goes when it is closed."""

    connection: sqlite3.Connection
    private: tempfile.TemporaryDirectory[str] | None = None

    def close(self) -> None:
        """Close it."""
        self.connection.close()
        if self.private is not None:
            self.private.cleanup()


def wal_of(path: Path) -> Path:
    """Where SQLite keeps what is not yet in the database file."""
    return path.with_name(path.name + "-wal")


def shared_memory_of(path: Path) -> Path:
    """Where SQLite keeps the index of the WAL."""
    return path.with_name(path.name + "-shm")


def holds_something(path: Path) -> bool:
    """True for a file that is there and not empty."""
    try:
        return path.stat().st_size > 0
    except OSError:
        return False


def connect_to_write(path: Path) -> sqlite3.Connection:
    """Open or make the database, durable. The caller holds the record's lock. Raises sqlite3.Error."""
    connection = sqlite3.connect(path, isolation_level=None, timeout=BUSY_S)
    try:
        run = connection.execute
        run("PRAGMA journal_mode=WAL")
        run("PRAGMA synchronous=FULL")
        run("PRAGMA foreign_keys=ON")
        (mode,) = run("PRAGMA journal_mode").fetchone()
        (level,) = run("PRAGMA synchronous").fetchone()
        if (mode, level) != ("wal", 2):
            raise sqlite3.OperationalError(f"journal mode {mode}, synchronous {level}: not durable here")
        migrate(connection)
        run("SELECT count(*) FROM sqlite_master").fetchone()  # makes the WAL and its index, if they are not
    except BaseException:
        connection.close()
        raise
    return connection


def open_to_read(path: Path) -> Opened:
    """Open the database to read; as if it were empty where there is none.

    Raises sqlite3.Error or OSError.
    """
    if not holds_something(path):
        return _empty()
    try:
        opened = Opened(_reading(path, "mode=ro"))
    except sqlite3.OperationalError as error:
        if not error.sqlite_errorname.startswith(
            ("SQLITE_CANTOPEN", "SQLITE_READONLY", "SQLITE_FULL", "SQLITE_IOERR")
        ):
            raise
        opened = _privately(path) if holds_something(wal_of(path)) else open_the_file_alone(path)
    if is_up_to_date(opened.connection):
        return opened
    lifted = _empty(opened.connection)
    opened.close()
    return lifted


def open_the_file_alone(path: Path) -> Opened:
    """The database file without whatever WAL lies beside it; nobody may be writing."""
    return Opened(_reading(path, "immutable=1"))


def wal_belongs(path: Path, in_file: int, *, thoroughly: bool = False) -> bool:
    """False when the WAL beside a database file is of another one, as after a copy was put back by hand.

    What the file holds by itself must reach to ``in_file``, an event that was once known to be in it, and
    stand unchanged in the two together; the chain must go on from there, and ``thoroughly`` asks SQLite too
    whether the pages fit one another. A power cut while the WAL was folded in leaves anything in the file by
    itself, rubbish among it: where that is no whole record, the two together decide. Only reads. A writer
    holds the record's lock, so that nobody folds the WAL into the file meanwhile.
    """
    if not holds_something(path) or not holds_something(wal_of(path)):
        return True
    alone = _last_of_the_file(path)
    with _closing(open_to_read(path)) as both:
        try:
            if alone.seq and not _goes_on_from(both, alone, in_file):
                return not _is_whole(path) and _reaches(both, in_file)
            return (bool(alone.seq) or follow(both).whole) and (not thoroughly or pages_fit(both))
        except sqlite3.DatabaseError as error:
            if error.sqlite_errorname.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_ERROR")):
                return alone.seq == 0  # a file that is damaged by itself says so when it is opened
            raise


def entries_go_on(path: Path, in_file: int) -> bool:
    """True where the entries of a database file and the WAL beside it are one whole chain, from the first on.

    It is enough for who takes nothing but the entries, and less than a writer wants: a page by which they are
    found again may be damaged. ``in_file`` is as for :func:`wal_belongs`. Only reads, and raises nothing.
    """
    if not holds_something(path) or not holds_something(wal_of(path)):
        return True
    alone = _last_of_the_file(path)
    with (
        contextlib.suppress(*BROKEN),
        _closing(open_to_read(path)) as both,
    ):
        chain = follow(both)
        if alone.seq < in_file or hash_at(both, alone.seq) != alone.hash:  # torn while the WAL was folded in?
            return chain.whole and chain.last.seq >= max(1, in_file) and not _is_whole(path)
        return chain.whole
    return False


def _last_of_the_file(path: Path) -> Head:
    """The last event that the database file holds without its WAL; none where that cannot be read."""
    with (
        contextlib.suppress(sqlite3.Error, UnicodeDecodeError),
        _closing(open_the_file_alone(path)) as alone,
    ):
        found = last_event(alone)
        if isinstance(found.seq, int) and isinstance(found.hash, str):  # rubbish may read as anything
            return found
    return Head()


def _is_whole(path: Path) -> bool:
    """True for a database file that is a record without its WAL, as a copy is."""
    with (
        contextlib.suppress(sqlite3.Error, UnicodeDecodeError),
        _closing(open_the_file_alone(path)) as alone,
    ):
        return follow(alone).whole and pages_fit(alone)
    return False


def _goes_on_from(both: sqlite3.Connection, alone: Head, in_file: int) -> bool:
    """True where the chain of file and WAL together goes on, whole, from the last event of the file alone."""
    if alone.seq < in_file or hash_at(both, alone.seq) != alone.hash:
        return False
    return follow(both, alone.seq).whole


def _reaches(both: sqlite3.Connection, in_file: int) -> bool:
    chain = follow(both)
    return chain.whole and chain.last.seq >= max(1, in_file) and pages_fit(both)


def pages_fit(both: sqlite3.Connection) -> bool:
    """True where every page fits the others, those of the indexes too, by which an entry is found again."""
    return both.execute("PRAGMA integrity_check(1)").fetchall() == [("ok",)]


@contextlib.contextmanager
def _closing(opened: Opened) -> Iterator[sqlite3.Connection]:
    try:
        yield opened.connection
    finally:
        opened.close()


def _reading(path: Path, how: str) -> sqlite3.Connection:
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?{how}", uri=True, isolation_level=None, timeout=BUSY_S
    )
    try:
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except BaseException:
        connection.close()
        raise
    return connection


def _empty(filled_from: sqlite3.Connection | None = None) -> Opened:
    """A database in memory with today's tables: empty, or with another's rows."""
    connection = sqlite3.connect(":memory:", isolation_level=None)
    if filled_from is not None:
        filled_from.backup(connection)
    migrate(connection)
    return Opened(connection)


def _privately(path: Path) -> Opened:
    """A private copy of the file and its WAL, where there is room. Raises OSError or sqlite3.Error."""
    try:
        return _copied_to(None, path)
    except OSError:
        if not _SHARED_MEMORY.is_dir():
            raise
        return _copied_to(_SHARED_MEMORY, path)


def _copied_to(place: Path | None, path: Path) -> Opened:
    """A private copy in a folder, or where files that are soon gone are usually kept."""
    private = tempfile.TemporaryDirectory(prefix="kiosk-", dir=place)
    try:
        for one in (path, wal_of(path)):
            shutil.copyfile(one, Path(private.name) / one.name)
        return Opened(_reading(Path(private.name) / path.name, "mode=rw"), private)
    except BaseException:
        private.cleanup()
        raise
