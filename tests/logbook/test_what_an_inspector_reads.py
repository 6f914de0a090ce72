"""Each thing that an inspector looks for: lots for a whole batch, the room, who answered for whom, decisions,
second looks, missed limits, corrections, doubts about the clock, what is open, and what was checked.
"""

import re
from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.logbook.entries import NOT_PRINTED, kinds_read
from kiosk.record import events as e
from kiosk.record.events import KINDS
from kiosk.record.journal import Clocks
from kiosk.record.rows import made
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks, local_time
from tests.driver import ACCEPTED, do_step, undo_newest
from tests.logbook.reading import Page, Row, read_page, read_table, recorded, write_record

RIBS = ["NR-01", "NR-02", "NR-03"]
SHEET = StepRef("rib-blank", "choose-sheet")


def record(bench: Bench, *bodies: e.AnyBody) -> list[int]:
    """Record bodies as a newer screen would; gives their numbers."""
    written = bench.record.transact(lambda _: bodies, by="wren", tap=None)
    return [event.seq for event in written][-len(bodies) :]  # without what says how the clocks stand


def printed(bench: Bench) -> Page:
    return read_page(write_record(bench)[0])


def row_of(page: Page, section: str, number: int) -> Row:
    (row,) = [one for one in page.in_section(section) if one.cells[0] == str(number)]
    return row


def words_of(rows: Sequence[Row]) -> str:
    return "\n".join(cell for row in rows for cell in row.cells)


def finished(
    step: str, *marks: str, procedure: str = "clean-and-prime", work: str = "w", **fields: object
) -> e.StepFinished:
    return made(
        e.StepFinished,
        {"work": work, "marks": marks, "procedure": procedure, "revision": "2", "step": step, **fields},
    )


def test_every_kind_of_event_is_printed_or_named_as_one_that_is_not() -> None:
    assert set(KINDS) - NOT_PRINTED == kinds_read()


def test_a_batch_has_its_sheet_and_certificate_on_the_page_of_every_part(bench: Bench) -> None:
    do_step(bench, RIBS)
    number = recorded(bench)[-1].number
    paths = write_record(bench)
    page = read_page(paths[0])
    words = "2024-T3 clad .025 in, 48 x 144 in, certificate cert-11"
    for mark in RIBS:
        rows = page.in_section(f"part-{mark}")
        assert rows[1].cells == ["SH-01", words]
        cells = row_of(page, f"part-{mark}", number).cells
        assert f"Which sheet are these cut from? SH-01 ({words})" in cells[4]
        assert ("[given on NR-01 for all of the batch]" in cells[4]) == (mark != "NR-01")
        assert f"with {', '.join(one for one in RIBS if one != mark)}" in cells[3]
    (lot,) = page.in_section("lots")[1:]
    assert lot.cells == ["SH-01", words, "NR-01, NR-02, NR-03"]
    lots = [row for row in read_table(paths[2]) if row["lot"]]
    assert [(row["part"], row["given on"], row["lot"]) for row in lots] == [
        (mark, "NR-01", "SH-01") for mark in RIBS
    ]
    (entry,) = [row for row in read_table(paths[1]) if row["what"] == "step"]
    assert all(
        f"{mark}: Which sheet are these cut from? SH-01 ({words})" in entry["measured"] for mark in RIBS
    )


def test_a_lot_that_did_not_fit_or_was_answered_anew_went_into_no_part(bench: Bench) -> None:
    work = bench.start(RIBS, SHEET.procedure, SHEET.step)
    bench.acknowledge(work)
    bench.answer(work, "NR-01", "lot", "SH-03")
    bench.answer(work, "NR-01", "lot", "SH-02")
    page = printed(bench)
    assert [row.cells[0] for row in page.in_section("lots")[1:]] == ["SH-02"]
    in_hand = words_of(page.in_section("part-NR-01"))
    assert (
        "Not finished when this was printed" in in_hand and "SH-03" in in_hand and "OUT OF LIMITS" in in_hand
    )


