"""A step in hand that a snag holds leads to the snag: on the place card and on its own page."""

from pathlib import Path

from textual.pilot import Pilot

from kiosk.screens.app import KioskApp
from tests.driver import press, screen_text, settled
from tests.screens.moment import with_app


def test_its_key_opens_the_part_and_the_step_leads_there_too(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.pause(bench.start(["FB-TR"], "form-block", "measure-pattern"))
        bench.raise_snag("FB-TR", "A dent")
        await press(app, pilot, "f2", "f1")
        assert "LOOK AT THE SNAG" in "\n".join(screen_text(app))
        await press(app, pilot, "enter")
        assert "DECIDE THE SNAG" in "\n".join(screen_text(app))
        work = bench.state.part("NR-03").work
        assert work is not None
        for mark in bench.work(work).marks:
            bench.raise_snag(mark, "A dent")
        app.walk(work)
        await settled(app, pilot)
        while bench.step_view(work).cautions:
            await press(app, pilot, "enter")
        text = "\n".join(screen_text(app))
        assert bench.step_view(work).counting and "HELD: " in text
        assert "LOOK AT THE SNAG" in text and "ONE MORE" not in text

    with_app(demo_shop, walk)
