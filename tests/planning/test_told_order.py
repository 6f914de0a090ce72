"""What runs against a clock is told, and done, as soon as it can be begun: what fills its wait comes before.

The cases are those of a builder's evenings; no outside source.
"""

from collections.abc import Iterable
from datetime import timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.planning.as_told import as_told
from kiosk.planning.choose.option import SetUp
from kiosk.planning.told_order import in_told_order
from kiosk.planning.work.candidate import Stretch
from kiosk.shop.procedure import Step
from tests.conftest import SteadyClocks, local_time
from tests.driver import do_step
from tests.planning.stretches import stretch_of
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
    return stretch_of(bench.shop.procedures["form-block"], of, mark=mark, minutes=minutes, **more)


def told(bench: Bench, *more: Stretch, ready_in: int = 20, spare: int = 30) -> list[tuple[str, bool | None]]:
    """The order, and what is only done in a wait: whether it is to be left then."""
    primer = stretch(
        bench, "primer", 11, gap_minutes=ready_in, last_minutes=11, in_a_run=True, set_ups=("gun",)
    )
    order = in_told_order([primer, *more], set_up_minutes, spare).stretches
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
    order = in_told_order([cure, stretch(bench, "long", 39)], set_up_minutes, 30).stretches
    assert [one.marks for one in order] == [("long",), ("cure",)]


def test_no_limit_that_the_plan_keeps_is_missed_for_what_waits_before_it(bench: Bench) -> None:
    """The first was waited for, thirty-five minutes that have to end followed it, and the second, which had
    to begin within fifty-five, was come to after seventy-seven."""
    waits = [
        stretch(bench, mark, minutes, gap_minutes=ready, last_minutes=minutes, spoils_at=SPOILS, begin_by=by)
        for mark, minutes, ready, by in (("first", 13, 29, 47), ("second", 10, 50, 55))
    ]
    order = in_told_order([*waits, stretch(bench, "whole", 35)], set_up_minutes, 37).stretches
    assert [one.marks for one in order] == [("first",), ("second",), ("whole",)]
    order = in_told_order([*waits, stretch(bench, "whole", 35)], set_up_minutes, 5).stretches
    assert [one.marks for one in order] == [("whole",), ("first",), ("second",)]


def test_what_stands_is_set_up_for_before_what_has_a_limit_only_where_that_is_met(bench: Bench) -> None:
    """Eight minutes of gun were not counted: the coat, to begin within sixteen, was begun at seventeen."""
    coat = stretch(bench, "coat", 5, limit=16 + 5)
    for clean, first in ((8, "stands"), (9, "coat")):
        stands = stretch(bench, "stands", clean, in_a_run=True, set_ups=("gun",))
        order = in_told_order([coat, stands], set_up_minutes, 30).stretches
        assert order[0].marks == (first,)


def test_what_nothing_fills_is_waited_for(bench: Bench) -> None:
    primer = stretch(bench, "primer", 11, gap_minutes=20, in_a_run=True, set_ups=("gun",))
    long = stretch(bench, "long", 39)
    assert as_told([primer, long], set_up_minutes).idle_minutes == 12
    assert as_told([long, primer], set_up_minutes).idle_minutes == 0


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


def _wiped(bench: Bench, most: int, waits: int = 15) -> Stretch:
    return stretch(
        bench,
        "wiped",
        17,
        gap_minutes=waits,
        gap_after=1,
        last_minutes=7,
        waits_at_most=most,
        limit=90 - waits - 7,
        steps=((bench.shop.procedures["form-block"], step(id="any")),) * 2,
    )


