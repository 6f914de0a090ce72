"""What the builder's own trial strips say on the step that bends the same sheet."""

from dataclasses import replace

import pytest

from kiosk.bench import Bench
from kiosk.record.events import TrialBent
from kiosk.shop.procedure import NumberWanted, Step
from kiosk.shop.shop import Shop
from kiosk.views.strips_by_lot import trials_wanted
from kiosk.views.trial import NO_SETTING_YET, told_when_saved, trial_line


def bending_step(shop: Shop, kind: str) -> Step:
    """The first step of a kind that asks for a bend."""
    for name in shop.kinds[kind].procedures:
        for step in shop.procedures[name].steps:
            for wanted in step.numbers:
                if isinstance(wanted, NumberWanted) and wanted.calculator in ("bend_deduction", "overbend"):
                    return step
    raise AssertionError(f"no step of {kind} bends")


def strip(thickness_in: float, radius_in: float, alloy: str, grain: str = "along") -> TrialBent:
    """Two legs of 1 in, set to 95 and sprung back to 90: the flat width is by FAA-H-8083-31's own formula."""
    allowance = (0.01743 * radius_in + 0.0078 * thickness_in) * 90
    return TrialBent(
        alloy=alloy,
        thickness_in=thickness_in,
        inside_radius_in=radius_in,
        flat_length_in=2 - 2 * (radius_in + thickness_in) + allowance,
        leg_a_in=1.0,
        leg_b_in=1.0,
        angle_deg=90.0,
        set_angle_deg=95.0,
        grain=grain,
    )


def test_strips_of_the_same_sheet_and_radius_are_told_on_the_step(bench: Bench) -> None:
    kind = bench.shop.kinds["front-spar"]
    step = bending_step(bench.shop, "front-spar")
    alloy = bench.shop.figures.text(kind, "alloy")
    assert trial_line(bench.shop, kind, step) == ""
    bench.add_trial(strip(0.025, 0.125, alloy))
    assert trial_line(bench.shop, kind, step) == ""  # of other sheet
    bench.add_trial(strip(0.032, 0.125, alloy, "across"))
    assert trial_line(bench.shop, kind, step) == ""  # of the other grain
    for _ in range(2):
        bench.add_trial(strip(0.032, 0.125, alloy))
    said = trial_line(bench.shop, kind, step)
    # The handbook's allowance puts the neutral line at .0078 / .01743 of the thickness.
    assert said.startswith("Your 2 strips: neutral line at 0.44")
    assert said.endswith(NO_SETTING_YET)  # as the figure of the step: two strips may both be mistyped
    bench.add_trial(strip(0.032, 0.125, alloy))
    assert trial_line(bench.shop, kind, step).endswith("set the brake to 95.0 for 90")


def test_a_bend_off_square_is_never_told_the_setting_for_90(bench: Bench) -> None:
    """RS-01, found at the bench: "set the brake to 93.9 for 90" beside a bend that wants 86.3."""
    kind = bench.shop.kinds["rear-spar"]
    for _ in range(3):
        bench.add_trial(strip(0.032, 0.125, bench.shop.figures.text(kind, "alloy")))
    for name, bend in (("bend-first", "upper_bend"), ("bend-second", "lower_bend")):
        step = bench.shop.procedures["spar-channel"].step(name)
        assert step is not None
        wanted = bench.shop.figures.number(kind, bend, "deg")
        shown = [bench.shop.figures.step_number(kind, one) for one in step.numbers]
        said = trial_line(bench.shop, kind, step)
        assert said.endswith(f"set the brake to {wanted * 95 / 90:.1f} for {wanted:.1f}")
        assert shown[0].value == pytest.approx(wanted * 95 / 90, abs=0.05), "one setting, said twice"
        alone = next(one for one in shown if one.title.startswith("Wanted after release"))
        assert alone.value == pytest.approx(wanted)


def test_a_step_that_bends_nothing_says_nothing(bench: Bench) -> None:
    kind = bench.shop.kinds["front-spar"]
    step = next(one for one in bench.shop.procedures["spar-channel"].steps if not one.numbers)
    assert trial_line(bench.shop, kind, step) == ""


def test_a_strip_that_did_not_spring_back_is_told(bench: Bench) -> None:
    """Every hard sheet springs back: the leaf's scale was read, or the strip while it was still clamped."""
    alloy = bench.shop.figures.text(bench.shop.kinds["front-spar"], "alloy")
    bench.add_trial(strip(0.032, 0.125, alloy))
    assert told_when_saved(bench.state) == ""
    bench.add_trial(replace(strip(0.032, 0.125, alloy), angle_deg=95.0))
    assert told_when_saved(bench.state).startswith("Strip 2 did not spring back at all: measure it again")


def test_three_strips_of_a_sheet_are_wanted_and_no_more(bench: Bench) -> None:
    kind = bench.shop.kinds["front-spar"]
    procedure = bench.shop.procedures["spar-channel"]
    step = procedure.step("trial-strip")
    assert step is not None
    alloy = bench.shop.figures.text(kind, "alloy")
    for wanted in (2, 1, 0, 0):  # after the one in hand
        assert trials_wanted(bench.context, "FS-01", procedure, step) == wanted
        bench.add_trial(strip(0.032, 0.125, alloy))
    bending = procedure.step("bend-first")
    assert bending is not None and trials_wanted(bench.context, "FS-01", procedure, bending) == 0
