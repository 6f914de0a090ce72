"""Closes the terminal under the wall screen, at random moments of starting and drawing. By hand:

    .venv/bin/python -m tests.faults.closed_terminal 80          # terminals, one after another: 3 minutes

The process has to go within a few seconds, and its presence lock with it, whether the terminal's closing is
told by a signal or not; a signal to stop has to be heard too.
"""

import fcntl
import os
import pty
import random
import select
import shutil
import signal
import struct
import sys
import tempfile
import termios
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from kiosk.bench import SCREENS_FOLDER
from kiosk.commands.make_shop import make_shop

LONGEST_S = 60.0  # waited for what takes a second: only a fault takes as long, however busy the machine
KEYS = (b"\r", b"\x1bOQ", b"\x1bOR", b"\x1b[20~", b"\x1b[B", b"\x1b[C", b"x", b"\x1bOP")


@dataclass(frozen=True)
class Closed:
    """How the terminal was closed, the seconds until the process was gone, and its status."""

    ended: str
    seconds: float
    status: int


def _size(terminal: int, columns: int, rows: int) -> None:
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))


def opened(shop: Path, *, deaf_to_hang_up: bool) -> tuple[int, int]:
    """The wall screen on a new terminal: its process, and the terminal's other end."""
    process, terminal = pty.fork()
    if process == 0:
        for number in (signal.SIGINT, signal.SIGQUIT):  # deaf to both where the tests were begun by ``&``
            signal.signal(number, signal.SIG_DFL)
        if deaf_to_hang_up:  # as under nohup: the closing is seen by reading and writing alone
            signal.signal(signal.SIGHUP, signal.SIG_IGN)
        os.environ.update(TERM="xterm-256color", COLORTERM="truecolor")
        os.execv(sys.executable, [sys.executable, "-m", "kiosk", "open", str(shop)])
    _size(terminal, 80, 24)
    return process, terminal


def drawn(terminal: int, until: Callable[[bytes], bool]) -> bytes:
    """Read what is drawn until something is so."""
    shown = b""
    deadline = time.monotonic() + LONGEST_S
    while not until(shown):
        assert time.monotonic() < deadline, shown[-2000:]
        if select.select([terminal], [], [], 0.05)[0]:
            shown += os.read(terminal, 65536)
    return shown


def is_up(shown: bytes) -> bool:
    """The place card stands on the screen."""
    return b"F10" in shown


def gone(process: int) -> tuple[float, int]:
    """Wait until a process is gone; the seconds that it took, and its status."""
    begun = time.monotonic()
    while time.monotonic() < begun + LONGEST_S:
        found, status = os.waitpid(process, os.WNOHANG)
        if found:
            return time.monotonic() - begun, status
        time.sleep(0.01)
    os.kill(process, signal.SIGKILL)
    os.waitpid(process, 0)
    raise AssertionError(f"the process stayed for {LONGEST_S:.0f} s")


def held(shop: Path) -> int:
    """How many screens hold their presence lock."""
    count = 0
    for path in (shop / SCREENS_FOLDER).glob("*"):
        with path.open("r+") as handle:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                count += 1
    return count


def close_once(shop: Path, random_numbers: random.Random, ended: str) -> Closed:
    """Open, draw for a while, and end it: by closing the terminal, with or without the signal, or by one."""
    process, terminal = opened(shop, deaf_to_hang_up=ended == "closed, unsignalled")
    if ended != "closed at start":
        drawn(terminal, is_up)
        for _ in range(random_numbers.randint(0, 30)):
            os.write(terminal, random_numbers.choice(KEYS))
            _size(terminal, random_numbers.randint(64, 160), random_numbers.randint(20, 50))
            if random_numbers.random() < 0.7 and select.select([terminal], [], [], 0.05)[0]:
                os.read(terminal, 65536)  # else it has written more than is read
    time.sleep(random_numbers.uniform(0, 1.0 if ended == "closed at start" else 0.4))
    if ended == "not read, SIGTERM":  # a terminal that hangs: nothing is read from it any more
        for _ in range(200):
            os.write(terminal, b"\x1b[B\x1b[A")
            _size(terminal, random_numbers.randint(64, 160), random_numbers.randint(20, 50))
            time.sleep(0.005)
        os.kill(process, signal.SIGTERM)
        seconds, status = gone(process)
        os.close(terminal)
    else:
        os.close(terminal)
        seconds, status = gone(process)
    assert held(shop) == 0
    return Closed(ended, seconds, status)


WAYS = ("closed", "closed, unsignalled", "closed at start", "not read, SIGTERM")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        made = Path(name) / "shop"
        make_shop(made, "brambling", with_history=True)
        found = []
        for number in range(int(sys.argv[1])):
            folder = Path(name) / "copy"
            shutil.copytree(made, folder)
            try:
                one = close_once(folder, random.Random(number), WAYS[number % len(WAYS)])
                found.append(one)
                print(f"{number}: {one.ended}: {one.seconds:.2f} s, status {one.status}", flush=True)
            except AssertionError as error:
                print(f"{number}: {WAYS[number % len(WAYS)]}: {error!s:.300}", flush=True)
            shutil.rmtree(folder)
        for way in WAYS:
            took = sorted(one.seconds for one in found if one.ended == way)
            if took:
                print(f"{way}: {len(took)} ended, longest {took[-1]:.2f} s")
