"""The append-only journal in SQLite, and the record: the journal with the state folded from it.

Durability: WAL with ``synchronous=FULL``, so that each commit is on the disk before it is called recorded.
Every write and checkpoint holds a file lock, because WAL with two writing connections can lose data in
SQLite before 3.51.3 when a checkpoint races a commit (sqlite.org/wal.html, section on the WAL-reset bug).
"""

import contextlib
import fcntl
import hashlib
import os
import sqlite3
import time
import uuid
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Protocol

from pydantic import ValidationError

from kiosk.record import apply, snapshot
from kiosk.record.events import AnyBody, Event
from kiosk.record.migrations import migrate
from kiosk.record.rows import COLUMNS, damaged, event_of, not_made, row_of
from kiosk.record.state import State
from kiosk.record.stopped import DamagedRecord, NewerRecord, RecordingStopped

SNAPSHOT_EVERY = 200  # events between two snapshots
SNAPSHOT_AGAIN = 20  # events until one that could not be kept is tried again
_AT_ONCE = 5000  # rows of one read, so that none holds the WAL open
_FIRST_HASH = "0" * 64
# SQLite names a damaged table in its message, and the message itself may then be no UTF-8.
_BROKEN = (sqlite3.Error, UnicodeDecodeError)


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


def event_hash(before: str, row: Sequence[object]) -> str:
    """The hash of an event's columns, chained to the hash of the event before it."""
    text = "\x1f".join([before, *(str(value) for value in row)])
    return hashlib.sha256(text.encode()).hexdigest()


def _in_one_line(error: Exception) -> str:
    """SQLite's message, which may quote a whole table."""
    return " ".join(str(error).split())


