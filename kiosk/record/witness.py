"""What is known of a record outside its database, and whether the database agrees: told apart in plain words.

Two witnesses: the head file beside it, and, where that is gone, the copies, whose names say how far they go.
"""

import sqlite3
from pathlib import Path

from kiosk.dataclass import dataclass
from kiosk.record.chain import follow, hash_at, last_event
from kiosk.record.copies import COPIES_FOLDER, DAMAGED_INDEX, carried_head, copies_in
from kiosk.record.head import Head, HeadFile, head_path
from kiosk.record.opening import entries_go_on, holds_something, wal_belongs, wal_of
from kiosk.record.stopped import DamagedRecord, NotAsWitnessed, RecordLost
from kiosk.record.troubles import BROKEN, told


@dataclass(frozen=True)
class Known:
    """How far a record is known to have come, and what says so."""

    head: Head
    by: str


def known_of(path: Path) -> Known | None:
    """What is known of a record outside it; None where nothing ever was kept."""
    head = HeadFile(head_path(path)).read()
    if head is not None and head.seq:
        return Known(head, head_path(path).name)
    copies = copies_in(path.parent / COPIES_FOLDER)
    if copies:
        newest = copies[-1]
        return Known(Head(newest.seq, newest.hash_begins), f"{COPIES_FOLDER}/{newest.path.name}")
    return None


def refuse_lost(path: Path, known: Known | None) -> None:
    """Refuse to begin a record where there was one. Raises RecordLost."""
    if holds_something(path):
        return
    how = "is empty" if path.exists() else "is missing"
    if known is not None:
        raise RecordLost(
            f"{path} {how}, and there was a record: {known.by} knows {known.head.seq} events",
            what_to_do(path),
        )
    if holds_something(wal_of(path)):
        raise RecordLost(
            f"{path} {how}, and there was a record: its {wal_of(path).name} is there", what_to_do(path)
        )


def refuse_foreign_wal(path: Path, known: Known | None, *, thoroughly: bool = False) -> None:
    """Refuse a WAL that is of another database file: opened together they ruin each other.

    Raises NotAsWitnessed; DamagedRecord where the entries go on in it all the same: then none need be lost.
    """
    in_file = (known.head if known is not None else Head()).in_file
    if not wal_belongs(path, in_file, thoroughly=thoroughly):
        if entries_go_on(path, in_file):
            raise DamagedRecord(
                f"{path} is {DAMAGED_INDEX}, and every entry is there",
                f"kiosk restore {path.parent} --as-it-is makes that anew and keeps every entry",
            )
        raise NotAsWitnessed(
            f"{path.name} and {wal_of(path).name} in {path.parent} do not fit together: an older copy was put"
            " back by hand under a newer WAL",
            f"kiosk restore {path} {path.parent} takes the copy and keeps the WAL aside",
        )


def require_fitting(path: Path) -> Known | None:
    """For who only reads: a record that was not lost, with no WAL but its own. Gives what is known of it.

    Raises RecordingStopped.
    """
    known = known_of(path)
    refuse_lost(path, known)
    try:
        refuse_foreign_wal(path, known)
    except BROKEN as error:
        raise told(error, path, f"the record {path} cannot be read") from None
    return known


def refuse_other(path: Path, connection: sqlite3.Connection, known: Known | None) -> Head:
    """Compare what was opened with what is known outside; gives its last event.

    Raises RecordLost or NotAsWitnessed: a lost tail, an older copy, another record, a changed event.
    """
    last = last_event(connection)
    if known is None:
        return last
    head = known.head
    if last.seq == 0:
        raise RecordLost(
            f"{path} holds no event, and there was a record: {known.by} knows {head.seq} events",
            what_to_do(path),
        )
    if head.first and last.first != head.first:
        raise NotAsWitnessed(
            f"{path} is another record: event 1 is not the one that {known.by} knows", what_to_do(path)
        )
    if last.seq < head.seq:
        raise NotAsWitnessed(_shorter(path, connection, last, head), what_to_do(path))
    if not hash_at(connection, head.seq).startswith(head.hash):
        raise NotAsWitnessed(_changed(path, connection, head, known.by), what_to_do(path))
    return last


def what_to_do(path: Path) -> str:
    """How a person goes on when the record is not what it was."""
    return f"kiosk restore {path.parent} shows what can be done"


def _shorter(path: Path, connection: sqlite3.Connection, last: Head, head: Head) -> str:
    lost = f"event {head.seq} is" if head.seq == last.seq + 1 else f"events {last.seq + 1} to {head.seq} are"
    carried = carried_head(connection)
    if last.seq < head.in_file or (
        carried is not None and (carried.seq, carried.hash) == (last.seq, last.hash)
    ):
        return f"{path} is an older copy: it ends at event {last.seq}, and {lost} not in it"
    return f"{path} has lost its end: it stops at event {last.seq}, and {lost} gone"


def _changed(path: Path, connection: sqlite3.Connection, head: Head, by: str) -> str:
    chain = follow(connection)
    if not chain.whole:
        return f"{path} is damaged: {chain.what}"
    return f"{path} was written anew: event {head.seq} is not the one that {by} knows"
