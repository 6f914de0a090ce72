"""A limit that runs on parts for which a slot has nothing is told at Minutes, with what hinders it."""

import re
from pathlib import Path

from kiosk.bench import Bench
from kiosk.shop.procedure import Step
from tests.conftest import SteadyClocks, local_time
from tests.driver import do_step
from tests.planning.test_limits_in_a_plan import bench_of, limit
from tests.record.moments import step

AIR = {"temperature_f": {"low": "55", "high": "90"}, "humidity_percent": {"low": "0", "high": "85"}}


def washed(new_shop: Path, clocks: SteadyClocks, *steps: Step) -> Bench:
    """Two ribs, washed at noon and a minute after, and to be coated in three hours."""
    wash = step(id="wash", stop="between pieces", minutes={"each": 1}, waits=[limit(180, begin="coat")])
    bench = bench_of(new_shop, clocks, wash, *steps, marks=("NR-03", "NR-04"))
    for mark in ("NR-03", "NR-04"):
        do_step(bench, [mark])
        clocks.go(1)
    return bench


def told(bench: Bench, minutes: int) -> list[tuple[tuple[str, ...], str]]:
    answer = bench.spare(minutes)
    return [(one.marks, one.block.text) for one in answer.not_now if "clean metal" in one.block.text]


def test_what_a_slot_is_too_short_for_is_told_with_its_limit(new_shop: Path, clocks: SteadyClocks) -> None:
    """Nothing was said of them in a quarter of an hour, nor that a longer slot had to come by three."""
    bench = washed(new_shop, clocks, step(id="coat", stop="only when finished", minutes={"each": 30}))
    both = ("NR-03", "NR-04")
    (told_of,) = told(bench, 15)
    found = re.fullmatch(r"clean metal until Sat 15:00: by itself it takes about (\d+) min", told_of[1])
    assert told_of[0] == both and found is not None
    takes = int(found[1])
    assert 60 < takes < 90  # twice half an hour, as seldom as it is late
    assert len(told(bench, takes - 1)) == 1, "not for both"
    assert told(bench, takes) == []  # they are done


def test_what_no_slot_is_long_enough_for_is_told_without_minutes(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    bench = washed(new_shop, clocks, step(id="coat", stop="only when finished", minutes={"each": 130}))
    assert [text for _, text in told(bench, 120)] == [
        "clean metal until Sat 15:00: more minutes are wanted for it"
    ]


def test_what_quiet_hours_leave_too_little_time_for_says_so(new_shop: Path, clocks: SteadyClocks) -> None:
    clocks.at = local_time(2027, 5, 8, 21, 15)  # quiet from ten on
    loud = step(id="coat", stop="only when finished", minutes={"each": 40}, conditions={"loud": True})
    bench = washed(new_shop, clocks, loud)
    (text,) = (text for _, text in told(bench, 30))
    assert text.endswith(": more minutes are wanted for it than are left before quiet hours until Sun 09:00")


def test_what_the_air_hinders_is_told(new_shop: Path, clocks: SteadyClocks) -> None:
    hang = step(id="hang", stop="only when finished", minutes={"each": 70})
    coat = step(id="coat", stop="only when finished", minutes={"each": 5}, conditions=AIR)
    bench = washed(new_shop, clocks, hang, coat)
    bench.note_conditions(44, 90)
    ((marks, text),) = told(bench, 60)
    assert marks == ("NR-03", "NR-04")
    assert text.startswith("clean metal until Sat 15:00: ") and "44 F" in text
