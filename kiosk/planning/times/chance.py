"""The chance that a set of things fits in the minutes, by simulation with a fixed seed.

Quantiles of single steps do not add up to a quantile of the whole, and pieces of one step are late together,
because their mean is unknown. So each trial draws every step's mean once, then its pieces. The draws of
a step follow from how its time spreads, so that the same step in another plan shares what was drawn.
"""

import functools
import math
import random
from array import array
from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from kiosk.dataclass import dataclass
from kiosk.planning.times.durations import Duration

TRIALS = 300  # a chance is then known to about two in a hundred
QUICK_TRIALS = TRIALS // 2  # where several plans are compared
DRAWN = TRIALS + QUICK_TRIALS  # what a plan was picked by is not what its chance is told from
NORMALS = 20_011
# A good or a bad evening lies over everything done in it. Times are learnt with it, so it is a part of their
# spread that all of an evening share, and nothing on top of it. No source; as in the worlds of the benchmark.
SHARED_SPREAD = 0.1
# Spreads that differ by less than this, and degrees by less than one in so many, are taken for the same: a
# chance is moved by less than a hundredth, and what was drawn for one is there for the others.
SAME_SPREAD, SAME_DEGREES, MOST_DEGREES = 0.01, 8, 60


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
    room = minutes - fixed_minutes
    if room <= 0:
        return 0.0
    # How good the evening has to be is known once all else is drawn, and so is the chance of that: it is not
    # drawn, and half as many trials tell as much.
    log, erf, wide = math.log, math.erf, SHARED_SPREAD * math.sqrt(2)
    fits = sum(erf(log(room / total) / wide) if total else 1.0 for total in totals_of(work, seed, trials))
    return (1 + fits / trials) / 2


def own_spread(duration: Duration) -> float:
    """Of the log minutes, what is each piece's own: without the unknown mean and without the evening's."""
    own = duration.scale**2 * (1 - duration.common) - SHARED_SPREAD**2
    return math.sqrt(max(0.0, own))


class Spread(NamedTuple):
    """What the times of like pieces are drawn by, but for their median; all with the same share their draws.

    Of the log minutes, ``common`` is the spread of their unknown mean and ``own`` that of each about it.
    """

    degrees: int
    common: float
    own: float


def spread_of(duration: Duration) -> Spread:
    """The spread of a time, rounded to what makes a difference."""
    degrees = min(duration.degrees, MOST_DEGREES)
    degrees -= degrees % max(1, degrees // SAME_DEGREES)
    common = duration.scale * math.sqrt(duration.common)
    return Spread(degrees, _rounded(common), _rounded(own_spread(duration)))


def _rounded(spread: float) -> float:
    return round(spread / SAME_SPREAD) * SAME_SPREAD


@functools.lru_cache(maxsize=256)
def _widenings(degrees: int) -> tuple[float, ...]:
    """For each trial what makes a normal a Student t: the square root of degrees over a chi square."""
    random_numbers = random.Random(degrees)
    return tuple(math.sqrt(degrees / random_numbers.gammavariate(degrees / 2, 2.0)) for _ in range(DRAWN))


@functools.lru_cache(maxsize=1)
def _normals() -> tuple[float, ...]:
    """Standard normal draws, made once; each spread reads them from places of its own."""
    random_numbers = random.Random(1)
    return tuple(random_numbers.gauss(0.0, 1.0) for _ in range(NORMALS))


@functools.lru_cache(maxsize=512)
def _of_pieces(spread: Spread, pieces: int, number: int, seed: int) -> Sequence[float]:
    """What so many pieces take in each trial, in medians of one, on an evening like any other.

    ``number`` tells apart those in one plan that spread alike. Otherwise the draws follow from the spread
    alone, whatever else is in the plan: the same evenings are held against each plan, and what one plan asked
    for is there for the next.
    """
    degrees, common, own = spread
    place = random.Random(f"{seed} {degrees} {common:.2f} {own:.2f} {number}").randrange
    turn = place(DRAWN)
    widenings = _widenings(degrees)[turn:] + _widenings(degrees)[:turn]
    exp, normals = math.exp, _normals()
    places = [place(NORMALS - DRAWN) for _ in range(1 + (pieces if pieces <= 2 else 1))]
    of_mean, *of_each = (normals[first : first + DRAWN] for first in places)
    if pieces <= len(of_each):
        times = [
            exp(widening * (common * mean + own * draw))
            for widening, mean, draw in zip(widenings, of_mean, of_each[0], strict=True)
        ]
        for draws in of_each[1:]:
            more = zip(times, widenings, of_mean, draws, strict=True)
            times = [
                so_far + exp(widening * (common * mean + own * draw)) for so_far, widening, mean, draw in more
            ]
        return array("d", times)
    # Several pieces: their sum is near normal, with the mean and spread of lognormals.
    times = []
    for widening, mean, draw in zip(widenings, of_mean, of_each[0], strict=True):
        square = min(4.0, (own * widening) ** 2)
        sum_of_them = pieces + math.sqrt((exp(square) - 1) * pieces) * draw
        times.append(exp(widening * common * mean + square / 2) * max(0.0, sum_of_them))
    return array("d", times)


def _added_up(taken: Sequence[tuple[float, Sequence[float]]], trials: int) -> list[float]:
    """The sum in each trial, one after the other: eight at a time, which takes a third as long as one by
    one."""
    totals = [0.0] * trials
    for first in range(0, len(taken), 8):
        eight = [*taken[first : first + 8], *[(0.0, totals)] * 7][:8]
        (a, of_a), (b, of_b), (c, of_c), (d, of_d), (e, of_e), (f, of_f), (g, of_g), (h, of_h) = eight
        totals = [
            total + a * t + b * u + c * v + d * w + e * x + f * y + g * z + h * last
            for total, t, u, v, w, x, y, z, last in zip(
                totals, of_a, of_b, of_c, of_d, of_e, of_f, of_g, of_h, strict=True
            )
        ]
    return totals


def totals_of(work: Sequence[PredictedPieces], seed: int, trials: int = TRIALS) -> list[float]:
    """Simulated total minutes of the work on an evening like any other, one for each trial (at most 300).

    Up to ``QUICK_TRIALS`` are others than those of a whole chance: what is picked by its luck in these would
    be told to be likelier than it is.
    """
    looked_at = slice(DRAWN - trials, DRAWN) if trials <= QUICK_TRIALS else slice(trials)
    numbers: Counter[Spread] = Counter()
    taken: list[tuple[float, Sequence[float]]] = []  # the median of each, and what it takes in each trial
    for one in work:
        if not one.pieces:
            continue
        spread = spread_of(one.duration)
        times = _of_pieces(spread, one.pieces, numbers[spread], seed)
        numbers[spread] += 1
        taken.append((math.exp(one.duration.location) * one.share, times[looked_at]))
    return _added_up(taken, trials)
