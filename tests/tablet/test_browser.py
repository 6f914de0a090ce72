"""The pages in real browsers, by finger, without a window, driven by Playwright.

Left out where there is no Playwright (extra ``[browser]``) or no such browser. All of it is tried in the
machine's Chromium; a step with a measurement also in Firefox and WebKit, where ``playwright install`` brought
them, else in the machine's own Firefox, which some versions of Playwright drive and whose finger is a mouse.
The terminal draws on a canvas, so what stands on it is read from what the page was sent, by a terminal of the
test's own.
"""

import base64
import os
import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.tablet.served import BETWEEN_TAPS_S, LONGEST_WAIT_S, PHRASE, Server, Terminal, serving

playwright = pytest.importorskip(
    "playwright.sync_api", reason="no Playwright: pip install -e '.[browser]' to try the pages in a browser"
)
CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
FIREFOX = shutil.which("firefox") or shutil.which("firefox-esr")
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
ACROSS, UPRIGHT = (1280, 800), (800, 1280)  # a tablet of 10.1 inches


@pytest.fixture(scope="module")
def server(played_shop: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server behind a pass-phrase, of the example shop in mid-work."""
    shop = tmp_path_factory.mktemp("browser") / "shop"
    shutil.copytree(played_shop, shop)
    with serving(shop, phrase=PHRASE) as served:
        yield served


@pytest.fixture(scope="module")
def driven() -> Iterator[Any]:
    """What drives browsers."""
    with playwright.sync_playwright() as found:
        yield found


@pytest.fixture(scope="module")
def browser(driven: Any) -> Iterator[Any]:
    """The browser, one for all tests here."""
    if CHROMIUM is None:
        pytest.skip("no Chromium on this machine to try the pages in")
    opened = driven.chromium.launch(executable_path=CHROMIUM, args=list(ARGUMENTS))
    yield opened
    opened.close()


@pytest.fixture(params=["chromium", "firefox", "webkit"])
def any_browser(request: pytest.FixtureRequest, driven: Any) -> Iterator[Any]:
    """Each browser that there is."""
    if request.param == "chromium":
        yield request.getfixturevalue("browser")
        return
    kind = getattr(driven, request.param)
    if Path(kind.executable_path).exists():
        opened = kind.launch()
    elif request.param == "firefox" and FIREFOX is not None:
        opened = _own_firefox(kind)
    else:
        pytest.skip(f"no such browser: python -m playwright install {request.param}")
    yield opened
    opened.close()


@pytest.fixture
def fresh_server(
    request: pytest.FixtureRequest, any_browser: Any, played_shop: Path, tmp_path: Path
) -> Iterator[Server]:
    """A server at whose shop no other browser has worked; Chromium comes first to that of all tests."""
    if any_browser.browser_type.name == "chromium":
        yield request.getfixturevalue("server")
        return
    shutil.copytree(played_shop, tmp_path / "shop")
    with serving(tmp_path / "shop", phrase=PHRASE) as served:
        yield served


def _own_firefox(kind: Any) -> Any:
    """The machine's Firefox, driven by WebDriver BiDi, of which it knows less than some Playwrights ask."""
    opened = None
    try:
        opened = kind.launch(channel="moz-firefox", executable_path=FIREFOX)
        opened.new_context().close()
    except playwright.Error as error:
        if opened is not None:
            opened.close()
        pytest.skip(f"this Playwright cannot drive this Firefox: {error.message.splitlines()[0]}")
    return opened


# What a page would sound, its socket, and what goes through that.
_EARS = """
    window.heard = 0;
    window.AudioContext = class {
        createOscillator() {
            return { frequency: {}, connect() {}, start() { window.heard += 1; }, stop() {} };
        }
    };
    window.WebSocket = class extends window.WebSocket {
        constructor(url) {
            super(url);
            window.socket = this;
            window.told("opened", url);
            this.addEventListener("message", ({ data }) => {
                if (typeof data === "string") return;
                const letters = Array.from(new Uint8Array(data), (one) => String.fromCharCode(one));
                window.told("drawn", btoa(letters.join("")));
            });
        }
        send(data) {
            window.told("sent", data);
            super.send(data);
        }
    };
"""
_RING = """() => {
    const rung = (...bytes) => new MessageEvent("message", { data: new Uint8Array(bytes).buffer });
    window.socket.dispatchEvent(rung(7));
    window.socket.dispatchEvent(rung(27, 93, 50, 59, 7)); // the end of a title
    return window.heard;
}"""


class Tablet:
    """A browser on a tablet: what its page shows, and a finger."""

    def __init__(self, browser: Any, server: Server, size: tuple[int, int] = ACROSS) -> None:
        self.server = server
        self.terminal = Terminal()
        self.asked: list[str] = []  # whatever the page asked for, anywhere
        self.faults: list[str] = []
        name = browser.browser_type.name
        self.has_finger = name != "firefox" or Path(browser.browser_type.executable_path).exists()
        mobile = {} if name == "firefox" else {"is_mobile": True}  # Playwright has none for Firefox
        self.context = browser.new_context(
            viewport={"width": size[0], "height": size[1]}, has_touch=True, **mobile
        )
        self.page = self.context.new_page()
        self.page.expose_binding("told", self._told)
        self.page.add_init_script(_EARS)
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))
        self.page.on("console", self._console)

    def _console(self, message: Any) -> None:
        # xterm.js warns of a machine that is busy with something else: no fault of the page.
        busy = message.text.startswith("task queue exceeded allotted deadline")
        if message.type in ("error", "warning") and not busy:
            self.faults.append(message.text)

    def _told(self, _: object, what: str, carried: str) -> None:
        """Hear what goes through the page's socket, whichever browser it is."""
        if what == "opened":  # a screen: its terminal is a new one, of the size that the page then says
            self.asked.append(carried)
            self.terminal = Terminal()
        elif what == "drawn":
            self.terminal.feed(base64.b64decode(carried))
        elif carried.startswith('["resize",{"width":'):
            width, height = (int(one.split(":")[1].strip("}]")) for one in carried.split(",")[1:])
            self.terminal.resize(width, height)

    def log_in(self, phrase: str = PHRASE) -> None:
        """Open the kiosk, type the pass-phrase and press the button."""
        self.page.goto(self.server.url)
        self.page.get_by_label("Pass-phrase").fill(phrase)
        self.press(self.page.get_by_role("button", name="Open the kiosk"))

    def wait(self, true: Callable[[], object]) -> None:
        """Wait until something is so."""
        deadline = time.monotonic() + LONGEST_WAIT_S
        while not true():
            assert time.monotonic() < deadline, f"{self.faults}\n{self.terminal.text}"
            self.page.wait_for_timeout(20)

    def see(self, words: str) -> None:
        """Wait until these words stand on the screen."""
        self.wait(lambda: words in self.terminal.text)

    def tap(self, words: str) -> None:
        """Put a finger on these words."""
        self.page.wait_for_timeout(BETWEEN_TAPS_S * 1000)
        x, y = self.at(words)
        if self.has_finger:
            self.page.touchscreen.tap(x, y)
        else:
            self.page.mouse.click(x, y)

    def at(self, words: str) -> tuple[float, float]:
        """Where these words stand, in pixels of the page."""
        column, row = self.terminal.find(words)
        box = self.page.locator(".xterm-screen").bounding_box()
        x = box["x"] + (column + 0.5) * box["width"] / self.terminal.columns
        return x, box["y"] + (row + 0.5) * box["height"] / len(self.terminal.rows)

    def press(self, button: Any) -> None:
        """Put a finger on a button of the page itself."""
        if self.has_finger:
            button.tap()
        else:
            button.click()

    def letters_px(self) -> int:
        """The size of the letters."""
        return int(self.page.locator("#terminal").get_attribute("data-font-size"))

    def close(self) -> None:
        """Close it; whatever it asked for was the kiosk's, and nothing went wrong on it."""
        self.context.close()
        elsewhere = [one for one in self.asked if f"//127.0.0.1:{self.server.port}/" not in one]
        assert [one for one in elsewhere if not one.startswith("data:")] == []
        assert self.faults == []


