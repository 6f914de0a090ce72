"""One lock file for everything that writes: waited for as long as a person would, and no longer."""

import contextlib
import fcntl
import random
import time
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from kiosk.record.troubles import busy

WAIT_S = 0.6  # with SQLite's own wait, within a second of the press
_BETWEEN_S = (0.001, 0.008)  # between two tries: uneven, so that two screens do not keep in step


@contextlib.contextmanager
def locked(path: Path, wait_s: float = WAIT_S) -> Iterator[None]:
    """Hold the lock file. Raises RecordBusy when it is not free in time, OSError when it cannot be made."""
    with path.open("a") as handle:
        _take(handle, wait_s)
        try:
            yield
        finally:
            fcntl.flock(handle, fcntl.LOCK_UN)


def _take(handle: IO[str], wait_s: float) -> None:
    ends = time.monotonic() + wait_s
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() >= ends:
                raise busy() from None
            time.sleep(random.uniform(*_BETWEEN_S))
        else:
            return
