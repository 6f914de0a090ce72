"""The route of a part kind with its steps in order, worked out once and then only looked up in."""

from collections.abc import Callable, Mapping
from functools import cached_property
from itertools import accumulate
from operator import is_

from kiosk.dataclass import dataclass
from kiosk.shop.for_kind import next_of
from kiosk.shop.parts import PartKind, RouteStage
from kiosk.shop.procedure import Procedure, Step, StepRef


@dataclass(frozen=True)
class StageSteps:
    """One stage of a route: its procedure, and those of its steps that apply to the kind, in order."""

    written: RouteStage
    procedure: Procedure
    steps: tuple[Step, ...]
    places: Mapping[str, int]  # where a step stands among them, by its id


class Route:
    """The stages of one part kind. Neither they nor their steps ever change: a changed file makes another.

    A stage is worked out when it is first asked for, so that a mistake in it stops nothing before.
    """

    def __init__(
        self,
        kind: PartKind,
        procedures: Mapping[str, Procedure],
        steps_for: Callable[[PartKind, Procedure], tuple[Step, ...]],
    ) -> None:
        self.kind = kind
        self.names = kind.procedures
        self._procedures = tuple(procedures[name] for name in self.names)
        self._steps_for = steps_for
        self._stages: dict[int, StageSteps] = {}
        self._minutes_from: dict[int, float] = {}

    def __len__(self) -> int:
        """How many stages it has."""
        return len(self.names)

    def is_of(self, kind: PartKind, procedures: Mapping[str, Procedure]) -> bool:
        """True while the kind and its procedures are still the ones that it was made from."""
        if kind is not self.kind:
            return False
        # Asked thousands of times: no step of it is the interpreter's.
        return all(map(is_, map(procedures.get, self.names), self._procedures))

    def stage(self, number: int) -> StageSteps:
        """The stage at a place, from 0."""
        found = self._stages.get(number)
        if found is None:
            procedure = self._procedures[number]
            steps = self._steps_for(self.kind, procedure)
            places: dict[str, int] = {}
            for place, step in enumerate(steps):
                places.setdefault(step.id, place)
            found = StageSteps(self.kind.route[number], procedure, steps, places)
            self._stages[number] = found
        return found

    @cached_property
    def all_steps(self) -> tuple[tuple[Procedure, Step], ...]:
        """Every step of the route in order, those of repairs too."""
        stages = (self.stage(number) for number in range(len(self)))
        return tuple((stage.procedure, step) for stage in stages for step in stage.steps)

    @cached_property
    def repairs(self) -> frozenset[str]:
        """The ids of its procedures that a part goes through only when a snag's rework sends it there."""
        return frozenset(self.kind.repairs)

    @cached_property
    def steps(self) -> tuple[tuple[Procedure, Step], ...]:
        """Every step that a part goes through when nothing has to be repaired, in order."""
        return tuple(one for one in self.all_steps if one[0].id not in self.repairs)

    @cached_property
    def numbers(self) -> Mapping[StepRef, int]:
        """Where a step stands among all of them."""
        found: dict[StepRef, int] = {}
        for number, (procedure, step) in enumerate(self.all_steps):
            found.setdefault(procedure.ref(step), number)
        return found

    def number_of(self, ref: StepRef) -> int | None:
        """Where a step stands among all of them; of one that the kind leaves out, where the next of its
        procedure does. None where there is none."""
        number = self.numbers.get(ref)
        if number is None and ref.procedure in self.names:
            stage = self.stage(self.names.index(ref.procedure))
            held = next_of(stage.procedure.steps, ref.step, stage.places)
            number = None if held is None else self.numbers[StepRef(ref.procedure, held)]
        return number

    def estimate(self, ref: StepRef) -> float | None:
        """Minutes of one piece at a step; None where the route does not have it."""
        if ref.procedure not in self.names:
            return None
        stage = self.stage(self.names.index(ref.procedure))
        place = stage.places.get(ref.step)
        return None if place is None else stage.steps[place].minutes.each

    @cached_property
    def minutes_each(self) -> float:
        """Minutes that one part takes through all of it, by the estimates; set-ups are not in it."""
        return sum(step.minutes.each for _, step in self.steps)

    @cached_property
    def minutes_to(self) -> tuple[float, ...]:
        """Minutes that one part takes to the end of each of its steps, by the estimates."""
        return tuple(accumulate(step.minutes.each for _, step in self.steps))

    @cached_property
    def used_at(self) -> Mapping[str, tuple[int, ...]]:
        """For each consumable, the places of the steps that it is used at."""
        found: dict[str, list[int]] = {}
        for number, (_, step) in enumerate(self.steps):
            for name in dict.fromkeys([*step.consumables, *(uses.of for uses in step.uses)]):
                found.setdefault(name, []).append(number)
        return {name: tuple(numbers) for name, numbers in found.items()}

    @cached_property
    def _before(self) -> tuple[int, ...]:
        """For each stage, how many steps come before it."""
        counts = [len(self.stage(number).steps) for number in range(len(self))]
        return tuple(sum(counts[:number]) for number in range(len(self)))

    def minutes_from(self, stage: int, place: int) -> float:
        """Minutes of one part from a place within a stage on, as in :meth:`steps_from`, by the estimates."""
        first = self._before[stage] + place
        if first not in self._minutes_from:
            self._minutes_from[first] = sum(step.minutes.each for _, step in self.steps[first:])
        return self._minutes_from[first]

    def steps_before(self, stage: int, place: int) -> int:
        """How many steps lie before a place within a stage; for a kind without repairs."""
        return self._before[stage] + place

    def steps_from(self, stage: int, place: int) -> tuple[tuple[Procedure, Step], ...]:
        """Every step from a place within a stage on, both from 0; for a kind without repairs."""
        return self.steps[self._before[stage] + place :]
