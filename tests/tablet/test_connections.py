"""One address cannot take every connection: clients that send half a request, or none."""

import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from kiosk.tablet.connections import MOST_CONNECTIONS
from tests.tablet.served import Server, serving, wait_until

SLOW, OTHER = "127.0.0.9", "127.0.0.10"  # all of 127/8 is this machine (RFC 1122, section 3.2.1.3)
HALF = b"GET / HTTP/1.1\r\nHost"


@pytest.fixture
def server(new_shop: Path) -> Iterator[Server]:
    with serving(new_shop) as found:
        yield found


def _open(server: Server, address: str, sent: bytes = HALF) -> socket.socket:
    connection = socket.create_connection(("127.0.0.1", server.port), 20, (address, 0))
    connection.sendall(sent)
    return connection


def _answer(server: Server, address: str) -> bytes:
    """What a whole request is answered from this address."""
    whole = f"GET / HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nConnection: close\r\n\r\n".encode()
    answer = b""
    try:
        with _open(server, address, whole) as connection:
            while read := connection.recv(65536):
                answer += read
    except ConnectionError:  # what is refused is closed before it has heard all
        pass
    return answer


def test_one_address_that_sends_half_requests_shuts_out_nobody_else(server: Server) -> None:
    held = [_open(server, SLOW) for _ in range(MOST_CONNECTIONS)]
    refused = _answer(server, SLOW)
    assert refused.startswith(b"HTTP/1.1 503 ") and b"Retry-After: " in refused
    assert b"Too many connections from your address." in refused
    assert _answer(server, OTHER).startswith(b"HTTP/1.1 200 ")
    held.pop().close()
    wait_until(lambda: _answer(server, SLOW).startswith(b"HTTP/1.1 200 "))
    for one in held:
        one.close()
    assert server.complaints() == "" and server.process.poll() is None
