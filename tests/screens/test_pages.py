"""Pages of text to read: the yellow key reads on, then goes back, nothing offered does nothing."""

from pathlib import Path

from textual.pilot import Pilot

from kiosk.screens.app import KioskApp
from kiosk.screens.page import PageScreen
from kiosk.screens.page_text import PLAIN
from tests.driver import pass_time, press, screen_text, settled
from tests.screens.moment import with_app


def shown(app: KioskApp) -> str:
    return "\n".join(screen_text(app))


def test_one_page_offers_no_next(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.read("A word", [[("Only this.", PLAIN)]])
        await settled(app, pilot)
        text = shown(app)
        assert "BACK" in text and "Next page" not in text and "Page 1 of 1" not in text
        await press(app, pilot, "enter")
        assert not isinstance(app.screen, PageScreen)

    with_app(demo_shop, walk)


def test_of_several_the_big_action_reads_on_and_goes_back_after_the_last(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.read("Words", [[(word, PLAIN)] for word in ("First.", "Second.", "Third.")])
        await settled(app, pilot)
        for number, word in enumerate(("First.", "Second."), 1):
            assert word in shown(app) and f"Page {number} of 3" in shown(app) and "NEXT PAGE" in shown(app)
            pass_time(app)
            await press(app, pilot, "enter")
        assert "Third." in shown(app) and "BACK" in shown(app) and "First page" in shown(app)
        pass_time(app)
        await press(app, pilot, "enter")
        assert not isinstance(app.screen, PageScreen)

    with_app(demo_shop, walk)


def test_back_is_at_hand_on_every_page(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.read("Words", [[(word, PLAIN)] for word in ("First.", "Second.")])
        await settled(app, pilot)
        await press(app, pilot, "escape")
        assert not isinstance(app.screen, PageScreen)

    with_app(demo_shop, walk)
