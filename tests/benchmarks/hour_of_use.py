"""Benchmark, run by hand: whether an app grows while it is used, and what it takes while nobody does.

    python -m tests.benchmarks.hour_of_use [PRESSES] [SEED]

So many random presses of what can be pressed where it stands, a second apart, in a shop of 500 parts: by key,
or by finger on any target. An hour of them is 3,600. After each tenth: the memory of the process, the objects
that Python knows of, the widgets and screens that are alive, and the events recorded so far, which a state
grows by. Then what an awake app that nobody touches takes of a core, for ten seconds.
"""

from __future__ import annotations

import asyncio
import gc
import os
import random
import sys
import tempfile
import time
from pathlib import Path

from textual.screen import Screen
from textual.widget import Widget

from kiosk.bench import Bench
from tests.benchmarks.repaint import (
    MeasuredKiosk,
    full_shop,
    key_event,
    press,
    quiet,
    touch_events,
)
from tests.conftest import SteadyClocks
from tests.driver import TapsClock, load_all_ahead, pass_time, targets_and_keys
from tests.screens.moment import NOW, fixed_zone

PRESSES = 3600
TENTHS = 10
IDLE_S = 10.0
TYPED = "nr-01237.x"
ANYWHERE = (*(f"f{number}" for number in range(1, 13) if number != 10), "enter", "escape", "backspace")
LEAVES = "f10"


def memory_mb() -> float:
    """What the process holds of the machine's memory, in megabytes."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def row(app: MeasuredKiosk, presses: int) -> None:
    """One line of the table."""
    gc.unfreeze()  # so that what is alive can be counted
    gc.collect()
    alive = gc.get_objects()
    widgets = sum(isinstance(one, Widget) for one in alive)
    screens = sum(isinstance(one, Screen) for one in alive)
    events = app.bench.state.seq
    print(
        f"{presses:8d} {memory_mb():8.1f} {len(alive):10d} {widgets:8d} {screens:8d} {events:8d}",
        file=sys.__stdout__,
        flush=True,
    )


async def use(app: MeasuredKiosk, clocks: SteadyClocks, presses: int, random_numbers: random.Random) -> None:
    """The random walk."""
    for number in range(presses):
        if number % (presses // TENTHS) == 0:
            row(app, number)
        pass_time(app)
        clocks.go(1 / 60)
        actions = [one.key for one in getattr(app.screen, "_actions", ()) if one.key and one.key != LEAVES]
        seen = targets_and_keys(app)
        seen = [one for one in seen if one.action is not None and one.action.key != LEAVES]
        luck = random_numbers.random()
        if luck < 0.3 and seen:
            at = random_numbers.choice(seen).region
            given = touch_events(at.x + at.width // 2, at.y + at.height // 2)
        elif luck < 0.6 and actions:
            given = [key_event(random_numbers.choice(actions).replace("big", "enter"))]
        elif luck < 0.8:
            given = [key_event(random_numbers.choice(ANYWHERE))]
        else:
            given = [key_event(random_numbers.choice(TYPED))]
        for event in given:
            event.time = app.taps.clock()
        await press(app, *given)
        await quiet(app)
        if number % 10 == 0 and hasattr(app.screen, "_poll"):
            with app._context():
                app.screen._poll()
    row(app, presses)


async def main_async(presses: int, seed: int, shop: Path) -> None:
    """Use one app, then leave it alone."""
    clocks = SteadyClocks(NOW)
    bench = Bench(shop, clocks, watch=True)
    app = MeasuredKiosk(bench, taps_clock=TapsClock(), alone=True)

    async def walk(_: object) -> None:
        await quiet(app)
        load_all_ahead()
        await use(app, clocks, presses, random.Random(seed))
        app.go("place")
        await quiet(app)
        began, used = time.perf_counter(), time.process_time()
        await asyncio.sleep(IDLE_S)
        taken = (time.process_time() - used) / (time.perf_counter() - began)
        print(f"awake and untouched: {taken:.2%} of a core", file=sys.__stdout__)
        app.exit()

    try:
        await app.run_async(size=(120, 36), auto_pilot=walk)
        if app.crashed is not None:
            raise app.crashed
    finally:
        bench.close()


def main() -> None:
    """Walk, and print the table."""
    presses = int(sys.argv[1]) if len(sys.argv) > 1 else PRESSES
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    print(f"{'presses':>8s} {'MB':>8s} {'objects':>10s} {'widgets':>8s} {'screens':>8s} {'events':>8s}")
    with fixed_zone(), tempfile.TemporaryDirectory() as name:
        full_shop(Path(name) / "shop")
        asyncio.run(main_async(presses, seed, Path(name) / "shop"))


if __name__ == "__main__":
    main()
