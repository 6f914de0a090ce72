"""The state as it was some events ago, so that a start does not depend on how long the history is.

A convenience and nothing more: the journal is the truth. A snapshot counts only when its check sum fits, the
journal still has the event it was made at, and both the code that folds and the time zone, by which days
begin, are the same; else it is as if there were none. Nothing here may stop a start.
"""

import hashlib
import sqlite3
import time
from base64 import b64decode, b64encode
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import fields
from datetime import UTC, datetime
from functools import partial
from itertools import pairwise
from textwrap import shorten

from kiosk.dataclass import dataclass
from kiosk.packed import code_mark, pack, unpack
from kiosk.record.migrations import SNAPSHOT_TABLE
from kiosk.record.state import FIRST_DAY, State

FOLDING = ("record", "shop", "numbers")  # the packages that the fold is made of
_FORTNIGHTS = 520  # twenty years from the first day of a true entry on
_FORTNIGHT_S = 1_209_600  # in which no zone sets its clocks twice
_QUARTER_S = 900  # on which all of them do
_NAMED = 3  # of what differs


@dataclass(frozen=True)
class Found:
    """The state that a snapshot holds, or why there is none: nothing is wrong with one of other code, of
    another zone or of a record that was put back."""

    state: State | None = None
    wrong: str = ""


def made_by() -> str:
    """What a snapshot is made by: one that was made by other code, or in another zone, is not used."""
    return hashlib.sha256(f"{code_mark(*FOLDING)} {_zone()}".encode()).hexdigest()


def _zone() -> str:
    """The house's time zone, by when its clocks were set and will be: to each day belong the same moments."""
    first = int(datetime.fromisoformat(FIRST_DAY).replace(tzinfo=UTC).timestamp())
    looks = range(first, first + _FORTNIGHTS * _FORTNIGHT_S, _FORTNIGHT_S)
    changes = [(first, _offset_s(first))]
    for look, (before, after) in zip(looks, pairwise(map(_offset_s, looks)), strict=False):
        if before != after:
            quarters = range(look, look + _FORTNIGHT_S, _QUARTER_S)
            later = bisect_left(quarters, True, key=partial(_is_set, before))
            changes.append((look + later * _QUARTER_S, after))
    return str(changes)


def _is_set(before_s: int, at_s: int) -> bool:
    """True once the clock shows something else than before."""
    return _offset_s(at_s) != before_s


def _offset_s(at_s: int) -> int:
    """Seconds that the house's clock shows more than UTC."""
    return time.localtime(at_s).tm_gmtoff


def packed(current: State) -> str:
    """A state as text, for a column of the record's that holds text."""
    return b64encode(pack(current)).decode("ascii")


def unpacked(text: str) -> State:
    """The state that was packed. Raises nearly any exception where the text is no such."""
    return unpack(b64decode(text, validate=True), State)


def read(connection: sqlite3.Connection) -> Found:
    """The state at the last snapshot, where there is one that can be believed."""
    try:
        row = connection.execute("SELECT seq,hash,code,body FROM snapshot").fetchone()
        if row is None:
            return Found()
        seq, event_hash, code, text = row
        if code != made_by():
            return Found()
        if connection.execute("SELECT hash FROM event WHERE seq=?", (seq,)).fetchall() != [(event_hash,)]:
            return Found()
        check_sum, _, body = text.partition("\n")
        if check_sum != _check_sum(seq, event_hash, code, body):
            return Found(wrong="its check sum does not fit")
        kept = unpacked(body)
    except Exception as error:  # whatever is wrong with the row, the table or the disk
        return Found(wrong=shorten(str(error), 80) or type(error).__name__)
    return Found(kept) if kept.seq == seq else Found(wrong=f"it is of event {kept.seq}, not {seq}")


def differences(kept: State, worked_out: State) -> str:
    """Where a snapshot is not what the entries say, in words; empty where it is."""
    return ", ".join(_differences(kept, worked_out))


def _differences(kept: State, worked_out: State) -> Iterator[str]:
    for one in fields(State):
        has, wanted = getattr(kept, one.name), getattr(worked_out, one.name)
        if has == wanted:
            continue
        name = one.name.replace("_", " ")
        if not isinstance(wanted, dict):
            yield name
            continue
        keys = [str(key) for key in {**wanted, **has} if has.get(key) != wanted.get(key)]
        more = f" and {len(keys) - _NAMED} more" if len(keys) > _NAMED else ""
        yield f"{name} ({', '.join(keys[:_NAMED])}{more})"


def write(connection: sqlite3.Connection, current: State, event_hash: str) -> None:
    """Keep the state, inside a transaction. A table that was lost is made again."""
    connection.execute(SNAPSHOT_TABLE)
    code, body = made_by(), packed(current)
    check_sum = _check_sum(current.seq, event_hash, code, body)
    connection.execute(
        "INSERT OR REPLACE INTO snapshot VALUES (1,?,?,?,?)",
        (current.seq, event_hash, code, f"{check_sum}\n{body}"),
    )


def _check_sum(seq: int, event_hash: str, code: str, body: str) -> str:
    return hashlib.sha256("\n".join((str(seq), event_hash, code, body)).encode()).hexdigest()
