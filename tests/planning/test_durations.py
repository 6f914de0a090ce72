"""Predicted times against published formulas and scipy."""

import math

import pytest
from scipy import stats

from kiosk.planning.times import student_t
from kiosk.planning.times.durations import Duration, predict
from kiosk.record.learning import Prior
from kiosk.record.state import Times


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 7, 8, 20, 59])
def test_student_t_equals_scipy(degrees: int) -> None:
    for t in (-40.0, -3.1, -0.7, 0.0, 0.2, 1.5, 12.0):
        assert student_t.cumulative(t, degrees) == pytest.approx(stats.t.cdf(t, degrees), abs=2e-15)
    for p in (0.001, 0.1, 0.5, 0.8, 0.9, 0.999):
        assert student_t.quantile(p, degrees) == pytest.approx(stats.t.ppf(p, degrees), rel=1e-11, abs=1e-12)


# Abramowitz & Stegun, Table 26.10, percentage points of the t distribution (two-sided 0.90 and 0.95).
@pytest.mark.parametrize(
    ("degrees", "t90", "t95"), [(1, 6.314, 12.706), (4, 2.132, 2.776), (10, 1.812, 2.228)]
)
def test_student_t_equals_the_printed_table(degrees: int, t90: float, t95: float) -> None:
    assert student_t.quantile(0.95, degrees) == pytest.approx(t90, abs=0.0006)
    assert student_t.quantile(0.975, degrees) == pytest.approx(t95, abs=0.0006)


def times_of(*minutes: float) -> Times:
    times = Times()
    for repeat, value in enumerate(minutes, 1):
        times = times.plus(value, repeat)
    return times


# Normal-inverse-gamma on the log scale (Murphy 2007); estimate 20 min, weight 1, shape 2, spread .35,
# observed 31, 24, 45, 28: figures recomputed with scipy.stats.t.
@pytest.mark.parametrize(
    ("observed", "median", "q80", "q90", "p30", "p45"),
    [
        ((), 20.0, 31.86, 42.72, 0.7707, 0.9117),
        ((31,), 24.9, 36.61, 46.23, 0.6623, 0.8914),
        ((31, 24), 24.6, 34.11, 41.37, 0.6989, 0.9273),
        ((31, 24, 45), 28.61, 40.64, 49.81, 0.5466, 0.8571),
        ((31, 24, 45, 28), 28.48, 39.20, 47.05, 0.5556, 0.8806),
    ],
)
def test_the_prediction_draws_towards_the_record(
    observed: tuple[float, ...], median: float, q80: float, q90: float, p30: float, p45: float
) -> None:
    seen = times_of(*observed) if observed else None
    duration = predict(20, seen, Prior(weight=1, shape=2, spread=0.35))
    assert duration.median_minutes == pytest.approx(median, abs=0.05)
    assert duration.quantile_minutes(0.8) == pytest.approx(q80, abs=0.01)
    assert duration.quantile_minutes(0.9) == pytest.approx(q90, abs=0.01)
    assert duration.chance_within(30) == pytest.approx(p30, abs=0.0001)
    assert duration.chance_within(45) == pytest.approx(p45, abs=0.0001)


@pytest.mark.parametrize("spent", [0.0, 0.2, 0.5, 0.8, 1.0, 1.2, 2.0])
def test_what_is_left_of_a_piece_is_the_mean_of_the_times_that_are_longer(spent: float) -> None:
    """scipy.stats.lognorm, cut off below."""
    piece = Duration(degrees=40, location=math.log(5), scale=0.35, observed=34)
    law = stats.lognorm(0.35, scale=5.0)
    longer = law.expect(lambda minutes: minutes, lb=spent * 5, conditional=True)
    assert piece.share_left(spent * 5) == pytest.approx((longer - spent * 5) / law.mean(), abs=0.002)


def test_a_forgotten_timer_leaves_a_piece_no_longer_than_it_was() -> None:
    for scale in (1e-9, 0.1, 0.35, 0.8):
        piece = Duration(degrees=12, location=math.log(5), scale=scale, observed=0)
        assert 0 <= piece.share_left(600) <= 1
