"""A screen for a browser leaves when either end of its pipes is closed, by whatever killed who held it."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from kiosk.tablet.app_process import DRIVER
from tests.tablet.served import LONGEST_WAIT_S


@pytest.mark.parametrize("closed", ["stdin", "stdout"])
def test_a_screen_leaves_with_its_pipes(new_shop: Path, closed: str) -> None:
    environment = {**os.environ, "TEXTUAL_DRIVER": DRIVER, "COLUMNS": "80", "ROWS": "24"}
    command = [sys.executable, "-m", "kiosk", "open", str(new_shop)]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment
    ) as screen:
        assert screen.stdin is not None and screen.stdout is not None and screen.stderr is not None
        drawn = b""
        while b"F10" not in drawn:
            drawn += os.read(screen.stdout.fileno(), 65536)
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
