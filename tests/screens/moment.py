"""The moment at which the screens are tried: one date, one time of day, one time zone.

What is offered depends on the hour (quiet hours), and what is shown on the zone.
"""

import os
import shutil
import time
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.commands.make_shop import make_shop
from kiosk.demo_player import play
from kiosk.planning.forecast.simulation import Forecast, Stop
from kiosk.record.journal import Clocks
from kiosk.screens.app import KioskApp
from kiosk.shop.data import HISTORY_FILE, data_folder
from tests import driver
from tests.conftest import SteadyClocks

NOW = datetime(2027, 5, 8, 12, 0, tzinfo=UTC)  # a Saturday: no quiet hours
ZONE = "UTC0"


@contextmanager
def fixed_zone() -> Iterator[None]:
    """The process lives in one time zone for a while."""
    before = os.environ.get("TZ")
    os.environ["TZ"] = ZONE
    time.tzset()
    try:
        yield
    finally:
        if before is None:
            del os.environ["TZ"]
        else:
            os.environ["TZ"] = before
        time.tzset()


def make_played_shop(folder: Path) -> None:
    """The example shop as its history leaves it at the fixed moment. Call it in the fixed zone."""
    make_shop(folder, "brambling", with_history=False)
    history = data_folder("scenarios") / "brambling" / HISTORY_FILE
    shutil.copy(history, folder / HISTORY_FILE)
    play(folder, now=NOW)
    (folder / HISTORY_FILE).unlink()


_forecasts: dict[tuple[object, ...], list[tuple[str, Forecast]]] = {}


@contextmanager
def forecasts_kept() -> Iterator[None]:
    """A forecast is worked out once for one record, moment and shop file, however many apps show it."""
    was = Bench.forecasts_apart

    def forecasts_apart(
        bench: Bench, kind: str | None = None, trials: int | None = None
    ) -> Callable[[Stop], list[tuple[str, Forecast]]]:
        work = was(bench, kind, trials)
        files = (bench.shop.folder / "shop.yaml").read_bytes()
        key = (bench.record.journal.last().hash, bench.now, bench.doer_id, files, kind, trials)

        def kept(stopped: Stop) -> list[tuple[str, Forecast]]:
            if key not in _forecasts:
                _forecasts[key] = work(stopped)
            return _forecasts[key]

        return kept

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Bench, "forecasts_apart", forecasts_apart)
        yield


def open_bench(folder: Path) -> Bench:
    """A bench on a shop at the moment."""
    return Bench(folder, SteadyClocks(NOW))


def with_app(
    folder: Path,
    walk: Callable[[KioskApp, Pilot[None]], Awaitable[None]],
    size: tuple[int, int] = (80, 24),
    clocks: Clocks | None = None,
    *,
    wall: bool = False,
) -> None:
    """Run the app at the moment and walk through it."""
    driver.with_app(folder, walk, size, clocks or SteadyClocks(NOW), wall=wall)
