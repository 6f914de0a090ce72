"""Which screens are alive on a shop. A power cut or a kill releases the lock, and so shows afterwards."""

import contextlib
import fcntl
import os
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from kiosk.errors import KioskError


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
        with contextlib.suppress(OSError):  # a full disk: what is recorded tells of a person too
            os.pwrite(self._handle.fileno(), said, 0)

    def last_pressed_s(self, boot: str) -> float | None:
        """When something was last pressed at another screen, in this boot; None where nothing was."""
        return max(self._presses(boot), default=None)

    def _presses(self, boot: str) -> Iterator[float]:
        for path in self._folder.iterdir():
            if path != self._path and _is_held(path):
                with contextlib.suppress(OSError, ValueError):
                    said, _, seconds = path.read_text(encoding="utf-8").strip().rpartition(" ")
                    if said == boot:
                        yield float(seconds)

    def close(self) -> None:
        """This screen goes."""
        with contextlib.suppress(OSError):
            self._path.unlink(missing_ok=True)
        self._handle.close()


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
