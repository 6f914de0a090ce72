"""Spare minutes: only what is ready, only what fits, only what can be left, and a reason for each."""

from dataclasses import replace
from datetime import timedelta

import pytest

from kiosk.bench import Bench
from kiosk.planning.plan import WANTED_CHANCE
from kiosk.planning.preparing import ReadAhead
from kiosk.planning.reasons import Spoils
from kiosk.planning.work.find_work import find_work
from kiosk.record.context import Context
from kiosk.record.position import steps_left
from kiosk.record.rules import Refused
from kiosk.record.state import PartState, State, StepDone
from kiosk.shop.procedure import Step
from kiosk.views.preparing import preparation_words
from kiosk.views.suggestion import suggestion_words
from tests.conftest import SteadyClocks, local_time
from tests.driver import do_step
from tests.record.moments import step, with_steps


def take_to(bench: Bench, marks: list[str], step: str) -> None:
    """Take parts up to a step of their current procedure, that step not done."""
    for _ in range(60):
        where = bench.position(marks[0])
        assert where.procedure is not None and where.step is not None
        for clock in bench.state.part(marks[0]).clocks:
            if clock.kind == "must_pass" and clock.step == where.step.id:
                bench.record.clocks.go_to(max(bench.now, clock.until))  # type: ignore[attr-defined]
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
    assert answer.suggestions or minutes < 12
    for suggestion in answer.suggestions:
        said = suggestion_words(suggestion)
        assert said.what and said.why and said.left_as and suggestion.minutes > 0
    assert answer.prepare


def test_nothing_fitting_still_prepares(new_shop_bench: Bench) -> None:
    answer = new_shop_bench.spare(3)
    assert not answer.suggestions
    assert any(isinstance(one, ReadAhead) for one in answer.prepare)


def test_what_runs_out_before_more_can_come_is_to_be_ordered(bench: Bench, clocks: SteadyClocks) -> None:
    def orders() -> list[str]:
        said = map(preparation_words, bench.spare(3).prepare)
        return [text for text in said if text.startswith("Order")]

    assert orders() == []
    bench.count_stock("primer-base", 0.1)
    assert len(orders()) == 1 and orders()[0].startswith("Order: epoxy primer base, 0.1 litre left")
    bench.count_stock("primer-base", 0.8)
    clocks.go_to(local_time(2028, 3, 9, 12))
    assert orders() == []
    clocks.go_to(local_time(2028, 3, 10, 12))  # three weeks before its date
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
        assert one.chance >= WANTED_CHANCE and one.minutes < minutes
        if one.work is None:
            assert demo_bench.start(one.marks, one.procedure, one.step)


def test_every_suggestion_can_be_begun_as_offered(demo_bench: Bench) -> None:
    suggestions = demo_bench.spare(120).suggestions
    assert suggestions
    for suggestion in suggestions:
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
    clocks.go_to(local_time(2027, 5, 10, 12))  # a Monday
    assert "FB-NR" in offered(bench, 60)
    clocks.go_to(local_time(2027, 5, 10, 20, 45))
    assert "FB-NR" not in offered(bench, 60)
    with pytest.raises(Refused, match="quiet hours"):
        bench.start(["FB-NR"], "form-block", "saw-outline")


def test_loud_work_that_would_run_into_quiet_hours_is_not_offered(bench: Bench, clocks: SteadyClocks) -> None:
    take_to(bench, ["FB-NR"], "form-block/saw-outline")
    leave_only(bench, {"FB-NR"})
    closing_up = bench.spare(3).total_minutes  # makes no noise
    quiet = local_time(2027, 5, 10, 20, 30)
    begun = set()
    for before in range(5, 120, 5):
        clocks.go_to(quiet - timedelta(minutes=before))
        answer = bench.spare(120)
        if answer.suggestions:
            begun.add(before)
            assert answer.suggestions[0].stretch.steps[0][1].conditions.loud
            assert answer.total_minutes - closing_up <= before
    assert begun and begun == set(range(min(begun), 120, 5)) and min(begun) > 5


def test_what_spoils_comes_first(bench: Bench, clocks: SteadyClocks) -> None:
    complete(bench, "BR-01")
    clips = [f"CA-0{number}" for number in range(1, 6)]
    take_to(bench, clips, "clean-and-prime/mix")
    bench.note_conditions(68, 55)
    answer = bench.spare(120)
    assert answer.suggestions[0].marks == tuple(clips)
    assert isinstance(answer.suggestions[0].reason, Spoils)
    clocks.go(240)
    with pytest.raises(Refused, match="ran out"):
        bench.start(["CA-01"], "clean-and-prime", "mix")
    bench.answer_clock(["CA-01"], "Scuffed, washed, water test repeated")
    assert any(line.startswith("TOO LATE") for line in bench.place_card().clocks)  # the others
    assert bench.start(["CA-01"], "clean-and-prime", "scuff")


def leave_only(bench: Bench, marks: set[str]) -> None:
    """Hold every other part."""
    for mark in bench.shop.parts:
        if mark not in marks:
            bench.raise_snag(mark, "not today")


