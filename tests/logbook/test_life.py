"""The life of a part: all that its page in the logbook says, the newest first, found without the rest."""

from pathlib import Path

from kiosk.bench import Bench
from kiosk.commands.command_line import main
from kiosk.logbook.entries import read
from kiosk.logbook.life import LifeEntry
from kiosk.record.of_part import events_of_part
from kiosk.shop.procedure import Repeat, StepRef
from tests.conftest import SteadyClocks
from tests.driver import ACCEPTED, do_step, undo_newest
from tests.logbook.reading import read_page, read_table

FIRST = StepRef("form-block", "measure-pattern")


def all_text(entries: list[LifeEntry]) -> str:
    return "\n".join(
        f"{one.head}\n{one.what.text}\n" + "\n".join(line.text for line in one.lines) for one in entries
    )


def test_every_part_of_a_whole_record_has_the_life_that_the_logbook_prints(demo_shop: Path) -> None:
    """Found by its mark alone, or by reading all of the record: the same entries, word for word."""
    bench = Bench(demo_shop, SteadyClocks())
    events = list(bench.record.journal.read_on())
    with read(bench.shop, events) as whole:
        marks = whole.marks()
        assert len(marks) > 20
        for mark in marks:
            wanted = list(whole.on(mark))
            own = events_of_part(bench.record.journal, mark)
            assert len(own) < len(events)
            with read(bench.shop, own) as alone:
                found = list(alone.on(mark))
            assert [(one, one.given, one.fixes) for one in found] == [
                (one, one.given, one.fixes) for one in wanted
            ]
    bench.close()


def test_a_life_tells_steps_figures_notes_snags_looks_and_what_became_of_them(bench: Bench) -> None:
    bench.come("pip")
    bench.hand_over("pip")
    do_step(bench, ["FB-NR"])
    bench.hand_over("wren")
    bench.look_over("FB-NR", FIRST, good=True)
    do_step(bench, ["FB-NR"])
    bench.note("Good grain", "FB-NR")
    bench.raise_snag("FB-NR", "knot in the wood")
    (snag,) = bench.state.open_snags()
    bench.decide_snag(snag.id, "use as is", "away from the edge", None, ACCEPTED)
    bench.reopen("FB-NR", StepRef("form-block", "check-inset"), "seen not done")
    do_step(bench, ["FB-MR"])
    life = bench.life("FB-NR")
    assert [one.head.split("  ")[2].split(",")[0] for one in life] == [
        "reopened", "decision", "snag", "note", "step", "look over", "step",
    ]  # fmt: skip
    first = life[-1]
    assert first.head == "2027-05-08 12:00  Pip  step, 0 min"
    assert "Measure the scale bar" in first.what.text and not first.what.struck
    assert any(
        line.text.startswith("Length of the 10 inch scale bar, on the worst page")
        and "(wanted: 9.990 to 10.010 in)" in line.text
        for line in first.lines
    )
    assert any(line.text.startswith("Looked over: entry") for line in first.lines)
    assert life[4].what.struck and any("to do again" in line.text.lower() for line in life[4].lines)
    text = all_text(life)
    for words in (
        "Good grain",
        "Not right: knot in the wood",
        "Decided of 'knot in the wood'",
        "seen not done",
    ):
        assert words in text
    assert "FB-MR" not in text


def test_a_count_within_a_step_is_told(bench: Bench) -> None:
    procedures = bench.shop.procedures
    assert isinstance(procedures, dict)
    before = procedures["form-block"]
    counted = before.steps[0].model_copy(update={"repeat": Repeat(of="lines", times="3")})
    procedures["form-block"] = before.model_copy(update={"steps": (counted, *before.steps[1:])})
    do_step(bench, ["FB-NR"])
    (newest, *_) = bench.life("FB-NR")
    assert "Counted: 3 lines" in [line.text for line in newest.lines]
    assert bench.past_step("FB-NR", FIRST).counted == 3


def test_what_was_corrected_stands_struck_with_its_reason(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    bench.correct("FB-NR", FIRST, "figure", "9.995", "read over a burr", "bar")
    bench.correct("FB-NR", FIRST, "minutes", "12", "the clock was started late")
    corrected, step = bench.life("FB-NR")[1], bench.life("FB-NR")[-1]
    assert "Length of the 10 inch scale bar, on the worst page 9.995 in, was 10.00000" in corrected.what.text
    assert corrected.what.text.endswith("Reason: read over a burr")
    old, new = (line for line in step.lines if line.text.startswith("Length of"))
    assert old.struck and "answered anew, entry" in old.text and "10.00000" in old.text
    assert not new.struck and "9.995 in" in new.text and "corrected: read over a burr" in new.text
    assert step.head.endswith("step, 12 min (was 0 min)")
    assert any(
        line.text.startswith("Took 12 min, was 0 min: corrected, entry ")
        and line.text.endswith(": the clock was started late")
        for line in step.lines
    )
    folder = bench.shop.folder
    assert main(["logbook", str(folder)]) == 0
    answers = read_table(folder / "logbook" / "answers.csv")
    bars = [row for row in answers if row["question"].startswith("Length of")]
    assert [(row["part"], row["answer"], bool(row["correction"])) for row in bars] == [
        ("FB-NR", "10.00000 in", True),
        ("FB-NR", "9.995 in", False),
    ]
    (row,) = (one for one in read_table(folder / "logbook" / "entries.csv") if one["what"] == "step")
    assert (row["minutes"], row["done on"]) == ("12.0", "2027-05-08")
    assert "took 12 min, was 0 min: corrected" in row["correction"]
    (done,) = (
        one
        for one in read_page(folder / "logbook" / "index.html").in_section("part-FB-NR")
        if "step:" in "".join(one.cells)
    )
    assert "10.00000" in done.struck and "9.995" not in done.struck
    assert "corrected: read over a burr" in "".join(done.cells) and done.cells[-1] == "12 (was 0 min)"
    undo_newest(bench)
    undo_newest(bench)
    step = bench.life("FB-NR")[-1]
    assert step.head.endswith("step, 0 min")
    (kept, gone) = (line for line in step.lines if line.text.startswith("Length of"))
    assert not kept.struck and gone.struck and "taken back" in gone.text


def test_a_corrected_date_stands_before_the_one_that_was(bench: Bench, clocks: SteadyClocks) -> None:
    do_step(bench, ["FB-NR"])
    clocks.go(2 * 24 * 60)
    do_step(bench, ["FB-NR"])
    bench.correct("FB-NR", StepRef("form-block", "check-inset"), "day", "2027-05-09", "written up a day late")
    step = bench.life("FB-NR")[1]
    assert step.head.startswith("2027-05-09 (was 2027-05-10 12:00)  Wren  step")
