"""The real server on loopback: who gets in, what is refused, screens in step, and that none is left."""

import asyncio
import os
import re
import shutil
import signal
import socket
from collections.abc import Iterator
from contextlib import closing
from http.cookies import SimpleCookie
from pathlib import Path

import aiohttp
import pytest

from kiosk.bench import Bench
from tests.tablet.broken import MANY, Broken, broken_requests, handshake
from tests.tablet.served import PHRASE, Server, log_in, page_of, serving, tab_name, wait_until

pytestmark = pytest.mark.skipif(
    not Path("/proc/self/task").is_dir(),
    reason="the screens that are left are counted in /proc, as Linux has it",
)
NEIGHBOUR, STRANGER = "127.0.0.2", "127.0.0.3"  # others on the network, as it were, who have to wait alone
QUIET_S = 0.1  # nothing more is answered then


@pytest.fixture(scope="module")
def shop(played_shop: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the example shop in mid-work, for all tests here: each goes on where the last one left."""
    folder = tmp_path_factory.mktemp("served") / "shop"
    shutil.copytree(played_shop, folder)
    return folder


@pytest.fixture(scope="module")
def server(shop: Path) -> Iterator[Server]:
    """A server behind a pass-phrase."""
    with serving(shop, phrase=PHRASE) as served:
        yield served


def test_nobody_gets_in_without_the_pass_phrase(server: Server) -> None:
    async def ask() -> None:
        async with aiohttp.ClientSession(connector=_from(NEIGHBOUR)) as session:
            async with session.get(f"{server.url}/") as page:
                assert page.url.path == "/log-in"
                text = await page.text()
            assert "Pass-phrase of this shop" in text and "Brambling" not in text and "<script" not in text
            for wrong in ("", "four flutes and a ri", PHRASE.upper()):
                assert await log_in(session, server.url, wrong) == 403
            assert not list(session.cookie_jar)
            # Even the right one has to wait now.
            form, headers = {"phrase": PHRASE}, {"Origin": server.url}
            async with session.post(f"{server.url}/log-in", data=form, headers=headers) as answer:
                assert answer.status == 429 and int(answer.headers["Retry-After"]) in range(1, 7)
                assert "Wait" in await answer.text() and not list(session.cookie_jar)
            with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
                async with page_of(session, server.url):
                    pass
            assert refused.value.status == 401
        assert not server.screens()

    asyncio.run(ask())


def _from(address: str) -> aiohttp.TCPConnector:
    return aiohttp.TCPConnector(local_addr=(address, 0))


async def _new_session(server: Server) -> str:
    """Log in; what the cookie holds."""
    form, headers = {"phrase": PHRASE}, {"Origin": server.url}
    async with (
        aiohttp.ClientSession() as session,
        session.post(f"{server.url}/log-in", data=form, headers=headers, allow_redirects=False) as answer,
    ):
        assert answer.status == 303
        cookie = SimpleCookie(answer.headers["Set-Cookie"])["kiosk_session"]
        assert cookie["httponly"] and cookie["samesite"] == "Strict" and cookie["path"] == "/"
        assert not cookie["secure"]  # without TLS it would never come back
        return cookie.value


@pytest.fixture(scope="module")
def cookie(server: Server) -> str:
    """The cookie of a browser that gave the pass-phrase."""
    return asyncio.run(_new_session(server))


def _browser(cookie: str) -> aiohttp.ClientSession:
    return aiohttp.ClientSession(cookies={"kiosk_session": cookie})


def test_a_page_of_another_gets_nothing_even_with_the_cookie(server: Server, cookie: str) -> None:
    async def ask() -> None:
        async with _browser(cookie) as session:
            for origin in ("http://evil.example", "null", f"http://127.0.0.1:{server.port + 1}", "file://"):
                with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
                    async with page_of(session, server.url, origin=origin):
                        pass
                assert refused.value.status == 403
                assert await log_in(session, server.url.replace("127.0.0.1", "localhost")) in (403, 303)
                for path in ("/log-in", "/log-out"):
                    async with session.post(server.url + path, headers={"Origin": origin}) as answer:
                        assert answer.status == 403 and "Set-Cookie" not in answer.headers
            with pytest.raises(aiohttp.WSServerHandshakeError):  # as a program without a page would
                await session.ws_connect(f"{server.url}/screen/{tab_name()}")
            async with session.get(server.url, headers={"Host": "evil.example"}) as answer:
                assert answer.status == 421
        assert not server.screens()

    asyncio.run(ask())


def test_nothing_comes_from_elsewhere(server: Server, cookie: str) -> None:
    async def ask() -> None:
        async with _browser(cookie) as session:
            loaded = set()
            for path in ("/", "/log-in", "/files/page.css"):
                async with session.get(server.url + path, allow_redirects=False) as answer:
                    policy = answer.headers["Content-Security-Policy"]
                    assert "default-src 'none'" in policy and "frame-ancestors 'none'" in policy
                    sources = set(re.findall(r"(?:https?|wss?)://\S+?(?=[; ])", policy))
                    assert sources == {f"ws://127.0.0.1:{server.port}"}
                    assert "unsafe-eval" not in policy and "script-src 'self';" in policy
                    assert answer.headers["X-Content-Type-Options"] == "nosniff"
                    text = await answer.text()
                    assert "//" not in re.sub(r"/\*.*?\*/", "", text), text
                    loaded |= set(re.findall(r"/files/[a-z.-]+", text))
            for path in sorted(loaded):
                async with session.get(server.url + path) as answer:
                    assert answer.status == 200 and int(answer.headers["Content-Length"]) > 1000
            assert len(loaded) == 5

    asyncio.run(ask())


def test_what_is_done_on_one_screen_is_seen_on_the_other_and_after_a_reload(
    server: Server, cookie: str
) -> None:
    async def walk() -> None:
        async with _browser(cookie) as session:
            tab = tab_name()
            async with page_of(session, server.url, tab) as one:
                await one.see("CARRY ON")
                for label, then in (("CARRY ON", "I HAVE READ"), ("I HAVE READ", "ONE MORE (6)")):
                    await one.tap(label)
                    await one.see(then)
                for count in range(6, 9):
                    await one.tap("ONE MORE")
                    await one.see(f"ONE MORE ({count + 1})")
                await one.tap("ONE MORE")
                await one.see("TYPE THE FIGURE")
                await one.tap("Keypad")
                await one.see("OK or Enter records it")
            async with page_of(session, server.url, tab) as again, page_of(session, server.url) as other:
                await other.see("NR-03 · 3 of 5")
                await again.see("OK or Enter records it")  # the very dialog
                for label in (" 0 ", " . ", " 0 ", " 2 "):
                    await again.tap(label)
                await again.see("   OK")  # once it is a figure
                await again.tap(" OK")
                await again.see("DONE, THEN NR-04")
                await again.tap("DONE, THEN NR-04")
                await again.see("NR-04 · 4 of 5")
                await other.see("NR-04 · 4 of 5")

    asyncio.run(walk())


def test_two_hundred_broken_requests_and_it_still_serves(server: Server, cookie: str, shop: Path) -> None:
    host = f"127.0.0.1:{server.port}"
    requests = broken_requests(host, seed=11)
    assert len(requests) == MANY and len({one.kind for one in requests}) >= 13
    left_open: list[socket.socket] = []
    tab = tab_name()
    wrong = []
    for one in requests:
        answer = _sent(server, one, handshake(host, tab, cookie) if one.upgraded else b"", left_open)
        good = re.match(rb"HTTP/\d\.\d [2-5]", answer) or not answer
        inside = b"CARRY ON" in answer or b"Brambling" in answer or b"root:" in answer or b"scrypt" in answer
        if not good or inside or answer[9:10] == b"5" or b"Traceback" in answer:
            wrong.append((one, answer[:300]))
    assert not wrong

    async def serves() -> None:
        async with _browser(cookie) as session:
            async with session.get(f"{server.url}/") as answer:
                assert answer.status == 200
            async with page_of(session, server.url, tab) as page:
                await page.see("F10")

    asyncio.run(serves())
    for connection in left_open:
        connection.close()
    assert server.process.poll() is None and not (shop / "crash.txt").exists()
    assert server.complaints() == ""


def _sent(server: Server, one: Broken, before: bytes, left_open: list[socket.socket]) -> bytes:
    """Send a broken request; gives what was answered, after the handshake if there was one."""
    connection = socket.create_connection(("127.0.0.1", server.port), 20, (STRANGER, 0))
    answer = b""
    try:
        if before:
            connection.sendall(before)
            while b"\r\n\r\n" not in answer:
                answer += connection.recv(1000)
            assert answer.startswith(b"HTTP/1.1 101 ")
            answer = b""
        connection.sendall(one.sent)
        if one.open_:
            left_open.append(connection)
            return b""
        connection.settimeout(QUIET_S)
        while read := connection.recv(65536):
            answer += read
    except (ConnectionError, TimeoutError):  # it may go before it has heard all, or wait for more
        pass
    finally:
        if not one.open_:
            connection.close()
    return b"" if one.upgraded else answer


def test_logging_out_ends_the_screens_of_that_browser(server: Server) -> None:
    async def walk() -> None:
        async with _browser(await _new_session(server)) as session:
            async with page_of(session, server.url) as page:
                await page.see("F10")
                (own,) = set(server.screens()) - before
                headers = {"Origin": server.url}
                async with session.post(
                    f"{server.url}/log-out", headers=headers, allow_redirects=False
                ) as answer:
                    assert answer.status == 303
                await page.closed()
                assert own not in server.screens()
            async with session.get(f"{server.url}/", allow_redirects=False) as answer:
                assert answer.headers.get("Location") == "/log-in"

    before = set(server.screens())
    asyncio.run(walk())


def test_no_screen_is_left_when_the_server_is_killed(server: Server, shop: Path) -> None:
    async def walk() -> None:
        async with _browser(await _new_session(server)) as session, page_of(session, server.url) as page:
            await page.see("F10")
            assert server.screens()
            os.kill(server.process.pid, signal.SIGKILL)
            await asyncio.to_thread(wait_until, lambda: not server.screens())

    asyncio.run(walk())
    with closing(Bench(shop, watch=True)) as bench:
        assert bench.presence is not None and not bench.presence.others_alive()
