"""A press in the first seconds, while what the start left for later is loaded beside it.

    python -m tests.benchmarks.first_seconds [STARTS]

Each press is the first of a process of its own, so many milliseconds after the first frame: the key that
goes to the step in hand, whose screen, drawing and rib's layout are loaded ahead. Pairs, in turn: as it is,
and with nothing loaded ahead, where the press pays for all of it. Wall time from the press to the step's
screen at rest; the moment in which a key may be the beginning of a scan is in it.
"""

import asyncio
import json
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path
from typing import Any

from kiosk.bench import Bench
from kiosk.screens import load_ahead
from kiosk.screens.walk import WalkScreen
from tests.benchmarks.repaint import MeasuredKiosk, full_shop, key_event
from tests.conftest import SteadyClocks
from tests.screens.moment import NOW, fixed_zone

AFTER_MS = (50, 300, 550, 600, 700, 850, 1000, 1250, 1500, 2000, 3000, 5000)
AS_IT_IS, WITHOUT = "as it is", "without"


async def _press_after(shop: Path, after_ms: float) -> float:
    """Milliseconds that the first press takes so long after the first frame."""
    found: list[float] = []
    with closing(Bench(shop, SteadyClocks(NOW), watch=True)) as bench:
        app = MeasuredKiosk(bench, alone=True)

        async def walk(_: object) -> None:
            await asyncio.sleep(after_ms / 1e3)
            begun = time.perf_counter()
            with app._context():
                app.post_message(key_event("enter", app.taps.clock()))
            await _painted(app)
            found.append((time.perf_counter() - begun) * 1e3)
            app.exit()

        await app.run_async(size=(80, 24), auto_pilot=walk)
    return found[0]


async def _painted(app: MeasuredKiosk) -> None:
    """Until the step stands on the screen, and nothing is left to do but what waits for time."""
    loop: Any = asyncio.get_running_loop()
    while True:
        await asyncio.sleep(0.0005)
        if not isinstance(app.screen, WalkScreen) or loop._ready:
            continue
        with app._context():
            app.screen._on_timer_update()
        await asyncio.sleep(0)
        if not loop._ready:
            return


def _one(shop: Path, after_ms: float, how: str) -> float:
    """The same in a process of its own, on a shop of its own: the press leaves a step under way."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "shop"
        shutil.copytree(shop, copy)
        given = [sys.executable, "-m", __spec__.name, "--one", str(copy), str(after_ms), how]
        said = subprocess.run(given, check=True, capture_output=True, text=True, timeout=60).stdout
    return float(json.loads(said.splitlines()[-1]))


def main() -> None:
    """A row for each moment."""
    if sys.argv[1:2] == ["--one"]:
        where, after, how = sys.argv[2:]
        if how == WITHOUT:
            load_ahead.QUIET_S = float("inf")
        with fixed_zone():
            print(json.dumps(asyncio.run(_press_after(Path(where), float(after)))))
        return
    starts = int(sys.argv[1]) if sys.argv[1:] else 5
    print(f"{'ms after the first frame':<26}{'as it is':>10}{'most':>8}{'without':>10}{'most':>8}   ms")
    with tempfile.TemporaryDirectory() as folder:
        shop = Path(folder) / "shop"
        with fixed_zone():
            full_shop(shop)
        for after_ms in AFTER_MS:
            taken: dict[str, list[float]] = {AS_IT_IS: [], WITHOUT: []}
            for _ in range(starts):
                for how in taken:
                    taken[how].append(_one(shop, after_ms, how))
            figures = "".join(f"{statistics.median(of):>10.0f}{max(of):>8.0f}" for of in taken.values())
            print(f"{after_ms:<26}{figures}", flush=True)


if __name__ == "__main__":
    main()
