"""The one place that everything a command prints goes through: what does not show is made visible.

Names, notes and file names come from files, from the record and from the command line. None of them may move
the cursor, clear the terminal or change the direction of a line.
"""

import sys
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from typing import Any, TextIO, cast

from kiosk.shop.characters import visible


class _Visible:
    """A stream to print to, which is the other in everything else."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Write the text with each hidden character written out."""
        self._stream.write(visible(text))
        return len(text)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


@contextmanager
def printed_visibly() -> Iterator[None]:
    """Whatever is printed inside goes through here."""
    out, err = cast(TextIO, _Visible(sys.stdout)), cast(TextIO, _Visible(sys.stderr))
    with redirect_stdout(out), redirect_stderr(err):
        yield
