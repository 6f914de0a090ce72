"""How long a piece of work takes: the author's estimate, drawn towards this shop's own record.

The logarithm of the minutes has a normal-inverse-gamma prior centred on the estimate (Murphy 2007,
conjugate Bayesian analysis of the Gaussian). The prediction is a Student t on the log scale. Its mean is
infinite, so only medians, quantiles and chances are given.
"""

import functools
import math
from dataclasses import dataclass

from kiosk.planning import student_t
from kiosk.record.state import Times

PRIOR_WEIGHT = 2.0  # the estimate counts as two observations
PRIOR_SHAPE = 3  # whole, so that the degrees of freedom are whole
PRIOR_SPREAD = 0.35  # standard deviation of the log minutes before anything is seen
SHORTEST_MINUTES = 0.1

_quantile = functools.lru_cache(maxsize=4096)(student_t.quantile)


@dataclass(frozen=True)
class Duration:
    """A predicted time: log minutes are Student t with these degrees, location and scale."""

    degrees: int
    location: float
    scale: float
    observed: int

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
) -> Duration:
    """The predicted time of one piece from the estimate and what the record holds of it."""
    seen = times or Times()
    centre = math.log(max(SHORTEST_MINUTES, estimate_minutes))
    n = seen.count
    weight_n = weight + n
    location = (weight * centre + n * seen.mean_log) / weight_n
    rate = (
        shape * spread**2 + seen.squares_log / 2 + weight * n * (seen.mean_log - centre) ** 2 / (2 * weight_n)
    )
    degrees = 2 * shape + n
    shape_n = degrees / 2
    scale = math.sqrt(rate * (weight_n + 1) / (shape_n * weight_n))
    return Duration(degrees, location, scale, n)
