"""What a record says, for what compares it with files: nothing is written, and nothing is made."""

from pathlib import Path

from kiosk.dataclass import dataclass
from kiosk.record.events import ProcedureKept
from kiosk.record.journal import Record
from kiosk.record.state import State


@dataclass(frozen=True)
class Seen:
    """How everything stands by a record, and the words of procedures that were kept in it, oldest first."""

    state: State
    kept: tuple[ProcedureKept, ...]


def read_record(path: Path) -> Seen:
    """What a record says. Raises RecordingStopped when it cannot be read."""
    record = Record(path, reading=True)
    try:
        bodies = [event.body for event in record.journal.of_kind("procedure_kept")]
    finally:
        record.close()
    return Seen(record.state, tuple(body for body in bodies if isinstance(body, ProcedureKept)))
