"""Where all parts stand: each position is kept for as long as nothing happened on the part.

A part's position follows from its state and from its kind's route, and neither ever changes: the fold puts a
new :class:`PartState` in the place of the old one, and a changed file makes a new route. So a position is
still true while both are the same objects as when it was worked out. :meth:`Positions.follow` looks for what
is not, which a tap leaves on a few parts at most, and works out those alone; nobody has to say that something
changed. That holds for an undo, a rename, a snapshot or another screen's event as for any other.

Parts of one kind at one step are gathered meanwhile, by a key that is kept with them: those of which the kind
and the step alone say what stops them, and those with something of their own. Each change that is followed
has a number, and each kind that of its newest: whoever keeps more of a group (``part_stops.py``) keeps the
number beside it and sees by it whether that is still so.
"""

from bisect import insort
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import field
from functools import cached_property
from itertools import compress
from operator import is_not
from typing import NamedTuple

from kiosk.dataclass import dataclass
from kiosk.record.position import Position, left_in_a_run, position_on
from kiosk.record.state import PartState, State
from kiosk.shop.parts import Part
from kiosk.shop.procedure import Procedure, Step, ask_the_same
from kiosk.shop.route import Route
from kiosk.shop.shop import Shop

Ahead = tuple[tuple[str, ...], ...]  # later stages that were begun, each with the steps done in it


class GroupKey(NamedTuple):
    """What like parts are gathered by. On a route with repairs each part goes on where it was before the
    repair, so those are told apart by what of later stages is done on them."""

    kind: str
    procedure: str
    step: str
    ahead: Ahead = ()


@dataclass
class PartsAtStep:
    """Parts of one kind at one step, in the order of the shop file."""

    key: GroupKey
    procedure: Procedure
    step: Step
    asks: Step  # the one that stands for all steps that ask for the same of bench, people and room
    waits_for: tuple[
        str, ...
    ]  # the kinds whose parts say whether these can go on: their own, and what it needs
    route: Route
    stage: int  # of the route, and the place of the step in it; both from 0
    place: int
    alike: list[str] = field(default_factory=list)  # nothing on them but the steps that were done
    own: list[str] = field(
        default_factory=list
    )  # with a clock, in hand, made from others, or to be looked at

    @cached_property
    def number(self) -> int | None:
        """Of the step along the route, from 0; None on a route with repairs. Asked by plans alone: it takes
        every step of all stages before, which a start has no use for."""
        return None if self.route.repairs else self.route.steps_before(self.stage, self.place)

    @property
    def first(self) -> str:
        """One of them, which stands for all where nothing but the step and the kind counts."""
        return (self.alike or self.own)[0]


