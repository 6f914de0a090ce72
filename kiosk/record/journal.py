"""The append-only journal in SQLite, and the record: the journal with the state folded from it.

Durability: WAL with ``synchronous=FULL``, so that each commit is on the disk before it is called recorded.
Every write and checkpoint holds a file lock, because WAL with two writing connections can lose data in
SQLite before 3.51.3 when a checkpoint races a commit (sqlite.org/wal.html, section on the WAL-reset bug).
"""

import contextlib
import time
import uuid
from collections import deque
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from functools import cached_property
from itertools import takewhile
from pathlib import Path
from typing import Any, Protocol

from kiosk.errors import KioskError
from kiosk.record import apply, snapshot
from kiosk.record.belief import Doubt, doubt, jumped
from kiosk.record.chain import AT_ONCE, event_hash, follow, hash_at, last_event, unreadable
from kiosk.record.copies import COPIES_FOLDER, Copy, copy_of
from kiosk.record.events import AnyBody, Event, RunStarted
from kiosk.record.head import Head, HeadFile, HeadKeeper, head_path
from kiosk.record.lock import WAIT_S, locked
from kiosk.record.opening import (
    Opened,
    connect_to_write,
    holds_something,
    open_to_read,
    shared_memory_of,
    wal_of,
)
from kiosk.record.rows import COLUMNS, damaged, event_of, row_of
from kiosk.record.state import ClockReading, State
from kiosk.record.stopped import (
    RESTORE,
    CannotWrite,
    DamagedRecord,
    NewerRecord,
    RecordBusy,
    RecordingStopped,
    RecordRemoved,
    TapUsed,
)
from kiosk.record.troubles import BROKEN, folder_gone, in_one_line, told
from kiosk.record.witness import Known, known_of, refuse_foreign_wal, refuse_lost, refuse_other, what_to_do

SNAPSHOT_EVERY = 200  # events between two snapshots
SNAPSHOT_AGAIN = 20  # events until one that could not be kept is tried again
_WORD_EVERY = 500  # events between two words of how far the reading has come
_TAKEN_KEPT = 200  # events of others: more came in while nobody looked than anybody could follow
_ACTS_KEPT = 1000  # taps whose act is remembered: far more than any press waits to be repeated


Progress = Callable[[int, int], None]  # told how many events were read, and of how many


class Clocks(Protocol):
    """Wall time for the record, and a monotonic count for durations with the boot that it counts in."""

    def now(self) -> datetime:
        """Wall time in UTC."""

    def monotonic_s(self) -> float:
        """Seconds that never run back within one boot of the machine."""

    def boot(self) -> str:
        """Which boot of the machine this is; empty where that cannot be told."""


# CLOCK_MONOTONIC stands still while a machine sleeps, and glue does not: CLOCK_BOOTTIME counts that too.
# Where there is none, as on macOS, CLOCK_MONOTONIC counts it.
_COUNTS_SLEEP = getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC)
_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


class SystemClocks:
    """The machine's own clocks."""

    def now(self) -> datetime:
        """Wall time in UTC."""
        return datetime.now(UTC)

    def monotonic_s(self) -> float:
        """Seconds that never run back within one boot of the machine, its sleep counted in."""
        return time.clock_gettime(_COUNTS_SLEEP)

    def boot(self) -> str:
        """Linux names each boot; elsewhere the kernel says when it was."""
        return self._boot

    @cached_property
    def _boot(self) -> str:
        with contextlib.suppress(OSError, UnicodeDecodeError):
            return _BOOT_ID.read_text(encoding="ascii").strip()
        import subprocess

        with contextlib.suppress(OSError, subprocess.SubprocessError):
            asked = ("sysctl", "-n", "kern.boottime")
            said = subprocess.run(asked, capture_output=True, text=True, timeout=2, check=True).stdout
            # "{ sec = 1700000000, usec = 0 } Tue …": the seconds alone, the rest may be worded otherwise.
            return said.partition("sec = ")[2].partition(",")[0].strip()
        return ""