@pytest.mark.parametrize(
    ("fills", "order", "spare", "idle"),
    [
        # What can be left gives way after the fifteen minutes, what has to end comes after the coat.
        ({"file": "anywhere", "saw": "only when finished"}, ["wiped", "file", "saw"], 30, 0),
        # What has to end and fits in no wait comes before the wipe, where there are the minutes to wait.
        ({"saw": "only when finished"}, ["saw", "wiped"], 15, 15),
    ],
)
def test_what_outlasts_a_limit_that_the_plan_starts_does_not_fill_its_wait(
    bench: Bench, fills: dict[str, str], order: list[str], spare: int, idle: int
) -> None:
    """To be coated within half an hour of the wipe: forty minutes of sawing, begun meanwhile, outlast it."""
    some = [stretch(bench, mark, 40, stop) for mark, stop in fills.items()]
    found = in_told_order([_wiped(bench, 30), *some], set_up_minutes, spare)
    assert [one.marks[0] for one in found.stretches] == order
    assert (found.idle_minutes, found.late) == (idle, frozenset())


def test_a_limit_that_no_order_keeps_is_told(bench: Bench) -> None:
    wiped, saw = _wiped(bench, 30), stretch(bench, "saw", 40)
    assert in_told_order([wiped, saw], set_up_minutes, 14).late == {("wiped",)}
    assert not in_told_order([_wiped(bench, 40), saw], set_up_minutes, 14).late
    two = [stretch(bench, mark, 12) for mark in ("first", "second")]  # the second is begun in the wait
    assert in_told_order([_wiped(bench, 18), *two], set_up_minutes, 0).late
    assert not in_told_order([_wiped(bench, 24), *two], set_up_minutes, 0).late


def _to_wipe_or_to_saw(bench: Bench, **of: str) -> None:
    """A block to wipe and coat within half an hour, dry in a quarter, and a rib to saw for half an hour."""
    dry = {"what": "drying", "must_pass": "15 min", "before": "coat"}
    clean = {"what": "clean", "within": "30 min", "begin": "coat", "if_missed": "wipe it again"}
    bench.shop, _ = with_steps(
        bench.shop,
        "form-block",
        step(id="wipe", stop="only when finished", minutes={"each": 6}, waits=[dry, clean], **of),
        step(id="coat", stop="only when finished", minutes={"each": 7}, **of),
    )
    saw = step(id="saw", stop="only when finished", minutes={"each": 30}, **of)
    bench.shop, _ = with_steps(bench.shop, "rib-blank", saw)
    leave_only(bench, {"FB-NR", "NR-01"})


def test_what_would_outlast_a_limit_is_not_planned_beside_what_starts_it(bench: Bench) -> None:
    """Wiped parts dry in a quarter of an hour, and are coated within half of one."""
    _to_wipe_or_to_saw(bench)
    for minutes in range(20, 121):
        plan = bench.spare(minutes)
        marks = [one.marks[0] for one in plan.suggestions]
        if len(marks) == 2:  # then there are the minutes to wait
            assert marks == ["NR-01", "FB-NR"] and plan.total_minutes <= minutes
            work = sum(one.minutes for one in plan.suggestions)
            assert plan.total_minutes - work - plan.set_up_minutes == 15
    assert len(bench.spare(120).suggestions) == 2, "else nothing was tried here"


def test_this_first_is_first_unless_a_limit_is_missed_for_it(bench: Bench) -> None:
    """The part that was asked for stood second, after a coat that had half an hour yet."""
    asked = stretch(bench, "asked", 20, "anywhere", wanted="first")
    for limit, first in ((25, "asked"), (24, "coat")):
        coat = stretch(bench, "coat", 5, limit=limit)
        order = in_told_order([coat, asked], set_up_minutes, 30).stretches
        assert order[0].marks == (first,)
    wiped = _wiped(bench, 30)  # by 58 minutes into the slot
    found = in_told_order([wiped, asked], set_up_minutes, 15)
    assert [one.marks[0] for one in found.stretches] == ["asked", "wiped"] and found.idle_minutes == 15
    found = in_told_order([wiped, asked], set_up_minutes, 14)  # there are not the minutes to wait
    assert [one.marks[0] for one in found.stretches] == ["wiped", "asked"]
    stands = stretch(bench, "stands", 8, in_a_run=True)
    assert [one.marks[0] for one in in_told_order([asked, stands], set_up_minutes, 30).stretches] == [
        "stands",
        "asked",
    ]


