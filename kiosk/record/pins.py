"""PINs: what is kept of one, whether a typed one fits it, and how long the next try has to wait.

Only a salt and a hash of scrypt (RFC 7914) are kept, so that nothing shows what was typed. A PIN of four
digits has but ten thousand forms: it keeps out whoever stands at the wall, not who carries the record away.
"""

import hashlib
import hmac
import secrets

from kiosk.errors import KioskError

SHORTEST, LONGEST = 4, 12  # digits

# One try takes 0.03 s on a desktop processor of 2020, and about 0.1 s on a small board computer, in 16 MiB.
COST, _BLOCK, _PARALLEL = 2**14, 8, 1
_MOST_MEMORY = 64 * 1024 * 1024
_HASH_BYTES = 32
_SALT_BYTES = 16

FREE_TRIES = 2  # a slip of the finger costs no wait
_FIRST_WAIT_S = 5.0
_LONGEST_WAIT_S = 600.0


def check_pin(pin: str) -> None:
    """Refuse what is no PIN: 4 to 12 digits. Raises KioskError, which does not repeat what was typed."""
    if not (pin.isascii() and pin.isdigit() and SHORTEST <= len(pin) <= LONGEST):
        raise KioskError(f"a PIN is {SHORTEST} to {LONGEST} digits", "choose another")


def secret_of(pin: str) -> str:
    """What is kept of a PIN: scrypt's n, r and p, the salt and the hash, as one text."""
    salt = secrets.token_bytes(_SALT_BYTES)
    made = _scrypt(pin, salt, COST, _BLOCK, _PARALLEL, _HASH_BYTES)
    return f"scrypt:{COST}:{_BLOCK}:{_PARALLEL}:{salt.hex()}:{made.hex()}"


def fits(secret: str, pin: str) -> bool:
    """True when a typed PIN is the one of which ``secret`` was kept; nothing fits what cannot be read."""
    try:
        name, cost, block, parallel, salt, kept = secret.split(":")
        wanted = bytes.fromhex(kept)
        made = _scrypt(pin, bytes.fromhex(salt), int(cost), int(block), int(parallel), len(wanted))
    except ValueError:
        return False
    # One that lost its end would fit many.
    return name == "scrypt" and len(wanted) >= _HASH_BYTES and hmac.compare_digest(made, wanted)


def _scrypt(pin: str, salt: bytes, cost: int, block: int, parallel: int, length: int) -> bytes:
    return hashlib.scrypt(
        pin.encode(), salt=salt, n=cost, r=block, p=parallel, maxmem=_MOST_MEMORY, dklen=length
    )


def wait_s(wrong: int) -> float:
    """Seconds to the next try after so many wrong ones in a row: 0, then 5 s, doubled each time to 10 min."""
    if wrong <= FREE_TRIES:
        return 0.0
    return min(_LONGEST_WAIT_S, _FIRST_WAIT_S * 2.0 ** min(wrong - FREE_TRIES - 1, 20))