class Journal:
    """The events on disk. One connection; every write holds the file lock."""

    def __init__(self, path: Path, *, reading: bool = False) -> None:
        self.path = path
        self.reading = reading
        self._lock_path = path.with_name(path.name + ".lock")
        self._keeper = HeadKeeper(HeadFile(head_path(path)))
        self._to_keep: Head | None = None  # the head of the transaction that is open
        self._private: Opened | None = None
        self._files: dict[Path, tuple[int, int]] = {}
        try:
            if reading:
                self._open_to_read()
            else:
                with locked(self._lock_path):
                    self._open_to_write()
        except BROKEN as error:
            raise told(error, path, f"the record {path} cannot be opened") from None

    def _open_to_read(self) -> None:
        known = known_of(self.path)  # looked at first: the database is never behind it
        refuse_lost(self.path, known)
        refuse_foreign_wal(self.path, known)
        self._private = open_to_read(self.path)
        self._connection = self._private.connection
        try:
            self._first = refuse_other(self.path, self._connection, known).first
        except BaseException:
            self._private.close()
            raise

    def _open_to_write(self) -> None:
        known = known_of(self.path)
        refuse_lost(self.path, known)
        refuse_foreign_wal(self.path, known, thoroughly=True)
        all_in_file = not holds_something(wal_of(self.path))
        if not all_in_file:
            self._compare_before_writing(known)
        self._connection = connect_to_write(self.path)
        try:
            last = refuse_other(self.path, self._connection, known)
            self._files = self._files_now()
        except BaseException:
            self._connection.close()
            raise
        self._first = last.first
        self._in_file = (last if all_in_file else Head()).seq  # known to be in the file, not in the WAL
        if last.seq and (known is None or (known.head.seq, known.head.first) != (last.seq, last.first)):
            self._keeper.tell(replace(last, in_file=self._in_file))

    def _compare_before_writing(self, known: Known | None) -> None:
        """What is refused stays as it lies: closing a connection that writes would fold the WAL in."""
        opened = open_to_read(self.path)
        try:
            refuse_other(self.path, opened.connection, known)
        finally:
            opened.close()

    def _files_now(self) -> dict[Path, tuple[int, int]]:
        """The database, its WAL and its index, by what the disk knows them by."""
        files = (self.path, wal_of(self.path), shared_memory_of(self.path))
        return {path: (found.st_dev, found.st_ino) for path in files if (found := path.stat())}

    def _refuse_removed(self) -> None:
        """What is written into a file that has no name any more is gone with this process."""
        try:
            if self._files_now() == self._files:
                return
        except FileNotFoundError:
            pass
        raise RecordRemoved(
            f"{self.path} was removed or replaced while the kiosk had it open", what_to_do(self.path)
        )

    def refuse_gone(self) -> None:
        """Raise what a write would where its files have gone, so that nobody has to press first.

        That is RecordRemoved, or RecordingStopped while their folder is not there.
        """
        if self._files:
            if not self.path.parent.exists():
                raise folder_gone(self.path)
            self._refuse_removed()

    @contextlib.contextmanager
    def writing(self, wait_s: float = WAIT_S) -> Iterator[None]:
        """A transaction that begins after every other screen's write and ends on the disk.

        Raises RecordBusy when another program holds the record for longer, CannotWrite when the disk has no
        room or takes nothing, RecordRemoved when the file is no longer there, else RecordingStopped; nothing
        is recorded then.
        """
        if self.reading:
            raise CannotWrite("the record is only read here", "open it on a screen")
        try:
            with locked(self._lock_path, wait_s):
                self._refuse_removed()
                self._to_keep, first = None, self._first
                self._connection.execute("BEGIN IMMEDIATE")
                try:
                    yield
                    self._connection.execute("COMMIT")
                except BaseException:
                    self._first = first  # the first event of all may be of what is taken back here
                    if self._connection.in_transaction:
                        self._connection.execute("ROLLBACK")
                    raise
                self._refuse_removed()
        except BROKEN as error:
            raise told(error, self.path, "recording stopped") from None
        if self._to_keep is not None:
            self._keeper.tell(self._to_keep)

    def append(self, event: Event) -> Event:
        """Write one event inside :meth:`writing`, and give it as it is read back.

        Raises NotRecordable when it could not be.
        """
        row = row_of(event)
        own = event_hash(hash_at(self._connection, event.seq - 1), row)
        self._connection.execute("INSERT INTO event VALUES (?,?,?,?,?,?,?,?,?,?)", (*row, own))
        # Another screen may have made the first event since this one opened.
        self._first = self._first or hash_at(self._connection, 1)
        self._to_keep = Head(event.seq, own, self._first, self._in_file)
        return event_of(row)

    def after(self, seq: int) -> list[Event]:
        """Every event after a sequence number, in order. Raises RecordingStopped when one cannot be read."""
        return list(self.stream(seq))

    def stream(self, seq: int) -> Iterator[Event]:
        """The events after a sequence number, a few at a time, so that no read holds the WAL open.

        Raises NewerRecord or DamagedRecord, which name the event that cannot be read.
        """
        for *row, _ in self._rows(seq):
            yield self._event(row)

    def read_on(
        self, seq: int = 0, progress: Progress | None = None, to: int | None = None
    ) -> Iterator[Event]:
        """As :meth:`stream`, up to an event, with word of how far the reading has come."""
        last = to or self.last().seq
        for event in takewhile(lambda event: event.seq <= last, self.stream(seq)):
            if progress is not None and event.seq % _WORD_EVERY == 0:
                progress(event.seq, last)
            yield event
        if progress is not None:
            progress(last, last)

    def _rows(self, seq: int) -> Iterator[tuple[Any, ...]]:
        """The columns of the events after a sequence number, and the hash of each."""
        wanted = f"SELECT {COLUMNS},hash FROM event WHERE seq>? ORDER BY seq LIMIT {AT_ONCE}"
        while True:
            try:
                rows = self._connection.execute(wanted, (seq,)).fetchall()
            except BROKEN as error:
                raise self._unreadable(seq, error) from None
            yield from rows
            if len(rows) < AT_ONCE:
                return
            seq = rows[-1][0]

    def _unreadable(self, seq: int, error: Exception) -> RecordingStopped:
        """Says which event after a sequence number the database cannot give, where that can still be told."""
        for number, worse in unreadable(self._connection, seq):
            return DamagedRecord(
                f"event {number} of the record is damaged: it cannot be read ({in_one_line(worse)})", RESTORE
            )
        return told(error, self.path, "the record cannot be read")

    def _event(self, row: Sequence[Any]) -> Event:
        try:
            return event_of(row)
        except NewerRecord:
            # A newer kiosk writes a hash that fits: where it does not, the row is damaged instead.
            seq, kind = row[0], row[7]
            if event_hash(self.hash_at(seq - 1), row) == self.hash_at(seq):
                raise
            raise damaged(seq, kind, "its hash does not fit") from None

    def of_kind(self, kind: str) -> Iterator[Event]:
        """The events of one kind, in order. Raises as :meth:`stream` does."""
        wanted = f"SELECT {COLUMNS} FROM event WHERE kind=? ORDER BY seq"
        try:
            rows = self._connection.execute(wanted, (kind,)).fetchall()
        except BROKEN as error:
            raise told(error, self.path, f"the record {self.path} cannot be read") from None
        for row in rows:
            yield self._event(row)

    def newest(self, kinds: Sequence[str], of_the_last: int) -> list[Event]:
        """The events of these kinds among so many of the newest, the newest first."""
        wanted = ",".join("?" * len(kinds))
        last = "(SELECT max(seq) FROM event)"
        return self._matching(f"seq>{last}-? AND kind IN ({wanted})", (of_the_last, *kinds))[::-1]

    def about(self, text: str, kinds: Sequence[str]) -> list[Event]:
        """The events of these kinds, those under a clock that ran back, and all that hold a text."""
        wanted = ",".join("?" * len(kinds))
        return self._matching(
            f"kind IN ({wanted}) OR clock_ran_back OR (kind<>'procedure_kept' AND instr(body,?))",
            (*kinds, text),
        )

    def between(self, first: int, last: int, text: str) -> list[Event]:
        """The events from one number to another that hold a text."""
        return self._matching("seq BETWEEN ? AND ? AND instr(body,?)", (first, last, text))

    def kept_words(self, digests: Collection[str]) -> list[Event]:
        """The words of procedures with these digests."""
        marks = ",".join("?" * len(digests))
        wanted = f"kind='procedure_kept' AND json_extract(body,'$.text') IN ({marks})"
        return self._matching(wanted, tuple(digests))

    def _matching(self, wanted: str, values: Sequence[object]) -> list[Event]:
        """Raises as :meth:`stream` does."""
        asked = f"SELECT {COLUMNS} FROM event WHERE {wanted} ORDER BY seq"
        try:
            rows = self._connection.execute(asked, values).fetchall()
        except BROKEN as error:
            raise told(error, self.path, f"the record {self.path} cannot be read") from None
        return [self._event(row) for row in rows]

    def has(self, event_id: str) -> bool:
        """True when an event with this id is already recorded."""
        found = self._connection.execute("SELECT 1 FROM event WHERE id=?", (event_id,)).fetchone()
        return found is not None

    def hash_at(self, seq: int) -> str:
        """The chained hash of an event; of the beginning when there is none."""
        return hash_at(self._connection, seq)

    def last(self) -> Head:
        """The last event. Raises RecordingStopped when it cannot be read."""
        try:
            return last_event(self._connection)
        except BROKEN as error:
            raise told(error, self.path, "the record cannot be read") from None

    def data_version(self) -> int:
        """Changes when another connection commits (SQLite's ``data_version``). Raises RecordingStopped."""
        try:
            (version,) = self._connection.execute("PRAGMA data_version").fetchone()
        except BROKEN as error:
            raise told(error, self.path, "the record cannot be read") from None
        return int(version)

    def read_snapshot(self) -> snapshot.Found:
        """The state at the last snapshot, where there is one that can be believed."""
        return snapshot.read(self._connection)

    def write_snapshot(self, current: State) -> None:
        """Keep the state, so that start-up does not depend on how long the history is. Waits for nobody."""
        with self.writing(wait_s=0.0):
            snapshot.write(self._connection, current, self.hash_at(current.seq))

    def drop_snapshot(self) -> None:
        """Throw the snapshot away; the next start folds the whole journal."""
        with self.writing():
            self._connection.execute("DELETE FROM snapshot")

    def first_bad_event(self) -> int | None:
        """The first event that does not fit what stands before it, or cannot be read; None when all do."""
        return follow(self._connection).bad

    @property
    def head_trouble(self) -> str:
        """Why the head could not be kept outside the database; no tap fails for it."""
        return self._keeper.trouble

    def copy_to(self, to: Path, at: datetime) -> Copy:
        """A whole copy of what this connection sees, checked, in a folder or as a file of this name."""
        return copy_of(self._connection, to, at)

    def close(self) -> None:
        """Close the connection; the WAL is folded into the file, under the lock."""
        if self._private is not None:
            self._private.close()
            return
        try:
            with locked(self._lock_path):
                self._fold_the_wal_in()
                self._connection.close()
        except (RecordBusy, *BROKEN):
            self._connection.close()
        self._keeper.close()

    def _fold_the_wal_in(self) -> None:
        """What is in the file itself is not lost with the WAL; the head then says so."""
        if not holds_something(wal_of(self.path)):
            return
        last = last_event(self._connection)
        busy, _, _ = self._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        if last.seq and not busy:
            self._keeper.tell(replace(last, in_file=last.seq))


