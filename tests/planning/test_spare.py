"""Spare minutes: only what is ready, only what fits, only what can be left, and a reason for each."""

import pytest

from kiosk.bench import Bench
from kiosk.planning.work.find_work import find_work
from kiosk.record.rules import Refused
from tests.conftest import SteadyClocks, local_time
from tests.driver import do_step


def take_to(bench: Bench, marks: list[str], step: str) -> None:
    """Take parts up to a step of their current procedure, that step not done."""
    for _ in range(60):
        where = bench.position(marks[0])
        assert where.procedure is not None and where.step is not None
        for clock in bench.state.part(marks[0]).clocks:
            if clock.kind == "must_pass" and clock.step == where.step.id:
                bench.record.clocks.at = max(bench.now, clock.until)  # type: ignore[attr-defined]
        if f"{where.procedure.id}/{where.step.id}" == step:
            return
        do_step(bench, marks)
    raise AssertionError(f"{step} was not reached")


def complete(bench: Bench, mark: str) -> None:
    while not bench.position(mark).all_done:
        where = bench.position(mark)
        assert where.procedure is not None and where.step is not None
        take_to(bench, [mark], f"{where.procedure.id}/{where.step.id}")
        do_step(bench, [mark])
    bench.complete(mark)


@pytest.mark.parametrize("minutes", [3, 5, 8, 12, 20, 30, 60, 90, 120])
def test_what_is_offered_fits_and_has_a_reason(demo_bench: Bench, minutes: int) -> None:
    answer = demo_bench.spare(minutes)
    assert answer.total_minutes <= minutes
    for suggestion in answer.suggestions:
        assert suggestion.why and suggestion.left_as and suggestion.minutes > 0
    assert answer.suggestions or answer.prepare


def test_nothing_fitting_still_prepares(new_shop_bench: Bench) -> None:
    answer = new_shop_bench.spare(3)
    assert not answer.suggestions
    assert any(text.startswith("Read ahead") for text in answer.prepare)


def test_what_runs_out_before_more_can_come_is_to_be_ordered(bench: Bench, clocks: SteadyClocks) -> None:
    def orders() -> list[str]:
        return [text for text in bench.spare(3).prepare if text.startswith("Order")]

    assert orders() == []
    bench.count_stock("primer-base", 0.1)
    assert orders() == ["Order: epoxy primer base (21 days to come)"]
    bench.count_stock("primer-base", 0.8)
    clocks.at = local_time(2028, 3, 9, 12)
    assert orders() == []
    clocks.at = local_time(2028, 3, 10, 12)  # three weeks before its date
    assert orders() == ["Order: epoxy primer base, good until 2028-03-31"]


@pytest.fixture
def new_shop_bench(bench: Bench) -> Bench:
    return bench


@pytest.mark.parametrize("minutes", [10, 15, 30])
def test_what_could_be_done_instead_is_something_else_and_fits(demo_bench: Bench, minutes: int) -> None:
    answer = demo_bench.spare(minutes)
    steps = [(one.procedure, one.step) for one in (*answer.suggestions, *answer.instead)]
    others = [(one.procedure, one.step) for one in answer.instead]
    assert len(set(others)) == len(others) and not set(others) & set(steps[: len(answer.suggestions)])
    assert len(answer.suggestions) + len(answer.instead) <= max(3, len(answer.suggestions))
    for one in answer.instead:
        assert one.chance >= 0.75 and one.minutes < minutes
        if one.work is None:
            assert demo_bench.start(one.marks, one.procedure, one.step)


def test_every_suggestion_can_be_begun_as_offered(demo_bench: Bench) -> None:
    for suggestion in demo_bench.spare(120).suggestions:
        if suggestion.work is None:
            work = demo_bench.start(suggestion.marks, suggestion.procedure, suggestion.step)
        else:
            work = suggestion.work
            demo_bench.take_up(work)
        assert work in demo_bench.state.works


def offered(bench: Bench, minutes: int) -> set[str]:
    """Every mark that the planner could choose from."""
    found = find_work(bench.context, minutes)
    return {mark for candidate in found.candidates for mark in candidate.marks}


def test_held_parts_and_parts_that_need_tooling_are_not_offered(demo_bench: Bench) -> None:
    found = find_work(demo_bench.context, 120)
    offered = {mark for candidate in found.candidates for mark in candidate.marks}
    assert "NR-06" not in offered  # held by a snag
    assert not any(mark.startswith("NJ") for mark in offered)  # ribs and spar are not finished
    reasons = {entry.block.kind for entry in found.not_now}
    assert {"snag", "needs"} <= reasons


def test_quiet_hours_keep_loud_work_away(bench: Bench, clocks: SteadyClocks) -> None:
    take_to(bench, ["FB-NR"], "form-block/saw-outline")
    clocks.at = local_time(2027, 5, 10, 12)  # a Monday
    assert "FB-NR" in offered(bench, 60)
    clocks.at = local_time(2027, 5, 10, 20, 45)
    assert "FB-NR" not in offered(bench, 60)
    with pytest.raises(Refused, match="quiet hours"):
        bench.start(["FB-NR"], "form-block", "saw-outline")


