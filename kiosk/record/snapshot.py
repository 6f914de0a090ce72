"""The state as it was some events ago, so that a start does not depend on how long the history is.

A convenience and nothing more: the journal is the truth. A snapshot counts only when its check sum fits, the
journal still has the event it was made at, and the code that folds is the same; else it is as if there were
none. Nothing here may stop a start.
"""

import hashlib
import sqlite3
from base64 import b64decode, b64encode
from functools import cache
from pathlib import Path

from kiosk import dataclass
from kiosk import packed as packing
from kiosk.packed import pack, unpack
from kiosk.record import (
    apply,
    belief,
    events,
    learning,
    lessons,
    rename,
    sittings,
    state,
    tell_apart,
    upcasters,
)
from kiosk.record.migrations import SNAPSHOT_TABLE
from kiosk.record.state import State
from kiosk.shop import fields, parts, procedure

FOLDING = (
    *(events, upcasters, apply, belief, learning, lessons, tell_apart, rename, sittings, state),
    *(procedure, parts, fields, packing, dataclass),
)


@cache
def fold_code() -> str:
    """A mark of the code that folds: a snapshot made by other code is not used."""
    digest = hashlib.sha256()
    for module in FOLDING:
        digest.update(Path(str(module.__file__)).read_bytes())
    return digest.hexdigest()[:16]


def packed(current: State) -> str:
    """A state as text, for a column of the record's that holds text."""
    return b64encode(pack(current)).decode("ascii")


def unpacked(text: str) -> State:
    """The state that was packed. Raises nearly any exception where the text is no such."""
    found = unpack(b64decode(text, validate=True))
    if not isinstance(found, State):
        raise TypeError("no state")
    return found


def read(connection: sqlite3.Connection) -> State | None:
    """The state at the last snapshot; None when there is none that can be believed, for whatever reason."""
    try:
        row = connection.execute("SELECT seq,hash,code,body FROM snapshot").fetchone()
        if row is None:
            return None
        seq, event_hash, code, text = row
        check_sum, _, body = text.partition("\n")
        found = connection.execute("SELECT hash FROM event WHERE seq=?", (seq,)).fetchone()
        if found is None or found[0] != event_hash or code != fold_code():
            return None
        if check_sum != _check_sum(seq, event_hash, code, body):
            return None
        kept = unpacked(body)
    except Exception:  # whatever is wrong with the row, the table or the disk: the journal does without it
        return None
    return kept if kept.seq == seq else None


def write(connection: sqlite3.Connection, current: State, event_hash: str) -> None:
    """Keep the state, inside a transaction. A table that was lost is made again."""
    connection.execute(SNAPSHOT_TABLE)
    code, body = fold_code(), packed(current)
    check_sum = _check_sum(current.seq, event_hash, code, body)
    connection.execute(
        "INSERT OR REPLACE INTO snapshot VALUES (1,?,?,?,?)",
        (current.seq, event_hash, code, f"{check_sum}\n{body}"),
    )


def _check_sum(seq: int, event_hash: str, code: str, body: str) -> str:
    return hashlib.sha256("\n".join((str(seq), event_hash, code, body)).encode()).hexdigest()
