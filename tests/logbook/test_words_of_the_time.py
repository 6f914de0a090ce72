"""The record says what was true then: a later edit of a procedure changes nothing that is printed."""

import json
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from kiosk.bench import Bench
from kiosk.logbook.entries import read
from kiosk.logbook.words import TODAY
from kiosk.record.events import Answered, AnyBody, ProcedureKept, StepFinished, WorkStarted
from kiosk.shop.procedure import Procedure
from tests.driver import do_step
from tests.logbook.reading import read_page, recorded, write_record
from tests.record.test_stored_records import STORED


def changed(bench: Bench, *, revision: str = "changed", **words: str) -> None:
    """Edit the first step of the form-block procedure, as a builder edits the YAML."""
    before = bench.shop.procedures["form-block"]
    first = before.steps[0].model_copy(update=words)
    after = before.model_copy(update={"steps": (first, *before.steps[1:]), "revision": revision})
    assert isinstance(bench.shop.procedures, dict)
    bench.shop.procedures["form-block"] = after


def test_old_entries_keep_their_words_when_a_procedure_is_edited(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    bench.skip("FB-MR", "measured on FB-NR")
    before = [entry.text for entry in recorded(bench)]
    assert "Measure the scale bar on the full-size pattern." in before[1]
    changed(bench, do="Measure the bar to FIVE mm.")
    do_step(bench, ["FB-TR"])
    after = [entry.text for entry in recorded(bench)]
    assert after[: len(before)] == before
    assert "FIVE mm" in after[-1] and "(revision changed)" in after[-1]


def test_an_edit_under_the_same_revision_is_kept_apart_too(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    changed(bench, do="Measure the bar.", revision=bench.shop.procedures["form-block"].revision)
    do_step(bench, ["FB-TR"])
    said = [entry.text for entry in recorded(bench)]
    assert "full-size pattern" in said[1] and "Measure the bar." in said[2]


def test_a_limit_that_changes_later_leaves_the_old_answers_as_they_were(bench: Bench) -> None:
    do_step(bench, ["NR-01"])
    before = recorded(bench)[-1].given
    assert len(before) == 2 and before[1].wanted == "wanted: 0.0225 to 0.0275 in"
    kind = bench.shop.kinds["nose-rib"]
    assert isinstance(bench.shop.kinds, dict)
    bench.shop.kinds["nose-rib"] = kind.model_copy(
        update={"material": kind.material.model_copy(update={"thickness": 0.04})}
    )
    assert recorded(bench)[-1].given == before


def test_each_text_is_kept_once_before_what_is_done_by_it(bench: Bench) -> None:
    for mark in ("FB-NR", "FB-MR"):
        do_step(bench, [mark])
        do_step(bench, [mark])
    events = bench.record.journal.after(0)
    kept = [event.body for event in events if isinstance(event.body, ProcedureKept)]
    assert len(kept) == 1
    assert Procedure.model_validate(json.loads(kept[0].words)) == bench.shop.procedures["form-block"]
    assert all(event.body.text == kept[0].text for event in events if isinstance(event.body, StepFinished))


def test_a_record_from_before_words_were_kept_says_so(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    old = [
        replace(event, body=_of_before(event.body))
        for event in bench.record.journal.after(0)
        if not isinstance(event.body, ProcedureKept)
    ]
    with read(bench.shop, old) as index:
        step = list(index.entries())[-1]
    assert step.text.endswith(f"Measure the scale bar on the full-size pattern. {TODAY} (revision 5)")
    asked = f"Length of the 10 inch scale bar, on the worst page {TODAY}"
    assert [given.asked for given in step.given] == [asked]
    assert [given.wanted for given in step.given] == [""]  # today's limits say nothing of then
    changed(bench, id="renamed")
    with read(bench.shop, old) as index:
        step = list(index.entries())[-1]
    assert step.text == "form-block/measure-pattern (revision 5)"
    assert [given.asked for given in step.given] == ["bar:"]


def _of_before(body: AnyBody) -> AnyBody:
    fields: dict[str, Any] = {"text": ""} if isinstance(body, WorkStarted | StepFinished) else {}
    fields |= {"ask": "", "wanted": ""} if isinstance(body, Answered) else {}
    return replace(body, **fields)


@pytest.mark.parametrize("path", STORED, ids=lambda path: path.stem)
def test_a_record_of_an_earlier_format_prints_and_marks_what_it_does_not_have(
    new_shop: Path, path: Path
) -> None:
    copy = new_shop / "record.db"
    shutil.copy(path, copy)
    bench = Bench(new_shop)
    steps = [entry for entry in recorded(bench) if entry.what == "step"]
    finished = [
        event.body for event in bench.record.journal.read_on() if isinstance(event.body, StepFinished)
    ]
    page = read_page(write_record(bench)[0])
    bench.close()
    assert len(steps) == len(finished) > 20
    for entry, body in zip(steps, finished, strict=True):
        assert (TODAY in entry.text) == (not body.text)
        for given in entry.given:
            assert (TODAY in given.asked) == (not body.text), given
    assert len([row for row in page.in_section("days") if len(row.cells) == 6]) > len(steps)
