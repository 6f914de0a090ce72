"""What waits is set up for while it waits: the advice says so, counts it there, and the record has it."""

from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.planning.choose.exact import choose
from kiosk.planning.choose.option import Option, SetUp
from kiosk.planning.set_up_ahead import SetUpAhead
from kiosk.record.out_on_bench import out_on_bench
from kiosk.record.rules import Refused
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks
from tests.planning.test_spare import leave_only
from tests.record.moments import step, with_steps

RIBS = ["NR-03", "NR-04", "NR-05", "NR-06", "NR-07"]
WASH = StepRef("rib-blank", "wash")
MIX = StepRef("rib-blank", "mix")
STEPS = (
    step(id="wash", stop="only when finished", minutes={"set_up": 2, "each": 4, "put_away": 1}, family="wet",
         waits=[{"what": "drying", "must_pass": "20 min", "before": "mix"},
                {"what": "clean", "within": "4 h", "begin": "mix", "if_missed": "Wash again."}]),
    step(id="mix", stop="go straight on", batch="together", family="spray",
         minutes={"set_up": 12, "each": 1, "put_away": 8}),
    step(id="coat", stop="only when finished", batch="together", minutes={"each": 2}, family="spray"),
)  # fmt: skip


@pytest.fixture
def bench(new_shop: Path, clocks: SteadyClocks) -> Bench:
    """Ribs of which nothing is done, washed and coated in one evening, and nothing else."""
    found = Bench(new_shop, clocks)
    found.shop, _ = with_steps(found.shop, "rib-blank", *STEPS)
    leave_only(found, set(RIBS))
    return found


def washed(bench: Bench, marks: list[str]) -> None:
    work = bench.start(marks, *(WASH.procedure, WASH.step))
    for mark in marks:
        bench.finish(work, mark)


def ahead_of(bench: Bench, minutes: int) -> SetUpAhead:
    found = bench.spare(minutes).set_up_ahead
    assert found is not None
    return found


def test_while_parts_dry_their_coat_is_set_up_for(bench: Bench, clocks: SteadyClocks) -> None:
    washed(bench, RIBS[:2])
    ahead = ahead_of(bench, 90)
    assert (ahead.marks, ahead.step.id, ahead.ready_in) == (tuple(RIBS[:2]), "mix", 20)
    assert 12 <= ahead.minutes <= 15
    clocks.go(ahead.minutes)
    bench.set_up("NR-03", MIX)
    assert "spray" in out_on_bench(bench.context)
    after = bench.spare(90 - ahead.minutes)
    assert after.set_up_ahead is None
    assert {mark for one in after.suggestions for mark in one.marks} >= set(RIBS[:2])


def test_it_costs_nothing_after_the_wait(bench: Bench) -> None:
    """The plan took it for done within the wait, and its chance for done after it."""
    leave_only(bench, set(RIBS[:2]))
    washed(bench, RIBS[:2])
    answer = bench.spare(60)
    ahead = ahead_of(bench, 60)
    work = sum(one.minutes for one in answer.suggestions)
    waited = answer.total_minutes - work - answer.set_up_minutes
    assert waited == ahead.ready_in - ahead.minutes
    assert answer.total_minutes <= 60 and answer.chance > 0.9


def test_undo_takes_it_back_and_it_is_said_once(bench: Bench) -> None:
    washed(bench, RIBS[:1])
    bench.set_up("NR-03", MIX)
    with pytest.raises(Refused, match="nothing is to be set up"):
        bench.set_up("NR-03", MIX)
    entry = bench.latest_undoable()
    assert entry is not None and "set up for" in entry.said("x")
    bench.undo(entry.event)
    assert "spray" not in out_on_bench(bench.context)
    assert bench.state.sitting is not None and "spray" not in bench.state.sitting.families
    bench.set_up("NR-03", MIX)


