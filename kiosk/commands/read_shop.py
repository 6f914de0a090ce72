"""Opens a shop for a command that only reads, also where nothing can be written; says how far it has read."""

from __future__ import annotations

import sys
import time
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # loaded by the command that runs, not by the help
    from kiosk.bench import Bench

SILENT_S = 0.5  # a person wonders after about a second
BETWEEN_S = 0.5


class ReadingWords:
    """Says on standard error how far the reading of a long record has come; of a quick one, nothing."""

    def __init__(self) -> None:
        self._said_at = time.monotonic() + SILENT_S - BETWEEN_S
        self._said = False

    def __call__(self, seq: int, of: int) -> None:
        """``seq`` events of ``of`` were read."""
        again = sys.stderr.isatty()  # the same line anew; in a file, one line is enough
        if seq >= of:
            if self._said and again:
                print("\r\x1b[K", end="", file=sys.stderr, flush=True)
            return
        if time.monotonic() - self._said_at < BETWEEN_S or (self._said and not again):
            return
        words = f"kiosk: reading the record, {seq:,} of {of:,} entries"
        print(f"\r{words}" if again else words, end="" if again else "\n", file=sys.stderr, flush=True)
        self._said_at, self._said = time.monotonic(), True


def read_shop(folder: Path) -> closing[Bench]:
    """The bench of a shop, to be read in a ``with``. Nothing is written, and nothing is made."""
    from kiosk.bench import Bench

    return closing(Bench(folder, reading=True, progress=ReadingWords()))
