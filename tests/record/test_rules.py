"""The rules that no screen may bend."""

import pytest

from kiosk.bench import Bench
from kiosk.record.events import PartCompleted
from kiosk.record.rules import Refused
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks
from tests.driver import ACCEPTED, do_step, good_answer, next_step, piece_of, undo_newest
from tests.planning.test_spare import complete, take_to
from tests.record.finishes import with_finish


def with_steps(bench: Bench, procedure_id: str, **changes: object) -> None:
    """Swap a procedure for a changed one, as if its file had been edited."""
    old = bench.shop.procedures[procedure_id]
    procedures = dict(bench.shop.procedures)
    procedures[procedure_id] = old.model_copy(update=changes)
    object.__setattr__(bench.shop, "procedures", procedures)


def test_cautions_come_before_anything_else(bench: Bench) -> None:
    take_to(bench, ["FB-NR"], "form-block/saw-outline")
    work = bench.start(["FB-NR"], "form-block", "saw-outline")
    with pytest.raises(Refused, match="cautions come first"):
        bench.answer(work, "FB-NR", "outside", "yes")
    bench.acknowledge(work)
    bench.answer(work, "FB-NR", "outside", "yes")
    bench.finish(work, "FB-NR")
    assert not bench.step_view(bench.start(["FB-MR"], "form-block", "measure-pattern")).cautions


def test_a_caution_is_asked_again_in_the_next_sitting(bench: Bench) -> None:
    take_to(bench, ["FB-NR"], "form-block/saw-outline")
    work = bench.start(["FB-NR"], "form-block", "saw-outline")
    bench.acknowledge(work)
    bench.close_sitting("")
    bench.take_up(work)
    assert bench.step_view(work).cautions


def test_done_needs_what_is_seen_and_measured(bench: Bench) -> None:
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    bench.acknowledge(work)
    with pytest.raises(Refused, match="still open"):
        bench.finish(work, "FB-NR")
    bench.answer(work, "FB-NR", "bar", "9-1/2")
    with pytest.raises(Refused, match="not as wanted"):
        bench.finish(work, "FB-NR")
    bench.answer(work, "FB-NR", "bar", "254 mm")
    bench.finish(work, "FB-NR")


@pytest.mark.parametrize("text", ["", "ten", "1/0", "10..0", "-", "9'"])
def test_a_figure_that_cannot_be_read_is_refused_with_an_example(bench: Bench, text: str) -> None:
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    before = bench.state.seq
    if text == "9'":
        bench.answer(work, "FB-NR", "bar", text)  # nine feet is a length, only not this one
        assert not bench.step_view(work).checks[0].passed
        return
    with pytest.raises(Exception) as caught:
        bench.answer(work, "FB-NR", "bar", text)
    assert "type the figure" in str(caught.value) or "write it like" in str(caught.value)
    assert bench.state.seq == before


def test_a_batch_moves_piece_by_piece_and_keeps_each_count(bench: Bench) -> None:
    complete(bench, "FB-NR")
    marks = [f"NR-0{n}" for n in range(1, 7)]
    take_to(bench, marks, "rib-blank/tooling-holes")
    work = bench.start(marks, "rib-blank", "tooling-holes")
    bench.acknowledge(work)
    bench.count(work, "NR-01", 3)
    bench.turn_to(work, "NR-04")
    bench.count(work, "NR-04", 2)
    bench.turn_to(work, "NR-01")
    bench.answer(work, "NR-01", "fit", "yes")
    bench.answer(work, "NR-01", "size", "3/16")
    bench.finish(work, "NR-01")
    assert next_step(bench, "NR-01").id == "trace-blank"
    assert next_step(bench, "NR-04").id == "tooling-holes"
    assert piece_of(bench, work, "NR-04").count == 2
    assert bench.state.works[work].marks == tuple(marks[1:])


def test_a_hold_point_waits_for_somebody_else(bench: Bench) -> None:
    complete(bench, "BR-01")
    bench.come("odile")  # two lift the sheet, and look at the straightedge before the router cuts
    take_to(bench, ["FS-01"], "spar-channel/rout-strip")
    bench.leave("odile")
    with pytest.raises(Refused, match="second person"):
        bench.start(["FS-01"], "spar-channel", "rout-strip")
    with pytest.raises(Refused, match="same person"):
        bench.hold_look(["FS-01"], "wren", "good")
    with pytest.raises(Refused, match="Odile is not at the bench"):
        bench.hold_look(["FS-01"], "odile", "the bit touches the line")
    bench.come("odile")
    bench.hold_look(["FS-01"], "odile", "the bit touches the line")
    bench.start(["FS-01"], "spar-channel", "rout-strip")


