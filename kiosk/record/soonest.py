"""The soonest that parts come to each step that follows on one: sooner than that nobody has them there.

A piece takes no less than its procedure says, or than whoever is quickest of those at the bench usually takes
for it, whichever is less; what is out on the bench is not set up again. Where parts are done one after the
other, the order is left open: the last comes to a step when its own steps before it are done, and when that
step is on all the others.
"""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from functools import cached_property

from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.record.out_on_bench import NOTHING_OUT, MinutesOut, minutes_out, out_on_bench
from kiosk.record.quiet_hours import QuietTimes
from kiosk.record.usual_times import EverybodysTimes, UsualTimes
from kiosk.shop.procedure import Family, Procedure, Step


@dataclass(frozen=True)
class Comes:
    """When the last of the parts comes to a step, and when the step is done on all of them."""

    begins: datetime
    done: datetime


class AtBench:
    """What is out on the bench, the usual times of everybody at it, and the quiet hours about: asked once
    within one moment."""

    def __init__(self, context: Context) -> None:
        self.context = context
        self.quiet = QuietTimes(context.shop)
        # The step is kept with its minutes, so that its id stays its own.
        self._minutes: dict[tuple[int, str], tuple[Step, float]] = {}
        self._set_ups: dict[tuple[int, float], tuple[Step, float]] = {}

    def then(self, context: Context) -> "AtBench":
        """The same people with the same things out at another moment of the day: nothing is asked again."""
        found = AtBench(context)
        found.quiet, found._minutes, found._set_ups = self.quiet, self._minutes, self._set_ups
        found.out, found.hands = self.out, self.hands
        return found

    @cached_property
    def out(self) -> Mapping[Family, MinutesOut]:
        """What needs no setting up again."""
        return minutes_out(out_on_bench(self.context))

    @cached_property
    def hands(self) -> Sequence[UsualTimes]:
        """The times of each."""
        context = self.context
        times = context.kept.of(EverybodysTimes)
        ids = dict.fromkeys([context.doer.id, *(one.id for one in context.people)])
        return [times.of(context, one, context.today) for one in ids]

    def minutes_of_piece(self, procedure: Procedure, step: Step, kind: str) -> float:
        """The least that one piece takes."""
        key = (id(step), kind)
        found = self._minutes.get(key)
        if found is None:
            usual = (one.piece(procedure, step, kind).median_minutes for one in self.hands)
            found = self._minutes[key] = (step, min([step.minutes.each, *usual]))
        return found[1]

    def minutes_of_set_up(self, procedure: Procedure, step: Step, out_minutes: float) -> float:
        """The least that setting up for it takes, so many minutes of which by the procedure are out."""
        key = (id(step), out_minutes)
        found = self._set_ups.get(key)
        if found is None:
            usual = (one.set_up(procedure, step, out_minutes) for one in self.hands)
            more = step.minutes.set_up - out_minutes
            least = min([max(0.0, more), *(one.median_minutes for one in usual if one is not None)])
            found = self._set_ups[key] = (step, least)
        return found[1]


class Soonest:
    """Takes parts from step to step, in the order in which they are asked for."""

    def __init__(
        self, at_bench: AtBench, procedure: Procedure, marks: Sequence[str], spent_minutes: float = 0.0
    ) -> None:
        """``spent_minutes`` of the first step are over on them already."""
        context = self._context = at_bench.context
        self._at_bench = at_bench
        self._procedure = procedure
        self._kinds = Counter(context.shop.parts[mark].kind for mark in marks)
        self._spent = spent_minutes
        self._at = context.now  # all the steps so far are done
        self._worked = 0.0  # minutes of hands at them
        self._out: dict[Family, float] = {}

    def comes_to(self, step_of: Mapping[str, Step], not_before: datetime) -> Comes:
        """The next step, as it is for each of the kinds that have it; ``not_before`` a wait is over."""
        step = next(iter(step_of.values()))
        parts, least, most, minutes = 0, math.inf, 0.0, -self._spent
        for kind, of_kind in self._kinds.items():
            if kind in step_of:
                each = self._at_bench.minutes_of_piece(self._procedure, step_of[kind], kind)
                parts, minutes = parts + of_kind, minutes + of_kind * each
                least, most = min(least, each), max(most, each)
        minutes, self._spent = max(0.0, minutes), 0.0
        set_up = self._set_up(step)
        begins = max(self._at, not_before)
        if step.batch == "together" or parts == 1:
            done = begins + timedelta(minutes=set_up + minutes)
        else:
            others = self._worked + set_up + max(0.0, minutes - most)
            begins = max(begins, self._context.now + timedelta(minutes=others))
            done = begins + timedelta(minutes=min(minutes, least))
        self._worked += set_up + minutes
        self._at = max(done, self._context.now + timedelta(minutes=self._worked))
        return Comes(begins, self._at)

    def wait_until(self, at: datetime) -> None:
        """Nothing is done before then."""
        self._worked = max(self._worked, (at - self._context.now).total_seconds() / 60)
        self._at = max(self._at, at)

    def _set_up(self, step: Step) -> float:
        family = self._procedure.family_of(step)
        out = max(self._out.get(family, 0.0), self._at_bench.out.get(family, NOTHING_OUT).set_up)
        self._out[family] = max(out, step.minutes.set_up)
        return self._at_bench.minutes_of_set_up(self._procedure, step, out)
