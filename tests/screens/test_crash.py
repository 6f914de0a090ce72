"""A fault of the kiosk's own on the wall: one line, the terminal as it was, nothing that stood in memory."""

import os
import pty
import select
import stat
import subprocess
import sys
import time
from pathlib import Path

from kiosk.crash import CRASH_FILE

BREAKS = """
import sys
from pathlib import Path
from kiosk.screens.app import run
from kiosk.screens.place import PlaceScreen

def draw(self):
    secret_pin = "97" + "531"
    birthday = "2013-06" + "-14"
    raise RuntimeError("no such " + secret_pin)

PlaceScreen.draw = draw
sys.exit(run(Path(sys.argv[1])))
"""
BREAKS_AS_IT_READS = """
import sys
from pathlib import Path
from kiosk.screens.app import run
from kiosk.screens.reading import Reading

def read(self, data):
    if data.endswith(b"x"):  # no answer of the terminal
        raise RuntimeError("no such key")
    return ()

Reading.read = read
sys.exit(run(Path(sys.argv[1])))
"""
LONGEST_S = 60.0


def _on_a_terminal(folder: Path, program: str = BREAKS, key: bytes = b"") -> tuple[int, str]:
    """The exit code, and everything that came to the terminal; the key is pressed once it draws."""
    ours, its = pty.openpty()
    command = [sys.executable, "-c", program, str(folder)]
    environment = {**os.environ, "TERM": "xterm-256color", "COLUMNS": "80", "LINES": "24"}
    running = subprocess.Popen(command, stdin=its, stdout=its, stderr=its, env=environment)
    os.close(its)
    said = b""
    deadline = time.monotonic() + LONGEST_S
    while time.monotonic() < deadline:
        if select.select([ours], [], [], 0.2)[0]:
            try:
                said += os.read(ours, 65536)
                if key and b"F10" in said:
                    os.write(ours, key)
                    key = b""
            except OSError:  # the other end is closed: it has ended
                break
        elif running.poll() is not None:
            break
    code = running.wait(timeout=LONGEST_S)
    os.close(ours)
    return code, said.decode("utf-8", "replace")


def test_a_crash_says_one_line_and_gives_the_terminal_back(new_shop: Path) -> None:
    code, said = _on_a_terminal(new_shop)
    assert code == 1
    left = said.rpartition("\x1b[?1049l")  # the alternate screen was left (xterm control sequences)
    assert left[1], "the terminal was not given back"
    assert "97531" not in said and "2013-06-14" not in said and "locals" not in said
    words = " ".join(left[2].split())
    assert "kiosk: stopped by a fault of its own; where it happened is in" in words
    assert "Everything recorded is safe" in words and "Traceback" not in said
    kept = new_shop / CRASH_FILE
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    text = kept.read_text()
    assert "RuntimeError: no such #####" in text and "in draw" in text
    assert "97531" not in text and "2013-06-14" not in text


def test_a_fault_in_the_thread_that_reads_keys_is_kept_too(new_shop: Path) -> None:
    code, said = _on_a_terminal(new_shop, BREAKS_AS_IT_READS, b"x")
    assert code == 1 and f"it happened is in {new_shop / CRASH_FILE}" in " ".join(said.split())
    assert "RuntimeError: no such key" in (new_shop / CRASH_FILE).read_text()
