"""Which screens are alive on a shop. A power cut or a kill releases the lock, and so shows afterwards."""

import contextlib
import fcntl
from pathlib import Path
from typing import IO

from kiosk.errors import KioskError


class Presence:
    """Holds a lock for as long as this screen runs."""

    def __init__(self, folder: Path, run: str) -> None:
        self._folder = folder
        try:
            folder.mkdir(exist_ok=True)
        except FileExistsError:
            raise KioskError(f"{folder} is a file, not a folder", "move it away") from None
        self._path = folder / run
        self._handle: IO[str] = self._path.open("w")
        fcntl.flock(self._handle, fcntl.LOCK_EX)

    def others_alive(self) -> bool:
        """True when another screen is running on this shop. Marks left by dead ones are swept away."""
        alive = False
        for path in self._folder.iterdir():
            if path == self._path:
                continue
            with contextlib.suppress(FileNotFoundError), path.open("r+") as handle:
                try:
                    fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                except BlockingIOError:
                    alive = True
                else:
                    path.unlink(missing_ok=True)
        return alive

    def close(self) -> None:
        """This screen goes."""
        self._path.unlink(missing_ok=True)
        self._handle.close()
