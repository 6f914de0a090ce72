"""A sitting ends by itself where nobody pressed anything for long, and whoever comes then begins anew."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.context import NOBODY
from kiosk.record.events import SittingCut, SittingOpened, StepFinished
from kiosk.record.sittings import LEFT_ALONE_AT_A_STEP_S, LEFT_ALONE_S
from kiosk.record.stopped import CannotWrite
from tests.conftest import SteadyClocks
from tests.driver import set_pins
from tests.record.moments import step, with_steps

NIGHT = 14 * 60  # minutes


@pytest.fixture
def wall(new_shop: Path, clocks: SteadyClocks) -> Iterator[Bench]:
    bench = Bench(new_shop, clocks, watch=True)
    yield bench
    bench.close()


def _begin(bench: Bench) -> str:
    return bench.start(["FB-NR"], "form-block", "measure-pattern")


def _cuts(bench: Bench) -> list[SittingCut]:
    bodies = (event.body for event in bench.record.journal.after(0))
    return [body for body in bodies if isinstance(body, SittingCut)]


def test_whoever_comes_after_a_night_begins_anew(wall: Bench, clocks: SteadyClocks) -> None:
    work = _begin(wall)
    wall.come("odile")
    clocks.go(NIGHT)
    assert wall.pressed()
    assert wall.state.sitting is None and [one.left_alone for one in _cuts(wall)] == [True]
    assert [person.id for person in wall.people] == ["wren"]
    assert wall.state.works[work].status == "unknown", "the question that a reopened kiosk asks"
    assert not wall.pressed()
    wall.looked(work, as_shown=True)
    opened = [e for e in wall.record.journal.after(0) if isinstance(e.body, SittingOpened)]
    assert len(opened) == 2


def test_an_hour_is_long_and_two_while_a_step_runs(wall: Bench, clocks: SteadyClocks) -> None:
    work = _begin(wall)
    clocks.go(LEFT_ALONE_AT_A_STEP_S / 60 - 1)
    assert not wall.pressed()
    wall.pause(work)
    clocks.go(LEFT_ALONE_S / 60 - 1)
    assert not wall.pressed(), "each press begins it anew, also one that records nothing"
    clocks.go(LEFT_ALONE_S / 60 - 1)
    assert not wall.pressed()
    clocks.go(LEFT_ALONE_S / 60)
    assert wall.pressed()


def test_presses_at_another_screen_keep_the_sitting_open(
    wall: Bench, new_shop: Path, clocks: SteadyClocks
) -> None:
    wall.pause(_begin(wall))
    tablet = Bench(new_shop, clocks, watch=True)
    clocks.go(50)
    assert not tablet.pressed()
    clocks.go(50)
    assert not wall.pressed() and wall.state.sitting is not None
    clocks.go(LEFT_ALONE_S / 60)
    assert tablet.pressed()
    wall.refresh()
    assert wall.pressed() and wall.state.sitting is None and len(_cuts(wall)) == 1, "it begins anew too"
    assert not wall.pressed() and not tablet.pressed()
    tablet.close()


def test_what_is_recorded_elsewhere_keeps_it_open_when_that_screen_has_gone(
    wall: Bench, new_shop: Path, clocks: SteadyClocks
) -> None:
    wall.pause(_begin(wall))
    clocks.go(NIGHT)
    tablet = Bench(new_shop, clocks)
    tablet.note("seen from the tablet")
    tablet.close()
    wall.refresh()
    assert not wall.pressed() and wall.state.sitting is not None


def test_a_screen_that_is_opened_beside_one_that_rested_begins_anew(
    wall: Bench, new_shop: Path, clocks: SteadyClocks
) -> None:
    wall.pause(_begin(wall))
    clocks.go(50)
    Bench(new_shop, clocks, watch=True).close()  # a page that was loaded again is nobody's press
    clocks.go(50)
    tablet = Bench(new_shop, clocks, watch=True)
    assert tablet.state.sitting is None and [one.left_alone for one in _cuts(tablet)] == [True]
    assert not tablet.pressed(), "it was just opened: the press counts"
    tablet.close()


def test_it_ended_with_the_last_deed_and_its_days_stay_apart(wall: Bench, clocks: SteadyClocks) -> None:
    """Five evenings of 45 minutes, each left without closing up."""
    for _ in range(5):
        work = _begin(wall)
        clocks.go(45)
        wall.pause(work)
        wall.put_back(work)
        left = clocks.at
        clocks.go(24 * 60 - 45)
        assert wall.pressed()
        assert wall.state.left is not None and wall.state.left.at == left and wall.state.left.left_alone
    seen = wall.state.sittings_by_day
    assert [[round(one.minutes) for one in day] for day in seen.values()] == [[45]] * 5


def test_what_ran_over_the_night_keeps_no_time_of_it(wall: Bench, clocks: SteadyClocks) -> None:
    work = _begin(wall)
    clocks.go(NIGHT)
    wall.pressed()
    kept = wall.state.works[work]
    assert kept.active_s == 0 and not kept.exact and kept.running_since_s is None
    assert "Nobody closed up" in wall.place_card().when and "14 hours ago" in wall.place_card().when


def _checked(bench: Bench) -> str:
    """A step with two checks in hand."""
    asked = [{"kind": "yes_no", "id": name, "ask": f"Is {name} drilled?"} for name in ("one", "two")]
    bench.shop, _ = with_steps(
        bench.shop, "form-block", step(id="drill", minutes={"each": "8"}, checks=asked)
    )
    return bench.start(["FB-NR"], "form-block", "drill")


def _after_three_minutes(bench: Bench, clocks: SteadyClocks) -> str:
    """The same, its first check answered then."""
    work = _checked(bench)
    clocks.go(3)
    bench.answer(work, "FB-NR", "one", "yes")
    return work


def test_what_was_worked_before_it_was_left_counts_to_the_last_press(
    wall: Bench, clocks: SteadyClocks
) -> None:
    work = _after_three_minutes(wall, clocks)
    clocks.go(NIGHT)
    wall.pressed()
    kept = wall.state.works[work]
    assert (kept.active_s, kept.exact, kept.status) == (180, False, "unknown")
    wall.looked(work, as_shown=True)
    assert wall.step_view(work).elapsed_s == 180
    clocks.go(6)
    wall.answer(work, "FB-NR", "two", "yes")
    wall.finish(work, "FB-NR")
    assert sum(wall.state.minutes_by_day.values()) == pytest.approx(9)
    assert wall.state.times == {}, "nothing is learnt from it"
    finished = wall.record.journal.after(0)[-1].body
    assert isinstance(finished, StepFinished) and finished.active_s == 540 and not finished.exact


def test_what_was_worked_before_a_power_cut_counts_to_the_last_press(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """All of it since the step was taken up was lost, though presses up to then were recorded."""
    cut = Bench(new_shop, clocks, watch=True)
    work = _after_three_minutes(cut, clocks)
    clocks.go(2)
    cut.close()
    rebooted = SteadyClocks(clocks.at + timedelta(minutes=20))
    bench = Bench(new_shop, rebooted, watch=True)
    kept = bench.state.works[work]
    assert (kept.active_s, kept.exact, kept.status) == (180, False, "unknown")
    assert [one.left_alone for one in _cuts(bench)] == [False]
    bench.close()


def test_a_press_at_another_screen_makes_no_minutes_at_a_step(
    wall: Bench, new_shop: Path, clocks: SteadyClocks
) -> None:
    tablet = Bench(new_shop, clocks, watch=True)
    work = _after_three_minutes(wall, clocks)
    clocks.go(40)
    tablet.refresh()
    tablet.note("seen from the tablet")
    clocks.go(NIGHT)
    wall.refresh()
    wall.pressed()
    assert wall.state.works[work].active_s == 180
    tablet.close()


def test_a_screen_that_died_while_another_lives_keeps_the_minutes_at_its_step(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """Of a quarter of an hour none was kept."""
    tablet, wall = (Bench(new_shop, clocks, watch=True) for _ in range(2))
    work = _after_three_minutes(wall, clocks)
    clocks.at += timedelta(hours=5)  # set, meanwhile
    tablet.refresh()
    tablet.note("seen from the tablet")
    clocks.go(40)
    wall.close()
    tablet.refresh()
    kept = tablet.state.works[work]
    assert (kept.active_s, kept.exact, kept.status) == (180, False, "unknown")
    tablet.close()


def test_an_older_kiosks_cut_counts_nothing(wall: Bench, clocks: SteadyClocks) -> None:
    work = _after_three_minutes(wall, clocks)
    clocks.go(NIGHT)
    wall.record.transact(lambda _: [SittingCut(left_alone=True)], by="wren", tap=None)
    assert wall.state.works[work].active_s == 0


def test_with_a_pin_the_screen_is_nobodys_after_it_rested(new_shop: Path, clocks: SteadyClocks) -> None:
    set_pins(new_shop, wren="2468")
    bench = Bench(new_shop, clocks, watch=True)
    assert not bench.pressed()
    bench.hand_over("wren", "2468")
    clocks.go(NIGHT)
    assert bench.pressed() and bench.doer_id == NOBODY, "also where no sitting was open"
    bench.hand_over("wren", "2468")
    _begin(bench)
    assert bench.rest() and bench.doer_id == NOBODY
    assert bench.state.sitting is not None, "resting ends no sitting"
    bench.close()


def test_with_a_pin_a_screen_that_nobody_pressed_is_nobodys_though_others_were_pressed(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    set_pins(new_shop, wren="2468")
    tablet, wall = Bench(new_shop, clocks, watch=True), Bench(new_shop, clocks, watch=True)
    assert not tablet.pressed()
    tablet.hand_over("wren", pin="2468")
    assert tablet.doer_id == "wren" and tablet.state.sitting is None
    clocks.go(NIGHT)
    wall.pressed()  # somebody looks at the wall first
    clocks.go(1)
    assert tablet.pressed() and tablet.doer_id == NOBODY
    assert not tablet.pressed()
    tablet.close()
    wall.close()


def test_without_a_pin_resting_changes_nobodys_hands(wall: Bench) -> None:
    wall.come("pip")
    wall.hand_over("pip")
    assert not wall.rest() and wall.doer_id == "pip"


def test_what_cannot_be_recorded_at_once_is_before_the_next_act(
    wall: Bench, clocks: SteadyClocks, monkeypatch: pytest.MonkeyPatch
) -> None:
    wall.pause(_begin(wall))
    clocks.go(NIGHT)
    with monkeypatch.context() as full:

        def refuse(*_: object, **__: object) -> None:
            raise CannotWrite("the disk is full: nothing can be recorded", "make room, then press again")

        full.setattr(wall.record, "transact", refuse)
        assert wall.pressed() and not _cuts(wall)
        with pytest.raises(CannotWrite):
            wall.note("the disk is full")
    clocks.go(1)
    assert not wall.pressed()
    wall.note("there is room again")
    assert len(_cuts(wall)) == 1 and wall.state.sittings == 2


def test_a_wall_clock_that_was_set_makes_no_night(wall: Bench, clocks: SteadyClocks) -> None:
    wall.pause(_begin(wall))
    clocks.go(1)
    clocks.at += timedelta(days=1)
    assert not wall.pressed()


@pytest.mark.parametrize("working", [True, False])
def test_a_child_who_was_left_alone_is_not_the_builder(
    new_shop: Path, clocks: SteadyClocks, working: bool
) -> None:
    """The builder said that he went, the child stayed, and nobody pressed anything for long."""
    tablet, wall = Bench(new_shop, clocks, watch=True), Bench(new_shop, clocks, watch=True)
    tablet.pressed()
    wall.pressed()
    if working:
        _begin(wall)
    wall.come("pip")
    wall.leave("wren")
    tablet.refresh()
    clocks.go(NIGHT)
    assert wall.pressed() and wall.state.sitting is None
    tablet.refresh()
    assert wall.doer_id == NOBODY and not wall.people
    assert tablet.doer_id == (NOBODY if working else "wren"), "a screen at which nobody said anything"
    opened = Bench(new_shop, clocks)
    assert opened.doer_id == "wren", "a kiosk that is opened anew is as ever"
    for one in (opened, tablet, wall):
        one.close()


def test_a_sitting_that_went_on_at_another_screen_is_not_cut(new_shop: Path, clocks: SteadyClocks) -> None:
    """A question stood at the wall, which looks at nothing meanwhile; the page of the tablet was closed."""
    wall, tablet = Bench(new_shop, clocks, watch=True), Bench(new_shop, clocks, watch=True)
    wall.pressed()
    wall.note("begun")
    clocks.go(58)
    tablet.pressed()
    tablet.refresh()
    tablet.note("done something")
    tablet.close()
    clocks.go(2)
    wall.pressed()
    wall.refresh()
    assert _cuts(wall) == [] and wall.state.sitting is not None
    wall.close()