def test_what_was_answered_before_the_power_went_is_not_in_hand_once_it_is_put_back(bench: Bench) -> None:
    work = bench.start(["NR-01"], SHEET.procedure, SHEET.step)
    bench.acknowledge(work)
    bench.answer(work, "NR-01", "thickness", ".03")
    record(bench, e.SittingCut(), e.Looked(work=work, verdict="not started"))
    page = words_of(printed(bench).in_section("part-NR-01"))
    assert "OUT OF LIMITS" in page  # what was measured stays
    assert "Looked at what was left in hand, not started" in page
    assert "Not finished when this was printed" not in page


def primed(conditions: str) -> e.ProcedureKept:
    """A procedure of one step that the room has to fit."""
    step = f'{{"id": "mix", "do": "Mix.", "conditions": {{"{conditions}": {{}}}}}}'
    words = f'{{"title": "Prime", "steps": [{step}]}}'
    return e.ProcedureKept(procedure="prime", revision="1", text="abc", words=words)


def test_the_room_of_a_step_with_conditions_is_what_was_read_before_and_during_it(
    bench: Bench, clocks: SteadyClocks
) -> None:
    bench.note_conditions(60.0, 45.0)
    clocks.go(30)
    bench.note_conditions(68.5, None)
    at = clocks.now()
    start = e.WorkStarted(work="w", marks=("CA-01",), procedure="prime", revision="1", step="mix", text="abc")
    record(bench, primed("humidity_percent"), start)
    clocks.go(10)
    bench.note_conditions(None, 51.0)
    clocks.go(5)
    (number,) = record(bench, finished("mix", "CA-01", procedure="prime", text="abc"))
    facts = next(entry for entry in recorded(bench) if entry.number == number).facts
    assert facts[0] == f"Begun {at.astimezone():%H:%M}"
    assert [fact.split(", read")[0] for fact in facts[1:]] == [
        "Room: 60 F, 45 % humidity",
        "Room: 68.5 F",
        "Room: 51 % humidity",
    ]


def test_a_step_without_a_reading_says_that_the_room_was_not_read(bench: Bench) -> None:
    record(bench, primed("temperature_f"), finished("mix", "CA-01", procedure="prime", text="abc"))
    assert recorded(bench)[-1].facts == ("Room: not read",)
    do_step(bench, ["FB-NR"])
    assert not any("Room" in fact for fact in recorded(bench)[-1].facts)


def test_who_answered_for_a_helper_and_whether_it_was_looked_over(bench: Bench) -> None:
    done = finished("scuff", "CA-01", "CA-02", supervised_by="odile", wants_look=True)
    (number,) = record(bench, done)
    page = printed(bench)
    cells = row_of(page, "days", number).cells
    assert cells[2] == "Wren (builder)supervised by Odile"
    assert "(the builder has not looked it over yet)" in cells[3]
    assert "NOT LOOKED OVER" in " ".join(page.text)
    (look,) = record(bench, e.LookedOver(mark="CA-01", procedure="clean-and-prime", step="scuff"))
    page = printed(bench)
    assert f"(looked over: entry {look})" in row_of(page, "part-CA-01", number).cells[3]
    assert "not looked it over yet" in row_of(page, "part-CA-02", number).cells[3]


