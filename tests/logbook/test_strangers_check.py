"""A stranger's check: whatever was recorded is found in the written pages and tables, and what stands as done
there is what the fold of the record says. What they expect is read off the events, not off the logbook.
"""

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.logbook.words import time_words
from kiosk.record import events as e
from kiosk.record.events import Event
from kiosk.shop.procedure import MeasureCheck, Procedure, Step
from kiosk.shop.shop import Shop
from tests.conftest import SteadyClocks
from tests.driver import do_step
from tests.logbook.reading import Page, Row, read_page, read_table, write_record
from tests.record.test_fold import begun_shop, opened, random_walk

__all__ = ["begun_shop"]  # a fixture

SEEDS = range(6)
Walked = tuple[Bench, list[Event]]
PAST = ("days", "lots", "open", "people")  # sections that say nothing of today's plans


@pytest.fixture(scope="module", params=SEEDS)
def walked(
    begun_shop: Path, tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest
) -> Iterator[Walked]:
    """A bench after many careless acts, with those that only other shops or newer screens bring.

    Nothing is recorded on it after that.
    """
    folder = tmp_path_factory.mktemp("walked") / "shop"
    shutil.copytree(begun_shop, folder)
    clocks = SteadyClocks()
    bench = opened(folder, clocks)
    do_step(bench, ["MR-01", "MR-02"])
    random_walk(bench, clocks, request.param, 250)
    bench.record.transact(lambda _: of_other_shops(), by="wren", tap=None)
    random_walk(bench, clocks, 100 + request.param, 250)
    yield bench, bench.record.journal.after(0)
    bench.close()


