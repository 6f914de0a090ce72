"""A screen for a browser leaves when either end of its pipes is closed, by whatever killed who held it."""

import os
import select
import subprocess
import sys
import time
from pathlib import Path

import pytest

from kiosk.screens.pastes import QUIET_S
from kiosk.tablet.app_process import DRIVER, _packet
from tests.tablet.served import LONGEST_WAIT_S


def _opened(shop: Path) -> "subprocess.Popen[bytes]":
    environment = {**os.environ, "TEXTUAL_DRIVER": DRIVER, "COLUMNS": "80", "ROWS": "24"}
    command = [sys.executable, "-m", "kiosk", "open", str(shop)]
    return subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment
    )


def _until_drawn(screen: "subprocess.Popen[bytes]", words: bytes) -> None:
    assert screen.stdout is not None
    drawn, deadline = b"", time.monotonic() + LONGEST_WAIT_S
    while words not in drawn:
        left_s = max(0.0, deadline - time.monotonic())
        assert select.select([screen.stdout], [], [], left_s)[0], f"{words!r} is not drawn"
        read = os.read(screen.stdout.fileno(), 65536)
        assert read, "the screen has ended"
        drawn += read


@pytest.mark.parametrize("closed", ["stdin", "stdout"])
def test_a_screen_leaves_with_its_pipes(new_shop: Path, closed: str) -> None:
    with _opened(new_shop) as screen:
        assert screen.stdin is not None and screen.stdout is not None and screen.stderr is not None
        _until_drawn(screen, b"F10")
        getattr(screen, closed).close()
        deadline = time.monotonic() + LONGEST_WAIT_S
        while screen.poll() is None:
            assert time.monotonic() < deadline
            if closed == "stdin":  # what it draws is still taken: only the end of its input tells it
                os.set_blocking(screen.stdout.fileno(), False)
                screen.stdout.read()
            time.sleep(0.02)
        assert screen.returncode == 0 and screen.stderr.read() == b""
    assert not (new_shop / "crash.txt").exists()


def test_a_screen_hears_keys_after_a_paste_whose_end_was_lost(new_shop: Path) -> None:
    with _opened(new_shop) as screen:
        assert screen.stdin is not None
        _until_drawn(screen, b"F10")
        screen.stdin.write(_packet(b"D", "\x1b[200~NR-04"))
        screen.stdin.flush()
        _until_drawn(screen, b"had no end")
        for late in ("n", "\r"):  # what still comes of it is no key
            screen.stdin.write(_packet(b"D", late))
            screen.stdin.flush()
        time.sleep(QUIET_S + 0.3)
        screen.stdin.write(_packet(b"D", "r"))
        screen.stdin.flush()
        _until_drawn(screen, b"Find: r")
        screen.stdin.close()


def test_a_fault_as_a_screen_reads_is_kept(new_shop: Path) -> None:
    with _opened(new_shop) as screen:
        assert screen.stdin is not None and screen.stderr is not None
        _until_drawn(screen, b"F10")
        screen.stdin.write(_packet(b"M", "no JSON"))
        screen.stdin.flush()
        assert screen.wait(LONGEST_WAIT_S) == 1 and b"crash.txt" in screen.stderr.read()
    assert "JSONDecodeError" in (new_shop / "crash.txt").read_text()
