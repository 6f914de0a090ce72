"""Who comes and goes, and what the screen offers to whom."""

from pathlib import Path

from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.screens.app import KioskApp
from kiosk.screens.place import PlaceScreen
from kiosk.screens.walk import WalkScreen
from tests.conftest import SteadyClocks
from tests.driver import do_step, next_step, press, screen_text, tap
from tests.screens.moment import with_app


def text_of(app: KioskApp) -> str:
    """The screen as one line."""
    return " ".join(" ".join(screen_text(app)).split())


def begin(bench: Bench, mark: str, step: str) -> str:
    """Take a part to a step and begin it."""
    while next_step(bench, mark).id != step:
        do_step(bench, [mark])
        clocks = bench.record.clocks
        assert isinstance(clocks, SteadyClocks)
        clocks.go(31)  # the glue has dried
    where = bench.position(mark)
    assert where.procedure is not None
    return bench.start([mark], where.procedure.id, step)


def test_somebody_too_young_who_comes_stops_the_step_in_hand(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = begin(app.bench, "FB-NR", "saw-outline")
        app.walk(work)
        await press(app, pilot, "f4", "down", "enter")
        assert "Stop: Pip is in the room. F1 when they are out." in screen_text(app)[-1]
        app.walk(work)
        await press(app, pilot, "f12")
        await press(app, pilot, "f1")
        text = text_of(app)
        assert "NOT NOW: Pip must be out of the room" in text and "CARRY ON" not in text
        await tap(app, pilot, "ROOM IS CLEAR")
        assert isinstance(app.screen, PlaceScreen)
        assert "NOT NOW" not in text_of(app)
        await tap(app, pilot, "CARRY ON")
        assert isinstance(app.screen, WalkScreen)

    with_app(new_shop, walk)


def test_a_step_that_somebody_too_young_came_to_says_so_on_its_page(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = begin(app.bench, "FB-NR", "saw-outline")
        app.bench.come("pip")
        app.walk(work)
        await press(app, pilot, "f8")
        text = text_of(app)
        assert "STOP: Pip must be out of the room." in text and "I HAVE READ THESE" not in text
        await tap(app, pilot, "TO THE PLACE")
        assert isinstance(app.screen, PlaceScreen)

    with_app(new_shop, walk)
