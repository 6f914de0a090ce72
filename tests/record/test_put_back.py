"""Put back as not begun: what is put back is as before, what is not goes on, the place is where it was."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.apply import fold
from kiosk.record.batch import members
from kiosk.record.out_on_bench import out_on_bench
from kiosk.record.rules import Refused
from kiosk.record.state import PartState
from tests.conftest import SteadyClocks
from tests.driver import do_step, finish_piece, next_step, undo_newest

RIBS = ["NR-01", "NR-02", "NR-03"]


@pytest.fixture
def bench(new_shop: Path, clocks: SteadyClocks) -> Iterator[Bench]:
    """The nose block is complete; nothing of any rib is done."""
    bench = Bench(new_shop, clocks)
    while not bench.position("FB-NR").all_done:
        do_step(bench, ["FB-NR"])
        clocks.go(24 * 60)
    bench.complete("FB-NR")
    yield bench
    assert fold(bench.record.journal.after(0)) == bench.state
    bench.close()


def walks(bench: Bench, *marks: str) -> list[tuple[str, ...]]:
    """With which parts each of these walks."""
    return [members(bench.shop, bench.state, mark) for mark in marks]


def begin_next(bench: Bench, marks: list[str]) -> str:
    """The step at which parts stand, begun on them."""
    where = bench.position(marks[0])
    assert where.procedure is not None and where.step is not None
    work = bench.begin_batch(marks, where.procedure.id, where.step.id)
    bench.acknowledge(work)
    return work


def to_a_step_in_turn(bench: Bench) -> None:
    """The ribs, each for itself, to a step that is done on several in turn."""
    while next_step(bench, "NR-01").batch != "in turn":
        for mark in RIBS:
            do_step(bench, [mark])


def test_a_batch_that_was_begun_together_and_is_put_back_is_none(bench: Bench) -> None:
    to_a_step_in_turn(bench)
    before = {mark: bench.state.part(mark) for mark in RIBS}
    work = begin_next(bench, RIBS)
    assert walks(bench, "NR-01") == [tuple(RIBS)]
    bench.put_back(work)
    assert {mark: bench.state.part(mark) for mark in RIBS} == before
    assert bench.place_card().batch is None
    undo_newest(bench)
    assert walks(bench, *RIBS) == [tuple(RIBS)] * 3 and work in bench.state.works


def test_one_part_put_back_leaves_the_step_and_the_others_go_on(bench: Bench) -> None:
    to_a_step_in_turn(bench)
    work = begin_next(bench, RIBS)
    bench.put_back(work, ["NR-01"])
    assert bench.work(work).marks == ("NR-02", "NR-03") and bench.work(work).turned_to == "NR-02"
    assert bench.work(work).status == "running"
    assert bench.state.part("NR-01").work is None
    assert walks(bench, *RIBS) == [(), ("NR-02", "NR-03"), ("NR-02", "NR-03")]
    for mark in ("NR-02", "NR-03"):
        finish_piece(bench, work, mark)
    assert walks(bench, "NR-02") == [("NR-02", "NR-03")]
    undo_newest(bench)
    undo_newest(bench)


def test_one_part_put_back_is_undone_with_what_was_worked_meanwhile(
    bench: Bench, clocks: SteadyClocks
) -> None:
    to_a_step_in_turn(bench)
    work = begin_next(bench, RIBS)
    clocks.go(2)
    bench.put_back(work, ["NR-02"])
    clocks.go(3)
    undo_newest(bench)
    assert bench.work(work).marks == tuple(RIBS) and walks(bench, "NR-02") == [tuple(RIBS)]
    assert bench.step_view(work).elapsed_s == 300


def test_all_parts_put_back_one_after_the_other_are_as_before(bench: Bench) -> None:
    to_a_step_in_turn(bench)
    before = {mark: bench.state.part(mark) for mark in RIBS}
    work = begin_next(bench, RIBS)
    for mark in RIBS:
        bench.put_back(work, [mark])
    assert work not in bench.state.works
    assert {mark: bench.state.part(mark) for mark in RIBS} == before


def test_a_part_of_an_older_batch_is_only_behind(bench: Bench) -> None:
    to_a_step_in_turn(bench)
    bench.join_batch(RIBS)
    work = begin_next(bench, RIBS)
    bench.put_back(work, ["NR-03"])
    assert walks(bench, "NR-03") == [tuple(RIBS)]
    for mark in ("NR-01", "NR-02"):
        finish_piece(bench, work, mark)
    assert bench.place_card().marks == ("NR-03",), "who is behind catches up first"
    bench.put_back(begin_next(bench, ["NR-03"]))
    assert walks(bench, "NR-03") == [tuple(RIBS)]


def test_what_came_of_a_batch_keeps_it_a_batch(bench: Bench) -> None:
    to_a_step_in_turn(bench)
    work = begin_next(bench, RIBS)
    finish_piece(bench, work, "NR-01")
    finish_piece(bench, work, "NR-02")
    bench.put_back(work)
    assert walks(bench, "NR-01", "NR-03") == [tuple(RIBS), tuple(RIBS)], "nobody split it"


def test_a_batch_taken_one_by_one_is_none_once_its_first_is_put_back(bench: Bench) -> None:
    """One target began it, and one puts it back; the undo key too."""
    while next_step(bench, "NR-01").id != "pin-blank":
        for mark in RIBS:
            do_step(bench, [mark])
    before = {mark: bench.state.part(mark) for mark in RIBS}
    work = begin_next(bench, RIBS)
    assert bench.work(work).marks == ("NR-01",) and walks(bench, "NR-03") == [tuple(RIBS)]
    bench.put_back(work)
    assert {mark: bench.state.part(mark) for mark in RIBS} == before
    begin_next(bench, RIBS)
    undo_newest(bench)
    assert {mark: bench.state.part(mark) for mark in RIBS} == before
    finish_piece(bench, begin_next(bench, RIBS), "NR-01")
    assert walks(bench, "NR-02") == [tuple(RIBS)]


def test_what_was_begun_on_a_part_is_not_put_back_but_on_the_others(bench: Bench) -> None:
    to_a_step_in_turn(bench)
    work = begin_next(bench, RIBS)
    step = next_step(bench, "NR-01")
    bench.answer(work, "NR-01", step.checks[0].id, "no")
    with pytest.raises(Refused, match="already counted or measured"):
        bench.put_back(work, ["NR-01"])
    with pytest.raises(Refused, match="already counted or measured"):
        bench.put_back(work)
    with pytest.raises(Refused, match="not in hand at this step"):
        bench.put_back(work, ["NR-04"])
    bench.put_back(work, ["NR-02", "NR-02"])
    assert bench.work(work).marks == ("NR-01", "NR-03")


def test_the_place_is_again_what_was_paused_before(bench: Bench, clocks: SteadyClocks) -> None:
    first = bench.start(["NR-01"], "rib-blank", "choose-sheet")
    bench.pause(first)
    clocks.go(1)
    bench.put_back(bench.start(["FB-MR"], "form-block", "measure-pattern"))
    card = bench.place_card()
    assert (card.work, card.action, card.standing) == (first, "resume", "IN HAND, PAUSED")
    bench.start(["FB-MR"], "form-block", "measure-pattern")
    undo_newest(bench)
    assert bench.place_card().work == first
    clocks.go(1)
    finish_piece(bench, begin_next(bench, ["FB-MR"]), "FB-MR")
    assert bench.place_card().work is None, "what is done since is what goes on"


def test_what_an_undo_takes_back_is_not_out_on_the_bench(bench: Bench) -> None:
    bench.close_sitting("")
    while next_step(bench, "NR-01").id != "pin-blank":
        do_step(bench, ["NR-01"])
    bench.close_sitting("")
    bench.begin_slot(60)
    do_step(bench, ["NR-01"])
    where = bench.shop.procedures["rib-forming"]
    family = where.family_of(where.steps[0])
    sitting = bench.state.sitting
    assert family in out_on_bench(bench.context) and sitting is not None and family in sitting.families
    undo_newest(bench)
    assert family in out_on_bench(bench.context), "it is in hand again"
    for _ in range(20):
        if bench.state.works == {}:
            break
        undo_newest(bench)
    sitting = bench.state.sitting
    assert out_on_bench(bench.context) == {} and sitting is not None and sitting.families == ()
    assert bench.state.part("NR-02") == PartState("NR-02")


def test_what_another_end_took_out_stays_out(bench: Bench) -> None:
    to_a_step_in_turn(bench)
    bench.close_sitting("")
    work = begin_next(bench, RIBS)
    for mark in RIBS:
        finish_piece(bench, work, mark)
    out = out_on_bench(bench.context)
    assert len(out) == 1 and len(next(iter(out.values()))) == 1
    undo_newest(bench)
    assert set(out_on_bench(bench.context)) == set(out)
