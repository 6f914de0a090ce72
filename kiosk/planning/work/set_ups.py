"""What the steps of one family share of its set-up: a plan pays for the dearest among those that it holds.

A family whose steps all take as long is one thing to set up. Of others each step needs so many of the
family's set-ups: what the cheapest of them takes, and what each dearer one takes more.
"""

from collections.abc import Iterator, Sequence

from kiosk.dataclass import dataclass
from kiosk.planning.choose.option import More, SetUp
from kiosk.planning.times.predictor import Predictor
from kiosk.shop.procedure import Family, Procedure, Step
from kiosk.shop.shop import Shop

Written = tuple[float, float]  # minutes to set up and to put away


@dataclass(frozen=True)
class Cost:
    """Whole minutes of a set-up, putting it away included, and of those what comes when it is put away."""

    minutes: int
    away: int


class WrittenSetUps:
    """The steps of the families of which not all take as long: kept until the files are others."""

    def __init__(self) -> None:
        self._shop: Shop | None = None
        self._steps: dict[Family, dict[Written, tuple[Procedure, Step]]] = {}

    def of(self, shop: Shop) -> "WrittenSetUps":
        """As the shop's files have it; gives itself."""
        if shop is not self._shop:
            self._shop = shop
            found: dict[Family, dict[Written, tuple[Procedure, Step]]] = {}
            for procedure, step in _set_up_for(shop):
                found.setdefault(procedure.family_of(step), {}).setdefault(_written(step), (procedure, step))
            self._steps = {family: of for family, of in found.items() if len(of) > 1}
        return self

    def alike(self, procedure: Procedure, step: Step) -> Sequence[tuple[Procedure, Step]]:
        """A step of each cost that its family has."""
        of_family = self._steps.get(procedure.family_of(step), {})
        return tuple(of_family.values()) if _written(step) in of_family else ((procedure, step),)


class SetUps:
    """What one person's set-ups cost, those that were met so far."""

    def __init__(self, written: WrittenSetUps, predictor: Predictor) -> None:
        self._written, self._predictor = written, predictor
        self._needed: dict[Family, dict[Written, tuple[SetUp, ...]]] = {}
        self.costs: dict[SetUp, Cost] = {}

    def of(self, procedure: Procedure, step: Step) -> tuple[SetUp, ...]:
        """The set-ups that a step needs, of one that anything is set up for; their costs are noted."""
        family = procedure.family_of(step)
        if family not in self._needed or _written(step) not in self._needed[family]:
            self._note(family, self._written.alike(procedure, step))
        return self._needed[family][_written(step)]

    def _note(self, family: Family, steps: Sequence[tuple[Procedure, Step]]) -> None:
        predictor = self._predictor
        takes = {
            _written(step): (predictor.set_up_and_away(procedure, step), predictor.away(procedure, step))
            for procedure, step in steps
        }
        # Of those that are as dear, the one of which most is done before the work.
        away = dict(sorted(takes.values(), reverse=True))
        names: dict[int, tuple[SetUp, ...]] = {}
        needed: tuple[SetUp, ...] = ()
        before = Cost(0, 0)
        for number, minutes in enumerate(sorted(away)):
            name = More(family, number) if number else family
            needed = names[minutes] = (*needed, name)
            self.costs[name] = Cost(minutes - before.minutes, away[minutes] - before.away)
            before = Cost(minutes, away[minutes])
        self._needed[family] = {written: names[minutes] for written, (minutes, _) in takes.items()}


def _written(step: Step) -> Written:
    return step.minutes.set_up, step.minutes.put_away


def _set_up_for(shop: Shop) -> Iterator[tuple[Procedure, Step]]:
    """All steps that anything is set up for; of what follows from the part kind, those of each kind."""
    worked: set[str] = set()
    for procedure in shop.procedures.values():
        for step in procedure.steps:
            if step.times_are_worked:
                worked.add(procedure.id)
            elif step.is_set_up_for:
                yield procedure, step
    for kind in shop.kinds.values() if worked else ():
        for stage in kind.route:
            if stage.procedure in worked:
                procedure = shop.procedures[stage.procedure]
                for step in shop.steps_for(kind, procedure):
                    if step.times_are_worked and step.is_set_up_for:
                        yield procedure, step
