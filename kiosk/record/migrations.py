"""Named changes of the database's tables, each applied once and recorded in the database itself.

To change a table, append a migration; one that was released is never changed, renamed or taken away. They run
in order inside one transaction under the record's lock, so a record has all of a kiosk's migrations or none.
The body of an event is not changed here, but lifted when it is read (see ``upcasters.py``).
"""

import contextlib
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime

from kiosk.dataclass import dataclass
from kiosk.record.stopped import RESTORE, DamagedRecord, NewerRecord, RecordingStopped

# SQLite's user_version: 0 in a new file, 1 before migrations had names, 2 since they are recorded by name.
NAMED = 2
_BEFORE_NAMES = 1
_NEW = 0


@dataclass(frozen=True)
class Migration:
    """A change with a name of its own: SQL statements, or a function on the open transaction."""

    name: str
    change: str | Callable[[sqlite3.Connection], None]


# Also made again when it was lost: it holds nothing that the journal does not.
SNAPSHOT_TABLE = """
    CREATE TABLE IF NOT EXISTS snapshot (
        only INTEGER PRIMARY KEY CHECK (only = 1),
        seq INTEGER NOT NULL,
        hash TEXT NOT NULL,
        code TEXT NOT NULL,
        body TEXT NOT NULL
    ) STRICT;
"""

MIGRATIONS: tuple[Migration, ...] = (
    Migration(
        "the journal",
        """
        CREATE TABLE event (
            seq INTEGER PRIMARY KEY,
            id TEXT NOT NULL UNIQUE,
            at TEXT NOT NULL,
            monotonic_s REAL NOT NULL,
            run TEXT NOT NULL,
            by TEXT NOT NULL,
            clock_ran_back INTEGER NOT NULL,
            kind TEXT NOT NULL,
            body TEXT NOT NULL,
            hash TEXT NOT NULL
        ) STRICT;
        CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
            BEGIN SELECT RAISE(ABORT, 'an event is never changed'); END;
        CREATE TRIGGER event_is_never_deleted BEFORE DELETE ON event
            BEGIN SELECT RAISE(ABORT, 'an event is never deleted'); END;
        """,
    ),
    Migration("the snapshot", SNAPSHOT_TABLE),
)
# What a record of user_version 1 has had, though it does not say so.
_FIRST = ("the journal", "the snapshot")

_TABLE = "CREATE TABLE migration (name TEXT PRIMARY KEY, at TEXT NOT NULL) STRICT;"


def migrate(connection: sqlite3.Connection, migrations: Sequence[Migration] = MIGRATIONS) -> None:
    """Bring the tables up to this kiosk's. The caller holds the record's lock.

    Raises NewerRecord when the record has had a migration that this kiosk does not know, DamagedRecord when
    its list of them cannot be so, and RecordingStopped when the file is no record; nothing is changed then.
    """
    if is_up_to_date(connection, migrations):
        return
    connection.execute("BEGIN IMMEDIATE")
    try:
        _begin_to_name(connection)
        for migration in _missing(connection, migrations):
            _apply(connection, migration)
        connection.execute(f"PRAGMA user_version={NAMED}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def is_up_to_date(connection: sqlite3.Connection, migrations: Sequence[Migration] = MIGRATIONS) -> bool:
    """True when there is nothing to bring up. Raises NewerRecord or DamagedRecord as :func:`migrate` does."""
    return _version(connection) == NAMED and not _missing(connection, migrations)


def recorded(connection: sqlite3.Connection) -> list[str]:
    """The names of the migrations that a record has had, in order.

    Where damage makes the list unreadable, a table of entries as it is today has had all of today's.
    """
    try:
        return [name for (name,) in connection.execute("SELECT name FROM migration ORDER BY rowid")]
    except (sqlite3.DatabaseError, UnicodeDecodeError):
        if _columns(connection) != _todays_columns():
            raise
        return [one.name for one in MIGRATIONS]


def _columns(connection: sqlite3.Connection) -> list[tuple[object, ...]]:
    """The columns of the table of entries: their names, types and keys."""
    return connection.execute("PRAGMA table_info(event)").fetchall()


def _todays_columns() -> list[tuple[object, ...]]:
    with contextlib.closing(sqlite3.connect(":memory:", isolation_level=None)) as empty:
        migrate(empty)
        return _columns(empty)


def take_rows(source: sqlite3.Connection, target: sqlite3.Connection) -> None:
    """Fill an empty database with today's tables and all that a record holds: its entries and its migrations.

    Rows are read where they lie, in their order, and by no index; the snapshot is left out. So whatever else
    of the source is damaged does not come with them. ``source`` has today's tables, as when it is opened to
    read. Raises sqlite3.Error, and as :func:`migrate` does.
    """
    migrate(target)
    target.execute("BEGIN")
    with contextlib.suppress(sqlite3.DatabaseError, UnicodeDecodeError):  # else they have today's dates
        had = source.execute("SELECT name,at FROM migration NOT INDEXED ORDER BY rowid").fetchall()
        target.executemany("UPDATE migration SET at=?2 WHERE name=?1", had)
    rows = source.execute("SELECT * FROM event NOT INDEXED ORDER BY rowid")
    places = ",".join("?" for _ in rows.description)
    target.executemany(f"INSERT INTO event VALUES ({places})", rows)
    target.execute("COMMIT")


def statements(script: str) -> Iterator[str]:
    """The statements of a script, found by SQLite's own test of completeness."""
    piece = ""
    for line in script.splitlines():
        piece += line + "\n"
        if sqlite3.complete_statement(piece):
            yield piece
            piece = ""


def _version(connection: sqlite3.Connection) -> int:
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    return int(version)


def _missing(connection: sqlite3.Connection, migrations: Sequence[Migration]) -> list[Migration]:
    had = recorded(connection)
    known = {migration.name for migration in migrations}
    unknown = next((name for name in had if name not in known), None)
    missing = [migration for migration in migrations if migration.name not in had]
    if unknown is not None and missing:
        # A newer kiosk's record has had all of ours too: this is one of our names gone wrong.
        raise DamagedRecord(f"the record's list of migrations is damaged: {unknown!r}", RESTORE)
    if unknown is not None:
        raise NewerRecord(
            f"the record was made by a newer kiosk: it has had migration {unknown!r}", "update this one"
        )
    return missing


def _begin_to_name(connection: sqlite3.Connection) -> None:
    """Give a new record, or one of before migrations had names, its table of them."""
    version = _version(connection)
    if version == NAMED:
        return
    if version not in (_NEW, _BEFORE_NAMES):
        raise NewerRecord(
            f"the record was made by a newer kiosk: it is of format {version}", "update this one"
        )
    if version == _NEW and connection.execute("SELECT 1 FROM sqlite_master").fetchone():
        raise RecordingStopped("the file holds something else than a record", RESTORE)
    connection.execute(_TABLE)
    for name in _FIRST if version == _BEFORE_NAMES else ():
        _note(connection, name)


def _apply(connection: sqlite3.Connection, migration: Migration) -> None:
    if isinstance(migration.change, str):
        for statement in statements(migration.change):
            connection.execute(statement)
    else:
        migration.change(connection)
    _note(connection, migration.name)


def _note(connection: sqlite3.Connection, name: str) -> None:
    connection.execute("INSERT INTO migration VALUES (?,?)", (name, datetime.now(UTC).isoformat()))
