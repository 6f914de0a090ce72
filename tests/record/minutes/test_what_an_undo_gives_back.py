"""A step that an undo gives back runs for who takes back their own alone, and stops none that runs."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.apply import fold
from tests.conftest import SteadyClocks
from tests.driver import undo_newest
from tests.record.moments import step, with_steps

DAY = "2027-05-08"
RIBS = ["NR-01", "NR-02", "NR-03"]
Two = tuple[Bench, Bench]


@contextmanager
def wall_and_tablet(folder: Path, clocks: SteadyClocks) -> Iterator[Two]:
    """Wren at the wall and Odile at the tablet, with a blank to turn on the lathe and a block to mark."""
    screens = Bench(folder, clocks, watch=True), Bench(folder, clocks, watch=True)
    turn = step(id="turn", minutes={"each": "7"}, batch="in turn", stop="only when finished")
    for one in screens:
        one.shop, _ = with_steps(one.shop, "rib-blank", turn)
        one.shop, _ = with_steps(one.shop, "form-block", step(id="mark", minutes={"each": "5"}))
    wall, tablet = screens
    wall.come("odile")
    tablet.refresh()
    tablet.hand_over("odile")
    yield screens
    for one in screens:
        one.refresh()
    assert fold(wall.record.journal.after(0)) == wall.state == tablet.state
    for one in screens:
        one.close()


def turning(bench: Bench, *marks: str) -> str:
    """A step that may not be left, taken in hand there."""
    bench.refresh()
    return bench.start(list(marks or ["NR-01"]), "rib-blank", "turn")


def marked(bench: Bench, clocks: SteadyClocks, minutes: float = 3.0) -> str:
    """A block that was marked there in so many minutes."""
    bench.refresh()
    work = bench.start(["FB-NR"], "form-block", "mark")
    clocks.go(minutes)
    bench.finish(work, "FB-NR")
    return work


def take_back(bench: Bench, said: str) -> bool:
    """The newest act that is called so; whether it is told that what it gives back stands paused."""
    bench.refresh()
    return bench.undo([one for one in bench.state.undoables if said in one.label][-1].event)


def killed(bench: Bench) -> None:
    """As SIGKILL leaves a screen: its lock is gone."""
    assert bench.presence is not None
    bench.presence._handle.close()


def in_hand(bench: Bench, work: str) -> tuple[str, str]:
    bench.refresh()
    return bench.work(work).status, bench.work(work).worker


def hours(bench: Bench) -> float:
    """Minutes of the day so far."""
    bench.refresh()
    return round(bench.state.minutes_by_day.get(DAY, 0.0), 6)


def left_and_taken_back_by_another(two: Two, clocks: SteadyClocks) -> tuple[str, bool]:
    wall, tablet = two
    work = marked(tablet, clocks)
    wall.refresh()
    wall.leave("odile")
    return work, take_back(wall, "done")


def taken_back_by_the_builder_beside_it(two: Two, clocks: SteadyClocks) -> tuple[str, bool]:
    work = marked(two[1], clocks)
    return work, take_back(two[0], "done")


def put_back_by_another(two: Two, clocks: SteadyClocks) -> tuple[str, bool]:
    wall, tablet = two
    work = turning(tablet)
    clocks.go(3)
    tablet.put_back(work)
    wall.refresh()
    wall.leave("odile")
    return work, take_back(wall, "put back")


def ones_own_beside_another_of_ones_own(two: Two, clocks: SteadyClocks) -> tuple[str, bool]:
    work = marked(two[1], clocks)
    turning(two[1])
    return work, take_back(two[1], "done")


def ones_own(two: Two, clocks: SteadyClocks) -> tuple[str, bool]:
    work = marked(two[1], clocks)
    turning(two[0])
    return work, take_back(two[1], "done")


def ones_own_that_stood_paused(two: Two, clocks: SteadyClocks) -> tuple[str, bool]:
    wall = two[0]
    work = wall.start(["FB-NR"], "form-block", "mark")
    clocks.go(3)
    wall.pause(work)
    wall.put_back(work)
    return work, take_back(wall, "put back")


@pytest.mark.parametrize(
    ("do", "stands", "worker", "told"),
    [
        (left_and_taken_back_by_another, "paused", "odile", True),
        (taken_back_by_the_builder_beside_it, "paused", "odile", True),
        (put_back_by_another, "paused", "odile", True),
        (ones_own_beside_another_of_ones_own, "paused", "odile", True),
        (ones_own, "running", "odile", False),
        (ones_own_that_stood_paused, "paused", "wren", False),
    ],
)
def test_it_runs_for_whoever_takes_back_their_own_with_nothing_else_in_hand(
    new_shop: Path,
    clocks: SteadyClocks,
    do: Callable[[Two, SteadyClocks], tuple[str, bool]],
    stands: str,
    worker: str,
    told: bool,
) -> None:
    """It ran in the hands of who had left: forty minutes grew with nobody at it, and were recorded."""
    with wall_and_tablet(new_shop, clocks) as (wall, tablet):
        work, said = do((wall, tablet), clocks)
        assert in_hand(wall, work) == (stands, worker) and said == told
        clocks.go(40)
        wall.refresh()
        assert wall.step_view(work).elapsed_s == 180 + (2400 if stands == "running" else 0)
        assert wall.work(work).worker == worker
        running = [one.worker for one in wall.state.works.values() if one.status == "running"]
        assert len(running) == len(set(running)), "nobody is at two steps"


def test_nothing_grows_on_a_day_on_which_nobody_worked_at_it(new_shop: Path, clocks: SteadyClocks) -> None:
    with wall_and_tablet(new_shop, clocks) as (wall, tablet):
        work = marked(tablet, clocks)
        wall.refresh()
        wall.close_sitting("")
        clocks.go(24 * 60)
        wall.note("another evening")
        assert take_back(wall, "done")
        clocks.go(45)
        wall.refresh()
        assert wall.step_view(work).elapsed_s == 180
        wall.take_up(work)
        clocks.go(2)
        wall.finish(work, "FB-NR")
        days = {day: round(one, 6) for day, one in wall.state.minutes_by_day.items() if one}
        assert days == {DAY: 3.0, "2027-05-09": 2.0}


def test_what_may_not_be_left_is_not_stopped_by_taking_back_something_else(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """The lathe stood paused, nobody had been asked, and it ran on in the workshop."""
    with wall_and_tablet(new_shop, clocks) as (wall, tablet):
        lathe = turning(tablet)
        tablet.pause(lathe)
        work = marked(tablet, clocks)
        tablet.take_up(lathe)
        clocks.go(2)
        for screen in (wall, tablet):  # the builder's undo, and once more her own
            screen.refresh()
            if work in screen.state.works:
                screen.take_up(work)
                screen.finish(work, "FB-NR")
                tablet.refresh()
                tablet.take_up(lathe)
            assert take_back(screen, "done")
            assert in_hand(wall, lathe) == ("running", "odile")
            assert in_hand(wall, work)[0] == "paused"
            clocks.go(1)
        tablet.refresh()
        assert tablet.step_view(lathe).elapsed_s == 240


def finish_one(bench: Bench, work: str) -> str:
    bench.finish(work, "NR-01")
    return "done"


def split_one_off(bench: Bench, work: str) -> str:
    bench.split_batch(["NR-03"])
    return "split"


def put_one_back(bench: Bench, work: str) -> str:
    bench.put_back(work, ["NR-03"])
    return "put back"


@pytest.mark.parametrize("do", [finish_one, split_one_off, put_one_back])
@pytest.mark.parametrize("paused", [False, True])
def test_a_piece_comes_back_into_the_hands_in_which_the_rest_is(
    new_shop: Path, clocks: SteadyClocks, do: Callable[[Bench, str], str], paused: bool
) -> None:
    """All of it was Odile's again, who was at two steps then; Wren could leave the lathe with no question."""
    with wall_and_tablet(new_shop, clocks) as (wall, tablet):
        work = turning(tablet, *RIBS)
        clocks.go(3)
        said = do(tablet, work)
        tablet.pause(work)
        wall.refresh()
        wall.take_up(work)
        clocks.go(1)
        tablet.refresh()
        other = tablet.start(["FB-NR"], "form-block", "mark")
        wall.refresh()
        if paused:
            wall.pause(work)
        assert not take_back(wall, said)
        assert in_hand(wall, work) == ("paused" if paused else "running", "wren")
        assert in_hand(wall, other) == ("running", "odile")
        assert wall.work(work).marks == tuple(RIBS)
        clocks.go(5)
        wall.refresh()
        # What she worked, and what he did.
        assert wall.step_view(work).elapsed_s == 240 + (0 if paused else 300)
        tablet.refresh()
        tablet.finish(other, "FB-NR")
        assert hours(tablet) == 5 + (3 if do is finish_one else 0), (
            "an end taken back was worked all the same"
        )


def test_a_piece_comes_back_to_the_screen_that_the_rest_is_at(new_shop: Path, clocks: SteadyClocks) -> None:
    """It went to the wall, where it was taken back, and was unknown when that died."""
    with wall_and_tablet(new_shop, clocks) as (wall, tablet):
        work = turning(tablet, *RIBS)
        tablet.finish(work, "NR-01")
        take_back(wall, "done")
        clocks.go(5)
        killed(wall)
        assert in_hand(tablet, work) == ("running", "odile")
        assert tablet.step_view(work).elapsed_s == 300


def test_what_was_cut_short_stays_unknown(new_shop: Path, clocks: SteadyClocks) -> None:
    with wall_and_tablet(new_shop, clocks) as (wall, tablet):
        work = turning(tablet, *RIBS)
        tablet.finish(work, "NR-01")
        killed(tablet)
        wall.refresh()
        assert wall.work(work).status == "unknown"
        undo_newest(wall)
        assert in_hand(wall, work) == ("unknown", "odile")
