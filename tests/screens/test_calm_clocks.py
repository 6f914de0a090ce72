"""The calm card leaves no clock out without a word, and says none twice."""

import re
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.events import ClockSet, StepFinished
from kiosk.screens.app import KioskApp
from kiosk.screens.calm import CalmScreen
from tests.conftest import SteadyClocks
from tests.driver import screen_text, settled
from tests.screens.moment import NOW, with_app
from tests.screens.scenes import _glue_dries, _limit_runs


def _recorded(done: StepFinished, _: object) -> list[StepFinished]:
    return [done]


def limits_run(bench: Bench, marks: list[str], what: str = "") -> None:
    """A limit of forty minutes runs on each part, from a minute of its own; ``what`` makes each another."""
    clocks = bench.record.clocks
    assert isinstance(clocks, SteadyClocks)
    for number, mark in enumerate(marks):
        _limit_runs(40)(bench)
        event = bench.state.parts["NR-07"].clocks[-1]
        named = replace(event, what=f"{what} {number}" if what else event.what)
        done = StepFinished(
            work="before",
            marks=(mark,),
            procedure="rib-blank",
            revision="1",
            step="choose-sheet",
            clocks=(named,),
        )
        assert isinstance(named, ClockSet)
        bench.record.transact(partial(_recorded, done), by="wren", tap=None)
        clocks.go(1)


@pytest.mark.parametrize("size", [(64, 20), (73, 20), (120, 36)])
@pytest.mark.parametrize("what", ["", "mixed primer"])
def test_every_clock_of_a_batch_is_there_or_counted(
    size: tuple[int, int], what: str, demo_shop: Path
) -> None:
    clocks = SteadyClocks(NOW)
    bench = Bench(demo_shop, clocks)
    limits_run(bench, [f"NR-{number:02d}" for number in range(7, 17)], what)
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.rest()
        await settled(app, pilot)
        assert isinstance(app.screen, CalmScreen)
        shown = "\n".join(screen_text(app))
        if what:
            here = len(set(re.findall(rf"{what} \d", shown)))
            more = re.search(r"and (\d+) more clocks", shown)
            assert here + (int(more[1]) if more else 0) == 10, shown
            assert here >= (8 if size[1] == 36 else 3)
        else:
            assert "NR-07 … NR-16 (10 parts), degreased face" in shown
        assert "brings it back" in shown and "The place is kept" in shown

    with_app(demo_shop, walk, size, clocks, wall=True)


def test_what_the_strip_says_in_full_is_not_said_once_more(demo_shop: Path) -> None:
    clocks = SteadyClocks(NOW)
    bench = Bench(demo_shop, clocks)
    _glue_dries(bench)
    bench.close()
    clocks.go(31)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.rest()
        await settled(app, pilot)
        shown = "\n".join(screen_text(app))
        assert "THE WAIT IS OVER: FB-TR, pattern glue drying" in shown
        assert shown.count("pattern glue drying") == 1

    with_app(demo_shop, walk, (80, 24), clocks, wall=True)
