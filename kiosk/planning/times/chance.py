"""The chance that a set of things fits in the minutes, by simulation with a fixed seed.

Quantiles of single steps do not add up to a quantile of the whole, and pieces of one step are late together,
because their mean is unknown. So each trial draws every step's mean once, then its pieces. The draws of
a step follow from how its time spreads, so that the same step in another plan shares what was drawn.

The draws are few and always the same, so they are spread evenly: each trial takes a quantile of its own of
every distribution, in an order of chance (McKay, Beckman & Conover, A comparison of three methods for
selecting values of input variables, Technometrics 21, 1979). Drawn freely, the one set of evenings that all
plans are held against was a bad one, and each plan seemed less likely than it was.
"""

import functools
import math
import random
from array import array
from collections import Counter
from collections.abc import Callable, Sequence
from statistics import NormalDist
from typing import NamedTuple

from kiosk.dataclass import dataclass
from kiosk.planning.times.durations import Duration

TRIALS = 300  # a chance is then known to about two in a hundred
QUICK_TRIALS = TRIALS // 2  # where several plans are compared
LOOKS = (TRIALS, QUICK_TRIALS)
DRAWN = sum(LOOKS)  # what a plan was picked by is not what its chance is told from
SETS = 45  # of normal draws, each of one for every trial
# A good or a bad evening lies over all pieces done in it. Times are learnt with it, so it is a part of their
# spread that all of an evening share, and nothing on top of it. Setting up, putting away and closing up take
# as long on any: laid over those too, it made every sum an eighth too wide. No source; as in the worlds of
# the benchmark.
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
    room = minutes - fixed_minutes
    if room <= 0:
        return 0.0
    # How good the evening has to be is known once all else is drawn, and so is the chance of that: it is not
    # drawn, and half as many trials tell as much.
    log, erf, wide = math.log, math.erf, SHARED_SPREAD * math.sqrt(2)
    fits = 0.0
    for bench, pieces in totals_of(work, seed, trials):
        left = room - bench
        if left <= 0:
            fits -= 1.0
        else:
            fits += erf(log(left / pieces) / wide) if pieces else 1.0
    return (1 + fits / trials) / 2


def own_spread(one: PredictedPieces) -> float:
    """Of the log minutes, what is each piece's own: without the unknown mean and without the evening's."""
    own = one.duration.scale**2 * (1 - one.duration.common)
    return math.sqrt(own if one.of_bench else max(0.0, own - SHARED_SPREAD**2))


class Spread(NamedTuple):
    """What the times of like pieces are drawn by, but for their median; all with the same share their draws.

    Of the log minutes, ``common`` is the spread of their unknown mean and ``own`` that of each about it.
    """

    degrees: int
    common: float
    own: float


