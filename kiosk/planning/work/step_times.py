"""What the steps ahead take on a kind, and what their set-ups cost: worked out once in an answer."""

from functools import cached_property

from kiosk.dataclass import dataclass
from kiosk.planning.choose.option import NOTHING, SetUp
from kiosk.planning.times.durations import Duration
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.times.sum_of_pieces import TimeOfPiece
from kiosk.planning.work.candidate import LikeParts
from kiosk.planning.work.outline import Outline
from kiosk.planning.work.set_ups import SetUps, WrittenSetUps
from kiosk.planning.work.ways_ahead import WaysAhead
from kiosk.shop.procedure import Family, Procedure, Step


@dataclass(frozen=True)
class StepTime:
    """What one piece of a step takes on a kind."""

    duration: Duration

    @cached_property
    def moments(self) -> TimeOfPiece:
        """As it adds up; worked out for those alone of which options are made."""
        return TimeOfPiece().then(self.duration)

    @cached_property
    def median_minutes(self) -> float:
        """Half of the time it takes no longer than this."""
        return self.duration.median_minutes


class StepTimes:
    """The times of steps, and what the set-ups cost that were met so far."""

    def __init__(self, predictor: Predictor, ways: WaysAhead, written: WrittenSetUps) -> None:
        self.predictor = predictor
        self.set_up: dict[SetUp, int] = {NOTHING: 0}
        self.away: dict[SetUp, int] = {NOTHING: 0}  # of those minutes, what comes when the bench is left
        self._ways = ways
        self._of_families = SetUps(written, predictor)
        self._chains: dict[tuple[int, ...], int] = {}
        self._times: dict[int, StepTime] = {}  # by the number of a time
        self._step_times: dict[tuple[int, str], StepTime] = {}
        self._of_durations: dict[int, StepTime] = {}  # the predictor gives the same one for like times
        self._set_ups: dict[int, tuple[SetUp, ...]] = {}  # of a step, by its id

    def same_times(self, like: LikeParts) -> int:
        """A number for the steps with their times: the same for all that take as long."""
        numbers = tuple([self.number_at(like, place) for place in range(len(like.chain))])
        return self._chains.setdefault(numbers, len(self._chains))

    def number_at(self, like: LikeParts | Outline, place: int) -> int:
        """A number for one step of a chain with its times."""
        timed = (
            like.way.times[place]
            if like.way is not None
            else self._ways.timed_as(like.kind, *like.chain[place])
        )
        done_on = self.predictor.paces.kinds_done(timed.procedure.id, timed.step.id)
        # Where it was done on this kind, its times are its own; else there is the estimate alone.
        return -1 - timed.number if timed.follows_kind and timed.kind in done_on else timed.alike

    def time_at(self, like: LikeParts | Outline, place: int) -> StepTime:
        """What one piece takes of a step of a chain: worked out once for all that take as long."""
        number = self.number_at(like, place)
        found = self._times.get(number)
        if found is None:
            found = self._times[number] = self.time_of(like.kind, *like.chain[place])
        return found

    def time_of(self, kind_id: str, procedure: Procedure, step: Step) -> StepTime:
        """What one piece takes."""
        key = (id(step), kind_id)  # the shop keeps its steps, so that an id stays the step's own
        found = self._step_times.get(key)
        if found is None:
            duration = self.predictor.piece(procedure, step, kind_id)
            found = self._of_durations.get(id(duration))
            if found is None:
                found = self._of_durations[id(duration)] = StepTime(duration)
            self._step_times[key] = found
        return found

    def minutes_of(self, kind_id: str, procedure: Procedure, step: Step) -> float:
        """What one piece of a step takes as often as not."""
        return self.time_of(kind_id, procedure, step).median_minutes

    def family_at(self, like: LikeParts | Outline, place: int) -> Family:
        """The family of one step of a chain."""
        if like.way is not None:
            return like.way.times[place].family
        procedure, step = like.chain[place]
        return procedure.family_of(step) if step.is_set_up_for else NOTHING

    def set_ups_at(self, like: LikeParts, place: int) -> tuple[SetUp, ...]:
        """The set-ups that one step of a chain needs, their cost noted."""
        if like.way is not None:
            timed = like.way.times[place]
            return self.set_ups_of(timed.procedure, timed.step)
        return self.set_ups_of(*like.chain[place])

    def set_ups_of(self, procedure: Procedure, step: Step) -> tuple[SetUp, ...]:
        """The set-ups that a step needs, their cost noted. One that nothing is set up for, or put away after,
        costs nothing, whatever others of its family do."""
        found = self._set_ups.get(id(step))  # the shop keeps its steps, so that an id stays the step's own
        if found is None:
            found = (NOTHING,)
            if step.is_set_up_for:
                found = self._of_families.of(procedure, step)
                for name in found:
                    cost = self._of_families.costs[name]
                    self.set_up[name], self.away[name] = cost.minutes, cost.away
            self._set_ups[id(step)] = found
        return found
