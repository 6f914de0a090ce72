"""The copy that a screen makes of the record when it closes up, beside everything else."""

import threading
from datetime import datetime
from pathlib import Path

from kiosk.errors import KioskError
from kiosk.record.copies import keep_copy


class CloseUpCopy:
    """One copy, made in a thread: closing up neither waits for it nor fails with it."""

    def __init__(self, record: Path, at: datetime) -> None:
        self._record = record
        self._at = at
        self._trouble = ""
        self._thread = threading.Thread(target=self._run, name="copy", daemon=True)

    def begin(self) -> None:
        """Begin."""
        self._thread.start()

    @property
    def trouble(self) -> str:
        """Why it was not made, as far as is known now; empty while it is being made, and when it was."""
        return self._trouble

    def wait(self) -> str:
        """Wait until it is made; gives why it was not, or nothing."""
        self._thread.join()
        return self._trouble

    def _run(self) -> None:
        try:
            keep_copy(self._record, self._at)
        except KioskError as error:
            self._trouble = str(error)
