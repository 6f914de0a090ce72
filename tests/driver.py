"""Drives the bench or the app as a person would: shared by several tests."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from textual import events
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.journal import Clocks
from kiosk.record.state import Piece
from kiosk.screens.app import KioskApp
from kiosk.screens.target import Target
from kiosk.shop.procedure import CountCheck, LotCheck, MeasureCheck, Step, YesNoCheck
from tests.screen_rows import rows_of


def good_answer(bench: Bench, check: Any, mark: str) -> str:
    """An answer within limits for a check on a part."""
    kind = bench.shop.kind_of(mark)
    if isinstance(check, YesNoCheck):
        return check.want
    if isinstance(check, CountCheck):
        return str(bench.shop.figures.count(kind, check))
    if isinstance(check, LotCheck):
        return next(
            lot.mark
            for lot in bench.shop.lots.values()
            if lot.of == check.of and lot.thickness in (None, kind.material.thickness)
        )
    assert isinstance(check, MeasureCheck)
    limits = bench.shop.figures.limits(kind, check)
    ends = [end for end in (limits.low, limits.high) if end is not None]
    return f"{sum(ends) / len(ends):.5f}"


def next_step(bench: Bench, mark: str) -> Step:
    """The step at which a part stands."""
    step = bench.position(mark).step
    assert step is not None, f"{mark} stands at no step"
    return step


def piece_of(bench: Bench, work: str, mark: str) -> Piece:
    """A part in work that is in hand."""
    piece = bench.state.works[work].piece(mark)
    assert piece is not None, f"{mark} is not in this work"
    return piece


def undo_newest(bench: Bench) -> None:
    """Take back what can be taken back first."""
    newest = bench.latest_undoable()
    assert newest is not None, "nothing can be taken back"
    bench.undo(newest.event)


def do_step(bench: Bench, marks: list[str]) -> None:
    """Take parts through their next step, everything in order."""
    where = bench.position(marks[0])
    assert where.procedure is not None and where.step is not None
    work = bench.start(marks, where.procedure.id, where.step.id)
    bench.acknowledge(work)
    pieces = marks[:1] if where.step.batch == "together" else marks
    for mark in pieces:
        if where.step.repeat is not None:
            bench.count(work, mark, bench.shop.figures.count(bench.shop.kind_of(mark), where.step.repeat))
        for check in where.step.checks:
            bench.answer(work, mark, check.id, good_answer(bench, check, mark))
        bench.finish(work, mark)


class TapsClock:
    """Seconds between presses, moved by the test."""

    def __init__(self) -> None:
        self.at = 100.0

    def __call__(self) -> float:
        return self.at

    def go(self, seconds: float) -> None:
        self.at += seconds


def with_app(
    folder: Path,
    walk: Callable[[KioskApp, Pilot[None]], Awaitable[None]],
    size: tuple[int, int] = (80, 24),
    clocks: Clocks | None = None,
) -> None:
    """Run the app without a terminal and walk through it."""

    async def go() -> None:
        bench = Bench(folder, clocks, watch=True)
        app = KioskApp(bench, taps_clock=TapsClock())
        try:
            async with app.run_test(size=size) as pilot:
                await pilot.pause(0.05)
                await walk(app, pilot)
        finally:
            bench.close()

    asyncio.run(go())


def pass_time(app: KioskApp, seconds: float = 1.0) -> None:
    """Let so much time pass between presses."""
    assert isinstance(app.taps.clock, TapsClock)
    app.taps.clock.go(seconds)


async def press(app: KioskApp, pilot: Pilot[None], *keys: str) -> None:
    """Press keys, a second apart."""
    for key in keys:
        pass_time(app)
        await pilot.press(key)
    await pilot.pause(0.06)


async def tap(app: KioskApp, pilot: Pilot[None], label: str) -> None:
    """Tap the target on which these words stand."""
    pass_time(app)
    assert await pilot.click(target(app, label))
    await pilot.pause(0.06)


def target(app: KioskApp, label: str) -> Target:
    """The target that can be seen and begins with these words."""
    seen = [one for one in app.screen.query(Target) if one.region.area and one.action is not None]
    for one in seen:
        if one.action is not None and one.action.label.strip("▶ ").startswith(label):
            return one
    raise AssertionError(f"no target {label!r} in {[one.action and one.action.label for one in seen]}")


def burst(app: KioskApp, *keys: str) -> None:
    """Keys that the terminal reads together: none waits until the one before is done."""
    for key in keys:
        character = {"enter": "\r", "space": " "}.get(key, key if len(key) == 1 else None)
        app.post_message(events.Key(key.lower() if len(key) == 1 else key, character))


async def type_fast(app: KioskApp, pilot: Pilot[None], text: str) -> None:
    """A scanner: characters in one burst, then Enter."""
    burst(app, *text, "enter")
    await pilot.pause(0.15)


def screen_text(app: KioskApp) -> list[str]:
    """The rows of the screen as text."""
    return rows_of(app.export_screenshot())