def spread_of(one: PredictedPieces) -> Spread:
    """The spread of a time, rounded to what makes a difference."""
    duration = one.duration
    degrees = min(duration.degrees, MOST_DEGREES)
    degrees -= degrees % max(1, degrees // SAME_DEGREES)
    common = duration.scale * math.sqrt(duration.common)
    return Spread(degrees, _rounded(common), _rounded(own_spread(one)))


def _rounded(spread: float) -> float:
    return round(spread / SAME_SPREAD) * SAME_SPREAD


def _quantiles(quantile: Callable[[float], float]) -> tuple[list[float], list[float]]:
    """Those of a distribution, spread evenly: one for each trial of a whole chance, one for each of a quick
    look."""
    whole, quick = ([quantile((trial + 0.5) / trials) for trial in range(trials)] for trials in LOOKS)
    return whole, quick


def _in_an_order_of_chance(
    quantiles: tuple[list[float], list[float]], random_numbers: random.Random
) -> tuple[float, ...]:
    """The quantiles of a whole chance, and after them those of a quick look."""
    return tuple(one for of_look in quantiles for one in random_numbers.sample(of_look, len(of_look)))


def _turned(draws: tuple[float, ...], place: int) -> tuple[float, ...]:
    """The draws of a whole chance, and those of a quick look, each from a place on and round."""
    first, quick = place % TRIALS, TRIALS + place % QUICK_TRIALS
    return draws[first:TRIALS] + draws[:first] + draws[quick:] + draws[TRIALS:quick]


@functools.lru_cache(maxsize=256)
def _widenings(degrees: int) -> tuple[float, ...]:
    """For each trial what makes a normal a Student t: the square root of degrees over a chi square.

    Its quantiles by Abramowitz & Stegun 26.4.17, to one in a thousand from 12 degrees on; 3 are the fewest.
    """
    ninth, normal = 2 / (9 * degrees), NormalDist().inv_cdf

    def quantile(part: float) -> float:
        return float((1 - ninth + normal(part) * math.sqrt(ninth)) ** -1.5)

    return _in_an_order_of_chance(_quantiles(quantile), random.Random(degrees))


@functools.lru_cache(maxsize=1)
def _normals() -> tuple[tuple[float, ...], ...]:
    """Sets of standard normal draws, made once; each spread reads two or three of them, from places of its
    own on."""
    random_numbers, quantiles = random.Random(1), _quantiles(NormalDist().inv_cdf)
    return tuple(_in_an_order_of_chance(quantiles, random_numbers) for _ in range(SETS))


@functools.lru_cache(maxsize=512)
def _of_pieces(spread: Spread, pieces: int, number: int, seed: int) -> Sequence[float]:
    """What so many pieces take in each trial, in medians of one, on an evening like any other.

    ``number`` tells apart those in one plan that spread alike. Otherwise the draws follow from the spread
    alone, whatever else is in the plan: the same evenings are held against each plan, and what one plan asked
    for is there for the next.
    """
    degrees, common, own = spread
    place = random.Random(f"{seed} {degrees} {common:.2f} {own:.2f} {number}").randrange
    widenings, exp = _turned(_widenings(degrees), place(TRIALS)), math.exp
    of_mean, *of_each = (
        _turned(_normals()[place(SETS)], place(TRIALS)) for _ in range(1 + (pieces if pieces <= 2 else 1))
    )
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
    """The sum in each trial, one after the other: eight or four at a time, which takes a third as long as one
    by one."""
    totals = [0.0] * trials
    for first in range(0, len(taken), 8):
        if len(taken) - first <= 4:
            four = [*taken[first:], *[(0.0, totals)] * 3][:4]
            (a, of_a), (b, of_b), (c, of_c), (d, of_d) = four
            columns = zip(totals, of_a, of_b, of_c, of_d, strict=True)
            return [total + a * t + b * u + c * v + d * w for total, t, u, v, w in columns]
        eight = [*taken[first : first + 8], *[(0.0, totals)] * 7][:8]
        (a, of_a), (b, of_b), (c, of_c), (d, of_d), (e, of_e), (f, of_f), (g, of_g), (h, of_h) = eight
        totals = [
            total + a * t + b * u + c * v + d * w + e * x + f * y + g * z + h * last
            for total, t, u, v, w, x, y, z, last in zip(
                totals, of_a, of_b, of_c, of_d, of_e, of_f, of_g, of_h, strict=True
            )
        ]
    return totals


def totals_of(work: Sequence[PredictedPieces], seed: int, trials: int = TRIALS) -> list[tuple[float, float]]:
    """Simulated minutes of the work for each trial (at most 300): those of the bench, and those of the pieces
    on an evening like any other.

    Up to ``QUICK_TRIALS`` are others than those of a whole chance: what is picked by its luck in these would
    be told to be likelier than it is.
    """
    looked_at = slice(DRAWN - trials, DRAWN) if trials <= QUICK_TRIALS else slice(trials)
    numbers: Counter[Spread] = Counter()
    # The median of each, and what it takes in each trial: what an evening lies over, and what it does not.
    of_bench: list[tuple[float, Sequence[float]]] = []
    of_pieces: list[tuple[float, Sequence[float]]] = []
    for one in work:
        if not one.pieces:
            continue
        spread = spread_of(one)
        times = _of_pieces(spread, one.pieces, numbers[spread], seed)
        numbers[spread] += 1
        taken = of_bench if one.of_bench else of_pieces
        taken.append((math.exp(one.duration.location) * one.share, times[looked_at]))
    return list(zip(_added_up(of_bench, trials), _added_up(of_pieces, trials), strict=True))
