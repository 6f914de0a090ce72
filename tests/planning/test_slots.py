"""What a slot is used for: work begun where it can be left, no limit started in vain, and what opens most.

The cases are those of a builder's evenings; no outside source.
"""

import math
from dataclasses import replace

import pytest

from kiosk.bench import Bench
from kiosk.planning.plan import Plan
from kiosk.planning.put_away import put_away
from kiosk.planning.times.chance import PredictedPieces
from kiosk.planning.work.find_work import find_work
from kiosk.planning.work.worth import RARE, Valued, share_of_slots_too_short, share_opened, worth_of
from kiosk.views.preparing import read_room_words
from kiosk.views.suggestion import suggestion_words, sum_of_slot
from tests.conftest import SteadyClocks
from tests.driver import do_step
from tests.planning.test_spare import leave_only
from tests.record.moments import step, with_steps


def only(bench: Bench, *steps: dict[str, object]) -> None:
    """A form block with these steps, and nothing else to do."""
    bench.shop, _ = with_steps(bench.shop, "form-block", *(step(**one) for one in steps))
    leave_only(bench, {"FB-NR"})


@pytest.mark.parametrize("minutes", [15, 30, 45, 50])
def test_a_step_that_can_be_left_anywhere_is_begun_in_any_slot(bench: Bench, minutes: int) -> None:
    only(bench, {"id": "file", "stop": "anywhere", "minutes": {"each": "40"}})
    (one,) = bench.spare(minutes).suggestions
    assert one.marks == ("FB-NR",) and one.minutes <= minutes
    assert one.stretch.minutes_left > 0 and not one.stretch.ends_part
    assert one.minutes > minutes / 2  # and the slot is used


def test_one_in_hand_that_can_be_left_is_gone_on_with_in_a_short_slot(
    bench: Bench, clocks: SteadyClocks
) -> None:
    only(bench, {"id": "file", "stop": "anywhere", "minutes": {"each": "40"}})
    work = bench.start(["FB-NR"], "form-block", "file")
    clocks.go(20)
    bench.pause(work)
    (one,) = bench.spare(12).suggestions
    assert one.work == work and one.stretch.minutes_left > 0


