"""What one person in one shop is expected to take: pieces, set-ups and putting away, learnt from the record.

People are independent: who has done a thing is predicted from their own times of it and their own pace. For
who has not, what others took is seen through a person effect of known variance (Gelman et al., Bayesian Data
Analysis, section 5.4): however much others did, it counts for so many observations at most.
"""

import math
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from operator import is_not

from kiosk.record.context import Context
from kiosk.record.learning import (
    A_WRITTEN_MINUTE,
    BENCH_WEIGHT,
    PRIOR_BIAS,
    PRIOR_SPREAD,
    PRIOR_WEIGHT,
    SHORTEST_MINUTES,
    SLOPE_WEIGHT,
    USUAL_SLOPE,
    Expected,
    Prior,
    expected,
    known_times,
)
from kiosk.record.lessons import times_follow_kind
from kiosk.record.paces import Paces
from kiosk.record.state import (
    MOST_REPEATS,
    NOTHING_SEEN,
    ClosingTime,
    PieceTime,
    PutAwayTime,
    SetUpTime,
    State,
    Timed,
    Times,
)
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.shop import Shop

BIAS_WEIGHT = 4.0  # kinds of step that what is usual counts for
HELPER_BIAS = math.log(1.3)  # a helper nothing is known of yet, over the builder
HELPER_WEIGHT = 1.0  # helpers differ more: a child, or a practised friend
PERSON_SHARE = 0.4  # of the variance of an estimate's error: one person's own; the rest is the step's
# A break longer than this undoes practice (Stewart, Cost Estimator's Reference Manual, names the effect; the
# fortnight is our own).
FORGETTING_DAYS = 14


def learnt_bias(shop: Shop, state: State, person: str | None = None) -> float:
    """How far times lie above the estimates, on the log scale, drawn towards the usual: one person's, or
    everybody's together for None."""
    if person is not None:
        return Biases(shop, Paces().follow(shop, state)).bias(person)
    return Paces().follow(shop, state).of(None).drawn_towards(PRIOR_BIAS, BIAS_WEIGHT)


def learnt_weight(shop: Shop, state: State, person: str | None = None) -> float:
    """How many kinds of step the learnt bias rests on, those seen often counting more."""
    return Paces().follow(shop, state).of(person).weight


class Biases:
    """How far each person's times lie above the estimates, drawn towards the usual.

    Nobody's times move another's, but that a helper is taken to be slower than the builder by so much as is
    usual until their own times say otherwise.
    """

    def __init__(self, shop: Shop, paces: Paces) -> None:
        self.shop, self.paces = shop, paces
        self._known: dict[str, float] = {}

    def bias(self, person: str) -> float:
        """One person's, on the log scale."""
        if person not in self._known:
            usual, weight = PRIOR_BIAS, BIAS_WEIGHT
            known = self.shop.people.get(person)
            if known is not None and known.role != "builder":
                builders = [one for one in self.shop.people.values() if one.role == "builder"]
                usual = sum(self.bias(one.id) for one in builders) / len(builders) if builders else usual
                usual, weight = usual + HELPER_BIAS, HELPER_WEIGHT
            self._known[person] = self.paces.of(person).drawn_towards(usual, weight)
        return self._known[person]


