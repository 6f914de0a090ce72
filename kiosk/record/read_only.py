"""Read a record without writing to it: for what compares it with files, or tells of it from a full disk."""

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from kiosk.record import apply, snapshot
from kiosk.record.events import ProcedureKept
from kiosk.record.rows import COLUMNS, event_of
from kiosk.record.state import State
from kiosk.record.stopped import RecordingStopped


@dataclass(frozen=True)
class Seen:
    """How everything stands by a record, and the words of procedures that were kept in it, oldest first."""

    state: State
    kept: tuple[ProcedureKept, ...]


def read_record(path: Path) -> Seen:
    """What a record says. Raises RecordingStopped when it cannot be read; nothing is written in any case."""
    # Nobody has it open: SQLite then need not make its files for sharing beside it (sqlite.org/uri.html).
    alone = not path.with_name(f"{path.name}-wal").exists()
    address = f"{path.absolute().as_uri()}?mode=ro{'&immutable=1' if alone else ''}"
    try:
        with closing(sqlite3.connect(address, uri=True)) as connection:
            start = snapshot.read(connection)
            rows = connection.execute(
                f"SELECT {COLUMNS} FROM event WHERE seq>? ORDER BY seq", (start.seq if start else 0,)
            )
            state = apply.fold((event_of(row) for row in rows), start)
            kept = connection.execute(f"SELECT {COLUMNS} FROM event WHERE kind='procedure_kept' ORDER BY seq")
            bodies = [event_of(row).body for row in kept]
    except (sqlite3.Error, UnicodeDecodeError, OSError) as error:
        raise RecordingStopped(
            f"the record {path} cannot be read ({' '.join(str(error).split())})",
            "check the disk, or restore a copy",
        ) from None
    return Seen(state, tuple(body for body in bodies if isinstance(body, ProcedureKept)))
