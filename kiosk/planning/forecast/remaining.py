"""What is still to do: which parts of which kinds have to be finished, and every open step of them."""

from collections.abc import Mapping

from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.record.position import steps_left
from kiosk.record.state import PieceTime, Timed, Times
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.shop import Shop


@dataclass(frozen=True)
class StepToDo:
    """One step with how many pieces are still to go through it.

    Where its times follow from the part kind, those of that kind alone; else ``kind`` is that of the first.
    """

    procedure: Procedure
    step: Step
    kind: str
    pieces: int


@dataclass(frozen=True)
class OpenParts:
    """The parts of one kind that have to be finished still, by how many steps of its route each has left."""

    kind: str
    steps_left: tuple[tuple[str, int], ...]  # mark, and the steps of the route still to do on it


@dataclass(frozen=True)
class Remaining:
    """The work still to do on the parts that are wanted."""

    parts: int
    kinds: tuple[OpenParts, ...]

    @property
    def open_parts(self) -> int:
        """How many of the parts are not finished."""
        return sum(len(kind.steps_left) for kind in self.kinds)

    @property
    def steps(self) -> int:
        """How many steps are still to do, on all parts."""
        return sum(count for kind in self.kinds for _, count in kind.steps_left)


def scope_of(shop: Shop, kind_id: str | None) -> Mapping[str, int]:
    """How many parts of which kinds have to be finished for a kind: all of it, of what it needs as many as it
    needs, of what it is made from those that are built in. All of all kinds for None.
    """
    if kind_id is None:
        return {kind: len(shop.marks_of(kind)) for kind in shop.kinds}
    found: dict[str, int] = {}
    built_in: dict[str, set[str]] = {}
    wanted = [(kind_id, len(shop.marks_of(kind_id)))]
    while wanted:
        one, count = wanted.pop()
        if found.get(one, 0) >= count:
            continue
        found[one] = count
        wanted += [needed for stage in shop.kinds[one].route for needed in stage.needs.items()]
        for mark in shop.marks_of(one)[:count]:
            for other in shop.parts[mark].made_from:
                built_in.setdefault(shop.parts[other].kind, set()).add(other)
        wanted += [(kind, len(marks)) for kind, marks in built_in.items()]
    return found


def remaining(context: Context, scope: Mapping[str, int]) -> Remaining:
    """Everything still to do on so many parts of each kind: those that are furthest."""
    shop, state = context.shop, context.state
    kinds = []
    for kind_id, count in scope.items():
        marks = shop.marks_of(kind_id)
        done = sum(1 for mark in marks if state.part(mark).completed_at is not None)
        of_route = len(shop.route_of(shop.kinds[kind_id]).steps)
        still_open = [
            (mark, min(of_route, len(steps_left(shop, state, mark))))
            for mark in marks
            if state.part(mark).completed_at is None
        ]
        still_open.sort(key=lambda one: one[1])  # stable: parts alike stay in the order of the shop file
        wanted = tuple(still_open[: max(0, count - done)])
        if wanted:
            kinds.append(OpenParts(kind_id, wanted))
    return Remaining(sum(scope.values()), tuple(kinds))


def steps_to_do(shop: Shop, left: Remaining) -> list[StepToDo]:
    """The steps left with their pieces, a kind at a time."""
    found = []
    for kind in left.kinds:
        route = shop.route_of(shop.kinds[kind.kind]).steps
        for place, (procedure, step) in enumerate(route):
            pieces = sum(1 for _, count in kind.steps_left if count >= len(route) - place)
            if pieces:
                found.append(StepToDo(procedure, step, kind.kind, pieces))
    return found


def timed_pieces(times: Mapping[Timed, Times]) -> int:
    """How many pieces the record holds the times of, whoever did them."""
    return sum(seen.count for of, seen in times.items() if isinstance(of, PieceTime))
