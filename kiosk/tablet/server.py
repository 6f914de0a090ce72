"""The server of the tablet's pages: what may be asked for, who may ask, and how it is begun and ended."""

import asyncio
import errno
import importlib.resources
import json
import logging
import re
import signal
import sys
import time
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import field
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs

import jinja2
from aiohttp import WSMsgType, web

from kiosk.crash import crash_line, keep_crash
from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.tablet import pass_phrase
from kiosk.tablet.addresses import Served, WrongAddress
from kiosk.tablet.app_process import open_command
from kiosk.tablet.connections import Connections
from kiosk.tablet.guests import SESSION_S, Sessions, Tries
from kiosk.tablet.tabs import FAILED, TOO_MANY, PageSocket, Tab, Tabs, close

COOKIE = "kiosk_session"
_TAB = re.compile(r"[A-Za-z0-9_-]{16,64}")
_LARGEST_FORM = 4096  # bytes; a pass-phrase and its name
_LARGEST_MESSAGE = 64 * 1024  # bytes of a page's message: a paste is the longest
_FORM_S = 10.0  # a form that has not come by then is not waited for
_IDLE_S = 15.0  # a connection that asks for nothing
_BACKLOG = 128  # connections that wait to be met
_HEARTBEAT_S = 10.0  # how often a page is asked whether it is still there
_LEAST_SIZE, _GREATEST_SIZE = (20, 5), (400, 200)  # columns and rows that a page may ask for
_PAGES = importlib.resources.files("kiosk.tablet") / "pages"
_TERMINAL = importlib.resources.files("textual_serve") / "static"  # xterm.js with what it needs, and its font

# All that the pages load, and nothing else is served: no path is ever made of what is asked for.
_FILES = {
    "page.css": (_PAGES / "page.css", "text/css"),
    "page.js": (_PAGES / "page.js", "text/javascript"),
    "terminal.css": (_TERMINAL / "css" / "xterm.css", "text/css"),
    "terminal.js": (_TERMINAL / "js" / "textual.js", "text/javascript"),
    "letters.ttf": (_TERMINAL / "fonts" / "RobotoMono-VariableFont_wght.ttf", "font/ttf"),
}

# Nothing comes from elsewhere, nothing goes elsewhere, and no page of another's may frame one of these
# (Content Security Policy Level 3). The terminal writes styles of its own, which is why they may be in line.
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; font-src 'self'; "
    "img-src 'self' data:; connect-src 'self' {sockets}; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
_HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",  # not "no-referrer", with which a form's Origin would be null
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), clipboard-read=()",
    "Server": "kiosk",
}

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


@dataclass(frozen=True)
class Shown:
    """What is served: a shop under its name, where, behind which pass-phrase, in letters of which size."""

    shop: Path
    name: str
    served: Served
    kept: str | None  # of the pass-phrase; None where none was set
    letters_px: int = 0  # 0: as large as 80 columns and 24 rows allow
    command: Sequence[str] = field(default=())  # what draws a screen, when it is not the kiosk itself


