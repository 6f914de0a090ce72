"""Pictures of the screens, made without a terminal."""

import asyncio
import shutil
import tempfile
from pathlib import Path

from kiosk.bench import Bench
from kiosk.screens.app import KioskApp

SHOWN = (
    ("place", ()),
    ("minutes", ("f2",)),
    ("board", ("f3",)),
    ("forecast", ("f3", "f12")),
    ("people", ("f4",)),
    ("close-up", ("f10",)),
)


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
            for name, keys in SHOWN:
                await pilot.pause(0.1)
                for key in keys:
                    await pilot.press(key)
                await pilot.pause(0.1)
                save(name)
            await pilot.press("escape")
            await pilot.pause(0.1)
            if bench.place_card().action in ("resume", "begin"):
                await pilot.press("enter")
                await pilot.pause(0.2)
                save("step")
    finally:
        bench.close()
    return saved
