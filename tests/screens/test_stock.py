"""The stock on the screen: what is counted is recorded, and what cannot be is refused."""

from pathlib import Path

from textual.pilot import Pilot

from kiosk.screens.app import KioskApp
from kiosk.screens.place import PlaceScreen
from tests.driver import foot_text, press, screen_text, with_app


def test_a_count_is_recorded_and_what_runs_low_says_so(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f11")
        assert "pattern glue: 1 can" in "\n".join(screen_text(app))
        await press(app, pilot, "enter", *".25", "enter")
        assert app.bench.state.stock["pattern-glue"] == 0.25
        text = "\n".join(screen_text(app))
        assert "Saved. pattern glue: 0.25 can." in text and "0.25 can  ORDER" in text
        await press(app, pilot, "enter", "0", "enter")
        assert "0 can  USED UP" in "\n".join(screen_text(app))

    with_app(new_shop, walk)


def test_what_is_no_amount_is_refused_in_one_line(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f11")
        for typed in ("nan", "-1", "lots", "1e9"):
            await press(app, pilot, "enter", *typed, "enter")
            assert "NOT DONE" in foot_text(app), typed
        assert "pattern-glue" not in app.bench.state.stock

    with_app(new_shop, walk)


def test_a_child_does_not_count_the_stock(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.hand_over("pip")
        await press(app, pilot, "f11")
        text = "\n".join(screen_text(app))
        assert "An adult counts the stock." in text and "COUNT" not in text
        await press(app, pilot, "enter")
        assert isinstance(app.screen, PlaceScreen)
        assert not app.bench.state.stock

    with_app(new_shop, walk)
