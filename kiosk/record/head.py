"""The record's second witness: how far it had come, kept in a small file outside the database.

A chain of hashes shows that nothing in the middle was changed; it cannot show that its end is gone, or that
an older copy was put back. So the number and hash of the last event are also kept in ``record.head``. The
file is written after the commit and never before it: after a power cut it may be behind the database, which
is in order, and the database is never behind it unless something was lost.

Two slots are written in turn, each with its own check sum: when a power cut tears one, the other is whole.
"""

import fcntl
import hashlib
import json
import os
import threading
from dataclasses import asdict, replace
from pathlib import Path

from kiosk.dataclass import dataclass
from kiosk.record.troubles import in_one_line

SLOT_BYTES = 512  # a sector: no disk tears one slot by writing the other
NO_HASH = "0" * 64  # before the first event


@dataclass(frozen=True)
class Head:
    """How far a record has come. ``first`` is the hash of its first event, and tells one record from another.

    ``in_file`` is the last event known to be in the database file itself: it cannot be lost with the WAL.
    """

    seq: int = 0
    hash: str = NO_HASH
    first: str = ""
    in_file: int = 0


class HeadFile:
    """The file. Everything here is plain text, to be read by eye too."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def read(self) -> Head | None:
        """The newest head that is whole; None when there is none."""
        try:
            found = [_head_in(slot) for slot in _slots(self.path.read_bytes())]
        except OSError:
            return None
        return _newest(found)

    def keep(self, head: Head) -> None:
        """Write a head to the disk, unless a newer one of this record is there. Raises OSError."""
        fresh = not self.path.exists()
        if fresh:
            self.path.touch()
        with self.path.open("rb+", buffering=0) as file:
            fcntl.flock(file, fcntl.LOCK_EX)  # held for one write at most
            found = [_head_in(slot) for slot in _slots(file.read())]
            known = _newest(found)
            if known is not None and known.first == head.first:
                head = replace(head, in_file=max(head.in_file, known.in_file))
                if known.seq > head.seq or known == head:
                    return
            to = next(at for at, one in enumerate(found) if one is None or one != known)
            file.seek(to * SLOT_BYTES)
            file.write(_slot_of(head))
            os.fsync(file)  # fdatasync, which asks for less, is not everywhere
        if fresh:
            sync_folder(self.path.parent)


class HeadKeeper:
    """Writes the head in a thread of its own: a tap neither waits for it nor fails with it."""

    def __init__(self, file: HeadFile) -> None:
        self.file = file
        self.trouble = ""  # why the last head could not be written
        self._wanted: Head | None = None
        self._ended = False
        self._changed = threading.Condition()
        self._thread: threading.Thread | None = None

    def tell(self, head: Head) -> None:
        """This is how far the record has come, on the disk."""
        with self._changed:
            self._wanted = head
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, name="head", daemon=True)
                self._thread.start()
            self._changed.notify()

    def close(self) -> None:
        """Write what is still wanted, and end."""
        with self._changed:
            self._ended = True
            thread = self._thread
            self._changed.notify()
        if thread is not None:
            thread.join()

    def _run(self) -> None:
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._wanted is not None or self._ended)
                head, self._wanted = self._wanted, None
            if head is None:
                return
            try:
                self.file.keep(head)
            except OSError as error:
                self.trouble = f"{self.file.path.name} cannot be written ({in_one_line(error)})"
            else:
                self.trouble = ""


def head_path(record: Path) -> Path:
    """Where the head of a record is kept."""
    return record.with_suffix(".head")


def sync_folder(folder: Path) -> None:
    """Put a folder's names on the disk, after a file in it was made or renamed. Raises OSError."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _newest(found: list[Head | None]) -> Head | None:
    whole = [head for head in found if head is not None]
    return max(whole, key=lambda head: (head.seq, head.in_file), default=None)


def _slots(text: bytes) -> tuple[bytes, bytes]:
    return text[:SLOT_BYTES], text[SLOT_BYTES:]


def _slot_of(head: Head) -> bytes:
    fields = json.dumps(asdict(head))
    line = f"{_check_sum(fields)} {fields}".ljust(SLOT_BYTES)
    return line.encode()[:-1] + b"\n"


def _head_in(slot: bytes) -> Head | None:
    try:
        check_sum, _, fields = slot.decode().strip().partition(" ")
        if check_sum != _check_sum(fields):
            return None
        return Head(**json.loads(fields))
    except (ValueError, TypeError):
        return None


def _check_sum(fields: str) -> str:
    return hashlib.sha256(fields.encode()).hexdigest()[:16]
