"""Where renaming, clocks, undo, PINs and a full disk meet: what one does must not undo what another holds."""

from datetime import timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.journal import Journal
from kiosk.record.rules import Refused
from kiosk.record.stopped import CannotWrite
from kiosk.record.waits import seconds_left
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks
from tests.driver import ACCEPTED, do_step, set_pins, undo_newest

HEAD = """id: form-block
title: Make a block
revision: "9"
revised: 2026-11-25
reason: to try it
sources: [common practice, no source]
steps:
"""
POT = (
    HEAD
    + """\
  - id: mix
    do: Mix the pot.
    minutes: {each: 1}
    checks: [{id: seen, kind: yes_no, ask: "Is it mixed?"}]
    waits: [{what: pot, within: 60 min, begin: use, if_missed: Throw it away., back_to: mix}]
  - {id: use, do: Use the pot., minutes: {each: 1}, checks: [{id: seen, kind: yes_no, ask: "Is it used?"}]}
  - {id: clean, do: Clean the pot., minutes: {each: 1}, checks: [{id: seen, kind: yes_no, ask: "Clean?"}]}
"""
)


@pytest.fixture
def pot(new_shop: Path) -> Path:
    (new_shop / "procedures" / "form-block.yaml").write_text(POT, encoding="utf-8")
    return new_shop