class Journal:
    """The events on disk. One connection; every write holds the file lock."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._lock_path = path.with_name(path.name + ".lock")
        try:
            self._connection = sqlite3.connect(path, isolation_level=None, timeout=5)
            try:
                with self._locked():
                    self._prepare()
            except BaseException:
                self._connection.close()
                raise
        except (*_BROKEN, OSError) as error:
            raise RecordingStopped(
                f"the record {path} cannot be opened ({_in_one_line(error)})",
                "check the disk, or restore a copy",
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
        migrate(self._connection)

    @contextlib.contextmanager
    def _locked(self) -> Iterator[None]:
        with self._lock_path.open("a") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            try:
                yield
            finally:
                fcntl.flock(lock, fcntl.LOCK_UN)

    @contextlib.contextmanager
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
        except (*_BROKEN, OSError) as error:
            raise RecordingStopped(
                f"recording stopped: {_in_one_line(error)}",
                "nothing is lost so far; check the disk and try again",
            ) from None

    def append(self, event: Event) -> None:
        """Write one event inside :meth:`writing`. Raises NotRecordable when it could not be read back."""
        row = row_of(event)
        before = self.hash_at(event.seq - 1)
        self._connection.execute(
            "INSERT INTO event VALUES (?,?,?,?,?,?,?,?,?,?)", (*row, event_hash(before, row))
        )

    def after(self, seq: int) -> list[Event]:
        """Every event after a sequence number, in order. Raises RecordingStopped when one cannot be read."""
        return list(self.stream(seq))

    def stream(self, seq: int = 0) -> Iterator[Event]:
        """The events after a sequence number, a few at a time, so that no read holds the WAL open.

        Raises NewerRecord or DamagedRecord, which name the event that cannot be read.
        """
        for *row, _ in self._rows(seq):
            yield self._event(row)

    def _rows(self, seq: int) -> Iterator[tuple[Any, ...]]:
        """The columns of the events after a sequence number, and the hash of each."""
        wanted = f"SELECT {COLUMNS},hash FROM event WHERE seq>? ORDER BY seq LIMIT {_AT_ONCE}"
        while True:
            try:
                rows = self._connection.execute(wanted, (seq,)).fetchall()
            except _BROKEN as error:
                raise self._unreadable(seq, error) from None
            yield from rows
            if len(rows) < _AT_ONCE:
                return
            seq = rows[-1][0]

    def _unreadable(self, seq: int, error: Exception) -> RecordingStopped:
        """Says which event after a sequence number the database cannot give, where that can still be told."""
        numbers: list[int] = []
        with contextlib.suppress(*_BROKEN):
            wanted = f"SELECT seq FROM event WHERE seq>? ORDER BY seq LIMIT {_AT_ONCE}"
            numbers = [number for (number,) in self._connection.execute(wanted, (seq,)).fetchall()]
        for number in numbers:
            try:
                self._connection.execute(
                    f"SELECT {COLUMNS},hash FROM event WHERE seq=?", (number,)
                ).fetchall()
            except _BROKEN as worse:
                return DamagedRecord(
                    f"event {number} of the record is damaged: it cannot be read ({_in_one_line(worse)})",
                    "restore a copy",
                )
        return RecordingStopped(f"the record cannot be read ({_in_one_line(error)})", "restore a copy")

    def _event(self, row: Sequence[Any]) -> Event:
        try:
            return event_of(row)
        except NewerRecord:
            # A newer kiosk writes a hash that fits: where it does not, the row is damaged instead.
            seq, kind = row[0], row[7]
            if event_hash(self.hash_at(seq - 1), row) == self.hash_at(seq):
                raise
            raise damaged(seq, kind, "its hash does not fit") from None

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
        """The state at the last snapshot, or None when there is none that can be believed."""
        return snapshot.read(self._connection)

    def write_snapshot(self, current: State) -> None:
        """Keep the state, so that start-up does not depend on how long the history is."""
        with self.writing():
            snapshot.write(self._connection, current, self.hash_at(current.seq))

    def drop_snapshot(self) -> None:
        """Throw the snapshot away; the next start folds the whole journal."""
        with self.writing():
            self._connection.execute("DELETE FROM snapshot")

    def first_bad_event(self) -> int | None:
        """The first event whose hash does not fit what stands before it, or None when all fit.

        Raises DamagedRecord, which names it, for one that the database cannot give at all.
        """
        before = _FIRST_HASH
        for *row, own in self._rows(0):
            if event_hash(before, row) != own:
                return int(row[0])
            before = own
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
        except (*_BROKEN, OSError):
            self._connection.close()


class Record:
    """The journal together with the state folded from it. The only way in is :meth:`transact`."""

    def __init__(self, path: Path, clocks: Clocks | None = None) -> None:
        self.clocks = clocks or SystemClocks()
        self.run = uuid.uuid4().hex[:12]
        self.journal = Journal(path)
        self._seen = self.journal.data_version()
        self.snapshot_trouble = ""  # why the last snapshot could not be kept; no tap fails for it
        start = self.journal.read_snapshot()
        self.state = apply.fold(self.journal.stream(start.seq if start else 0), start)
        self._snapshot_seq = start.seq if start else 0
        self._snapshot_due = self._snapshot_seq + SNAPSHOT_EVERY
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
        self, decide: Callable[[State], Sequence[AnyBody]], *, by: str, tap: str | None
    ) -> list[Event]:
        """Decide on the newest state and record what was decided, all or nothing.

        ``decide`` sees everything that other screens wrote. It may raise to refuse. ``tap`` is made by the
        screen for one tap and is the id of its first event: when it is already recorded, nothing is written
        twice. None is for what no person tapped. Raises NotRecordable for what could not be read back, and
        RecordingStopped when the disk refuses; nothing is recorded then.
        """
        written: list[Event] = []
        with self.journal.writing():
            self._catch_up()
            if tap is not None and self.journal.has(tap):
                return []
            for number, body in enumerate(self._decided(decide)):
                event = self._next_event(body, by, tap if number == 0 else None, written)
                self.journal.append(event)
                written.append(event)
        for event in written:
            apply.apply(self.state, event)
        self._snapshot_if_due()
        return written

    def _decided(self, decide: Callable[[State], Sequence[AnyBody]]) -> Sequence[AnyBody]:
        try:
            return decide(self.state)
        except ValidationError as error:
            raise not_made(error) from None

    def _next_event(self, body: AnyBody, by: str, tap: str | None, written: Sequence[Event]) -> Event:
        at = self.clocks.now()
        before = written[-1].at if written else self.state.last_at
        return Event(
            seq=self.state.seq + 1 + len(written),
            id=tap or uuid.uuid4().hex,
            at=at,
            monotonic_s=self.clocks.monotonic_s(),
            run=self.run,
            by=by,
            body=body,
            clock_ran_back=before is not None and at < before,
        )

    def _snapshot_if_due(self) -> None:
        if self.state.seq >= self._snapshot_due:
            self._keep_snapshot()

    def _keep_snapshot(self) -> None:
        """Keep a snapshot if it can be. What was tapped is on the disk already, whatever happens here."""
        try:
            self.journal.write_snapshot(self.state)
        except Exception as error:  # a convenience: not even its own fault may fail a tap
            self.snapshot_trouble = str(error)
            self._snapshot_due = self.state.seq + SNAPSHOT_AGAIN
        else:
            self.snapshot_trouble = ""
            self._snapshot_seq = self.state.seq
            self._snapshot_due = self.state.seq + SNAPSHOT_EVERY

    def close(self) -> None:
        """Keep a snapshot and close."""
        if self.state.seq > self._snapshot_seq:
            self._keep_snapshot()
        self.journal.close()
