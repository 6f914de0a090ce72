"""One person has two hands: a minute of theirs is worked at one step, whatever they have begun."""

from contextlib import closing
from pathlib import Path

from kiosk.bench import Bench
from kiosk.record.events import SittingCut
from tests.conftest import SteadyClocks
from tests.driver import finish_piece, undo_newest

DAY = "2027-05-08"
FIRST = "form-block", "measure-pattern"


def minutes(bench: Bench) -> float:
    """Of the day, as far as steps are done."""
    return round(bench.state.minutes_by_day.get(DAY, 0.0), 6)


def status(bench: Bench, *works: str) -> list[str]:
    return [bench.work(one).status for one in works]


def test_what_is_begun_without_a_pause_counts_no_minute_twice(bench: Bench, clocks: SteadyClocks) -> None:
    one = bench.start(["FB-NR"], *FIRST)
    clocks.go(4)
    other = bench.start(["FB-MR"], *FIRST)
    assert status(bench, one, other) == ["paused", "running"]
    clocks.go(6)
    finish_piece(bench, other, "FB-MR")
    assert minutes(bench) == 6
    bench.take_up(one)
    clocks.go(1)
    finish_piece(bench, one, "FB-NR")
    assert minutes(bench) == 11


def test_at_two_screens_too(new_shop: Path, clocks: SteadyClocks) -> None:
    with (
        closing(Bench(new_shop, clocks, watch=True)) as wall,
        closing(Bench(new_shop, clocks, watch=True)) as tablet,
    ):
        one = wall.start(["FB-NR"], *FIRST)
        clocks.go(4)
        tablet.refresh()
        other = tablet.start(["FB-MR"], *FIRST)
        clocks.go(6)
        wall.refresh()
        assert status(wall, one, other) == ["paused", "running"]
        assert wall.step_view(one).elapsed_s == 240, "what was worked until then is kept"
        wall.take_up(one)
        assert status(wall, one, other) == ["running", "paused"]
        clocks.go(1)
        finish_piece(wall, one, "FB-NR")
        tablet.refresh()
        tablet.take_up(other)
        clocks.go(1)
        finish_piece(tablet, other, "FB-MR")
        assert minutes(tablet) == 12


def test_two_people_work_at_two_steps(new_shop: Path, clocks: SteadyClocks) -> None:
    with (
        closing(Bench(new_shop, clocks, watch=True)) as wall,
        closing(Bench(new_shop, clocks, watch=True)) as tablet,
    ):
        one = wall.start(["FB-NR"], *FIRST)
        tablet.come("odile")
        tablet.hand_over("odile")
        other = tablet.start(["FB-MR"], *FIRST)
        clocks.go(6)
        wall.refresh()
        assert status(wall, one, other) == ["running", "running"]
        finish_piece(wall, one, "FB-NR")
        tablet.refresh()
        finish_piece(tablet, other, "FB-MR")
        assert minutes(tablet) == 12
        third = tablet.start(["FB-TP"], *FIRST)
        tablet.pause(third)
        tablet.hand_over("wren")
        tablet.take_up(third)  # it is in the builder's hands from now on
        fourth = tablet.start(["FB-TR"], *FIRST)
        assert status(tablet, third, fourth) == ["paused", "running"]


def test_what_an_undo_gives_back_runs_beside_nothing(bench: Bench, clocks: SteadyClocks) -> None:
    one = bench.start(["FB-NR"], *FIRST)
    bench.pause(one)
    other = bench.start(["FB-MR"], *FIRST)
    clocks.go(5)
    finish_piece(bench, other, "FB-MR")
    bench.take_up(one)
    clocks.go(2)
    undo_newest(bench)
    assert status(bench, one, other) == ["running", "paused"]
    clocks.go(1)
    bench.take_up(other)
    finish_piece(bench, other, "FB-MR")
    bench.take_up(one)
    finish_piece(bench, one, "FB-NR")
    assert minutes(bench) == 8


def test_what_was_cut_short_is_gone_on_with_alone(bench: Bench) -> None:
    one = bench.start(["FB-NR"], *FIRST)
    bench.record.transact(lambda _: [SittingCut()], by="wren", tap=None)
    other = bench.start(["FB-MR"], *FIRST)
    bench.looked(one, as_shown=True)
    assert status(bench, one, other) == ["running", "paused"]


def test_closing_up_at_another_screen_loses_no_minute(new_shop: Path, clocks: SteadyClocks) -> None:
    with (
        closing(Bench(new_shop, clocks, watch=True)) as wall,
        closing(Bench(new_shop, clocks, watch=True)) as tablet,
    ):
        one = wall.start(["FB-NR"], *FIRST)
        clocks.go(7)
        tablet.refresh()
        tablet.close_sitting("")
        wall.refresh()
        assert wall.step_view(one).elapsed_s == 420
