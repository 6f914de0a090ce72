"""How long several pieces of several steps take together: the distribution of the sum, in closed form.

Quantiles of single steps do not add up to a quantile of the whole: five steps planned at nine times in ten
would take a third of every slot for nothing. The sum of lognormal times is taken as lognormal with the sum's
own mean and variance (Fenton, The sum of log-normal probability distributions in scatter transmission
systems, IRE Transactions on Communications Systems 8, 1960). ``chance.py`` draws the same sum at random and
is what a chance is told from; here options are made by it, hundreds in an answer.
"""

import functools
import math
from statistics import NormalDist
from typing import NamedTuple

from kiosk.planning.times.chance import SHARED_SPREAD
from kiosk.planning.times.durations import Duration

WIDEST_VARIANCE = 0.7  # of log minutes: the mean of a Student t on the log scale is infinite
_SHARED = math.exp(SHARED_SPREAD**2) - 1


class TimeOfPiece(NamedTuple):
    """Minutes of one piece through one or more steps, taken up step by step.

    The variance is in two: what all pieces share, since their mean is unknown, and what is each piece's own.
    What everything done in one evening shares is in neither, and is added to the sum.
    """

    mean: float = 0.0
    shared: float = 0.0
    own: float = 0.0

    def then(self, duration: Duration) -> "TimeOfPiece":
        """The same with one step more."""
        return self.and_then(TimeOfPiece(*_moments_of(duration)))

    def and_then(self, other: "TimeOfPiece") -> "TimeOfPiece":
        """The same with all steps of another more."""
        return TimeOfPiece(self.mean + other.mean, self.shared + other.shared, self.own + other.own)

    def quantile_minutes(self, p: float, pieces: float = 1.0) -> float:
        """So many pieces take no longer than this together with chance ``p`` (0 < p < 1).

        The piece in hand may count as a fraction.
        """
        mean = pieces * self.mean
        if mean <= 0:
            return 0.0
        variance = pieces * pieces * self.shared + pieces * self.own
        spread = math.log1p(variance / (mean * mean) + _SHARED)
        return mean * math.exp(_normal_quantile(p) * math.sqrt(spread) - spread / 2)


@functools.lru_cache(maxsize=4096)
def _moments_of(duration: Duration) -> tuple[float, float, float]:
    """The mean and the two parts of the variance of one piece of a step."""
    variance = min(WIDEST_VARIANCE, duration.scale**2 * duration.degrees / (duration.degrees - 2))
    mean = math.exp(duration.location + variance / 2)
    shared = math.exp(duration.common * variance)
    own = math.exp(variance) - shared - _SHARED
    return mean, mean**2 * (shared - 1), mean**2 * max(0.0, own)


@functools.lru_cache(maxsize=64)
def _normal_quantile(p: float) -> float:
    return NormalDist().inv_cdf(p)
