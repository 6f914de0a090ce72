"""The append-only journal in SQLite, and the record: the journal with the state folded from it.

Durability: WAL with ``synchronous=FULL``, so that each commit is on the disk before it is called recorded.
Every write and checkpoint holds a file lock, because WAL with two writing connections can lose data in
SQLite before 3.51.3 when a checkpoint races a commit (sqlite.org/wal.html, section on the WAL-reset bug).
"""

import fcntl
import hashlib
import os
import sqlite3
import time
import uuid
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Protocol, TypeVar

from pydantic import ValidationError

from kiosk.errors import KioskError
from kiosk.record import apply, events, state
from kiosk.record.events import AnyBody, Event, read_body
from kiosk.record.state import STATE, State

SCHEMA_VERSION = 1
SNAPSHOT_EVERY = 200  # events between two snapshots
_FIRST_HASH = "0" * 64

_SCHEMA = """
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
CREATE TABLE snapshot (
    only INTEGER PRIMARY KEY CHECK (only = 1),
    seq INTEGER NOT NULL,
    hash TEXT NOT NULL,
    code TEXT NOT NULL,
    body TEXT NOT NULL
) STRICT;
"""


class RecordingStopped(KioskError):
    """The journal cannot be written or read: what was tapped is not recorded."""


class Clocks(Protocol):
    """Wall time for the record and a monotonic count for durations."""

    def now(self) -> datetime:
        """Wall time in UTC."""

    def monotonic_s(self) -> float:
        """Seconds that never run back within this run."""


class SystemClocks:
    """The machine's own clocks."""

    def now(self) -> datetime:
        """Wall time in UTC."""
        return datetime.now(UTC)

    def monotonic_s(self) -> float:
        """Seconds that never run back within this run."""
        return time.monotonic()


Decided = TypeVar("Decided")


def _fold_code() -> str:
    """A mark of the code that folds: a snapshot made by other code is not used."""
    digest = hashlib.sha256()
    for module in (events, apply, state):
        digest.update(Path(str(module.__file__)).read_bytes())
    return digest.hexdigest()[:16]


def _event_hash(before: str, row: Sequence[object]) -> str:
    text = "\x1f".join([before, *(str(value) for value in row)])
    return hashlib.sha256(text.encode()).hexdigest()


