"""The chance that a set of things fits in the minutes, by simulation with a fixed seed.

Quantiles of single steps do not add up to a quantile of the whole, and pieces of one step are late together,
because their mean is unknown. So each trial draws every step's mean once, then its pieces.
"""

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass

from kiosk.planning.durations import Duration

TRIALS = 600  # a chance is then known to about two in a hundred
SHARED_SPREAD = 0.15  # a good or a bad evening lies over everything done in it


@dataclass(frozen=True)
class Task:
    """Some pieces of one step, or one set-up (a single piece)."""

    duration: Duration
    pieces: int = 1


def chance_of_fitting(tasks: Sequence[Task], fixed_minutes: float, minutes: float, seed: int = 4) -> float:
    """The chance, 0 to 1, that the tasks and the fixed minutes take no longer than ``minutes``."""
    if not tasks:
        return 1.0 if fixed_minutes <= minutes else 0.0
    totals = totals_of(tasks, seed)
    room = minutes - fixed_minutes
    return sum(1 for total in totals if total <= room) / len(totals)


def totals_of(tasks: Sequence[Task], seed: int, trials: int = TRIALS) -> list[float]:
    """Simulated total minutes of the tasks, one for each trial."""
    chance = random.Random(seed)
    gauss, exp = chance.gauss, math.exp
    totals = []
    shapes = [
        (
            task.duration.location,
            task.duration.degrees,
            task.duration.scale * math.sqrt(task.duration.common),
            task.duration.scale * math.sqrt(1 - task.duration.common),
            task.pieces,
        )
        for task in tasks
    ]
    for _ in range(trials):
        evening = gauss(0.0, SHARED_SPREAD)
        total = 0.0
        for location, degrees, common, own, pieces in shapes:
            # Student t as a normal over a chi; one draw of both the spread and the mean a step.
            stretch = math.sqrt(degrees / chance.gammavariate(degrees / 2, 2.0))
            mean = location + evening + common * stretch * gauss(0.0, 1.0)
            spread = own * stretch
            if pieces <= 3:
                for _ in range(pieces):
                    total += exp(mean + spread * gauss(0.0, 1.0))
            else:
                # Many pieces: their sum is near normal, with the mean and spread of lognormals.
                square = min(spread * spread, 4.0)
                one = exp(mean + square / 2)
                wide = one * math.sqrt((exp(square) - 1) * pieces)
                total += max(0.0, one * pieces + wide * gauss(0.0, 1.0))
        totals.append(total)
    return totals


def in_words(chance: float) -> str:
    """A chance as a builder says it."""
    tenths = math.floor(chance * 10 + 0.25)
    if tenths >= 10:
        return "nearly always"
    if tenths <= 0:
        return "hardly ever"
    return f"{tenths} times in 10"
