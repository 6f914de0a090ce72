"""How many connections one address may hold: one that opens many and sends nothing leaves room for others."""

import asyncio
from collections.abc import Callable
from typing import cast

from kiosk.tablet.guests import neighbourhood

# A browser holds six at a time and one for each screen (tabs.py has twelve); behind another server all come
# from one address. An ordinary process may hold 1,024.
MOST_CONNECTIONS = 100
_WORDS = b"Too many connections from your address. Close other pages of this kiosk, then try again.\n"
_REFUSED = (
    b"HTTP/1.1 503 Service Unavailable\r\nContent-Type: text/plain; charset=utf-8\r\n"
    b"Cache-Control: no-store\r\nRetry-After: 15\r\nConnection: close\r\nContent-Length: %d\r\n\r\n%b"
) % (len(_WORDS), _WORDS)


class Connections:
    """Those that are open, by address. ``begin`` makes what serves one of them."""

    def __init__(self, begin: Callable[[], asyncio.Protocol]) -> None:
        self._begin = begin
        self._open: dict[str, list[asyncio.Transport]] = {}

    def __call__(self) -> asyncio.Protocol:
        """What meets a new connection: the factory that asyncio asks."""
        return _Met(self)

    def met(self, transport: asyncio.Transport) -> None:
        """Hand a new connection to what serves it, or refuse it in words."""
        peer = transport.get_extra_info("peername")
        address = neighbourhood(str(peer[0])) if peer else ""
        self._open = {
            one: still
            for one, of in self._open.items()
            if (still := [known for known in of if not known.is_closing()])
        }
        here = self._open.setdefault(address, [])
        if len(here) >= MOST_CONNECTIONS:
            transport.write(_REFUSED)
            transport.close()
            return
        here.append(transport)
        serves = self._begin()
        transport.set_protocol(serves)
        serves.connection_made(transport)


class _Met(asyncio.Protocol):
    """A connection of which nothing is known yet."""

    def __init__(self, connections: Connections) -> None:
        self._connections = connections

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """It is there."""
        self._connections.met(cast(asyncio.Transport, transport))
