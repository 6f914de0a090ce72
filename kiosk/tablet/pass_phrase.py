"""The pass-phrase of a shop's tablets: what is kept of it, and where.

It is kept as a PIN is (:mod:`kiosk.record.pins`): a salt and a hash of scrypt, in a file of the shop folder
that only its owner can read.
"""

import os
import re
import secrets
import stat
import unicodedata
from contextlib import suppress
from pathlib import Path

from kiosk.errors import KioskError
from kiosk.record import pins

PASS_PHRASE_FILE = "tablet.secret"
# All of the salt and the hash: a hash that lost its end would fit many pass-phrases.
_WHOLE = re.compile(r"scrypt:\d+:\d+:\d+:[0-9a-f]{32}:[0-9a-f]{64}")
SHORTEST, LONGEST = 12, 200  # characters: at ten tries a second, twelve outlast whoever tries


class NoPassPhrase(KioskError):
    """What was given is no pass-phrase, or what is kept of one cannot be used."""


def _as_compared(phrase: str) -> str:
    """The same letters whichever keyboard typed them: an accent may come apart from its letter."""
    return unicodedata.normalize("NFC", phrase.strip())


def set_pass_phrase(folder: Path, phrase: str) -> None:
    """Keep the hash of a pass-phrase instead of the one before. Raises NoPassPhrase, without repeating it."""
    phrase = _as_compared(phrase)
    if not SHORTEST <= len(phrase) <= LONGEST:
        raise NoPassPhrase(
            f"a pass-phrase has {SHORTEST} to {LONGEST} characters", "four words that nobody guesses will do"
        )
    path = folder / PASS_PHRASE_FILE
    new = path.with_name(f".{PASS_PHRASE_FILE}.{secrets.token_hex(4)}")
    try:
        handle = os.fdopen(os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="ascii")
        with handle:
            handle.write(pins.secret_of(phrase) + "\n")
            handle.flush()
            os.fsync(handle.fileno())
        new.replace(path)
    except OSError as error:
        with suppress(OSError):
            new.unlink(missing_ok=True)
        raise NoPassPhrase(f"{path} cannot be written ({error.strerror})", "check the disk") from None


def remove_pass_phrase(folder: Path) -> bool:
    """Take the pass-phrase away. True when there was one."""
    path = folder / PASS_PHRASE_FILE
    try:
        path.unlink()
    except FileNotFoundError:
        return False
    except OSError as error:
        raise NoPassPhrase(f"{path} cannot be removed ({error.strerror})", "check the disk") from None
    return True


def kept_pass_phrase(folder: Path) -> str | None:
    """What is kept of the shop's pass-phrase; None where none was set.

    Raises NoPassPhrase when the file is there and cannot be used: a damaged file never opens a door.
    """
    path = folder / PASS_PHRASE_FILE
    mend = "set it anew with: kiosk serve SHOP --set-pass-phrase"
    try:
        kept = path.read_bytes()[:1000].decode("ascii", "replace").strip()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise NoPassPhrase(f"{path} cannot be read ({error.strerror})", mend) from None
    if not _WHOLE.fullmatch(kept):
        raise NoPassPhrase(f"{path} holds no pass-phrase", mend)
    return kept


def is_open_to_others(folder: Path) -> bool:
    """True when others with an account on this machine could read what is kept, or put in their own."""
    with suppress(OSError):
        mode = (folder / PASS_PHRASE_FILE).stat().st_mode
        return bool(mode & (stat.S_IRWXG | stat.S_IRWXO))
    return False


def opens(kept: str, phrase: str) -> bool:
    """True when a typed pass-phrase is the one that was kept; compared in constant time."""
    return len(phrase) <= LONGEST * 2 and pins.fits(kept, _as_compared(phrase))
