"""An end that is taken back: what was worked until then was worked, and counts once, on its day."""

from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.apply import fold
from kiosk.record.events import Event, StepFinished
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks, local_time
from tests.driver import do_step, finish_piece, next_step, undo_newest

FIRST = StepRef("form-block", "measure-pattern")
DAY = "2027-05-08"


def begun(bench: Bench) -> str:
    return bench.start(["FB-NR"], FIRST.procedure, FIRST.step)


def taken_back_after(bench: Bench, clocks: SteadyClocks, minutes: float) -> str:
    """The work whose end, after so many minutes, was taken back."""
    work = begun(bench)
    clocks.go(minutes)
    finish_piece(bench, work, "FB-NR")
    undo_newest(bench)
    return work


def minutes_of_ends(bench: Bench) -> list[float]:
    """What the record says of each end of a step, in turn."""
    ends = [one.body for one in bench.record.journal.of_kind("step_finished")]
    return [one.active_s / 60 for one in ends if isinstance(one, StepFinished)]


def test_what_was_worked_in_one_go_is_in_the_step_after_its_end_was_taken_back(
    bench: Bench, clocks: SteadyClocks
) -> None:
    work = begun(bench)
    for _ in range(6):
        clocks.go(15)
        bench.note("still at it")
    finish_piece(bench, work, "FB-NR")
    day = dict(bench.state.minutes_by_day)
    undo_newest(bench)
    assert dict(bench.state.works[work].before) == pytest.approx({DAY: 5400})
    clocks.go(0.2)
    bench.finish(work, "FB-NR")
    assert minutes_of_ends(bench) == pytest.approx([90, 90.2], abs=0.01)
    # So long a time counts as the usual one: saying it again takes nothing from the day.
    assert bench.state.minutes_by_day == pytest.approx(day)


@pytest.mark.parametrize("paused", [True, False])
def test_minutes_of_a_day_are_counted_once_however_often_the_end_is_taken_back(
    bench: Bench, clocks: SteadyClocks, paused: bool
) -> None:
    work = begun(bench)
    clocks.go(8)
    if paused:
        bench.pause(work)
        clocks.go(1)
        bench.take_up(work)
    finish_piece(bench, work, "FB-NR")
    for again in range(1, 4):
        undo_newest(bench)
        assert bench.state.minutes_by_day == pytest.approx({DAY: 8 + 0.5 * (again - 1)})  # it was spent
        clocks.go(0.5)
        bench.finish(work, "FB-NR")
        assert bench.state.minutes_by_day == pytest.approx({DAY: 8 + 0.5 * again})
    assert minutes_of_ends(bench) == pytest.approx([8, 8.5, 9, 9.5])
    bench.correct("FB-NR", FIRST, "minutes", "7", "the timer ran on")
    assert bench.state.minutes_by_day == pytest.approx({DAY: 7})


def test_what_is_worked_on_the_next_day_counts_there_and_the_rest_stays(
    bench: Bench, clocks: SteadyClocks
) -> None:
    work = taken_back_after(bench, clocks, 8)
    bench.pause(work)
    clocks.go_to(local_time(2027, 5, 9, 12))
    bench.take_up(work)
    clocks.go(3)
    bench.finish(work, "FB-NR")
    assert bench.state.minutes_by_day == pytest.approx({DAY: 8, "2027-05-09": 3})


def test_an_end_of_no_known_day_leaves_the_day_before_its_minutes(bench: Bench, clocks: SteadyClocks) -> None:
    work = taken_back_after(bench, clocks, 8)
    bench.mark_clock(right=False)
    clocks.go(1)
    bench.finish(work, "FB-NR")
    assert bench.state.minutes_by_day == pytest.approx({DAY: 8})
    undo_newest(bench)
    bench.mark_clock(right=True)
    clocks.go(1)
    bench.finish(work, "FB-NR")
    assert bench.state.minutes_by_day == pytest.approx({DAY: 10})


def test_a_step_put_back_and_taken_up_again_by_undo_has_its_minutes(
    bench: Bench, clocks: SteadyClocks
) -> None:
    work = begun(bench)
    clocks.go(8)
    bench.put_back(work)
    clocks.go(5)  # nobody was at it
    undo_newest(bench)
    clocks.go(1)
    finish_piece(bench, work, "FB-NR")
    assert minutes_of_ends(bench) == pytest.approx([9])


