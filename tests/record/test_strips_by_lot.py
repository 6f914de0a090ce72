"""Strips of two lots of one sheet: they count together, and the step tells which are whose."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.apply import fold
from kiosk.screens.app import KioskApp
from kiosk.shop.procedure import StepRef
from kiosk.views.strips_by_lot import lots_line
from kiosk.views.trial import trial_line, trial_lines
from tests.conftest import SteadyClocks
from tests.driver import first_column, good_answer, undo_newest, with_app
from tests.record.test_trials import go_to_trial, measure, open_bench, strip_by_hand

LOT = "lots:\n"
OTHER = "  - {mark: SH-09, of: sheet, name: another sheet, alloy: 2024-T3, thickness: .032}\n"


@pytest.fixture
def spars(demo_shop: Path) -> Iterator[Bench]:
    path = demo_shop / "shop.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace(LOT, LOT + OTHER, 1), encoding="utf-8")
    bench = open_bench(demo_shop)
    bench.mark_clock(right=True)
    yield bench
    bench.close()


def choose(bench: Bench, mark: str, lot: str) -> None:
    """The sheet that a spar is cut from."""
    work = bench.start([mark], "spar-channel", "choose-sheet")
    bench.acknowledge(work)
    _, step = bench.shop.find_step("spar-channel", "choose-sheet")
    assert step is not None
    for check in step.checks:
        bench.answer(work, mark, check.id, lot if check.id == "lot" else good_answer(bench, check, mark))
    bench.finish(work, mark)


def bend(bench: Bench, mark: str, *flats: float) -> None:
    """A strip of each flat length, the last one ending the step."""
    work = go_to_trial(bench, mark)
    for flat in flats[:-1]:
        measure(bench, work, mark, flat)
        bench.another_trial(work, mark)
    measure(bench, work, mark, flats[-1])
    bench.finish(work, mark)


def at_the_bend(bench: Bench, mark: str) -> str:
    """What the step says of lots that bends the spar itself, which two adults begin."""
    procedure, step = bench.shop.find_step("spar-channel", "bend-first")
    assert procedure is not None and step is not None
    assert trial_line(bench.shop, bench.shop.kind_of(mark), step)
    return lots_line(bench.context, mark, procedure, step)


def at_the_trial(bench: Bench, mark: str) -> tuple[str, str]:
    view = bench.step_view(go_to_trial(bench, mark))
    return view.trial, view.strip_lots


def test_strips_of_its_own_sheet_alone_are_told_no_lot(spars: Bench) -> None:
    choose(spars, "FS-01", "SH-03")
    bend(spars, "FS-01", 1.89, 1.90, 1.91)
    assert at_the_bend(spars, "FS-01") == ""
    assert [line.split(", ")[-1] for line in trial_lines(spars.state)[-3:]] == ["FS-01 of SH-03"] * 3


def test_strips_of_another_lot_count_and_the_step_says_whose_they_are(spars: Bench) -> None:
    choose(spars, "FS-01", "SH-03")
    bend(spars, "FS-01", 1.89, 1.90, 1.91)
    choose(spars, "FS-02", "SH-09")
    said, lots = at_the_trial(spars, "FS-02")
    assert said.startswith("Your 3 strips: ")
    assert lots == "They are of SH-03, and this sheet is SH-09: none of its strips is measured."


def test_as_many_strips_are_wanted_of_a_sheet_as_if_there_were_no_other(spars: Bench) -> None:
    """Three of another lot were enough to end the trial of this one after a single strip."""
    choose(spars, "FS-01", "SH-03")
    bend(spars, "FS-01", 1.89, 1.90, 1.91)
    choose(spars, "FS-02", "SH-09")
    work = go_to_trial(spars, "FS-02")
    spars.add_trial(strip_by_hand("across"))  # of the other grain: it says nothing of this bend
    assert spars.step_view(work).trials_wanted == 2
    measure(spars, work, "FS-02", 1.90)
    spars.another_trial(work, "FS-02")
    assert spars.step_view(work).trials_wanted == 1
    spars.add_trial(strip_by_hand("along"))  # it may be of any lot
    assert spars.step_view(work).trials_wanted == 0


@pytest.mark.parametrize("size", [(73, 20), (80, 24), (120, 36)])
def test_it_stands_whole_on_the_step(spars: Bench, size: tuple[int, int]) -> None:
    """Cut after "and this sheet is …", at every size and on the whole page."""
    choose(spars, "FS-01", "SH-03")
    bend(spars, "FS-01", 1.89, 1.90, 1.91)
    choose(spars, "FS-02", "SH-09")
    work = go_to_trial(spars, "FS-02")
    spars.acknowledge(work)
    spars.pause(work)
    words = " ".join(spars.step_view(work).strip_lots.split()[-5:])

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.take_up(work)
        app.bench.acknowledge(work)
        app.walk(work)
        for _ in range(200):
            text = " ".join(first_column(app).split())
            if words in text:
                return
            await pilot.pause(0.02)
        raise AssertionError(text)

    with_app(spars.shop.folder, walk, size, clocks=SteadyClocks())


def test_where_both_lots_have_strips_each_is_told(spars: Bench) -> None:
    choose(spars, "FS-01", "SH-03")
    bend(spars, "FS-01", 1.89, 1.90, 1.91)
    choose(spars, "FS-02", "SH-09")
    work = go_to_trial(spars, "FS-02")
    measure(spars, work, "FS-02", 1.90, leg="1.003", **{"other-leg": "1.003"})
    spars.finish(work, "FS-02")
    said = at_the_bend(spars, "FS-02")
    assert said.startswith("By lot: SH-03: 3 strips, neutral line at ")
    assert "; SH-09 (this sheet): 1 strip, neutral line at " in said
    told = [
        part.split("neutral line at ")[1].split(".")[1][:3] for part in said.split("By lot")[1].split(";")
    ]
    assert told[0] != told[1]
    assert fold(spars.record.journal.after(0)) == spars.state


def test_a_strip_that_was_typed_by_itself_names_no_lot(spars: Bench) -> None:
    choose(spars, "FS-01", "SH-03")
    bend(spars, "FS-01", 1.89, 1.90)
    spars.add_trial(replace(strip_by_hand("along"), alloy="2024-T3"))
    assert "no lot named: 1 strip, neutral line at " in at_the_bend(spars, "FS-01")


def test_a_lot_that_was_corrected_is_that_of_its_strips(spars: Bench) -> None:
    choose(spars, "FS-01", "SH-03")
    bend(spars, "FS-01", 1.89, 1.90, 1.91)
    ref = StepRef("spar-channel", "choose-sheet")
    spars.correct("FS-01", ref, "figure", "SH-09", "read off the wrong sheet", "lot")
    assert {spars.state.lots_of(one) for one in spars.state.trials[-3:]} == {("SH-09",)}
    undo_newest(spars)
    assert {spars.state.lots_of(one) for one in spars.state.trials[-3:]} == {("SH-03",)}
