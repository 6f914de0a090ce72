"""A real server on loopback, and a page that is a terminal: what it is sent is drawn, words are tapped."""

from __future__ import annotations

import asyncio
import json
import os
import re
import secrets
import signal
import socket
import subprocess
import sys
import time
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager, contextmanager, suppress
from pathlib import Path

import aiohttp
import pyte

from kiosk.tablet.pass_phrase import set_pass_phrase

PHRASE = "four flutes and a rib"
LONGEST_WAIT_S = 60.0  # for what takes a second: only a fault takes as long, however busy the machine
BETWEEN_TAPS_S = 0.85  # within 0.8 s the same press answers nothing that came under it
COLUMNS, ROWS = 80, 24


def free_port() -> int:
    """A port that nobody listens on now."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


class Server:
    """``kiosk serve`` in a process of its own."""

    def __init__(self, shop: Path, process: subprocess.Popen[str], port: int) -> None:
        self.shop = shop
        self.process = process
        self.port = port
        self.url = f"http://127.0.0.1:{port}"

    def complaints(self) -> str:
        """What it said on standard error since the last look."""
        assert self.process.stderr is not None
        number = self.process.stderr.fileno()
        os.set_blocking(number, False)
        with suppress(BlockingIOError):
            return os.read(number, 100_000).decode()
        return ""

    def screens(self) -> list[int]:
        """The processes that draw its screens, by number."""
        found = []
        for one in Path("/proc").glob("[0-9]*"):
            try:
                command = (one / "cmdline").read_bytes().split(b"\0")
            except OSError:  # gone meanwhile
                continue
            if b"open" in command and os.fsencode(self.shop) in command:
                found.append(int(one.name))
        return found


@contextmanager
def serving(shop: Path, *, phrase: str = "", port: int = 0) -> Iterator[Server]:
    """Serve a shop while inside."""
    if phrase:
        set_pass_phrase(shop, phrase)
    port = port or free_port()
    command = [sys.executable, "-m", "kiosk", "serve", str(shop), "--port", str(port)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert process.stdout is not None and process.stderr is not None
    try:
        said = process.stdout.readline()
        assert "The shop is at" in said, said + process.stderr.read()
        yield Server(shop, process, port)
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(LONGEST_WAIT_S)
        process.stdout.close()
        process.stderr.close()


def wait_until(true: Callable[[], object]) -> None:
    """Wait until something is so."""
    deadline = time.monotonic() + LONGEST_WAIT_S
    while not true():
        assert time.monotonic() < deadline
        time.sleep(0.02)


class Terminal:
    """A terminal as the page has one: it draws what it is sent, and knows where words stand."""

    def __init__(self, columns: int = COLUMNS, rows: int = ROWS) -> None:
        self._screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self._screen)

    def feed(self, drawn: bytes) -> None:
        """Draw. Of two sequences that Textual sends pyte knows no form: they draw nothing."""
        self._stream.feed(re.sub(rb"\x1b\[[?>=][0-9;$]*[a-zA-Z]|\x1b\[<?u", b"", drawn))

    def resize(self, columns: int, rows: int) -> None:
        """It has another size, and nothing stands on it."""
        self._screen.resize(rows, columns)
        self._screen.reset()

    @property
    def columns(self) -> int:
        """How many letters fit beside one another."""
        return int(self._screen.columns)

    @property
    def rows(self) -> list[str]:
        """What stands on it."""
        return [row.rstrip() for row in self._screen.display]

    @property
    def text(self) -> str:
        """What stands on it, as one text."""
        return "\n".join(self.rows)

    def find(self, words: str) -> tuple[int, int]:
        """The column and row, from 0, of the lowest place where these words stand, over the foot."""
        for row in reversed(range(len(self.rows) - 1)):
            column = self.rows[row].find(words)
            if column >= 0:
                return column + len(words) // 2, row
        raise AssertionError(f"{words!r} is not on the screen:\n{self.text}")


class Page:
    """A page of the kiosk, without its browser: the socket and its terminal."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self.socket = socket
        self.terminal = Terminal()
        self.said: list[list[object]] = []

    async def read(self, until: Callable[[], object]) -> None:
        """Read what is drawn until something is so."""
        async with asyncio.timeout(LONGEST_WAIT_S):
            while not until():
                message = await self.socket.receive()
                if message.type is aiohttp.WSMsgType.BINARY:
                    self.terminal.feed(message.data)
                elif message.type is aiohttp.WSMsgType.TEXT:
                    self.said.append(json.loads(message.data))
                else:
                    assert until(), f"closed with {self.socket.close_code}:\n{self.terminal.text}"
                    return

    async def see(self, words: str) -> None:
        """Wait until these words stand on the screen."""
        try:
            await self.read(lambda: words in self.terminal.text)
        except TimeoutError:
            raise AssertionError(f"{words!r} never came:\n{self.terminal.text}") from None

    async def closed(self) -> int | None:
        """Wait for the end of the page; gives the code with which it was closed."""
        await self.read(lambda: self.socket.closed)
        return self.socket.close_code

    async def tap(self, words: str) -> None:
        """Put a finger on these words and lift it, as the terminal of a browser tells it."""
        await asyncio.sleep(BETWEEN_TAPS_S)
        column, row = self.terminal.find(words)
        at = f"{column + 1};{row + 1}"
        await self.send("stdin", f"\x1b[<0;{at}M\x1b[<0;{at}m")

    async def send(self, kind: str, said: object) -> None:
        """Send what a page sends."""
        await self.socket.send_str(json.dumps([kind, said]))


def tab_name() -> str:
    """A name that a page chooses for its tab."""
    return secrets.token_hex(16)


@asynccontextmanager
async def page_of(
    session: aiohttp.ClientSession, url: str, tab: str = "", origin: str = "", columns: int = COLUMNS
) -> AsyncIterator[Page]:
    """A page while inside."""
    address = f"{url}/screen/{tab or tab_name()}?width={columns}&height={ROWS}"
    async with session.ws_connect(address, headers={"Origin": origin or url}, max_msg_size=0) as socket:
        yield Page(socket)


async def log_in(session: aiohttp.ClientSession, url: str, phrase: str = PHRASE) -> int:
    """Send the form of the log-in page; gives the answer's status."""
    form = {"phrase": phrase}
    headers = {"Origin": url}
    async with session.post(f"{url}/log-in", data=form, headers=headers, allow_redirects=False) as answer:
        return answer.status
