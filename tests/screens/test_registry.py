"""One list of places: the keys, the row of places and the way to each come from it."""

import ast
from pathlib import Path

from textual.pilot import Pilot

from kiosk.screens import registry
from kiosk.screens.app import KioskApp
from kiosk.screens.base import KioskScreen
from kiosk.screens.kiosk import Kiosk
from kiosk.screens.registry import PLACES
from tests.driver import press
from tests.screens.moment import with_app

# These two are about one step or one part, and are opened with it.
OPENED_WITH_SOMETHING = {"walk", "part"}


def test_every_place_opens_the_screen_of_its_name() -> None:
    for place in PLACES:
        screen = place.open()
        assert isinstance(screen, KioskScreen)
        assert place.name == screen.NAME


def test_names_and_keys_are_used_once() -> None:
    assert len({place.name for place in PLACES}) == len(PLACES)
    everywhere = [place.key for place in PLACES if not place.leads_from]
    onward = [(place.leads_from, place.key) for place in PLACES if place.leads_from]
    assert len(set(everywhere)) == len(everywhere) and len(set(onward)) == len(onward)
    assert not {"f5", "f6"} & set(everywhere)  # snag and undo, on every screen
    own = {"f7", "f8", "f12"}  # what a page has of its own
    assert not own & set(everywhere)
    assert {key for _, key in onward} <= own


def test_every_screen_is_registered() -> None:
    found = set()
    for path in Path(registry.__file__).parent.glob("*.py"):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            bases = [ast.unparse(base).partition("[")[0] for base in getattr(node, "bases", ())]
            if isinstance(node, ast.ClassDef) and not {"KioskScreen", "BesideScreen"}.isdisjoint(bases):
                found.add(f"{path.stem}:{node.name}")
    found.remove("beside:BesideScreen")
    registered = {place.screen for place in PLACES}
    assert {name.partition(":")[0] for name in found - registered} == OPENED_WITH_SOMETHING
    assert registered <= found


def test_every_place_is_reached_by_its_key(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        screens_see: Kiosk = app  # what mypy holds the app to
        assert screens_see.everywhere("place")
        keys = {place.name: place.key for place in PLACES}
        for place in PLACES:
            await press(app, pilot, *([keys[place.leads_from]] if place.leads_from else []), place.key)
            assert isinstance(app.screen, KioskScreen)
            assert place.name == app.screen.NAME

    with_app(demo_shop, walk)
