"""Trial strips of a step: taken from its checks, corrected with them, used for parts of that sheet alone."""

from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.errors import KioskError
from kiosk.numbers.bends import deduction_in, flat_width, overbend
from kiosk.numbers.trial import TrialStrip, fit
from kiosk.planning.times.student_t import quantile
from kiosk.record.apply import fold
from kiosk.record.events import TrialBent
from kiosk.record.rules import Refused
from kiosk.shop.blanks import blank_of
from kiosk.shop.measures import MeasureLimits
from kiosk.shop.procedure import MeasureCheck, StepRef
from tests.conftest import SteadyClocks
from tests.driver import do_step, good_answer, undo_newest
from tests.planning.test_spare import take_to

THICKNESS_IN, RADIUS_IN = 0.032, 0.125  # of the spars
# By FAA-H-8083-31's formula, and by a brake that takes .010 more off each bend.
FORMULA_IN = deduction_in(THICKNESS_IN, RADIUS_IN, 90)
REAL_IN = FORMULA_IN + 0.010
SPAR_FORMULA_IN = 7.0215  # legs 3/4, 5.694, 3/4 less the deductions of 84.04 and 89.43 degrees


def open_bench(folder: Path) -> Bench:
    return Bench(folder, SteadyClocks())


def go_to_trial(bench: Bench, mark: str = "FS-01") -> str:
    """The work of the trial step, its cautions read."""
    while bench.position(mark).step is None or bench.position(mark).step.trial is None:  # type: ignore[union-attr]
        do_step(bench, [mark])
    where = bench.position(mark)
    assert where.procedure is not None and where.step is not None
    work = bench.start([mark], where.procedure.id, where.step.id)
    bench.acknowledge(work)
    return work


def measure(
    bench: Bench, work: str, mark: str = "FS-01", flat: float = 1.9, angle: str = "90", **said: str
) -> None:
    """A strip of this brake: both legs alike, as its deduction leaves them."""
    leg = (flat + REAL_IN) / 2
    given = {
        "flat": f"{flat:.4f}",
        "set": "93",
        "angle": angle,
        "leg": f"{leg:.4f}",
        "other-leg": f"{leg:.4f}",
    }
    for check, text in {**given, "cracks": "yes", **said}.items():
        bench.answer(work, mark, check, text)


def bend_three(bench: Bench, mark: str = "FS-01") -> None:
    """Three strips on the trial step, which is then done."""
    work = go_to_trial(bench, mark)
    for flat in (1.89, 1.90):
        measure(bench, work, mark, flat)
        bench.another_trial(work, mark)
    measure(bench, work, mark, 1.91)
    bench.finish(work, mark)


def width_of(bench: Bench, kind: str) -> float:
    return bench.shop.figures.number(bench.shop.kinds[kind], "flat_width", "in")


def limits_of(bench: Bench, mark: str, step: str, check: str) -> MeasureLimits:
    _, found = bench.shop.find_step("spar-channel", step)
    assert found is not None
    asked = next(one for one in found.checks if one.id == check)
    assert isinstance(asked, MeasureCheck)
    return bench.shop.figures.limits(bench.shop.kind_of(mark), asked)


@pytest.fixture
def spars(demo_shop: Path) -> Bench:
    bench = open_bench(demo_shop)
    bench.mark_clock(right=True)
    # Nothing of the demo's own strips (of the clips, across the grain) speaks for a spar.
    assert all(strip.grain == "across" for strip in bench.state.strips())
    return bench


def test_what_is_measured_on_the_step_is_a_strip_and_nothing_is_typed_twice(spars: Bench) -> None:
    before = len(spars.state.trials)
    bend_three(spars)
    strips = [trial.strip for trial in spars.state.trials[before:]]
    assert [strip.flat_length_in for strip in strips] == [1.89, 1.90, 1.91]
    for strip in strips:
        assert (strip.alloy, strip.thickness_in, strip.inside_radius_in) == (
            "2024-T3",
            THICKNESS_IN,
            RADIUS_IN,
        )
        assert (strip.grain, strip.mark, strip.step) == ("along", "FS-01", "trial-strip")
        assert (strip.angle_deg, strip.set_angle_deg) == (90, 93)
        assert strip.leg_a_in + strip.leg_b_in - strip.flat_length_in == pytest.approx(REAL_IN, abs=2e-4)


