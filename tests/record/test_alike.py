"""What is said of several parts of a batch at once stands in the record as if it were said of each.

Common practice, no source: who makes the same part six times over looks at all six at the bench, and goes to
the screen then.
"""

from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.alike import Alike
from kiosk.record.events import StepFinished
from kiosk.record.rules import Refused
from kiosk.record.state import State
from kiosk.shop.data import data_folder
from tests.conftest import SteadyClocks
from tests.driver import finish_piece, undo_newest
from tests.logbook.reading import write_record
from tests.record.test_batches import begin_as_the_card_says, begun, through_a_step, to_the_step
from tests.record.test_batches import bench as bench

RIBS = ("NR-01", "NR-02", "NR-03")
TAP = "0" * 32


def at(bench: Bench, step: str) -> str:
    """The batch with a step in hand, its cautions read; gives the work."""
    begun(bench, list(RIBS))
    to_the_step(bench, step)
    return begin_as_the_card_says(bench)[0]


def seen(bench: Bench, work: str, check: str = "") -> Alike:
    """What the screen shows that it may be said of."""
    found = bench.alike(work, check)
    assert found is not None
    return found


def alike_of(bench: Bench, work: str, check: str = "") -> tuple[tuple[str, ...], bool]:
    """The parts, and whether they are done with it."""
    found = seen(bench, work, check)
    return found.marks, found.ends


def finished(bench: Bench, step: str) -> list[StepFinished]:
    """The entries of its end."""
    bodies = (one.body for one in bench.record.journal.after(0))
    return [one for one in bodies if isinstance(one, StepFinished) and one.step == step]


def facts(state: State) -> object:
    """What is so of the ribs, whatever was pressed and how long it took."""
    return {
        mark: (
            {name: sorted(steps) for name, steps in state.part(mark).passes.items()},
            state.part(mark).measured,
        )
        for mark in RIBS
    }


def test_each_part_of_the_batch_that_waits_for_the_same_answer_is_spoken_for(bench: Bench) -> None:
    work = at(bench, "cut-blank")
    (check,) = [one.id for one in bench.step_view(work).checks]
    assert alike_of(bench, work, check) == (RIBS, True)
    bench.answer(work, "NR-02", check, "yes")
    assert alike_of(bench, work, check) == (("NR-01", "NR-03"), True)
    bench.raise_snag("NR-03", "dented")
    assert bench.alike(work, check) is None  # held, it is looked at by itself, and one alone is no batch


def test_with_something_else_to_be_said_they_are_not_done_with_it(bench: Bench) -> None:
    work = at(bench, "trace-blank")
    first = next(one.id for one in bench.step_view(work).checks if one.kind == "yes_no")
    found = bench.alike(work, first)
    assert found is not None and found.marks == RIBS and not found.ends
    figure = next(one.id for one in bench.step_view(work).checks if one.kind == "measure")
    assert bench.alike(work, figure) is None  # read off each by itself


def test_what_goes_straight_on_and_what_goes_together_are_not_said_so(bench: Bench) -> None:
    begun(bench, list(RIBS))
    seen = set()
    while "drive-home" not in seen:
        work, marks = begin_as_the_card_says(bench)
        step = bench.work(work).step
        seen.add(step)
        view = bench.step_view(work)
        if view.together or step in ("pin-blank", "first-pass", "second-pass"):
            assert all(bench.alike(work, one.id) is None for one in view.checks)
            assert bench.alike(work) is None
        for mark in marks[:1] if view.together else marks:
            finish_piece(bench, work, mark)
    assert {"transfer-marking", "pin-blank"} <= seen


def test_another_kind_ends_by_itself(bench: Bench) -> None:
    work = at(bench, "cut-blank")
    assert bench.alike(work, bench.step_view(work).checks[0].id) is not None
    parts = bench.shop.parts
    bench._shop = replace(bench.shop, parts={**parts, "NR-02": replace(parts["NR-02"], kind="tailplane-rib")})
    found = bench.alike(work, bench.step_view(work).checks[0].id)
    assert found is not None and "NR-02" not in found.marks
    for mark in RIBS:
        bench.answer(work, mark, bench.step_view(work).checks[0].id, "yes")
    with pytest.raises(Refused, match="NR-02 does not end as NR-01 does"):
        bench.finish(work, "NR-01", others=["NR-02"])
    bench.finish(work, "NR-01", others=["NR-03"])


