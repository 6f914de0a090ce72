"""With a helper at work each is led to their own step, and nobody too young to work beside another's."""

from datetime import timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.planning.preparing import LayOut, ReadAhead, preparations
from kiosk.record.events import SittingCut
from kiosk.record.rules import NotAllowed
from kiosk.screens.app import KioskApp
from kiosk.screens.keypad import KeypadScreen
from kiosk.screens.page_text import POINTER
from kiosk.screens.people import PeopleScreen
from kiosk.screens.place import PlaceScreen
from kiosk.screens.strip import Strip
from kiosk.screens.walk import WalkScreen
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks
from tests.driver import do_step, foot_text, next_step, press, screen_text
from tests.record.moments import step, with_steps
from tests.screens.moment import NOW, with_app


def words(app: KioskApp) -> str:
    return " ".join(" ".join(screen_text(app)).split())


def turn(bench: Bench, *hazards: str) -> str:
    """A blank is turned on a lathe, which is not left half way."""
    turning = step(
        id="turn", do="Turn the cone.", stop="only when finished", hazards=hazards, minutes={"each": "17"}
    )
    bench.shop, _ = with_steps(bench.shop, "rib-blank", turning)
    work = bench.start(["NR-01"], "rib-blank", "turn")
    bench.acknowledge(work)
    return work


@pytest.mark.parametrize("size", [(73, 20), (120, 36)])
def test_the_place_shows_the_step_that_runs_in_ones_own_hands(new_shop: Path, size: tuple[int, int]) -> None:
    """It showed the helper's, paused; the builder's ran on unseen, and the yellow key stopped it."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.come("odile")
        work = turn(bench)
        bench.hand_over("odile")
        theirs = bench.start(["NR-02"], "rib-blank", "turn")
        bench.pause(theirs)
        bench.hand_over("wren")
        await press(app, pilot, "f4", "f1")
        assert bench.place_card().work == work and "NR-01" in words(app)
        assert "PAUSED, and not to be left so: NR-02, with Odile: Turn the cone." in words(app)
        await press(app, pilot, "enter")
        assert isinstance(app.screen, WalkScreen) and app.screen.work == work
        assert bench.work(work).status == "running"

    with_app(new_shop, walk, size)


def test_who_is_too_young_to_be_beside_it_begins_nothing_meanwhile(bench: Bench) -> None:
    """Pip, thirteen, was invited to work beside the lathe, once the screen was theirs."""
    bench.come("pip")
    turning = step(id="turn", stop="only when finished", hazards=["LATHE"], minutes={"each": "17"})
    mark = step(id="mark", minutes={"each": "5"})
    bench.shop, _ = with_steps(bench.shop, "rib-blank", turning)
    bench.shop, _ = with_steps(bench.shop, "form-block", mark)
    bench.clear_room(StepRef("rib-blank", "turn"))
    work = bench.start(["NR-01"], "rib-blank", "turn")
    bench.acknowledge(work)
    bench.hand_over("pip")
    assert not bench.spare(30).suggestions
    with pytest.raises(NotAllowed, match="NR-01 is under way: Pip must be out of the room"):
        bench.start(["FB-NR"], "form-block", "mark")
    bench.hand_over("wren")
    bench.clear_room(StepRef("rib-blank", "turn"))
    bench.finish(work, "NR-01")
    bench.hand_over("pip")
    assert bench.start(["FB-NR"], "form-block", "mark")


def test_nobody_is_kept_by_what_another_does(new_shop: Path) -> None:
    """Pip was asked to stay at Wren's lathe and finish it."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.come("odile")
        work = turn(bench)
        bench.hand_over("odile")
        await press(app, pilot, "f4")
        assert isinstance(app.screen, PeopleScreen)
        app.screen.at = list(bench.shop.people).index("odile")
        app.screen.show()
        await press(app, pilot, "f8")
        assert isinstance(app.screen, PeopleScreen) and bench.shop.people["odile"] not in bench.people
        assert bench.work(work).status == "running"
        bench.hand_over("wren")
        bench.come("odile")
        app.screen.at = list(bench.shop.people).index("wren")
        app.screen.show()
        await press(app, pilot, "f8")
        assert "This must not be left so" in words(app) and "Turn the cone." in words(app)

    with_app(new_shop, walk)


