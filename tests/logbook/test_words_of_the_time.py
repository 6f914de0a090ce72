"""The record says what was true then: a later edit of a procedure changes nothing that is printed."""

from kiosk.bench import Bench
from kiosk.logbook.entries import entries
from kiosk.record.events import ProcedureKept, StepFinished
from kiosk.shop.procedure import Procedure, StepRef
from tests.driver import do_step


def changed(bench: Bench, **words: str) -> None:
    """Edit the first step of the form-block procedure, as a builder edits the YAML."""
    before = bench.shop.procedures["form-block"]
    first = before.steps[0].model_copy(update=words)
    after = before.model_copy(update={"steps": (first, *before.steps[1:]), "revision": "2"})
    assert isinstance(bench.shop.procedures, dict)
    bench.shop.procedures["form-block"] = after


def test_old_entries_keep_their_words_when_a_procedure_is_edited(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    bench.skip("FB-MR", "measured on FB-NR")
    before = [entry.text for entry in entries(bench.shop, bench.record.journal.stream())]
    assert "Measure the scale bar on the full-size pattern." in before[0]
    changed(bench, do="Measure the bar to FIVE mm.")
    do_step(bench, ["FB-TR"])
    after = [entry.text for entry in entries(bench.shop, bench.record.journal.stream())]
    assert after[: len(before)] == before
    assert "FIVE mm" in after[-1] and "(revision 2)" in after[-1]


def test_an_edit_under_the_same_revision_is_kept_apart_too(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    changed(bench, do="Measure the bar.", revision="1")
    do_step(bench, ["FB-TR"])
    said = [entry.text for entry in entries(bench.shop, bench.record.journal.stream())]
    assert "full-size pattern" in said[0] and "Measure the bar." in said[1]


def test_a_limit_that_changes_later_leaves_the_old_answers_as_they_were(bench: Bench) -> None:
    do_step(bench, ["NR-01"])
    before = entries(bench.shop, bench.record.journal.stream())[-1].measured
    assert len(before) == 2 and "(wanted: 0.0225 to 0.0275 in)" in before[1]
    kind = bench.shop.kinds["nose-rib"]
    assert isinstance(bench.shop.kinds, dict)
    bench.shop.kinds["nose-rib"] = kind.model_copy(
        update={"material": kind.material.model_copy(update={"thickness": 0.04})}
    )
    assert entries(bench.shop, bench.record.journal.stream())[-1].measured == before


def test_each_text_is_kept_once_before_what_is_done_by_it(bench: Bench) -> None:
    for mark in ("FB-NR", "FB-MR"):
        do_step(bench, [mark])
        do_step(bench, [mark])
    events = bench.record.journal.after(0)
    kept = [event.body for event in events if isinstance(event.body, ProcedureKept)]
    assert len(kept) == 1
    assert Procedure.model_validate_json(kept[0].words) == bench.shop.procedures["form-block"]
    assert all(event.body.text == kept[0].text for event in events if isinstance(event.body, StepFinished))


def test_a_record_from_before_words_were_kept_says_so(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    old = [
        event
        if not isinstance(event.body, StepFinished)
        else type(event)(**{**vars(event), "body": event.body.model_copy(update={"text": ""})})
        for event in bench.record.journal.after(0)
    ]
    assert "(in today's words)" in entries(bench.shop, old)[0].text
    gone = StepRef("form-block", "measure-pattern")
    changed(bench, id="renamed")
    assert str(gone) in entries(bench.shop, old)[0].text
