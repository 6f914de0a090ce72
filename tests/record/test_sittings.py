"""What a sitting that is over tells of the builder's rhythm: its day, when it began, and how many minutes."""

from contextlib import closing
from datetime import timedelta
from pathlib import Path

from kiosk.bench import Bench
from kiosk.record.snapshot import packed, unpacked
from kiosk.record.state import SittingSeen
from tests.conftest import SteadyClocks, local_time


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
