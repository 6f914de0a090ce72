"""What the record leads to expect of a time: the author's estimate, drawn towards what was seen.

The logarithm of the minutes follows a straight line on the logarithm of the repeat (Crawford's unit learning
curve), with a conjugate normal-inverse-gamma prior centred on the estimate (Murphy 2007, conjugate Bayesian
analysis of the Gaussian; Stewart, Cost Estimator's Reference Manual, for learning slopes). What is expected
of the next one is a Student t on the log scale. It stands here because a new time is judged by what was
expected when it is taken in; what is planned with it is ``kiosk/planning/times/``.
"""

import math
from collections.abc import Mapping
from dataclasses import replace

from kiosk.dataclass import dataclass
from kiosk.record.state import (
    MOST_REPEATS,
    NOTHING_SEEN,
    ClosingTime,
    PieceTime,
    PutAwayTime,
    SetUpTime,
    Timed,
    Times,
)

PRIOR_WEIGHT = 2.0  # the estimate counts as two observations
BENCH_WEIGHT = 4.0  # that of setting up, putting away and closing up counts as four
PRIOR_SHAPE = 6  # whole, so that the degrees of freedom are whole
PRIOR_SPREAD = 0.3  # standard deviation of the log minutes before anything is seen
PRIOR_BIAS = math.log(1.2)  # people underestimate (Buehler, Griffin & Ross 1994); the sign is learnt
USUAL_SLOPE = math.log(0.95) / math.log(2)  # hand work on a like piece: 95 % at each doubling
SLOPE_SPREAD = 0.1
SLOPE_WEIGHT = (PRIOR_SPREAD / SLOPE_SPREAD) ** 2
NO_LEARNING = 1e12  # a slope weight that holds the slope where it is
SHORTEST_MINUTES = 0.1
A_WRITTEN_MINUTE = 1.0  # of setting up and putting away, one minute by the procedure is learnt
SLIP_WIDTH = 8.0  # a slip is anything from a 50th to 50 times the usual, evenly on the log scale


@dataclass(frozen=True)
class Expected:
    """The next time: its logarithm is Student t with these degrees, location and scale.

    ``variance`` is that of one time about its mean, ``unknown`` the variance of the mean itself, and
    ``observed`` what the times seen count for, in whole ones.
    """

    degrees: int
    location: float
    variance: float
    unknown: float
    observed: int = 0

    @property
    def median_minutes(self) -> float:
        """Half of the time it takes no longer than this."""
        return math.exp(self.location)

    @property
    def square(self) -> float:
        """The scale's square."""
        return self.variance + self.unknown

    def density(self, log_minutes: float) -> float:
        """How dense times lie there, by unit of the log scale."""
        nu, scale = self.degrees, math.sqrt(self.square)
        z = (log_minutes - self.location) / scale
        norm = math.lgamma((nu + 1) / 2) - math.lgamma(nu / 2) - math.log(nu * math.pi) / 2
        return math.exp(norm - (nu + 1) / 2 * math.log1p(z * z / nu)) / scale


@dataclass(frozen=True)
class Prior:
    """What is known of a time beside its estimate before anything of it is seen."""

    weight: float = PRIOR_WEIGHT  # observations that the estimate counts for
    shape: int = PRIOR_SHAPE
    spread: float = PRIOR_SPREAD  # of the log minutes
    bias: float = 0.0  # added to the logarithm of the estimate
    slope: float = 0.0  # the learning curve's exponent
    slope_weight: float = NO_LEARNING


USUAL_PRIOR = Prior()


def expected(
    estimate_minutes: float,
    times: Times | None = None,
    prior: Prior = USUAL_PRIOR,
    repeat: int | None = None,
) -> Expected:
    """What is expected of one piece from the estimate and what the record holds of it.

    ``repeat`` is which repeat is expected (default: the next).
    """
    seen = times or Times()
    n = seen.weight
    x = math.log(min(repeat or seen.count + 1, MOST_REPEATS))
    centre = (math.log(max(SHORTEST_MINUTES, estimate_minutes)) + prior.bias, prior.slope)
    weight, slope_weight, shape = prior.weight, prior.slope_weight, prior.shape
    # Precision matrix [[a, b], [b, c]] and the right-hand side of the normal equations.
    a, b, c = weight + n, seen.sum_x, slope_weight + seen.sum_xx
    right = (weight * centre[0] + seen.sum_y, slope_weight * centre[1] + seen.sum_xy)
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
    moved = weight * (level - centre[0]) ** 2 + slope_weight * (curve - centre[1]) ** 2
    rate = shape * prior.spread**2 + (max(0.0, residual) + moved) / 2
    degrees = 2 * shape + round(n)
    variance = rate / (shape + n / 2)
    leverage = (c - 2 * b * x + a * x * x) / determinant
    return Expected(degrees, level + curve * x, variance, variance * leverage, round(n))


def known_times(times: Mapping[Timed, Times], of: Timed) -> Times:
    """All that is known of a time: what was timed alone, and what was told apart from sums."""
    seen = times.get(of, NOTHING_SEEN)
    if isinstance(of, SetUpTime | PutAwayTime):
        return of_sums(seen)
    if not isinstance(of, PieceTime | ClosingTime):
        return seen
    in_sum = times.get(_in_sum(of))
    return seen if in_sum is None else seen.and_those(of_sums(in_sum))


def _in_sum(of: PieceTime | ClosingTime) -> Timed:
    """The same, of what was timed in a sum with something else and told apart."""
    if isinstance(of, PieceTime):  # asked for each step of a plan
        return PieceTime(of.step, of.person, of.of_kind, in_sum=True)
    return replace(of, in_sum=True)


def of_sums(times: Times) -> Times:
    """Values told apart from sums, counting for what they say: of the mean alone, since how they lie about it
    is the spread of the others too.

    An error that all of them share does not average out: the mean of values of weight w has the variance
    1/w + (shared/w)^2, in that of one value.
    """
    if times.weight <= 0:
        return times
    kept = times.scaled(1 / (1 + times.shared**2 / times.weight))
    as_usual = kept.sum_y**2 / kept.weight + kept.weight * PRIOR_SPREAD**2
    return replace(kept, sum_yy=as_usual, shared=0.0)


def curve_of(repeat: int) -> float:
    """What the usual learning curve adds to the log minutes of a piece, over the first."""
    return USUAL_SLOPE * math.log(min(repeat, MOST_REPEATS))


def counts_for(usual: Expected, log_minutes: float, slips: float) -> float:
    """The chance, 0 to 1, that a time is one of the usual and no slip, such as a timer forgotten.

    ``slips`` is how often there is a slip. A time counts for so much: the weighting of a mixture of good and
    bad values (Box & Tiao 1968, A Bayesian approach to some outlier problems, Biometrika 55; Chen & Box 1990,
    on its likeness to Tukey's and Huber's weights).
    """
    good = (1 - slips) * usual.density(log_minutes)
    return good / (good + slips / SLIP_WIDTH)
