"""The steps that part kinds go through, found once for everything that holds a shop's files to them."""

from kiosk.dataclass import dataclass
from kiosk.shop.cross_check import Procedures
from kiosk.shop.figures import Figures
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import Step
from kiosk.shop.reader import Document, Location


@dataclass(frozen=True)
class StepOnRoute:
    """A step that a kind goes through, and where it is written."""

    procedure: str
    step: Step
    source: Document
    location: Location


@dataclass(frozen=True)
class _Route:
    """What a kind does and leaves out, and the kind itself, so that no other can be taken for it."""

    kind: PartKind
    steps: tuple[StepOnRoute, ...]
    left_out: tuple[StepOnRoute, ...]


class Routes:
    """Each kind's steps, those that it goes through and those that it leaves out."""

    def __init__(self, figures: Figures, procedures: Procedures) -> None:
        self.procedures = procedures
        self._figures = figures
        # By the kind itself: a file may have two of one id, which is told elsewhere.
        self._known: dict[int, _Route] = {}

    def steps_of(self, kind: PartKind) -> tuple[StepOnRoute, ...]:
        """Each step of its route that a kind does not leave out; unknown procedures are named elsewhere."""
        return self._of(kind).steps

    def left_out_of(self, kind: PartKind) -> tuple[StepOnRoute, ...]:
        """Each step of the procedures on its route that a kind leaves out."""
        return self._of(kind).left_out

    def _of(self, kind: PartKind) -> _Route:
        known = self._known.get(id(kind))
        if known is None:
            known = self._known[id(kind)] = self._walked(kind)
        return known

    def _walked(self, kind: PartKind) -> _Route:
        steps: list[StepOnRoute] = []
        left_out: list[StepOnRoute] = []
        for stage in kind.route:
            if stage.procedure not in self.procedures:
                continue
            procedure, source = self.procedures[stage.procedure]
            for number, step in enumerate(procedure.steps):
                does = self._figures.does(kind, procedure, step)
                found = StepOnRoute(procedure.id, step, source, ("steps", number))
                (steps if does else left_out).append(found)
        return _Route(kind, tuple(steps), tuple(left_out))
