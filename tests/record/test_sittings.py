"""What a sitting that is over tells of the builder's rhythm: its day, when it began, and how many minutes."""

from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.snapshot import packed, unpacked
from kiosk.record.state import SittingSeen
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks, local_time
from tests.driver import finish_piece


def sit(bench: Bench, clocks: SteadyClocks, minutes: float, *, said: int | None = None) -> SittingSeen:
    """One sitting in which the room is read and left again."""
    bench.note_conditions(68, 50)
    if said is not None:
        bench.begin_slot(said)
    clocks.go(minutes)
    bench.close_sitting("")
    return list(bench.state.sittings_by_day.values())[-1][-1]


def test_a_sitting_is_kept_with_its_day_its_time_of_day_and_its_minutes(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    clocks.at = local_time(2027, 5, 8, 19, 30)
    with closing(Bench(new_shop, clocks)) as bench:
        seen = sit(bench, clocks, 12.0)
        assert list(bench.state.sittings_by_day) == ["2027-05-08"]
        assert (seen.began_minute, seen.minutes, seen.worked) == (19 * 60 + 30, 12.0, False)
        clocks.go(60)
        sit(bench, clocks, 5.0)
        assert [one.minutes for one in bench.state.sittings_by_day["2027-05-08"]] == [12.0, 5.0]
        assert unpacked(packed(bench.state)).sittings_by_day == bench.state.sittings_by_day


def test_who_had_more_time_than_there_was_work_had_the_time_all_the_same(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    with closing(Bench(new_shop, clocks)) as bench:
        assert sit(bench, clocks, 4.0, said=40).minutes == 40.0
        clocks.go(60)
        assert sit(bench, clocks, 14.0, said=10).minutes == 14.0


def test_whether_the_minutes_were_said_is_kept(new_shop: Path, clocks: SteadyClocks) -> None:
    with closing(Bench(new_shop, clocks)) as bench:
        assert sit(bench, clocks, 30.0, said=40).said
        clocks.go(60)
        assert not sit(bench, clocks, 30.0).said  # those said for the sitting before are over


def test_who_was_there_is_kept_also_of_those_who_left(new_shop: Path, clocks: SteadyClocks) -> None:
    with closing(Bench(new_shop, clocks)) as bench:
        assert sit(bench, clocks, 4.0).people == ("wren",)
        bench.note_conditions(68, 50)
        bench.come("odile")
        clocks.go(5)
        bench.leave("odile")
        assert sit(bench, clocks, 4.0).people == ("wren", "odile")


def test_a_bench_left_open_over_night_is_no_long_sitting(new_shop: Path, clocks: SteadyClocks) -> None:
    with closing(Bench(new_shop, clocks)) as bench:
        assert sit(bench, clocks, 14 * 60).minutes == 15.0


def test_work_makes_a_sitting_and_what_comes_after_it_does_not(new_shop: Path, clocks: SteadyClocks) -> None:
    with closing(Bench(new_shop, clocks)) as bench:
        mark, first = next((one.mark, one) for one in bench.shop.parts.values() if one.kind == "block-nose")
        procedure, step = bench.shop.route_steps(bench.shop.kind_of(mark))[0]
        work = bench.start([mark], procedure.id, step.id)
        clocks.go(20)
        bench.pause(work)
        clocks.go(300)
        bench.close_sitting("")
        ((seen,),) = bench.state.sittings_by_day.values()
        assert seen.worked and seen.minutes == 35.0 and first.kind == "block-nose"


def over_three_evenings(bench: Bench, clocks: SteadyClocks) -> str:
    """One step in one sitting that nobody closed, 30, 20 and 10 minutes; gives its mark. Without a screen no
    sitting ends by itself, as none did in older kiosks."""
    clocks.go_to(local_time(2027, 5, 8, 19, 30))
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    clocks.go(30)
    bench.pause(work)
    for day, minutes in ((9, 20), (10, 10)):
        clocks.go_to(local_time(2027, 5, day, 18))
        bench.take_up(work)
        clocks.go(minutes)
        if day == 9:
            bench.pause(work)
    finish_piece(bench, work, "FB-NR")
    return "FB-NR"


def test_a_sitting_that_was_left_open_for_days_counts_on_the_days_of_its_work(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """Its minutes, up to a whole day, were all of the first evening."""
    with closing(Bench(new_shop, clocks)) as bench:
        over_three_evenings(bench, clocks)
        assert list(bench.state.sittings_by_day) == ["2027-05-08", "2027-05-09"]  # the third is going on
        clocks.go(14 * 60)
        bench.close_sitting("")
        seen = {day: [(one.began_minute, one.minutes) for one in of] for day, of in _by_day(bench)}
        assert seen == {
            "2027-05-08": [(19 * 60 + 30, 30)],
            "2027-05-09": [(18 * 60, 20)],
            "2027-05-10": [(18 * 60, 25)],  # a quarter of an hour for closing up
        }
        assert all(one.worked for _, of in _by_day(bench) for one in of)
        clocks.go_to(local_time(2027, 5, 12, 18))
        bench.note("the next")
        clocks.go_to(local_time(2027, 5, 14, 18))
        bench.close_sitting("")  # and nothing else: no day had a sitting for that
        assert "2027-05-14" not in bench.state.sittings_by_day


def _by_day(bench: Bench) -> list[tuple[str, tuple[SittingSeen, ...]]]:
    return list(bench.state.sittings_by_day.items())


def test_minutes_count_on_the_day_on_which_they_were_worked(new_shop: Path, clocks: SteadyClocks) -> None:
    with closing(Bench(new_shop, clocks)) as bench:
        mark = over_three_evenings(bench, clocks)
        minutes = sum(bench.state.minutes_by_day.values())  # a clock that ran so long counts as usual only
        shares = {"2027-05-08": 3 / 6, "2027-05-09": 2 / 6, "2027-05-10": 1 / 6}
        assert minutes > 1
        assert bench.state.minutes_by_day == pytest.approx({day: minutes * of for day, of in shares.items()})
        ref = StepRef("form-block", "measure-pattern")
        bench.correct(mark, ref, "minutes", "30", "half of it was lunch")
        assert bench.state.minutes_by_day == pytest.approx({day: 30 * of for day, of in shares.items()})
        bench.correct(mark, ref, "day", "2027-05-07", "written down later")
        moved = {day: minutes for day, minutes in bench.state.minutes_by_day.items() if minutes}
        assert moved == pytest.approx({"2027-05-07": 30})  # who says the day says it of all of it
        again = unpacked(packed(bench.state))
        assert again.minutes_by_day == bench.state.minutes_by_day


def test_a_day_of_which_the_clock_was_wrong_has_no_minutes_of_a_step(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    with closing(Bench(new_shop, clocks)) as bench:
        work = bench.start(["FB-NR"], "form-block", "measure-pattern")
        clocks.go(30)
        bench.pause(work)
    clocks.at, clocks.boot_id = local_time(2027, 5, 6, 12), "another boot"  # it had been two days ahead
    with closing(Bench(new_shop, clocks)) as bench:
        bench.mark_clock(right=True)
        bench.take_up(work)
        clocks.go(10)
        finish_piece(bench, work, "FB-NR")
        assert list(bench.state.minutes_by_day) == ["2027-05-06"]


def test_a_sitting_under_a_clock_that_was_wrong_is_no_rhythm(new_shop: Path, clocks: SteadyClocks) -> None:
    with closing(Bench(new_shop, clocks)) as bench:
        sit(bench, clocks, 9.0)
    clocks.boot_id, clocks.at = "another boot", local_time(1999, 1, 1, 12)
    with closing(Bench(new_shop, clocks)) as bench:
        bench.note_conditions(68, 50)
        clocks.go(9)
        bench.close_sitting("")
        assert list(bench.state.sittings_by_day) == ["2027-05-08"]
    assert clocks.at - local_time(1999, 1, 1, 12) == timedelta(minutes=9)
