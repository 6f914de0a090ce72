"""Put a copy of the record back, take it as it was found, or begin one anew: only when a person says so.

Whatever is replaced is kept, whole and with its WAL, in a folder of its own beside the record. The steps come
in an order in which a power cut leaves the old record, or a state that the next start refuses in words.
"""

import contextlib
import os
import shutil
import sqlite3
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Literal

from kiosk.dataclass import dataclass
from kiosk.record.chain import follow, hash_at, last_event
from kiosk.record.copies import (
    COPIES_FOLDER,
    Copy,
    check_copy,
    copies_in,
    made_elsewhere,
    note_only,
    open_copy,
)
from kiosk.record.events import RecordPutBack
from kiosk.record.head import Head, HeadFile, head_path, sync_folder
from kiosk.record.journal import Record
from kiosk.record.lock import locked
from kiosk.record.migrations import take_rows
from kiosk.record.opening import (
    entries_go_on,
    holds_something,
    open_to_read,
    shared_memory_of,
    wal_of,
)
from kiosk.record.stopped import NothingRecorded, RecordingStopped
from kiosk.record.troubles import BROKEN, require_room, told
from kiosk.record.witness import known_of

How = Literal["from a copy", "as it was found", "begun anew"]


@dataclass(frozen=True)
class Plan:
    """What would be done, to be said before it is: nothing is changed yet."""

    how: How
    record: Path
    had: Head  # how far the record is known to have come
    will_have: Head  # how far it goes afterwards
    copy: Path | None = None
    other: bool = False  # the copy is of another record, or parted from this one

    @property
    def lost(self) -> tuple[int, int] | None:
        """The first and last event that will no longer be in the record; None when all are."""
        if self.had.seq <= self.will_have.seq:
            return None
        return (self.will_have.seq + 1, self.had.seq)


def plan_copy(record: Path, copy: Path) -> Plan:
    """Putting this copy back. Raises RecordingStopped when it is not whole, or is the record itself."""
    # By its name: what a cut one kept aside is a second name of the record, with the WAL beside it.
    if copy.resolve() == record.resolve() and _fits(record):
        raise RecordingStopped(f"{copy} is the record itself", "name a copy")
    will_have = check_copy(copy)
    if will_have.seq == 0:
        raise RecordingStopped(f"the copy {copy} holds no event", "name another copy")
    had = how_far(record)
    return Plan("from a copy", record, had, will_have, copy, other=_parted(record, will_have, had))


def plan_as_found(record: Path) -> Plan:
    """Going on with the record as it is, whatever was known of it. Raises RecordingStopped when it cannot."""
    if not holds_something(record):
        if how_far(record).seq == 0:
            raise NothingRecorded(
                f"Nothing is recorded in {record.parent} yet", f"begin with kiosk open {record.parent}"
            )
        raise RecordingStopped(f"{record} is missing or empty, so it cannot be gone on with", "name a copy")
    if not _fits(record):
        raise RecordingStopped(
            f"{record} cannot be gone on with: its newest entries are not of it", "name a copy"
        )
    try:
        opened = open_to_read(record)
    except BROKEN as error:
        raise told(error, record, f"{record} cannot be read") from None
    try:
        chain = follow(opened.connection)
    except BROKEN as error:
        raise told(error, record, f"{record} cannot be read") from None
    finally:
        opened.close()
    if not chain.whole:
        raise RecordingStopped(f"{record} cannot be gone on with: {chain.what}", "name a copy")
    return Plan("as it was found", record, how_far(record), chain.last)


def plan_anew(record: Path) -> Plan:
    """Beginning a record with nothing in it."""
    return Plan("begun anew", record, how_far(record), Head())


def how_far(record: Path) -> Head:
    """How far a record is known to have come, by itself or by its witness."""
    known = known_of(record)
    witnessed = known.head if known is not None else Head()
    found = Head()
    if holds_something(record):
        with contextlib.suppress(*BROKEN, RecordingStopped):
            opened = open_copy(record)
            try:
                found = last_event(opened.connection)
            finally:
                opened.close()
    return max(found, witnessed, key=lambda head: head.seq)


def carry_out(plan: Plan, at: datetime, by: str) -> Path | None:
    """Do it, and record that it was done. Gives the folder that holds what was replaced, if anything was.

    ``at`` names that folder, by the clock on the wall. The caller has seen that no screen is alive. Raises
    RecordingStopped when the disk refuses; the old record is then where it was, or in that folder.
    """
    record = plan.record
    try:
        with locked(_lock_of(record)):
            _require_room(plan)
            fresh = record.with_name(record.name + ".restoring")
            _sweep(fresh)  # of one that was cut
            try:
                if plan.how != "begun anew":
                    _fill(fresh, plan)
                kept = _keep_aside(plan, at)
                _record_put_back(fresh, plan, kept, by)
            except BaseException:
                _sweep(fresh)
                raise
            # Cut before the WAL is gone, the two do not fit, and no start goes on: the record, put back once
            # more, is taken without it. The other way round it was the old one without its end.
            fresh.replace(record)
            for path in (wal_of(record), shared_memory_of(record)):
                path.unlink(missing_ok=True)
            head_path(fresh).replace(head_path(record))
            sync_folder(record.parent)
    except BROKEN as error:
        raise told(error, record, f"{record} cannot be put back") from None
    return kept