def test_a_step_with_a_measurement_by_finger_and_the_same_place_after_a_reload(
    any_browser: Any, fresh_server: Server
) -> None:
    browser, server = any_browser, fresh_server
    tablet = Tablet(browser, server)
    tablet.log_in()
    for label, then in (("CARRY ON", "I HAVE READ"), ("I HAVE READ", "ONE MORE (6)")):
        tablet.see(label)
        tablet.tap(label)
        tablet.see(then)
    for count in range(7, 10):
        tablet.tap("ONE MORE")
        tablet.see(f"ONE MORE ({count})")
    tablet.tap("ONE MORE")
    tablet.see("TYPE THE FIGURE")
    tablet.tap("Keypad")
    tablet.see("OK or Enter records it")
    for label in (" 0 ", " . ", " 0 "):
        tablet.tap(label)
    tablet.page.wait_for_timeout(BETWEEN_TAPS_S * 1000)
    tablet.page.reload()  # in the middle of a figure
    tablet.see("OK or Enter records it")
    for label in (" 2 ", " OK"):
        tablet.tap(label)
    tablet.see("DONE, THEN NR-04")
    assert "0.02" in tablet.terminal.text
    tablet.tap("DONE, THEN NR-04")
    tablet.see("NR-04 · 4 of 5")
    tablet.close()

    later = Tablet(browser, server)  # another tab, and so another screen: what it knows is on the record
    later.log_in()
    later.see("NR-04 · 4 of 5")
    later.close()


