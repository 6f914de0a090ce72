"""The chance that a set of things fits in the minutes, by simulation with a fixed seed.

Quantiles of single steps do not add up to a quantile of the whole, and pieces of one step are late together,
because their mean is unknown. So each trial draws every step's mean once, then its pieces.
"""

import functools
import math
import random
from collections.abc import Sequence
from dataclasses import dataclass

from kiosk.planning.times.durations import Duration

TRIALS = 600  # a chance is then known to about two in a hundred
NORMALS = 20_011
SHARED_SPREAD = 0.15  # a good or a bad evening lies over everything done in it


@dataclass(frozen=True)
class Task:
    """Some pieces of one step, or one set-up (a single piece)."""

    duration: Duration
    pieces: int = 1


def chance_of_fitting(
    tasks: Sequence[Task], fixed_minutes: float, minutes: float, *, trials: int = TRIALS, seed: int = 4
) -> float:
    """The chance, 0 to 1, that the tasks and the fixed minutes take no longer than ``minutes``."""
    if not tasks:
        return 1.0 if fixed_minutes <= minutes else 0.0
    totals = totals_of(tasks, seed, trials)
    room = minutes - fixed_minutes
    return sum(1 for total in totals if total <= room) / len(totals)


@functools.lru_cache(maxsize=256)
def _stretches(degrees: int) -> tuple[float, ...]:
    """For each trial what makes a normal a Student t: the square root of degrees over a chi square."""
    chance = random.Random(degrees)
    return tuple(math.sqrt(degrees / chance.gammavariate(degrees / 2, 2.0)) for _ in range(TRIALS))


@functools.lru_cache(maxsize=1)
def _normals() -> tuple[float, ...]:
    """Standard normal draws, made once; each task reads them from a place of its own."""
    chance = random.Random(1)
    return tuple(chance.gauss(0.0, 1.0) for _ in range(NORMALS))


def totals_of(tasks: Sequence[Task], seed: int, trials: int = TRIALS) -> list[float]:
    """Simulated total minutes of the tasks, one for each trial (at most 600)."""
    chance = random.Random(seed)
    exp, sqrt = math.exp, math.sqrt
    normals = _normals()

    def draws() -> tuple[float, ...]:
        start = chance.randrange(NORMALS - trials)
        return normals[start : start + trials]

    evenings = [SHARED_SPREAD * draw for draw in draws()]
    totals = [0.0] * trials
    for task in tasks:
        duration, pieces = task.duration, task.pieces
        common = duration.scale * sqrt(duration.common)
        own = duration.scale * sqrt(1 - duration.common)
        stretches = _stretches(duration.degrees)
        start = chance.randrange(TRIALS)
        stretched = (stretches[start:] + stretches[:start])[:trials]
        means = [
            duration.location + evening + common * stretch * draw
            for evening, stretch, draw in zip(evenings, stretched, draws(), strict=True)
        ]
        if pieces <= 2:
            for _ in range(pieces):
                totals = [
                    total + exp(mean + own * stretch * draw)
                    for total, mean, stretch, draw in zip(totals, means, stretched, draws(), strict=True)
                ]
            continue
        # Several pieces: their sum is near normal, with the mean and spread of lognormals.
        for trial, (mean, stretch, draw) in enumerate(zip(means, stretched, draws(), strict=True)):
            square = min((own * stretch) ** 2, 4.0)
            one = exp(mean + square / 2)
            wide = one * sqrt((exp(square) - 1) * pieces)
            totals[trial] += max(0.0, one * pieces + wide * draw)
    return totals


def in_words(chance: float) -> str:
    """A chance as a builder says it."""
    tenths = math.floor(chance * 10 + 0.25)
    if tenths >= 10:
        return "nearly always"
    if tenths <= 0:
        return "hardly ever"
    return f"{tenths} times in 10"
