"""The screens that are open: one process for each tab of a browser, and the page that looks at it now.

A page that is loaded again, or a radio that lost its way for a moment, finds its screen as it was. A screen
whose page is gone for longer leaves, as on a wall whose terminal was closed. One that draws nothing for a
page that was loaded again hangs, and is ended: loaded once more, that page gets another.
"""

import asyncio
import json
from collections.abc import Callable, Coroutine, Sequence
from contextlib import suppress
from functools import partial

from aiohttp import WSCloseCode, web
from aiohttp.abc import AbstractStreamWriter

from kiosk.tablet.app_process import AppProcess

LINGER_S = 10.0  # how long a screen waits for its page to come back
ANSWER_S = 20.0  # to draw for a page that was loaded again; a small machine may work at a forecast meanwhile
MOST_SCREENS = 12  # each takes about 75 MB

# Why a page's socket was closed, as the page's script knows it (RFC 6455, section 7.4.2: 4000 to 4999).
LEFT, TAKEN, TOO_MANY, FAILED = 4000, 4001, 4002, 4003
_HUNG = "it did not answer any more, and was ended"
_CLOSE_S = 1.0  # a page that does not answer is let go


class PageSocket(web.WebSocketResponse):
    """A page's socket, whose connection can be cut off where the page has stopped reading."""

    _cut: Callable[[], None] | None = None

    async def prepare(self, request: web.BaseRequest) -> AbstractStreamWriter:
        """Begin, as any response does."""
        if request.transport is not None:
            self._cut = request.transport.abort
        return await super().prepare(request)

    def cut(self) -> None:
        """Drop the connection, and with it what still waits to be sent on it."""
        if self._cut is not None:
            self._cut()


class Tab:
    """One screen, and the page that looks at it."""

    def __init__(self, process: AppProcess, socket: PageSocket) -> None:
        self.process = process
        self.socket: PageSocket | None = socket
        self.lingers: asyncio.TimerHandle | None = None
        self.drawn = 0  # how often
        self._hung = False

    async def show(self) -> None:
        """Send what is drawn to whatever page looks on, until the screen ends."""
        async for drawn in self.process.drawn():
            self.drawn += 1
            socket = self.socket
            if socket is not None and not socket.closed:
                with suppress(ConnectionError, RuntimeError):
                    await socket.send_bytes(drawn)

    async def end_if_silent(self, since: int) -> None:
        """End a screen that has drawn nothing since."""
        if self.drawn == since:
            self._hung = True
            await self.process.stop()

    async def say_end(self) -> None:
        """Tell the page why the screen ended."""
        await self.process.stop()  # it has left already, or what it says cannot be read
        code, words = await self.process.ended()
        words = _HUNG if self._hung else words
        if self.socket is not None:
            if code:
                with suppress(ConnectionError, RuntimeError):
                    await self.socket.send_str(json.dumps(["ended", words]))
            await close(self.socket, FAILED if code else LEFT)


async def close(socket: PageSocket, code: int) -> None:
    """Close a page's socket, saying why; one that does not answer is dropped.

    The wait is never cancelled: what is drawn waits for the same buffer, and would be cancelled with it.
    """
    closing = asyncio.ensure_future(socket.close(code=code))
    await asyncio.wait({closing}, timeout=_CLOSE_S)
    if not closing.done():
        socket.cut()
    with suppress(ConnectionError, RuntimeError):
        await closing


Key = tuple[str, str]  # the session of a browser, and the name of a tab of it


class Tabs:
    """All screens of one server. A tab is known by the session of its browser and a name that it chose."""

    def __init__(self, command: Sequence[str]) -> None:
        self._command = command
        self._tabs: dict[Key, Tab] = {}
        self._one_look = asyncio.Lock()  # a page that is loaded twice at once gets one screen
        self._tasks: set[asyncio.Task[object]] = set()

    async def look(self, key: Key, socket: PageSocket, columns: int, rows: int) -> Tab | None:
        """The screen of a tab, shown on this page from now on; None when there are too many.

        Raises KioskError when it cannot be started.
        """
        async with self._one_look:
            tab = self._tabs.get(key)
            if tab is not None:
                await self._look_again(tab, socket, columns, rows)
            elif len(self._tabs) < MOST_SCREENS:
                tab = Tab(await AppProcess.start(self._command, columns, rows), socket)
                self._tabs[key] = tab
                self._do(self._show(key, tab))
            return tab

    async def _look_again(self, tab: Tab, socket: PageSocket, columns: int, rows: int) -> None:
        before, tab.socket = tab.socket, socket
        if tab.lingers is not None:
            tab.lingers.cancel()
            tab.lingers = None
        if before is not None:  # the tab was copied, or the browser is quicker than its own leave-taking
            await close(before, TAKEN)
        ends_if_silent = partial(self._end_if_silent, tab, tab.drawn)
        asyncio.get_running_loop().call_later(ANSWER_S, ends_if_silent)  # what hangs takes nothing in either
        await tab.process.resize(columns, rows)
        await tab.process.draw_anew()

    def _end_if_silent(self, tab: Tab, since: int) -> None:
        if tab in self._tabs.values():
            self._do(tab.end_if_silent(since))

    async def _show(self, key: Key, tab: Tab) -> None:
        try:
            await tab.show()
        finally:
            self._forget(key, tab)  # before its page knows: if it is loaded again it gets a screen of its own
            await tab.say_end()

    def _forget(self, key: Key, tab: Tab) -> None:
        if self._tabs.get(key) is tab:
            del self._tabs[key]

    def look_away(self, key: Key, tab: Tab, socket: PageSocket) -> None:
        """A page is gone: its screen leaves if none comes back in time."""
        if tab.socket is not socket:
            return

        def leave() -> None:
            self._forget(key, tab)
            self._do(tab.process.stop())

        tab.socket = None
        tab.lingers = asyncio.get_running_loop().call_later(LINGER_S, leave)

    def _do(self, deed: Coroutine[object, object, object]) -> None:
        """Do something beside all else; the loop itself keeps no hold of what it does."""
        task = asyncio.create_task(deed)
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def leave(self, session: str) -> None:
        """Have the screens of a browser leave: it was logged out."""
        await asyncio.gather(
            *(tab.process.stop() for key, tab in list(self._tabs.items()) if key[0] == session)
        )

    async def stop(self) -> None:
        """Have all screens leave."""
        await asyncio.gather(*(self._stop(tab) for tab in list(self._tabs.values())))
        await asyncio.gather(*self._tasks, return_exceptions=True)

    @staticmethod
    async def _stop(tab: Tab) -> None:
        if tab.lingers is not None:
            tab.lingers.cancel()
        if tab.socket is not None:  # going away: the page looks for the server again
            await close(tab.socket, WSCloseCode.GOING_AWAY)
            tab.socket = None
        await tab.process.stop()
