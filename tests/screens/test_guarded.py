"""The wall of a builder who has a PIN, as somebody meets it who has not."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.record.context import NOBODY
from kiosk.screens.app import KioskApp
from kiosk.screens.base import KioskScreen
from kiosk.screens.pin import PinScreen
from kiosk.screens.place import PlaceScreen
from tests.driver import foot_text, press, screen_text, set_pins, tap
from tests.screens.moment import with_app


@pytest.fixture
def guarded(demo_shop: Path) -> Path:
    """The shop in mid-work, its builder's PIN 2468."""
    set_pins(demo_shop, wren="2468")
    return demo_shop


def _text(app: KioskApp) -> str:
    return " ".join(" ".join(screen_text(app)).split())


def test_the_pin_is_typed_by_finger_and_never_shown(guarded: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        assert app.bench.doer_id == NOBODY and "nobody yet" in _text(app)
        await tap(app, pilot, "SAY WHO YOU ARE")
        await tap(app, pilot, "Wren TAKES OVER")
        assert isinstance(app.screen, PinScreen)
        for digit in "2469":
            await tap(app, pilot, digit, apart_s=0.5)
        assert "2469" not in _text(app)
        await tap(app, pilot, "OK")
        assert "Wren's PIN is not right; type it again" in foot_text(app)
        assert app.bench.doer_id == NOBODY
        assert isinstance(app.screen, PinScreen)  # it asks again: no digit goes to what is behind it
        await press(app, pilot, *"2468", "enter")
        assert app.bench.doer_id == "wren"
        assert "1 wrong PIN for Wren since" in app.message[0]
        await press(app, pilot, "f1")
        if not isinstance(app.screen, KioskScreen):  # the wall clock is asked about once somebody is here
            await press(app, pilot, "escape", "f1")
        assert "1 wrong PIN for Wren since" in _text(app)

    with_app(guarded, walk)


def test_what_is_no_pin_is_not_tried(guarded: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        before = app.bench.state.seq
        await press(app, pilot, "f4", "enter", "enter", *"24x", "enter")
        assert isinstance(app.screen, PinScreen) and app.screen.text == "24"
        assert "4 to 12 digits" in foot_text(app)
        await press(app, pilot, "escape")
        assert app.bench.state.seq == before and app.bench.doer_id == NOBODY

    with_app(guarded, walk)


def test_after_wrong_ones_no_dialog_opens_until_the_wait_is_over(guarded: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        for _ in range(3):
            await press(app, pilot, "f4", "enter", *"1357", "enter")
        await press(app, pilot, "enter")
        assert not isinstance(app.screen, PinScreen)
        assert "Wren's PIN was wrong. Wait 5 s" in foot_text(app)

    with_app(guarded, walk)


def test_a_child_gets_nothing_by_coming_going_and_closing(guarded: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f4", "down", "enter")
        assert app.bench.doer_id == "pip"
        await press(app, pilot, "down", "enter")  # Odile IS HERE
        assert "Odile has no PIN" in foot_text(app)
        await press(app, pilot, "f7")  # takes over
        assert app.bench.doer_id == "pip" and "Odile has no PIN" in foot_text(app)
        await press(app, pilot, "f1")
        assert "FOR THE BUILDER" in _text(app) or "LOOK OVER" not in _text(app)
        await press(app, pilot, "f10")
        assert "CLOSE UP, KEEP THE PLACE" in _text(app)  # no sitting is open: nothing to close
        await press(app, pilot, "escape", *"NR-06", "enter")
        assert "The builder decides" in _text(app) and "DECIDE THE SNAG" not in _text(app)
        await press(app, pilot, "f4", "up", "f8")
        assert app.bench.doer_id == NOBODY or app.bench.doer_id == "pip"
        await press(app, pilot, "f1")
        assert "CARRY ON" not in _text(app)

    with_app(guarded, walk)


def test_a_helper_with_a_sitting_open_is_told_that_an_adult_closes_up(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.note("begun")
        app.bench.hand_over("pip")
        await press(app, pilot, "f10")
        assert "An adult closes up." in _text(app) and "KEEP THE PLACE" not in _text(app)
        await press(app, pilot, "enter")
        assert isinstance(app.screen, PlaceScreen) and app.is_running

    with_app(demo_shop, walk)


def test_a_pin_set_elsewhere_empties_the_hands_of_this_screen(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter")
        assert app.bench.doer_id == "wren"
        set_pins(demo_shop, wren="2468")
        await press(app, pilot, "enter")
        assert app.bench.doer_id == NOBODY

    with_app(demo_shop, walk)


def test_digits_that_a_pin_dialog_did_not_take_are_not_said_back(guarded: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"2468", "enter")
        assert "No part is marked so" in foot_text(app)
        assert "2468" not in _text(app)

    with_app(guarded, walk)
