"""Where all parts stand: each position is kept for as long as nothing happened on the part.

A part's position follows from its state and from its kind's route, and neither ever changes: the fold puts a
new :class:`PartState` in the place of the old one, and a changed file makes a new route. So a position is
still true while both are the same objects as when it was worked out. :meth:`Positions.follow` looks for what
is not, which a tap leaves on a few parts at most, and works out those alone; nobody has to say that something
changed. That holds for an undo, a rename, a snapshot or another screen's event as for any other.

Parts of one kind at one step are gathered meanwhile: those of which the kind and the step alone say what
stops them, and those with something of their own.
"""

from bisect import insort
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from itertools import compress
from operator import is_not

from kiosk.record.position import Position, position_on
from kiosk.record.state import PartState, State
from kiosk.shop.parts import Part
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.route import Route
from kiosk.shop.shop import Shop


@dataclass
class PartsAtStep:
    """Parts of one kind at one step, in the order of the shop file."""

    procedure: Procedure
    step: Step
    alike: list[str] = field(default_factory=list)  # nothing on them but the steps that were done
    own: list[str] = field(
        default_factory=list
    )  # with a clock, in hand, made from others, or to be looked at


_Where = tuple[str, int]  # a kind, and the step's identity; the step is kept beside it


class Positions:
    """The positions of all parts of a shop, and which of them stand alike."""

    def __init__(self) -> None:
        self._parts: Mapping[str, Part] = {}
        self._routes: dict[str, Route] = {}
        self._order: dict[str, int] = {}
        self._seen: dict[str, PartState | None] = {}  # by which each was worked out; None: never touched
        self._at: dict[str, Position] = {}
        self._standing: dict[_Where, PartsAtStep] = {}
        self._open: Counter[str] = Counter()

    def follow(self, shop: Shop, state: State) -> "Positions":
        """Work out what changed since it was last asked for; gives itself."""
        routes = {kind.id: shop.route_of(kind) for kind in shop.kinds.values()}
        if shop.parts is not self._parts or routes != self._routes:
            self._begin(shop.parts, routes)
        parts = state.parts
        changed = list(compress(self._seen, map(is_not, map(parts.get, self._seen), self._seen.values())))
        for mark in changed:
            self._take_out(mark)
            self._put_in(mark, parts.get(mark))
        return self

    def _begin(self, parts: Mapping[str, Part], routes: dict[str, Route]) -> None:
        """Other files: everything is worked out anew, from parts that nobody has touched."""
        self._parts, self._routes = parts, routes
        self._order = {mark: number for number, mark in enumerate(parts)}
        self._seen, self._at, self._standing, self._open = {}, {}, {}, Counter()
        for mark in parts:
            self._put_in(mark, None)

    def _put_in(self, mark: str, part: PartState | None) -> None:
        kind = self._parts[mark].kind
        where = position_on(self._routes[kind], part or PartState(mark))
        self._seen[mark], self._at[mark] = part, where
        if not where.completed:
            self._open[kind] += 1
        if where.step is not None and where.procedure is not None:
            at = self._standing.setdefault((kind, id(where.step)), PartsAtStep(where.procedure, where.step))
            insort(self._side(at, mark), mark, key=self._order.__getitem__)

    def _take_out(self, mark: str) -> None:
        kind, where = self._parts[mark].kind, self._at[mark]
        if not where.completed:
            self._open[kind] -= 1
        if where.step is not None:
            at = self._standing[kind, id(where.step)]
            self._side(at, mark).remove(mark)
            if not at.alike and not at.own:
                del self._standing[kind, id(where.step)]

    def _side(self, at: PartsAtStep, mark: str) -> list[str]:
        """With its like, or with those that have something of their own: by the state that was last seen."""
        part = self._seen[mark]
        on_it = part is not None and bool(part.clocks or part.work)
        return at.own if on_it or self._parts[mark].made_from or at.step.hold_point else at.alike

    def of(self, mark: str) -> Position:
        """Where a part of the shop stands. Raises KeyError when there is no such part."""
        return self._at[mark]

    def route(self, kind: str) -> Route:
        """The route of a kind, as it was when the positions were followed."""
        return self._routes[kind]

    def at_steps(self) -> Collection[PartsAtStep]:
        """The parts that have a next step, by kind and step."""
        return self._standing.values()

    def open_parts(self, kind: str) -> int:
        """How many parts of a kind are not completed."""
        return self._open[kind]

    def in_order(self, marks: Iterable[str]) -> list[str]:
        """Marks in the order of the shop file."""
        return sorted(marks, key=self._order.__getitem__)

    def place(self, mark: str) -> int:
        """Where a mark stands in that order."""
        return self._order[mark]
