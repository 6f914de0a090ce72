"""How long things really take: nobody in the build sees it, and it is the same for every way of choosing."""

import math
from collections import Counter

from kiosk.shop.procedure import Family, Procedure, Step
from tests.benchmarks.whole_builds.random_numbers import random_of

PIECE_SPREAD = 0.3  # of the log minutes, from one piece to the next
STEP_SPREAD = 0.2  # from one step to another, against its estimate
EVENING_SPREAD = 0.1
BUILDER_BIAS, BUILDER_SPREAD = math.log(1.15), 0.2
LEARNING_SLOPE = -0.074  # of the log minutes on the log of the repeat
MOST_REPEATS = 10
CLOSING_MINUTES = 2.0  # the median before the builder's bias


class Truth:
    """True minutes in one build. Only how often a step was done is remembered."""

    def __init__(self, seed: int) -> None:
        self.seed = seed
        self.bias = random_of("truth", seed).gauss(BUILDER_BIAS, BUILDER_SPREAD)
        self.evening = 0.0
        self._done: Counter[str] = Counter()
        self._steps: dict[str, float] = {}

    def begin_sitting(self, number: int) -> None:
        """Every evening is a good or a bad one."""
        self.evening = random_of("eve", self.seed, number).gauss(0, EVENING_SPREAD)

    def piece(self, procedure: Procedure, step: Step, mark: str, redone: int) -> float:
        """Minutes that a piece takes; it counts as one more repeat. ``redone`` is how often it spoiled."""
        key = f"{procedure.id}/{step.id}"
        minutes = self.would_take(procedure, step, mark, redone)
        self._done[key] += 1
        return minutes

    def would_take(self, procedure: Procedure, step: Step, mark: str, redone: int, further: int = 0) -> float:
        """Minutes that a piece would take, ``further`` pieces of the same step on from now."""
        key = f"{procedure.id}/{step.id}"
        if key not in self._steps:
            self._steps[key] = random_of("step", self.seed, key).gauss(0, STEP_SPREAD)
        repeat = min(MOST_REPEATS, self._done[key] + further + 1)
        own = random_of("piece", self.seed, key, mark, redone).gauss(0, PIECE_SPREAD)
        log_minutes = self.bias + self._steps[key] + own + self.evening
        return float(step.minutes.each * math.exp(log_minutes) * repeat**LEARNING_SLOPE)

    def set_up(self, family: Family, minutes: float, time: int) -> float:
        """Minutes that setting up a family takes for the so-manieth time."""
        return self._of_set_up(_name(family), minutes, time)

    def put_away(self, family: Family, minutes: float, time: int) -> float:
        """Minutes that putting it away takes."""
        return self._of_set_up(f"{_name(family)}/away", minutes, time)

    def closing(self, sitting: int) -> float:
        """Minutes to close up the bench itself."""
        return self._of_set_up("closing", CLOSING_MINUTES, sitting)

    def _of_set_up(self, name: str, minutes: float, time: int) -> float:
        if not minutes:
            return 0.0
        own = random_of("su", self.seed, name, time).gauss(0, PIECE_SPREAD)
        return minutes * math.exp(self.bias + own)


def _name(family: Family) -> str:
    return str(family)