def test_young_people_keep_out_of_what_is_not_for_them(bench: Bench) -> None:
    take_to(bench, ["FB-NR"], "form-block/saw-outline")
    bench.come("pip")
    with pytest.raises(Refused, match="Pip must be out of the room"):
        bench.start(["FB-NR"], "form-block", "saw-outline")
    bench.hand_over("pip")
    with pytest.raises(Refused, match="an adult"):
        bench.clear_room(StepRef("form-block", "saw-outline"))
    bench.hand_over("wren")
    bench.clear_room(StepRef("form-block", "saw-outline"))
    bench.start(["FB-NR"], "form-block", "saw-outline")


def test_a_helper_may_not_complete_a_part_or_decide_a_snag(bench: Bench) -> None:
    bench.raise_snag("NR-01", "bent corner")
    bench.hand_over("pip")
    snag = bench.state.open_snags()[0].id
    with pytest.raises(Refused, match="only the builder"):
        bench.decide_snag(snag, "use as is", "looks fine")


def test_a_snag_holds_until_it_is_decided(bench: Bench) -> None:
    bench.raise_snag("FB-NR", "knot in the wood")
    with pytest.raises(Refused, match="held"):
        bench.start(["FB-NR"], "form-block", "measure-pattern")
    snag = bench.state.open_snags()[0]
    with pytest.raises(Refused, match="needs its reason"):
        bench.decide_snag(snag.id, "use as is", " ")
    bench.decide_snag(snag.id, "use as is", "away from the edge", None, ACCEPTED)
    bench.start(["FB-NR"], "form-block", "measure-pattern")


def test_rework_goes_back_and_scrap_begins_again(bench: Bench) -> None:
    take_to(bench, ["FB-NR"], "form-block/sand-to-line")
    bench.raise_snag("FB-NR", "pattern came off")
    back_to = StepRef("form-block", "glue-pattern")
    bench.decide_snag(bench.state.open_snags()[0].id, "rework", "glue again", back_to, ACCEPTED)
    assert next_step(bench, "FB-NR").id == "glue-pattern"
    bench.raise_snag("FB-NR", "split")
    bench.decide_snag(bench.state.open_snags()[0].id, "scrap and remake", "split through", None, ACCEPTED)
    assert bench.position("FB-NR").number == 1
    assert bench.state.part("FB-NR").remade == 1


def test_a_skipped_step_stays_open_to_the_end(bench: Bench) -> None:
    take_to(bench, ["BR-01"], "bending-brake/check-straight")
    bench.skip("BR-01", "checked by the maker of the bar")
    while not bench.position("BR-01").all_done:
        do_step(bench, ["BR-01"])
    bench.complete("BR-01")
    body = bench.record.journal.after(0)[-1].body
    assert isinstance(body, PartCompleted)
    assert body.open_items == ("bending-brake/check-straight skipped: checked by the maker of the bar",)


def test_completion_is_its_own_act(bench: Bench) -> None:
    complete_but_one = "bending-brake/prove-brake"
    take_to(bench, ["BR-01"], complete_but_one)
    with pytest.raises(Refused, match="still has steps"):
        bench.complete("BR-01")
    do_step(bench, ["BR-01"])
    assert bench.position("BR-01").all_done and not bench.position("BR-01").completed
    bench.complete("BR-01")
    assert bench.position("BR-01").completed


