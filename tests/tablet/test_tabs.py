"""One screen for each tab: it waits for its page, follows it, and ends with it, whatever it does itself.

The screens are pretended ones (``pretended.py``), on a real server in this process.
"""

import asyncio
import sys
from collections.abc import Awaitable, Callable, Sequence
from contextlib import suppress
from pathlib import Path

import aiohttp
import pytest
from aiohttp import web

from kiosk.tablet import app_process, tabs
from kiosk.tablet.addresses import Served
from kiosk.tablet.server import Shown, TabletServer
from tests.tablet.served import Page, free_port, page_of, tab_name

pytestmark = pytest.mark.skipif(
    not Path("/proc/self/task").is_dir(),
    reason="the processes that are left are counted in /proc, as Linux has it",
)
PRETENDED = str(Path(__file__).with_name("pretended.py"))


class Seen:
    """What a page of a pretended screen was sent, as text."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.text = ""
        page.terminal.feed = self._take  # type: ignore[method-assign]

    def _take(self, drawn: bytes) -> None:
        self.text += drawn.decode()

    async def wait(self, words: str) -> None:
        """Wait until these words were sent."""
        await self.page.read(lambda: words in self.text)


@pytest.fixture(autouse=True)
def short_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is waited for as long as at the bench."""
    monkeypatch.setattr(tabs, "LINGER_S", 0.1)
    monkeypatch.setattr(tabs, "ANSWER_S", 0.3)
    monkeypatch.setattr(app_process, "LEAVE_S", 0.3)
    monkeypatch.setattr(app_process, "END_S", 0.3)


Walk = Callable[[aiohttp.ClientSession, str], Awaitable[None]]


async def _nothing(session: aiohttp.ClientSession, url: str) -> None:
    """For a walk that is done when the server is."""


def on_server(walk: Walk, *how: str, command: Sequence[str] = (), then: Walk = _nothing) -> None:
    """Walk on a server whose screens are pretended ones, begun in this way; none of them is left after it.

    ``then`` follows when it has stopped.
    """
    port = free_port()
    program = tuple(command) or (sys.executable, "-S", "-E", PRETENDED, *how)
    shown = Shown(Path("no shop"), "Brambling", Served("127.0.0.1", port), None, command=program)

    async def run() -> None:
        url = f"http://127.0.0.1:{port}"
        runner = web.AppRunner(TabletServer(shown).application(), access_log=None, shutdown_timeout=1.0)
        await runner.setup()
        async with aiohttp.ClientSession() as session:
            try:
                await web.TCPSite(runner, "127.0.0.1", port).start()
                await walk(session, url)
            finally:
                await runner.cleanup()
            assert not _children()
            await then(session, url)

    asyncio.run(run())


def _children() -> list[str]:
    """The processes that this one started and that still run."""
    found = []
    for task in Path("/proc/self/task").iterdir():
        with suppress(FileNotFoundError, ProcessLookupError):  # a thread that ended meanwhile
            found += (task / "children").read_text().split()
    return [one for one in found if _runs(one)]


def _runs(number: str) -> bool:
    try:
        return PRETENDED.encode() in (Path("/proc") / number / "cmdline").read_bytes()
    except OSError:
        return False


async def _until_gone() -> None:
    async with asyncio.timeout(30):
        while _children():
            await asyncio.sleep(0.01)


def test_keys_go_in_and_drawing_comes_out_but_no_link_and_no_file() -> None:
    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        async with page_of(session, url) as page:
            seen = Seen(page)
            await page.send("stdin", "½ in\x1b[A")
            await seen.wait("typed ½ in\x1b[A;")
            await page.send("resize", {"width": 100, "height": 30})
            await seen.wait("resize 100x30;")
            await page.send("focus", None)
            await page.send("blur", None)
            await page.send("ping", "17")
            await page.read(lambda: page.said)
            assert page.said == [["pong", "17"]]
            assert seen.text.startswith("size 80x24;") and "elsewhere" not in seen.text
            await page.send("stdin", "long")
            await page.read(lambda: seen.text.count("x") > 1_000_000)

    on_server(walk)


