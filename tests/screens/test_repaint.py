"""What is painted at a press: what changed, once, and nothing that stands there already.

How long it takes is measured by hand, in :mod:`tests.benchmarks.repaint`.
"""

import gc
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual.geometry import Region
from textual.pilot import Pilot

from kiosk.screens.app import KioskApp
from kiosk.screens.base import KioskScreen
from kiosk.screens.board import BoardScreen
from kiosk.screens.dialog import Dialog
from kiosk.screens.page import PageScreen
from kiosk.screens.rows import Rows
from tests.driver import press, screen_text, settled
from tests.screens.moment import with_app


@pytest.fixture(autouse=True)
def painting() -> None:
    """All is painted here, as on a terminal."""


def counted(monkeypatch: pytest.MonkeyPatch, of: object, name: str) -> list[tuple[Any, ...]]:
    """The calls of a method from now on, each with what it was given."""
    calls: list[tuple[Any, ...]] = []
    was: Callable[..., Any] = getattr(of, name)

    def call(*given: Any, **more: Any) -> Any:
        calls.append(given)
        return was(*given, **more)

    monkeypatch.setattr(of, name, call)
    return calls


def test_a_look_at_the_clocks_paints_nothing_while_they_show_the_same(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Twice a second on a wall: for nothing it was the greatest part of what an idle kiosk took."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        screen = app.screen
        assert isinstance(screen, KioskScreen)
        painted = counted(monkeypatch, app, "_display")
        laid_out = counted(monkeypatch, screen._compositor, "reflow")
        screen._poll()
        await settled(app, pilot)
        assert not laid_out
        assert not painted

    with_app(demo_shop, walk)


def test_another_text_lays_nothing_out(demo_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No widget is as large as its text, so none moves for it."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f3")
        laid_out = counted(monkeypatch, app.screen._compositor, "reflow")
        await press(app, pilot, "down", "down", "up")
        assert not laid_out

    with_app(demo_shop, walk)


def test_only_rows_that_are_others_are_painted(demo_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The pointer goes from one row of the board to the next, and the other rows stand as they stood."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f3")
        board = app.screen
        assert isinstance(board, BoardScreen)
        while board.at:
            await press(app, pilot, "up")
        refreshed = counted(monkeypatch, app.screen.query_one("#body", Rows), "refresh")
        await press(app, pilot, "down")
        regions = [one for call in refreshed for one in call if isinstance(one, Region)]
        assert {(one.y, one.height) for one in regions} == {(1, 1), (2, 1)}

    with_app(demo_shop, walk)


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
def test_a_screen_is_drawn_once_when_it_is_opened(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    """Its width and its rows are known before it is laid out, so nothing has to be drawn again after that."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        drawn = counted(monkeypatch, BoardScreen, "draw")
        await press(app, pilot, "f3")
        assert len(drawn) == 1

    with_app(demo_shop, walk, size)


@pytest.mark.parametrize("key", ["f4", "f5"])
def test_what_is_opened_is_styled_once_and_has_no_widget_that_shows_nothing(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch, key: str
) -> None:
    """A page, and a dialog. The strip waits for something to call out, and letters are not up yet."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        styled = counted(monkeypatch, app.stylesheet, "apply")
        await press(app, pilot, key)
        opened = [one for one in app.screen.walk_children() if not one.has_class("textual-system")]
        times = Counter(call[0] for call in styled)
        assert all(times[one] == 1 for one in opened)
        assert {one.id for one in opened if not one.display} <= {"strip"}

    with_app(demo_shop, walk)


MOST_WIDGETS = 20  # of a dialog: each is styled, laid out and told of its size, half a millisecond in all


def test_a_dialog_with_keys_for_a_finger_is_made_of_few_widgets(demo_shop: Path) -> None:
    """One for each of forty letters took a dialog three times as long to open as anything else here."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f9", *["down"] * 3, "enter")
        assert any("q   " in row.lower() or "1   " in row for row in screen_text(app))
        assert len(list(app.screen.walk_children())) <= MOST_WIDGETS

    with_app(demo_shop, walk)


def test_what_is_covered_is_neither_drawn_nor_laid_out_nor_painted(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        covered = app.screen
        drawn = counted(monkeypatch, covered, "draw")
        laid_out = counted(monkeypatch, covered._compositor, "reflow")
        rendered = counted(monkeypatch, covered._compositor, "render_update")
        await press(app, pilot, "f4")
        assert not covered.is_current
        assert not drawn and not laid_out and not rendered
        await press(app, pilot, "escape")
        assert app.screen is covered and covered.is_current
        assert len(drawn) == 1

    with_app(demo_shop, walk)


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
def test_a_dialog_is_drawn_once_when_its_text_is_as_high_as_was_thought(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    """Pages are: a drawing made a second time costs as much as the first."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f3", "f12")
        drawn = counted(monkeypatch, Dialog, "_put_all")
        await press(app, pilot, "enter")
        assert isinstance(app.screen, PageScreen)
        assert len(drawn) == 1

    with_app(demo_shop, walk, size)


def test_another_size_reaches_what_is_covered_twice_over(demo_shop: Path) -> None:
    """It is laid out and styled for its width when it is on top again."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f4", "f5")
        await pilot.resize_terminal(64, 20)
        await settled(app, pilot)
        while len(app.screen_stack) > 1:
            assert app.screen.outer_size == (64, 20)
            assert app.screen.has_class("-small") and not app.screen.has_class("-wide")
            await press(app, pilot, "escape")
        small = screen_text(app)
        assert app.screen.has_class("-small") and all(len(row) <= 64 for row in small)
        await pilot.resize_terminal(80, 24)
        await settled(app, pilot)
        assert app.screen.has_class("-wide") and screen_text(app) != small

    with_app(demo_shop, walk)


def test_parts_are_not_gone_over_again_for_a_pointer(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The board's rows are worked out when something that they show has changed."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f3")
        asked = counted(monkeypatch, app.bench, "board")
        await press(app, pilot, "down", "down")
        assert not asked
        app.bench.raise_snag("NR-07", "a scratch")
        await press(app, pilot, "down")
        assert len(asked) == 1

    with_app(demo_shop, walk)


def test_an_app_among_others_keeps_nothing_for_good(demo_shop: Path) -> None:
    """Frozen, each of them would stay in memory until the process ends, with its shop and its record."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await settled(app, pilot)

    frozen = gc.get_freeze_count()  # by the suite: what was collected
    with_app(demo_shop, walk)
    assert gc.get_freeze_count() <= frozen