class Journal:
    """The events on disk. One connection; every write holds the file lock."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._lock_path = path.with_name(path.name + ".lock")
        try:
            self._connection = sqlite3.connect(path, isolation_level=None, timeout=5)
            with self._locked():
                self._prepare()
        except (sqlite3.Error, OSError) as error:
            raise RecordingStopped(
                f"the record {path} cannot be opened ({error})", "check the disk, or restore a copy"
            ) from None

    def _prepare(self) -> None:
        run = self._connection.execute
        run("PRAGMA journal_mode=WAL")
        run("PRAGMA synchronous=FULL")
        run("PRAGMA foreign_keys=ON")
        mode = run("PRAGMA journal_mode").fetchone()[0]
        level = run("PRAGMA synchronous").fetchone()[0]
        if (mode, level) != ("wal", 2):
            raise sqlite3.OperationalError(f"journal mode {mode}, synchronous {level}: not durable here")
        version = run("PRAGMA user_version").fetchone()[0]
        if version == 0:
            run("BEGIN IMMEDIATE")
            for statement in _statements(_SCHEMA):
                run(statement)
            run(f"PRAGMA user_version={SCHEMA_VERSION}")
            run("COMMIT")
        elif version != SCHEMA_VERSION:
            raise sqlite3.OperationalError(f"made by another version of the kiosk (record {version})")

    @contextmanager
    def _locked(self) -> Iterator[None]:
        with self._lock_path.open("a") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            try:
                yield
            finally:
                fcntl.flock(lock, fcntl.LOCK_UN)

    @contextmanager
    def writing(self) -> Iterator[None]:
        """A transaction that begins after every other screen's write and ends on the disk."""
        try:
            with self._locked():
                self._connection.execute("BEGIN IMMEDIATE")
                try:
                    yield
                    self._connection.execute("COMMIT")
                except BaseException:
                    if self._connection.in_transaction:
                        self._connection.execute("ROLLBACK")
                    raise
        except (sqlite3.Error, OSError) as error:
            raise RecordingStopped(
                f"recording stopped: {error}", "nothing is lost so far; check the disk and try again"
            ) from None

    def append(self, event: Event) -> None:
        """Write one event inside :meth:`writing`."""
        body = event.body.model_dump_json()
        row = (
            event.seq,
            event.id,
            event.at.isoformat(),
            event.monotonic_s,
            event.run,
            event.by,
            int(event.clock_ran_back),
            event.body.kind,
            body,
        )
        before = self.hash_at(event.seq - 1)
        self._connection.execute(
            "INSERT INTO event VALUES (?,?,?,?,?,?,?,?,?,?)", (*row, _event_hash(before, row))
        )

    def after(self, seq: int) -> list[Event]:
        """Every event after a sequence number, in order. Raises RecordingStopped when one cannot be read."""
        return list(self.stream(seq))

    def stream(self, seq: int = 0) -> Iterator[Event]:
        """The events after a sequence number, a few at a time, so that no read holds the WAL open."""
        while True:
            try:
                rows = self._connection.execute(
                    "SELECT seq,id,at,monotonic_s,run,by,clock_ran_back,kind,body FROM event"
                    " WHERE seq>? ORDER BY seq LIMIT 5000",
                    (seq,),
                ).fetchall()
            except sqlite3.Error as error:
                raise RecordingStopped(
                    f"the record cannot be read ({error})", "restore the last copy"
                ) from None
            for row in rows:
                yield _event(row)
            if len(rows) < 5000:
                return
            seq = rows[-1][0]

    def has(self, event_id: str) -> bool:
        """True when an event with this id is already recorded."""
        found = self._connection.execute("SELECT 1 FROM event WHERE id=?", (event_id,)).fetchone()
        return found is not None

    def hash_at(self, seq: int) -> str:
        """The chained hash of an event; of the beginning when there is none."""
        row = self._connection.execute("SELECT hash FROM event WHERE seq=?", (seq,)).fetchone()
        return row[0] if row else _FIRST_HASH

    def data_version(self) -> int:
        """Changes when another connection commits (SQLite's ``data_version``)."""
        return int(self._connection.execute("PRAGMA data_version").fetchone()[0])

    def read_snapshot(self) -> State | None:
        """The state at the last snapshot, or None when there is none that fits the journal and the code."""
        row = self._connection.execute("SELECT seq,hash,code,body FROM snapshot").fetchone()
        if row is None or row[2] != _fold_code() or self.hash_at(row[0]) != row[1]:
            return None
        try:
            return STATE.validate_json(row[3])
        except ValidationError:
            return None

    def write_snapshot(self, current: State) -> None:
        """Keep the state, so that start-up does not depend on how long the history is."""
        with self.writing():
            self._connection.execute(
                "INSERT OR REPLACE INTO snapshot VALUES (1,?,?,?,?)",
                (
                    current.seq,
                    self.hash_at(current.seq),
                    _fold_code(),
                    STATE.dump_json(current).decode(),
                ),
            )

    def drop_snapshot(self) -> None:
        """Throw the snapshot away; the next start folds the whole journal."""
        with self.writing():
            self._connection.execute("DELETE FROM snapshot")

    def first_bad_event(self) -> int | None:
        """The first event whose hash does not fit what stands before it, or None when all fit."""
        before = _FIRST_HASH
        for row in self._connection.execute(
            "SELECT seq,id,at,monotonic_s,run,by,clock_ran_back,kind,body,hash FROM event ORDER BY seq"
        ).fetchall():
            if _event_hash(before, row[:-1]) != row[-1]:
                return int(row[0])
            before = row[-1]
        return None

    def copy_to(self, path: Path) -> None:
        """A consistent copy of the record, whole or not at all."""
        half = path.with_name(path.name + ".part")
        with sqlite3.connect(half) as target:
            self._connection.backup(target)
        target.close()
        with half.open("rb+") as handle:
            os.fsync(handle.fileno())
        half.replace(path)

    def close(self) -> None:
        """Close the connection; the last one folds the WAL into the file, under the lock."""
        try:
            with self._locked():
                self._connection.close()
        except (sqlite3.Error, OSError):
            self._connection.close()


