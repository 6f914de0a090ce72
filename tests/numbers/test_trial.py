"""Trial strips: a known factor is recovered inside the stated interval as often as stated."""

import math
import random

import pytest

from kiosk.numbers.bends import flat_layout, setback_in
from kiosk.numbers.result import OutOfRange
from kiosk.numbers.trial import TrialStrip, brake_setting_deg, fit, flat_width_from_trials
from kiosk.planning.times.student_t import quantile

TRUE_FACTOR, TRUE_SPRING = 0.42, 0.957


def bent(random_numbers: random.Random, angle_set: float, noise_in: float, noise_deg: float) -> TrialStrip:
    """A strip as it comes off a brake with a known factor, measured with errors."""
    angle = angle_set * TRUE_SPRING + random_numbers.gauss(0, noise_deg)
    allowance = math.radians(angle) * (0.125 + TRUE_FACTOR * 0.032)
    legs = 1.0, 1.5
    flat = sum(legs) - 2 * setback_in(0.032, 0.125, angle) + allowance + random_numbers.gauss(0, noise_in)
    return TrialStrip(flat, *legs, angle, angle_set, 0.032, 0.125)


@pytest.mark.parametrize("strips", [2, 3, 5])
def test_the_interval_holds_the_truth_nineteen_times_in_twenty(strips: int) -> None:
    random_numbers = random.Random(strips)
    runs, held, spring_held = 2000, 0, 0
    for _ in range(runs):
        made = [
            bent(random_numbers, random_numbers.choice([45, 60, 94, 94]), 0.006, 0.0) for _ in range(strips)
        ]
        fitted = fit(made, quantile)
        held += fitted.neutral_factor.low <= TRUE_FACTOR <= fitted.neutral_factor.high
        spring = fit([bent(random_numbers, 94, 0.0, 0.4) for _ in range(strips)], quantile).springback_factor
        spring_held += spring.low <= TRUE_SPRING <= spring.high
    # 95 % of 2,000 is 1,900; the binomial spread is 9.7, so four of them either way.
    assert abs(held - 1900) <= 39
    assert abs(spring_held - 1900) <= 39


def test_one_strip_works_and_says_how_little_it_knows() -> None:
    fitted = fit([bent(random.Random(1), 94, 0.0, 0.0)], quantile)
    assert fitted.neutral_factor.value == pytest.approx(TRUE_FACTOR, abs=1e-9)
    assert fitted.neutral_factor.high - fitted.neutral_factor.low > 0.5
    assert "One strip knows little" in fitted.says
    assert fitted.spread_in is None


def test_the_real_part_and_the_brake_setting_follow() -> None:
    random_numbers = random.Random(5)
    fitted = fit([bent(random_numbers, 94, 0.0, 0.0) for _ in range(4)], quantile)
    width = flat_width_from_trials(fitted, (0.75, 5.694, 0.75), (90, 90), 0.032, 0.125)
    exact = flat_layout((0.75, 5.694, 0.75), (90, 90), 0.032, 0.125, TRUE_FACTOR).width_in
    assert width.value == pytest.approx(exact, abs=1e-6)
    assert width.low <= width.value <= width.high
    assert brake_setting_deg(fitted, 90) == pytest.approx(90 / TRUE_SPRING, abs=1e-6)


def test_no_strip_or_a_flat_one_is_refused() -> None:
    with pytest.raises(OutOfRange):
        fit([], quantile)
    with pytest.raises(OutOfRange):
        fit([TrialStrip(2, 1, 1, 0, 94, 0.032, 0.125)], quantile)