@pytest.mark.parametrize("step", ["tooling-holes", "cut-blank", "file-edge", "punch-reliefs"])
def test_the_record_says_of_each_what_it_would_say_one_by_one(
    bench: Bench, new_shop: Path, clocks: SteadyClocks, step: str, tmp_path: Path
) -> None:
    work = at(bench, step)
    while work in bench.state.works:
        view = bench.step_view(work)
        check = view.active_check
        if view.counting:
            alike = bench.alike(work)
            assert alike is not None
            bench.count_each(work, alike, view.count_wanted, f"{TAP}c")
        elif check is not None and check.kind == "yes_no" and bench.alike(work, check.id):
            alike = bench.alike(work, check.id)
            assert alike is not None
            bench.answer_each(work, alike, check.id, check.wanted, f"{TAP}{check.id}")
            if alike.ends:
                bench.finish(work, alike.marks[0], others=alike.marks[1:])
        else:
            finish_piece(bench, work, view.mark)
    told = facts(bench.state)
    while any(step in steps for mark in RIBS for steps in bench.state.part(mark).passes.values()):
        undo_newest(bench)
    while any(bench.state.part(mark).work for mark in RIBS):
        undo_newest(bench)
    assert through_a_step(bench)[0] == step
    assert facts(bench.state) == told


def test_the_minutes_are_of_all_that_were_worked_meanwhile(bench: Bench, clocks: SteadyClocks) -> None:
    """Ended one after the other, the first had all the minutes and the others none: nothing was learnt."""
    work = at(bench, "cut-blank")
    (check,) = [one.id for one in bench.step_view(work).checks]
    clocks.go(30)
    alike = bench.alike(work, check)
    assert alike is not None
    bench.answer_each(work, alike, check, "yes", TAP)
    bench.finish(work, "NR-01", others=alike.marks[1:])
    (entry,) = finished(bench, "cut-blank")
    assert entry.marks == RIBS and entry.active_s == pytest.approx(1800)
    finish = list(bench.state.finishes.values())[-1]
    assert finish.timed[0].pieces == 3
    undo_newest(bench)  # one entry, taken back by one
    assert [piece.mark for piece in bench.work(work).pieces] == list(RIBS)
    assert bench.alike(work, check) is None  # the answers stand


def test_what_one_press_said_is_taken_back_by_one(bench: Bench) -> None:
    """Of six answers F6 took back that on the last rib alone, and turned to it."""
    work = at(bench, "trace-blank")
    first = next(one.id for one in bench.step_view(work).checks if one.kind == "yes_no")
    before = bench.work(work).pieces
    bench.answer_each(work, seen(bench, work, first), first, "yes", TAP)
    newest = bench.latest_undoable()
    assert (
        newest is not None and "at once" in bench.undo_words(newest) and "2 parts" in bench.undo_words(newest)
    )
    bench.undo(newest.event)
    assert bench.work(work).pieces == before and bench.work(work).turned_to == "NR-01"

    bench.answer_each(work, seen(bench, work, first), first, "yes", f"{TAP}2")
    bench.answer(work, "NR-02", first, "no")  # on the second look
    on_all = [one for one in bench.state.undoables if one.press]
    assert len(on_all) == 3
    with pytest.raises(Refused, match="came after it"):
        bench.undo(on_all[0].event)
    undo_newest(bench)
    undo_newest(bench)
    assert bench.work(work).pieces == before


def test_where_another_screen_answered_one_of_them_meanwhile_nothing_is_said(
    bench: Bench, new_shop: Path, clocks: SteadyClocks
) -> None:
    """Two ribs had their answers, the others none, and the foot said NOT DONE."""
    work = at(bench, "trace-blank")
    first = next(one.id for one in bench.step_view(work).checks if one.kind == "yes_no")
    other, on_all = Bench(new_shop, clocks), seen(bench, work, first)
    other.answer(work, "NR-02", first, "no")
    with pytest.raises(Refused, match="another screen changed"):
        bench.answer_each(work, on_all, first, "yes", TAP)
    assert [len(one.answers) for one in bench.work(work).pieces] == [0, 1, 0]
    assert alike_of(bench, work, first) == (("NR-01", "NR-03"), False)
    other.close()


