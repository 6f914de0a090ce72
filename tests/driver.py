"""Drives the bench or the app as a person would: shared by several tests."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from textual import events

from kiosk.bench import Bench
from kiosk.record.journal import Clocks
from kiosk.screens.app import KioskApp
from kiosk.shop.procedure import CountCheck, LotCheck, MeasureCheck, YesNoCheck


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


def with_app(
    folder: Path,
    walk: Callable[[KioskApp, Any], Awaitable[None]],
    size: tuple[int, int] = (80, 24),
    clocks: Clocks | None = None,
) -> None:
    """Run the app without a terminal and walk through it."""

    async def go() -> None:
        bench = Bench(folder, clocks, watch=True)
        app = KioskApp(bench)
        try:
            async with app.run_test(size=size) as pilot:
                await pilot.pause(0.05)
                await walk(app, pilot)
        finally:
            bench.close()

    asyncio.run(go())


async def press(app: KioskApp, pilot: Any, *keys: str) -> None:
    """Press keys; each is a new tap, as if time had passed since the last."""
    for key in keys:
        app._last_tap = ("", 0.0)
        if hasattr(app.screen, "_opened"):
            app.screen._opened = 0.0
        await pilot.press(key)
    await pilot.pause(0.06)


async def type_fast(app: KioskApp, pilot: Any, text: str) -> None:
    """A scanner: characters in one burst, then Enter."""
    for character in text:
        app.post_message(events.Key(character.lower() if character.isalpha() else character, character))
    app.post_message(events.Key("enter", "\r"))
    await pilot.pause(0.15)


def screen_text(app: KioskApp) -> list[str]:
    """The rows of the screen as text."""
    strips = app.screen._compositor.render_strips()
    return [strip.text.rstrip() for strip in strips]
