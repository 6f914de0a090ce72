"""What a builder without a kiosk takes things to need: the estimate, drawn towards what they saw.

It is part of the measure and not of the kiosk: the simple ways of choosing stay the same while the kiosk
learns better.
"""

import math
from collections import defaultdict
from dataclasses import dataclass

from kiosk.record.out_on_bench import MinutesOut
from kiosk.shop.procedure import Procedure, Step

USUAL_OVER = math.log(1.2)  # people underestimate
PRIOR_WEIGHT = 3.0  # pieces that the estimate counts for
PRIOR_SPREAD, SEEN_SPREAD = 0.5, 0.35
CAUTIOUS, EASY, AWAY = 1.28, 0.25, 0.84  # normal quantiles of .9, .6 and .8
CLOSING_MINUTES = 2.0


@dataclass
class _Seen:
    count: int = 0
    log_minutes: float = 0.0


class Guess:
    """Learns from every piece, and guesses the next one."""

    def __init__(self) -> None:
        self._seen: dict[str, _Seen] = defaultdict(_Seen)

    def saw(self, procedure: Procedure, step: Step, minutes: float) -> None:
        """A piece took so long."""
        self._saw(f"{procedure.id}/{step.id}", minutes)

    def saw_closing(self, minutes: float) -> None:
        """Closing up the bench itself took so long."""
        self._saw("closing", minutes)

    def _saw(self, key: str, minutes: float) -> None:
        seen = self._seen[key]
        seen.count += 1
        seen.log_minutes += math.log(max(minutes, 0.01))

    def median(self, procedure: Procedure, step: Step) -> float:
        """Minutes of which half the pieces need less."""
        return self._at(f"{procedure.id}/{step.id}", step.minutes.each, 0.0)

    def planned(self, procedure: Procedure, step: Step) -> float:
        """Minutes to plan with: more cautious where the step can't be left half way."""
        steady = step.stop in ("only when finished", "go straight on")
        return self._at(f"{procedure.id}/{step.id}", step.minutes.each, CAUTIOUS if steady else EASY)

    def set_up_and_away(self, written: MinutesOut) -> float:
        """Minutes to set up so much of a family and to put it away."""
        away = written.put_away * math.exp(USUAL_OVER + AWAY * PRIOR_SPREAD)
        return written.set_up * math.exp(USUAL_OVER) + away

    def closing(self) -> float:
        """Minutes to close up the bench itself."""
        return self._at("closing", CLOSING_MINUTES, AWAY)

    def _at(self, key: str, estimate: float, quantile: float) -> float:
        if estimate <= 0:
            return 0.0
        seen = self._seen[key]
        weight = PRIOR_WEIGHT + seen.count
        centre = (PRIOR_WEIGHT * (math.log(estimate) + USUAL_OVER) + seen.log_minutes) / weight
        square = (PRIOR_WEIGHT * PRIOR_SPREAD**2 + seen.count * SEEN_SPREAD**2) / weight
        return math.exp(centre + quantile * math.sqrt(square))
