"""What was made by one figure keeps it, and is named once the plans or strips ask for another."""

from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.commands import main
from kiosk.commands.make_shop import make_shop
from kiosk.numbers.trial import TRIAL_FIGURES
from kiosk.record.made_before import made_otherwise
from kiosk.record.state import PartState, State
from kiosk.shop.procedure import MeasureCheck, StepRef
from kiosk.views.text import part_text, place_card_text
from tests.conftest import SteadyClocks
from tests.driver import do_step
from tests.planning.test_spare import take_to
from tests.record.moments import brambling, step, with_steps
from tests.record.test_trials import bend_three, strip_by_hand, width_of
from tests.shop.test_strips_at_every_bend import strip


def checked(folder: Path, capsys: pytest.CaptureFixture[str]) -> list[str]:
    main(["check", str(folder)])
    return capsys.readouterr().out.splitlines()


def test_tooling_that_strips_have_outgrown_is_named_with_both_figures(
    demo_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bench = Bench(demo_shop, SteadyClocks())
    kept = {mark: dict(bench.state.part(mark).measured) for mark in ("FB-NR", "BR-01")}
    for thickness_in in (0.025, 0.032):
        for angle_deg in (90.0, 89.0, 91.0):
            bench.add_trial(strip(thickness_in, angle_deg))
    lines = [line for line in checked(demo_shop, capsys) if "made by another figure" in line]
    (block,) = (line for line in lines if "FB-NR" in line)
    assert (
        "FB-NR was made by another figure" in block
        and "again on it, or go by the figure on each step" in block
    )
    assert "shop.yaml:145" in block and "relief" in block and "is 84.2 deg" in block and "77 to 79.5" in block
    (brake,) = (line for line in lines if "BR-01" in line)
    assert "stop" in brake and "is 94 deg" in brake and "100." in brake
    assert {mark: dict(bench.state.part(mark).measured) for mark in kept} == kept


def test_tooling_is_not_named_while_strips_do_not_count(
    demo_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bench = Bench(demo_shop, SteadyClocks())
    for angle_deg in (90.0, 89.0):
        bench.add_trial(strip(0.032, angle_deg))
    assert not [line for line in checked(demo_shop, capsys) if "made by another" in line]


def is_asked(bench: Bench, kind: str, step: str, check: str) -> str:
    """The limits of a check in the words of a screen, as the figures have them now."""
    for name in bench.shop.kinds[kind].procedures:
        found = bench.shop.procedures[name].step(step)
        if found is not None:
            asked = next(one for one in found.checks if one.id == check)
            assert isinstance(asked, MeasureCheck)
            return bench.shop.figures.limits(bench.shop.kinds[kind], asked).words(asked.unit)
    raise AssertionError(f"{kind} has no step {step}")


def retract_all(bench: Bench) -> None:
    for trial in bench.state.trials:
        if not trial.retracted_by:
            bench.retract_trial(trial.number, "bent over the wrong bar")


def cut_by_strips(bench: Bench, mark: str) -> float:
    """A spar routed to the width that three strips of its own say: that width."""
    bend_three(bench, mark)
    take_to(bench, [mark], "spar-channel/rout-strip")
    bench.come("odile")
    bench.hold_look([mark], "odile", "the line lies where it should")
    do_step(bench, [mark])
    ref = StepRef("spar-channel", "rout-strip")
    return bench.state.part(mark).measured[ref]["width"]


def test_a_part_that_was_cut_by_another_width_is_named_on_check_card_and_step(
    demo_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bench = Bench(demo_shop, SteadyClocks())
    bench.mark_clock(right=True)
    cut_in = cut_by_strips(bench, "FS-01")
    assert not [line for line in checked(demo_shop, capsys) if "FS-01" in line]
    before = bench.place_card().changes
    retract_all(bench)  # the formula stands: wider by .020
    asked = is_asked(bench, "front-spar", "rout-strip", "width")
    where = bench.position("FS-01")
    assert where.procedure is not None and where.step is not None and bench.state.sitting is not None
    told = f"{cut_in:g} in on record, {asked} is asked now"
    card = bench.place_card()
    assert card.marks == ("FS-01",)
    (line,) = (one for one in card.changes if one not in before)  # one line, both figures
    assert line.startswith("FS-01: ") and told in line
    assert told in place_card_text(card)
    row = next(row for row in bench.board() if row.mark == "FS-01")
    assert told in part_text(bench.context, row)
    (named,) = (line for line in checked(demo_shop, capsys) if "FS-01" in line)
    assert f"width of step 'rout-strip' is {cut_in:g} in, and {asked} is asked now" in named
    assert "raise a snag and decide" in named
    work = bench.start(["FS-01"], where.procedure.id, where.step.id)
    (said,) = bench.step_view(work).outdated
    assert told in said and said.endswith("Stop and let the builder decide.")
    assert told in " ".join(bench.place_card().changes)  # and while it is in hand
    for _ in range(3):  # strips that say the same as before: nothing is off any more
        bench.add_trial(strip_by_hand("along"))
    assert width_of(bench, "front-spar") == pytest.approx(cut_in, abs=0.001)
    assert bench.step_view(work).outdated == ()
    assert not [line for line in checked(demo_shop, capsys) if "FS-01" in line]


def test_tooling_made_by_strips_that_no_longer_count_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "shop"
    make_shop(folder, "brambling", with_history=False)
    bench = Bench(folder, SteadyClocks())
    for angle_deg in (90.0, 89.0, 91.0):
        bench.add_trial(strip(0.032, angle_deg))
    while not bench.position("BR-01").all_done:
        do_step(bench, ["BR-01"])
    bench.complete("BR-01")
    assert not [line for line in checked(folder, capsys) if "BR-01" in line]
    measured = bench.state.part("BR-01").measured[StepRef("bending-brake", "set-angle-stop")]["stop"]
    retract_all(bench)
    asked = is_asked(bench, "brake-eighth", "set-angle-stop", "stop")
    (line,) = (line for line in checked(folder, capsys) if "BR-01" in line)
    assert f"is {measured:g} deg, and {asked} is asked now" in line


def test_a_part_that_is_complete_is_left_alone(demo_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bench = Bench(demo_shop, SteadyClocks())
    bench.mark_clock(right=True)
    cut_by_strips(bench, "FS-01")
    retract_all(bench)
    state = bench.state
    assert made_otherwise(bench.shop, state, "FS-01")
    state.parts["FS-01"] = replace(state.parts["FS-01"], completed_at=state.last_at)
    assert not made_otherwise(bench.shop, state, "FS-01")


def change(folder: Path, kind: str, old: str, new: str) -> None:
    """Change a figure of one part kind in the shop file."""
    before, at, after = (folder / "shop.yaml").read_text().partition(f"  - id: {kind}\n")
    assert old in after
    (folder / "shop.yaml").write_text(before + at + after.replace(old, new, 1))


def test_what_was_made_by_a_dimension_that_was_changed_is_named(
    new_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A spar begun of .032 sheet went on as .040 without a word, and so did the brake that was set for it."""
    bench = Bench(new_shop, SteadyClocks())
    while not bench.position("BR-01").all_done:
        do_step(bench, ["BR-01"])
    bench.complete("BR-01")
    while "FS-01" not in bench.state.parts or not bench.state.part("FS-01").measured:
        do_step(bench, ["FS-01"])
    bench.close()
    assert not [line for line in checked(new_shop, capsys) if "made by another" in line]
    change(new_shop, "front-spar", "thickness: .032", "thickness: .040")
    lines = [line for line in checked(new_shop, capsys) if "made by another" in line]
    (spar,) = (line for line in lines if "FS-01 was made" in line)
    assert "is 0.032 in, and 0.0375 to 0.0425 in is asked now" in spar
    assert [line for line in lines if "BR-01 was made" in line and "stop of step" in line]
    bench = Bench(new_shop, SteadyClocks())
    told = "0.032 in on record, 0.0375 to 0.0425 in is asked now"
    assert [one for one in bench.place_card().changes if told in one]
    # What the builder accepted as it was measured is not told again.
    bench.raise_snag("FS-01", "of the old sheet")
    (snag,) = bench.state.open_snags("FS-01")
    at_choosing = replace(snag, step="choose-sheet", decision="use as is")
    state = replace(bench.state, snags={snag.id: at_choosing})
    assert made_otherwise(bench.shop, bench.state, "FS-01")
    assert not made_otherwise(bench.shop, state, "FS-01")
    bench.close()


def test_what_was_measured_of_a_strip_made_no_part() -> None:
    """Strips of the bar before are of another length than this one's, and no part is cut by them."""
    flat = {
        "kind": "measure",
        "id": "flat",
        "ask": "Flat?",
        "nominal": "bend_radius",
        "plus": ".001",
        "minus": ".001",
    }
    strip_of = {"of": "strip", "figures": dict.fromkeys(TRIAL_FIGURES, "flat")}
    tried, cut = step(id="strip", checks=[flat], trial=strip_of), step(id="cut", checks=[flat])
    shop, procedure = with_steps(brambling(), "form-block", tried, cut)
    told = []
    for one in (tried, cut):
        measured = {procedure.ref(one): {"flat": 0.5}}  # the plans want 1/8
        state = State(parts={"FB-NR": PartState("FB-NR", measured=measured)})
        told.append([other.words for other in made_otherwise(shop, state, "FB-NR")])
    assert told == [[], ["Flat: 0.5 in on record, 0.124 to 0.126 in is asked now"]]
