"""A paused step is taken up by who was told what could not follow it in time, and nobody is kept from it."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.screens.app import KioskApp
from tests.conftest import SteadyClocks, local_time
from tests.driver import finish_piece, press, screen_text, settled
from tests.record.moments import step, with_steps
from tests.screens.moment import with_app

MARK = "NR-01"
AHEAD = "quiet hours from Thu 20:30 until Fri 08:00: spray could not follow in time"
THURSDAY = (2027, 5, 6)  # quiet from 20:30


def _mixed_and_left(app: KioskApp) -> str:
    """A mix that was begun and paused; a loud coat goes straight on from it."""
    bench = app.bench
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="mix", stop="go straight on", minutes={"each": "10"}),
        step(id="spray", stop="only when finished", minutes={"each": "4"}, conditions={"loud": True}),
    )
    work = bench.start([MARK], "rib-blank", "mix")
    bench.pause(work)
    return work


@pytest.mark.parametrize("by", ["place", "walk", "part"])
def test_what_could_not_follow_is_told_before_it_is_taken_up(by: str, new_shop: Path) -> None:
    clocks = SteadyClocks(local_time(*THURSDAY, 20, 10))

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = _mixed_and_left(app)
        clocks.go_to(local_time(*THURSDAY, 20, 25))
        if by == "walk":
            app.walk(work)
        elif by == "part":
            app.open_part(MARK)
        else:
            app.go("board")
            await settled(app, pilot)
            app.go("place")
        await settled(app, pilot)
        if by == "place":
            assert f"AHEAD: {AHEAD}" in " ".join(" ".join(screen_text(app)).split())
        await press(app, pilot, "enter")
        text = " ".join(" ".join(screen_text(app)).split())
        assert f"Q{AHEAD[1:]}." in text and "Carry on all the same" in text
        assert app.bench.work(work).status == "paused"
        await press(app, pilot, "enter")  # nothing is chosen beforehand
        assert app.bench.work(work).status == "paused"
        await press(app, pilot, "down", "enter")
        assert app.bench.work(work).status == "running"

    with_app(new_shop, walk, clocks=clocks)


def test_in_time_nothing_is_asked(new_shop: Path) -> None:
    clocks = SteadyClocks(local_time(*THURSDAY, 20, 10))

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = _mixed_and_left(app)
        clocks.go_to(local_time(*THURSDAY, 20, 15))
        app.go("board")
        await settled(app, pilot)
        app.go("place")
        await settled(app, pilot)
        assert "AHEAD" not in " ".join(screen_text(app))
        await press(app, pilot, "enter")
        assert app.bench.work(work).status == "running"

    with_app(new_shop, walk, clocks=clocks)


def test_of_a_step_that_runs_into_quiet_hours_itself_that_one_is_told(new_shop: Path) -> None:
    """What comes after it was named, or nothing where nothing loud does."""
    clocks = SteadyClocks(local_time(*THURSDAY, 20, 10))

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = _mixed_and_left(app)
        app.bench.take_up(work)
        finish_piece(app.bench, work, MARK)
        spray = app.bench.start([MARK], "rib-blank", "spray")
        app.bench.pause(spray)
        for minute, told in ((25, False), (27, True)):
            clocks.go_to(local_time(*THURSDAY, 20, minute))
            app.go("board")
            await settled(app, pilot)
            app.go("place")
            await settled(app, pilot)
            text = " ".join(" ".join(screen_text(app)).split())
            into = "AHEAD: quiet hours from Thu 20:30 until Fri 08:00: spray would run into them"
            assert (into in text) == told, text

    with_app(new_shop, walk, clocks=clocks)
