"""The forecast is worked out beside the screen: one thing at a time, and nothing once nobody waits for it."""

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.planning.forecast.simulation import Forecast, Stop, Stopped
from kiosk.screens.app import KioskApp
from kiosk.screens.forecast import ForecastScreen
from kiosk.screens.scans import GAP_S
from tests.driver import LONGEST_WAIT_S, pass_time, screen_text, send
from tests.screens.moment import with_app


class Endless:
    """Forecasts that come to no end by themselves."""

    def __init__(self) -> None:
        self.begun: list[str | None] = []
        self.going_on = 0

    def apart(self, kind: str | None = None) -> Callable[[Stop], list[tuple[str, Forecast]]]:
        """In place of the bench's own."""

        def work(stopped: Stop) -> list[tuple[str, Forecast]]:
            self.begun.append(kind)
            self.going_on += 1
            while not stopped():
                time.sleep(0.002)
            self.going_on -= 1
            raise Stopped

        return work


@pytest.mark.parametrize("leave", ["escape", "f3"])
def test_what_nobody_waits_for_any_more_is_stopped(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch, leave: str
) -> None:
    endless = Endless()
    monkeypatch.setattr(Bench, "forecasts_apart", endless.apart)

    async def wait(app: KioskApp, pilot: Pilot[None], begun: int, going_on: int) -> None:
        deadline = time.monotonic() + LONGEST_WAIT_S
        while (len(endless.begun), endless.going_on) != (begun, going_on):
            assert time.monotonic() < deadline, (endless.begun, endless.going_on)
            await pilot.pause(0.01)
            if app.scans.due is not None:
                pass_time(app, GAP_S)
                await app.hand_on_what_is_due()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.go("forecast")
        await wait(app, pilot, 1, 1)
        for number in range(2, 6):
            pass_time(app)
            send(app, "right")
            await wait(app, pilot, number, 1)
        assert "Working it out" in "\n".join(screen_text(app))
        assert endless.begun[0] is None and len(set(endless.begun)) == 5
        pass_time(app)
        send(app, leave)
        await wait(app, pilot, 5, 0)

    with_app(demo_shop, walk)


def test_finished_kinds_come_last(demo_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Bench, "forecasts_apart", Endless().apart)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.go("forecast")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, ForecastScreen)
        order = []
        for _ in app.bench.shop.kinds:
            screen.choose(1)
            assert screen.kind is not None
            order.append(app.bench.context.positions.open_parts(screen.kind) == 0)
        assert order == sorted(order) and set(order) == {True, False}
        screen.choose(1)
        assert screen.kind is None

    with_app(demo_shop, walk)


def test_nothing_goes_on_after_the_app_is_left(demo_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    endless = Endless()
    monkeypatch.setattr(Bench, "forecasts_apart", endless.apart)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.go("forecast")
        while not endless.going_on:
            await pilot.pause(0.01)

    with_app(demo_shop, walk)
    assert endless.begun == [None] and not endless.going_on