def test_no_limit_that_runs_is_missed_beside_a_wait_that_is_begun(bench: Bench) -> None:
    """Two parts were wiped first, what can be left filled their wait, and the third, washed before and to be
    coated by 44 minutes, came after all of it."""
    wiped = _wiped(bench, 30)
    washed = stretch(
        bench, "washed", 12, gap_minutes=29, last_minutes=12, spoils_at=SPOILS, begin_by=44, in_a_run=True
    )
    file = stretch(bench, "file", 33, "anywhere")
    found = in_told_order([wiped, file, washed], set_up_minutes, 30)
    assert not found.late
    assert as_told(found.stretches, set_up_minutes).in_time
    saw = stretch(bench, "saw", 40)
    assert in_told_order([wiped, saw, washed], set_up_minutes, 0).late == {("wiped",)}


@pytest.mark.parametrize(("pace", "late"), [(1.0, False), (0.5, True)])
def test_on_a_good_evening_what_has_to_end_is_begun_a_minute_too_soon(
    bench: Bench, pace: float, late: bool
) -> None:
    """As planned the wait is over when the fitting is done; done in half the time, the sawing follows it."""
    fit, saw = stretch(bench, "fit", 16), stretch(bench, "saw", 30)
    told_so = [_wiped(bench, 20), fit, saw]
    assert bool(as_told(told_so, set_up_minutes, pace).late_after_wait) is late
    assert in_told_order(told_so, set_up_minutes, 0).stretches != tuple(told_so)


def test_of_two_waits_that_clash_one_is_begun(new_shop: Path, clocks: SteadyClocks) -> None:
    """All that began a wait was left out where one of it was too many, and most of the slot stood empty."""
    found = Bench(new_shop, clocks)
    found.shop, _ = with_steps(
        found.shop,
        "rib-blank",
        *_wipe_and_coat(dries=2, within=19, wipe=6),
    )
    found.shop, _ = with_steps(found.shop, "form-block", *_wipe_and_coat(dries=20, within=24, wipe=9))
    leave_only(found, {"NR-01", "NR-02", "FB-NR"})
    begun = [
        {one.marks for one in found.spare(minutes).suggestions if one.stretch.waits_at_most}
        for minutes in range(40, 121, 5)
    ]
    found.close()
    assert all(begun)


def _wipe_and_coat(dries: int, within: int, wipe: int) -> list[Step]:
    waits = [
        {"what": "drying", "must_pass": f"{dries} min", "before": "coat"},
        {"what": "clean", "within": f"{within} min", "begin": "coat", "if_missed": "wipe it again"},
    ]
    return [
        step(id="wipe", stop="only when finished", minutes={"each": wipe}, waits=waits),
        step(id="coat", stop="only when finished", minutes={"each": 8}),
    ]


def test_nor_with_a_helper_at_the_bench(bench: Bench) -> None:
    """Alone it was left out or waited for; with somebody beside the builder it was told to be missed."""
    _to_wipe_or_to_saw(bench, who="builder")
    bench.come("pip")
    for minutes in range(20, 121, 2):
        plan = bench.spare(minutes)
        marks = [one.marks[0] for one in plan.suggestions]
        assert marks != ["FB-NR", "NR-01"], minutes
    assert marks == ["NR-01", "FB-NR"], "else nothing was tried here"


def test_of_two_that_quiet_hours_end_alike_what_spoils_first_comes_first(bench: Bench) -> None:
    """Two pots stood before quiet hours; the one that kept for hours was sprayed first, and the other ran out
    meanwhile."""
    keeps = stretch(bench, "a", 23, limit=19, in_a_run=True, spoils_at=SPOILS + timedelta(hours=4))
    spoils = stretch(bench, "c", 12, limit=19, in_a_run=True, spoils_at=SPOILS)
    order = in_told_order([keeps, spoils], set_up_minutes, 30).stretches
    assert [one.marks[0] for one in order] == ["c", "a"]