@pytest.fixture(scope="module")
def written(walked: Walked, tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Its page and tables, somewhere else: the shop that is read once is nobody's folder."""
    return write_record(walked[0], tmp_path_factory.mktemp("written"))


def of_other_shops() -> list[e.AnyBody]:
    return [
        e.SnagRaised(snag="given", mark="NR-02", text="hole 1/16 too far in"),
        e.SnagDecided(
            snag="given",
            decision="use as is",
            reason="within the edge distance",
            accepted_by="wren",
            accepted_role="builder",
            answer="agreed, one hole only",
            answered_by="A. Draughtsman",
            answered_role="designer",
        ),
        e.HoldLooked(
            marks=("NR-02", "NR-03"),
            procedure="rib-blank",
            step="cut-blank",
            looker="",
            finding="lines agree",
            standing="inspector",
            looker_name="I. Looker",
            looker_number="N-17",
        ),
        e.NoteWritten(text="the sun was on the bench", mark="NR-02"),
        e.RunStarted(boot="b", believed=False),
        e.ClockMarked(boot="b", right=True),
    ]


def row_of(page: Page, section: str, number: int) -> Row:
    (row,) = [one for one in page.in_section(section) if one.cells[0] == str(number)]
    return row


def test_everything_that_was_recorded_is_found(walked: Walked, written: list[Path]) -> None:
    bench, events = walked
    page, entries, answers = read_page(written[0]), read_table(written[1]), read_table(written[2])
    by_number = {int(row["number"]): row for row in entries}
    snags = {event.body.snag: event.body for event in events if isinstance(event.body, e.SnagRaised)}
    names = {person.id: person.name for person in bench.shop.file.people}
    found = dict.fromkeys((e.Answered, e.SnagDecided, e.SnagRaised, e.HoldLooked, e.NoteWritten), 0)
    for event in events:
        body = event.body
        said: list[str] = []
        marks: tuple[str, ...] = ()
        if isinstance(body, e.Answered):
            found[e.Answered] += 1
            rows = [row for row in answers if row["number"] == str(event.seq)]
            assert rows, event
            for row in rows:
                assert row["answer"].startswith(body.text) and row["question"] == body.ask
                assert body.wanted in row["wanted or lot"] or row["wanted or lot"] == body.lot
                assert row["who"] == names[event.by] and row["given on"] == body.mark
            inside = row_of(page, "days", int(rows[0]["entry"])).cells[4]
            assert f"{body.ask} {body.text}" in inside and (body.lot or body.wanted) in inside
            for row in rows:
                of_part = row_of(page, f"part-{row['part']}", int(row["entry"])).cells[4]
                assert f"{body.ask} {body.text}" in of_part
            continue
        if isinstance(body, e.SnagRaised):
            said, marks = [body.text], (body.mark,)
        elif isinstance(body, e.SnagDecided):
            said, marks = [body.decision, body.reason, snags[body.snag].text], (snags[body.snag].mark,)
            said += [body.answer, body.answered_by, body.answered_role, body.accepted_role]
            said.append(names[body.accepted_by])
        elif isinstance(body, e.HoldLooked):
            said, marks = [body.finding, body.standing, body.looker_name, body.looker_number], body.marks
        elif isinstance(body, e.NoteWritten):
            said, marks = [body.text], (body.mark,) if body.mark else ()
        elif isinstance(body, e.StepSkipped | e.StepReopened):
            said, marks = [body.reason], (body.mark,)
        elif isinstance(body, e.SittingClosed):
            said = [body.note]
        else:
            continue
        found[type(body)] = found.get(type(body), 0) + 1
        places = [by_number[event.seq]["entry"], " ".join(row_of(page, "days", event.seq).cells)]
        places += [" ".join(row_of(page, f"part-{mark}", event.seq).cells) for mark in marks]
        for place in places:
            assert all(text in place for text in said), (event, place)
        assert by_number[event.seq]["who"] == names[event.by]
        assert row_of(page, "days", event.seq).cells[1].startswith(time_words(event.at))
    assert found[e.Answered] > 10 and all(found.values()), found


def test_what_stands_as_done_is_what_the_fold_says(walked: Walked, written: list[Path]) -> None:
    bench, events = walked
    steps = {
        event.seq: event.body for event in events if isinstance(event.body, e.StepFinished | e.StepSkipped)
    }
    page = read_page(written[0])
    corrected = 0
    for mark in [one for one in page.ids if one.startswith("part-")]:
        standing = set()
        for row in page.in_section(mark)[1:]:
            body = steps.get(int(row.cells[0])) if row.cells[0].isdigit() else None
            if body is not None and not row.struck.startswith(("step: ", "skipped: ")):
                standing.add((body.procedure, body.step))
            elif body is not None:
                corrected += 1
                assert any(words in row.cells[3] for words in ("taken back by", "to do again", "scrapped"))
        part = bench.state.part(mark.removeprefix("part-"))
        assert standing == {(name, step) for name, done in part.passes.items() for step in done}, mark
    assert corrected


def test_what_stands_as_answered_in_hand_is_what_the_fold_says(walked: Walked, written: list[Path]) -> None:
    bench, events = walked
    given = {event.seq: event.body for event in events if isinstance(event.body, e.Answered)}
    table = read_table(written[2])
    standing: dict[tuple[str, str, str], str] = {}
    for row in table:
        body = given[int(row["number"])]
        if "taken back by entry" not in row["correction"].replace("step taken back", "") and (
            "answered anew" not in row["correction"]
        ):
            standing[body.work, body.mark, body.check] = body.text
    for work in bench.state.works.values():
        for piece in work.pieces:
            said = {
                check: text
                for (of, mark, check), text in standing.items()
                if (of, mark) == (work.id, piece.mark)
            }
            assert said == {check: answer.text for check, answer in piece.answers.items()}


def edited(shop: Shop) -> Shop:
    """Every step in other words, every measurement with other limits, every lot another."""

    def other(step: Step) -> Step:
        checks = tuple(
            check.model_copy(update={"ask": "Something else?"})
            if not isinstance(check, MeasureCheck)
            else check.model_copy(update={"ask": "Other", "low": "0", "high": "1", "nominal": None})
            for check in step.checks
        )
        return step.model_copy(update={"do": "Do something else.", "checks": checks})

    def changed(procedure: Procedure) -> Procedure:
        return procedure.model_copy(
            update={"title": "Another", "steps": tuple(map(other, procedure.steps)), "revision": "99"}
        )

    lots = {
        name: lot.model_copy(update={"name": "another", "certificate": "C-0"})
        for name, lot in shop.lots.items()
    }
    procedures = {name: changed(procedure) for name, procedure in shop.procedures.items()}
    return replace(shop, procedures=procedures, lots=lots)


def test_a_later_edit_changes_not_one_line_about_the_past(
    walked: Walked, written: list[Path], tmp_path: Path
) -> None:
    bench, _ = walked
    pages = [read_page(written[0])]
    tables = [[path.read_bytes() for path in written[1:3]]]
    planned = bench.shop
    bench.shop = edited(planned)
    try:
        after = write_record(bench, tmp_path)
    finally:
        bench.shop = planned
    pages.append(read_page(after[0]))
    tables.append([path.read_bytes() for path in after[1:3]])
    assert tables[0] == tables[1]
    past = [*PAST, *(one for one in pages[0].ids if one.startswith("part-"))]
    for section in past:
        was, now = ([row.cells for row in page.in_section(section)] for page in pages)
        assert was == now and was, section
    assert "Another" in " ".join(cell for row in pages[1].in_section("contents") for cell in row.cells)