def test_a_wait_within_the_slot_is_filled_with_other_work(bench: Bench, clocks: SteadyClocks) -> None:
    take_to(bench, ["FB-NR"], "form-block/glue-pattern")
    leave_only(bench, {"FB-NR", "FB-MR"})
    answer = bench.spare(90)
    waits = [one for one in answer.suggestions if one.stretch.gap_after]
    assert len(waits) == 1
    assert {one.marks for one in answer.suggestions} == {("FB-NR",), ("FB-MR",)}
    assert answer.total_minutes <= 90
    assert answer.chance > 0.5
    # In a slot too short for the wait, the block is left gluing.
    bench.raise_snag("FB-MR", "not today")
    short = [one for one in bench.spare(30).suggestions if one.marks == ("FB-NR",)]
    assert [one.stretch.gap_after for one in short] == [0]


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
    leave_only(bench, {"NR-01"})
    ends: dict[int, list[str]] = {}
    for minutes in range(3, 121, 3):
        for suggestion in bench.spare(minutes).suggestions:
            assert suggestion.marks == ("NR-01",) and suggestion.step == "pin-blank"
            last = suggestion.stretch.steps[-1][1]
            assert last.stop != "go straight on"
            ends[minutes] = [step.id for _, step in suggestion.stretch.steps]
    assert min(ends) > 12  # pinning alone takes three
    assert all(
        steps[:4] == ["pin-blank", "first-pass", "second-pass", "drive-home"] for steps in ends.values()
    )


def steps_found(context: Context, minutes: int) -> dict[str, Step]:
    """Every step that the planner could offer the one with the screen."""
    found = find_work(context, minutes)
    return {
        str(procedure.ref(step)): step
        for candidate in found.candidates
        for place in range(len(candidate.options))
        for procedure, step in candidate.stretch(place).steps
    }


def test_a_helper_is_offered_only_what_they_may_do(bench: Bench) -> None:
    take_to(bench, ["FB-NR"], "form-block/saw-outline")
    take_to(bench, ["NR-01"], "rib-blank/mark-blank")
    builders = steps_found(bench.context, 60)
    assert any(step.who == "builder" for step in builders.values())  # there is something to leave out
    bench.hand_over("pip")
    helpers = steps_found(bench.context, 60)
    assert helpers and not any(step.who == "builder" for step in helpers.values())
    offered = {f"{one.procedure}/{one.step}" for one in bench.spare(60).suggestions}
    assert offered and offered <= set(helpers)
    # A step that a helper may do, until the shop raises the age of its hazard above theirs.
    assert "rib-blank/mark-blank" in helpers
    hazards = bench.shop.hazards
    raised = {**hazards, "GRAPHITE": replace(hazards["GRAPHITE"], min_age_operate=15)}
    context = replace(bench.context, shop=replace(bench.shop, hazards=raised))
    assert "rib-blank/mark-blank" not in steps_found(context, 60)
    assert "rib-blank/mark-blank" in steps_found(context.seen_by(bench.shop.people["wren"]), 60)


@pytest.mark.parametrize("ends", ["begin", "finish"])
def test_what_has_to_be_finished_in_time_is_begun_its_own_minutes_earlier(
    bench: Bench, clocks: SteadyClocks, ends: str
) -> None:
    wait = {"what": "pot", "within": "60", ends: "use", "if_missed": "Mix again."}
    bench.shop, _ = with_steps(
        bench.shop,
        "form-block",
        step(id="mix", minutes={"each": "1"}, waits=[wait]),
        step(id="use", minutes={"each": "20"}),
    )
    do_step(bench, ["FB-NR"])
    found = find_work(bench.context, 90)
    (candidate,) = [one for one in found.candidates if one.like.marks == ("FB-NR",)]
    option = candidate.options[0]
    assert option.steps == 1
    latest = option.start_by
    if ends == "begin":
        assert latest == 60
    else:
        assert latest is not None and latest <= 60 - 20
        clocks.go(45)  # 15 min are left for what takes 20: it is not offered to be missed
        assert "FB-NR" not in {mark for one in bench.spare(90).suggestions for mark in one.marks}


def test_nothing_is_planned_by_a_clock_that_is_not_believed(bench: Bench, clocks: SteadyClocks) -> None:
    do_step(bench, ["FB-NR"])
    clocks.go(5)
    clocks.at += timedelta(days=30)
    loud = {
        procedure.id
        for procedure in bench.shop.procedures.values()
        for one in procedure.steps
        if one.conditions.loud
    }
    for minutes in (20, 60, 120):
        for one in bench.spare(minutes).suggestions:
            step_of = bench.shop.procedures[one.procedure].step(one.step)
            assert step_of is not None and not step_of.conditions.loud
    assert loud


def test_parts_in_one_repair_go_on_apart_where_one_was_further(bench: Bench) -> None:
    """Both stand at the repair's first step; after it each goes on where it was, not where the other was."""
    shop = bench.shop
    row = [step.id for step in shop.steps_for(shop.kinds["nose-joint"], shop.procedures["rib-to-spar"])]
    steps = {one: StepDone(bench.context.now, "wren", "3") for one in row}
    gauge = row.index("gauge-heads")
    parts = {mark: PartState(mark, completed_at=bench.context.now) for mark in shop.parts}
    for mark, until in (("NJ-01", gauge), ("NJ-02", gauge + 1), ("NJ-03", gauge)):
        passes = {"rib-to-spar": dict(list(steps.items())[:until]), "replace-rivet": {}}
        parts[mark] = PartState(mark, passes=passes)
    context = replace(bench.context, state=State(parts=parts))
    found = find_work(context, 60)
    assert [one.marks for one in found.candidates] == [("NJ-01", "NJ-03"), ("NJ-02",)]
    for one in found.candidates:
        left = steps_left(shop, context.state, one.marks[0])
        assert all(steps_left(shop, context.state, mark) == left for mark in one.marks)
        assert tuple(one.like.left) == tuple(left)
