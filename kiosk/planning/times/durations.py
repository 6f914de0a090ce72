"""How long a piece of work takes: what the record leads to expect, with its quantiles and chances.

The prediction is a Student t on the log scale (``kiosk/record/learning.py``). Its mean is infinite, so only
medians, quantiles and chances are given.
"""

import functools
import math

from kiosk.dataclass import dataclass
from kiosk.planning.times import student_t
from kiosk.record.learning import USUAL_PRIOR, Expected, Prior, expected
from kiosk.record.state import Times

LEAST_SPREAD = 0.05  # of log minutes, where what is left of a piece is worked out
MOST_OVER = 3.0  # spreads over the middle: past them, as with a timer forgotten, what is left stays

_quantile = functools.lru_cache(maxsize=4096)(student_t.quantile)


@dataclass(frozen=True)
class Duration:
    """A predicted time: log minutes are Student t with these degrees, location and scale.

    ``observed`` is what the times seen count for, in whole ones. ``common`` is the part of the scale's square
    that all pieces of the step share, since their mean is unknown; pieces in a row are late together.
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

    def share_left(self, spent_minutes: float) -> float:
        """Of what a piece takes in the mean, what is left in the mean after so many minutes at it.

        A time that has not come to its end by then is one of the longer ones: the mean of a lognormal cut off
        below (Johnson, Kotz & Balakrishnan, Continuous Univariate Distributions, volume 1, chapter 14).
        """
        if spent_minutes <= 0:
            return 1.0
        spread = max(self.scale, LEAST_SPREAD)
        over = min(MOST_OVER, (math.log(spent_minutes) - self.location) / spread)
        longer = math.erfc((over - spread) / math.sqrt(2)) / math.erfc(over / math.sqrt(2))
        return min(1.0, longer - math.exp(over * spread - spread**2 / 2))

    def chance_within(self, minutes: float) -> float:
        """The chance that it takes no longer than ``minutes``."""
        if minutes <= 0:
            return 0.0
        return student_t.cumulative((math.log(minutes) - self.location) / self.scale, self.degrees)


def predict(
    estimate_minutes: float,
    times: Times | None = None,
    prior: Prior = USUAL_PRIOR,
    repeat: int | None = None,
) -> Duration:
    """The predicted time of one piece from the estimate and what the record holds of it.

    ``repeat`` is which repeat is predicted (default: the next).
    """
    return duration_of(expected(estimate_minutes, times, prior, repeat))


def duration_of(usual: Expected) -> Duration:
    """What is expected of a time, as a duration to plan with."""
    scale = math.sqrt(usual.square)
    return Duration(usual.degrees, usual.location, scale, usual.observed, usual.unknown / usual.square)