def test_a_long_paste_comes_with_its_end() -> None:
    paste = "\x1b[200~" + "x" * 17_000 + "\x1b[201~"  # between the marks of xterm's bracketed paste

    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        async with page_of(session, url) as page:
            seen = Seen(page)
            await page.send("stdin", paste)
            await seen.wait("\x1b[201~;")

    on_server(walk)


def test_a_page_that_is_loaded_again_finds_its_screen_drawn_anew() -> None:
    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        tab = tab_name()
        async with page_of(session, url, tab) as page:
            await Seen(page).wait("size")
            first = _children()
        async with page_of(session, url, tab, columns=120) as page:
            seen = Seen(page)
            await seen.wait("draw_anew")
            assert "resize 120x24" in seen.text and "size 120x24;" not in seen.text.replace("resize", "")
            assert _children() == first

    on_server(walk)


def test_a_screen_leaves_when_its_page_does_not_come_back() -> None:
    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        tab = tab_name()
        async with page_of(session, url, tab) as page:
            await Seen(page).wait("size")
        await _until_gone()
        async with page_of(session, url, tab) as page:
            await Seen(page).wait("size 80x24;")  # a new one

    on_server(walk)


@pytest.mark.parametrize("how", ["deaf", "hang"])
def test_a_screen_that_hangs_is_ended(how: str) -> None:
    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        async with page_of(session, url) as page:
            await Seen(page).wait("size")
            await page.send("stdin", "hang")
        await _until_gone()

    on_server(walk, how)