def test_the_flat_width_is_the_fitted_one_wherever_it_is_asked_for(spars: Bench) -> None:
    # Two bends of the real deduction, .010 more at 90 degrees: a width that mark-strip would refuse at 1/64.
    assert width_of(spars, "front-spar") == pytest.approx(SPAR_FORMULA_IN, abs=5e-4)
    formula_in = width_of(spars, "front-spar")
    true_in = formula_in - (REAL_IN - FORMULA_IN) * (84.04 + 89.43) / 90
    assert not limits_of(spars, "FS-01", "mark-strip", "left").within(true_in)
    bend_three(spars)
    kind = spars.shop.kinds["front-spar"]
    assert width_of(spars, "front-spar") == pytest.approx(true_in, abs=5e-4)
    for step in ("mark-strip", "rout-strip"):
        assert limits_of(spars, "FS-01", step, "left" if step == "mark-strip" else "width").within(true_in)
    assert blank_of(spars.shop.figures, kind).width_in == pytest.approx(true_in, abs=5e-4)
    sight = spars.shop.figures.dimension(kind, "sight_line")
    assert sight.result is not None and sight.result.warnings[0].startswith("Flat width by 3 strips: 7.00")
    assert f"by formula {formula_in:.3f}." in sight.result.warnings[0]
    # The rear spar is of the same sheet, radius and grain; the clips bend across the grain.
    rear = spars.shop.figures.dimension(spars.shop.kinds["rear-spar"], "flat_width").result
    assert rear is not None and rear.warnings[0].startswith("Fitted from 3 strips")


def test_other_sheet_radius_and_grain_never_borrow_it(spars: Bench) -> None:
    widths = {kind: width_of(spars, kind) for kind in ("front-spar", "rib-clip")}
    strip = strip_by_hand("along")
    for other in (
        {"grain": "across"},
        {
            "inside_radius_in": 0.15625,
            "flat_length_in": 1.894,
        },
    ):
        for _ in range(3):
            changed = replace(strip, **other)
            spars.add_trial(changed)
    assert width_of(spars, "front-spar") == widths["front-spar"]
    for _ in range(3):
        spars.add_trial(strip)
    assert width_of(spars, "front-spar") < widths["front-spar"]


def test_one_strip_or_strips_that_disagree_leave_the_formula_and_say_so(spars: Bench) -> None:
    kind = spars.shop.kinds["front-spar"]
    formula_in = width_of(spars, "front-spar")

    def said() -> str:
        result = spars.shop.figures.dimension(kind, "flat_width").result
        assert result is not None
        return result.warnings[0]

    spars.add_trial(strip_by_hand("along"))
    assert width_of(spars, "front-spar") == formula_in
    assert said() == "1 strip: 7.002. The formula stands until 3: bend 2 more."
    for off_in in (0.0, 0.015, -0.015):
        spars.add_trial(strip_by_hand("along", off_in))
    assert width_of(spars, "front-spar") == formula_in
    assert said().startswith("4 strips: 7.002 ±") and said().endswith(
        "too wide: the formula stands. Bend another."
    )


def strip_by_hand(grain: str, off_in: float = 0.0) -> TrialBent:
    leg_in = (1.9 + REAL_IN) / 2
    return TrialBent(
        alloy="2024-T3", thickness_in=THICKNESS_IN, inside_radius_in=RADIUS_IN, flat_length_in=1.9 + off_in,
        leg_a_in=leg_in, leg_b_in=leg_in, angle_deg=90, set_angle_deg=93, grain=grain,
    )  # fmt: skip


def test_the_brake_is_set_by_what_the_strips_sprang_back(spars: Bench) -> None:
    _, step = spars.shop.find_step("spar-channel", "bend-first")
    assert step is not None
    kind = spars.shop.kinds["front-spar"]
    bend_deg = spars.shop.figures.number(kind, "upper_bend", "deg")
    formula_deg = overbend(THICKNESS_IN, RADIUS_IN, "2024-T3", bend_deg).angle_deg
    assert spars.shop.figures.step_number(kind, step.numbers[0]).value == pytest.approx(formula_deg)
    bend_three(spars)
    number = spars.shop.figures.step_number(kind, step.numbers[0])
    assert number.value == pytest.approx(bend_deg * 93 / 90, abs=0.01)
    assert number.warnings[0] == f"Fitted from 3 strips: set 86.8 ± 0.1; by formula {formula_deg:.1f}."


def test_a_strip_that_cannot_be_is_refused_until_it_is_measured_again(spars: Bench) -> None:
    work = go_to_trial(spars)
    measure(spars, work, leg="0.9")
    before = len(spars.state.trials)
    with pytest.raises(KioskError, match=r"flat 1.9 with legs 0.9 and .* leaves .* in for the bend"):
        spars.another_trial(work, "FS-01")
    assert len(spars.state.trials) == before
    measure(spars, work)
    spars.finish(work, "FS-01")
    assert len(spars.state.trials) == before + 1