class TabletServer:
    """The pages of one shop."""

    def __init__(self, shown: Shown, clock: Callable[[], float] = time.monotonic) -> None:
        self._shown = shown
        self._served = shown.served
        self._sessions = Sessions(clock)
        self._tries = Tries(clock)
        self._one_try = asyncio.Lock()  # the hash is slow on purpose: one at a time, whoever asks
        self._tabs = Tabs(shown.command or open_command(shown.shop))
        self._pages = jinja2.Environment(
            loader=jinja2.PackageLoader("kiosk.tablet", "pages"),
            autoescape=True,
            undefined=jinja2.StrictUndefined,
        )

    def application(self) -> web.Application:
        """The routes, and what stands before them all."""
        application = web.Application(middlewares=[self._guarded], client_max_size=_LARGEST_FORM)
        application.on_response_prepare.append(self._add_headers)
        application.on_shutdown.append(lambda _: self._tabs.stop())
        application.add_routes(
            [
                web.get("/", self._screen_page),
                web.get("/log-in", self._log_in_page),
                web.post("/log-in", self._log_in),
                web.post("/log-out", self._log_out),
                web.get("/screen/{tab}", self._screen),
                web.get("/files/{name}", self._file),
            ]
        )
        return application

    # What stands before them all

    @web.middleware
    async def _guarded(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Refuse what was asked of another name, and say of a fault of the kiosk's own no more than that."""
        reached = request.get_extra_info("sockname")
        if not reached or not self._served.is_own_host(_host(request), str(reached[0])):
            return _refused(421, "This kiosk is not known by that name.")
        if request.method == "POST" or request.path.startswith("/screen/"):
            origin = request.headers.get("Origin", "")
            if not self._served.is_own_origin(origin, _host(request)):
                return _refused(403, "Only a page of this kiosk may ask that.")
        try:
            return await handler(request)
        except (web.HTTPException, ConnectionError):
            raise
        except Exception as error:
            print(crash_line(keep_crash(error, self._shown.shop)), file=sys.stderr, flush=True)
            return _refused(500, "The kiosk could not do that.")

    async def _add_headers(self, request: web.BaseRequest, response: web.StreamResponse) -> None:
        response.headers.update(_HEADERS)
        response.headers.setdefault("Cache-Control", "no-store")
        # Older Safari does not take a socket for 'self'. Only a host that was found to be this one is named.
        own = self._served.public or (f"http://{_host(request)}" if response.status != 421 else "")
        sockets = own.replace("http", "ws", 1)
        response.headers["Content-Security-Policy"] = _POLICY.format(sockets=sockets)

    def _is_in(self, request: web.Request) -> bool:
        """True when no pass-phrase is asked for, or this browser gave it."""
        return self._shown.kept is None or self._sessions.holds(request.cookies.get(COOKIE, ""))

    # The pages

    def _page(self, name: str, status: int = 200, **words: object) -> web.Response:
        text = self._pages.get_template(name).render(shop=self._shown.name, **words)
        return web.Response(text=text, status=status, content_type="text/html")

    async def _screen_page(self, request: web.Request) -> web.StreamResponse:
        if not self._is_in(request):
            raise web.HTTPSeeOther("/log-in")
        return self._page(
            "screen.html", letters_px=self._shown.letters_px, may_log_out=self._shown.kept is not None
        )

    async def _log_in_page(self, request: web.Request) -> web.StreamResponse:
        if self._is_in(request):
            raise web.HTTPSeeOther("/")
        return self._page("log_in.html", trouble="", plain=not self._served.by_tls and self._served.is_open)

    async def _log_in(self, request: web.Request) -> web.StreamResponse:
        try:
            async with asyncio.timeout(_FORM_S):
                form = parse_qs((await request.read()).decode("utf-8"), max_num_fields=4)
        except (TimeoutError, ValueError):
            return _refused(400, "That form cannot be read.")
        typed = form.get("phrase", [""])[0]
        kept, address = self._shown.kept, request.remote or ""
        if kept is None:
            raise web.HTTPSeeOther("/")
        plain = not self._served.by_tls and self._served.is_open
        async with self._one_try:
            wait_s = self._tries.wait_s(address)
            if wait_s > 0:
                seconds = int(wait_s) + 1
                trouble = f"It was wrong several times. Wait {seconds} seconds, then try again."
                response = self._page("log_in.html", 429, trouble=trouble, plain=plain)
                response.headers["Retry-After"] = str(seconds)
                return response
            right = await asyncio.to_thread(pass_phrase.opens, kept, typed)
            if not right:
                self._tries.was_wrong(address)
                trouble = "That is not the pass-phrase. Nothing was opened."
                return self._page("log_in.html", 403, trouble=trouble, plain=plain)
            self._tries.was_right(address)
        response = web.Response(status=303, headers={"Location": "/"})
        response.set_cookie(
            COOKIE,
            self._sessions.begin(),
            max_age=int(SESSION_S),
            path="/",
            secure=self._served.by_tls,
            httponly=True,
            samesite="Strict",
        )
        return response

    async def _log_out(self, request: web.Request) -> web.StreamResponse:
        if session := request.cookies.get(COOKIE, ""):
            self._sessions.end(session)
            await self._tabs.leave(session)
        response = web.Response(status=303, headers={"Location": "/log-in"})
        response.del_cookie(COOKIE, path="/")
        return response

    async def _file(self, request: web.Request) -> web.StreamResponse:
        found = _FILES.get(request.match_info["name"])
        if found is None:
            raise web.HTTPNotFound
        with importlib.resources.as_file(found[0]) as path:
            headers = {"Content-Type": found[1], "Cache-Control": "no-cache"}  # looked at again, by its date
            return web.FileResponse(path, headers=headers)

    # The screen

    async def _screen(self, request: web.Request) -> web.StreamResponse:
        """A page's socket: what is drawn goes out on it, keys and taps come in."""
        if not self._is_in(request):
            return _refused(401, "Log in first.")
        name = request.match_info["tab"]
        if not _TAB.fullmatch(name):
            return _refused(400, "That is no name of a tab.")
        columns, rows = _size(request.query.get("width"), request.query.get("height"))
        socket = PageSocket(
            heartbeat=_HEARTBEAT_S, max_msg_size=_LARGEST_MESSAGE, compress=False, timeout=2.0
        )
        await socket.prepare(request)
        key = (request.cookies.get(COOKIE, "") if self._shown.kept is not None else "", name)
        try:
            tab = await self._tabs.look(key, socket, columns, rows)
        except KioskError as error:
            await socket.send_str(json.dumps(["ended", f"kiosk: {error}"]))
            await close(socket, FAILED)
            return socket
        if tab is None:
            await close(socket, TOO_MANY)
            return socket
        try:
            await _hand_on(socket, tab)
        finally:
            self._tabs.look_away(key, tab, socket)
        return socket


def _host(request: web.BaseRequest) -> str:
    """The Host as it was sent: for one that was not, aiohttp would ask the network for a name."""
    return request.headers.get("Host", "")


def _refused(status: int, words: str) -> web.Response:
    return web.Response(status=status, text=f"{words}\n")


def _size(columns: object, rows: object) -> tuple[int, int]:
    """What a page said of its size, within what a screen can be."""
    found = []
    for said, usual, least, greatest in zip(
        (columns, rows), (80, 24), _LEAST_SIZE, _GREATEST_SIZE, strict=True
    ):
        try:
            number = int(said)  # type: ignore[call-overload]  # whatever it is: an error says that it is none
        except (TypeError, ValueError, OverflowError):
            number = usual
        found.append(max(least, min(greatest, number)))
    return found[0], found[1]


async def _hand_on(socket: PageSocket, tab: Tab) -> None:
    """Hand on what a page sends, until it goes or sends what no page of ours would."""
    async for message in socket:
        try:
            if message.type is not WSMsgType.TEXT:
                raise ValueError
            kind, said = (*json.loads(message.data), None)[:2]
            match kind:
                case "stdin":
                    await tab.process.type(_typed(said))
                case "resize":
                    await tab.process.resize(*_size(said["width"], said["height"]))
                case "ping":
                    await socket.send_json(["pong", _typed(said)])
                case "focus" | "blur":  # a tap is meant, wherever the focus is
                    pass
                case _:
                    raise ValueError
        except (ValueError, TypeError, KeyError, RecursionError):
            await close(socket, 1008)
            return
        except (ConnectionError, RuntimeError):
            return


def _typed(said: Any) -> str:
    if not isinstance(said, str):
        raise ValueError
    return said  # whole: a paste that is cut has no end


# Beginning and ending


def serve(shown: Shown, told: Callable[[str], None]) -> None:
    """Serve until a signal says to stop; ``told`` hears where, once it is so.

    Raises WrongAddress when the address or port cannot be had.
    """
    asyncio.run(_serve(shown, told))


async def _serve(shown: Shown, told: Callable[[str], None]) -> None:
    loop = asyncio.get_running_loop()
    loop.set_exception_handler(partial(_say_fault, shown.shop))
    stop = asyncio.Event()
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        loop.add_signal_handler(number, stop.set)
    quiet = logging.getLogger("kiosk.tablet")
    quiet.addHandler(logging.NullHandler())
    quiet.propagate = False  # a broken request is the sender's affair, and would fill the log
    runner = web.AppRunner(
        TabletServer(shown).application(),
        access_log=None,
        logger=quiet,
        keepalive_timeout=_IDLE_S,
        shutdown_timeout=2.0,
    )
    await runner.setup()
    listening = None
    try:
        served = shown.served
        assert runner.server is not None
        try:
            listening = await loop.create_server(
                Connections(runner.server), served.address, served.port, backlog=_BACKLOG
            )
        except OSError as error:
            raise _cannot_serve(served, error) from None
        told(_url(served))
        await stop.wait()
    finally:
        if listening is not None:
            listening.close()
        await runner.cleanup()


def _url(served: Served) -> str:
    if served.public:
        return f"{served.public}/"
    host = f"[{served.address}]" if ":" in served.address else served.address
    return f"http://{host}:{served.port}/"


def _cannot_serve(served: Served, error: OSError) -> WrongAddress:
    if error.errno == errno.EADDRINUSE:
        return WrongAddress(f"port {served.port} is taken", "give another with --port")
    if error.errno == errno.EADDRNOTAVAIL:
        return WrongAddress(f"this machine has no address {served.address}", "give one that it has")
    return WrongAddress(
        f"{served.address} port {served.port} cannot be had ({error.strerror})", "give another"
    )


def _say_fault(shop: Path, loop: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
    """A fault beside any request: one line, and never what stood in memory."""
    error = context.get("exception")
    if isinstance(error, Exception) and not isinstance(error, OSError):  # a connection that broke is no fault
        print(crash_line(keep_crash(error, shop)), file=sys.stderr, flush=True)
