"""What SQLite or the disk refused, told apart in plain words: full, not to be written, held, or damaged."""

import errno
import math
import os
import sqlite3
from pathlib import Path

from kiosk.record.stopped import RESTORE, CannotWrite, DamagedRecord, RecordBusy, RecordingStopped

# SQLite names a damaged table in its message, and the message itself may then be no UTF-8.
BROKEN = (sqlite3.Error, UnicodeDecodeError, OSError)

ROOM_BYTES = 65_536  # less than this is no room: SQLite's shared memory alone takes 32 KiB
_TENTH_MB = 100_000
_FULL = (errno.ENOSPC, errno.EDQUOT)
_NOT_WRITABLE = (errno.EROFS, errno.EACCES, errno.EPERM)


def in_one_line(error: Exception) -> str:
    """What an error says, which may quote a whole table."""
    return " ".join(str(error).split())


def told(error: Exception, path: Path, doing: str) -> RecordingStopped:
    """What to raise for an error met at the record's files; ``doing`` is said where nothing more is known."""
    name = getattr(error, "sqlite_errorname", "")
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return busy()
    number = error.errno if isinstance(error, OSError) else None
    if number == errno.ENOENT and not path.parent.exists():
        return folder_gone(path)
    unclear = name.startswith(("SQLITE_IOERR", "SQLITE_CANTOPEN"))
    if name.startswith("SQLITE_FULL") or number in _FULL or (unclear and not has_room(path.parent)):
        return disk_full()
    if (
        name.startswith("SQLITE_READONLY")
        or number in _NOT_WRITABLE
        or (unclear and path.exists() and not _is_writable(path))
    ):
        return CannotWrite(
            f"{path.parent} can be read and not written: nothing can be recorded",
            "make the folder writable, then press again",
        )
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")) or isinstance(error, UnicodeDecodeError):
        return DamagedRecord(f"the record {path} is damaged ({in_one_line(error)})", RESTORE)
    if unclear or isinstance(error, OSError):
        return RecordingStopped(f"{doing} ({in_one_line(error)})", f"check the disk, or {RESTORE}")
    return DamagedRecord(f"{doing} ({in_one_line(error)})", RESTORE)


def busy() -> RecordBusy:
    """What to raise when the record is held for longer than a person waits."""
    return RecordBusy("another program holds the record", "nothing is lost: press again")


def folder_gone(path: Path) -> RecordingStopped:
    """What to raise while the folder of the record is not where it was: a disk that was pulled, a rename."""
    return RecordingStopped(
        f"the folder {path.parent} is not there: nothing can be recorded",
        "put its disk or its name back, then press again",
    )


def disk_full() -> CannotWrite:
    """What to raise where there is no room for one more entry."""
    return CannotWrite("the disk is full: nothing can be recorded", "make room, then press again")


def has_room(folder: Path) -> bool:
    """True while the disk of a folder takes one more entry, as far as is known."""
    try:
        disk = os.statvfs(folder)
    except OSError:
        return True  # not known, so not claimed
    return disk.f_bavail * disk.f_frsize >= ROOM_BYTES


def require_room(folder: Path, needed_bytes: int, doing: str) -> None:
    """Raises CannotWrite, before anything is begun, where a disk has no room for so much more."""
    try:
        disk = os.statvfs(folder)
    except OSError:
        return  # not known, so not claimed
    free, needed = disk.f_bavail * disk.f_frsize, needed_bytes + ROOM_BYTES
    if free < needed:
        raise CannotWrite(
            f"{doing}: the disk of {folder} has no room,"
            f" {math.ceil(needed / _TENTH_MB) / 10} MB are wanted and {free // _TENTH_MB / 10} MB are free",
            "make room there, then try again",
        )


def _is_writable(path: Path) -> bool:
    read_only_mount = bool(os.statvfs(path.parent).f_flag & os.ST_RDONLY)
    return not read_only_mount and os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)