class UsualTimes:
    """Keeps what it worked out, so that a plan over many parts asks once for each step."""

    def __init__(self, shop: Shop, state: State, paces: Paces, person: str, today: date | None) -> None:
        """``today`` tells how long ago the last time was; without it a long break costs no practice."""
        self.times: Mapping[Timed, Times] = state.times
        self.today = today
        self.person = person
        self.paces = paces
        self.biases = Biases(shop, paces)
        self._bias = self.biases.bias(person)
        self._known: dict[tuple[Timed, float], Expected] = {}  # of which time, and its estimate
        # The step is kept with what is expected of it, so that its id stays its own.
        self._pieces: dict[tuple[int, str], tuple[Step, Expected]] = {}
        self._set_ups: dict[tuple[int, float], tuple[Step, Expected | None]] = {}
        self._put_aways: dict[tuple[int, float], tuple[Step, Expected | None]] = {}
        self._of_minutes: dict[tuple[int, float], Expected] = {}
        self._follows: dict[tuple[str, str], bool] = {}  # whether a step's times follow from the kind
        self._never_done: dict[tuple[bool, float], Expected] = {}  # whether it is a piece, and its estimate
        self._of_piece = Prior(PRIOR_WEIGHT, bias=self._bias, slope=USUAL_SLOPE, slope_weight=SLOPE_WEIGHT)
        self._of_bench = Prior(BENCH_WEIGHT, bias=self._bias)

    def learnt_as(self, procedure: Procedure, step: Step, kind_id: str) -> PieceTime:
        """What the times of a step are learnt as, on a part of this kind."""
        of_all = PieceTime(procedure.ref(step), self.person)
        return (
            PieceTime(of_all.step, of_all.person, kind_id) if self._follows_kind(procedure, step) else of_all
        )

    def _follows_kind(self, procedure: Procedure, step: Step) -> bool:
        key = (procedure.id, step.id)
        follows = self._follows.get(key)
        if follows is None:
            follows = self._follows[key] = times_follow_kind(procedure, step)
        return follows

    def piece(self, procedure: Procedure, step: Step, kind_id: str) -> Expected:
        """One piece of a kind at a step, by this person.

        ``step`` is as it applies to that kind.
        """
        key = (id(step), kind_id)
        found = self._pieces.get(key)
        if found is None:
            found = self._pieces[key] = (step, self._piece(procedure, step, kind_id))
        return found[1]

    def _piece(self, procedure: Procedure, step: Step, kind_id: str) -> Expected:
        done_on = self.paces.kinds_done(procedure.id, step.id)
        if not done_on or (kind_id not in done_on and self._follows_kind(procedure, step)):
            return self._of_nobody(step.minutes.each, is_piece=True)
        return self._of(self.learnt_as(procedure, step, kind_id), step.minutes.each)

    def set_up(self, procedure: Procedure, step: Step, out_minutes: float = 0.0) -> Expected | None:
        """Setting up a step's family, of which so many minutes by the procedure are out already; None when it
        needs nothing more."""
        key = (id(step), out_minutes)
        if key not in self._set_ups:
            minutes, found = step.minutes.set_up - out_minutes, None
            if minutes > 0:
                found = self._of_written(SetUpTime(procedure.family_of(step), self.person), minutes)
            self._set_ups[key] = (step, found)
        return self._set_ups[key][1]

    def put_away(self, procedure: Procedure, step: Step, out_minutes: float = 0.0) -> Expected | None:
        """Putting a step's family away, with so many minutes by the procedure of it out already; None when
        there is nothing more to put away."""
        key = (id(step), out_minutes)
        if key not in self._put_aways:
            minutes, found = step.minutes.put_away - out_minutes, None
            if minutes > 0:
                found = self._of_written(PutAwayTime(procedure.family_of(step), self.person), minutes)
            self._put_aways[key] = (step, found)
        return self._put_aways[key][1]

    def closing_time(self, estimate_minutes: float) -> Expected | None:
        """Closing the bench up, putting families away not counted; None when it is taken for nothing."""
        return None if estimate_minutes <= 0 else self._of(ClosingTime(self.person), estimate_minutes)

    def _of_written(self, of: SetUpTime | PutAwayTime, minutes: float) -> Expected:
        """So many minutes by the procedure, of which one is learnt."""
        one = self._of(of, A_WRITTEN_MINUTE)
        key = (id(one), minutes)  # the one is kept, so that its id stays its own
        found = self._of_minutes.get(key)
        if found is None:
            location = one.location + math.log(minutes / A_WRITTEN_MINUTE)
            found = self._of_minutes[key] = replace(one, location=location)
        return found

    def _of(self, of: Timed, estimate: float) -> Expected:
        found = self._known.get((of, estimate))
        if found is None:
            found = self._known[of, estimate] = self._predicted(of, estimate)
        return found

    def _predicted(self, of: Timed, estimate: float) -> Expected:
        if not self.paces.who_did(of):
            return self._of_nobody(estimate, is_piece=isinstance(of, PieceTime))
        return self._from_times(of, estimate, known_times(self.times, of))

    def _of_nobody(self, estimate: float, *, is_piece: bool) -> Expected:
        """What nobody has done: nothing is known of it but the estimate, which is the same for many."""
        key = (is_piece, estimate)
        found = self._never_done.get(key)
        if found is None:
            prior = self._of_piece if is_piece else self._of_bench
            found = self._never_done[key] = expected(estimate, NOTHING_SEEN, prior, 1)
        return found

    def _from_times(self, of: Timed, estimate: float, own: Times) -> Expected:
        prior = self._of_piece if isinstance(of, PieceTime) else self._of_bench
        if own.count == 0:
            over, weight = self._of_others(of, estimate, prior.weight)
            prior = replace(prior, weight=weight, bias=self._bias + over)
        return expected(estimate, own, prior, self._repeat(own))

    def _of_others(self, of: Timed, estimate: float, weight: float) -> tuple[float, float]:
        """How far others took longer at this than at their own pace, drawn towards nothing, and how many
        observations the centre then counts for."""
        slope = USUAL_SLOPE if isinstance(of, PieceTime) else 0.0
        variance = PRIOR_SPREAD**2
        of_person = PERSON_SHARE * variance / weight
        precision, total = 1 / (variance / weight - of_person), 0.0
        for person in self.paces.who_did(of):
            seen = known_times(self.times, replace(of, person=person))
            if person == of.person or seen.weight <= 0:
                continue
            of_first = (seen.sum_y - slope * seen.sum_x) / seen.weight
            usual = math.log(max(SHORTEST_MINUTES, estimate)) + self.biases.bias(person)
            share = 1 / (of_person + variance / seen.weight)
            precision += share
            total += share * (of_first - usual)
        return total / precision, variance / (of_person + 1 / precision)

    def _repeat(self, own: Times) -> int:
        """Which repeat the next piece is: after a long break, half of the practice is to learn again."""
        repeat = min(own.count + 1, MOST_REPEATS)
        if self.today is None or not own.last_day:
            return repeat
        away = (self.today - date.fromisoformat(own.last_day)).days
        return max(1, (repeat + 1) // 2) if away > FORGETTING_DAYS else repeat


class EverybodysTimes:
    """The usual times of each person, kept until a time on record, the files or the day are others."""

    def __init__(self) -> None:
        self._made_from: tuple[Shop, Paces, int] | None = None
        self._of: dict[tuple[str, date | None], UsualTimes] = {}

    def of(self, context: Context, person: str, today: date | None) -> UsualTimes:
        """Those of one person; ``today`` as for :class:`UsualTimes`."""
        paces = context.paces
        made_from = (context.shop, paces, paces.changes)
        if self._made_from is None or any(map(is_not, made_from, self._made_from)):
            self._made_from, self._of = made_from, {}
        found = self._of.get((person, today))
        if found is None:
            found = UsualTimes(context.shop, context.state, paces, person, today)
            self._of[person, today] = found
        return found
