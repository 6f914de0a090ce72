"""The brake's setting is the formula's until three strips agree to a degree; strips go with their sheet."""

from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.numbers.bends import overbend
from kiosk.shop.figures import StepNumber
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks
from tests.driver import undo_newest
from tests.planning.test_spare import take_to
from tests.record.test_trials import (
    RADIUS_IN,
    THICKNESS_IN,
    bend_three,
    limits_of,
    strip_by_hand,
    width_of,
)


@pytest.fixture
def spars(demo_shop: Path) -> Bench:
    bench = Bench(demo_shop, SteadyClocks())
    bench.mark_clock(right=True)
    return bench


def setting(bench: Bench, step: str = "bend-first") -> StepNumber:
    """What the step shows of the brake, for the front spar."""
    _, found = bench.shop.find_step("spar-channel", step, "FS-01")
    assert found is not None
    return bench.shop.figures.step_number(bench.shop.kinds["front-spar"], found.numbers[0])


def set_to(bench: Bench, *degrees: float) -> None:
    """Strips that came out at 90, with what the brake was said to be set to."""
    for one in degrees:
        bench.add_trial(replace(strip_by_hand("along"), set_angle_deg=one))


@pytest.mark.parametrize(
    ("degrees", "words"),
    [
        ((99.0,), "The formula stands until 3: bend 2 more"),
        ((93.0, 93.0), "The formula stands until 3: bend 1 more"),
        ((93.0, 93.0, 170.0), "the formula stands"),
        ((93.0, 93.0, 96.0), "too wide: the formula stands"),
    ],
)
def test_strips_that_know_too_little_move_no_bend(
    spars: Bench, degrees: tuple[float, ...], words: str
) -> None:
    """One mistyped setting is no reason to bend every spar by it."""
    bend_deg = spars.shop.figures.number(spars.shop.kinds["front-spar"], "upper_bend", "deg")
    formula = overbend(THICKNESS_IN, RADIUS_IN, "2024-T3", bend_deg).angle_deg
    before = {step: setting(spars, step).value for step in ("bend-first", "bend-second", "trial-strip")}
    asked = limits_of(spars, "FS-01", "trial-strip", "set")
    assert before["bend-first"] == pytest.approx(formula)
    set_to(spars, *degrees)
    assert {step: setting(spars, step).value for step in before} == before
    assert words in setting(spars).warnings[0]
    assert limits_of(spars, "FS-01", "trial-strip", "set") == asked and asked.within(93)


def test_three_that_agree_are_used_and_a_fourth_that_does_not_puts_the_formula_back(spars: Bench) -> None:
    formula = setting(spars).value
    bend_deg = spars.shop.figures.number(spars.shop.kinds["front-spar"], "upper_bend", "deg")
    set_to(spars, 93.0, 93.1, 92.9)
    assert setting(spars).value == pytest.approx(bend_deg * 93 / 90, abs=0.01)
    assert setting(spars).warnings[0].startswith("Fitted from 3 strips")
    set_to(spars, 99.0)
    assert setting(spars).value == formula


@pytest.mark.parametrize("reopened", ["choose-sheet", "cut-trial-strip", "trial-strip"])
def test_a_sheet_chosen_again_takes_its_strips_out_of_the_count(spars: Bench, reopened: str) -> None:
    """The wrong sheet's strips would cut and bend every part of that alloy."""
    before, formula_in = spars.state.strips(), width_of(spars, "front-spar")
    rear_in = width_of(spars, "rear-spar")
    bend_three(spars)
    spars.add_trial(strip_by_hand("along"))  # of no part: nobody says what it was cut from
    assert width_of(spars, "rear-spar") < rear_in - 0.01
    spars.reopen("FS-01", StepRef("spar-channel", reopened), "wrong sheet, of 6061")
    assert [strip.mark for strip in spars.state.strips()[len(before) :]] == [""]
    assert width_of(spars, "front-spar") == pytest.approx(formula_in)
    taken = [trial for trial in spars.state.trials if trial.retracted_by]
    assert [trial.why for trial in taken[-3:]] == [f"{reopened} is done again"] * 3


def test_a_later_step_done_again_leaves_them(spars: Bench) -> None:
    bend_three(spars)
    take_to(spars, ["FS-01"], "spar-channel/clamp-straightedge")
    fitted_in, strips = width_of(spars, "front-spar"), spars.state.strips()
    spars.reopen("FS-01", StepRef("spar-channel", "mark-strip"), "marked from the wrong edge")
    assert spars.state.strips() == strips and width_of(spars, "front-spar") == fitted_in
    undo_newest(spars)
    assert spars.state.strips() == strips


def test_how_the_bends_lie_is_one_thing_for_the_strip_and_for_who_asks_it(demo_shop: Path) -> None:
    """``bend_grain`` across on a blank that lies along: its strips serve it, and none that bends along."""
    path = demo_shop / "shop.yaml"
    text = path.read_text()
    at = text.index("grain: along\n", text.index("- id: front-spar\n"))
    path.write_text(f"{text[:at]}bend_grain: across\n      {text[at:]}")
    bench = Bench(demo_shop, SteadyClocks())
    bench.mark_clock(right=True)
    before = {kind: width_of(bench, kind) for kind in ("front-spar", "rear-spar")}
    count = len(bench.state.strips())
    bend_three(bench)
    assert {strip.grain for strip in bench.state.strips()[count:]} == {"across"}
    assert width_of(bench, "front-spar") < before["front-spar"] - 0.01
    assert width_of(bench, "rear-spar") == before["rear-spar"]