def _statements(script: str) -> Iterator[str]:
    """The statements of a script, found by SQLite's own test of completeness."""
    piece = ""
    for line in script.splitlines():
        piece += line + "\n"
        if piece.strip() and sqlite3.complete_statement(piece):
            yield piece
            piece = ""


def _event(row: Sequence[object]) -> Event:
    try:
        body = read_body(str(row[7]), str(row[8]))
    except (KeyError, ValidationError):
        raise RecordingStopped(
            f"event {row[0]} of the record is of a kind this kiosk does not know",
            "it was written by a newer kiosk: update this one",
        ) from None
    return Event(
        seq=int(str(row[0])),
        id=str(row[1]),
        at=datetime.fromisoformat(str(row[2])),
        monotonic_s=float(str(row[3])),
        run=str(row[4]),
        by=str(row[5]),
        body=body,
        clock_ran_back=bool(row[6]),
    )


class Record:
    """The journal together with the state folded from it. The only way in is :meth:`transact`."""

    def __init__(self, path: Path, clocks: Clocks | None = None) -> None:
        self.clocks = clocks or SystemClocks()
        self.run = uuid.uuid4().hex[:12]
        self.journal = Journal(path)
        self._seen = self.journal.data_version()
        start = self.journal.read_snapshot()
        self.state = apply.fold(self.journal.stream(start.seq if start else 0), start)
        self._snapshot_seq = start.seq if start else 0
        self._snapshot_if_due()

    def refresh(self) -> bool:
        """Take in what another screen wrote. True when there was something."""
        version = self.journal.data_version()
        if version == self._seen:
            return False
        self._seen = version
        return self._catch_up()

    def _catch_up(self) -> bool:
        new = self.journal.after(self.state.seq)
        for event in new:
            apply.apply(self.state, event)
        return bool(new)

    def transact(
        self, decide: Callable[[State], Sequence[AnyBody]], *, by: str, id: str | None = None
    ) -> list[Event]:
        """Decide on the newest state and record what was decided, all or nothing.

        ``decide`` sees everything that other screens wrote. It may raise to refuse. ``id`` is made by the
        screen for one tap: when it is already recorded, nothing is written twice.
        """
        written: list[Event] = []
        with self.journal.writing():
            self._catch_up()
            if id is not None and self.journal.has(id):
                return []
            bodies = decide(self.state)
            previous = self.state.last_at
            for number, body in enumerate(bodies):
                at = self.clocks.now()
                event = Event(
                    seq=self.state.seq + 1 + number,
                    id=(id if number == 0 and id else uuid.uuid4().hex),
                    at=at,
                    monotonic_s=self.clocks.monotonic_s(),
                    run=self.run,
                    by=by,
                    body=body,
                    clock_ran_back=previous is not None and at < previous,
                )
                self.journal.append(event)
                written.append(event)
                previous = at
        for event in written:
            apply.apply(self.state, event)
        self._snapshot_if_due()
        return written

    def _snapshot_if_due(self) -> None:
        if self.state.seq - self._snapshot_seq >= SNAPSHOT_EVERY:
            self.journal.write_snapshot(self.state)
            self._snapshot_seq = self.state.seq

    def close(self) -> None:
        """Keep a snapshot and close."""
        if self.state.seq > self._snapshot_seq:
            self.journal.write_snapshot(self.state)
        self.journal.close()
