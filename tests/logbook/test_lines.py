"""What each kind of act reads like in the logbook: who, which part, in words that a stranger understands."""

import re
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.logbook.lines import Entry
from kiosk.record.events import TrialBent
from kiosk.shop.data import data_folder
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks
from tests.driver import ACCEPTED, do_step
from tests.logbook.reading import read_page, read_table, recorded, write_record
from tests.planning.test_spare import take_to
from tests.record.test_trials import go_to_trial, measure, open_bench

MEASURE = "Make a form block: Measure the scale bar on the full-size pattern."
FIRST = StepRef("form-block", "measure-pattern")


def lines(bench: Bench) -> list[Entry]:
    """Every entry that is no step, nor says who is at the bench."""
    return [one for one in recorded(bench) if one.what not in ("step", "opened up", "came", "went")]


def newest(bench: Bench) -> tuple[str, tuple[str, ...], str, str]:
    """What the newest line is, on which parts, by whom, in which words."""
    last = lines(bench)[-1]
    return last.what, last.marks, bench.shop.people[last.by].name, last.text


def test_a_snag_and_each_way_to_decide_it(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    for decision, reason in (
        ("use as is", "away from the edge"),
        ("rework", "measured again"),
        ("scrap and remake", "split through"),
    ):
        bench.raise_snag("FB-NR", "knot in the wood")
        where = bench.position("FB-NR").step
        assert where is not None
        at = f"Make a form block: {where.do.rstrip('.')}"
        assert newest(bench) == ("snag", ("FB-NR",), "Wren", f"Not right: knot in the wood (at {at})")
        (snag,) = bench.state.open_snags()
        number = lines(bench)[-1].number
        back_to = FIRST if decision == "rework" else None
        bench.decide_snag(snag.id, decision, reason, back_to, ACCEPTED)
        words = f"Decided of 'knot in the wood' (entry {number}): {decision}. Reason: {reason}."
        words += " Accepted by Wren (builder). Answer of Ada Quill (designer): It may be used as it is"
        words += f". Work again from: {MEASURE}" if back_to else ""
        assert newest(bench) == ("decision", ("FB-NR",), "Wren", words)


def test_a_look_over_what_a_helper_did(bench: Bench) -> None:
    bench.hand_over("pip")
    do_step(bench, ["FB-NR"])
    bench.hand_over("wren")
    bench.look_over("FB-NR", FIRST, good=True)
    assert newest(bench) == ("look over", ("FB-NR",), "Wren", f"Looked over: {MEASURE}")


def test_a_second_look(new_shop: Path, clocks: SteadyClocks) -> None:
    shipped = data_folder("procedures") / "tooling" / "form-block.yaml"
    text = shipped.read_text(encoding="utf-8")
    text = text.replace("id: measure-pattern\n", "id: measure-pattern\n    hold_point: yes\n")
    (new_shop / "procedures" / "form-block.yaml").write_text(text, encoding="utf-8")
    bench = Bench(new_shop, clocks)
    bench.come("odile")
    bench.hold_look(["FB-NR", "FB-MR"], "odile", "lines and sizes agree")
    found = newest(bench)
    bench.close()
    words = f"Looked at before {MEASURE[:-1]}: Odile (adult): lines and sizes agree. Typed in by Wren"
    assert found == ("second look", ("FB-NR", "FB-MR"), "Wren", words)


def test_a_step_skipped_and_one_opened_again(bench: Bench) -> None:
    bench.skip("FB-NR", "the plans have no bar")
    words = f"Skipped: {MEASURE} Reason: the plans have no bar"
    assert newest(bench) == ("skipped", ("FB-NR",), "Wren", words)
    do_step(bench, ["FB-MR"])
    bench.reopen("FB-MR", FIRST, "read the wrong bar")
    words = f"To do again from: {MEASURE} Reason: read the wrong bar"
    assert newest(bench) == ("reopened", ("FB-MR",), "Wren", words)


def test_a_part_complete_with_what_is_open(bench: Bench) -> None:
    take_to(bench, ["BR-01"], "bending-brake/check-straight")
    bench.skip("BR-01", "checked by the maker of the bar")
    while not bench.position("BR-01").all_done:
        do_step(bench, ["BR-01"])
    bench.complete("BR-01")
    words = (
        "Declared complete by the builder with open: bending-brake/check-straight skipped:"
        " checked by the maker of the bar"
    )
    assert newest(bench) == ("part complete", ("BR-01",), "Wren", words)


def test_a_note_on_a_part_and_on_none(bench: Bench) -> None:
    bench.note("Good grain", "FB-NR")
    assert newest(bench) == ("note", ("FB-NR",), "Wren", "Good grain")
    bench.note("Ordered rivets")
    assert newest(bench) == ("note", (), "Wren", "Ordered rivets")


def test_a_snag_on_what_nobody_has_begun_says_the_step_in_words(bench: Bench) -> None:
    """An inspector read (at form-block/measure-pattern)."""
    bench.raise_snag("FB-NR", "knot in the wood")
    words = f"Not right: knot in the wood (at {MEASURE.rstrip('.')})"
    assert newest(bench) == ("snag", ("FB-NR",), "Wren", words)


def test_the_end_of_a_trial_is_taken_back_with_its_strip_in_one_entry(demo_shop: Path) -> None:
    """Each had an entry of its own under one number: from then on no logbook could be written, nor the life
    of the part be shown."""
    bench = open_bench(demo_shop)
    work = go_to_trial(bench, "FS-01")
    for _ in range(2):
        measure(bench, work, "FS-01", 1.9)
        bench.another_trial(work, "FS-01")
    measure(bench, work, "FS-01", 1.9)
    bench.finish(work, "FS-01")
    end = bench.latest_undoable()
    assert end is not None
    bench.undo(end.event)
    what, _, _, said = newest(bench)
    assert what == "taken back"
    assert re.fullmatch(r"Took back entry \d+, step: .*; and entry \d+, trial: Trial strip .*", said)
    assert [one.taken_back is not None for one in lines(bench) if one.what == "trial"][-3:] == [
        False, False, True,
    ]  # fmt: skip
    assert bench.life("FS-01")
    bench.close()


def test_a_trial_strip(bench: Bench) -> None:
    bench.add_trial(
        TrialBent(
            alloy="2024-T3",
            thickness_in=0.025,
            inside_radius_in=0.125,
            flat_length_in=2.0,
            leg_a_in=1.05,
            leg_b_in=1.05,
            angle_deg=90.0,
            set_angle_deg=94.0,
            grain="across",
        )
    )
    words = (
        "Trial strip 2024-T3 0.025 in over 0.125 in: flat 2.000 in, legs 1.050 and 1.050 in,"
        " 90.0 degrees at a setting of 94.0, bent across the grain"
    )
    assert newest(bench) == ("trial", (), "Wren", words)
    bench.retract_trial(1, "measured over a burr")
    what, marks, by, said = newest(bench)
    assert (what, marks, by) == ("trial", (), "Wren")
    assert said.startswith("No longer counted: entry ") and said.endswith(f"{words}: measured over a burr")


def test_the_page_and_the_tables_hold_every_line(bench: Bench) -> None:
    bench.raise_snag("FB-NR", "knot in the wood")
    bench.skip("FB-MR", "the plans have no bar")
    bench.note("Good grain", "FB-TR")
    bench.note("Stays")
    page, table = write_record(bench)[:2]
    said = {row["entry"] for row in read_table(table)}
    assert said == {one.text for one in recorded(bench)} and len(said) == 5
    rows = [row for row in read_page(page).in_section("days") if len(row.cells) == 6]
    assert {row.cells[3].split(": ", 1)[0] for row in rows} > {"FB-NR", "FB-MR", "FB-TR", "note"}
    assert all(any(text in cell for row in rows for cell in row.cells) for text in said)


@pytest.mark.parametrize("exact", [True, False])
def test_a_time_that_is_not_exact_says_so(bench: Bench, clocks: SteadyClocks, exact: bool) -> None:
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    clocks.go(17)
    if not exact:
        clocks.at = clocks.at.replace(year=2020)  # the machine's clock was set back meanwhile
    bench.answer(work, "FB-NR", "bar", "10")
    bench.finish(work, "FB-NR")
    rows = read_page(write_record(bench)[0]).in_section("days")
    assert rows[-1].cells[-1] == ("17" if exact else "17 (not exact)")
    assert ("the clock ran back at event" in rows[-1].cells[1]) == (not exact)


def test_a_part_that_was_renamed_keeps_its_drawing(
    new_shop: Path, clocks: SteadyClocks, tmp_path: Path
) -> None:
    bench = Bench(new_shop, clocks)
    do_step(bench, ["FB-NR"])
    bench.close_sitting("")
    bench.close()
    file = new_shop / "shop.yaml"
    for before, after in (
        ("FB-NR", "BL-1, renamed_from: FB-NR"),
        ("BL-1, renamed_from: FB-NR", "BL-2, renamed_from: BL-1"),
    ):
        text = file.read_text(encoding="utf-8")
        assert f"{{first: {before}}}" in text
        file.write_text(text.replace(f"{{first: {before}}}", f"{{first: {after}}}"), encoding="utf-8")
        bench = Bench(new_shop, clocks)
        do_step(bench, [after.split(",")[0]])
        bench.close()
    bench = Bench(new_shop, clocks)
    write_record(bench, tmp_path / "out")
    bench.close()
    rows = [row for row in read_table(tmp_path / "out" / "entries.csv") if row["what"] == "step"]
    assert [row["parts"] for row in rows] == ["FB-NR", "BL-1", "BL-2"]
    assert len({row["drawing"] for row in rows}) == 1
    assert rows[0]["drawing"]