class Positions:
    """The positions of all parts of a shop, and which of them stand alike."""

    def __init__(self) -> None:
        self._files: list[object] = []  # as they were when it was asked for last
        self._parts: Mapping[str, Part] = {}
        self._routes: dict[str, Route] = {}
        self._order: dict[str, int] = {}
        self._seen: dict[str, PartState | None] = {}  # by which each was worked out; None: never touched
        self._at: dict[str, Position] = {}
        self._standing: dict[GroupKey, PartsAtStep] = {}
        self._group: dict[str, GroupKey] = {}  # of each part that has a next step
        self._open: Counter[str] = Counter()
        self._asking: dict[
            str, list[Step]
        ] = {}  # by the step's id: one for each that asks for something else
        self._changes = 0
        self._changed: dict[str, int] = {}  # by kind: the number of the newest change on one of its parts
        self._made_of: dict[str, tuple[str, ...]] = {}  # by kind: the kinds that its parts are made from
        self._walking: dict[str, Counter[str]] = {}  # by batch: how many parts of each kind walk in it
        self._in_runs: dict[str, tuple[Procedure, Step]] = {}
        self._busy: set[str] = set()  # with a clock or in hand

    def follow(self, shop: Shop, state: State) -> "Positions":
        """Work out what changed since it was last asked for; gives itself."""
        files: list[object] = [shop, shop.parts, *shop.procedures.values(), *shop.kinds.values()]
        if len(files) != len(self._files) or any(map(is_not, files, self._files)):
            self._files = files
            routes = {kind.id: shop.route_of(kind) for kind in shop.kinds.values()}
            if shop.parts is not self._parts or routes != self._routes:
                self._begin(shop.parts, routes)
            self._changes += 1
            self._changed = dict.fromkeys(routes, self._changes)
            self._in_runs = {}
            for part in self._seen.values():
                self._note_run(shop, part)
        parts = state.parts
        changed = list(compress(self._seen, map(is_not, map(parts.get, self._seen), self._seen.values())))
        self._changes += bool(changed)
        for mark in changed:
            self._changed[self._parts[mark].kind] = self._changes
            self._take_out(mark)
            self._put_in(mark, parts.get(mark))
            self._note_run(shop, parts.get(mark))
        return self

    def _note_run(self, shop: Shop, part: PartState | None) -> None:
        if part is not None and (last := left_in_a_run(shop, part)) is not None:
            self._in_runs[part.mark] = last

    def _begin(self, parts: Mapping[str, Part], routes: dict[str, Route]) -> None:
        """Other files: everything is worked out anew, from parts that nobody has touched."""
        self._parts, self._routes = parts, routes
        self._order = {mark: number for number, mark in enumerate(parts)}
        self._seen, self._at, self._standing, self._open = {}, {}, {}, Counter()
        self._group, self._walking, self._asking, self._busy = {}, {}, {}, set()
        made_of: dict[str, dict[str, None]] = {}
        for part in parts.values():
            for other in part.made_from:
                if other in parts:
                    made_of.setdefault(part.kind, {})[parts[other].kind] = None
        self._made_of = {kind: tuple(others) for kind, others in made_of.items()}
        for mark in parts:
            self._put_in(mark, None)

    def _put_in(self, mark: str, part: PartState | None) -> None:
        kind = self._parts[mark].kind
        where = position_on(self._routes[kind], part or PartState(mark))
        self._seen[mark], self._at[mark] = part, where
        if not where.completed:
            self._open[kind] += 1
        if part is not None and (part.clocks or part.work):
            self._busy.add(mark)
        if part is not None and part.batch:
            self._walking.setdefault(part.batch, Counter())[kind] += 1
        if where.step is not None and where.procedure is not None:
            key = GroupKey(kind, where.procedure.id, where.step.id, self._ahead(where, part))
            at = self._standing.get(key)
            if at is None:
                route = self._routes[kind]
                needs = route.stage(where.stage).written.needs
                waits_for = (kind, *needs, *self._made_of.get(kind, ()))
                asks = self.asking(where.step)
                at = self._standing[key] = PartsAtStep(
                    key, where.procedure, where.step, asks, waits_for, route, where.stage, where.number - 1
                )
            self._group[mark] = key
            insort(self._side(at, mark), mark, key=self._order.__getitem__)

    def _ahead(self, where: Position, part: PartState | None) -> Ahead:
        route = self._routes[self._parts[where.mark].kind]
        if part is None or not part.passes or not route.repairs:
            return ()
        later = route.names[where.stage + 1 :]
        return tuple((name, *sorted(part.passes[name])) for name in later if name in part.passes)

    def _take_out(self, mark: str) -> None:
        kind, where, part = self._parts[mark].kind, self._at[mark], self._seen[mark]
        if not where.completed:
            self._open[kind] -= 1
        if part is not None and part.batch:
            walking = self._walking[part.batch]
            walking[kind] -= 1
            if not walking[kind]:
                del walking[kind]
            if not walking:
                del self._walking[part.batch]
        key = self._group.pop(mark, None)
        if key is not None:
            at = self._standing[key]
            self._side(at, mark).remove(mark)
            if not at.alike and not at.own:
                del self._standing[key]
        self._in_runs.pop(mark, None)
        self._busy.discard(mark)

    def _side(self, at: PartsAtStep, mark: str) -> list[str]:
        """With its like, or with those that have something of their own: by the state that was last seen."""
        return at.own if mark in self._busy or self._parts[mark].made_from or at.step.hold_point else at.alike

    def of(self, mark: str) -> Position:
        """Where a part of the shop stands. Raises KeyError when there is no such part."""
        return self._at[mark]

    def route(self, kind: str) -> Route:
        """The route of a kind, as it was when the positions were followed."""
        return self._routes[kind]

    def at_steps(self) -> Collection[PartsAtStep]:
        """The parts that have a next step, by kind and step."""
        return self._standing.values()

    def asking(self, step: Step) -> Step:
        """The step that stands for all that ask for the same: the kinds' own versions of one mostly do."""
        versions = self._asking.setdefault(step.id, [])
        found = next((one for one in versions if ask_the_same(one, step)), None)
        if found is None:
            versions.append(step)
        return found or step

    def group(self, mark: str) -> GroupKey | None:
        """What a part is gathered by; None where it has no next step."""
        return self._group.get(mark)

    @property
    def in_runs(self) -> Mapping[str, tuple[Procedure, Step]]:
        """The parts that may not be left without their next step, with the step that was done last."""
        return self._in_runs

    @property
    def busy(self) -> Collection[str]:
        """The parts on which a clock runs, and those in hand."""
        return self._busy

    def changed(self, kinds: Iterable[str]) -> int:
        """The number of the newest change on a part of any of the kinds."""
        return max([self._changed.get(kind, 0) for kind in kinds])

    def mixed_batches(self) -> Collection[str]:
        """The batches in which parts of several kinds walk."""
        return [batch for batch, kinds in self._walking.items() if len(kinds) > 1]

    def open_parts(self, kind: str) -> int:
        """How many parts of a kind are not completed."""
        return self._open[kind]

    def in_order(self, marks: Iterable[str]) -> list[str]:
        """Marks in the order of the shop file."""
        return sorted(marks, key=self._order.__getitem__)

    def place(self, mark: str) -> int:
        """Where a mark stands in that order."""
        return self._order[mark]