def test_loud_work_that_would_run_into_quiet_hours_is_not_offered(bench: Bench, clocks: SteadyClocks) -> None:
    take_to(bench, ["FB-NR"], "form-block/saw-outline")
    clocks.at = local_time(2027, 5, 10, 20, 10)  # quiet hours begin at 20:30
    for minutes in (15, 30, 60, 120):
        loud_until = 0
        for suggestion in bench.spare(minutes).suggestions:
            procedure = bench.shop.procedures[suggestion.procedure]
            step = procedure.step(suggestion.step)
            assert step is not None
            if step.conditions.loud:
                loud_until = bench.spare(minutes).total_minutes
        assert loud_until <= 20


def test_what_spoils_comes_first(bench: Bench, clocks: SteadyClocks) -> None:
    complete(bench, "BR-01")
    clips = [f"CA-0{number}" for number in range(1, 7)]
    take_to(bench, clips, "clean-and-prime/read-data-sheet")
    work = bench.start(clips, "clean-and-prime", "read-data-sheet")
    for check, text in (("in-date", "yes"), ("stand", "15"), ("pot", "240")):
        bench.answer(work, "CA-01", check, text)
    bench.finish(work, "CA-01")
    take_to(bench, clips, "clean-and-prime/mix")
    bench.note_conditions(68, 55)
    answer = bench.spare(120)
    assert answer.suggestions[0].marks == tuple(clips)
    assert answer.suggestions[0].why.startswith("it spoils after")
    clocks.go(240)
    with pytest.raises(Refused, match="ran out"):
        bench.start(["CA-01"], "clean-and-prime", "mix")
    bench.answer_clock("CA-01")
    assert any(line.startswith("TOO LATE") for line in bench.place_card().clocks)
    bench.note_conditions(68, 55)
    assert bench.start(["CA-01"], "clean-and-prime", "mix")


def leave_only(bench: Bench, marks: set[str]) -> None:
    """Hold every other part."""
    for mark in bench.shop.parts:
        if mark not in marks:
            bench.raise_snag(mark, "not today")


def test_a_wait_within_the_slot_is_filled_with_other_work(bench: Bench, clocks: SteadyClocks) -> None:
    take_to(bench, ["FB-NR"], "form-block/glue-pattern")
    leave_only(bench, {"FB-NR", "FB-MR"})
    answer = bench.spare(80)
    waits = [one for one in answer.suggestions if "do the others meanwhile" in one.what]
    assert waits and waits[0].marks == ("FB-NR",)
    assert [one.marks for one in answer.suggestions] == [("FB-NR",), ("FB-MR",)]
    assert answer.total_minutes <= 80
    assert answer.chance > 0.5
    # In a slot too short for the wait, the block is left gluing.
    short = [one for one in bench.spare(25).suggestions if one.marks == ("FB-NR",)]
    assert all("meanwhile" not in one.what for one in short)


def test_a_clock_that_runs_out_within_the_slot_is_used_at_its_end(bench: Bench, clocks: SteadyClocks) -> None:
    take_to(bench, ["FB-NR"], "form-block/glue-pattern")
    do_step(bench, ["FB-NR"])
    leave_only(bench, {"FB-NR", "FB-MR"})
    clocks.go(10)
    assert "FB-NR" not in offered(bench, 15)
    last = bench.spare(60).suggestions[-1]
    assert last.marks == ("FB-NR",) and last.ready_in == 20
    with pytest.raises(Refused, match="glue drying"):
        bench.start(last.marks, last.procedure, last.step)
    clocks.go(20)
    assert bench.start(last.marks, last.procedure, last.step)


def test_a_stretch_that_cannot_be_left_is_only_offered_whole(bench: Bench) -> None:
    complete(bench, "FB-NR")
    take_to(bench, ["NR-01"], "rib-forming/pin-blank")
    for minutes in range(3, 121, 3):
        for suggestion in bench.spare(minutes).suggestions:
            if suggestion.procedure == "rib-forming" and suggestion.step == "pin-blank":
                assert suggestion.left_as == "leave it with 'drive home' done" or "unpin" in suggestion.what


def test_a_helper_is_offered_only_what_they_may_do(demo_bench: Bench) -> None:
    demo_bench.hand_over("pip")
    for suggestion in demo_bench.spare(60).suggestions:
        step = demo_bench.shop.procedures[suggestion.procedure].step(suggestion.step)
        assert step is not None and step.who != "builder"
        assert all(demo_bench.shop.hazards[tag].min_age_operate <= 13 or tag for tag in step.hazards)
        for tag in step.hazards:
            assert demo_bench.shop.hazards[tag].min_age_operate <= demo_bench.doer.age(demo_bench.now.date())
