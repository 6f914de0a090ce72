"""Trial, run by hand: what steps make of a large screen.

    .venv/bin/python -m tests.benchmarks.large_screens [STEPS]       # so many of the shipped steps, at random

Each step is opened at three sizes. Counted is how the action stands in solid letters (whole, its beginning,
or not at all), and whether anything of the page was left out for want of room, which never may be.
"""

import asyncio
import random
import sys
import tempfile
from collections import Counter
from pathlib import Path

from kiosk.bench import Bench
from kiosk.screens.app import KioskApp
from kiosk.screens.base import KioskScreen
from kiosk.screens.page_text import BOLD
from kiosk.shop.load import load_shop
from tests.conftest import SteadyClocks
from tests.drawing.one_step import make_shop_at
from tests.driver import TapsClock, running, settled
from tests.screens.moment import NOW, fixed_zone, make_played_shop

SIZES = ((100, 30), (120, 36), (160, 50))
STEPS = 45
Found = Counter[tuple[tuple[int, int], str]]


def shipped_steps(folder: Path) -> list[tuple[str, str, str, str]]:
    """Kind, procedure, step and a part for each step on a route of the example shop."""
    make_played_shop(folder)
    shop = load_shop(folder)
    found: dict[tuple[str, str], tuple[str, str, str, str]] = {}
    for mark, part in shop.parts.items():
        for stage in shop.kinds[part.kind].route:
            procedure = shop.procedures[stage.procedure]
            for step in shop.steps_for(shop.kind_of(mark), procedure):
                found.setdefault((procedure.id, step.id), (part.kind, procedure.id, step.id, mark))
    return list(found.values())


def letters_of(screen: KioskScreen) -> str:
    """How the action stands on a screen, and whether all of the page does."""
    drawn = screen._drawn
    assert drawn is not None
    lines = drawn.lines
    solid = any(
        row[0][1] == BOLD and set(row[0][0]) <= set(" ▀▄█") and row[0][0].strip()
        for one in lines.paragraphs
        for row in one.lines[:1]
    )
    plain = any(one.is_action for one in lines.paragraphs)
    stands = ("its beginning" if plain else "whole") if solid else "not at all"
    return stands if lines.is_whole(screen._text_rows) else f"{stands}, AND SOMETHING IS LEFT OUT"


async def look(folder: Path, procedure: str, step: str, mark: str, found: Found) -> None:
    """Open one step at each size."""
    bench = Bench(folder, SteadyClocks(NOW))
    app = KioskApp(bench, taps_clock=TapsClock())
    try:
        async with running(app, SIZES[0]) as pilot:
            work = bench.start([mark], procedure, step)
            bench.acknowledge(work)
            app.walk(work)
            for size in SIZES:
                await pilot.resize_terminal(*size)
                await settled(app, pilot)
                assert isinstance(app.screen, KioskScreen)
                found[size, letters_of(app.screen)] += 1
    finally:
        bench.close()


def main(count: int) -> None:
    """Look at so many steps, and print what was found."""
    found: Found = Counter()
    with fixed_zone(), tempfile.TemporaryDirectory() as name:
        steps = shipped_steps(Path(name) / "all")
        random.Random(3).shuffle(steps)
        for number, (kind, procedure, step, mark) in enumerate(steps[:count]):
            folder = Path(name) / str(number)
            make_shop_at(folder, kind, procedure, step)
            asyncio.run(look(folder, procedure, step, mark, found))
    for (size, how), times in sorted(found.items()):
        print(f"{size[0]}x{size[1]}  {times:4}  {how}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else STEPS)
