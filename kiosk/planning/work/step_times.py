"""What the steps ahead take on a kind, and what their set-ups cost: worked out once in an answer."""

from collections.abc import Mapping
from functools import cached_property

from kiosk.dataclass import dataclass
from kiosk.planning.choose.option import NOTHING
from kiosk.planning.times.durations import Duration
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.times.sum_of_pieces import TimeOfPiece
from kiosk.planning.work.candidate import LikeParts
from kiosk.planning.work.outline import Outline
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
    """The times of steps, and the set-up cost of the families that were met so far."""

    def __init__(self, predictor: Predictor, ways: WaysAhead) -> None:
        self.predictor = predictor
        self.set_up: dict[Family, int] = {NOTHING: 0}
        self.away: dict[Family, int] = {NOTHING: 0}  # of those minutes, what comes when the bench is left
        self._ways = ways
        self._chains: dict[tuple[int, ...], int] = {}
        self._times: dict[int, StepTime] = {}  # by the number of a time
        self._step_times: dict[tuple[int, str], StepTime] = {}
        self._of_durations: dict[int, StepTime] = {}  # the predictor gives the same one for like times
        self._set_ups: dict[tuple[Family, float, float], tuple[int, int]] = {}
        self._met: set[int] = set()  # steps whose set-up costs are noted: by `TimedAs.alike`
        self._set_up_met: Mapping[Family, int] | None = None  # as it is, until another is met
        self._families: dict[tuple[int, str], Family] = {}  # those whose set-up cost is noted

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

    def note_set_ups(self, one: LikeParts | Outline) -> None:
        """Note what setting up costs for each step of a chain, also of those that no option comes to."""
        way = one.way
        if way is None:
            for procedure, step in one.chain:
                self.family_of(one.kind, procedure, step)
        elif len(way.chain) > len(one.chain) or not way.alike <= self._met:
            for timed in way.times[: len(one.chain)]:
                if timed.alike not in self._met:
                    self._note(timed.family, timed.procedure, timed.step)
                    self._met.add(timed.alike)

    def family_at(self, like: LikeParts | Outline, place: int) -> Family:
        """The family of one step of a chain of which the set-up costs are noted."""
        if like.way is not None:
            return like.way.times[place].family
        return self.family_of(like.kind, *like.chain[place])

    def family_of(self, kind_id: str, procedure: Procedure, step: Step) -> Family:
        """The step's family, its set-up cost noted: the dearest of its steps counts. A step that nothing is
        set up for, or put away after, costs nothing, whatever others of its family do."""
        key = (id(step), kind_id)
        family = self._families.get(key)
        if family is None:
            family = self._families[key] = procedure.family_of(step) if step.is_set_up_for else NOTHING
            self._note(family, procedure, step)
        return family

    def _note(self, family: Family, procedure: Procedure, step: Step) -> None:
        if family == NOTHING:
            return
        minutes = step.minutes
        takes = (family, minutes.set_up, minutes.put_away)
        if takes not in self._set_ups:
            costs = self.predictor.set_up_and_away(procedure, step), self.predictor.away(procedure, step)
            self._set_ups[takes] = costs
        set_up, away = self._set_ups[takes]
        if set_up >= self.set_up.get(family, 0):
            self.set_up[family], self.away[family] = set_up, away
            self._set_up_met = None

    def set_up_met(self) -> Mapping[Family, int]:
        """What the set-ups cost that were met until now."""
        if self._set_up_met is None:
            self._set_up_met = dict(self.set_up)
        return self._set_up_met