def test_what_was_paused_all_the_same_counts_until_the_bench_is_left(bench: Bench) -> None:
    work = turn(bench)
    bench.begin_slot(60)
    before = bench.put_away()
    bench.pause(work)
    after = bench.put_away()
    assert before is not None and after is not None
    assert after.to_leave == before.to_leave > 0
    bench.close_sitting("")
    assert isinstance(bench.record.clocks, SteadyClocks)
    bench.record.clocks.go(60 * 24)
    bench.note("another evening")
    bench.begin_slot(60)
    again = bench.put_away()
    assert again is not None and again.to_leave == 0, "who left it so knows that it stands so"


@pytest.mark.parametrize("set_hours", [-1, 1])
def test_so_it_does_after_the_wall_clock_was_set(bench: Bench, set_hours: int) -> None:
    """Set back by an hour, what was paused was before the sitting, and no time was left for it."""
    clocks = bench.record.clocks
    assert isinstance(clocks, SteadyClocks)
    bench.note("the sitting begins")
    clocks.go(1)
    clocks.at += timedelta(hours=set_hours)
    work = turn(bench)
    bench.begin_slot(60)
    before = bench.put_away()
    bench.pause(work)
    after = bench.put_away()
    assert before is not None and after is not None
    assert after.to_leave == before.to_leave > 0


def test_what_a_dead_screen_left_unknown_may_be_running_and_counts(new_shop: Path) -> None:
    """The lathe ran on, and the call to put away left no minute for it."""
    clocks = SteadyClocks()
    wall, tablet = (Bench(new_shop, clocks, watch=True) for _ in range(2))
    work = turn(tablet)
    wall.shop = tablet.shop
    wall.refresh()
    wall.begin_slot(60)
    clocks.go(5)
    tablet.refresh()
    tablet.note("still at it")
    wall.refresh()
    runs = wall.put_away()
    assert tablet.presence is not None
    tablet.presence._handle.close()
    wall.refresh()
    assert wall.work(work).status == "unknown" and wall.work(work).active_s == 300
    unknown = wall.put_away()
    assert runs is not None and unknown is not None
    assert unknown.to_leave == runs.to_leave > 0
    clocks.go(3)
    wall.refresh()
    later = wall.put_away()
    assert later is not None and later.to_leave == runs.to_leave, "what was worked since, nobody knows"
    wall.looked(work, as_shown=False)  # it was not begun at all
    put_back = wall.put_away()
    assert put_back is not None and put_back.to_leave == 0
    wall.close()


def test_so_does_what_a_power_cut_left_until_somebody_looked(bench: Bench) -> None:
    work = turn(bench)
    bench.record.transact(lambda _: [SittingCut()], by="wren", tap=None)
    bench.begin_slot(60)
    leaving = bench.put_away()
    assert bench.work(work).status == "unknown"
    assert leaving is not None and leaving.to_leave > 0
    bench.looked(work, as_shown=False)
    leaving = bench.put_away()
    assert leaving is not None and leaving.to_leave == 0


