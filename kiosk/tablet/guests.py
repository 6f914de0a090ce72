"""Who may come in: the browsers that gave the pass-phrase, and how long the others have to wait."""

import hashlib
import ipaddress
import secrets
from collections.abc import Callable

from kiosk.record.pins import wait_s

SESSION_S = 30 * 24 * 3600.0  # a tablet at the bench is asked once a month
MOST_SESSIONS = 100
MOST_ADDRESSES = 1000
LONGEST_WAIT_S = 60.0  # behind another server all come from one address, which must not be shut out for long


class Sessions:
    """The browsers that are logged in. What their cookie holds is kept as a hash alone, and in memory."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._ends: dict[bytes, float] = {}

    def begin(self) -> str:
        """A new session: what its cookie holds. The oldest gives way when there are too many."""
        token = secrets.token_urlsafe(32)
        while len(self._ends) >= MOST_SESSIONS:
            del self._ends[next(iter(self._ends))]
        self._ends[_hashed(token)] = self._clock() + SESSION_S
        return token

    def holds(self, token: str) -> bool:
        """True while a cookie's session lasts. Looked up by its hash, so the time taken tells nothing."""
        return self._clock() < self._ends.get(_hashed(token), 0.0)

    def end(self, token: str) -> None:
        """Log a browser out."""
        self._ends.pop(_hashed(token), None)


def _hashed(token: str) -> bytes:
    return hashlib.sha256(token.encode("utf-8", "replace")).digest()


class Tries:
    """Wrong pass-phrases in a row from each address: two are free, then 5 s, doubled to a minute."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._wrong: dict[str, tuple[int, float]] = {}

    def wait_s(self, address: str) -> float:
        """Seconds until this address may try again; 0 when it may now."""
        wrong, at = self._wrong.get(neighbourhood(address), (0, 0.0))
        return max(0.0, at + min(LONGEST_WAIT_S, wait_s(wrong)) - self._clock())

    def was_wrong(self, address: str) -> None:
        """One more wrong one."""
        wrong, _ = self._wrong.pop(neighbourhood(address), (0, 0.0))
        while len(self._wrong) >= MOST_ADDRESSES:
            del self._wrong[next(iter(self._wrong))]
        self._wrong[neighbourhood(address)] = (wrong + 1, self._clock())

    def was_right(self, address: str) -> None:
        """The right one: the slips before it are forgotten."""
        self._wrong.pop(neighbourhood(address), None)


def neighbourhood(address: str) -> str:
    """What one machine can come from: an IPv4 address, or the 64 bits before its own of an IPv6 one."""
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if isinstance(found, ipaddress.IPv6Address):
        if found.ipv4_mapped is not None:
            return str(found.ipv4_mapped)
        return str(ipaddress.ip_network((found, 64), strict=False))
    return str(found)
