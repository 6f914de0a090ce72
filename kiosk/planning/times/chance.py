"""The chance that a set of things fits in the minutes, by simulation with a fixed seed.

Quantiles of single steps do not add up to a quantile of the whole, and pieces of one step are late together,
because their mean is unknown. So each trial draws every step's mean once, then its pieces.
"""

import functools
import math
import random
from collections.abc import Sequence

from kiosk.dataclass import dataclass
from kiosk.planning.times.durations import Duration

TRIALS = 600  # a chance is then known to about two in a hundred
NORMALS = 20_011
# A good or a bad evening lies over everything done in it. Times are learnt with it, so it is a part of their
# spread that all of an evening share, and nothing on top of it. No source; as in the worlds of the benchmark.
SHARED_SPREAD = 0.1


@dataclass(frozen=True)
class PredictedPieces:
    """Some pieces of one step, or one set-up (a single piece), with the time of one of them."""

    duration: Duration
    pieces: int = 1
    share: float = 1.0  # of each that is still to do


def chance_of_fitting(
    work: Sequence[PredictedPieces],
    fixed_minutes: float,
    minutes: float,
    *,
    trials: int = TRIALS,
    seed: int = 4,
) -> float:
    """The chance, 0 to 1, that the work and the fixed minutes take no longer than ``minutes``."""
    if not work:
        return 1.0 if fixed_minutes <= minutes else 0.0
    totals = totals_of(work, seed, trials)
    room = minutes - fixed_minutes
    return sum(1 for total in totals if total <= room) / len(totals)


def own_spread(duration: Duration) -> float:
    """Of the log minutes, what is each piece's own: without the unknown mean and without the evening's."""
    own = duration.scale**2 * (1 - duration.common) - SHARED_SPREAD**2
    return math.sqrt(max(0.0, own))


@functools.lru_cache(maxsize=256)
def _widenings(degrees: int) -> tuple[float, ...]:
    """For each trial what makes a normal a Student t: the square root of degrees over a chi square."""
    random_numbers = random.Random(degrees)
    return tuple(math.sqrt(degrees / random_numbers.gammavariate(degrees / 2, 2.0)) for _ in range(TRIALS))


@functools.lru_cache(maxsize=1)
def _normals() -> tuple[float, ...]:
    """Standard normal draws, made once; each kind of piece reads them from a place of its own."""
    random_numbers = random.Random(1)
    return tuple(random_numbers.gauss(0.0, 1.0) for _ in range(NORMALS))


def totals_of(work: Sequence[PredictedPieces], seed: int, trials: int = TRIALS) -> list[float]:
    """Simulated total minutes of the work, one for each trial (at most 600)."""
    random_numbers = random.Random(seed)
    exp, sqrt = math.exp, math.sqrt
    normals = _normals()

    def draws() -> tuple[float, ...]:
        start = random_numbers.randrange(NORMALS - trials)
        return normals[start : start + trials]

    evenings = [SHARED_SPREAD * draw for draw in draws()]
    totals = [0.0] * trials
    for one in work:
        duration, pieces = one.duration, one.pieces
        location = duration.location + math.log(one.share)
        common = duration.scale * sqrt(duration.common)
        own = own_spread(duration)
        widenings = _widenings(duration.degrees)
        start = random_numbers.randrange(TRIALS)
        widened = (widenings[start:] + widenings[:start])[:trials]
        if pieces == 1:  # most are: one pass over the trials, which adds the same up in the same order
            totals = [
                total + exp(location + evening + common * widening * mean + own * widening * draw)
                for total, evening, widening, mean, draw in zip(
                    totals, evenings, widened, draws(), draws(), strict=True
                )
            ]
            continue
        means = [
            location + evening + common * widening * draw
            for evening, widening, draw in zip(evenings, widened, draws(), strict=True)
        ]
        if pieces <= 2:
            for _ in range(pieces):
                totals = [
                    total + exp(mean + own * widening * draw)
                    for total, mean, widening, draw in zip(totals, means, widened, draws(), strict=True)
                ]
            continue
        # Several pieces: their sum is near normal, with the mean and spread of lognormals.
        squares = [4.0 if (square := (own * widening) ** 2) > 4.0 else square for widening in widened]
        totals = [
            total + them
            if (
                them := (of_one := exp(mean + square / 2)) * pieces
                + of_one * sqrt((exp(square) - 1) * pieces) * draw
            )
            > 0.0
            else total + 0.0
            for total, mean, square, draw in zip(totals, means, squares, draws(), strict=True)
        ]
    return totals