@pytest.mark.parametrize("size", [(64, 20), (80, 24)])
def test_an_undo_says_that_what_it_gives_back_stands_paused(new_shop: Path, size: tuple[int, int]) -> None:
    """The lathe was paused instead, without a word, and ran on."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.shop, _ = with_steps(bench.shop, "form-block", step(id="mark", do="Mark it."))
        lathe = turn(bench)
        bench.pause(lathe)
        block = bench.start(["FB-NR"], "form-block", "mark")
        bench.finish(block, "FB-NR")
        bench.take_up(lathe)
        app.walk(lathe)
        await press(app, pilot, "f6", "down", "enter")
        assert isinstance(app.screen, WalkScreen) and app.screen.work == lathe
        assert bench.work(lathe).status == "running" and bench.work(block).status == "paused"
        told = " ".join(foot_text(app).split())
        assert "Taken back, and its step stands paused: \u2018Mark it\u2019 done on FB-NR." in told
        bench.pause(lathe)
        bench.take_up(block)
        bench.finish(block, "FB-NR")
        await press(app, pilot, "f6", "down", "enter")
        assert bench.work(block).status == "running" and "paused" not in foot_text(app)

    with_app(new_shop, walk, size=size)


def test_minutes_that_were_given_count_where_the_yellow_key_leads_back(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        turn(app.bench)
        await press(app, pilot, "f2", "enter")
        assert isinstance(app.screen, WalkScreen) and app.bench.state.newest_slot is None, "nobody gave any"
        await press(app, pilot, "f2", *"10", "enter", "enter")
        assert isinstance(app.screen, WalkScreen)
        slot = app.bench.state.newest_slot
        assert slot is not None and slot.minutes == 10
        app.go("place")
        assert isinstance(app.screen, PlaceScreen)

    with_app(new_shop, walk)


def test_what_runs_is_not_to_be_read_ahead(bench: Bench) -> None:
    turn(bench)
    assert not any(isinstance(one, ReadAhead | LayOut) for one in preparations(bench.context))


def test_the_note_stays_while_what_was_left_in_hand_stands(demo_bench: Bench) -> None:
    """Whoever began something else first came back to the part in the vise without it."""
    before = demo_bench.place_card().note
    assert "in the vise" in before
    other = demo_bench.start(["FB-TR"], "form-block", "measure-pattern")
    assert demo_bench.place_card().note == before
    demo_bench.put_back(other)
    assert demo_bench.place_card().note == before


def test_who_goes_leaves_nothing_running(bench: Bench) -> None:
    """The lathe ran on under somebody who had gone, and stood on nobody's place."""
    bench.come("odile")
    work = turn(bench)
    bench.hand_over("odile")
    bench.leave("wren")
    assert bench.work(work).status == "paused"
    assert bench.place_card().not_to_be_left == ("NR-01, with Wren: Turn the cone.",)


def test_ones_own_minutes_are_ones_own(bench: Bench) -> None:
    """Odile had fifteen, and Wren at the lathe was told to put away."""
    bench.come("odile")
    turn(bench)
    bench.hand_over("odile")
    bench.begin_slot(15)
    leaving = bench.put_away()
    assert leaving is not None and leaving.to_leave == 0, "Wren ends their own"
    assert not bench.place_card().paused, "what runs in other hands is not paused"
    bench.hand_over("wren")
    assert bench.put_away() is None
    bench.begin_slot(60)
    leaving = bench.put_away()
    assert leaving is not None and leaving.to_leave > 0
    bench.hand_over("odile")
    leaving = bench.put_away()
    assert leaving is not None and leaving.left <= 15


def test_the_people_page_points_at_whoever_has_the_screen_and_a_child_is_told_to_go_out(
    new_shop: Path,
) -> None:
    """Odile pressed Goes, and Wren had gone. Pip took the screen beside the lathe, and was told nothing."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.come("odile")
        turn(bench, "LATHE")
        bench.hand_over("odile")
        await press(app, pilot, "f4")
        assert f"{POINTER} Odile" in words(app)
        await press(app, pilot, "f8")
        assert bench.shop.people["odile"] not in bench.people
        bench.hand_over("wren")
        bench.come("pip")
        await press(app, pilot, "f1", "f4", "down", "f7")
        assert bench.doer_id == "pip"
        assert "NR-01 is under way: Pip must be out of the room" in words(app)

    with_app(new_shop, walk)


def test_what_was_set_up_is_put_away_at_closing_up(bench: Bench) -> None:
    tools = bench.shop.tool_names(next_step(bench, "FB-NR"))
    assert tools
    do_step(bench, ["FB-NR"])
    assert set(tools) <= set(bench.close_up_view().put_away)


def test_who_comes_in_to_a_step_that_they_may_not_be_beside_is_called_out_over_a_keypad(
    new_shop: Path,
) -> None:
    """A keypad that was open hid that the step must stop, until it was left."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        measure = {"id": "width", "ask": "Width", "kind": "measure", "low": "1.9", "high": "2.1"}
        turning = step(id="turn", stop="only when finished", hazards=["LATHE"], checks=[measure])
        bench.shop, _ = with_steps(bench.shop, "rib-blank", turning)
        bench.clear_room(StepRef("rib-blank", "turn"))
        work = bench.start(["NR-01"], "rib-blank", "turn")
        bench.acknowledge(work)
        app.walk(work)
        await press(app, pilot, "f8")
        assert isinstance(app.screen, KeypadScreen)
        another = Bench(new_shop, bench.record.clocks)
        another.come("pip")
        another.close()
        app.screen.query_one(Strip).look()
        assert isinstance(app.screen, KeypadScreen)
        assert app.screen.query_one(Strip).said.startswith("STOP NR-01: Pip must be out of the room")

    with_app(new_shop, walk)


