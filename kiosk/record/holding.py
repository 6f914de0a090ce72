"""Tools that are held through a wait: a rib glued on the only jig keeps it until it is taken off.

A tool is held from the step that uses it and sets a wait, to the end of the step that waits and uses it too.
Whoever takes it again before it was given back takes no other: a spar whose second side is glued on the
jig on which its first one cures.
"""

from collections import Counter
from collections.abc import Mapping, Sequence

from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.shop.procedure import Procedure, Step, Wait, last_of_run
from kiosk.shop.shop import Shop


@dataclass(frozen=True)
class Hold:
    """A tool that is held through waits, with the places of the steps that take and free it."""

    tool: str
    first: int
    last: int
    waits: tuple[Wait, ...]

    @property
    def what(self) -> str:
        """What has to pass last."""
        return self.waits[-1].what


@dataclass(frozen=True)
class FreeTool:
    """How many of a tool that a step takes are not held, and by which parts the others are."""

    tool: str
    free: int
    held_by: tuple[str, ...]
    what: str


def holds_of(steps: Sequence[Step]) -> tuple[Hold, ...]:
    """The tools that steps of one procedure, in their order, hold through a wait."""
    places: dict[str, int] = {}
    found: list[Hold] = []
    for first, step in enumerate(steps):
        for wait in step.waits if step.tools else ():
            if wait.must_pass is None:
                continue
            places = places or {one.id: place for place, one in enumerate(steps)}
            last = places.get(wait.step)
            if last is not None and last > first:
                both = sorted(set(step.tools) & set(steps[last].tools))
                for tool in both:
                    _add(found, Hold(tool, first, last, (wait,)), steps)
    return tuple(found)


def _add(found: list[Hold], hold: Hold, steps: Sequence[Step]) -> None:
    """Put a hold beside those found: as one with that from which a part has the tool still, or at the end of
    what goes straight on from it."""
    for number, one in enumerate(found):
        if one.tool == hold.tool and hold.first <= last_of_run(steps, one.last):
            in_order = sorted((one, hold), key=lambda each: each.last)
            waits = tuple(wait for each in in_order for wait in each.waits)
            found[number] = Hold(one.tool, one.first, in_order[-1].last, waits)
            return
    found.append(hold)


def taken_through_a_wait(procedure: Procedure, step: Step) -> tuple[Hold, ...]:
    """The tools that a part keeps through a wait once it begins a step, or what goes straight on from it."""
    first = procedure.index(step.id)
    if first is None:
        return ()
    own = procedure.steps[first]
    if own.stop != "go straight on" and not (own.tools and own.waits):
        return ()
    last = last_of_run(procedure.steps, first)
    if not any(one.tools and one.waits for one in procedure.steps[first : last + 1]):
        return ()
    return tuple(hold for hold in holds_of(procedure.steps) if first <= hold.first <= last)


def least_free(context: Context, procedure: Procedure, step: Step) -> FreeTool | None:
    """Of the tools that a step takes through a wait, the one of which least are free; None: it takes none.

    So many parts can go through the step now.
    """
    return HeldTools(context).least_free(procedure, step)


class HeldAnywhere:
    """What has to pass last, by tool, of all tools that parts hold through a wait in some procedure: kept
    until the shop's files are read anew."""

    def __init__(self) -> None:
        self._shop: Shop | None = None
        self._what: dict[str, str] = {}

    def of(self, shop: Shop) -> Mapping[str, str]:
        """What has to pass, by tool."""
        if shop is not self._shop:
            holds = [hold for one in shop.procedures.values() for hold in holds_of(one.steps)]
            self._shop, self._what = shop, {hold.tool: hold.what for hold in holds}
        return self._what


class HeldTools:
    """Tools that are held through a wait, within one moment: each step is looked at once for all kinds."""

    def __init__(self, context: Context) -> None:
        self._context = context
        self._taken: dict[tuple[str, str], tuple[Hold, ...]] = {}
        self._least: dict[tuple[str, str], FreeTool | None] = {}
        self._held: dict[str, Counter[str]] | None = None
        self._kept = context.kept.of(HeldAnywhere).of(context.shop)

    def taken(self, procedure: Procedure, step: Step) -> tuple[Hold, ...]:
        """What :func:`taken_through_a_wait` gives."""
        key = (procedure.id, step.id)
        found = self._taken.get(key)
        if found is None:
            found = self._taken[key] = taken_through_a_wait(procedure, step)
        return found

    def least_free(self, procedure: Procedure, step: Step) -> FreeTool | None:
        """What :func:`least_free` gives."""
        taken = self.taken(procedure, step)
        if not taken:
            return None
        key = (procedure.id, step.id)
        if key not in self._least:
            self._least[key] = min((self._free(hold) for hold in taken), key=lambda one: one.free)
        return self._least[key]

    def may_be_held(self, step: Step) -> bool:
        """True where a step takes a tool that parts hold through a wait, whether it does so itself or not."""
        return not self._kept.keys().isdisjoint(step.tools)

    def none_for(self, mark: str, step: Step) -> FreeTool | None:
        """A tool of a step of which other parts hold all there are; None where a part finds one of each, or
        has it itself."""
        if not self.may_be_held(step):
            return None
        for name in step.tools:
            by, tool = self._holders(name), self._context.shop.tools.get(name)
            if tool is not None and mark not in by and 0 < tool.have <= len(by):
                return FreeTool(name, tool.have - len(by), by, self._kept[name])
        return None

    def _free(self, hold: Hold) -> FreeTool:
        tool = self._context.shop.tools.get(hold.tool)
        by = self._holders(hold.tool)
        return FreeTool(hold.tool, (tool.have if tool else 0) - len(by), by, hold.what)

    def _holders(self, tool: str) -> tuple[str, ...]:
        """The parts that hold a tool, each as often as it has one."""
        if self._held is None:
            self._held = _held_by(self._context)
        return tuple(mark for mark, tools in self._held.items() for _ in range(tools[tool]))


def _held_by(context: Context) -> dict[str, Counter[str]]:
    """What each part holds: its tools, by mark."""
    found: dict[str, Counter[str]] = {}
    of_procedure: dict[str, tuple[Hold, ...]] = {}
    for at in context.positions.at_steps():
        holds = of_procedure.get(at.key.procedure)
        if holds is None:
            holds = of_procedure[at.key.procedure] = holds_of(at.procedure.steps)
        place = at.procedure.index(at.step.id) if holds else None
        if place is None:
            continue
        for mark in (*at.alike, *at.own):
            in_hand = context.state.part(mark).work in context.state.works
            tools = [
                hold.tool
                for hold in holds
                if hold.first < place <= hold.last or (in_hand and place == hold.first)
            ]
            if tools:
                found[mark] = Counter(tools)
    return found