def test_a_decision_says_part_snag_reason_names_roles_and_the_designers_answer(bench: Bench) -> None:
    bench.raise_snag("NR-02", "hole 1/16 too far in")
    snag = bench.state.open_snags()[0].id
    raised = recorded(bench)[-1].number
    decided = e.SnagDecided(
        snag=snag,
        decision="use as is",
        reason="within the edge distance",
        accepted_by="odile",
        accepted_role="mechanic",
        answer="agreed, one hole only",
        answered_by="A. Draughtsman",
        answered_role="designer",
    )
    assert "OPEN SNAG" in " ".join(printed(bench).text)
    (number,) = record(bench, decided)
    page = printed(bench)
    said = row_of(page, "part-NR-02", number).cells[3]
    assert said == (
        f"decision: Decided of 'hole 1/16 too far in' (entry {raised}): use as is."
        " Reason: within the edge distance."
        " Accepted by Odile (mechanic). Answer of A. Draughtsman (designer): agreed, one hole only"
    )
    assert "OPEN SNAG" not in " ".join(page.text)
    assert ["A. Draughtsman", "designer", "", str(number)] in [row.cells for row in page.in_section("people")]
    undo_newest(bench)
    assert "OPEN SNAG" in " ".join(printed(bench).text)


def test_a_look_by_an_inspector_from_outside_has_standing_name_number_and_finding(bench: Bench) -> None:
    look = e.HoldLooked(
        marks=("NR-01", "NR-02"),
        procedure="rib-to-spar",
        step="drill",
        looker="",
        finding="holes round and clear",
        standing="inspector",
        looker_name="I. Looker",
        looker_number="N-17",
    )
    (number,) = record(bench, look)
    page = printed(bench)
    for mark in look.marks:
        words = row_of(page, f"part-{mark}", number).cells[3]
        assert "I. Looker (inspector, N-17): holes round and clear" in words
    assert ["I. Looker", "inspector", "N-17", str(number)] in [row.cells for row in page.in_section("people")]


def test_a_missed_limit_says_what_ran_out_what_was_done_and_ends_what_is_to_do_again(
    bench: Bench, clocks: SteadyClocks
) -> None:
    first, second = record(bench, finished("scuff", "CA-01"), finished("wash", "CA-01", work="v"))
    until = clocks.now() + timedelta(hours=4)
    missed = e.ClockAnswered(
        mark="CA-01",
        procedure="clean-and-prime",
        step="mix",
        did="Scuffed, washed, water test repeated.",  # as the procedures write it
        what="clean bare aluminium",
        until=until,
        back_to_procedure="clean-and-prime",
        back_to_step="wash",
    )
    (number,) = record(bench, missed)
    page = printed(bench)
    words = row_of(page, "part-CA-01", number).cells[3]
    assert "Time limit missed: clean bare aluminium, ran out 2027-05-08 16:00" in words
    assert "water test repeated. Sent back to: Clean and prime: Wash every face" in words
    assert f"(to do again since entry {number})" in row_of(page, "part-CA-01", second).cells[3]
    assert row_of(page, "part-CA-01", second).struck and not row_of(page, "part-CA-01", first).struck


def test_a_step_opened_again_and_a_part_scrapped_are_struck_and_said(bench: Bench) -> None:
    do_step(bench, RIBS)
    step = recorded(bench)[-1].number
    bench.reopen("NR-01", SHEET, "wrong sheet taken")
    again = recorded(bench)[-1].number
    bench.raise_snag("NR-02", "torn")
    bench.decide_snag(bench.state.open_snags()[0].id, "scrap and remake", "cannot be mended", None, ACCEPTED)
    scrapped = recorded(bench)[-1].number
    page = printed(bench)
    one, two, three = (row_of(page, f"part-{mark}", step) for mark in RIBS)
    assert f"(to do again since entry {again})" in one.cells[3] and one.struck
    assert f"(on the part that was scrapped, entry {scrapped})" in two.cells[3] and two.struck
    assert not three.struck and "(" not in re.sub(r"\(revision \d+\)", "", three.cells[3])
    of_all = row_of(page, "days", step)
    assert f"NR-01: to do again since entry {again}; NR-02: on the part" in of_all.cells[3]
    assert not of_all.struck  # it stands on NR-03
    assert [row.cells[2] for row in page.in_section("lots")[1:]] == ["NR-03"]
    undo_newest(bench)
    assert not row_of(printed(bench), "part-NR-02", step).struck


