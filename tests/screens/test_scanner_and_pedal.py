"""What comes in otherwise than by a finger: a pedal's one key, and a scanner that the terminal pastes."""

from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from kiosk.screens.app import KioskApp
from kiosk.screens.part import PartScreen
from kiosk.screens.walk import WalkScreen
from tests.driver import foot_text, press
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
