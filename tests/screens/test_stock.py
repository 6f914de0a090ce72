"""The stock on the screen: what is counted is recorded, and what cannot be is refused."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.record.stock import is_far_off
from kiosk.screens.app import KioskApp
from kiosk.screens.place import PlaceScreen
from tests.driver import foot_text, press, screen_text, with_app
from tests.record.moments import brambling


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


def test_a_count_far_off_is_asked_once_more_before_it_is_recorded(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f11", "enter", *"25", "enter")
        assert "25 can of pattern glue, where 1 stood?" in "\n".join(screen_text(app))
        assert "pattern-glue" not in app.bench.state.stock
        await press(app, pilot, "enter")  # nothing is chosen beforehand
        assert "pattern-glue" not in app.bench.state.stock
        await press(app, pilot, "down", "down", "enter", *"2.5", "enter")  # counted again
        assert app.bench.state.stock["pattern-glue"] == 2.5
        await press(app, pilot, "enter", *".2", "enter")
        assert "0.2 can of pattern glue, where 2.5 stood?" in "\n".join(screen_text(app))
        await press(app, pilot, "down", "enter")
        assert app.bench.state.stock["pattern-glue"] == 0.2
        assert "Saved. pattern glue: 0.2 can." in "\n".join(screen_text(app))

    with_app(new_shop, walk)


@pytest.mark.parametrize(
    ("stood", "counted", "far_off"),
    [
        (900, 9000, True),  # a point or a nought in the wrong place
        (900, 6000, True),  # the same of 600, a third of which was used since
        (900, 4500, True),
        (900, 4499, False),
        (900, 180, True),
        (900, 181, False),
        (900, 0, True),
        (299, 0, False),  # it was to be ordered: now it is used up
        (0, 5000, False),  # bought anew
    ],
)
def test_five_times_or_a_fifth_is_far_off(stood: float, counted: float, *, far_off: bool) -> None:
    item = brambling().consumables["rivets-ad4"]  # to be ordered below 300
    assert is_far_off(item, stood, counted) is far_off


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
