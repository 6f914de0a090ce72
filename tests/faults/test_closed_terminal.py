"""A terminal that goes, however it goes, takes the kiosk and its presence lock with it."""

import os
import random
import signal
import termios
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.screens.terminal import Outlet, hung_up
from tests.faults.closed_terminal import WAYS, close_once, drawn, gone, held, is_up, opened

ALTERNATE_OFF, PASTE_OFF, MOUSE_OFF = b"\x1b[?1049l", b"\x1b[?2004l", b"\x1b[?1003l"


@pytest.mark.parametrize("way", WAYS)
def test_the_process_goes_with_its_terminal(demo_shop: Path, way: str) -> None:
    close_once(demo_shop, random.Random(WAYS.index(way)), way)


def test_the_next_screen_finds_the_step_unknown_and_not_in_hand(demo_shop: Path) -> None:
    process, terminal = opened(demo_shop, deaf_to_hang_up=False)
    drawn(terminal, is_up)
    os.write(terminal, b"\r")
    drawn(terminal, lambda shown: b"I HAVE READ" in shown or b"ONE MORE" in shown)
    assert held(demo_shop) == 1
    os.close(terminal)
    gone(process)
    bench = Bench(demo_shop, watch=True)
    assert "unknown" in {work.status for work in bench.state.works.values()}
    bench.close()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT])
def test_a_signal_leaves_the_terminal_as_it_was(demo_shop: Path, number: signal.Signals) -> None:
    process, terminal = opened(demo_shop, deaf_to_hang_up=False)
    before = termios.tcgetattr(terminal)[:4]
    drawn(terminal, is_up)
    assert termios.tcgetattr(terminal)[:4] != before
    os.kill(process, number)
    shown = drawn(terminal, lambda text: ALTERNATE_OFF in text)
    _, status = gone(process)
    assert status == 0 and held(demo_shop) == 0
    assert PASTE_OFF in shown and MOUSE_OFF in shown
    assert termios.tcgetattr(terminal)[:4] == before
    os.close(terminal)


class _Broken:
    """A terminal that takes so many writes and is then gone."""

    def __init__(self, left: int) -> None:
        self.left = left
        self.written: list[str] = []

    def write(self, text: str) -> int:
        if not self.left:
            raise OSError(5, "Input/output error")
        self.left -= 1
        self.written.append(text)
        return len(text)

    def flush(self) -> None:
        if not self.left:
            raise ValueError("I/O operation on closed file")


def test_an_outlet_swallows_what_is_drawn_when_the_terminal_is_gone_and_says_so_once() -> None:
    told: list[str] = []
    terminal = _Broken(2)
    outlet = Outlet(terminal, lambda: told.append("gone"))  # type: ignore[arg-type]
    for text in "abcd":
        assert outlet.write(text) == 1
    outlet.flush()
    assert terminal.written == ["a", "b"] and told == ["gone"]


def test_a_terminal_that_was_closed_is_seen() -> None:
    ours, theirs = os.openpty()
    assert not hung_up(theirs)
    os.close(ours)
    assert hung_up(theirs)
    os.close(theirs)
    assert hung_up(theirs)
