"""Keeps a wall screen up: one process that starts the screen in another, and again when that falls.

A crash, a kill or a lack of memory takes the screen and leaves the keeper, which imports next to nothing. So
the terminal and the compositor stay, and the place is back within the second; what was tapped is in the
record. What falls again and again is not started for ever: then the terminal says what happened and whom to
ask, in words that stand still, and tries again at any press, or by itself after a while.
"""

import os
import select
import signal
import sys
import termios
import time
import tty
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import NoReturn

from kiosk.commands.command import MISUSED, OK

MOST_FALLS = 3  # that are mended at once, within
WITHIN_S = 300.0
STILL_COMING_S = 0.3
AGAIN_S = 900.0  # until it tries by itself: what dries goes on, and somebody should see it

CANNOT_OPEN = 3  # the exit code of a screen that said what is wrong with the shop or the record
CANNOT_LINES = ("THE SHOP CANNOT BE OPENED", "", "Why stands above. Everything saved stays as it is.")
LEFT_NOTE = "left"  # in the service's own folder: the wall screen was left on purpose

# Whatever a screen that was killed left on: xterm control sequences, and the keyboard protocol it may use.
# Reset the style, leave the other page, show the cursor, no mouse, no focus, no paste marks, plain keys.
_AS_FOUND = "\x1b[0m\x1b[?1049l\x1b[?25h\x1b[?1000;1002;1003;1004;1006;1015;1016;2004;2048l\x1b[<u\x1b[>4m"
_CLEAR = "\x1b[2J\x1b[3J\x1b[H"
_TAPS, _NO_TAPS = "\x1b[?1000;1006h", "\x1b[?1000;1006l"


class Falls:
    """Counts how often the screen fell lately. ``clock`` gives seconds."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._at: list[float] = []

    def one_more(self) -> bool:
        """It fell again. True when it is to be started at once."""
        now = self._clock()
        self._at = [at for at in self._at if now - at < WITHIN_S] + [now]
        return len(self._at) <= MOST_FALLS

    @property
    def lately(self) -> int:
        """How often it fell within the last minutes."""
        return len(self._at)

    def forget(self) -> None:
        """Somebody was told: count anew."""
        self._at.clear()


def keep_up(folder: Path) -> int:
    """Start the screen again whenever it falls. Returns in the process of each screen, with how often one
    fell before it. In the keeper it does not return, but ends the process with what the screen ended with."""
    terminal = sys.stdin.fileno()
    before = termios.tcgetattr(terminal)
    keeper = _Keeper()
    falls = Falls()
    fell = 0
    while True:
        sys.stdout.flush()
        sys.stderr.flush()
        if keeper.start():
            return fell
        code = keeper.wait()
        if keeper.told or code in (OK, MISUSED):
            if code == OK and not keeper.told:
                _note_left()
            _leave(code)
        fell += code != CANNOT_OPEN
        termios.tcsetattr(terminal, termios.TCSANOW, before)
        _put(_AS_FOUND)
        if code != CANNOT_OPEN and falls.one_more():
            _put(_CLEAR)
            continue
        again = _again_lines(time.time())
        told = CANNOT_LINES if code == CANNOT_OPEN else stopped_lines(falls.lately, folder, time.time())
        _put("\n".join(["", *told, *again, ""]))
        if not _pressed_or_waited(terminal, AGAIN_S):
            _leave(code)
        termios.tcsetattr(terminal, termios.TCSANOW, before)
        _put(_CLEAR)
        falls.forget()


def stopped_lines(times: int, folder: Path, now: float) -> list[str]:
    """What stands on the terminal once it is not started at once any more; ``now`` is the wall clock's."""
    from kiosk.crash import CRASH_FILE  # loaded when something fell: the keeper stays small

    try:
        crashed = now - (folder / CRASH_FILE).stat().st_mtime < WITHIN_S
    except OSError:
        crashed = False
    return [
        "THE KIOSK HAS STOPPED",
        "",
        f"It stopped {times} times within {WITHIN_S / 60:.0f} minutes. Nothing you did is wrong.",
        "Everything saved is in the record, and the place is kept.",
        "What dries or must be used in time is not called out meanwhile: look at it.",
        "",
        "Ask the builder, or whoever set up this machine.",
        *([f"Show them {CRASH_FILE} in the shop folder: it says where."] if crashed else []),
    ]


def _again_lines(now: float) -> list[str]:
    at = time.strftime("%H:%M", time.localtime(now + AGAIN_S))
    return ["", "Press a key or tap to try again.", f"It tries again by itself at {at}."]


def _note_left() -> None:
    """Tell the service that started all this, if one did, not to start it again. systemd.exec(5)."""
    folder = os.environ.get("RUNTIME_DIRECTORY")
    if folder:
        with suppress(OSError):
            (Path(folder) / LEFT_NOTE).touch()


def _put(text: str) -> None:
    """Write to the terminal itself: what commands print is made visible, control sequences too."""
    os.write(sys.stderr.fileno(), text.encode())


def _leave(code: int) -> NoReturn:
    raise SystemExit(code if code >= 0 else 128 - code)


class _Keeper:
    """The process of the screen, and the signals that are handed on to it."""

    def __init__(self) -> None:
        self.told = False  # to leave
        self._child = 0
        # Keys that end or stop other programs, while the terminal is not yet or no longer the screen's.
        for number in (signal.SIGINT, signal.SIGQUIT, signal.SIGTSTP):
            signal.signal(number, signal.SIG_IGN)
        for number in (signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self._hand_on)

    def start(self) -> bool:
        """Start one more. True in the new process."""
        self._child = os.fork()
        if self._child:
            return False
        for number in (signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, signal.SIG_DFL)
        return True

    def wait(self) -> int:
        """Wait until it ends; gives its exit code, or less than 0 for the signal that ended it."""
        _, status = os.waitpid(self._child, 0)
        self._child = 0
        return os.waitstatus_to_exitcode(status)

    def _hand_on(self, number: int, frame: object) -> None:
        self.told = True
        if not self._child:
            raise SystemExit(128 + number)
        os.kill(self._child, number)


def _pressed_or_waited(terminal: int, seconds: float) -> bool:
    """Wait for a key or a tap, or so long. False when the terminal was closed."""
    tty.setraw(terminal)
    termios.tcflush(terminal, termios.TCIFLUSH)  # what was typed at the screen that fell
    _put(_TAPS)
    try:
        ready = select.select([terminal], [], [], seconds)[0]
        there = not ready or bool(os.read(terminal, 1024))
    except OSError:
        there = False
    _put(_NO_TAPS)
    # The rest of a scan, or the finger that is lifted, is nobody's.
    while there and ready and select.select([terminal], [], [], STILL_COMING_S)[0]:
        if not os.read(terminal, 1024):
            return False
    return there
