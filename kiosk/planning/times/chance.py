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


@functools.lru_cache(maxsize=128)
def _times(spread: float, degrees: int) -> tuple[float, ...]:
    """A spread as each trial widens it."""
    return tuple(spread * widening for widening in _widenings(degrees))


@functools.lru_cache(maxsize=128)
def _of_several(own: float, degrees: int, pieces: int) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """For each trial what a lognormal's mean lies over its median, on the log scale; and the spread of the
    sum of so many pieces, in means of one."""
    squares = [4.0 if (square := spread**2) > 4.0 else square for spread in _times(own, degrees)]
    spreads = tuple(math.sqrt((math.exp(square) - 1) * pieces) for square in squares)
    return tuple(square / 2 for square in squares), spreads


def _turned(values: tuple[float, ...], start: int, trials: int) -> tuple[float, ...]:
    """As many of the values, from a place on and round."""
    return (values[start:] + values[:start])[:trials]


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
        start = random_numbers.randrange(TRIALS)
        shared = _turned(_times(common, duration.degrees), start, trials)
        if pieces == 1:  # most are: one pass over the trials, which adds the same up in the same order
            totals = [
                total + exp(location + evening + widened * mean + spread * draw)
                for total, evening, widened, spread, mean, draw in zip(
                    totals,
                    evenings,
                    shared,
                    _turned(_times(own, duration.degrees), start, trials),
                    draws(),
                    draws(),
                    strict=True,
                )
            ]
            continue
        if pieces <= 2:
            own_widened = _turned(_times(own, duration.degrees), start, trials)
            means = [
                location + evening + widened * draw
                for evening, widened, draw in zip(evenings, shared, draws(), strict=True)
            ]
            for _ in range(pieces):
                totals = [
                    total + exp(mean + spread * draw)
                    for total, mean, spread, draw in zip(totals, means, own_widened, draws(), strict=True)
                ]
            continue
        # Several pieces: their sum is near normal, with the mean and spread of lognormals.
        halves, spreads = _of_several(own, duration.degrees, pieces)
        totals = [
            total + them
            if (
                them := (of_one := exp(location + evening + widened * mean + half)) * pieces
                + of_one * spread * draw
            )
            > 0.0
            else total
            for total, evening, widened, mean, half, spread, draw in zip(
                totals,
                evenings,
                shared,
                draws(),
                _turned(halves, start, trials),
                _turned(spreads, start, trials),
                draws(),
                strict=True,
            )
        ]
    return totals
