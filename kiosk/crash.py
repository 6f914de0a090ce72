"""What is kept of a fault of the kiosk's own: where it happened, and nothing that stood in memory.

A traceback with the values of its variables would put birthdays, PINs and a page of text on the wall. So one
line is said, and where in the code it happened is kept in a file that only its owner can read.
"""

import os
import platform
import re
import tempfile
import traceback
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from kiosk import __version__
from kiosk.shop.characters import visible

CRASH_FILE = "crash.txt"
LONGEST_MESSAGE = 200
_DIGIT = re.compile(r"\d")


def keep_crash(error: BaseException, folder: Path | None) -> Path | None:
    """Write where the error happened into the shop's folder, else where the system keeps what is for a while.

    The one before is written over: it is the newest that is asked for. None where nothing can be written.
    """
    text = crash_text(error)
    if folder is not None:
        with suppress(OSError):
            path = folder / CRASH_FILE
            flags = os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_NOFOLLOW | os.O_NONBLOCK
            _write(os.open(path, flags, 0o600), text)
            return path
    with suppress(OSError):
        descriptor, name = tempfile.mkstemp(prefix="kiosk-crash-", suffix=".txt")
        _write(descriptor, text)
        return Path(name)
    return None


def _write(descriptor: int, text: str) -> None:
    with os.fdopen(descriptor, "w", encoding="utf-8") as handle:
        os.fchmod(descriptor, 0o600)
        handle.write(text)


def crash_line(path: Path | None) -> str:
    """The one line that is said of it."""
    where = f"; where it happened is in {path}" if path is not None else ""
    return f"kiosk: stopped by a fault of its own{where}. Everything recorded is safe. Open it again."


def crash_text(error: BaseException) -> str:
    """The error and what it came from: files, lines and code, with the digits of each message masked."""
    head = f"kiosk {__version__}, Python {platform.python_version()}, {datetime.now(UTC):%Y-%m-%d %H:%M} UTC"
    return "\n\n".join([head, *_chain(error)]) + "\n"


def _chain(error: BaseException | None) -> Iterator[str]:
    seen: set[int] = set()
    while error is not None and id(error) not in seen:
        seen.add(id(error))
        frames = "".join(traceback.format_list(traceback.extract_tb(error.__traceback__)))
        yield f"{frames}{_message(error)}"
        error = error.__cause__ or (None if error.__suppress_context__ else error.__context__)


def _message(error: BaseException) -> str:
    from pydantic import ValidationError  # a start does without

    if isinstance(error, ValidationError):  # its words quote what was given
        details = error.errors(include_url=False, include_context=False, include_input=False)
        words = "; ".join(f"{'.'.join(map(str, one['loc']))} {one['type']}" for one in details)
    else:
        words = " ".join(str(error).split())
    return f"{type(error).__name__}: {visible(_DIGIT.sub('#', words[:LONGEST_MESSAGE]))}"
