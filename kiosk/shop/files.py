"""The bytes of a file that a person wrote: a plain file of a sensible size, or why it is none.

A pipe would never end, a device has no size, and a folder can be called ``rib.yaml``. Everything that reads a
builder's file reads it here, so that each of them is one line and never a wait.
"""

import os
import stat
from pathlib import Path

from kiosk.errors import KioskError

LARGEST_BYTES = 1024 * 1024
_KINDS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


class Unreadable(KioskError):
    """The file cannot be read as one."""


def read_bytes(path: Path, most: int = LARGEST_BYTES) -> bytes:
    """The content of a plain file of at most so many bytes. Raises Unreadable, without waiting."""
    try:
        _require_plain(path.stat(), most)  # before it is opened: opening can already do something to a device
        # Not to wait for the other end of a pipe that was put there in between.
        with os.fdopen(os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC), "rb") as handle:
            _require_plain(os.fstat(handle.fileno()), most)
            raw = handle.read(most + 1)
    except OSError as error:
        reason = (error.strerror or "no reason given").lower()
        raise Unreadable(f"cannot be read ({reason})", "check the name and the permissions") from None
    except ValueError:
        raise Unreadable("is no name that a file can have", "correct the name") from None
    if len(raw) > most:
        raise _too_large(len(raw), most)
    return raw


def _require_plain(found: os.stat_result, most: int) -> None:
    if not stat.S_ISREG(found.st_mode):
        kind = next((words for is_kind, words in _KINDS if is_kind(found.st_mode)), "something else")
        raise Unreadable(f"is {kind}, not a file", "move it away, or name a file")
    if found.st_size > most:
        raise _too_large(found.st_size, most)


def _too_large(size: int, most: int) -> Unreadable:
    mib = 1024 * 1024
    return Unreadable(
        f"is {size / mib:.1f} MiB, over the limit of {most / mib:g} MiB", "split it, or name the right file"
    )


def read_text(path: Path, most: int = LARGEST_BYTES) -> str:
    """The text of a plain UTF-8 file. Raises Unreadable."""
    try:
        return read_bytes(path, most).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Unreadable("is no UTF-8 text", "save it as UTF-8") from None
