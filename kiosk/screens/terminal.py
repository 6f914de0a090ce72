"""The terminal under the wall screen: when it goes, or a signal says so, the kiosk goes too, within seconds.

Textual writes from a thread of its own through a short queue. When the terminal is closed while it draws,
that thread falls, the queue fills, and the next drawing waits in it for ever: the process stays, deaf to
signals, and holds its presence lock, so that the next screen takes its work for being in hand. Here a
terminal that is gone swallows what is drawn and has the kiosk leave; and a process that hangs in a terminal
from which nothing is read is ended after :data:`PATIENCE_S`. The record needs no leave-taking: what was
tapped is on the disk.
"""

import contextlib
import os
import select
import selectors
import signal
import termios
import threading
from collections.abc import Callable, Iterable, Iterator
from typing import Any, TextIO, cast

from textual.app import App
from textual.drivers.linux_driver import LinuxDriver
from textual.message import Message

from kiosk.screens.reading import Reading, raise_in_app

PATIENCE_S = 1.5  # from being told to leave until the process is ended, whatever it hangs in
LOOK_S = (
    1.0  # how often the terminal is looked for: one that is closed unsignalled may be drawn on much later
)
_READ_S = 0.1  # how long the terminal is waited for before what is half read is looked at
_MOST_BYTES = 4096  # read at a time
ENDING = (signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT)


class Outlet:
    """Writes to a terminal until it is gone; then swallows what is written, having said so once."""

    def __init__(self, terminal: TextIO, gone: Callable[[], None]) -> None:
        self._terminal = terminal
        self._say_gone = gone
        self._gone = False

    def write(self, text: str) -> int:
        """Write, if the terminal is still there."""
        self._try(lambda: self._terminal.write(text))
        return len(text)

    def flush(self) -> None:
        """Send on what was written, if the terminal is still there."""
        self._try(self._terminal.flush)

    def fileno(self) -> int:
        """The terminal's number."""
        return self._terminal.fileno()

    def isatty(self) -> bool:
        """It is a terminal."""
        return True

    def _try(self, deed: Callable[[], object]) -> None:
        if self._gone:
            return
        try:
            deed()
        except (OSError, ValueError):  # hung up, or closed
            self._gone = True
            self._say_gone()


class TerminalDriver(LinuxDriver):
    """Textual's driver on an :class:`Outlet`: the app leaves when the terminal is gone."""

    def __init__(self, app: App[Any], **given: Any) -> None:
        super().__init__(app, **given)
        # What Textual writes to and nothing else: it writes, flushes, and asks for the number.
        self._file = cast(Any, Outlet(cast(TextIO, self._file), self._leave))
        if not self.can_suspend:  # also where another program asks for it
            signal.signal(signal.SIGTSTP, signal.SIG_IGN)

    @property
    def can_suspend(self) -> bool:
        """A wall screen is never suspended: behind it is nothing that a person at the bench could do."""
        return not getattr(self._app, "on_wall", False)

    def start_application_mode(self) -> None:
        """Begin to draw, and look for the terminal from now on."""
        cast(Any, super()).start_application_mode()
        self._app.set_interval(LOOK_S, self._look)

    def _run_input_thread(self) -> None:
        try:
            self.run_input_thread()
        except OSError:  # the terminal is gone
            self._leave()
        except Exception as error:  # raised in the app, which keeps where it happened
            self._app.call_later(raise_in_app, error)

    def run_input_thread(self) -> None:
        """Read until the app leaves, or until there is nothing more to be read ever."""
        reading = Reading()
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                if selector.select(_READ_S):
                    data = os.read(self.fileno, _MOST_BYTES)
                    if not data:  # a terminal that was hung up, or a pipe at its end
                        self._look()
                        return
                    self._hand_on(reading.read(data))
                self._hand_on(reading.quiet())

    def _hand_on(self, messages: Iterable[Message]) -> None:
        for message in messages:
            self.process_message(message)

    def _look(self) -> None:
        if hung_up(self.fileno):
            self._leave()

    def _leave(self) -> None:
        with contextlib.suppress(RuntimeError):  # the loop is closed: it has left already
            self._loop.call_soon_threadsafe(self._app.exit)


def hung_up(terminal: int) -> bool:
    """True when the other end of this terminal was closed."""
    look = select.poll()
    look.register(terminal, 0)  # hanging up is told unasked
    return any(what & (select.POLLHUP | select.POLLNVAL) for _, what in look.poll(0))


@contextlib.contextmanager
def leaving_when_told(leave: Callable[[], None], terminal: int) -> Iterator[None]:
    """While inside, a signal that ends a process has the screen left in order by ``leave``, which is called
    in the main thread. If that does not come to an end, the process is ended with the terminal as it was."""
    try:
        before = termios.tcgetattr(terminal)
    except termios.error:
        before = None
    ends: list[threading.Timer] = []

    def end(number: int) -> None:
        if before is not None:
            with contextlib.suppress(termios.error, OSError):
                termios.tcsetattr(terminal, termios.TCSANOW, before)
        os._exit(128 + number)

    def told(number: int, frame: object) -> None:
        if not ends:
            ends.append(threading.Timer(PATIENCE_S, end, (number,)))
            ends[0].daemon = True
            ends[0].start()
        leave()

    were = {number: signal.getsignal(number) for number in ENDING}
    for number, was in were.items():
        if was is not signal.SIG_IGN:  # as under nohup
            signal.signal(number, told)
    try:
        yield
    finally:
        for timer in ends:
            timer.cancel()
        for number, was in were.items():
            signal.signal(number, was)
