"""Cautions are paged, never dropped; and a window in which they could be cut takes nothing."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.events import CautionAcknowledged
from kiosk.record.rules.steps import cautions_of
from kiosk.screens.app import KioskApp
from kiosk.screens.caution_pages import caution_pages
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.place import PlaceScreen
from kiosk.screens.walk import WalkScreen
from tests.conftest import SteadyClocks
from tests.driver import press, screen_text, settled, tap
from tests.screens.moment import NOW, with_app
from tests.screens.scenes import _many_cautions

SIZES = [(64, 20), (73, 20), (80, 24), (160, 50)]


def _text(app: KioskApp) -> str:
    return " ".join(" ".join(screen_text(app)).split())


@pytest.fixture
def shop(demo_shop: Path) -> Path:
    """A step with three hazards and four cautions of its own, where FB-TR stands."""
    bench = Bench(demo_shop, SteadyClocks(NOW))
    _many_cautions(bench)
    bench.close()
    return demo_shop


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_every_caution_is_shown_whole_before_it_can_be_read(shop: Path, size: tuple[int, int]) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        step = app.bench.shop.procedures["form-block"].step("check-inset")
        assert step is not None
        wanted = [text for _, text in cautions_of(app.bench.shop, step)]
        assert len(wanted) == 7
        await press(app, pilot, *"FB-TR", "enter", "enter")
        assert isinstance(app.screen, WalkScreen)
        seen, pages = _text(app), 1
        while "I HAVE READ THESE" not in _text(app):
            assert f"page {pages} of" in _text(app)
            with pytest.raises(Exception, match="cautions come first"):
                app.bench.answer(app.screen.work, "FB-TR", "inset", ".025")
            await press(app, pilot, "enter")
            seen, pages = f"{seen} {_text(app)}", pages + 1
            assert pages < 10
        assert all(text in seen for text in wanted)
        assert pages > 1 or size[1] > 24
        await tap(app, pilot, "I HAVE READ THESE")
        (read,) = [
            event.body
            for event in app.bench.record.journal.after(0)
            if isinstance(event.body, CautionAcknowledged) and event.body.work == app.screen.work
        ]
        assert sorted(read.cautions) == sorted(wanted)
        assert "I HAVE READ" not in _text(app)

    with_app(shop, walk, size=size)


def test_at_another_size_they_are_shown_from_the_first(shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"FB-TR", "enter", "enter", "enter")
        assert "page 2 of" in _text(app)
        await pilot.resize_terminal(73, 20)
        await settled(app, pilot)
        assert "page 1 of" in _text(app) and "I HAVE READ" not in _text(app)
        await press(app, pilot, "enter")
        await tap(app, pilot, "Page back")
        assert "page 1 of" in _text(app)

    with_app(shop, walk, size=(64, 20))


def test_a_caution_longer_than_a_page_goes_on_over_the_next() -> None:
    long = "Mind this. " * 50
    pages = caution_pages([("WARNING", "Short."), ("CAUTION", long.strip()), ("CAUTION", "Last.")], 60, 5)
    assert all(len(page.rows) <= 5 for page in pages)
    assert [text for page in pages for text in page.ends] == ["Short.", long.strip(), "Last."]
    rows = " ".join(line for page in pages for line, _ in page.rows if line)
    assert " ".join(f"WARNING: Short. CAUTION: {long} CAUTION: Last.".split()) == " ".join(rows.split())


@pytest.mark.parametrize(
    "size", [(63, 20), (64, 19), (20, 5), (2, 2)], ids=lambda size: f"{size[0]}x{size[1]}"
)
def test_a_window_too_small_takes_nothing_but_leaving(demo_shop: Path, size: tuple[int, int]) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        before = app.bench.state.seq
        await pilot.resize_terminal(*size)
        await settled(app, pilot)
        if size[0] > 50 and size[1] > 10:
            assert "Make the window bigger: at least 64 by 20." in _text(app)
        for key in ("enter", "space", app.taps.pedal, "f5", "f6", "f8", "f12", *"NR-07", "enter"):
            await press(app, pilot, key)
        assert app.bench.state.seq == before and isinstance(app.screen, PlaceScreen)
        assert not app.typed
        await pilot.resize_terminal(80, 24)
        await settled(app, pilot)
        assert "CARRY ON" in _text(app)
        await press(app, pilot, "f5")
        await pilot.resize_terminal(*size)
        await settled(app, pilot)
        await press(app, pilot, "down", "enter", *"Dent", "enter")
        assert app.bench.state.seq == before and isinstance(app.screen, ChoiceScreen)
        assert not app.screen.typed
        await press(app, pilot, "escape", "f10")
        assert not app.is_running

    with_app(demo_shop, walk)
