"""The screen of a wall beats for its keeper, and leaves when there is none any more."""

import asyncio
import os
from pathlib import Path

from kiosk.bench import Bench
from kiosk.screens.app import KioskApp
from kiosk.screens.heartbeat import Heartbeat
from tests.conftest import SteadyClocks
from tests.driver import TapsClock, running, settled
from tests.screens.moment import NOW


def test_it_beats_until_nobody_listens(new_shop: Path) -> None:
    keepers, screens = os.pipe()
    heartbeat = Heartbeat(screens)

    async def go() -> None:
        bench = Bench(new_shop, SteadyClocks(NOW), watch=True)
        app = KioskApp(bench, taps_clock=TapsClock(), wall=True, heartbeat=heartbeat)
        async with running(app, (80, 24)) as pilot:
            assert os.read(keepers, 10) == b"." and not app._exit
            os.close(keepers)
            app.beat()
            await settled(app, pilot)
            assert app._exit and app.has_lost_its_keeper and app.return_code == 1
        bench.close()

    asyncio.run(go())
    heartbeat.end()


def test_a_keeper_that_is_stopped_for_a_while_is_still_there() -> None:
    keepers, screens = os.pipe()
    heartbeat = Heartbeat(screens)
    assert all(heartbeat.beat() for _ in range(100_000)), "the pipe is full, and nothing waits for it"
    os.close(keepers)
    assert not heartbeat.beat()
    heartbeat.end()
