"""Nobody closed up: who comes after long, or to a guarded screen, begins as at a kiosk that was closed."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.context import NOBODY
from kiosk.record.events import SittingCut
from kiosk.record.stopped import RecordRemoved
from kiosk.screens.app import KioskApp
from kiosk.screens.calm import CalmScreen
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.close_up import CloseUpScreen
from kiosk.screens.pin import PinScreen
from kiosk.screens.place import PlaceScreen
from kiosk.screens.quiet import AFTER_WAKING_S
from kiosk.screens.walk import WalkScreen
from tests.conftest import SteadyClocks
from tests.driver import foot_text, pass_time, press, settled, tap
from tests.screens.moment import NOW, with_app
from tests.screens.scenes import CARRY_ON, _limit_runs
from tests.screens.test_on_the_wall import left_alone, on_wall, shown

NIGHT = 14 * 60


async def wake(app: KioskApp, pilot: Pilot[None]) -> None:
    await press(app, pilot, "enter")
    pass_time(app, AFTER_WAKING_S)


def test_cautions_are_shown_again_the_next_day(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter")
        assert "Wear gloves to carry sheet" in shown(app)
        await press(app, pilot, "enter", "f12")
        await left_alone(app, pilot, NIGHT)
        await wake(app, pilot)
        assert isinstance(app.screen, PlaceScreen) and "Still true? If not, F7" in shown(app)
        assert "has ended by itself" in foot_text(app) and "Nobody closed up" in shown(app)
        await press(app, pilot, "enter")
        assert "Wear gloves to carry sheet" in shown(app)

    on_wall(demo_shop, walk)


def test_what_ran_over_the_night_is_asked_and_no_helper_is_here(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.come("odile")
        await press(app, pilot, *CARRY_ON)
        await left_alone(app, pilot, NIGHT)
        assert "The clock of this step runs" not in shown(app), "the night is nobody's time"
        await wake(app, pilot)
        assert "STARTED, UNKNOWN" in shown(app)
        assert [person.id for person in app.bench.people] == ["wren"]
        await press(app, pilot, "enter")
        assert "under way when the bench was left" in shown(app)

    on_wall(demo_shop, walk)


def test_a_kiosk_that_hangs_on_no_wall_begins_anew_as_well(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        assert isinstance(app.screen, WalkScreen)
        await left_alone(app, pilot, 121)
        assert not isinstance(app.screen, CalmScreen)
        await wake(app, pilot)
        assert isinstance(app.screen, PlaceScreen) and app.bench.state.sitting is None
        assert app.bench.state.works, "the press that comes back does nothing else"

    async def no_calm(app: KioskApp, pilot: Pilot[None]) -> None:
        app.rest = lambda: None  # type: ignore[method-assign]
        await walk(app, pilot)

    with_app(demo_shop, no_calm, (80, 24), SteadyClocks(NOW))


def test_the_place_that_stood_there_all_night_is_drawn_anew(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON, "f1")
        assert isinstance(app.screen, PlaceScreen) and "LOOK AT THE PART" not in shown(app)
        app.rest = lambda: None  # type: ignore[method-assign]
        await left_alone(app, pilot, NIGHT)
        await press(app, pilot, "down")
        assert "LOOK AT THE PART" in shown(app) and "has ended by itself" in foot_text(app)

    with_app(demo_shop, walk, (80, 24), SteadyClocks(NOW))


# With a PIN


@pytest.fixture
def guarded(demo_shop: Path) -> Path:
    """The shop in mid-work, its builder's PIN 2468."""
    bench = Bench(demo_shop, SteadyClocks(NOW))
    bench.set_pin("wren", "", "2468")
    bench.close()
    return demo_shop


async def _wren_takes_it(app: KioskApp, pilot: Pilot[None]) -> None:
    await press(app, pilot, "f4", "enter", *"2468", "enter")
    assert app.bench.doer_id == "wren"


