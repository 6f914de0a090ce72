"""How long a piece of work takes: the author's estimate, drawn towards this shop's own record.

The logarithm of the minutes follows a straight line on the logarithm of the repeat (Crawford's unit learning
curve), with a conjugate normal-inverse-gamma prior centred on the estimate (Murphy 2007, conjugate Bayesian
analysis of the Gaussian; Stewart, Cost Estimator's Reference Manual, for learning slopes). The prediction
is a Student t on the log scale. Its mean is infinite, so only medians, quantiles and chances are given.
"""

import functools
import math
from dataclasses import dataclass

from kiosk.planning.times import student_t
from kiosk.record.state import MOST_REPEATS, Times

PRIOR_WEIGHT = 2.0  # the estimate counts as two observations
PRIOR_SHAPE = 3  # whole, so that the degrees of freedom are whole
PRIOR_SPREAD = 0.35  # standard deviation of the log minutes before anything is seen
USUAL_SLOPE = math.log(0.95) / math.log(2)  # hand work on a like piece: 95 % at each doubling
SLOPE_SPREAD = 0.1
SHORTEST_MINUTES = 0.1
NO_LEARNING = 1e12  # a slope weight that holds the slope where it is

_quantile = functools.lru_cache(maxsize=4096)(student_t.quantile)


@dataclass(frozen=True)
class Duration:
    """A predicted time: log minutes are Student t with these degrees, location and scale.

    ``common`` is the part of the scale's square that all pieces of the step share, since their mean is
    unknown; pieces in a row are late together.
    """

    degrees: int
    location: float
    scale: float
    observed: int
    common: float = 0.5

    @property
    def median_minutes(self) -> float:
        """Half of the time it takes no longer than this."""
        return math.exp(self.location)

    def quantile_minutes(self, p: float) -> float:
        """It takes no longer than this with chance ``p`` (0 < p < 1)."""
        return math.exp(self.location + self.scale * _quantile(p, self.degrees))

    def chance_within(self, minutes: float) -> float:
        """The chance that it takes no longer than ``minutes``."""
        if minutes <= 0:
            return 0.0
        return student_t.cumulative((math.log(minutes) - self.location) / self.scale, self.degrees)


def predict(
    estimate_minutes: float,
    times: Times | None = None,
    *,
    weight: float = PRIOR_WEIGHT,
    shape: int = PRIOR_SHAPE,
    spread: float = PRIOR_SPREAD,
    bias: float = 0.0,
    slope: float = 0.0,
    slope_weight: float = NO_LEARNING,
    repeat: int | None = None,
) -> Duration:
    """The predicted time of one piece from the estimate and what the record holds of it.

    ``bias`` is added to the logarithm of the estimate. ``repeat`` is which repeat is predicted (default: the
    next). ``slope`` and ``slope_weight`` are the prior of the learning curve's exponent.
    """
    seen = times or Times()
    n = seen.count
    x = math.log(min(repeat or n + 1, MOST_REPEATS))
    prior = (math.log(max(SHORTEST_MINUTES, estimate_minutes)) + bias, slope)
    # Precision matrix [[a, b], [b, c]] and the right-hand side of the normal equations.
    a, b, c = weight + n, seen.sum_x, slope_weight + seen.sum_xx
    right = (weight * prior[0] + seen.sum_y, slope_weight * prior[1] + seen.sum_xy)
    determinant = a * c - b * b
    level = (c * right[0] - b * right[1]) / determinant
    curve = (a * right[1] - b * right[0]) / determinant
    # b_n of the inverse gamma, written as squares left over so that nothing large cancels.
    residual = (
        seen.sum_yy
        - 2 * (level * seen.sum_y + curve * seen.sum_xy)
        + level**2 * n
        + 2 * level * curve * seen.sum_x
        + curve**2 * seen.sum_xx
    )
    moved = weight * (level - prior[0]) ** 2 + slope_weight * (curve - prior[1]) ** 2
    rate = shape * spread**2 + (max(0.0, residual) + moved) / 2
    degrees = 2 * shape + n
    leverage = (c - 2 * b * x + a * x * x) / determinant
    variance = rate / (degrees / 2)
    return Duration(
        degrees,
        level + curve * x,
        math.sqrt(variance * (1 + leverage)),
        n,
        leverage / (1 + leverage),
    )
