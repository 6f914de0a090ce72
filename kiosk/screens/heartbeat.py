"""Tells the keeper of a wall screen that the screen still answers, and learns when there is none any more."""

import contextlib
import os

BEAT_S = 2.0


class Heartbeat:
    """The screen's end of a pipe whose other end the keeper reads. It is beaten from the loop that draws and
    hears presses: one that hangs beats no more."""

    def __init__(self, pipe: int) -> None:
        os.set_blocking(pipe, False)
        self._pipe = pipe

    def beat(self) -> bool:
        """Beat once. False when nobody listens: the keeper was killed, and nothing would start this again."""
        try:
            os.write(self._pipe, b".")
        except BlockingIOError:
            pass  # a keeper that was stopped for a while
        except OSError:
            return False
        return True

    def end(self) -> None:
        """The screen leaves, which may take longer than a beat."""
        with contextlib.suppress(OSError):
            os.close(self._pipe)