def _record_put_back(fresh: Path, plan: Plan, kept: Path | None, by: str) -> None:
    """Record in the new database, before it is the record, that it was put back; its head lies beside it."""
    body = RecordPutBack(
        how=plan.how,
        had=plan.had.seq,
        had_hash=plan.had.hash if plan.had.seq else "",
        kept_as=kept.name if kept is not None else "",
    )
    with contextlib.closing(Record(fresh)) as opened:
        opened.transact(lambda _: [body], by=by, tap=None)
        last = opened.journal.last()
    HeadFile(head_path(fresh)).keep(last)
    _lock_of(fresh).unlink(missing_ok=True)


def _sweep(fresh: Path) -> None:
    """Take away a new database that did not become the record, and what lies beside it."""
    for path in (fresh, wal_of(fresh), shared_memory_of(fresh), head_path(fresh), _lock_of(fresh)):
        path.unlink(missing_ok=True)


def _lock_of(record: Path) -> Path:
    return record.with_name(record.name + ".lock")


def _require_room(plan: Plan) -> None:
    """Raises CannotWrite, before anything is begun, where the disk cannot hold both the new and the old."""
    source = plan.copy or plan.record
    new = () if plan.how == "begun anew" else (source, wal_of(source))
    old = () if _knows_second_names(plan.record) else _files_of(plan.record)
    needed = sum(path.stat().st_size for path in (*new, *old) if path.exists())
    require_room(plan.record.parent, needed, f"{plan.record} cannot be put back")


def _knows_second_names(record: Path) -> bool:
    """False on a disk such as a memory stick's, where a file has one name: what is kept has to be copied."""
    lock = _lock_of(record)
    second = lock.with_name(lock.name + ".name")
    try:
        second.unlink(missing_ok=True)
        os.link(lock, second)
        second.unlink()
    except OSError:
        return False
    return True


def _files_of(record: Path) -> tuple[Path, ...]:
    return record, wal_of(record), shared_memory_of(record), head_path(record)


def _fill(fresh: Path, plan: Plan) -> None:
    """The new database, whole and on the disk, beside the old one: of the source its entries, and no page."""
    source = open_copy(plan.copy if plan.copy is not None else plan.record)
    target = sqlite3.connect(fresh, isolation_level=None)
    try:
        take_rows(source.connection, target)
        chain = follow(target)
    finally:
        target.close()
        source.close()
    if not chain.whole or (chain.last.seq, chain.last.hash) != (plan.will_have.seq, plan.will_have.hash):
        raise RecordingStopped("the copy changed while it was read", "try again")
    with fresh.open("rb+") as handle:
        os.fsync(handle.fileno())


def _keep_aside(plan: Plan, at: datetime) -> Path | None:
    """Everything that is replaced, by second names in a folder of its own: nothing is gone at any moment."""
    record = plan.record
    there = [path for path in _files_of(record) if path.exists()]
    copies = [one.path for one in copies_in(record.parent / COPIES_FOLDER) if not _stands(plan, one)]
    if not there and not copies:
        return None
    folder = _new_folder(record.with_name(f"record.replaced-{at.astimezone():%Y-%m-%d-%H%M%S}"))
    for path in there:
        _second_name(path, folder / path.name)
    if copies:
        (folder / COPIES_FOLDER).mkdir()
    for path in copies:  # no witness of the record as it will be
        path.rename(folder / COPIES_FOLDER / path.name)
    elsewhere = made_elsewhere(record)
    if (fitting := [one for one in elsewhere if _stands(plan, one)]) != elsewhere:
        note_only(record, fitting)
    sync_folder(folder)
    sync_folder(record.parent)
    return folder


def _stands(plan: Plan, copy: Copy) -> bool:
    """True when a copy is of the record as it will be: its end is in there."""
    if plan.how == "begun anew":
        return False
    source = open_copy(plan.copy if plan.copy is not None else plan.record)
    try:
        return hash_at(source.connection, copy.seq).startswith(copy.hash_begins)
    finally:
        source.close()


def _second_name(path: Path, to: Path) -> None:
    """The same file under a second name; a copy of it where the disk knows no second names."""
    try:
        os.link(path, to)
    except OSError:
        shutil.copyfile(path, to)
        with to.open("rb+") as handle:
            os.fsync(handle.fileno())


def _new_folder(wanted: Path) -> Path:
    folder, number = wanted, 1
    while True:
        try:
            folder.mkdir()
        except FileExistsError:
            number += 1
            folder = wanted.with_name(f"{wanted.name}-{number}")
        else:
            return folder


def _fits(record: Path) -> bool:
    known = HeadFile(head_path(record)).read() or Head()
    return entries_go_on(record, known.in_file)


def _parted(record: Path, copy: Head, had: Head) -> bool:
    """True when a copy is not an earlier state of this record, as far as that can be told."""
    if had.first and copy.first != had.first:
        return True
    if copy.seq == had.seq:
        return not copy.hash.startswith(had.hash)
    return _read(record, lambda connection: _is_not_in(connection, copy))


def _is_not_in(connection: sqlite3.Connection, copy: Head) -> bool:
    return last_event(connection).seq >= copy.seq and hash_at(connection, copy.seq) != copy.hash


def _read(record: Path, what: Callable[[sqlite3.Connection], bool]) -> bool:
    if not holds_something(record):
        return False
    try:
        opened = open_copy(record)
        try:
            return what(opened.connection)
        finally:
            opened.close()
    except BROKEN:
        return False
