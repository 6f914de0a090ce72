"""What runs against a clock is told, and done, as soon as it can be begun: what fills its wait comes before.

The cases are those of a builder's evenings; no outside source.
"""

from collections.abc import Iterable

from kiosk.bench import Bench
from kiosk.planning.choose.option import SetUp
from kiosk.planning.told_order import idle_as_told, in_told_order
from kiosk.planning.work.candidate import Stretch
from kiosk.shop.procedure import Step
from tests.conftest import SteadyClocks, local_time
from tests.driver import do_step
from tests.planning.test_spare import leave_only
from tests.record.moments import step, with_steps

SPOILS = local_time(2027, 5, 10, 11)
TAKES: dict[SetUp, int] = {"gun": 8, "saw": 3}


def set_up_minutes(names: Iterable[SetUp], out: Iterable[SetUp]) -> int:
    return sum(TAKES.get(name, 0) for name in set(names) - set(out))


def stretch(
    bench: Bench, mark: str, minutes: int, stop: str = "only when finished", **more: object
) -> Stretch:
    of: Step = step(id="any", stop=stop)
    made = Stretch(
        kind="form-block",
        marks=(mark,),
        steps=((bench.shop.procedures["form-block"], of),),
        work=None,
        minutes=minutes,
        waiting_minutes=0,
        gap_minutes=0,
        gap_after=0,
        last_minutes=0,
        limit=None,
        spoils_at=None,
        opens=0,
        steps_left=2,
        done=0.0,
    )
    return made.__class__(**{**vars(made), **more})


def told(bench: Bench, *more: Stretch, ready_in: int = 20, spare: int = 30) -> list[tuple[str, bool | None]]:
    """The order, and what is only done in a wait: whether it is to be left then."""
    primer = stretch(
        bench, "primer", 11, gap_minutes=ready_in, last_minutes=11, in_a_run=True, set_ups=("gun",)
    )
    order = in_told_order([primer, *more], set_up_minutes, spare)
    return [(one.marks[0], one.meanwhile.leave if one.meanwhile else None) for one in order]


def test_what_fits_the_wait_comes_before_it_and_the_rest_after(bench: Bench) -> None:
    """Thirty-nine minutes of it came before primer that was ready in twenty; its gun is set up meanwhile."""
    some = [stretch(bench, "long", 27), stretch(bench, "short", 12)]
    assert told(bench, *some) == [("short", False), ("primer", None), ("long", None)]
    assert told(bench, *some, ready_in=8) == [("primer", None), ("long", None), ("short", None)]
    both = [stretch(bench, "long", 25, set_ups=("saw",)), stretch(bench, "short", 12)]
    assert told(bench, *both, ready_in=36)[0] == ("long", False)  # 8 + 3 + 25: with its set-up


def test_what_can_be_left_fills_the_rest_and_is_left_when_it_is_over(bench: Bench) -> None:
    some = [stretch(bench, "whole", 30), stretch(bench, "file", 39, "anywhere")]
    assert told(bench, *some) == [("file", True), ("primer", None), ("whole", None)]


def test_what_has_to_end_comes_before_it_only_where_the_slot_has_no_minute_to_wait(bench: Bench) -> None:
    one = stretch(bench, "whole", 30)
    assert told(bench, one, spare=0) == [("whole", False), ("primer", None)]
    assert told(bench, one, ready_in=11) == [("primer", None), ("whole", None)]
    assert told(bench, one, ready_in=11, spare=0) == [("whole", False), ("primer", None)]


def test_what_waits_for_no_clock_stays_last(bench: Bench) -> None:
    cure = stretch(bench, "cure", 11, gap_minutes=20, last_minutes=11)
    order = in_told_order([cure, stretch(bench, "long", 39)], set_up_minutes, 30)
    assert [one.marks for one in order] == [("long",), ("cure",)]


def test_no_limit_that_the_plan_keeps_is_missed_for_what_waits_before_it(bench: Bench) -> None:
    """The first was waited for, thirty-five minutes that have to end followed it, and the second, which had
    to begin within fifty-five, was come to after seventy-seven."""
    waits = [
        stretch(bench, mark, minutes, gap_minutes=ready, last_minutes=minutes, spoils_at=SPOILS, begin_by=by)
        for mark, minutes, ready, by in (("first", 13, 29, 47), ("second", 10, 50, 55))
    ]
    order = in_told_order([*waits, stretch(bench, "whole", 35)], set_up_minutes, 37)
    assert [one.marks for one in order] == [("first",), ("second",), ("whole",)]
    order = in_told_order([*waits, stretch(bench, "whole", 35)], set_up_minutes, 5)
    assert [one.marks for one in order] == [("whole",), ("first",), ("second",)]


def test_what_stands_is_set_up_for_before_what_has_a_limit_only_where_that_is_met(bench: Bench) -> None:
    """Eight minutes of gun were not counted: the coat, to begin within sixteen, was begun at seventeen."""
    coat = stretch(bench, "coat", 5, limit=16 + 5)
    for clean, first in ((8, "stands"), (9, "coat")):
        stands = stretch(bench, "stands", clean, in_a_run=True, set_ups=("gun",))
        order = in_told_order([coat, stands], set_up_minutes, 30)
        assert order[0].marks == (first,)


def test_what_nothing_fills_is_waited_for(bench: Bench) -> None:
    primer = stretch(bench, "primer", 11, gap_minutes=20, in_a_run=True, set_ups=("gun",))
    long = stretch(bench, "long", 39)
    assert idle_as_told([primer, long], set_up_minutes) == 12
    assert idle_as_told([long, primer], set_up_minutes) == 0


def test_mixed_primer_is_named_before_what_does_not_fit_its_wait(bench: Bench, clocks: SteadyClocks) -> None:
    stand = {"what": "primer standing", "must_pass": "20 min", "before": "spray"}
    pot = {"what": "pot life", "within": "240 min", "begin": "spray", "if_missed": "mix it anew"}
    bench.shop, _ = with_steps(
        bench.shop,
        "form-block",
        step(id="mix", stop="go straight on", minutes={"each": 3}, waits=[stand, pot]),
        step(id="spray", stop="only when finished", minutes={"each": 10}),
    )
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="saw", stop="only when finished", minutes={"each": 24}),
    )
    leave_only(bench, {"FB-NR", "NR-01"})
    do_step(bench, ["FB-NR"])
    clocks.go(12)
    answer = bench.spare(90)
    assert [(one.marks, one.ready_in) for one in answer.suggestions] == [(("FB-NR",), 8), (("NR-01",), 0)]
    work = sum(one.minutes for one in answer.suggestions)
    assert work + answer.set_up_minutes < answer.total_minutes <= 90  # and the wait is told