def test_letters_are_as_large_as_they_may_be_and_the_page_neither_zooms_nor_scrolls(
    browser: Any, server: Server
) -> None:
    tablet = Tablet(browser, server)
    tablet.log_in()
    tablet.see("F10")
    assert tablet.page.evaluate(_RING) == 0  # no browser lets a page sound that was never touched
    assert tablet.letters_px() == 25 and tablet.terminal.columns >= 80 and len(tablet.terminal.rows) >= 24
    for _ in range(2):  # a double tap
        tablet.page.touchscreen.tap(640, 300)
    tablet.page.touchscreen.tap(640, 300)
    tablet.page.mouse.wheel(0, 500)
    seen = "() => [visualViewport.scale, scrollX, scrollY, document.documentElement.scrollHeight]"
    assert tablet.page.evaluate(seen) == [1, 0, 0, 800]
    assert tablet.page.evaluate(_RING) == 3
    # A finger on it asks for no keyboard, and a scanner still types.
    assert tablet.page.evaluate("() => document.activeElement.inputMode") == "none"
    tablet.page.keyboard.type("NR-06\n", delay=5)
    tablet.see("Crack 3/16 long")

    tablet.page.set_viewport_size({"width": UPRIGHT[0], "height": UPRIGHT[1]})  # it is turned
    tablet.wait(lambda: tablet.terminal.columns == 80 and len(tablet.terminal.rows) > 40)
    tablet.see("Crack 3/16 long")  # the same page, in letters that fit
    assert tablet.letters_px() == 18
    tablet.close()


def test_no_finger_acts_twice_zooms_marks_or_drags(browser: Any, played_shop: Path, tmp_path: Path) -> None:
    shutil.copytree(played_shop, tmp_path / "shop")
    with serving(tmp_path / "shop") as server:  # no other tab's end changes what stands there
        _fingers_on(Tablet(browser, server, UPRIGHT))


def _fingers_on(tablet: Tablet) -> None:
    tablet.page.goto(tablet.server.url)
    tablet.see("Board")
    fingers = tablet.context.new_cdp_session(tablet.page)

    def touch(kind: str, *points: tuple[float, float]) -> None:
        given = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(points)]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": given})

    def beside(words: str, to_the_right: float) -> tuple[float, float]:
        x, y = tablet.at(words)
        return x + to_the_right, y

    page = tablet.terminal.text.splitlines()[1:]  # without the clock
    board, undo, text = tablet.at("Board"), tablet.at("Undo"), tablet.at("NR-03")
    touch("touchStart", board)  # two fingers on one key
    touch("touchStart", board, beside("Board", 20))
    touch("touchEnd")
    touch("touchStart", board, undo)  # two keys at once
    touch("touchEnd")
    touch("touchStart", board)  # from one key to another
    for tenth in range(1, 11):
        touch("touchMove", (board[0] + (undo[0] - board[0]) * tenth / 10, board[1]))
    touch("touchEnd")
    touch("touchStart", text, beside("NR-03", 50))  # a pinch, and a drag over the text
    for step in range(1, 10):
        touch("touchMove", beside("NR-03", -step * 2), beside("NR-03", 50 + step * 20))
    touch("touchEnd")
    touch("touchStart", text)
    for step in range(1, 10):
        touch("touchMove", (text[0], text[1] + step * 40))
    touch("touchEnd")
    touch("touchStart", text)  # held down on the text
    tablet.page.wait_for_timeout(900)
    touch("touchEnd")
    tablet.page.wait_for_timeout(600)
    assert tablet.terminal.text.splitlines()[1:] == page
    seen = "() => [visualViewport.scale, scrollX, scrollY, String(getSelection())]"
    assert tablet.page.evaluate(seen) == [1, 0, 0, ""]
    touch("touchStart", board)  # held down on a key: once, as it is lifted
    tablet.page.wait_for_timeout(900)
    touch("touchEnd")
    tablet.see("page 1 of")
    tablet.close()