def test_an_undone_answer_is_struck_and_the_one_before_it_stands_again(bench: Bench) -> None:
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    bench.acknowledge(work)
    bench.answer(work, "FB-NR", "bar", "10")
    bench.answer(work, "FB-NR", "bar", "9")
    undo_newest(bench)
    taken = recorded(bench)[-1]
    assert taken.text.startswith("Took back entry ") and "9 in" in taken.text
    bench.finish(work, "FB-NR")
    (first, second) = recorded(bench)[-1].given
    assert first.stands and second.taken_back == taken.number and not second.stands


@pytest.mark.parametrize(
    ("bodies", "doubt"),
    [
        ([], ""),
        ([e.RunStarted(boot="b")], ""),
        ([e.RunStarted(boot="b", believed=False)], "the clock was not believed"),
        ([e.RunStarted(boot="b", believed=False), e.ClockMarked(boot="b", right=True)], ""),
        (
            [e.RunStarted(boot="b", believed=False), e.ClockMarked(boot="b", right=False)],
            "a person said that the clock was wrong",
        ),
    ],
)
def test_a_clock_that_was_not_believed_is_said_on_every_line(
    bench: Bench, bodies: list[e.AnyBody], doubt: str
) -> None:
    record(bench, *bodies, e.NoteWritten(text="here"))
    note = recorded(bench)[-1]
    assert note.doubt == doubt
    page = printed(bench)
    offset = local_time(2027, 5, 8, 12).astimezone().isoformat()[-6:]
    assert row_of(page, "days", note.number).cells[1].endswith(f"({doubt})" if doubt else offset)
    table = [row for row in page.in_section("open") if row.cells[0] == doubt]
    assert bool(table) == bool(doubt)


def test_times_carry_their_offset_and_a_year_that_no_zone_has_does_no_harm(
    bench: Bench, clocks: SteadyClocks
) -> None:
    bench.note("now")
    clocks.at = local_time(2106, 2, 8, 12)
    bench.note("far ahead")
    page = printed(bench)
    offset = local_time(2027, 5, 8, 12).astimezone().isoformat()[-6:]
    assert any(row.cells[1:2] == [f"2027-05-08 12:00{offset}"] for row in page.in_section("days"))
    assert "2106-02-08 12:00" in words_of(page.in_section("days"))


def test_someone_no_longer_in_the_shop_file_is_named_by_the_id_as_recorded(bench: Bench) -> None:
    bench.record.transact(lambda _: [e.NoteWritten(text="from long ago")], by="mary-2019", tap=None)
    page = printed(bench)
    assert row_of(page, "days", 2).cells[2] == "mary-2019 (not in today's shop file)"
    assert any(row.cells[0] == "mary-2019" for row in page.in_section("people"))


def test_a_part_no_longer_in_the_shop_file_keeps_its_page(bench: Bench) -> None:
    record(bench, e.NoteWritten(text="first try", mark="XX-99"), e.NoteWritten(text="odd", mark="../etc x"))
    page = printed(bench)
    assert "XX-99: not in today’s shop file" in page.text
    assert "first try" in words_of(page.in_section("part-XX-99"))
    assert not [one for one in (*page.ids, *page.links) if "/" in one or " " in one]


def test_the_cover_says_what_was_checked_and_no_more(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    last = bench.state.seq
    text = " ".join(printed(bench).text)
    head = bench.record.journal.hash_at(last)
    assert f"fits from event 1 to event {last}; its hash is {head}." in text
    assert "It does not show who wrote an entry, nor that it is true" in text
    assert "unbroken" not in text and "no entry was changed" not in text
    for line in ("Builder, name:", "Inspector, name and number:", "Builder, signature and date:"):
        assert line in text


def test_an_empty_record_prints(new_shop: Path, clocks: Clocks) -> None:
    bench = Bench(new_shop, clocks)
    text = " ".join(printed(bench).text)
    bench.close()
    assert "The record is empty." in text and "Nothing is open." in text
