"""One wall screen in a process of its own, drawn for a browser.

It speaks the packets of Textual's web driver (``textual/drivers/web_driver.py``): one byte for the kind, four
for the length, the highest first, and what is carried. ``D`` is what a terminal would be sent or would send,
``M`` is JSON beside it. What else an app may send, files and links to be opened, is dropped.
"""

import asyncio
import json
import os
import signal
import sys
from collections import deque
from collections.abc import AsyncIterator, Sequence
from contextlib import suppress
from pathlib import Path

from kiosk.errors import KioskError

DRIVER = "kiosk.screens.tablet:TabletDriver"
_READY = b"__GANGLION__\n"  # said by the driver before its first packet
_MOST_LINES_BEFORE = 10
_LARGEST_PACKET = 16 * 1024 * 1024
_MOST_WORDS = 4000  # bytes kept of what the process said on standard error
LEAVE_S = 3.0  # from being asked to leave until it is ended
END_S = 2.0  # and again until it is killed


def open_command(shop: Path) -> tuple[str, ...]:
    """What opens a shop's wall screen in a process of its own."""
    return (sys.executable, "-m", "kiosk", "open", str(shop))


class AppProcess:
    """A process that draws one screen."""

    def __init__(self, process: asyncio.subprocess.Process) -> None:
        self._process = process
        self._words: deque[int] = deque(maxlen=_MOST_WORDS)
        self._listening = asyncio.create_task(self._listen())

    @classmethod
    async def start(cls, command: Sequence[str], columns: int, rows: int) -> "AppProcess":
        """Start a screen of this size. Raises KioskError when the machine has no room for one more."""
        environment = {
            **os.environ,
            "TEXTUAL_DRIVER": DRIVER,
            "TEXTUAL_COLOR_SYSTEM": "truecolor",
            "COLUMNS": str(columns),
            "ROWS": str(rows),
        }
        try:
            process = await asyncio.create_subprocess_exec(
                *command,
                stdin=asyncio.subprocess.PIPE,
                stdout=asyncio.subprocess.PIPE,
                stderr=asyncio.subprocess.PIPE,
                env=environment,
                start_new_session=True,  # Ctrl+C at the server's terminal is the server's to pass on
            )
        except OSError as error:
            raise KioskError(f"no screen can be started ({error.strerror})", "try again") from None
        return cls(process)

    async def _listen(self) -> None:
        assert self._process.stderr is not None
        while said := await self._process.stderr.read(4096):
            self._words.extend(said)

    async def drawn(self) -> AsyncIterator[bytes]:
        """What it draws, until it ends."""
        out = self._process.stdout
        assert out is not None
        with suppress(asyncio.IncompleteReadError, ConnectionError, ValueError):
            for _ in range(_MOST_LINES_BEFORE):
                line = await out.readline()
                if line == _READY:
                    break
                if not line:
                    return
            else:
                return
            while True:
                head = await out.readexactly(5)
                size = int.from_bytes(head[1:], "big")
                if size > _LARGEST_PACKET:
                    return
                carried = await out.readexactly(size)
                if head[:1] == b"D":
                    yield carried

    async def type(self, text: str) -> None:
        """Send what a terminal would: keys and taps."""
        await self._send(_packet(b"D", text))

    async def resize(self, columns: int, rows: int) -> None:
        """The page has another size."""
        await self._send(_packet(b"M", json.dumps({"type": "resize", "width": columns, "height": rows})))

    async def draw_anew(self) -> None:
        """Draw all of it: another page looks on, on which nothing stands yet."""
        await self._send(_packet(b"M", json.dumps({"type": "draw_anew"})))

    async def _send(self, packet: bytes) -> None:
        into = self._process.stdin
        assert into is not None
        with suppress(ConnectionError, RuntimeError):  # it is ending: whoever reads its drawing is told
            into.write(packet)
            await into.drain()

    async def ended(self) -> tuple[int, str]:
        """Wait for its end; gives its exit code and the last lines that it said."""
        code = await self._process.wait()
        with suppress(TimeoutError):
            async with asyncio.timeout(END_S):
                await asyncio.shield(self._listening)
        words = bytes(self._words).decode("utf-8", "replace").strip()
        return code, words or (f"it was ended from outside (signal {-code})" if code < 0 else "")

    async def stop(self) -> None:
        """Have it leave in order; it is ended, and then killed, when it does not."""
        into = self._process.stdin
        if into is not None and not into.is_closing():
            with suppress(ConnectionError, RuntimeError):
                # Not waited for: what hangs reads nothing, and the end of its input is an end all the same.
                into.write(_packet(b"M", json.dumps({"type": "quit"})))
            into.close()
        for number, patience_s in ((None, LEAVE_S), (signal.SIGTERM, END_S), (signal.SIGKILL, END_S)):
            if number is not None:
                with suppress(ProcessLookupError):
                    os.killpg(self._process.pid, number)
            with suppress(TimeoutError):
                async with asyncio.timeout(patience_s):
                    await self._process.wait()
                    return


def _packet(kind: bytes, text: str) -> bytes:
    carried = text.encode("utf-8", "replace")
    return kind + len(carried).to_bytes(4, "big") + carried