class Record:
    """The journal together with the state folded from it. The only way in is :meth:`transact`."""

    def __init__(
        self,
        path: Path,
        clocks: Clocks | None = None,
        *,
        reading: bool = False,
        progress: Progress | None = None,
    ) -> None:
        self.clocks = clocks or SystemClocks()
        self.run = uuid.uuid4().hex[:12]
        # Where the machine cannot say, this run at least is all in one boot.
        self.boot = self.clocks.boot() or f"run {self.run}"
        self._at_start = self.reading()
        self._only_reading = reading
        self.cannot_write: CannotWrite | None = None  # why nothing can be recorded for now
        self.journal = self._opened(path)
        self._seen: int | None = self.journal.data_version()
        self.taken_in = 0  # how many events of others came in since it was opened
        self._taken: deque[Event] = deque(maxlen=_TAKEN_KEPT)  # the newest of them
        self.snapshot_trouble = ""  # why the last snapshot could not be kept; no tap fails for it
        self._rescue: RecordRemoved | None = None
        self._acts: dict[str, str] = {}  # what each of the last taps was for
        self.is_as_recorded = True  # False while the state goes by names that could not be recorded yet
        self.snapshot_wrong = ""  # what was wrong with the snapshot that was there: it was thrown away
        self._snapshot_seq = 0  # the event that it was made at
        self.state = self._folded(progress)
        self._snapshot_due = 1 if self.snapshot_wrong else self._snapshot_seq + SNAPSHOT_EVERY
        self._snapshot_if_due()

    def _folded(self, progress: Progress | None) -> State:
        """The state, from the snapshot on where that can be believed."""
        found = self.journal.read_snapshot()
        self.snapshot_wrong = found.wrong
        if found.state is not None:
            try:
                state = apply.fold(self.journal.read_on(found.state.seq, progress), found.state)
            except KioskError:
                raise
            except Exception as error:  # it has the right types, and its things do not fit one another
                self.snapshot_wrong = f"no entry goes on from it ({error!r})"
            else:
                self._snapshot_seq = found.state.seq
                return state
        return apply.fold(self.journal.read_on(progress=progress))

    def _opened(self, path: Path) -> Journal:
        """The journal to write, or only to read where the disk lets nothing be written."""
        if not self._only_reading:
            try:
                return Journal(path)
            except CannotWrite as error:
                self.cannot_write = error
        return Journal(path, reading=True)

    def _write_again(self) -> None:
        """The disk took nothing when the record was opened: try once more. Raises CannotWrite."""
        if not self.journal.reading or self._only_reading:
            return
        writing = Journal(self.journal.path)
        self.journal.close()
        self.journal, self.cannot_write = writing, None
        self._seen = None  # another connection counts anew

    def refresh(self) -> bool:
        """Take in what another screen wrote. True when there was something.

        Raises RecordingStopped, also where the next write would find the record gone.
        """
        try:
            self.journal.refuse_gone()
        except RecordRemoved as error:
            raise self._rescued(error) from None
        version = self.journal.data_version()
        if version == self._seen:
            return False
        self._seen = version
        return self._catch_up()

    def _catch_up(self) -> bool:
        new = self.journal.after(self.state.seq)
        for event in new:
            apply.apply(self.state, event)
        self.taken_in += len(new)
        self._taken.extend(new)
        return bool(new)

    def taken_since(self, count: int) -> list[Event] | None:
        """What came in of others since so many of their events had; None where that is too long ago."""
        newest = self.taken_in - count
        return None if newest > len(self._taken) else list(self._taken)[len(self._taken) - newest :]

    def reading(self) -> ClockReading:
        """Both clocks now."""
        return ClockReading(self.boot, self.clocks.now(), self.clocks.monotonic_s())

    def doubt(self, now: ClockReading) -> Doubt | None:
        """Why the wall clock is not believed; None when it is."""
        return doubt(self.state, now, self._at_start)

    def _run_started(self) -> list[AnyBody]:
        """What says of this run how its clocks stand, where the record does not say so yet."""
        now = self.reading()
        believed = self.doubt(now) is None
        known = self.state.run_clocks.get(self.run)
        if known is not None and known.believed == believed and not jumped(known, now):
            return []
        return [RunStarted(boot=self.boot, believed=believed)]

    def transact(
        self, decide: Callable[[State], Sequence[AnyBody]], *, by: str, tap: str | None, act: str = ""
    ) -> list[Event]:
        """Decide on the newest state and record what was decided, all or nothing.

        ``decide`` sees everything that other screens wrote. It may raise to refuse. ``tap`` is made by the
        screen for one tap and is the id of the first event decided: when it is already recorded, nothing is
        written twice. None is for what no person tapped. ``act`` is what the tap is for. Raises TapUsed when
        the tap is recorded as another act, NotRecordable for what could not be read back, and
        RecordingStopped when the disk refuses; nothing is recorded then.
        """
        self._write_again()
        written: list[Event] = []
        try:
            with self.journal.writing():
                self._catch_up()
                if tap is not None and self._is_recorded(tap, act):
                    return []
                decided = decide(self.state)
                first = self._run_started() if decided else []
                for number, body in enumerate((*first, *decided)):
                    event = self._next_event(body, by, tap if number == len(first) else None, written)
                    written.append(self.journal.append(event))
        except RecordRemoved as error:
            raise self._rescued(error) from None
        for event in written:
            apply.apply(self.state, event)
        self._snapshot_if_due()
        return written

    def _is_recorded(self, tap: str, act: str) -> bool:
        """True when this tap is on the disk already. Raises TapUsed when it was for another act."""
        was = self._acts.setdefault(tap, act)
        if not self.journal.has(tap):
            self._acts[tap] = act
            while len(self._acts) > _ACTS_KEPT:
                del self._acts[next(iter(self._acts))]
            return False
        if was != act:
            raise TapUsed(
                f"this press is recorded already, as {was.replace('_', ' ')}",
                "look at the screen and press again",
            )
        return True

    def _rescued(self, error: RecordRemoved) -> RecordRemoved:
        """The file has no name any more but is still open: keep what is in it as a copy, once."""
        if self._rescue is not None:
            return self._rescue
        folder = self.journal.path.parent / COPIES_FOLDER
        try:
            folder.mkdir(exist_ok=True)
            copy = self.journal.copy_to(folder, self.clocks.now())
        except (KioskError, OSError):
            return error
        self._rescue = RecordRemoved(
            f"{error.wrong}; all {copy.seq} events are kept in {copy.path}",
            f"leave, then: kiosk restore {copy.path} {folder.parent}",
        )
        return self._rescue

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
        if self.state.seq >= self._snapshot_due and not self.journal.reading:
            self._keep_snapshot()

    def _keep_snapshot(self) -> None:
        """Keep a snapshot if it can be. What was tapped is on the disk already, whatever happens here."""
        if not self.is_as_recorded:
            return
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
        if self.state.seq > self._snapshot_seq and not self.journal.reading:
            self._keep_snapshot()
        self.journal.close()
