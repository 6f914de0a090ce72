"""Pictures of the screens, made without a terminal."""

import asyncio
import shutil
import tempfile
from pathlib import Path

from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.screens.app import KioskApp
from kiosk.screens.registry import PLACES


def save_pictures(shop: Path, into: Path, columns: int, rows: int) -> list[Path]:
    """Save an SVG of each main screen of a copy of the shop, so that its record is left alone."""
    into.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "shop"
        shutil.copytree(shop, copy)
        return asyncio.run(_save(copy, into, columns, rows))


async def _save(shop: Path, into: Path, columns: int, rows: int) -> list[Path]:
    bench = Bench(shop)
    app = KioskApp(bench)
    saved: list[Path] = []

    def save(name: str) -> None:
        path = into / f"{name}-{columns}x{rows}.svg"
        path.write_text(app.export_screenshot(title="kiosk"), encoding="utf-8")
        saved.append(path)

    try:
        async with app.run_test(size=(columns, rows)) as pilot:
            for place in PLACES:
                app.go(place.name)
                await _at_rest(app, pilot)
                save(place.name)
            card = bench.place_card()
            if card.action in ("resume", "begin"):
                if card.work is not None:
                    bench.take_up(card.work)
                app.walk(card.work or bench.start(card.marks, card.procedure, card.step))
                await _at_rest(app, pilot)
                save("step")
    finally:
        bench.close()
    return saved


async def _at_rest(app: KioskApp, pilot: Pilot[None]) -> None:
    """Wait until the screen stays as it is."""
    before = ""
    while before != (before := app.export_screenshot()):
        await pilot.pause(0.1)
