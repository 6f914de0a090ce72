"""The bytes of a file that a person wrote: a plain file of a sensible size, or why it is none.

A pipe would never end, a device has no size, and a folder can be called ``rib.yaml``. Everything that reads a
builder's file reads it here, so that each of them is one line and never a wait.
"""

import os
import stat
from collections.abc import Mapping
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
    return text_of(read_bytes(path, most))


def text_of(raw: bytes) -> str:
    """What the bytes of a file say in UTF-8. Raises Unreadable."""
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Unreadable("is no UTF-8 text", "save it as UTF-8") from None


class ReadOnce:
    """Files of a folder by their names, such as a section's coordinates: what was read first counts."""

    def __init__(self, folder: Path, as_read: Mapping[str, bytes | None] | None = None) -> None:
        """``as_read`` are those that were read before, by name; None for one that could not be."""
        self._folder = folder
        self._read: dict[str, bytes | Unreadable] = {}
        for name, content in (as_read or {}).items():
            if content is None:
                self.look(name)
            else:
                self._read[name] = content

    def look(self, name: str) -> bytes | Unreadable:
        """The content of a file or why there is none; the same for ever after."""
        if name not in self._read:
            try:
                self._read[name] = read_bytes(self.path(name))
            except Unreadable as error:
                self._read[name] = error
        return self._read[name]

    def text(self, name: str) -> str:
        """What a file says. Raises Unreadable."""
        found = self.look(name)
        if isinstance(found, Unreadable):
            raise found.with_traceback(None)
        return text_of(found)

    def path(self, name: str) -> Path:
        """Where a file lies."""
        return self._folder / name

    @property
    def as_read(self) -> dict[str, bytes | None]:
        """Every file that was looked at, by name; None for one that could not be read."""
        return {name: None if isinstance(one, Unreadable) else one for name, one in self._read.items()}

    def are_unchanged(self) -> bool:
        """True while every file is as it was read."""
        return all(content_of(self.path(name)) == content for name, content in self.as_read.items())


def content_of(path: Path) -> bytes | None:
    """The bytes of a file; None when it cannot be read."""
    try:
        return read_bytes(path)
    except Unreadable:
        return None
