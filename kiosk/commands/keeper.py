"""Keeps a wall screen up: one process that starts the screen in another, and again when that falls.

A crash, a kill or a lack of memory takes the screen and leaves the keeper, which imports next to nothing. So
the terminal and the compositor stay, and the place is back within the second; what was tapped is in the
record. A screen that hangs beats no more on the pipe between the two, and is ended as if it had fallen; when
the keeper is killed, the screen finds nobody at the other end, and leaves the terminal in order.

What falls again and again is not started for ever: then the terminal says what happened and whom to ask, in
words that stand still, and tries again at any press, or by itself after a while.
"""

import os
import select
import signal
import sys
import termios
import textwrap
import time
import tty
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple, NoReturn

from kiosk.commands.command import MISUSED, OK

MOST_FALLS = 3  # that are mended at once, within
WITHIN_S = 300.0
STILL_COMING_S = 0.3
AGAIN_S = 900.0  # until it tries by itself: what dries goes on, and somebody should see it
AGAIN_CANNOT_S = 60.0  # the same where something is wrong with the shop, which somebody may be mending
LOOK_S = 1.0  # how often it is looked at whether the screen lives
SILENT_S = 60.0  # without a beat the screen hangs
LEAVING_S = 600.0  # and so does one that has not left after this
SOON_S = 0.02  # most leave at once: it is looked at often at first

CANNOT_OPEN = 3  # the exit code of a screen that said what is wrong with the shop or the record
NOT_CALLED_OUT = "What dries or must be used in time is not called out meanwhile: look at it."
WHOM_TO_ASK = "Ask the builder, or whoever set up this machine."
CANNOT_LINES = (
    "THE SHOP CANNOT BE OPENED",
    "",
    "Why stands above. Everything saved stays as it is.",
    NOT_CALLED_OUT,
    "",
    WHOM_TO_ASK,
)
LEFT_NOTE = "left"  # in the service's own folder: the wall screen was left on purpose

# Whatever a screen that was killed left on: xterm control sequences, and the keyboard protocol it may use.
# Reset the style, leave the other page, wrap long lines, show the cursor, no mouse, no focus, no paste marks,
# plain keys.
_AS_FOUND = (
    "\x1b[0m\x1b[?1049l\x1b[?7h\x1b[?25h\x1b[?1000;1002;1003;1004;1006;1015;1016;2004;2048l\x1b[<u\x1b[>4m"
)
_CLEAR = "\x1b[2J\x1b[3J\x1b[H"
_BELL = "\a"
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


class Silence:
    """How long a screen was not heard, in seconds in which it could have been. ``clock`` gives seconds.

    It begins with the first beat, for a long record is read before it, and grows by no more than two looks at
    a time: a machine that slept, or a keeper that was stopped, heard nobody either.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._at = clock()
        self._heard = False
        self.lasted_s = 0.0

    def looked(self, *, heard: bool, explained: bool) -> None:
        """One look more; ``explained`` says that the screen could not have been heard now."""
        now = self._clock()
        passed_s, self._at = now - self._at, now
        self._heard = self._heard or heard
        if heard or explained or not self._heard:
            self.lasted_s = 0.0
        else:
            self.lasted_s += min(passed_s, 2 * LOOK_S)


class Begun(NamedTuple):
    """What a screen's process begins with."""

    fell: int  # how often one fell before it
    pipe: int  # to beat on


def keep_up(folder: Path) -> Begun:
    """Start the screen again whenever it falls. Returns in the process of each screen. In the keeper it does
    not return, but ends the process with what the screen ended with."""
    terminal = sys.stdin.fileno()
    before = termios.tcgetattr(terminal)
    keeper = _Keeper()
    falls = Falls()
    fell = 0
    rung = False
    while True:
        sys.stdout.flush()
        sys.stderr.flush()
        pipe = keeper.start()
        if pipe is not None:
            return Begun(fell, pipe)
        code = keeper.wait(terminal)
        if keeper.told or code in (OK, MISUSED):
            if code == OK and not keeper.told:
                _note_left()
            _leave(code)
        fell += code != CANNOT_OPEN
        termios.tcsetattr(terminal, termios.TCSANOW, before)
        _put(_AS_FOUND)
        cannot = code == CANNOT_OPEN
        if not cannot and falls.one_more():
            rung = False
            _put(_CLEAR)
            continue
        now, again_s = time.time(), AGAIN_CANNOT_S if cannot else AGAIN_S
        told = CANNOT_LINES if cannot else stopped_lines(falls.lately, folder, now)
        _put("\n".join(["", *_wrapped([*told, *_again_lines(now + again_s)]), ""]))
        if not (cannot and rung):  # not every minute
            _put(_BELL)
        rung = cannot
        if not _pressed_or_waited(terminal, again_s):
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
        NOT_CALLED_OUT,
        "",
        WHOM_TO_ASK,
        *([f"Show them {CRASH_FILE} in the shop folder: it says where."] if crashed else []),
    ]


def _wrapped(lines: Sequence[str]) -> list[str]:
    """Lines that the terminal holds whole, with no word cut."""
    try:
        columns = os.get_terminal_size(sys.stderr.fileno()).columns
    except OSError:
        columns = 0
    return [row for line in lines for row in textwrap.wrap(line, columns or 80) or [""]]


def _again_lines(when: float) -> list[str]:
    at = time.strftime("%H:%M", time.localtime(when))
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
        self._beats = -1
        # Keys that end or stop other programs, while the terminal is not yet or no longer the screen's.
        for number in (signal.SIGINT, signal.SIGQUIT, signal.SIGTSTP):
            signal.signal(number, signal.SIG_IGN)
        for number in (signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self._hand_on)

    def start(self) -> int | None:
        """Start one more. Gives the pipe to beat on in the new process, and None in the keeper."""
        self._beats, pipe = os.pipe()
        self._child = os.fork()
        if self._child:
            os.close(pipe)
            return None
        os.close(self._beats)
        for number in (signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, signal.SIG_DFL)
        return pipe

    def wait(self, terminal: int) -> int:
        """Wait until it ends, and end it when it hangs; gives its exit code, or less than 0 for the signal
        that ended it."""
        status = self._watch(terminal)
        self._child = 0
        os.close(self._beats)
        return os.waitstatus_to_exitcode(status)

    def _watch(self, terminal: int) -> int:
        silence, stopped = Silence(), False
        while silence.lasted_s < SILENT_S:
            heard = bool(select.select([self._beats], [], [], LOOK_S)[0])
            if heard and not os.read(self._beats, 1024):
                return self._left()  # it has ended, or leaves and takes its time for it
            ended, status = os.waitpid(self._child, os.WNOHANG | os.WUNTRACED | os.WCONTINUED)
            if ended and not (os.WIFSTOPPED(status) or os.WIFCONTINUED(status)):
                return status
            if ended:
                stopped = os.WIFSTOPPED(status)
            full = not select.select([], [terminal], [], 0)[1]  # nothing reads what is drawn
            silence.looked(heard=heard, explained=stopped or full)
        return self._ended()

    def _left(self) -> int:
        """The status of a screen that leaves: a copy of the record may take long, but not for ever."""
        looks = 0
        while looks * LOOK_S < LEAVING_S:
            ended, status = os.waitpid(self._child, os.WNOHANG)
            if ended:
                return status
            looks += 1  # counted in looks: a machine that sleeps takes no time for it
            time.sleep(min(LOOK_S, looks * SOON_S))
        return self._ended()

    def _ended(self) -> int:
        """End a screen that hangs; gives its status."""
        os.kill(self._child, signal.SIGKILL)
        return os.waitpid(self._child, 0)[1]

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