def change(file: Path, before: str, after: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert before in text
    file.write_text(text.replace(before, after, 1), encoding="utf-8")


def test_a_snag_on_a_part_that_nothing_was_done_on_holds_it_under_its_new_mark(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    bench = Bench(new_shop, clocks)
    bench.raise_snag("FB-NR", "a knot")
    bench.close_sitting("")
    bench.close()
    change(new_shop / "shop.yaml", "{first: FB-NR}", "{first: BL-1, renamed_from: FB-NR}")
    bench = Bench(new_shop, clocks)
    assert [snag.text for snag in bench.state.open_snags("BL-1")] == ["a knot"]
    bench.close()


@pytest.mark.parametrize("what", ["mark", "step"])
def test_a_step_put_back_gives_its_limit_back_though_it_was_renamed_meanwhile(
    pot: Path, clocks: SteadyClocks, what: str
) -> None:
    bench = Bench(pot, clocks)
    do_step(bench, ["FB-NR"])
    work = bench.start(["FB-NR"], "form-block", "use")
    bench.close_sitting("")
    bench.close()
    procedure = pot / "procedures" / "form-block.yaml"
    if what == "mark":
        change(pot / "shop.yaml", "{first: FB-NR}", "{first: BL-1, renamed_from: FB-NR}")
    else:
        change(procedure, "{id: use,", "{id: apply, renamed_from: use,")
        change(procedure, "begin: use", "begin: apply")
    clocks.go(10)
    bench = Bench(pot, clocks)
    mark = "BL-1" if what == "mark" else "FB-NR"
    bench.put_back(work)
    assert len(bench.state.part(mark).clocks) == 1
    clocks.go(55)
    assert bench.missed_limit(mark) is not None
    bench.close()


@pytest.mark.parametrize("by", ["put back", "undo"])
def test_a_limit_given_back_is_as_doubted_as_it_would_be_on_the_part(
    pot: Path, clocks: SteadyClocks, by: str
) -> None:
    bench = Bench(pot, clocks)
    do_step(bench, ["FB-NR"])
    work = bench.start(["FB-NR"], "form-block", "use")
    clocks.at -= timedelta(minutes=50)  # the wall clock was ahead, and is set right
    clocks.go(1)
    bench.mark_clock(right=True)
    if by == "undo":
        undo_newest(bench)
    else:
        bench.put_back(work)
    bench.close_sitting("")
    bench.close()
    again = SteadyClocks(clocks.at)  # another boot, in which only the wall clock can tell
    again.go(65)
    bench = Bench(pot, again)
    (limit,) = bench.state.part("FB-NR").clocks
    left_s = seconds_left(bench.context, limit)
    assert left_s is None or left_s < 0
    bench.close()


def test_taking_back_a_piece_leaves_unknown_what_a_dead_screen_had_in_hand(
    pot: Path, clocks: SteadyClocks
) -> None:
    one, other = (Bench(pot, clocks, watch=True) for _ in range(2))
    work = one.start(["FB-NR", "FB-MR"], "form-block", "mix")
    one.answer(work, "FB-NR", "seen", "yes")
    one.finish(work, "FB-NR")
    assert one.presence is not None
    one.presence._handle.close()  # killed
    one.record.journal._connection.close()
    other.refresh()
    assert other.state.works[work].status == "unknown"
    undo_newest(other)
    assert other.state.works[work].status == "unknown"
    other.close()


def test_names_that_a_full_disk_did_not_take_are_recorded_before_the_next_thing(
    new_shop: Path, clocks: SteadyClocks, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench = Bench(new_shop, clocks)
    do_step(bench, ["FB-NR"])
    bench.raise_snag("FB-NR", "crack")
    bench.close_sitting("")
    bench.close()
    change(new_shop / "shop.yaml", "{first: FB-NR}", "{first: BL-1, renamed_from: FB-NR}")

    def full(_: Journal) -> None:
        raise CannotWrite("the disk is full", "make room")

    with monkeypatch.context() as patch:
        patch.setattr(Journal, "_open_to_write", full)
        bench = Bench(new_shop, clocks)
    (snag,) = bench.state.open_snags("BL-1")
    bench.decide_snag(snag.id, "use as is", "away from the edge", None, ACCEPTED)
    do_step(bench, ["BL-1"])
    shown = bench.state
    bench.close()
    bench = Bench(new_shop, clocks)
    bench.record.journal.drop_snapshot()
    bench.record.journal.close()
    again = Bench(new_shop, clocks)
    assert again.state.parts == shown.parts and again.position("BL-1").question is None
    again.close()


def test_who_only_reads_is_told_how_things_stand_though_a_pin_guards_the_screen(demo_shop: Path) -> None:
    set_pins(demo_shop, wren="2468")
    reading = Bench(demo_shop, reading=True)
    assert reading.doer_id == "wren" and reading.spare(15).suggestions
    reading.close()
    screen = Bench(demo_shop)
    assert screen.doer_id == "nobody"
    screen.close()


SEALED = (
    HEAD
    + """\
  - id: clean
    do: Clean the block.
    minutes: {each: 1}
    checks: [{id: seen, kind: yes_no, ask: "Is it clean?"}]
    waits: [{what: bare wood, within: 300 min, begin: use, if_missed: Sand it again., back_to: clean}]
  - id: seal
    do: Seal the block.
    minutes: {each: 1}
    checks: [{id: seen, kind: yes_no, ask: "Is it sealed?"}]
    waits: [{what: sealer drying, must_pass: 240 min, before: use}]
  - {id: blank, do: Cut a blank., minutes: {each: 1}, checks: [{id: seen, kind: yes_no, ask: "Cut?"}]}
  - {id: use, do: Use the block., minutes: {each: 1}, checks: [{id: seen, kind: yes_no, ask: "Used?"}]}
"""
)


@pytest.mark.parametrize(
    ("reopened", "kept"),
    [("blank", {"bare wood", "sealer drying"}), ("seal", {"bare wood"}), ("clean", set())],
)
@pytest.mark.parametrize("by", ["reopen", "rework"])
def test_what_a_step_that_stands_started_goes_on_when_a_later_one_is_opened_again(
    new_shop: Path, clocks: SteadyClocks, reopened: str, kept: set[str], by: str
) -> None:
    (new_shop / "procedures" / "form-block.yaml").write_text(SEALED, encoding="utf-8")
    bench = Bench(new_shop, clocks)
    for _ in ("clean", "seal", "blank"):
        do_step(bench, ["FB-NR"])
    if by == "reopen":
        bench.reopen("FB-NR", StepRef("form-block", reopened), "the blank was bent")
    else:
        bench.raise_snag("FB-NR", "the blank was bent")
        (snag,) = bench.state.open_snags("FB-NR")
        step = StepRef("form-block", reopened)
        bench.decide_snag(snag.id, "rework", "the blank was bent", step, ACCEPTED)
    assert {clock.what for clock in bench.state.part("FB-NR").clocks} == kept
    while (now := bench.position("FB-NR").step) is not None and now.id != "use":
        do_step(bench, ["FB-NR"])
    assert {clock.what for clock in bench.state.part("FB-NR").clocks} == {"bare wood", "sealer drying"}
    with pytest.raises(Refused, match="sealer drying"):
        bench.start(["FB-NR"], "form-block", "use")
    clocks.go(301)
    missed = bench.missed_limit("FB-NR")
    assert missed is not None
    assert missed.what == "bare wood"
    bench.close()


def test_a_screen_on_files_with_older_names_records_nothing_but_its_close_up(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    older = Bench(new_shop, clocks)
    do_step(older, ["FB-NR"])
    change(new_shop / "shop.yaml", "{first: FB-NR}", "{first: BL-1, renamed_from: FB-NR}")
    newer = Bench(new_shop, clocks)
    older.refresh()
    with pytest.raises(Refused, match="other names"):
        do_step(older, ["FB-NR"])
    assert "FB-NR" not in newer.record.state.parts
    older.close_sitting("")
    newer.refresh()
    do_step(newer, ["BL-1"])
    older.close()
    newer.close()


def test_a_close_up_that_comes_twice_leaves_the_hands_that_are_there_now(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    bench = Bench(new_shop, clocks)
    bench.note("one")
    bench.close_sitting("", tap="C")
    bench.note("two")
    bench.come("odile")
    bench.hand_over("odile")
    bench.close_sitting("", tap="C")
    assert bench.state.sitting is not None
    assert bench.doer_id == "odile"
    bench.close()
