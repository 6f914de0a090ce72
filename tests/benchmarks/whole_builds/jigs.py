"""What no rule of choosing can change: what is glued on a jig keeps it until it is taken off.

A tool is held from the step that uses it and sets a wait, to the end of the step that waits and uses it too.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from kiosk.record.position import Position
from kiosk.record.state import State
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.shop import Shop


@dataclass(frozen=True)
class _Hold:
    tool: str
    first: int  # the place in the procedure of the step that takes it
    last: int  # and of the step that gives it back


class Jigs:
    """Which tools are held through a wait, and by what."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self._holds = {procedure.id: _holds(procedure) for procedure in shop.procedures.values()}
        self._kinds = frozenset(
            kind.id for kind in shop.kinds.values() if any(self._holds[name] for name in kind.procedures)
        )

    def capacity(
        self,
        state: State,
        position: Callable[[str], Position],
        chain: Sequence[tuple[Procedure, Step]],
        marks: Sequence[str],
    ) -> int:
        """How many of the parts can go through a chain as far as it can't be left, jigs being free."""
        taken = [
            hold.tool
            for procedure, step in _straight_on(chain)
            for hold in self._holds[procedure.id]
            if procedure.steps[hold.first].id == step.id
        ]
        if not taken:
            return len(marks)
        held = self._held(state, position)
        return max(0, min(len(marks), *(self.shop.tools[tool].have - held[tool] for tool in taken)))

    def _held(self, state: State, position: Callable[[str], Position]) -> Counter[str]:
        held: Counter[str] = Counter()
        for mark, part in state.parts.items():
            if part.completed_at is not None or self.shop.parts[mark].kind not in self._kinds:
                continue
            where = position(mark)
            if where.procedure is None or where.step is None:
                continue
            place = where.procedure.index(where.step.id) or 0
            for hold in self._holds[where.procedure.id]:
                in_hand = place == hold.first and part.work in state.works
                if in_hand or hold.first < place <= hold.last:
                    held[hold.tool] += 1
        return held


def _holds(procedure: Procedure) -> tuple[_Hold, ...]:
    found = []
    for first, step in enumerate(procedure.steps):
        for wait in step.waits:
            last = procedure.index(wait.step) if wait.must_pass is not None else None
            if last is not None:
                both = set(step.tools) & set(procedure.steps[last].tools)
                found += [_Hold(tool, first, last) for tool in sorted(both)]
    return tuple(found)


def _straight_on(chain: Sequence[tuple[Procedure, Step]]) -> Sequence[tuple[Procedure, Step]]:
    """The beginning of a chain up to the first step where the work can be left."""
    for number, (_, step) in enumerate(chain):
        if step.stop != "go straight on":
            return chain[: number + 1]
    return chain
