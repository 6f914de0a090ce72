"""The chance that a set of things fits in the minutes, by simulation with a fixed seed.

Quantiles of single steps do not add up to a quantile of the whole, and pieces of one step are late together,
because their mean is unknown. So each trial draws every step's mean once, then its pieces.

The draws are few and always the same, so they are spread evenly: each trial takes a quantile of its own of
every distribution, in an order of chance (McKay, Beckman & Conover, A comparison of three methods for
selecting values of input variables, Technometrics 21, 1979). Drawn freely, the one set of evenings that all
plans are held against was a bad one, and each plan seemed less likely than it was.
"""

import functools
import math
import random
from array import array
from collections.abc import Sequence
from statistics import NormalDist

from kiosk.dataclass import dataclass
from kiosk.planning.times.durations import Duration

TRIALS = 600  # a chance is then known to about two in a hundred
QUICK_TRIALS = TRIALS // 4  # where several are compared: spread as evenly
SETS = 33  # of normal draws, each of one for every trial
# A good or a bad evening lies over all pieces done in it. Times are learnt with it, so it is a part of their
# spread that all of an evening share, and nothing on top of it. Setting up, putting away and closing up take
# as long on any: laid over those too, it made every sum an eighth too wide. No source; as in the worlds of
# the benchmark.
SHARED_SPREAD = 0.1


@dataclass(frozen=True)
class PredictedPieces:
    """Some pieces of one step, or one set-up (a single piece), with the time of one of them."""

    duration: Duration
    pieces: int = 1
    share: float = 1.0  # of each that is still to do
    of_bench: bool = False  # setting up, putting away or closing up: no evening lies over it


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


def own_spread(one: PredictedPieces) -> float:
    """Of the log minutes, what is each piece's own: without the unknown mean and without the evening's."""
    own = one.duration.scale**2 * (1 - one.duration.common)
    return math.sqrt(own if one.of_bench else max(0.0, own - SHARED_SPREAD**2))


def _spread_evenly(quantiles: Sequence[float], random_numbers: random.Random) -> list[float]:
    """The quantiles for all trials, given from the least to the greatest, in such an order that those of
    every quick look are spread over all of them too."""
    looks = len(quantiles) // QUICK_TRIALS
    of_look: list[list[float]] = [[] for _ in range(looks)]
    for least in range(0, len(quantiles), looks):
        near = random_numbers.sample(quantiles[least : least + looks], looks)
        for found, one in zip(of_look, near, strict=True):
            found.append(one)
    for found in of_look:
        random_numbers.shuffle(found)
    return [one for found in of_look for one in found]


@functools.lru_cache(maxsize=1)
def _normal_quantiles() -> tuple[float, ...]:
    """Of the standard normal distribution, one for each trial."""
    return tuple(NormalDist().inv_cdf((trial + 0.5) / TRIALS) for trial in range(TRIALS))


@functools.lru_cache(maxsize=256)
def _widenings(degrees: int) -> tuple[float, ...]:
    """For each trial what makes a normal a Student t: the square root of degrees over a chi square.

    Its quantiles by Abramowitz & Stegun 26.4.17, to one in a thousand from 12 degrees on; 3 are the fewest.
    """
    ninth = 2 / (9 * degrees)
    found = [(1 - ninth + normal * math.sqrt(ninth)) ** -1.5 for normal in _normal_quantiles()]
    return tuple(_spread_evenly(found, random.Random(degrees)))


@functools.lru_cache(maxsize=64)
def _of_several(own: float, degrees: int, pieces: int) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """For each trial what a lognormal's mean lies over its median, on the log scale; and the spread of the
    sum of so many pieces, in means of one."""
    squares = [min(4.0, (own * widening) ** 2) for widening in _widenings(degrees)]
    spreads = tuple(math.sqrt((math.exp(square) - 1) * pieces) for square in squares)
    return tuple(square / 2 for square in squares), spreads


def _turned(values: Sequence[float], place: int, trials: int) -> Sequence[float]:
    """So many of the values as the trials are, those of one look from a place on and round."""
    first = place - place % trials
    return [*values[place : first + trials], *values[first:place]]


@functools.lru_cache(maxsize=1)
def _normals() -> tuple[float, ...]:
    """Standard normal draws, made once; each kind of piece reads them from a place of its own."""
    random_numbers = random.Random(1)
    sets = [_spread_evenly(_normal_quantiles(), random_numbers) for _ in range(SETS)]
    return tuple(draw for one in sets for draw in one)


@functools.lru_cache(maxsize=512)
def _of_pieces(
    spread: tuple[int, float, float], pieces: int, trials: int, turned: int, places: tuple[int, ...]
) -> Sequence[float]:
    """What so many pieces take in each trial, in medians of one, on an evening like any other.

    ``spread`` is their degrees, and what of the spread they share and what is each one's own. The draws are
    those from ``places`` on, the widenings are turned by so many. The same are asked for again and again:
    nobody's times move the spread of what nobody has done yet.
    """
    degrees, common, own = spread
    exp, normals = math.exp, _normals()
    widenings = _turned(_widenings(degrees), turned, trials)
    of_mean, *of_each = (_turned(normals, place, trials) for place in places)
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
    halves, spreads = _of_several(own, degrees, pieces)
    trial = zip(
        widenings,
        of_mean,
        _turned(halves, turned, trials),
        _turned(spreads, turned, trials),
        of_each[0],
        strict=True,
    )
    return array(
        "d",
        [
            exp(widening * common * mean + half) * sum_of_them
            if (sum_of_them := pieces + wide * draw) > 0.0
            else 0.0
            for widening, mean, half, wide, draw in trial
        ],
    )


def _added_up(taken: Sequence[tuple[float, Sequence[float]]], trials: int) -> list[float]:
    """The sum in each trial, one after the other: four at a time, which takes half as long as one by one."""
    totals = [0.0] * trials
    for first in range(0, len(taken), 4):
        four = [*taken[first : first + 4], *[(0.0, totals)] * 3]
        (a, of_a), (b, of_b), (c, of_c), (d, of_d) = four[:4]
        several = zip(totals, of_a, of_b, of_c, of_d, strict=True)
        totals = [
            total + a * one + b * two + c * three + d * last for total, one, two, three, last in several
        ]
    return totals


def totals_of(work: Sequence[PredictedPieces], seed: int, trials: int = TRIALS) -> list[float]:
    """Simulated total minutes of the work, one for each trial (at most 600)."""
    place = random.Random(seed).randrange
    evening = place(SETS * TRIALS)
    # The median of each, and what it takes in each trial: what an evening lies over, and what it does not.
    in_evening: list[tuple[float, Sequence[float]]] = []
    at_bench: list[tuple[float, Sequence[float]]] = []
    for one in work:
        duration, pieces = one.duration, one.pieces
        turned = place(TRIALS)
        # One draw for the mean, and one for each piece; several are drawn as one.
        places = tuple([place(SETS * TRIALS) for _ in range(1 + (pieces if pieces <= 2 else 1))])
        if not pieces:
            continue
        spread = (duration.degrees, duration.scale * math.sqrt(duration.common), own_spread(one))
        times = _of_pieces(spread, pieces, trials, turned, places)
        taken = at_bench if one.of_bench else in_evening
        taken.append((math.exp(duration.location) * one.share, times))
    evenings = _turned(_normals(), evening, trials)
    sums = zip(_added_up(at_bench, trials), _added_up(in_evening, trials), evenings, strict=True)
    return [bench + pieces * math.exp(SHARED_SPREAD * normal) for bench, pieces, normal in sums]