def test_only_the_next_step_of_a_part_is_set_up_for(bench: Bench) -> None:
    with pytest.raises(Refused, match="not at this step"):
        bench.set_up("NR-03", MIX)
    bench.set_up("NR-03", WASH)
    washed(bench, RIBS[:1])
    with pytest.raises(Refused, match="not at this step"):
        bench.set_up("NR-03", WASH)


def test_the_step_is_then_timed_without_it(bench: Bench, clocks: SteadyClocks) -> None:
    """Else its minutes would teach that there is no set-up."""
    washed(bench, RIBS[:1])
    clocks.go(20)
    bench.set_up("NR-03", MIX)
    work = bench.start(["NR-03"], MIX.procedure, MIX.step)
    clocks.go(1)
    bench.finish(work, "NR-03")
    finish = next(reversed(bench.state.finishes.values()))
    assert [type(one.of).__name__ for one in finish.timed] == ["PieceTime"]


def test_a_wait_holds_a_set_up_that_would_not_fit_before_it() -> None:
    """Wash, 20 minutes of drying, and 12 of setting up meanwhile: they were added up."""
    apart = Option(20, 100, ("wet", "spray"), waits=20, after=10)
    within = apart._replace(in_wait=(("spray", 12),))
    set_up: dict[SetUp, int] = {"wet": 3, "spray": 20}
    assert choose([[within]], set_up, 51, frozenset()).options == {0: 0}
    assert choose([[apart]], set_up, 51, frozenset()).options == {}
    assert choose([[within]], set_up, 50, frozenset()).options == {}
    # What is out already is no part of the wait.
    assert choose([[within]], set_up, 43, frozenset({"spray"})).options == {0: 0}
    assert choose([[within]], set_up, 42, frozenset({"spray"})).options == {}


def test_no_more_are_washed_than_are_likely_to_be_coated(bench: Bench) -> None:
    """Slots in which a whole batch just fits in the middle began it all the same: one part in four evenings
    was prepared anew."""
    for minutes in range(50, 121, 2):
        answer = bench.spare(minutes)
        for one in answer.suggestions:
            if one.step == "wash" and len(one.marks) > 1 and one.stretch.gap_after:
                assert answer.chance >= 0.7, minutes  # told by other trials than it was chosen by


def test_what_saves_may_leave_the_bench_a_little_late(bench: Bench) -> None:
    """A coat was left out for one minute, its set-up out already, and the part washed again."""
    washed(bench, RIBS[:1])
    bench.set_up("NR-03", MIX)
    slots = range(25, 70)
    first = next(minutes for minutes in slots if bench.spare(minutes).suggestions)
    answer = bench.spare(first)
    assert {mark for one in answer.suggestions for mark in one.marks} == {"NR-03"}
    assert 0 < answer.total_minutes - first <= 2
    assert answer.chance >= 0.3


def test_what_cannot_be_saved_is_not_mixed_for(bench: Bench) -> None:
    """A coat that one evening in twenty is long enough for was offered, being the likeliest there was."""
    leave_only(bench, set(RIBS[:1]))
    washed(bench, RIBS[:1])
    for minutes in range(20, 60):
        answer = bench.spare(minutes)
        assert not answer.suggestions or answer.chance >= 0.3, minutes


def test_what_only_fills_the_slot_is_never_late(bench: Bench) -> None:
    washed(bench, RIBS[:1])
    for minutes in range(3, 25):
        answer = bench.spare(minutes)
        assert not answer.suggestions or answer.total_minutes <= minutes


def test_by_what_is_set_up_nothing_else_is_changed(bench: Bench) -> None:
    """Of parts, works and days nothing."""
    washed(bench, RIBS[:1])
    before = bench.state
    parts, works, days = dict(before.parts), dict(before.works), dict(before.minutes_by_day)
    bench.set_up("NR-03", MIX)
    after = bench.state
    assert (after.parts, after.works, after.minutes_by_day) == (parts, works, days)
    assert replace(after.done_since[-1], event="") == replace(
        after.done_since[-1], ref=MIX, mark="NR-03", event=""
    )