def test_of_a_run_in_hand_only_the_step_that_is_done_in_part_takes_less(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """What follows at once is to be done in full: half of it was taken for done with the step in hand."""
    only(
        bench,
        {"id": "mix", "stop": "go straight on", "minutes": {"each": "20"}},
        {"id": "spray", "stop": "only when finished", "minutes": {"each": "40"}},
    )
    work = bench.start(["FB-NR"], "form-block", "mix")
    clocks.go(20)
    bench.pause(work)
    (one,) = bench.spare(120).suggestions
    assert one.work == work and len(one.stretch.steps) == 2
    assert one.minutes > 40 * 1.2  # people underestimate
    short = bench.spare(45)  # it was paused all the same, and is told with what it takes
    assert short.suggestions[0].work == work and short.total_minutes > 45


def test_what_goes_all_at_once_is_as_far_in_hand_as_all_of_it_is(bench: Bench, clocks: SteadyClocks) -> None:
    """Of six blocks that are dipped together for half of their time more than one is done."""
    dip = step(id="dip", stop="anywhere", batch="together", minutes={"each": "10"})
    bench.shop, _ = with_steps(bench.shop, "form-block", dip)
    marks = [mark for mark in bench.shop.parts if mark.startswith("FB-")][:3]
    leave_only(bench, set(marks))
    work = bench.start(marks, "form-block", "dip")
    clocks.go(18)
    bench.pause(work)
    (one,) = bench.spare(60).suggestions
    assert one.work == work and 1 < one.stretch.done < 3
    assert 12 <= one.minutes <= 25  # of 36


def test_a_piece_in_hand_may_have_been_set_up_for_before_its_clock_ran(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """Nobody wrote down whether its minutes hold the set-up: all of it taken off left nothing done."""
    only(bench, {"id": "file", "stop": "anywhere", "minutes": {"each": "30", "set_up": "10"}})
    work = bench.start(["FB-NR"], "form-block", "file")
    clocks.go(12)
    bench.pause(work)
    (one,) = bench.spare(60).suggestions
    assert one.work == work and 0.1 < one.stretch.done < 0.3


def test_what_nobody_counted_yet_is_done_by_its_minutes(bench: Bench, clocks: SteadyClocks) -> None:
    holes = {"of": "holes", "times": "20"}
    only(bench, {"id": "file", "stop": "anywhere", "minutes": {"each": "30"}, "repeat": holes})
    work = bench.start(["FB-NR"], "form-block", "file")
    clocks.go(18)
    bench.pause(work)
    (one,) = bench.spare(60).suggestions
    assert one.work == work and 0.3 < one.stretch.done < 0.6
    bench.take_up(work)
    bench.count(work, "FB-NR", 2)
    assert bench.spare(60).suggestions[0].stretch.done == pytest.approx(0.1)


def test_what_a_snag_holds_is_not_gone_on_with(bench: Bench, clocks: SteadyClocks) -> None:
    only(bench, {"id": "file", "stop": "anywhere", "minutes": {"each": "40"}})
    work = bench.start(["FB-NR"], "form-block", "file")
    clocks.go(10)
    assert [one.work for one in bench.spare(30).suggestions] == [work]
    bench.raise_snag("FB-NR", "a burr")
    assert not bench.spare(30).suggestions


def test_what_is_out_needs_no_setting_up_and_is_put_away_at_the_end(
    bench: Bench, clocks: SteadyClocks
) -> None:
    minutes = {"set_up": "10", "each": "6", "put_away": "5"}
    only(
        bench,
        {"id": "saw", "family": "saw", "stop": "only when finished", "minutes": minutes},
        {"id": "saw-again", "family": "saw", "stop": "only when finished", "minutes": minutes},
    )
    before = bench.spare(60)
    do_step(bench, ["FB-NR"])
    answer = bench.spare(60)
    (one,) = answer.suggestions
    assert one.step == "saw-again"
    assert answer.set_up_minutes < before.set_up_minutes  # it is set up already
    bench.begin_slot(60)
    call = put_away(bench.context)
    assert call is not None and call.families > 0
    assert answer.set_up_minutes >= call.closing + call.families  # as the call to put away adds up


def test_the_chance_holds_what_leaving_the_bench_takes_as_it_spreads(bench: Bench) -> None:
    """Closing up is one more time in the sum: the chance is not that of the work in what closing leaves."""
    only(bench, {"id": "rivet", "stop": "only when finished", "minutes": {"each": "20"}})
    answer = bench.spare(60)
    found = find_work(bench.context, 60 - answer.set_up_minutes)
    alone = Plan.alone(found, 0, 0)
    closing = found.predictor.closing_time(bench.shop.file.put_away)
    assert closing is not None
    with_closing = Plan.alone(
        replace(found, leaving=(PredictedPieces(closing, of_bench=True),), leaving_minutes=5), 0, 0
    )
    for minutes in (20, 24, 28, 35):
        apart = alone.chance(minutes) * closing.chance_within(5)
        assert apart < with_closing.chance(minutes) <= 1
    assert with_closing.chance(60) > 0.95


def test_what_has_to_be_finished_is_never_only_begun(bench: Bench) -> None:
    only(bench, {"id": "rivet", "stop": "only when finished", "minutes": {"each": "40"}})
    assert not bench.spare(30).suggestions
    assert bench.spare(90).suggestions


@pytest.mark.parametrize(
    ("within", "offered_in_30"), [("4 h", False), ("14 days", True)], ids=["bare metal", "long"]
)
def test_no_limit_is_started_that_this_slot_cannot_meet(
    bench: Bench, within: str, offered_in_30: bool
) -> None:
    wait = {"what": "bare", "within": within, "begin": "spray", "if_missed": "Wash again."}
    only(
        bench,
        {"id": "wash", "stop": "anywhere", "minutes": {"each": "10"}, "waits": [wait]},
        {"id": "spray", "stop": "only when finished", "minutes": {"each": "40"}},
    )
    ends = [one.stretch.steps[-1][1].id for one in bench.spare(30).suggestions]
    assert ends == (["wash"] if offered_in_30 else [])
    # Where both fit, both are done.
    assert [one.stretch.steps[-1][1].id for one in bench.spare(110).suggestions] == ["spray"]


POT = [
    {"what": "standing", "must_pass": "30", "before": "spray"},
    {"what": "pot life", "within": "4 h", "finish": "spray", "if_missed": "Mix again."},
]


def mixed(bench: Bench) -> None:
    """A block that is mixed for and sprayed, half an hour between; and a rib that can be gone on with."""
    bench.shop, _ = with_steps(
        bench.shop,
        "form-block",
        step(id="mix", stop="go straight on", batch="together", minutes={"each": "3"}, waits=POT),
        step(id="spray", stop="go straight on", batch="together", minutes={"each": "4"}),
        step(id="clean", stop="only when finished", batch="together", minutes={"each": "3"}),
    )
    leave_only(bench, {"FB-NR", "NR-01"})


def test_while_a_mix_stands_something_else_is_done(bench: Bench, clocks: SteadyClocks) -> None:
    mixed(bench)
    answer = bench.spare(70)  # with 90 there is room for more of the rib after it
    first, *others = answer.suggestions
    assert first.marks == ("FB-NR",)
    assert [one.id for _, one in first.stretch.steps] == ["mix", "spray", "clean"]
    assert first.stretch.gap_after == 1 and {one.marks for one in others} == {("NR-01",)}
    said = suggestion_words(first).what
    assert "Then it waits 30 min" in said and "do the others meanwhile" in said
    assert answer.total_minutes <= 70
    # With nothing to fill it, it is sat out.
    bench.raise_snag("NR-01", "not today")
    (alone,) = bench.spare(90).suggestions
    assert alone.stretch.waiting_minutes == 30 or alone.stretch.gap_after == 1
    assert bench.spare(90).total_minutes >= 30 + 10


def test_what_stands_is_gone_on_with_before_the_bench_is_left(bench: Bench, clocks: SteadyClocks) -> None:
    mixed(bench)
    bench.begin_slot(60)
    before = put_away(bench.context)
    do_step(bench, ["FB-NR"])
    after = put_away(bench.context)
    assert before is not None and after is not None
    assert after.to_leave >= 30 + 7 > before.to_leave  # the wait, then spraying and cleaning
    clocks.go(10)
    answer = bench.spare(50)
    assert [one.ready_in for one in answer.suggestions if one.marks == ("FB-NR",)] == [20]
    assert any(one.marks == ("NR-01",) for one in answer.suggestions)
    # However short the slot has become, it is not forgotten for something that fits.
    clocks.go(35)
    (must,) = bench.spare(5).suggestions
    assert must.marks == ("FB-NR",) and must.chance < 0.5


THREE = ("FB-NR", "FB-MR", "FB-TR")


def three_to_mix_for(bench: Bench) -> None:
    """A block of each of three kinds, about to be mixed for, sprayed and the gun cleaned."""
    minutes = {"set_up": "10", "each": "2", "put_away": "4"}
    bench.shop, _ = with_steps(
        bench.shop,
        "form-block",
        step(id="mix", stop="go straight on", batch="together", family="gun", minutes=minutes, waits=POT),
        step(id="spray", stop="go straight on", batch="together", family="gun", minutes={"each": "4"}),
        step(id="clean", stop="only when finished", batch="together", family="gun", minutes={"each": "1"}),
    )
    leave_only(bench, set(THREE))


def test_parts_of_three_kinds_stand_side_by_side(bench: Bench, clocks: SteadyClocks) -> None:
    """One set-up and one wait for all: two of them sat out half an hour each, and the third did not fit."""
    three_to_mix_for(bench)
    answer = bench.spare(110)
    (one,) = answer.suggestions  # nothing tells the three apart: one mixture is for all
    assert set(one.marks) == set(THREE) and one.stretch.gap_minutes == 30
    work = sum(one.minutes for one in answer.suggestions)
    closing = answer.set_up_minutes - 14
    idle = answer.total_minutes - work - answer.set_up_minutes
    assert 0 < closing < 10 and 20 <= idle <= 30 and answer.total_minutes < 90
    assert f"{idle} waiting" in sum_of_slot(answer)
    # What was told holds at every tap: nothing of it is dropped on the way, and the time is enough.
    left = float(answer.total_minutes)
    began = clocks.at
    for mark in one.marks:  # who mixes for each by itself loses nothing by it
        clocks.go(2)
        do_step(bench, [mark])
        left = answer.total_minutes - (clocks.at - began).total_seconds() / 60
        plan = bench.spare(math.ceil(left) + 2)
        assert {mark for of_plan in plan.suggestions for mark in of_plan.marks} == set(THREE), mark
    clocks.go(30)
    for mark in one.marks:
        clocks.go(5)
        do_step(bench, [mark])
        do_step(bench, [mark])
    assert (clocks.at - began).total_seconds() / 60 <= answer.total_minutes


def test_what_stands_side_by_side_ends_one_after_the_other(bench: Bench, clocks: SteadyClocks) -> None:
    """Two that are mixed may not be left: one of them was in the plan, and the other in none."""
    three_to_mix_for(bench)
    for mark in THREE[:2]:
        do_step(bench, [mark])
    clocks.go(10)
    answer = bench.spare(60)
    ready = [one for one in answer.suggestions if one.ready_in]
    assert {mark for one in ready for mark in one.marks} == set(THREE[:2])
    assert all(one.ready_in == pytest.approx(20, abs=1) for one in ready)


def test_two_that_keep_the_only_jig_do_not_stand_side_by_side(bench: Bench, clocks: SteadyClocks) -> None:
    """Both were glued in one plan: the second cannot be begun while the first keeps the jig."""
    jig = next(iter(bench.shop.tools))
    cure = [{"what": "cure", "must_pass": "20", "before": "off"}]
    glue = step(id="glue", stop="only when finished", tools=[jig], minutes={"each": "3"}, waits=cure)
    off = step(id="off", stop="only when finished", tools=[jig], minutes={"each": "3"})
    bench.shop, _ = with_steps(bench.shop, "form-block", glue, off)
    leave_only(bench, set(THREE[:2]))
    for have, parts in ((1, 1), (2, 2)):
        tool = bench.shop.tools[jig].model_copy(update={"have": have})
        bench.shop = replace(bench.shop, tools={**bench.shop.tools, jig: tool})
        for minutes in (25, 45, 60):
            found = [one for one in bench.spare(minutes).suggestions if one.step == "glue"]
            assert sum(len(one.marks) for one in found) == parts, (have, minutes)


def test_one_rack_is_not_promised_to_two_kinds_at_once(bench: Bench) -> None:
    """One after the other they hang on it in one plan: shown as one start, the door refused it."""
    rack = next(iter(bench.shop.tools))
    stands = [{"what": "paint", "must_pass": "8", "before": "lift"}]
    once = {"batch": "together", "tools": [rack], "minutes": {"each": "2"}}
    dip = step(id="dip", stop="go straight on", waits=stands, **once)
    bench.shop, _ = with_steps(
        bench.shop, "form-block", dip, step(id="lift", stop="only when finished", **once)
    )
    leave_only(bench, set(THREE))
    for have, together in ((1, [1, 1, 1]), (2, [2, 1]), (3, [3])):
        tool = bench.shop.tools[rack].model_copy(update={"have": have})
        bench.shop = replace(bench.shop, tools={**bench.shop.tools, rack: tool})
        found = bench.spare(110).suggestions
        assert [len(one.marks) for one in found] == together, have
    bench.start(list(found[0].marks), "form-block", "dip")


def test_what_only_waits_for_a_reading_of_the_room_is_told(bench: Bench, clocks: SteadyClocks) -> None:
    air = {"temperature_f": {"low": "60", "high": "90"}}
    only(bench, {"id": "spray", "minutes": {"each": "5"}, "conditions": air})
    answer = bench.spare(30)
    assert not answer.suggestions and answer.read_room is not None
    assert read_room_words(answer.read_room).startswith("READ THE ROOM: FB-NR waits for that alone")
    bench.note_conditions(68.0, 55.0)
    answer = bench.spare(30)
    assert answer.read_room is None and [one.marks for one in answer.suggestions] == [("FB-NR",)]
    bench.note_conditions(50.0, 55.0)  # read, and too cold: another reading helps nobody
    answer = bench.spare(30)
    assert answer.read_room is None and not answer.suggestions
    clocks.go(5 * 60)  # a reading that is old
    assert bench.spare(30).read_room is not None


def test_no_more_parts_are_washed_than_can_be_sprayed_in_time(bench: Bench) -> None:
    wait = {"what": "bare", "within": "45", "begin": "spray", "if_missed": "Wash again."}
    bench.shop, _ = with_steps(
        bench.shop,
        "form-block",
        step(id="wash", stop="anywhere", minutes={"each": "20"}, waits=[wait]),
        step(id="spray", stop="anywhere", minutes={"each": "1"}),
    )
    counts = {
        option.pieces
        for candidate in find_work(bench.context, 120).candidates
        for option in candidate.options
        if candidate.procedure.id == "form-block" and option.steps == 2
    }
    assert counts == {1}  # each kind of block is one part: more of a kind are held to the same arithmetic
    do_step(bench, ["FB-NR"])
    assert bench.state.part("FB-NR").clocks


def valued(**changed: float) -> Valued:
    usual: dict[str, float] = {
        "minutes": 10,
        "parts": 1,
        "unbroken_minutes": 0,
        "behind_minutes": 0,
        "own_minutes": 100,
        "done_share": 0,
        "drying_minutes": 0,
    }
    return Valued(**{**usual, **changed}, spoils=False, in_hand=False, running=False, ends_part=False)  # type: ignore[arg-type]


def test_tooling_that_is_nearly_done_goes_before_tooling_that_is_begun() -> None:
    """One step before 20 ribs can begin, against five steps before 10 can."""
    nearly = valued(behind_minutes=20 * 60, own_minutes=10)
    begun = valued(behind_minutes=10 * 60, own_minutes=100)
    nothing = valued()
    assert worth_of(nearly) > worth_of(begun) > worth_of(nothing)
    assert share_opened(0, 10) == 0 and 0 < share_opened(60, 100) < share_opened(600, 100) < 1


def test_a_long_slot_is_kept_for_what_fits_in_few() -> None:
    assert share_of_slots_too_short(5) == 0 and share_of_slots_too_short(200) == 1
    assert worth_of(valued(unbroken_minutes=60)) > worth_of(valued(unbroken_minutes=15))


def test_of_two_ribs_the_further_one_is_finished() -> None:
    assert worth_of(valued(done_share=0.8)) > worth_of(valued(done_share=0.1))


def test_all_that_may_not_be_left_is_in_the_plan_and_first(bench: Bench, clocks: SteadyClocks) -> None:
    """Parts of two kinds stood half through a run: the plan had one of them, and nothing else in an hour."""
    run = ({"id": "pin", "stop": "go straight on"}, {"id": "drive"}, {"id": "oil"})
    bench.shop, _ = with_steps(bench.shop, "form-block", *(step(**one) for one in run))
    bench.shop, _ = with_steps(bench.shop, "rib-blank", *(step(**one) for one in run))
    leave_only(bench, {"FB-NR", "FB-MR", "FB-TR", "NR-01"})
    do_step(bench, ["FB-NR"])
    do_step(bench, ["FB-MR"])
    plan = [set(one.marks) for one in bench.spare(60).suggestions]
    stood = {"FB-NR", "FB-MR"}
    assert stood <= set().union(*plan) and plan[0] <= stood
    assert "FB-TR" in set().union(*plan)  # and the rest of the hour is used


def test_parts_of_two_hands_are_never_one_batch(bench: Bench) -> None:
    """The board takes one hand at a time, and what is offered for a slot took both."""
    leave_only(bench, {"NR-09", "NR-10", "NR-11", "NR-12"})
    for minutes in (20, 60, 120):
        answer = bench.spare(minutes)
        for one in (*answer.suggestions, *answer.instead):
            at_once = any(step.batch == "together" for _, step in one.stretch.steps)
            assert at_once or len({bench.shop.parts[mark].hand for mark in one.marks}) == 1, one.marks
        work = sum(one.minutes for one in answer.suggestions)
        assert work + answer.set_up_minutes <= answer.total_minutes <= minutes
    both = {bench.shop.parts[mark].hand for one in answer.suggestions for mark in one.marks}
    assert both == {"left", "right"}


def test_what_may_not_be_left_and_does_not_fit_is_shown_as_long_as_it_is(
    bench: Bench, clocks: SteadyClocks
) -> None:
    spray: dict[str, object] = {"id": "spray", "minutes": {"set_up": "4", "each": "40"}}
    only(bench, {"id": "mix", "stop": "go straight on"}, spray, {"id": "clean"})
    do_step(bench, ["FB-NR"])
    answer = bench.spare(12)
    (one,) = answer.suggestions
    assert one.minutes > 40 and answer.total_minutes >= one.minutes + 4
    assert answer.chance < 0.05
    assert f"{answer.total_minutes - 12} more than there are" in sum_of_slot(answer)
    assert "more than there are" not in sum_of_slot(bench.spare(90))
    for chance, slowly in ((0.49, False), (0.5, True)):  # "2 more than there are; they fit 9 times in 10"
        assert ("where it goes slowly" in sum_of_slot(replace(answer, chance=chance))) is slowly


@pytest.mark.parametrize("minutes", [5, 6, 7, 8, 9])
def test_the_shortest_slot_holds_a_beginning_beside_closing_up(bench: Bench, minutes: int) -> None:
    only(bench, {"id": "file", "stop": "anywhere", "minutes": {"each": "40"}})
    answer = bench.spare(minutes)
    (one,) = answer.suggestions
    assert one.stretch.minutes_left > 30
    assert answer.total_minutes == minutes and answer.chance > 0.5


def worth_of_a_run(bench: Bench, stands_minutes: int) -> int:
    """What the longest slot is worth for one rib that is washed, dries, and has its coat within four hours,
    of which mixed primer stands for some minutes."""
    dries = {"what": "rib drying", "must_pass": "25 min", "before": "mix"}
    clean = {"what": "clean metal", "within": "4 h", "begin": "mix", "if_missed": "Wash it again"}
    stands = {"what": "primer standing", "must_pass": f"{stands_minutes} min", "before": "coat"}
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="wash", stop="go straight on", minutes={"set_up": "3", "each": "3"}),
        step(id="dry", stop="only when finished", minutes={"each": "1"}, waits=[dries, clean]),
        step(id="mix", stop="go straight on", minutes={"set_up": "12", "each": "1"}, waits=[stands]),
        step(id="coat", stop="only when finished", minutes={"each": "2"}),
    )
    found = find_work(bench.context, 120).candidates
    of_ribs = next(one for one in found if one.like.kind == "nose-rib")
    return max(one.worth for one in of_ribs.options if (one.pieces, one.steps) == (1, 4))


def test_a_long_slot_is_for_what_no_usual_slot_holds(bench: Bench) -> None:
    """Where drying and standing make it longer than a usual slot, they and its set-ups are a part of what a
    long slot is rare for: such slots went to work that any other holds, and ribs waited for their primer."""
    assert worth_of_a_run(bench, 40) - worth_of_a_run(bench, 5) > RARE * 40
    assert abs(worth_of_a_run(bench, 6) - worth_of_a_run(bench, 5)) < RARE * 5  # usual slots hold it


@pytest.mark.parametrize("minutes", range(11, 20))
def test_one_thing_is_done_whole_before_two_are_done_by_half(bench: Bench, minutes: int) -> None:
    """In a quarter of an hour two steps of seven minutes were each begun for five."""
    answer = bench.spare(minutes)
    assert answer.suggestions and sum(one.stretch.minutes_left > 0 for one in answer.suggestions) < 2