def test_pieces_of_a_batch_taken_back_one_after_the_other(bench: Bench, clocks: SteadyClocks) -> None:
    marks = ["NR-01", "NR-02", "NR-03"]
    while next_step(bench, marks[0]).batch == "together":
        do_step(bench, marks)
    held = sum(bench.state.minutes_by_day.values())
    where = bench.position(marks[0])
    assert where.procedure is not None and where.step is not None
    before = len(minutes_of_ends(bench))
    work = bench.start(marks, where.procedure.id, where.step.id)
    bench.acknowledge(work)
    for mark, minutes in ((marks[0], 4), (marks[1], 3)):
        clocks.go(minutes)
        finish_piece(bench, work, mark)
    clocks.go(2)
    while bench.state.works[work].marks != tuple(marks):  # what was answered on the second lies between
        undo_newest(bench)
    assert sum(bench.state.minutes_by_day.values()) == pytest.approx(held + 7)
    clocks.go(1)
    bench.finish(work, marks[0])
    assert minutes_of_ends(bench)[before:] == pytest.approx([4, 3, 10])
    assert sum(bench.state.minutes_by_day.values()) == pytest.approx(held + 10)


def test_the_undo_of_a_split_keeps_what_the_others_were_worked_on(bench: Bench, clocks: SteadyClocks) -> None:
    marks = ["NR-01", "NR-02", "NR-03"]
    while next_step(bench, marks[0]).batch == "together":
        do_step(bench, marks)
    where = bench.position(marks[0])
    assert where.procedure is not None and where.step is not None
    work = bench.start(marks, where.procedure.id, where.step.id)
    bench.acknowledge(work)
    clocks.go(4)
    bench.split_batch([marks[1]])
    assert bench.state.works[work].marks == (marks[0], marks[2])
    clocks.go(3)
    undo_newest(bench)
    assert bench.state.works[work].marks == tuple(marks)
    finish_piece(bench, work, marks[0])
    assert minutes_of_ends(bench)[-1] == pytest.approx(7)


def test_an_older_kiosks_end_that_forgot_what_was_worked_takes_nothing_from_the_day(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """Before, only what came after the undo was in the second end of a step that ran in one go."""
    work = taken_back_after(bench, clocks, 8)
    clocks.go(0.5)
    bench.finish(work, "FB-NR")

    def as_it_was(event: Event) -> Event:
        if not isinstance(event.body, StepFinished) or event.body.active_s < 500:
            return event
        return replace(event, body=replace(event.body, active_s=30.0))

    older = fold(as_it_was(event) for event in bench.record.journal.after(0))
    assert older.minutes_by_day == pytest.approx({DAY: 8.5})
    assert [one.minutes for one in older.finishes.values()] == pytest.approx([0.5])


def test_the_undo_of_a_correction_brings_back_no_day_that_was_struck_out(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    with closing(Bench(new_shop, clocks)) as bench:
        bench.note("a day under a clock that was right")
    right = clocks.at
    clocks.boot_id, clocks.at = "another boot", right + timedelta(days=31)
    ahead = Bench(new_shop, clocks)
    work = ahead.start(["FB-NR"], FIRST.procedure, FIRST.step)
    clocks.go(5)
    ahead.pause(work)
    ahead.take_up(work)
    clocks.go(5)
    finish_piece(ahead, work, "FB-NR")
    ahead.correct("FB-NR", FIRST, "minutes", "9", "the timer ran short")
    assert list(ahead.state.minutes_by_day) == ["2027-06-08"]
    clocks.at = right + timedelta(hours=1)
    ahead.mark_clock(right=True)
    undo_newest(ahead)
    undo_newest(ahead)
    assert ahead.state.works[work].before == ()
    assert (ahead.state.minutes_by_day, ahead.state.planned_by_day) == ({}, {})
    clocks.go(1)
    ahead.finish(work, "FB-NR")
    assert ahead.state.minutes_by_day == pytest.approx({DAY: 11})
    assert fold(ahead.record.journal.after(0)) == ahead.state
    ahead.close()