def test_where_another_screen_counts_meanwhile_nothing_is_counted_or_answered(
    bench: Bench, new_shop: Path, clocks: SteadyClocks
) -> None:
    work = at(bench, "punch-reliefs")
    other, on_all = Bench(new_shop, clocks), seen(bench, work)
    other.count(work, "NR-03", 1)
    with pytest.raises(Refused, match="another screen changed"):
        bench.count_each(work, on_all, 2, TAP)
    assert [one.count for one in bench.work(work).pieces] == [0, 0, 1]
    wanted = bench.step_view(work).count_wanted
    bench.count_each(work, seen(bench, work), wanted, f"{TAP}2")
    (check,) = [one.id for one in bench.step_view(work).checks]
    on_all = seen(bench, work, check)
    other.count(work, "NR-03", wanted - 1)
    with pytest.raises(Refused, match="another screen changed"):
        bench.answer_each(work, on_all, check, "yes", TAP)
    assert not any(one.answers for one in bench.work(work).pieces)
    other.close()


def test_counts_of_all_are_taken_back_together(bench: Bench) -> None:
    work = at(bench, "tooling-holes")
    bench.count(work, "NR-02", 1)
    before = bench.work(work).pieces
    bench.count_each(work, seen(bench, work), 3, TAP)
    assert [one.count for one in bench.work(work).pieces] == [3, 3, 3]
    undo_newest(bench)
    assert bench.work(work).pieces == before


def test_the_life_of_each_says_that_it_was_said_of_several(bench: Bench, tmp_path: Path) -> None:
    work = at(bench, "cut-blank")
    (check,) = [one.id for one in bench.step_view(work).checks]
    bench.answer(work, "NR-02", check, "yes")
    bench.answer_each(work, seen(bench, work, check), check, "yes", TAP)
    bench.finish(work, "NR-01", others=["NR-02", "NR-03"])

    def told(mark: str) -> str:
        (entry,) = [one for one in bench.life(mark) if "Cut outside the line" in one.what.text]
        (line,) = [line.text for line in entry.lines if "Is the line still" in line.text]
        return line

    assert told("NR-01").endswith("yes, said of several parts at once") and told("NR-03") == told("NR-01")
    assert told("NR-02").endswith("yes") and "given on" not in told("NR-02")
    page = next(one for one in write_record(bench, tmp_path) if one.name == "index.html").read_text()
    assert "said of several parts at once" in page


def test_what_is_open_on_any_of_them_or_named_twice_ends_none(bench: Bench) -> None:
    work = at(bench, "cut-blank")
    (check,) = [one.id for one in bench.step_view(work).checks]
    bench.answer(work, "NR-01", check, "yes")
    bench.answer(work, "NR-03", check, "no")
    for others, words in (
        (["NR-02"], "still open"),
        (["NR-03"], "still open"),
        (["NR-01"], "do not end at once"),
        (["NR-07"], "not in hand"),
    ):
        with pytest.raises(Refused, match=words):
            bench.finish(work, "NR-01", others=others)
    bench.answer(work, "NR-02", check, "yes")
    bench.raise_snag("NR-02", "dented")
    with pytest.raises(Refused, match="NR-02 is held"):
        bench.finish(work, "NR-01", others=["NR-02"])
    assert not finished(bench, "cut-blank")


def test_what_was_answered_in_other_words_is_asked_of_each_again(bench: Bench, clocks: SteadyClocks) -> None:
    work = at(bench, "cut-blank")
    (check,) = [one.id for one in bench.step_view(work).checks]
    bench.answer(work, "NR-02", check, "yes")
    text = (data_folder("procedures") / "rib" / "rib-blank.yaml").read_text()
    assert text.count("Is the line still to be seen all round?") == 1
    own = bench.shop.folder / "procedures" / "rib-blank.yaml"
    own.write_text(text.replace("Is the line still to be seen all round?", "Is the margin left all round?"))
    bench.pause(work)
    bench.close()
    again = Bench(bench.shop.folder, clocks)
    again.take_up(work)
    again.acknowledge(work)
    assert alike_of(again, work, check) == (RIBS, True)
    again.close()


def test_a_press_that_comes_twice_is_recorded_once(bench: Bench) -> None:
    work = at(bench, "cut-blank")
    (check,) = [one.id for one in bench.step_view(work).checks]
    on_all = seen(bench, work, check)
    bench.answer_each(work, on_all, check, "yes", TAP)
    before = bench.state.seq
    bench.answer_each(work, on_all, check, "yes", TAP)
    assert bench.state.seq == before
