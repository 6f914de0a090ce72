"""What a start leaves for later is loaded while nobody presses anything, not by the first press."""

import multiprocessing
import sys
import time
from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest
from textual.pilot import Pilot

from kiosk.screens import load_ahead
from kiosk.screens.app import KioskApp
from kiosk.screens.load_ahead import ROOMS, LoadAhead
from kiosk.screens.walk import WalkScreen
from tests.driver import load_all_ahead, press, settled
from tests.screens.moment import fixed_zone, with_app


def loaded_by_beginning(shop: Path) -> list[str]:
    """In a process of its own: what is loaded by the first press that leads to a step."""
    loaded: list[str] = []

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await settled(app, pilot)
        load_all_ahead()
        before = set(sys.modules)
        await press(app, pilot, "enter")
        assert isinstance(app.screen, WalkScreen)
        loaded.extend(name for name in sys.modules if name not in before)

    with fixed_zone():
        with_app(shop, walk)
    return loaded


def test_the_first_step_that_is_begun_loads_nothing_of_the_kiosk(demo_shop: Path) -> None:
    """It took ten times as long as any press after it."""
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        loaded = pool.apply(loaded_by_beginning, (demo_shop,))
    dear = ("kiosk.", "pydantic", "shapely", "numpy", "ezdxf")
    assert [name for name in loaded if name.startswith(dear)] == []


def test_each_room_is_loaded_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """The names are not typed: a new screen is among them."""
    loaded: list[str] = []

    def noted(name: str) -> ModuleType:
        loaded.append(name)
        return import_module(name)

    monkeypatch.setattr(load_ahead, "import_module", noted)
    frozen: list[bool] = []
    monkeypatch.setattr("gc.freeze", lambda: frozen.append(True))
    ahead = LoadAhead()
    while ahead.load_one():
        assert not frozen
        time.sleep(0.001)  # what is loaded beside it gets the processor
    assert frozen == [True]
    assert loaded[0] == "kiosk.screens.walk"
    for room in ROOMS:
        folder = Path(str(sys.modules[room].__file__)).parent
        files = [one.relative_to(folder).with_suffix("") for one in folder.rglob("[a-z]*.py")]
        assert {".".join((room, *one.parts)) for one in files} <= set(loaded)


@pytest.mark.parametrize("error", [ImportError, EOFError, KeyError])
def test_what_cannot_be_loaded_stops_no_screen(
    error: type[Exception], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever wants it is told, then. Half a compiled file of a page that nobody opened ended the wall screen
    for good."""
    loaded: list[str] = []

    def broken(name: str) -> None:
        loaded.append(name)
        if name == "kiosk.screens.part":
            raise error(name)

    monkeypatch.setattr(load_ahead, "import_module", broken)
    monkeypatch.setattr("gc.freeze", lambda: None)
    load_all_ahead()
    assert loaded.index("kiosk.screens.part") < loaded.index("kiosk.planning.spare")