def test_another_strip_wants_all_figures_and_may_be_out_of_limits(spars: Bench) -> None:
    work = go_to_trial(spars)
    with pytest.raises(KioskError, match="not measured yet: Flat length written on this strip"):
        spars.another_trial(work, "FS-01")
    measure(spars, work, angle="87")  # set too low: no good angle, but it tells the springback
    with pytest.raises(Refused, match="still open"):
        spars.finish(work, "FS-01")
    spars.another_trial(work, "FS-01")
    assert spars.state.strips()[-1].angle_deg == 87
    piece = spars.state.works[work].piece("FS-01")
    assert piece is not None and piece.answers == {}


def test_correcting_the_answers_corrects_the_strip(spars: Bench) -> None:
    before = len(spars.state.strips())
    work = go_to_trial(spars)
    measure(spars, work)
    spars.answer(work, "FS-01", "flat", "1.905")  # typed again before it is done
    spars.finish(work, "FS-01")
    assert spars.state.strips()[-1].flat_length_in == 1.905
    undo_newest(spars)  # the step is not done, and its strip does not count
    assert len(spars.state.strips()) == before and len(spars.state.trials) == before + 1
    spars.answer(work, "FS-01", "flat", "1.9")
    spars.finish(work, "FS-01")
    assert spars.state.strips()[-1].flat_length_in == 1.9
    spars.reopen("FS-01", StepRef("spar-channel", "trial-strip"), "leg read off the wrong side")
    assert len(spars.state.strips()) == before
    undo_newest(spars)  # the opening
    undo_newest(spars)  # and what it took out of the count
    assert spars.state.strips()[-1].flat_length_in == 1.9


def test_taking_back_another_strip_gives_its_answers_back(spars: Bench) -> None:
    before = len(spars.state.strips())
    work = go_to_trial(spars)
    measure(spars, work)
    spars.another_trial(work, "FS-01")
    undo_newest(spars)
    piece = spars.state.works[work].piece("FS-01")
    assert piece is not None and piece.answers["flat"].text == "1.9000"
    assert len(spars.state.strips()) == before


def test_a_retracted_strip_stays_in_the_record_and_counts_no_longer(spars: Bench) -> None:
    bend_three(spars)
    fitted_in = width_of(spars, "front-spar")
    number = spars.state.trials[-1].number
    spars.retract_trial(number, "measured over a burr")
    assert width_of(spars, "front-spar") == pytest.approx(SPAR_FORMULA_IN, abs=5e-4)
    assert spars.state.trials[-1].why == "measured over a burr"
    with pytest.raises(Refused, match="no longer counted"):
        spars.retract_trial(number, "again")
    with pytest.raises(Refused, match="no trial strip 99"):
        spars.retract_trial(99, "mistyped")
    undo_newest(spars)
    assert width_of(spars, "front-spar") == fitted_in
    folder = spars.shop.folder
    spars.close()
    again = open_bench(folder)
    assert width_of(again, "front-spar") == fitted_in  # from the record alone
    again.close()


def test_a_new_strip_while_a_part_is_marked_but_not_cut_is_said_on_the_step(spars: Bench) -> None:
    go_to_trial(spars)
    work = spars.state.part("FS-01").work
    assert work is not None
    measure(spars, work)
    spars.finish(work, "FS-01")  # one strip: the formula stands
    take_to(spars, ["FS-01"], "spar-channel/rout-strip")
    spars.come("odile")
    spars.hold_look(["FS-01"], "odile", "the line lies where it should")
    cut = spars.start(["FS-01"], "spar-channel", "rout-strip")
    assert spars.step_view(cut).outdated == ()
    for _ in range(2):
        spars.add_trial(strip_by_hand("along"))
    told = spars.step_view(cut).outdated
    assert len(told) == 3 and told[0].startswith("Width marked at the")
    assert "7.021, now wanted 6.987 to 7.017 in" in told[0]
    spars.acknowledge(cut)
    for check in spars.shop.procedures["spar-channel"].step("rout-strip").checks:  # type: ignore[union-attr]
        spars.answer(cut, "FS-01", check.id, good_answer(spars, check, "FS-01"))
    spars.finish(cut, "FS-01")
    take_to(spars, ["FS-01"], "spar-channel/dress-edges")
    filed = spars.start(["FS-01"], "spar-channel", "dress-edges")
    assert spars.step_view(filed).outdated == ()  # it is cut: nothing can be marked again


