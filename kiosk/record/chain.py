"""The chain of hashes: each event's is made of its columns and of the hash before it.

Whoever changes, drops or reorders an event breaks it from there on. It has no key: whoever can write the
whole file can make a new chain, which only a witness outside the file can show (``head.py``, ``copies.py``).
"""

import hashlib
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from kiosk.dataclass import dataclass
from kiosk.record.head import NO_HASH, Head
from kiosk.record.rows import COLUMNS
from kiosk.record.troubles import in_one_line

AT_ONCE = 2000  # rows of one read, so that none holds the WAL open


@dataclass(frozen=True)
class Chain:
    """How far a chain was followed: to ``last``, and what is wrong with the event after it, if it is."""

    last: Head
    bad: int | None = None
    what: str = ""

    @property
    def whole(self) -> bool:
        """True when every event fits the one before it."""
        return self.bad is None


def event_hash(before: str, row: Sequence[object]) -> str:
    """The hash of an event's columns, chained to the hash of the event before it."""
    text = "\x1f".join([before, *(str(value) for value in row)])
    return hashlib.sha256(text.encode()).hexdigest()


def follow(
    connection: sqlite3.Connection, after: int = 0, between: Callable[[int], bool] | None = None
) -> Chain:
    """Follow the chain after an event to its end. An event that cannot be read is told by its number.

    ``between`` is called with the number reached after every few events, and ends it early by giving False.
    """
    before = hash_at(connection, after)
    first = hash_at(connection, 1) if after else ""
    at = after
    reached: int | None = None
    while reached != at:  # until a read brings nothing more
        reached = at
        try:
            rows = _some(connection, at)
        except (sqlite3.Error, UnicodeDecodeError) as error:
            bad, what = _unreadable(connection, at, error)
            return Chain(Head(at, before, first), bad, what)
        for *row, own in rows:
            number = at + 1
            if number not in row[:1]:
                return Chain(Head(at, before, first), number, f"event {number} is missing")
            if event_hash(before, row) != own:
                what = f"event {number} is not what was recorded: its hash does not fit"
                return Chain(Head(at, before, first), number, what)
            at, before = number, own
            first = first or own
        if between is not None and not between(at):
            break
    return Chain(Head(at, before, first))


def last_event(connection: sqlite3.Connection) -> Head:
    """The number and hash of the last event, unchecked; of none in an empty record."""
    for seq, own in connection.execute("SELECT seq,hash FROM event ORDER BY seq DESC LIMIT 1").fetchall():
        return Head(seq, own, hash_at(connection, 1))
    return Head()


def hash_at(connection: sqlite3.Connection, seq: int) -> str:
    """The hash of an event; of the beginning when there is none."""
    for (found,) in connection.execute("SELECT hash FROM event WHERE seq=?", (seq,)).fetchall():
        return str(found)
    return NO_HASH


def _some(connection: sqlite3.Connection, after: int) -> list[tuple[Any, ...]]:
    wanted = f"SELECT {COLUMNS},hash FROM event WHERE seq>? ORDER BY seq LIMIT {AT_ONCE}"
    return connection.execute(wanted, (after,)).fetchall()


def unreadable(connection: sqlite3.Connection, after: int) -> Iterator[tuple[int, Exception]]:
    """The events after a number, among the next few, that the database cannot give, with its reason."""
    wanted = f"SELECT seq FROM event WHERE seq>? ORDER BY seq LIMIT {AT_ONCE}"
    try:
        numbers = [number for (number,) in connection.execute(wanted, (after,)).fetchall()]
    except (sqlite3.Error, UnicodeDecodeError):
        return
    for number in numbers:
        try:
            connection.execute(f"SELECT {COLUMNS},hash FROM event WHERE seq=?", (number,)).fetchall()
        except (sqlite3.Error, UnicodeDecodeError) as error:
            yield number, error


def _unreadable(connection: sqlite3.Connection, after: int, error: Exception) -> tuple[int, str]:
    for number, worse in unreadable(connection, after):
        return number, f"event {number} cannot be read ({in_one_line(worse)})"
    first = after + 1
    return first, f"the events from {first} on cannot be read ({in_one_line(error)})"
