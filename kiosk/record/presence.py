"""Which screens are alive on a shop. A power cut or a kill releases the lock, and so shows afterwards.

Each has a plain file of its own in one folder. Whatever else lies there is passed over: it is neither waited
for, nor taken away, nor able to stop a screen.
"""

import contextlib
import errno
import fcntl
import os
import re
import stat
import zlib
from collections.abc import Iterator
from io import FileIO
from pathlib import Path

from kiosk.errors import KioskError

_SAID_BYTES = 64  # more than a boot and its seconds take
_NS = 1_000_000_000
_COARSE_NS = 10_000_000  # exFAT keeps hundredths of a second, FAT two seconds, and neither a year before 1980
_YEARS_S = range(500_000_000, 900_000_000)  # 1985 to 1998: what a file's time counts from and how far
_OF_A_SCREEN = re.compile("[0-9a-f]{12}")  # what runs are called
_OPENED = os.O_NONBLOCK | os.O_NOFOLLOW | os.O_CLOEXEC  # never to wait for the other end of a pipe


class Presence:
    """Holds a lock for as long as this screen runs; the file is named for its run, and says when somebody
    last pressed something at it."""

    def __init__(self, folder: Path, run: str) -> None:
        self._folder = folder
        self._path = folder / run
        try:
            folder.mkdir(exist_ok=True)
        except FileExistsError:
            raise KioskError(f"{folder} is a file, not a folder", "move it away") from None
        self._handle = self._held()

    def _held(self) -> FileIO:
        """The file under this screen's lock. One that was swept away before it was locked is made again."""
        while True:
            with contextlib.suppress(OSError):
                if not _is_plain(self._path):
                    raise KioskError(f"{self._path} is no file of the kiosk's", "move it away")
            # Past any buffer, which would keep what a full disk refused and fail at closing.
            handle = FileIO(os.open(self._path, os.O_RDWR | os.O_CREAT | _OPENED, 0o644), "r+")
            fcntl.flock(handle, fcntl.LOCK_EX)
            with contextlib.suppress(FileNotFoundError):
                if self._path.stat().st_ino == os.fstat(handle.fileno()).st_ino:
                    handle.truncate(0)
                    with contextlib.suppress(OSError):  # room for what is said, should the disk fill up
                        os.pwrite(handle.fileno(), bytes(_SAID_BYTES), 0)
                    return handle
            handle.close()

    def others_alive(self) -> bool:
        """True when another screen is running on this shop. Marks left by dead ones are swept away."""
        alive = [_is_held(path) for path in self._others()]
        return any(alive)

    def _others(self) -> list[Path]:
        """All that lies beside this screen's file."""
        with contextlib.suppress(OSError):  # somebody took the folder away
            return [path for path in self._folder.iterdir() if path != self._path]
        return []

    def is_alive(self, run: str) -> bool:
        """True while the screen of this run lives; its own does."""
        return run == self._path.name or _is_held(self._folder / run)

    def pressed(self, boot: str, monotonic_s: float) -> None:
        """Somebody pressed something here, by the clock that all screens of this machine share."""
        # Seconds are written as wide as each other, so that nothing of the last ones is left behind.
        said = f"{boot} {monotonic_s:020.0f}\n".encode()
        try:
            os.pwrite(self._handle.fileno(), said, 0)
        except OSError:
            # A full disk: a file's time takes no room. Its second says when, its fraction the boot; a disk
            # that keeps no fractions tells it by years in which no file was made.
            at_ns = (_YEARS_S.start + round(monotonic_s)) * _NS + _fraction_ns(boot)
            with contextlib.suppress(OSError):
                os.utime(self._handle.fileno(), ns=(at_ns, at_ns))

    def last_pressed_s(self, boot: str) -> float | None:
        """When something was last pressed at another screen, in this boot; None where nothing was."""
        return max(self._presses(boot), default=None)

    def _presses(self, boot: str) -> Iterator[float]:
        for path in self._others():
            if _is_held(path):
                with contextlib.suppress(OSError, ValueError), _opened(path) as file:
                    seconds, fraction_ns = divmod(os.fstat(file).st_mtime_ns, _NS)
                    # Nobody holds a lock from one boot to the next: where the boot was not kept, it is this.
                    if seconds in _YEARS_S and (
                        fraction_ns == _fraction_ns(boot) or not fraction_ns % _COARSE_NS
                    ):
                        yield float(seconds - _YEARS_S.start)
                    text = os.pread(file, _SAID_BYTES, 0).decode()
                    said, _, written = text.strip("\0\n").rpartition(" ")
                    if said == boot:
                        yield float(written)

    def close(self) -> None:
        """This screen goes."""
        with contextlib.suppress(OSError):
            self._path.unlink()
        self._handle.close()


def _fraction_ns(boot: str) -> int:
    """The nanoseconds by which a file's time is told to be of this boot; never what a coarse disk keeps."""
    return zlib.crc32(boot.encode()) % _NS | 1  # odd, and what such a disk keeps is even


def _is_plain(path: Path) -> bool:
    """True for a file itself: no folder, pipe, device or link to one. Raises OSError."""
    return stat.S_ISREG(path.lstat().st_mode)


def _is_held(path: Path) -> bool:
    """True when a screen holds this file; one that a screen left and nobody holds is swept away."""
    with contextlib.suppress(OSError), _opened(path) as file:
        try:
            fcntl.flock(file, fcntl.LOCK_SH | fcntl.LOCK_NB)  # shared: two that look do not see each other
        except BlockingIOError:
            return True
        if _OF_A_SCREEN.fullmatch(path.name):
            path.unlink()
    return False


@contextlib.contextmanager
def _opened(path: Path) -> Iterator[int]:
    """A file of whoever made it, to read: that is enough to see whether it is held. Raises OSError."""
    if not _is_plain(path):  # before it is opened: opening can already do something to a device
        raise OSError(errno.EINVAL, "no plain file", str(path))
    file = os.open(path, os.O_RDONLY | _OPENED)
    try:
        yield file
    finally:
        os.close(file)
