"""A count that may end sooner, and where a step comes from, by key and by finger at every size."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.screens.app import KioskApp
from kiosk.screens.page import PageScreen
from kiosk.screens.walk import DEFERS_HERE, WalkScreen
from tests.driver import foot_text, press, screen_text, tap, target
from tests.screens.moment import with_app

FLAT = "the web lies flat"


def walk_screen(app: KioskApp) -> WalkScreen:
    assert isinstance(app.screen, WalkScreen)
    return app.screen


def test_the_web_lies_flat_before_the_last_flute(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter", "enter")
        screen = walk_screen(app)
        text = "\n".join(screen_text(app))
        assert "ONE MORE (7)" in text and "ENOUGH AT 6" in text and f"Enough sooner when: {FLAT}" in text
        await press(app, pilot, "right")
        assert "6 of at most 9 flutes" in foot_text(app) and FLAT in foot_text(app)
        view = app.bench.step_view(screen.work)
        assert view.enough == FLAT and not view.counting
        assert target(app, "TYPE THE FIGURE")  # the checks are open now
        await press(app, pilot, *"1/8", "enter")  # it does not lie flat after all
        await press(app, pilot, "right")
        assert app.bench.step_view(screen.work).counting
        await press(app, pilot, "enter", "right", *"1/64", "enter")
        assert app.bench.step_view(screen.work).mark == "NR-04"  # the last answer said that it is done

    with_app(demo_shop, walk)


@pytest.mark.parametrize("size", [(64, 20), (80, 24), (120, 36)])
def test_enough_is_a_target_for_a_finger(demo_shop: Path, size: tuple[int, int]) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await tap(app, pilot, "CARRY ON")
        await tap(app, pilot, "I HAVE READ THESE")
        work = walk_screen(app).work
        assert target(app, "ONE MORE (6)") and target(app, "Snag")  # beside it, all of them
        await tap(app, pilot, "ENOUGH AT 5")
        assert app.bench.step_view(work).enough == FLAT
        await tap(app, pilot, "Count on")
        assert app.bench.step_view(work).enough == ""

    with_app(demo_shop, walk, size=size)


def test_the_pedal_never_says_that_it_is_enough(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        pedal = app.bench.shop.file.screen.pedal
        await press(app, pilot, pedal, pedal, pedal)
        view = app.bench.step_view(walk_screen(app).work)
        assert view.count == 6 and not view.enough

    with_app(demo_shop, walk)


def test_a_step_without_numbers_says_where_it_comes_from(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.start(["FB-TR"], "form-block", "measure-pattern")
        work = app.bench.state.part("FB-TR").work
        assert work is not None
        app.walk(work)
        await pilot.pause()
        text = "\n".join(screen_text(app))
        assert DEFERS_HERE in text  # beside its limits
        assert "left hand" not in text
        await press(app, pilot, "f9")
        assert isinstance(app.screen, PageScreen)
        text = " ".join(" ".join(screen_text(app)).split())
        assert "The plans, the designer and local rules come before this screen." in text
        assert "FAA-H-8083-31" in text and "revision 5" in text and "Why: A printer or copier" in text

    with_app(demo_shop, walk, size=(80, 24))


def test_the_hand_of_the_part_stands_on_the_step(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter")
        assert "nose rib, left hand" in "\n".join(screen_text(app))

    with_app(demo_shop, walk)
