"""What comes in otherwise than by a finger: a pedal's one key, and a scanner that the terminal pastes."""

from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from kiosk.screens.action import BIG
from kiosk.screens.app import KioskApp
from kiosk.screens.part import PartScreen
from kiosk.screens.target import Target
from kiosk.screens.walk import WalkScreen
from tests.driver import foot_text, press, tap
from tests.screens.moment import with_app


@pytest.mark.parametrize("text", ["MR-02", "mr-02\r\n", "  MR-02  \n"])
def test_a_scanner_that_pastes_opens_the_part_and_presses_nothing_else(demo_shop: Path, text: str) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        before = app.bench.state.seq
        app.post_message(events.Paste(text))
        await pilot.pause(0.1)
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "MR-02"
        assert app.bench.state.seq == before and not app.typed

    with_app(demo_shop, walk)


def test_a_pasted_mark_that_is_on_no_part_is_said(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.post_message(events.Paste("NR-99"))
        await pilot.pause(0.1)
        assert "No part is marked 'NR-99'" in foot_text(app)

    with_app(demo_shop, walk)


def test_the_pedal_does_the_big_action_of_every_screen(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        pedal = app.bench.shop.file.screen.pedal
        await press(app, pilot, pedal)  # carry on
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        await press(app, pilot, pedal)  # the cautions are read
        await press(app, pilot, pedal, pedal)
        assert app.bench.step_view(screen.work).count == 7

    with_app(demo_shop, walk)


@pytest.mark.parametrize("by", ["finger", "pedal", "enter"])
def test_while_a_mark_is_typed_the_yellow_key_says_and_does_what_enter_does(demo_shop: Path, by: str) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        before = app.bench.state.seq
        await press(app, pilot, *"MR-02")
        assert yellow(app) == "GO TO MR-02"
        if by == "finger":
            await tap(app, pilot, "GO TO MR-02")
        else:
            await press(app, pilot, app.bench.shop.file.screen.pedal if by == "pedal" else "enter")
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "MR-02"
        assert app.bench.state.seq == before and not app.typed
        assert yellow(app).startswith("BEGIN")

    with_app(demo_shop, walk)


@pytest.mark.parametrize("keys", [["backspace"] * 2, ["escape"], ["enter"]])
def test_the_yellow_key_is_its_own_again_when_no_mark_is_typed_any_more(
    demo_shop: Path, keys: list[str]
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"ZZ")
        assert yellow(app) == "GO TO THE MARK"
        await press(app, pilot, *keys)
        assert yellow(app) == "CARRY ON" and not app.typed

    with_app(demo_shop, walk)


def yellow(app: KioskApp) -> str:
    """What stands on the yellow key."""
    (found,) = (one.action.label for one in app.screen.query(Target) if one.action and one.action.key == BIG)
    return found
