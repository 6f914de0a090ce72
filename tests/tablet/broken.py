"""Requests that no browser sends: what is written to the server's socket, and whether more would follow."""

import base64
import os
import random
import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

MANY = 200
LONG = 20_000
KEY = base64.b64encode(bytes(range(16))).decode()


@dataclass(frozen=True)
class Broken:
    """What is sent; ``upgraded`` once the screen's socket is open, ``open_`` where it is then left open."""

    kind: str
    sent: bytes
    upgraded: bool = False
    open_: bool = False


def broken_requests(host: str, seed: int) -> list[Broken]:
    """Two hundred of many kinds, in an order of their own."""
    found = [*_lines(host), *_headers(host), *_forms(host), *_handshakes(host), *_frames(), *_half(host)]
    chance = random.Random(seed)
    while len(found) < MANY:
        found.append(_spoilt(host, chance))
    chance.shuffle(found)
    return found


def _get(host: str, path: str = "/", method: str = "GET", more: str = "") -> bytes:
    return f"{method} {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n{more}\r\n".encode("latin-1")


def _lines(host: str) -> Iterator[Broken]:
    for method in (
        "GEET",
        "get",
        "PUT",
        "DELETE",
        "PATCH",
        "OPTIONS",
        "TRACE",
        "CONNECT",
        "G\x00T",
        "",
        "X" * LONG,
    ):
        yield Broken("method", _get(host, method=method))
    for method in ("POST", "PUT"):
        yield Broken("method", _get(host, "/", method, f"Origin: http://{host}\r\nContent-Length: 0\r\n"))
    for path in (
        "/files/../server.py",
        "/files/..%2fserver.py",
        "/files/%2e%2e/%2e%2e/shop.yaml",
        "/files/....//....//etc/passwd",
        "/files//etc/passwd",
        "/files/page.css/../../addresses.py",
        "/files/page.css%00.js",
        "/files/\\..\\..\\shop.yaml",
        "/files/" + "a" * LONG,
        "/../../../../etc/passwd",
        "//etc/passwd",
        "/static/",
        "/download/x",
        "/record.db",
        "/tablet.secret",
        "/screen/",
        "/log-in/..",
        "/?" + "a=b&" * 1000,
        "/%",
        "/%zz",
        "/%c0%ae%c0%ae/",
        "/\xff\xfe",
        "http://elsewhere.example/",
        f"http://{host}/files/../x",
        "*",
        "",
        "files",
        "/ HTTP/1.1 ",
    ):
        yield Broken("path", _get(host, path))
    for version in ("HTTP/9.9", "HTTP/0.9", "HTTP/2.0", "HTCPCP/1.0", "HTTP/1.1.1", ""):
        yield Broken("version", f"GET / {version}\r\nHost: {host}\r\n\r\n".encode())
    yield Broken("preface", b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n")


def _headers(host: str) -> Iterator[Broken]:
    for more in (
        "X: " + "x" * LONG,
        "".join(f"X-{number}: 1\r\n" for number in range(1000)).rstrip(),
        "X" * LONG + ": 1",
        "no colon",
        ": no name",
        "Bad Name: 1",
        "X: a\r\n folded",
        "X: \x00\x01",
        "X: \xff\xfe",
        f"Host: {host}",
        "Host: evil.example",
        "Content-Length: -1",
        "Content-Length: 5\r\nContent-Length: 6",
        "Content-Length: 99999999999999999999",
        "Content-Length: 0x10",
        "Transfer-Encoding: chunked\r\nContent-Length: 5",
        "Transfer-Encoding: chunked, chunked",
        "Transfer-Encoding: rot13",
        "Expect: 200-ok",
        "Upgrade: h2c\r\nConnection: Upgrade, HTTP2-Settings",
        "Range: bytes=5-1",
        "If-Modified-Since: yesterday",
        "Accept-Encoding: " + "gzip," * 500,
    ):
        yield Broken("header", _get(host, "/files/page.css", more=f"{more}\r\n"))
    for own in (
        "evil.example",
        "",
        "127.0.0.1",
        f"{host}.evil.example",
        f"x@{host}",
        "[::1",
        "a" * 3000,
        "\xff",
    ):
        yield Broken("host", _get(own))
    yield Broken("host", b"GET / HTTP/1.1\r\n\r\n")
    yield Broken("host", b"GET / HTTP/1.0\r\n\r\n")
    for cookie in (
        "kiosk_session=",
        "kiosk_session=" + "A" * 43,
        "kiosk_session=" + "A" * 5000,
        'kiosk_session="\\"; other=;;;===',
        "kiosk_session=a; kiosk_session=b; " + "c=d; " * 500,
        "=; ;=",
        "kiosk_session=\xff\xfe",
        "$Version=1; kiosk_session=../../x",
    ):
        yield Broken("cookie", _get(host, "/", more=f"Cookie: {cookie}\r\n"))


def _post(host: str, body: bytes, more: str = "", origin: str = "") -> bytes:
    own = f"Origin: {origin or f'http://{host}'}\r\nContent-Length: {len(body)}\r\n{more}"
    return _get(host, "/log-in", "POST", own) + body


def _forms(host: str) -> Iterator[Broken]:
    for body in (
        b"",
        b"phrase",
        b"phrase=&phrase=",
        b"phrase=%ff%fe",
        b"phrase=\xff\xfe",
        b"phrase=" + b"x" * 3000,
        b"x" * 100_000,
        b"&" * 2000,
        b'{"phrase": 1}',
        zlib.compress(b"phrase=" + b"x" * 1_000_000),
    ):
        yield Broken("form", _post(host, body))
    yield Broken("form", _post(host, zlib.compress(b"x" * 10_000_000), "Content-Encoding: deflate\r\n"))
    yield Broken("form", _post(host, b"phrase=x", "Content-Type: text/plain; charset=no-such\r\n"))
    parts = b'--b\r\nContent-Disposition: form-data; name="phrase"; filename="/etc/passwd"\r\n\r\nx\r\n--b'
    yield Broken("form", _post(host, parts, "Content-Type: multipart/form-data; boundary=b\r\n"))
    for origin in ("null", "http://evil.example", f"https://{host}", f"http://{host}/", "\xff"):
        yield Broken("origin", _post(host, b"phrase=x", origin=origin))
    yield Broken("origin", _get(host, "/log-in", "POST", "Content-Length: 0\r\n"))
    yield Broken(
        "origin", _get(host, "/log-out", "POST", "Origin: http://evil.example\r\nContent-Length: 0\r\n")
    )
    chunked = f"Origin: http://{host}\r\nTransfer-Encoding: chunked\r\n"
    for body in (b"zz\r\n", b"-5\r\nx", b"5\r\nphr", b"ffffffffffffffff\r\nx"):
        yield Broken("chunks", _get(host, "/log-in", "POST", chunked) + body)


def handshake(host: str, tab: str = "a" * 32, cookie: str = "", origin: str = "", more: str = "") -> bytes:
    """What a browser asks for a screen's socket with (RFC 6455, section 4.1)."""
    return (
        f"GET /screen/{tab}?width=80&height=24 HTTP/1.1\r\nHost: {host}\r\n"
        f"Origin: {origin or f'http://{host}'}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
        + (more or f"Sec-WebSocket-Key: {KEY}\r\nSec-WebSocket-Version: 13\r\n")
        + (f"Cookie: kiosk_session={cookie}\r\n" if cookie else "")
        + "\r\n"
    ).encode("latin-1")


def _handshakes(host: str) -> Iterator[Broken]:
    yield Broken("handshake", handshake(host))  # not logged in
    yield Broken("handshake", handshake(host, cookie="A" * 43))
    for tab in ("", "..", "%2e%2e%2f" * 4, "a" * 15, "a" * 65, "a" * LONG, "a/b", "a" * 20 + "%00"):
        yield Broken("handshake", handshake(host, tab))
    for origin in ("http://evil.example", "null", "file://", f"https://{host}"):
        yield Broken("handshake", handshake(host, origin=origin))
    for more in (
        "Sec-WebSocket-Version: 13\r\n",
        f"Sec-WebSocket-Key: {KEY}\r\nSec-WebSocket-Version: 99\r\n",
    ):
        yield Broken("handshake", handshake(host, more=more))
    yield Broken("handshake", _get(host, f"/screen/{'a' * 32}"))


def frame(carried: bytes, opcode: int = 1, first: int = 0x80, masked: bool = True) -> bytes:
    """One frame (RFC 6455, section 5.2); ``first`` is FIN and the reserved bits."""
    size = len(carried)
    mark = 0x80 if masked else 0
    length = (
        bytes([mark | size])
        if size < 126
        else struct.pack("!BH", mark | 126, size)
        if size < 65536
        else struct.pack("!BQ", mark | 127, size)
    )
    mask = b"\x01\x02\x03\x04"
    hidden = bytes(one ^ mask[at % 4] for at, one in enumerate(carried)) if masked else carried
    return bytes([first | opcode]) + length + (mask if masked else b"") + hidden


def _frames() -> Iterator[Broken]:
    for sent in (
        frame(b'["stdin", "x"]', masked=False),
        frame(b"x", opcode=3),
        frame(b"x", opcode=11),
        frame(b'["stdin", "x"]', first=0xF0),
        frame(b"\xff\xfe"),
        frame(b"\x00" * 1000, opcode=2),
        frame(b"x" * 70_000),
        b"\x81\xff\x7f\xff\xff\xff\xff\xff\xff\xff",
        b"\x81\xff\xff\xff\xff\xff\xff\xff\xff\xff",
        frame(b"go on", opcode=0),
        frame(b'["stdin', first=0) + frame(b'["stdin", "x"]'),
        frame(b"x" * 126, opcode=9),
        frame(b"x", opcode=9, first=0),
        frame(b"\x03", opcode=8),
        frame(b"\x00\x00no such code", opcode=8),
        frame(b"\x03\xe8\xff\xfe", opcode=8),
        frame(b"nonsense"),
        frame(b'["stdin", 1e999]'),
        frame(b'["resize", {"width": NaN, "height": -1e999}]'),
        frame(b"[" * 50_000),
        frame(b'{"stdin": "x"}'),
        frame(b'["open_url", "http://evil.example"]'),
        frame(b'["stdin", "' + b"\\u001b[" * 500 + b'"]'),
        frame(b'["stdin", "\\ud800"]'),
        os.urandom(0) + b"GET / HTTP/1.1\r\n\r\n",
    ):
        yield Broken("frame", sent, upgraded=True)
    yield Broken("frame", b"\x81\xfe\x10\x00", upgraded=True, open_=True)
    yield Broken("frame", frame(b"a part", first=0), upgraded=True, open_=True)


def _half(host: str) -> Iterator[Broken]:
    for sent in (
        b"",
        b"G",
        b"GET / HTTP/1.1\r\nHost",
        _get(host)[:-2],
        _get(host, "/log-in", "POST", f"Origin: http://{host}\r\nContent-Length: 100\r\n") + b"phrase=",
        handshake(host)[:-2],
    ):
        yield Broken("half", sent, open_=True)
    yield Broken("other protocol", bytes.fromhex("16030100c8010000c40303") + bytes(200))  # TLS, ClientHello
    yield Broken("other protocol", b"SSH-2.0-OpenSSH_9.2\r\n")
    yield Broken("other protocol", b"\x00" * 5000)
    yield Broken("other protocol", b"\r\n" * 3000)


def _spoilt(host: str, chance: random.Random) -> Broken:
    """A whole request with bytes of it changed, left out or said twice."""
    whole = bytearray(chance.choice([_get(host), _post(host, b"phrase=x"), handshake(host)]))
    for _ in range(chance.randint(1, 12)):
        at = chance.randrange(len(whole))
        match chance.randrange(3):
            case 0:
                whole[at] = chance.randrange(256)
            case 1:
                del whole[at]
            case _:
                whole[at:at] = whole[at : at + chance.randint(1, 40)]
    return Broken("spoilt", bytes(whole))