def test_a_guarded_screen_is_nobodys_after_it_rested(guarded: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await _wren_takes_it(app, pilot)
        app.bench.come("odile")
        await press(app, pilot, "f1", *CARRY_ON, "f12", *"NR-06", "enter", "enter", "down", "enter")
        await left_alone(app, pilot, 11)
        assert isinstance(app.screen, CalmScreen)
        await wake(app, pilot)
        assert isinstance(app.screen, PlaceScreen) and app.bench.doer_id == NOBODY
        assert "SAY WHO YOU ARE" in shown(app)
        assert app.bench.state.sitting is not None, "it was ten minutes: the sitting goes on"

    on_wall(guarded, walk)


def test_a_pin_that_was_half_typed_is_gone(guarded: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f4", "enter", *"246")
        assert isinstance(app.screen, PinScreen)
        await left_alone(app, pilot, 11)
        await wake(app, pilot)
        assert not isinstance(app.screen, PinScreen)

    on_wall(guarded, walk)


# Leaving the wall


def test_a_child_alone_does_not_leave_the_wall(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON, "f12")
        app.bench.come("pip")
        app.bench.leave("wren")
        app.bench.hand_over("pip")
        await press(app, pilot, "f10")
        assert "An adult closes up" in shown(app) and "Leave wall" not in shown(app)
        app.ask_to_leave()
        await press(app, pilot, "down", "down", "enter")
        assert not app._exit

    on_wall(demo_shop, walk)


def test_nobody_leaves_a_guarded_wall_without_the_pin(guarded: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f10", "f8")
        assert isinstance(app.screen, CloseUpScreen) and "Leave wall" not in shown(app)
        await _wren_takes_it(app, pilot)
        await press(app, pilot, "f10", "f8", "down", "down", "enter")
        assert app._exit

    on_wall(guarded, walk)


@pytest.mark.parametrize("size", [(64, 20), (80, 24)])
def test_the_clocks_that_then_ring_nobody_are_named(size: tuple[int, int], demo_shop: Path) -> None:
    clocks = SteadyClocks(NOW)
    bench = Bench(demo_shop, clocks)
    _limit_runs(60)(bench)
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f10")
        await tap(app, pilot, "Leave wall")
        text = shown(app)
        assert "ring nobody" in text and "NR-07, degreased face" in text and "Leave wall" not in text
        assert "Back" in text and "leave this" not in text
        await tap(app, pilot, "Back")
        assert not app._exit

    on_wall(demo_shop, walk, clocks, size)


def test_a_record_that_is_gone_says_once_more_what_mends_it(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        gone = RecordRemoved(
            "the record was removed; all is kept in x.db", "leave, then: kiosk restore x.db ."
        )
        app.recording_stopped(gone)
        await settled(app, pilot)
        pass_time(app, AFTER_WAKING_S)
        await press(app, pilot, "enter")
        text = " ".join(shown(app).split())
        assert isinstance(app.screen, PlaceScreen)
        assert "THE RECORD: the record was removed; all is kept in x.db" in text
        await press(app, pilot, "f10", "f8")
        assert "kiosk restore x.db" in " ".join(shown(app).split()) and app.record_gone

    on_wall(demo_shop, walk)


# Two screens


def test_a_screen_that_rested_at_a_step_shows_the_place_where_another_began_anew(demo_shop: Path) -> None:
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        work = app.bench.state.last_work or ""
        await left_alone(app, pilot, NIGHT)
        tablet = Bench(demo_shop, clocks, watch=True)
        assert tablet.state.sitting is None
        tablet.pressed()
        tablet.note("good morning")
        app.bench.refresh()
        await wake(app, pilot)
        assert isinstance(app.screen, PlaceScreen) and "STARTED, UNKNOWN" in shown(app)
        seq = app.bench.state.seq
        await press(app, pilot, "enter")
        assert isinstance(app.screen, ChoiceScreen) and app.bench.state.seq == seq
        await press(app, pilot, "down", "enter")
        assert isinstance(app.screen, WalkScreen) and app.bench.state.works[work].status == "running"
        tablet.close()

    on_wall(demo_shop, walk, clocks)


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
def test_a_step_that_was_cut_short_elsewhere_leads_to_the_place(
    size: tuple[int, int], demo_shop: Path
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        app.bench.record.transact(lambda _: [SittingCut()], by="wren", tap=None)
        assert isinstance(app.screen, WalkScreen)
        app.screen.show()
        await settled(app, pilot)
        assert "TO THE PLACE" in shown(app) and "I HAVE READ THESE" not in shown(app)
        await press(app, pilot, "enter")
        assert isinstance(app.screen, PlaceScreen) and "LOOK AT THE PART" in shown(app)

    on_wall(demo_shop, walk, size=size)


# What is found without a press


def test_a_folder_that_is_not_there_wakes_the_screen_in_plain_words(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await left_alone(app, pilot, 11)
        screen = app.screen
        assert isinstance(screen, CalmScreen)
        away = demo_shop.rename(demo_shop.with_name("away"))
        screen.look()
        await settled(app, pilot)
        text = " ".join(shown(app).split())
        assert "RECORDING STOPPED" in text and "is not there" in text and "Errno" not in text
        pass_time(app, AFTER_WAKING_S)
        await press(app, pilot, "enter")
        await left_alone(app, pilot, 11)
        assert not isinstance(app.screen, CalmScreen), "it would say that the place is kept"
        away.rename(demo_shop)
        app.tell_record_trouble()
        await left_alone(app, pilot, 11)
        assert isinstance(app.screen, CalmScreen)

    on_wall(demo_shop, walk)


def test_a_full_disk_wakes_the_screen(demo_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await left_alone(app, pilot, 11)
        screen = app.screen
        assert isinstance(screen, CalmScreen)
        monkeypatch.setattr("kiosk.bench.has_room", lambda folder: False)
        screen.look()
        await settled(app, pilot)
        assert not isinstance(app.screen, CalmScreen) and "the disk is full" in shown(app)

    on_wall(demo_shop, walk)


def test_a_record_that_was_removed_is_said_once_and_can_be_left(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        (demo_shop / "record.db").unlink()
        assert isinstance(app.screen, PlaceScreen)
        app.screen._poll()
        await settled(app, pilot)
        assert "Nothing is recorded now" in shown(app) and "kiosk restore" in " ".join(shown(app).split())
        pass_time(app, AFTER_WAKING_S)
        await press(app, pilot, "enter", "f10")
        assert isinstance(app.screen, CloseUpScreen)
        app.screen._poll()
        await settled(app, pilot)
        assert isinstance(app.screen, CloseUpScreen), "it is not in the way of leaving"
        await press(app, pilot, "f8", "down", "down", "enter")
        assert app._exit and "kiosk restore" in app.record_gone

    on_wall(demo_shop, walk)


# What the card shows


def test_the_place_on_the_card_goes_on_with_what_was_missed(new_shop: Path) -> None:
    clocks = SteadyClocks(NOW)
    bench = Bench(new_shop, clocks)
    _limit_runs(30)(bench)
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await left_alone(app, pilot, 11)
        screen = app.screen
        assert isinstance(screen, CalmScreen)
        before = screen._place[1]
        assert before is not None and "NR-07" in shown(app).split("The place is kept")[1]
        clocks.go(20)
        screen.look()
        await settled(app, pilot)
        assert "TOO LATE" in shown(app) and screen._place[1] == app.bench.place_card()
        assert screen._place[1].clocks[0].startswith("TOO LATE") and before.clocks[0].startswith("FINISH")

    on_wall(new_shop, walk, clocks)