def test_after_a_cut_the_place_begins_with_ones_own_step(new_shop: Path) -> None:
    """It began with what was touched last, be it another's."""
    bench = Bench(new_shop, SteadyClocks(), watch=True)
    bench.come("odile")
    work = turn(bench)
    bench.hand_over("odile")
    theirs = bench.start(["NR-02"], "rib-blank", "turn")
    bench.hand_over("wren")
    shop = bench.shop
    bench.close()
    bench = Bench(new_shop, SteadyClocks(), watch=True)
    bench.shop = shop
    assert {bench.work(one).status for one in (work, theirs)} == {"unknown"}
    assert bench.place_card().work == work and bench.place_card().action == "look"
    bench.hand_over("odile")
    assert bench.place_card().work == theirs
    bench.close()


def test_only_who_was_named_is_out_and_a_child_who_takes_the_screen_still_hears_stop(new_shop: Path) -> None:
    """A child who came in while the question stood was recorded as out; the strip was empty once they had the
    screen."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        ref = StepRef("rib-blank", "turn")
        work = turn(bench, "LATHE")
        bench.come("pip")
        bench.clear_room(ref, "NR-01", named=[])
        assert [one.id for one in bench.who_must_go_out(ref, "NR-01")] == ["pip"]
        bench.hand_over("pip")
        app.go("board")
        await press(app, pilot, "down")
        app.screen.query_one(Strip).look()
        assert app.screen.query_one(Strip).said.startswith("STOP: NR-01 is under way: Pip must be out")
        assert bench.work(work).status == "running"

    with_app(new_shop, walk)


def test_stop_stands_whoever_has_the_screen(new_shop: Path) -> None:
    """It went as another adult took it, though the lathe ran on and the child was still there."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        turn(app.bench, "LATHE")
        app.bench.come("odile")
        app.bench.come("pip")
        app.bench.hand_over("odile")
        await press(app, pilot, "f3")
        app.screen.query_one(Strip).look()
        assert app.screen.query_one(Strip).said.startswith("STOP NR-01 of Wren: Pip must be out of the room")

    with_app(new_shop, walk)


def test_after_a_cut_a_child_who_was_there_is_still_there(new_shop: Path) -> None:
    """The lathe went on, and nobody had asked who was in the room; nor after a second cut."""
    bench = Bench(new_shop, SteadyClocks(NOW), watch=True)
    work = turn(bench, "LATHE")
    bench.come("pip")
    bench.come("odile")
    shop = bench.shop
    bench.close()
    for sitting in (False, True):
        bench = Bench(new_shop, SteadyClocks(NOW), watch=True)
        bench.shop = shop
        assert [one.id for one in bench.people] == ["wren", "pip"], "an adult says so anew"
        if sitting:
            bench.begin_slot(30)
        bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.shop = shop
        await press(app, pilot, "f3", "f1")
        assert app.bench.work(work).status == "unknown"
        await press(app, pilot, "enter", "down", "enter")
        assert "NOT NOW: Pip must be out of the room" in words(app), "still in the room"
        await press(app, pilot, "enter", "down", "down", "enter")  # out of it
        assert app.bench.work(work).status == "unknown"
        await press(app, pilot, "enter", "down", "enter")  # look: as shown
        assert app.bench.work(work).status == "running"

    with_app(new_shop, walk)