def test_a_correction_is_undone_only_after_what_corrected_it(spars: Bench) -> None:
    """Else the strip before it and the one after it would both count: one strip twice."""
    bend_three(spars)
    counted = len(spars.state.strips())
    events = []
    second = sorted(one.number for one in spars.state.trials if not one.retracted_by)[-2]
    for number, leg in ((second, "0.9997"), (len(spars.state.trials) + 1, "0.9998")):
        spars.correct_trial(number, "leg_a", leg, "read over a burr")
        newest = spars.latest_undoable()
        assert newest is not None
        events.append(newest.event)
    with pytest.raises(Refused, match="was corrected or taken back since"):
        spars.undo(events[0])
    spars.undo(events[1])
    spars.undo(events[0])
    assert len(spars.state.strips()) == counted


def test_a_figure_of_one_strip_is_no_answer_to_the_next(spars: Bench) -> None:
    """The keypad stood open for a leg of the first while another screen went on to the second."""
    work = go_to_trial(spars)
    asked = spars.step_view(work).strips
    measure(spars, work)
    spars.another_trial(work, "FS-01")
    why = "that this was asked of was recorded at another screen meanwhile"
    with pytest.raises(Refused, match=why):
        spars.answer(work, "FS-01", "leg", "1.05", in_place_of="", strip=asked)
    with pytest.raises(Refused, match=why):
        spars.type_draft(work, "FS-01", "leg", "1.05", strip=asked)
    [piece] = spars.work(work).pieces
    assert not piece.answers and not piece.drafts
    second = spars.step_view(work).strips
    spars.answer(work, "FS-01", "leg", "1.05", in_place_of="", strip=second)
    undo_newest(spars)
    undo_newest(spars)  # the first strip is asked about again
    assert spars.step_view(work).strips == asked
    with pytest.raises(Refused, match="was taken back at another screen meanwhile"):
        spars.answer(work, "FS-01", "leg", "1.05", strip=second)
    assert fold(spars.record.journal.after(0)) == spars.state


# The thickness that a strip counts at


def choose_sheet(bench: Bench, thickness: str) -> None:
    """FS-01 is cut from SH-03, which measures so."""
    work = bench.start(["FS-01"], "spar-channel", "choose-sheet")
    bench.acknowledge(work)
    bench.answer(work, "FS-01", "lot", "SH-03")
    bench.answer(work, "FS-01", "thickness", thickness)
    bench.finish(work, "FS-01")


def test_a_strip_of_a_thicker_sheet_says_at_which_thickness_it_counts(spars: Bench) -> None:
    choose_sheet(spars, ".0335")
    work = go_to_trial(spars)
    assert spars.step_view(work).strip_thickness == (
        "This sheet measured 0.0335 in. Its strips count at 0.0320 in, as the part's figures do."
    )
    measure(spars, work)
    spars.finish(work, "FS-01")
    assert spars.state.strips()[-1].thickness_in == THICKNESS_IN
    marked = spars.start(["FS-01"], "spar-channel", "mark-strip")
    assert spars.step_view(marked).strip_thickness == "", "it bends no strip"


@pytest.mark.parametrize("thickness", [".032", ".0324"])
def test_a_sheet_that_measures_what_the_plans_give_is_told_nothing_of(spars: Bench, thickness: str) -> None:
    """The gaps of the leaf, which are set to the same thickness and a bit more, are none of a sheet."""
    choose_sheet(spars, thickness)
    assert spars.step_view(go_to_trial(spars)).strip_thickness == ""


@pytest.mark.parametrize("counts_at_in", [0.030, 0.032, 0.0345])
def test_what_a_bend_takes_goes_over_as_it_was_measured_at_one_thickness_for_both(
    counts_at_in: float,
) -> None:
    """Plain geometry: legs outside less the flat length is what a bend takes, of a strip as of a part."""
    strips = [
        TrialStrip(flat, (flat + REAL_IN) / 2, (flat + REAL_IN) / 2, 90, 93, counts_at_in, RADIUS_IN)
        for flat in (1.89, 1.90, 1.91)
    ]
    factor = fit(strips, quantile).neutral_factor.value
    legs = (1.5, 0.75)
    wide = flat_width(legs, (90.0,), counts_at_in, RADIUS_IN, factor).width_in
    assert wide == pytest.approx(sum(legs) - REAL_IN, abs=1e-6)
    other = flat_width(legs, (90.0,), counts_at_in + 0.0015, RADIUS_IN, factor).width_in
    assert abs(other - wide) > 0.0015, "as thick for the part as for the strip, or the blank is off"