@pytest.mark.parametrize("how", ["deaf", "hang"])
def test_a_screen_that_draws_nothing_for_a_page_that_was_loaded_again_is_ended(
    how: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It stayed as it hung, however often the page was loaded again."""
    monkeypatch.setattr(tabs, "LINGER_S", 60.0)

    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        tab = tab_name()
        async with page_of(session, url, tab) as page:
            await Seen(page).wait("size")
            await page.send("stdin", "hang")
        async with page_of(session, url, tab) as page:
            assert await page.closed() == tabs.FAILED
            assert page.said == [["ended", "it did not answer any more, and was ended"]]
        async with page_of(session, url, tab) as page:
            await Seen(page).wait("size")

    on_server(walk, how)


def test_a_tab_that_was_copied_takes_the_screen_over() -> None:
    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        tab = tab_name()
        async with page_of(session, url, tab) as one:
            await Seen(one).wait("size")
            async with page_of(session, url, tab) as other:
                seen = Seen(other)
                assert await one.closed() == tabs.TAKEN
                await other.send("stdin", "still here")
                await seen.wait("typed still here;")
                assert len(_children()) == 1

    on_server(walk)


@pytest.mark.parametrize(
    ("typed", "code"), [("leave", tabs.LEFT), ("crash", tabs.FAILED), ("broken", tabs.FAILED)]
)
def test_a_page_is_told_why_its_screen_ended(typed: str, code: int) -> None:
    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        tab = tab_name()
        async with page_of(session, url, tab) as page:
            await page.send("stdin", typed)
            assert await page.closed() == code
            if typed == "crash":
                assert page.said == [["ended", "kiosk: stopped by a fault of its own"]]
        async with page_of(session, url, tab) as page:
            await Seen(page).wait("size 80x24;")  # opened again, it is another

    on_server(walk)


def test_a_shop_that_cannot_be_opened_says_so_on_the_page() -> None:
    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        async with page_of(session, url) as page:
            assert await page.closed() == tabs.FAILED
            assert page.said == [["ended", "shop.yaml:3: no such sheet\nkiosk: the shop cannot be opened"]]

    on_server(walk, "fault")


def test_what_is_no_screen_is_ended() -> None:
    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        async with page_of(session, url) as page:
            assert await page.closed() == tabs.FAILED

    on_server(walk, "noise")


def test_a_screen_that_cannot_be_started_is_one_line() -> None:
    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        async with page_of(session, url) as page:
            assert await page.closed() == tabs.FAILED
            assert page.said == [
                ["ended", "kiosk: no screen can be started (No such file or directory); try again"]
            ]

    on_server(walk, command=["/nowhere/at/all"])


def test_there_are_only_so_many_screens(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tabs, "MOST_SCREENS", 1)

    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        async with page_of(session, url) as one:
            await Seen(one).wait("size")
            async with page_of(session, url) as other:
                assert await other.closed() == tabs.TOO_MANY
            await one.send("stdin", "still here")
            await Seen(one).wait("typed still here;")

    on_server(walk)


NONSENSE: tuple[str | bytes, ...] = (
    "",
    "stdin",
    "{}",
    "[]",
    "null",
    '["stdin"]',
    '["stdin", 5]',
    '["stdin", ["x"]]',
    '["resize", {"width": 80}]',
    '["resize", [80, 24]]',
    '["nothing", 1]',
    '["ping", {}]',
    "[" * 30_000,
    b'["stdin", "x"]',
)


def test_a_page_that_sends_nonsense_is_closed_and_its_screen_stays() -> None:
    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        tab = tab_name()
        async with page_of(session, url, tab) as stays:
            await Seen(stays).wait("size")
            first = _children()
            for sent in NONSENSE:
                async with page_of(session, url, tab) as page:
                    await (
                        page.socket.send_str(sent) if isinstance(sent, str) else page.socket.send_bytes(sent)
                    )
                    assert await page.closed() == aiohttp.WSCloseCode.POLICY_VIOLATION, sent
            assert _children() == first

    on_server(walk)


def test_a_size_that_cannot_be_is_brought_to_one_that_can() -> None:
    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        async with page_of(session, url) as page:
            seen = Seen(page)
            for width, height, taken in ((0, -5, "20x5"), (10**9, 10**9, "400x200"), ("x", None, "80x24")):
                await page.send("resize", {"width": width, "height": height})
                await seen.wait(f"resize {taken};")

    on_server(walk)


def test_all_screens_leave_when_the_server_stops_and_their_pages_are_told() -> None:
    told: list[asyncio.Task[int | None]] = []

    async def walk(session: aiohttp.ClientSession, url: str) -> None:
        for _ in range(3):  # open as the server stops
            socket = await session.ws_connect(f"{url}/screen/{tab_name()}", headers={"Origin": url})
            page = Page(socket)
            await Seen(page).wait("size")
            told.append(asyncio.create_task(page.closed()))
        assert len(_children()) == 3

    async def then(session: aiohttp.ClientSession, url: str) -> None:
        assert await asyncio.gather(*told) == [aiohttp.WSCloseCode.GOING_AWAY] * 3

    on_server(walk, then=then)


def test_a_page_that_reads_nothing_is_cut_off_and_takes_no_screen_with_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What was drawn waited for the same buffer as the closing, and was cancelled with it: so was the app."""
    monkeypatch.setattr(tabs, "_CLOSE_S", 0.05)

    class Stuck(tabs.PageSocket):
        def __init__(self) -> None:
            super().__init__()
            self.room: asyncio.Future[None] = asyncio.get_running_loop().create_future()
            self._cut = lambda: self.room.set_exception(ConnectionResetError())

        async def close(self, **_: object) -> bool:
            await self.room
            return True

    async def walk() -> None:
        socket = Stuck()

        async def drawn() -> str:
            try:
                await socket.room
            except ConnectionError:
                return "goes on with the next page"
            return ""

        drawing = asyncio.ensure_future(drawn())
        await tabs.close(socket, tabs.TAKEN)
        assert await drawing == "goes on with the next page"

    asyncio.run(walk())
