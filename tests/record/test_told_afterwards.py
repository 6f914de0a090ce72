"""What a batch teaches of whose pieces are made first and told of afterwards, one after the other.

Common practice, no source: hands that hold a drill do not go to the screen between two ribs.
"""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.planning.times.predictor import Predictor
from kiosk.record.events import StepFinished
from kiosk.record.lessons import told_afterwards
from kiosk.record.rules import Refused
from kiosk.record.state import Finish, PieceTime
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks
from tests.driver import finish_piece, undo_newest
from tests.record.test_batches import begin_as_the_card_says, begun, to_the_step
from tests.record.test_batches import bench as bench

RIBS = ("NR-01", "NR-02", "NR-03", "NR-04", "NR-05", "NR-06")
STEP = StepRef("rib-blank", "tooling-holes")
TAPPED = 0.2  # minutes to type one figure and press twice


def at_the_holes(bench: Bench) -> str:
    """Six ribs whose tooling holes are drilled next, in hand; gives the work."""
    begun(bench, list(RIBS))
    to_the_step(bench, STEP.step)
    return begin_as_the_card_says(bench)[0]


def usual_minutes(bench: Bench) -> float:
    """What one of them is planned with."""
    procedure, step = bench.shop.find_step(STEP.procedure, STEP.step, "NR-07")
    assert procedure is not None and step is not None
    return Predictor(bench.context).piece(procedure, step, "nose-rib").median_minutes


def times_learnt(bench: Bench, person: str = "wren") -> int:
    """How many times of a piece of it were learnt, of this person."""
    return sum(
        times.count
        for of, times in bench.state.times.items()
        if isinstance(of, PieceTime) and (of.step, of.person) == (STEP, person)
    )


def tell(bench: Bench, clocks: SteadyClocks, work: str, first: float, then: float) -> None:
    """So many minutes before the first rib is told of, and so many before each other one."""
    for number, mark in enumerate(RIBS):
        clocks.go(then if number else first)
        finish_piece(bench, work, mark)


@pytest.mark.parametrize("each", [2.0, 3.0, 5.0, 8.0])
def test_a_piece_is_learnt_to_take_its_share_of_the_time(
    bench: Bench, clocks: SteadyClocks, each: float
) -> None:
    """The first was learnt at six times its minutes, which nobody believed, and five at .2: the next ribs
    were planned with .4 minutes each, of a step that takes 4."""
    work = at_the_holes(bench)
    before = usual_minutes(bench)
    tell(bench, clocks, work, 6 * each, TAPPED)
    after = usual_minutes(bench)
    wanted = each + 5 / 6 * TAPPED
    assert min(before, wanted) * 0.95 <= after <= max(before, wanted) * 1.05
    assert abs(math.log(after / wanted)) < abs(math.log(before / wanted)) + 0.05
    assert times_learnt(bench) == 1  # one time, of six


def test_pieces_told_of_as_they_are_made_are_learnt_one_by_one(bench: Bench, clocks: SteadyClocks) -> None:
    work = at_the_holes(bench)
    tell(bench, clocks, work, 4, 4)
    assert times_learnt(bench) == 6


