"""What the screen says when the record is held, full or found damaged; and that one can always leave."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.packed import pack
from kiosk.record.stopped import CannotWrite, RecordBusy
from kiosk.screens.app import KioskApp
from kiosk.screens.page import PageScreen
from kiosk.screens.walk import WalkScreen
from kiosk.shop import kept as keeping
from kiosk.shop.kept import KEPT_FILE, open_shop
from tests.driver import foot_text, press, screen_text
from tests.record.test_locks import lock_file_held
from tests.screens.moment import with_app


def test_a_held_record_is_said_at_the_foot_and_the_same_press_does_it(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter")
        assert isinstance(app.screen, WalkScreen)
        work = app.screen.work
        before = app.bench.step_view(work).count
        with lock_file_held(demo_shop / "record.db"):
            await press(app, pilot, "enter")
            assert "NOT RECORDED: another program holds the record" in foot_text(app)
            assert isinstance(app.screen, WalkScreen)  # nothing is in the way
        assert app.bench.step_view(work).count == before
        await press(app, pilot, "enter")
        assert app.bench.step_view(work).count == (before or 0) + 1

    with_app(demo_shop, walk)


def test_one_can_leave_where_nothing_can_be_recorded(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.note("a sitting is open")

        def full(*_: object, **__: object) -> None:
            raise CannotWrite("the disk is full: nothing can be recorded", "make room, then press again")

        monkeypatch.setattr(app.bench.record, "transact", full)
        await press(app, pilot, "f10", "enter")
        assert isinstance(app.screen, PageScreen) and "the disk is full" in "\n".join(screen_text(app))
        await press(app, pilot, "enter")
        assert "unrecorded" in "\n".join(screen_text(app))
        await press(app, pilot, "f8")
        assert app._exit

    with_app(demo_shop, walk)


def test_what_the_check_finds_is_said_at_the_foot_and_stands_on_the_place_card(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        assert "THE RECORD" not in "\n".join(screen_text(app))
        monkeypatch.setattr(app.bench, "record_trouble", lambda: "event 40 is not what was recorded")
        assert app.tell_record_trouble() and not app.tell_record_trouble()  # once
        app.say("")
        await press(app, pilot, "f3", "escape")
        assert "THE RECORD: event 40 is not what was recorded" in "\n".join(screen_text(app))

    with_app(demo_shop, walk)


def test_what_was_kept_and_was_wrong_is_said_at_the_foot_and_nowhere_else(demo_shop: Path) -> None:
    (demo_shop / KEPT_FILE).unlink(missing_ok=True)
    open_shop(demo_shop)
    content, packed = keeping._content(demo_shop), pack("no shop")
    assert content is not None
    (demo_shop / KEPT_FILE).write_bytes(keeping._seal(content, packed) + b"\n" + packed)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        assert app.tell_record_trouble()
        assert "was wrong" in app.message[0] and "read anew" in app.message[0]
        assert "THE RECORD" not in "\n".join(screen_text(app))
        app.say("")
        assert not app.tell_record_trouble() and not app.message[0]  # once

    with_app(demo_shop, walk)


def test_a_poll_that_finds_the_record_held_goes_on(demo_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        def busy() -> bool:
            raise RecordBusy("another program holds the record", "press again")

        monkeypatch.setattr(app.bench, "refresh", busy)
        await pilot.pause(1.0)
        assert not isinstance(app.screen, PageScreen)

    with_app(demo_shop, walk)
