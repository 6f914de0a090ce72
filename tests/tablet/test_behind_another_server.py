"""Behind a server that speaks TLS: whichever Host it hands on, only the public page is let in, by https."""

import asyncio
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from http.cookies import SimpleCookie
from pathlib import Path

import aiohttp
import pytest
from aiohttp import web

from kiosk.record import pins
from kiosk.tablet.addresses import served_at
from kiosk.tablet.server import Shown, TabletServer
from tests.tablet.served import PHRASE, free_port, tab_name

PUBLIC = "https://bench.example"
PRETENDED = str(Path(__file__).with_name("pretended.py"))
KEPT = pins.secret_of(PHRASE)


@asynccontextmanager
async def in_front() -> AsyncIterator[tuple[aiohttp.ClientSession, str]]:
    """The server of a shop, as the one in front of it reaches it."""
    port = free_port()
    command = (sys.executable, "-S", "-E", PRETENDED)
    served = served_at("127.0.0.1", port, PUBLIC)
    shown = Shown(Path("no shop"), "Brambling", served, KEPT, command=command)
    runner = web.AppRunner(TabletServer(shown).application(), access_log=None, shutdown_timeout=1.0)
    await runner.setup()
    try:
        await web.TCPSite(runner, "127.0.0.1", port).start()
        async with aiohttp.ClientSession() as session:
            yield session, f"http://127.0.0.1:{port}"
    finally:
        await runner.cleanup()


@pytest.mark.parametrize("host", ["bench.example", ""])  # Caddy hands on the public one, nginx its own
def test_only_the_public_page_is_let_in_and_by_https(host: str) -> None:
    async def ask() -> None:
        async with in_front() as (session, url):
            own = {"Host": host} if host else {}
            async with session.get(f"{url}/log-in", headers=own) as answer:
                assert "connect-src 'self' wss://bench.example;" in answer.headers["Content-Security-Policy"]
                assert "unencrypted" not in await answer.text()
            for origin in (
                "http://bench.example",
                "https://evil.example",
                "https://bench.example:444",
                "null",
            ):
                async with session.post(
                    f"{url}/log-in", data={"phrase": PHRASE}, headers={**own, "Origin": origin}
                ) as answer:
                    assert answer.status == 403 and "Set-Cookie" not in answer.headers
            public = {**own, "Origin": PUBLIC}
            async with session.post(
                f"{url}/log-in", data={"phrase": PHRASE}, headers=public, allow_redirects=False
            ) as answer:
                assert answer.status == 303 and answer.headers["Location"] == "/"
                cookie = SimpleCookie(answer.headers["Set-Cookie"])["kiosk_session"]
                assert cookie["secure"] and cookie["httponly"] and cookie["samesite"] == "Strict"
            let_in = {**public, "Cookie": f"kiosk_session={cookie.value}"}
            async with session.ws_connect(f"{url}/screen/{tab_name()}", headers=let_in) as socket:
                assert (await socket.receive()).data == b"size 80x24;"
            with pytest.raises(aiohttp.WSServerHandshakeError):
                await session.ws_connect(
                    f"{url}/screen/{tab_name()}", headers={**let_in, "Origin": url + "0"}
                )

    asyncio.run(ask())


def test_it_asks_for_the_pass_phrase_though_it_listens_on_this_machine_alone() -> None:
    async def ask() -> None:
        async with in_front() as (session, url), session.get(url, allow_redirects=False) as answer:
            assert (answer.status, answer.headers["Location"]) == (303, "/log-in")

    asyncio.run(ask())
