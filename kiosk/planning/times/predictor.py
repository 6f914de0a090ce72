"""Predicted times for one person in one shop, with their spread: what is usual (``record/usual_times.py``) as
durations to plan with, and whole minutes of what is done once."""

import math

from kiosk.planning.times.durations import Duration, duration_of
from kiosk.record.context import Context
from kiosk.record.learning import Expected
from kiosk.record.out_on_bench import NOTHING_OUT, MinutesOut
from kiosk.record.state import PieceTime
from kiosk.record.usual_times import EverybodysTimes
from kiosk.shop.procedure import Procedure, Step

CLOSING_CHANCE = 0.7


class Predictor:
    """Keeps what it worked out, so that a plan over many parts asks once for each step."""

    def __init__(self, context: Context, *, forgetting: bool = True) -> None:
        """Predicts for the one with the screen. Without ``forgetting`` a long break costs no practice: for
        work that lies far ahead."""
        today = context.today if forgetting else None
        self.context = context
        self._usual = context.kept.of(EverybodysTimes).of(context, context.doer.id, today)
        self.paces = self._usual.paces
        self._durations: dict[int, tuple[Expected, Duration]] = {}  # by what is expected, which is kept

    def learnt_as(self, procedure: Procedure, step: Step, kind_id: str) -> PieceTime:
        """What the times of a step are learnt as, on a part of this kind."""
        return self._usual.learnt_as(procedure, step, kind_id)

    def piece(self, procedure: Procedure, step: Step, kind_id: str) -> Duration:
        """One piece of a kind at a step, by this person.

        ``step`` is as it applies to that kind.
        """
        return self._duration(self._usual.piece(procedure, step, kind_id))

    def set_up(self, procedure: Procedure, step: Step, out_minutes: float = 0.0) -> Duration | None:
        """Setting up a step's family, of which so many minutes by the procedure are out already; None when it
        needs nothing more."""
        usual = self._usual.set_up(procedure, step, out_minutes)
        return None if usual is None else self._duration(usual)

    def put_away(self, procedure: Procedure, step: Step, out_minutes: float = 0.0) -> Duration | None:
        """Putting a step's family away, with so many minutes by the procedure of it out already; None when
        there is nothing more to put away."""
        usual = self._usual.put_away(procedure, step, out_minutes)
        return None if usual is None else self._duration(usual)

    def set_up_and_away(self, procedure: Procedure, step: Step, out: MinutesOut = NOTHING_OUT) -> int:
        """Whole minutes to set up and put away a family once, in the middle: how they spread belongs in the
        chance of the plan. ``out`` of it is set up already."""
        both = (
            self.set_up(procedure, step, out.set_up),
            self.put_away(procedure, step, out.put_away),
        )
        return math.ceil(sum(one.median_minutes for one in both if one is not None) - 1e-9)

    def away(self, procedure: Procedure, step: Step) -> int:
        """Whole minutes of that for putting the family away: it is done when the bench is left."""
        time = self.put_away(procedure, step)
        return 0 if time is None else math.floor(time.median_minutes + 1e-9)

    def closing(self, estimate_minutes: float) -> int:
        """Whole minutes to close the bench up at a cautious figure, putting families away not counted."""
        time = self.closing_time(estimate_minutes)
        return 0 if time is None else math.ceil(time.quantile_minutes(CLOSING_CHANCE) - 1e-9)

    def closing_time(self, estimate_minutes: float) -> Duration | None:
        """Closing the bench up, putting families away not counted; None when it is taken for nothing."""
        usual = self._usual.closing_time(estimate_minutes)
        return None if usual is None else self._duration(usual)

    def _duration(self, usual: Expected) -> Duration:
        """The same object for what is expected alike, by which like times are told."""
        known = self._durations.get(id(usual))
        if known is None:
            known = self._durations[id(usual)] = (usual, duration_of(usual))
        return known[1]
