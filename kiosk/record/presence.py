"""Which screens are alive on a shop. A power cut or a kill releases the lock, and so shows afterwards."""

import contextlib
import fcntl
import os
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from kiosk.errors import KioskError

_SAID_BYTES = 64  # more than a boot and its seconds take
_NS = 1_000_000_000


class Presence:
    """Holds a lock for as long as this screen runs; the file is named for its run, and says when somebody
    last pressed something at it."""

    def __init__(self, folder: Path, run: str) -> None:
        self._folder = folder
        self._path = folder / run
        try:
            folder.mkdir(exist_ok=True)
            self._handle = self._held()
        except FileExistsError:
            raise KioskError(f"{folder} is a file, not a folder", "move it away") from None

    def _held(self) -> IO[str]:
        """The file under this screen's lock. One that was swept away before it was locked is made again."""
        while True:
            handle = self._path.open("w")
            fcntl.flock(handle, fcntl.LOCK_EX)
            with contextlib.suppress(FileNotFoundError):
                if self._path.stat().st_ino == os.fstat(handle.fileno()).st_ino:
                    with contextlib.suppress(OSError):  # room for what is said, should the disk fill up
                        os.posix_fallocate(handle.fileno(), 0, _SAID_BYTES)
                    return handle
            handle.close()

    def others_alive(self) -> bool:
        """True when another screen is running on this shop. Marks left by dead ones are swept away."""
        alive = [_is_held(path) for path in self._folder.iterdir() if path != self._path]
        return any(alive)

    def is_alive(self, run: str) -> bool:
        """True while the screen of this run lives; its own does."""
        return run == self._path.name or _is_held(self._folder / run)

    def pressed(self, boot: str, monotonic_s: float) -> None:
        """Somebody pressed something here, by the clock that all screens of this machine share."""
        # Past the file's buffer, which would keep what a full disk refused and fail at closing. Seconds are
        # written as wide as each other, so that nothing of the last ones is left behind.
        said = f"{boot} {monotonic_s:020.0f}\n".encode()
        try:
            os.pwrite(self._handle.fileno(), said, 0)
        except OSError:
            # A full disk: a file's time takes no room. Its second says when, its fraction the boot.
            at_ns = round(monotonic_s) * _NS + _fraction_ns(boot)
            with contextlib.suppress(OSError):
                os.utime(self._handle.fileno(), ns=(at_ns, at_ns))

    def last_pressed_s(self, boot: str) -> float | None:
        """When something was last pressed at another screen, in this boot; None where nothing was."""
        return max(self._presses(boot), default=None)

    def _presses(self, boot: str) -> Iterator[float]:
        for path in self._folder.iterdir():
            if path != self._path and _is_held(path):
                with contextlib.suppress(OSError, ValueError):
                    seconds, fraction_ns = divmod(path.stat().st_mtime_ns, _NS)
                    if fraction_ns == _fraction_ns(boot):
                        yield float(seconds)
                    said, _, written = path.read_text(encoding="utf-8").strip("\0\n").rpartition(" ")
                    if said == boot:
                        yield float(written)

    def close(self) -> None:
        """This screen goes."""
        with contextlib.suppress(OSError):
            self._path.unlink(missing_ok=True)
        self._handle.close()


def _fraction_ns(boot: str) -> int:
    """The nanoseconds by which a file's time is told to be of this boot; never 0, as a coarse disk keeps."""
    return 1 + zlib.crc32(boot.encode()) % (_NS - 1)


def _is_held(path: Path) -> bool:
    """True when a screen holds this file; one that nobody holds is swept away."""
    try:
        with path.open("r+") as handle:
            try:
                fcntl.flock(
                    handle, fcntl.LOCK_SH | fcntl.LOCK_NB
                )  # shared: two that look do not see each other
            except BlockingIOError:
                return True
            path.unlink(missing_ok=True)
    except FileNotFoundError:
        pass
    return False
