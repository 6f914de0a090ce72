"""Puts a line into a record as another kiosk, or damage, would have written it."""

import json
import sqlite3
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from kiosk.record.chain import event_hash


def append_by_hand(
    path: Path,
    body: Mapping[str, Any] | str,
    *,
    kind: str | None = None,
    at: str = "2027-06-01T12:00:00+00:00",
    own_hash: str | None = None,
) -> int:
    """Append an event past the kiosk's checks, its hash right unless one is given. Gives its number."""
    connection = sqlite3.connect(path, isolation_level=None)
    last, before = connection.execute("SELECT seq,hash FROM event ORDER BY seq DESC LIMIT 1").fetchone()
    text = body if isinstance(body, str) else json.dumps(body)
    kind = kind or (str(body["kind"]) if isinstance(body, Mapping) else "note_written")
    row = (last + 1, f"by hand {last}", at, 1.0, "another run", "wren", 0, kind, text)
    connection.execute(
        "INSERT INTO event VALUES (?,?,?,?,?,?,?,?,?,?)", (*row, own_hash or event_hash(before, row))
    )
    connection.close()
    return int(last + 1)


def change_by_hand(path: Path, column: str, value: object, seq: int) -> None:
    """Change one column of an event, as bit rot or a stranger would: its hash then does not fit."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("DROP TRIGGER event_is_never_changed")
    connection.execute(f"UPDATE event SET {column}=? WHERE seq=?", (value, seq))
    connection.execute("DELETE FROM snapshot")
    connection.close()
