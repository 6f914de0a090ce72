"""Lint and types, so that the one test command is all that CI runs."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent


def _run(*command: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_ruff_finds_nothing() -> None:
    _run("ruff", "check", "kiosk", "tests")


def test_everything_is_formatted() -> None:
    _run("ruff", "format", "--check", "kiosk", "tests")


def test_types_hold() -> None:
    _run("mypy")