def test_undo_takes_back_the_newest_first(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    started = next(e for e in bench.record.journal.after(0) if e.body.kind == "work_started")
    with pytest.raises(Refused, match="undo that first"):
        bench.undo(started.id)
    undo_newest(bench)
    assert next_step(bench, "FB-NR").id == "measure-pattern"
    work = next(iter(bench.state.works))
    assert bench.step_view(work).checks[0].answer
    kinds = [event.body.kind for event in bench.record.journal.after(0)]
    assert kinds[-2:] == ["step_finished", "undone"]  # both stay


def test_an_undo_keeps_a_figure_typed_since(bench: Bench) -> None:
    take_to(bench, ["FB-NR"], "form-block/pin-holes")
    work = bench.start(["FB-NR"], "form-block", "pin-holes")
    bench.acknowledge(work)
    bench.count(work, "FB-NR", 1)
    bench.type_draft(work, "FB-NR", "pin", "ye")
    undo_newest(bench)
    piece = piece_of(bench, work, "FB-NR")
    assert (piece.count, [one.text for one in piece.drafts["pin"]]) == (0, ["ye"])


def test_a_wait_holds_the_next_step(bench: Bench, clocks: SteadyClocks) -> None:
    take_to(bench, ["FB-NR"], "form-block/glue-pattern")
    do_step(bench, ["FB-NR"])
    with pytest.raises(Refused, match="pattern glue drying"):
        bench.start(["FB-NR"], "form-block", "pin-holes")
    assert any("pattern glue drying" in line for line in bench.place_card().clocks)
    clocks.go(31)
    bench.start(["FB-NR"], "form-block", "pin-holes")


def test_the_data_sheets_time_replaces_the_typical_one(bench: Bench, clocks: SteadyClocks) -> None:
    """TO 1-1-8 6.12.6.3 gives 30 min as typical; the product's own sheet says 45 here."""
    with_finish(bench, None)
    complete(bench, "BR-01")
    take_to(bench, ["CA-01", "CA-02"], "clean-and-prime/read-data-sheet")
    work = bench.start(["CA-01", "CA-02"], "clean-and-prime", "read-data-sheet")
    answers = ("agrees", "yes"), ("ratio", "yes"), ("stand", "45"), ("pot", "120"), ("dry", "300")
    for check, text in answers:
        bench.answer(work, "CA-01", check, text)
    bench.finish(work, "CA-01")
    take_to(bench, ["CA-01", "CA-02"], "clean-and-prime/mix")
    bench.note_conditions(68, 55)
    do_step(bench, ["CA-01", "CA-02"])
    for mark in ("CA-01", "CA-02"):
        minutes = {clock.kind: clock.minutes for clock in bench.state.part(mark).clocks}
        assert minutes == {"must_pass": 45, "within": 120}


def test_a_changed_procedure_applies_from_the_next_step(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    steps = bench.shop.procedures["form-block"].steps
    new = steps[0].model_copy(update={"id": "look-at-grain"})
    with_steps(bench, "form-block", revision="next", steps=(new, *steps))
    assert next_step(bench, "FB-NR").id == "check-inset"  # what was added before is not asked for again
    changes = bench.place_card().changes
    assert "revision 5 is now next" in changes[0] and "look-at-grain" in changes[1]


def test_a_vanished_step_is_a_question_never_a_guess(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    steps = bench.shop.procedures["form-block"].steps
    with_steps(bench, "form-block", revision="2", steps=steps[1:])
    where = bench.position("FB-NR")
    assert where.step is None and where.vanished == "measure-pattern"
    assert bench.place_card().action == "question"
    bench.answer_place("FB-NR", StepRef("form-block", "saw-outline"))
    assert next_step(bench, "FB-NR").id == "saw-outline"


def test_a_step_in_hand_that_vanished_is_a_question(bench: Bench) -> None:
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    steps = bench.shop.procedures["form-block"].steps
    with_steps(bench, "form-block", steps=steps[1:])
    card = bench.place_card()
    assert card.action == "question" and card.work == work
    bench.set_aside(work)
    assert next_step(bench, "FB-NR").id == "check-inset"


def test_a_wrong_sheet_is_out(bench: Bench) -> None:
    work = bench.start(["NR-01"], "rib-blank", "choose-sheet")
    bench.acknowledge(work)
    bench.answer(work, "NR-01", "lot", "SH-03")  # .032, the rib is .025
    assert not bench.step_view(work).checks[0].passed
    bench.answer(work, "NR-01", "lot", "sh-01")
    assert bench.step_view(work).checks[0].passed
    with pytest.raises(Refused, match="no sheet is marked"):
        bench.answer(work, "NR-01", "lot", "TIN-01")


def test_answers_follow_the_part_kinds_dimensions(bench: Bench) -> None:
    for check_mark in ("NR-01", "MR-01"):
        kind = bench.shop.kind_of(check_mark)
        step = bench.shop.procedures["rib-check"].step("outline")
        assert step is not None
        check = step.checks[3]
        assert float(good_answer(bench, check, check_mark)) == pytest.approx(
            bench.shop.figures.number(kind, "rear_height", "in"), abs=1e-4
        )