def test_pieces_that_are_made_quicker_than_the_estimate_are_learnt_so(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """Of pieces that take as long as each other their sum says the same."""
    work = at_the_holes(bench)
    tell(bench, clocks, work, 0.9, 0.9)
    assert 0.8 < usual_minutes(bench) < 2.5


def test_each_undo_gives_back_what_was_learnt_until_then(bench: Bench, clocks: SteadyClocks) -> None:
    work = at_the_holes(bench)
    seen = []
    for number, mark in enumerate(RIBS[:4]):
        clocks.go(TAPPED if number else 16.0)
        seen.append(dict(bench.state.times))
        finish_piece(bench, work, mark)
    for mark, times in reversed(list(zip(RIBS[:4], seen, strict=True))):
        while mark not in bench.work(work).marks:
            undo_newest(bench)
        assert bench.state.times == times


def test_the_day_has_the_minutes_that_were_worked_once(bench: Bench, clocks: SteadyClocks) -> None:
    work = at_the_holes(bench)
    before = sum(bench.state.minutes_by_day.values())
    tell(bench, clocks, work, 18, TAPPED)
    assert sum(bench.state.minutes_by_day.values()) - before == pytest.approx(18 + 5 * TAPPED)


def test_after_a_pause_it_is_another_piece(bench: Bench, clocks: SteadyClocks) -> None:
    work = at_the_holes(bench)
    clocks.go(8)
    finish_piece(bench, work, "NR-01")
    first = times_learnt(bench)
    bench.pause(work)
    clocks.go(30)
    bench.take_up(work)
    clocks.go(TAPPED)
    finish_piece(bench, work, "NR-02")
    assert times_learnt(bench) == first  # no piece, and no share of one that was paused since


@pytest.mark.parametrize("way", ["begun late", "paused", "next evening", "undone", "put back between"])
def test_what_is_only_told_is_no_change_of_pace(bench: Bench, clocks: SteadyClocks, way: str) -> None:
    """Five in .2 minutes each, and the third of them was taken for the new usual."""
    work = at_the_holes(bench)
    before = usual_minutes(bench)
    if way != "begun late":
        clocks.go(24)
    finish_piece(bench, work, "NR-01")
    if way == "undone":
        undo_newest(bench)
        bench.finish(work, "NR-01")
    elif way in ("paused", "next evening"):
        bench.pause(work)
        clocks.go(20 if way == "paused" else 24 * 60)
        bench.take_up(work)
        bench.acknowledge(work)
    elif way == "put back between":
        bench.pause(work)
        other = bench.start(["NR-14"], "rib-blank", "choose-sheet")
        bench.put_back(other)
        bench.take_up(work)
    for mark in RIBS[1:]:
        clocks.go(TAPPED)
        finish_piece(bench, work, mark)
    assert before * 0.9 < usual_minutes(bench) < before * 1.6


@pytest.mark.parametrize("telling", [0.5, 1.0, 1.5])
def test_to_measure_three_figures_on_each_takes_longer(
    bench: Bench, clocks: SteadyClocks, telling: float
) -> None:
    work = at_the_holes(bench)
    tell(bench, clocks, work, 24, telling)
    assert usual_minutes(bench) > 3.5


def test_nobody_learns_of_the_time_of_another(bench: Bench, clocks: SteadyClocks) -> None:
    work = at_the_holes(bench)
    clocks.go(8)
    finish_piece(bench, work, "NR-01")
    (finish,) = list(bench.state.finishes.values())[-1:]
    clocks.go(TAPPED)
    finish_piece(bench, work, "NR-02")
    body = bench.record.journal.newest(["step_finished"], 1)[-1].body
    assert isinstance(body, StepFinished) and body.marks == ("NR-02",)
    found = told_afterwards(bench.state, finish, body, "wren")
    assert found is not None and found.timed[0].pieces == 2
    assert told_afterwards(bench.state, finish, body, "odile") is None
    assert told_afterwards(bench.state, finish, replace(body, exact=False), "wren") is None
    assert told_afterwards(bench.state, replace(finish, timed=()), body, "wren") is None
    assert told_afterwards(bench.state, finish, replace(body, active_s=121.0), "wren") is None


def end_of_all(bench: Bench) -> Finish:
    """The end whose minutes are of all that were told of after it."""
    (found,) = [one for one in bench.state.finishes.values() if one.own_pieces]
    return found


def correct(bench: Bench, mark: str, minutes: float) -> None:
    """The builder says on the part's page how long it took."""
    bench.correct(mark, STEP, "minutes", f"{minutes:g}", "told afterwards")


def test_each_is_corrected_by_itself(bench: Bench, clocks: SteadyClocks) -> None:
    """The minutes said of the first were taken for those of six."""
    work = at_the_holes(bench)
    tell(bench, clocks, work, 47, TAPPED)
    before, minutes = dict(bench.state.times), sum(bench.state.minutes_by_day.values())
    for mark in RIBS:
        correct(bench, mark, 8.0)
    assert 6 < usual_minutes(bench) <= 8.4 and times_learnt(bench) == 6
    assert sum(bench.state.minutes_by_day.values()) - minutes == pytest.approx(0, abs=0.01)
    for _ in RIBS:
        undo_newest(bench)
    assert sum(bench.state.minutes_by_day.values()) == pytest.approx(minutes)
    assert bench.state.times == before


def test_one_of_those_told_afterwards_is_taken_out_of_the_rest(bench: Bench, clocks: SteadyClocks) -> None:
    work = at_the_holes(bench)
    tell(bench, clocks, work, 24, TAPPED)
    end = end_of_all(bench)
    assert end.timed[0].pieces == 6 and end.minutes == pytest.approx(25)
    day = sum(bench.state.minutes_by_day.values())
    correct(bench, "NR-04", 10.0)
    assert sum(bench.state.minutes_by_day.values()) == pytest.approx(day)  # of all it is as much as before
    end = end_of_all(bench)
    assert end.timed[0].pieces == 5 and end.minutes == pytest.approx(15)
    undo_newest(bench)
    end = end_of_all(bench)
    assert end.timed[0].pieces == 6 and end.minutes == pytest.approx(25)


def test_after_a_correction_nothing_is_put_to_its_minutes(bench: Bench, clocks: SteadyClocks) -> None:
    work = at_the_holes(bench)
    clocks.go(12)
    finish_piece(bench, work, "NR-01")
    for mark in ("NR-02", "NR-03"):
        clocks.go(TAPPED)
        finish_piece(bench, work, mark)
    correct(bench, "NR-01", 6.0)
    corrected = dict(bench.state.finishes)
    clocks.go(TAPPED)
    finish_piece(bench, work, "NR-04")
    assert {one: bench.state.finishes[one] for one in corrected} == corrected
    assert times_learnt(bench) == 1  # of what was told of in seconds nobody knows how long it took
    correction = next(one for one in bench.state.undoables if one.phrase.startswith("correction"))
    with pytest.raises(Refused, match="came after it"):
        bench.undo(correction.event)
    while bench.state.undoables[-1].phrase.startswith("correction") is False:
        undo_newest(bench)
    third = next(one for one in bench.state.undoables if "done on NR-03" in one.phrase)
    with pytest.raises(Refused, match="came after it"):  # the correction stands on how it was
        bench.undo(third.event)
    undo_newest(bench)
    bench.undo(third.event)


def test_it_is_so_after_a_start(bench: Bench, clocks: SteadyClocks, new_shop: Path) -> None:
    work = at_the_holes(bench)
    tell(bench, clocks, work, 24, TAPPED)
    times = dict(bench.state.times)
    bench.record.journal.drop_snapshot()
    bench.close()
    again = Bench(new_shop, clocks)
    assert dict(again.state.times) == times
    again.close()