def test_the_wrong_pass_phrase_opens_nothing(browser: Any, server: Server) -> None:
    tablet = Tablet(browser, server)
    tablet.log_in("four flutes and no rib")
    assert "That is not the pass-phrase" in tablet.page.get_by_role("alert").inner_text()
    tablet.page.goto(f"{server.url}/")
    assert tablet.page.url.endswith("/log-in") and not tablet.context.cookies()
    tablet.faults.clear()  # the browser tells of the answer 403 by itself
    tablet.close()


def test_a_page_of_another_cannot_reach_the_screen(browser: Any, server: Server) -> None:
    tablet = Tablet(browser, server)
    tablet.log_in()
    tablet.see("F10")
    other = tablet.context.new_page()  # in the same browser, which has the cookie
    other.route(
        "http://evil.example/", lambda route: route.fulfill(body="<h1>hello</h1>", content_type="text/html")
    )
    other.goto("http://evil.example/")
    reached = other.evaluate(
        """(url) => new Promise((told) => {
            const socket = new WebSocket(url);
            socket.onopen = () => told("open");
            socket.onclose = () => told("closed");
        })""",
        f"ws://127.0.0.1:{server.port}/screen/{'a' * 32}",
    )
    assert reached == "closed"
    framed = other.evaluate(
        """(url) => new Promise((told) => {
            const frame = document.createElement("iframe");
            frame.src = url;
            frame.onload = () => told(frame.contentDocument ? "own" : "shut");
            document.body.append(frame);
        })""",
        f"{server.url}/",
    )
    assert framed == "shut"
    tablet.close()


def test_leaving_is_said_and_it_opens_again(browser: Any, new_shop: Path) -> None:
    with serving(new_shop) as server:
        tablet = Tablet(browser, server)
        tablet.page.goto(server.url)
        tablet.see("Close up")
        tablet.page.keyboard.press("F10")  # a keyboard that is plugged in works before any tap
        tablet.see("CLOSE UP, KEEP THE PLACE")
        tablet.tap("CLOSE UP, KEEP THE PLACE")
        ended = tablet.page.get_by_role("alertdialog")
        ended.wait_for(timeout=LONGEST_WAIT_S * 1000)
        assert "You left the kiosk" in ended.inner_text()
        tablet.press(ended.get_by_role("button", name="Open it again"))
        tablet.see("F10")
        tablet.close()


def test_a_paste_as_long_as_a_book_ends_nothing(browser: Any, new_shop: Path) -> None:
    """The socket was closed for it, and the page said that the kiosk cannot be reached."""
    with serving(new_shop) as server:
        tablet = Tablet(browser, server)
        tablet.page.goto(server.url)
        tablet.see("Close up")
        tablet.page.evaluate("window.socket.send(JSON.stringify(['stdin', 'ü'.repeat(40000)]))")
        tablet.page.keyboard.press("F10")
        tablet.see("CLOSE UP, KEEP THE PLACE")
        assert tablet.page.get_by_role("alertdialog").is_hidden()
        tablet.close()


def test_a_server_that_was_started_again_is_found_by_the_open_page(
    browser: Any, new_shop: Path, tmp_path: Path
) -> None:
    with serving(new_shop) as server:
        tablet = Tablet(browser, server)
        tablet.page.goto(server.url)
        tablet.see("F10")
    tablet.page.get_by_role("alertdialog").wait_for(timeout=LONGEST_WAIT_S * 1000)
    assert "cannot be reached" in tablet.page.get_by_role("alertdialog").inner_text()
    tablet.faults.clear()  # the browser tells of what it could not reach by itself
    before = tablet.terminal
    with serving(new_shop, port=server.port):
        tablet.wait(lambda: tablet.terminal is not before)
        tablet.see("F10")
        tablet.faults.clear()
        tablet.close()
