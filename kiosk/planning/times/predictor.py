"""Predicted times for one person in one shop: pieces, set-ups and putting away, learnt from the record."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from kiosk.planning.times.durations import (
    NO_LEARNING,
    PRIOR_SPREAD,
    SLOPE_SPREAD,
    USUAL_SLOPE,
    Duration,
    predict,
)
from kiosk.record.context import Context
from kiosk.record.lessons import times_follow_kind
from kiosk.record.state import MOST_REPEATS, PieceTime, PutAwayTime, SetUpTime, State, Times
from kiosk.shop.procedure import Procedure, Step, StepRef
from kiosk.shop.shop import Shop

PRIOR_BIAS = math.log(1.2)  # people underestimate (Buehler, Griffin & Ross 1994); the sign is learnt
BIAS_WEIGHT = 4.0
HELPER_BIAS = math.log(1.3)  # a helper nothing is known of yet
STEADY_CHANCE = 0.9  # planned so for a stretch that cannot be left half way
EASY_CHANCE = 0.6  # planned so for work that can be left anywhere
PUT_AWAY_CHANCE = 0.8
SLOPE_WEIGHT = (PRIOR_SPREAD / SLOPE_SPREAD) ** 2
# A break longer than this undoes practice (Stewart, Cost Estimator's Reference Manual, names the effect; the
# fortnight is our own).
FORGETTING_DAYS = 14
NOTHING_SEEN = Times()


def learnt_bias(shop: Shop, state: State) -> float:
    """How far this shop's times lie above the estimates, on the log scale, drawn towards the usual."""
    weight, total = BIAS_WEIGHT, BIAS_WEIGHT * PRIOR_BIAS
    for seen in _steps_seen(shop, state):
        weight += seen.share
        total += seen.share * seen.over
    return total / weight


def learnt_weight(shop: Shop, state: State) -> float:
    """How many kinds of step the learnt bias rests on, those seen often counting more."""
    return sum(seen.share for seen in _steps_seen(shop, state))


@dataclass(frozen=True)
class _StepSeen:
    """A step that the record holds times of: how many pieces, and how far the log minutes lie over the
    estimate's in the mean."""

    pieces: int
    over: float

    @property
    def share(self) -> float:
        """What it counts for, 0 to 1."""
        return self.pieces / (self.pieces + 2.0)


def _steps_seen(shop: Shop, state: State) -> Iterator[_StepSeen]:
    for procedure in shop.procedures.values():
        for step in procedure.steps:
            seen = [
                (estimate, times)
                for of, estimate in _estimates(shop, procedure, step)
                if estimate > 0 and (times := state.times.get(of)) is not None
            ]
            pieces = sum(times.count for _, times in seen)
            if pieces:
                over = sum(
                    times.count / pieces * (times.sum_y / times.count - math.log(estimate))
                    for estimate, times in seen
                )
                yield _StepSeen(pieces, over)


def _estimates(shop: Shop, procedure: Procedure, step: Step) -> Iterator[tuple[PieceTime, float]]:
    """Everything that a step's times are learnt as, with the estimate of each."""
    ref = procedure.ref(step)
    if not times_follow_kind(procedure, step):
        yield PieceTime(ref), step.minutes.each
        return
    for kind in shop.kinds.values():
        if procedure.id in kind.procedures:
            for own in shop.steps_for(kind, procedure):
                if own.id == step.id:
                    yield PieceTime(ref, of_kind=kind.id), own.minutes.each


class Predictor:
    """Keeps what it worked out, so that a plan over many parts asks once for each step."""

    def __init__(self, context: Context, *, forgetting: bool = True) -> None:
        """Predicts for the one with the screen. Without ``forgetting`` a long break costs no practice: for
        work that lies far ahead."""
        self.context = context
        self.today = context.today if forgetting else None
        self.state = context.state
        self.doer = context.doer
        self.bias = learnt_bias(context.shop, context.state)
        self._pieces: dict[PieceTime, Duration] = {}
        self._follows: dict[StepRef, bool] = {}

    def learnt_as(self, procedure: Procedure, step: Step, kind_id: str) -> PieceTime:
        """What the times of a step are learnt as, on a part of this kind."""
        ref = procedure.ref(step)
        if ref not in self._follows:
            self._follows[ref] = times_follow_kind(procedure, step)
        return PieceTime(ref, of_kind=kind_id if self._follows[ref] else None)

    def piece(self, procedure: Procedure, step: Step, kind_id: str) -> Duration:
        """One piece of a kind at a step, by this person: their own times first, everybody's behind them.

        ``step`` is as it applies to that kind.
        """
        of = self.learnt_as(procedure, step, kind_id)
        if of not in self._pieces:
            self._pieces[of] = self._piece(of, step.minutes.each)
        return self._pieces[of]

    def _piece(self, of: PieceTime, estimate: float) -> Duration:
        pooled = self.state.times.get(of, NOTHING_SEEN)
        own = self.state.times.get(replace(of, person=self.doer.id), NOTHING_SEEN)
        bias = self.bias
        if self.doer.role != "builder" and own.count == 0:
            bias += HELPER_BIAS
        others = pooled.less(own)
        if others.count > 0:
            # What others took moves the centre; this person's own pieces then count in full.
            centre = predict(
                estimate, others, bias=bias, slope=USUAL_SLOPE, slope_weight=SLOPE_WEIGHT, repeat=1
            )
            estimate, bias = centre.median_minutes, 0.0
            if self.doer.role != "builder" and own.count == 0:
                bias = HELPER_BIAS
        repeat = self._repeat(own)
        return predict(estimate, own, bias=bias, slope=USUAL_SLOPE, slope_weight=SLOPE_WEIGHT, repeat=repeat)

    def _repeat(self, own: Times) -> int:
        """Which repeat the next piece is: after a long break, half of the practice is to learn again."""
        repeat = min(own.count + 1, MOST_REPEATS)
        if self.today is None or not own.last_day:
            return repeat
        away = (self.today - date.fromisoformat(own.last_day)).days
        return max(1, (repeat + 1) // 2) if away > FORGETTING_DAYS else repeat

    def planned(self, procedure: Procedure, step: Step, kind_id: str) -> float:
        """Minutes a piece to plan with: more cautious where the step cannot be left half way."""
        steady = step.stop in ("only when finished", "go straight on")
        return self.piece(procedure, step, kind_id).quantile_minutes(STEADY_CHANCE if steady else EASY_CHANCE)

    def set_up(self, procedure: Procedure, step: Step) -> Duration | None:
        """Setting up a step's family; None when it needs none."""
        if step.minutes.set_up <= 0:
            return None
        seen = self.state.times.get(SetUpTime(procedure.family_of(step)))
        return predict(step.minutes.set_up, seen, slope_weight=NO_LEARNING)

    def set_up_and_away(self, procedure: Procedure, step: Step) -> int:
        """Whole minutes to set up and put away a family once; putting away at a cautious figure."""
        set_up = self.set_up(procedure, step)
        minutes = set_up.median_minutes if set_up is not None else 0.0
        if step.minutes.put_away > 0:
            minutes += predict(step.minutes.put_away).quantile_minutes(PUT_AWAY_CHANCE)
        return math.ceil(minutes - 1e-9)

    def closing(self, estimate_minutes: float) -> int:
        """Whole minutes to close the bench up, from the record of past closings."""
        if estimate_minutes <= 0:
            return 0
        seen = self.state.times.get(PutAwayTime())
        return math.ceil(predict(estimate_minutes, seen).quantile_minutes(PUT_AWAY_CHANCE) - 1e-9)
