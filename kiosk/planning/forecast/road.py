"""The road ahead: every step of every kind that has to be finished, with what holds parts up on it.

A point is one step of one kind; parts stand at points as counts. What goes straight on, and what has to be
reached before a limit runs out, is one stretch that is begun and ended in one sitting. All of it is read once
from the files and the record; the walks (``walk.py``) only count along it.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field

from kiosk.dataclass import dataclass
from kiosk.planning.forecast.remaining import OpenParts, Remaining
from kiosk.planning.forecast.supplies import Supplies, Supply
from kiosk.planning.work.limits import LONG_LIMIT_MINUTES
from kiosk.record.authority import takes_two
from kiosk.record.context import Context
from kiosk.record.holding import holds_of
from kiosk.record.waits import seconds_left
from kiosk.shop.procedure import Family, Procedure, Step, StepRef, Wait
from kiosk.shop.shop import Shop

SAT_OUT_MINUTES = 60.0  # a longer wait within what goes straight on is one to leave for
LONGEST_DRYING = 300.0  # minutes of a wait that count as a reason to begin now


@dataclass
class Point:
    """One step of one kind on the road. ``number`` is its own place among all points."""

    number: int
    kind: int  # the place of its kind among those of the road
    kind_id: str
    procedure: Procedure
    step: Step
    last: int  # the last point of the stretch that begins here
    is_end: bool  # the last step of the route
    minutes_left: float  # of one part, by the estimates, this step and all after it
    share_done: float  # of the route before it
    sat_out: float = 0.0  # minutes of waiting within the stretch
    drying: float = 0.0  # minutes of the longest wait that the stretch starts
    loud: bool = False
    anywhere: bool = False
    takes_two: bool = False  # one pair of hands is not enough for something of the stretch
    needs: tuple[tuple[int, int], ...] = ()  # kind and how many of it, before this step can begin
    sets: tuple[tuple[int, float], ...] = ()  # the waits that it starts: for which point, and minutes
    takes: tuple[int, ...] = ()  # tools held from here on
    gives: tuple[int, ...] = ()  # tools given back after it
    supplies: tuple[tuple[int, float], ...] = ()  # which are used, and how much by one part


@dataclass(frozen=True)
class Tool:
    """A tool of which there are few, held through a wait."""

    name: str
    have: int
    held_minutes: float
    pieces: int  # still to be held by it

    @property
    def rounds(self) -> int:
        """How many times one after the other it has to be waited for."""
        return math.ceil(self.pieces / self.have)


@dataclass
class Road:
    """All that is ahead, and how it stands at its beginning."""

    kinds: list[str]
    points: list[Point]
    first: list[int]  # of each kind, its first point
    ready: list[int]  # of each point, how many parts stand there
    wanted: list[int]  # of each kind, how many parts are to be finished
    done: list[int]  # of each kind, how many are finished
    begins: list[list[int]]  # of each kind, the points at which something may be missing
    users: list[tuple[int, ...]]  # of each kind, those that need it or are made from it
    built_in: list[tuple[tuple[tuple[int, int], ...], ...]]  # of each kind and part: kinds, how many of them
    waits: list[tuple[float, int]] = field(default_factory=list)  # until when, and the point they hold
    gates: list[tuple[int, float]] = field(default_factory=list)  # for parts that come to a point later
    tools: list[Tool] = field(default_factory=list)
    held: list[int] = field(default_factory=list)
    supplies: list[Supply] = field(default_factory=list)
    families: list[Family] = field(default_factory=list)
    family_of: list[int] = field(default_factory=list)  # of each point; -1: nothing to set up


def road_of(context: Context, left: Remaining, now_minutes: float = 0.0) -> Road:
    """The road for what is left. Its times are in minutes; ``now_minutes`` is which of them it is now."""
    shop = context.shop
    kinds = [kind.kind for kind in left.kinds]
    places = {kind_id: place for place, kind_id in enumerate(kinds)}
    road = Road(
        kinds=kinds,
        points=[],
        first=[],
        ready=[],
        wanted=[len(kind.steps_left) for kind in left.kinds],
        done=[_finished(context, kind_id) for kind_id in kinds],
        begins=[],
        users=[],
        built_in=[],
    )
    tools = _Tools(shop)
    families: dict[Family, int] = {}
    for kind in left.kinds:
        first = len(road.points)
        road.first.append(first)
        _add_points(road, context, kind, places, tools)
        road.begins.append([one.number for one in road.points[first:] if one.needs or one.number == first])
    for point in road.points:
        minutes = point.step.minutes
        family = point.procedure.family_of(point.step)
        owed = minutes.set_up > 0 or minutes.put_away > 0
        road.family_of.append(families.setdefault(family, len(families)) if owed else -1)
    road.families = list(families)
    supplies = Supplies(context, now_minutes)
    for point in road.points:
        point.supplies = supplies.of(point.kind_id, point.step)
    road.supplies = supplies.found
    for kind in left.kinds:
        _put_parts(road, context, kind, places, tools, now_minutes)
    road.tools, road.held = tools.found(road), tools.held
    road.users = _users(shop, road, places)
    road.built_in = [_built_in(context, kind, places) for kind in left.kinds]
    return road


def _finished(context: Context, kind_id: str) -> int:
    shop, state = context.shop, context.state
    return sum(1 for mark in shop.marks_of(kind_id) if state.part(mark).completed_at is not None)


def _add_points(
    road: Road, context: Context, kind: OpenParts, places: Mapping[str, int], tools: "_Tools"
) -> None:
    shop = context.shop
    of_kind = shop.kinds[kind.kind]
    steps = shop.route_of(of_kind).steps
    start = len(road.points)
    numbers = {procedure.ref(step): start + place for place, (procedure, step) in enumerate(steps)}
    needs = {stage.procedure: stage.needs for stage in of_kind.route}
    whole = sum(step.minutes.each for _, step in steps)
    before = 0.0
    seen: set[str] = set()
    lasts = _stretches(steps)
    for place, (procedure, step) in enumerate(steps):
        wanted = {} if procedure.id in seen else needs.get(procedure.id, {})
        seen.add(procedure.id)
        road.points.append(
            Point(
                number=start + place,
                kind=places[kind.kind],
                kind_id=kind.kind,
                procedure=procedure,
                step=step,
                last=start + lasts[place],
                is_end=place + 1 == len(steps),
                minutes_left=whole - before,
                share_done=before / whole if whole > 0 else 0.0,
                anywhere=step.stop == "anywhere" and lasts[place] == place,
                needs=tuple((places[other], count) for other, count in wanted.items() if other in places),
            )
        )
        before += step.minutes.each
        road.ready.append(0)
    tools.add(road.points[start:])
    for point in road.points[start:]:
        _add_waits(road, point, numbers)
        stretch = road.points[point.number : point.last + 1]
        point.takes_two = any(takes_two(context, one.step) for one in stretch)


def _stretches(steps: "tuple[tuple[Procedure, Step], ...]") -> list[int]:
    """For each step the last one that has to be done in the same sitting: it goes straight on to there, or a
    limit that one of them starts has to be met."""
    lasts = list(range(len(steps)))
    places = {procedure.ref(step): place for place, (procedure, step) in enumerate(steps)}
    joined = [step.stop == "go straight on" for _, step in steps]
    for place, (procedure, step) in enumerate(steps):
        for wait in step.waits:
            to = places.get(StepRef(procedure.id, wait.step))
            if wait.within is None or to is None or to <= place or minutes_of(wait) >= LONG_LIMIT_MINUTES:
                continue
            for between in range(place, to):
                joined[between] = True
    for place, (procedure, step) in enumerate(steps):  # what waits long is left all the same
        for wait in step.waits:
            to = places.get(StepRef(procedure.id, wait.step))
            if wait.must_pass is not None and to is not None and minutes_of(wait) > SAT_OUT_MINUTES:
                joined[max(place, to - 1)] = False
    for place in range(len(steps) - 2, -1, -1):
        if joined[place]:
            lasts[place] = lasts[place + 1]
    return lasts


def minutes_of(wait: Wait) -> float:
    """A wait's minutes as written; nothing where they follow from a figure that cannot be worked out."""
    try:
        return wait.minutes
    except ValueError:
        return 0.0


def _add_waits(road: Road, point: Point, numbers: Mapping[StepRef, int]) -> None:
    """What waits within its stretch cost, what they hold up after it, and what of the stretch is loud."""
    sets: list[tuple[int, float]] = []
    for at in range(point.number, point.last + 1):
        one = road.points[at]
        point.loud = point.loud or one.step.conditions.loud
        for wait in one.step.waits:
            if wait.must_pass is None:
                continue
            minutes = minutes_of(wait)
            to = numbers.get(StepRef(one.procedure.id, wait.step))
            if to is None or minutes <= 0:
                continue
            if at < to <= point.last:
                point.sat_out += minutes
            else:
                point.drying = max(point.drying, min(LONGEST_DRYING, minutes))
            if at == point.number:
                sets.append((to, minutes))
    point.sets = tuple(sets)


class _Tools:
    """The tools that are held from the step that sets a wait to the end of the one that waits for it."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.places: dict[str, int] = {}
        self.held: list[int] = []
        self.minutes: list[float] = []

    def add(self, points: Sequence[Point]) -> None:
        """Note the holds of one kind's route; its steps are as they are for that kind."""
        of_procedure: dict[str, list[Point]] = {}
        for point in points:
            of_procedure.setdefault(point.procedure.id, []).append(point)
        for own in of_procedure.values():
            for hold in holds_of([point.step for point in own]):
                if hold.tool not in self.shop.tools or self.shop.tools[hold.tool].have < 1:
                    continue
                place = self.places.setdefault(hold.tool, len(self.places))
                if place == len(self.held):
                    self.held.append(0)
                    self.minutes.append(0.0)
                self.minutes[place] = max(self.minutes[place], *map(minutes_of, hold.waits))
                own[hold.first].takes += (place,)
                own[hold.last].gives += (place,)

    def found(self, road: Road) -> list[Tool]:
        """Each tool, and how many pieces it still has to hold."""
        pieces = [0] * len(self.places)
        for kind, first in enumerate(road.first):
            end = road.first[kind + 1] if kind + 1 < len(road.first) else len(road.points)
            standing = 0
            for at in range(first, end):
                standing += road.ready[at]
                for place in road.points[at].takes:
                    pieces[place] += standing
        return [
            Tool(self.shop.tools[name].name, self.shop.tools[name].have, self.minutes[place], pieces[place])
            for name, place in self.places.items()
        ]


def _put_parts(
    road: Road,
    context: Context,
    kind: OpenParts,
    places: Mapping[str, int],
    tools: _Tools,
    now_minutes: float,
) -> None:
    """Where the open parts of a kind stand, with the clocks that run on them and the tools they hold."""
    start = road.first[places[kind.kind]]
    steps = context.shop.route_of(context.shop.kinds[kind.kind]).steps
    numbers = {procedure.ref(step): start + place for place, (procedure, step) in enumerate(steps)}
    end = start + len(steps)
    for mark, count in kind.steps_left:
        at = end - count
        if at == end:  # nothing but to declare it complete
            road.wanted[places[kind.kind]] -= 1
            road.done[places[kind.kind]] += 1
            continue
        for place in range(start, at):
            for tool in road.points[place].takes:
                after = range(place + 1, end)
                given = next((later for later in after if tool in road.points[later].gives), end)
                tools.held[tool] += given >= at
        holds = -math.inf
        for clock in context.state.part(mark).clocks:
            left_s = seconds_left(context, clock) if clock.kind == "must_pass" else None
            to = numbers.get(StepRef(clock.procedure, clock.step))
            if left_s is None or left_s <= 0 or to is None:
                continue
            if to <= at:
                holds = max(holds, now_minutes + left_s / 60)
            else:
                road.gates.append((to, now_minutes + left_s / 60))
        if holds > -math.inf:
            road.waits.append((holds, at))
        else:
            road.ready[at] += 1


def _users(shop: Shop, road: Road, places: Mapping[str, int]) -> list[tuple[int, ...]]:
    users: list[set[int]] = [set() for _ in road.kinds]
    for user, kind_id in enumerate(road.kinds):
        for stage in shop.kinds[kind_id].route:
            for needed in stage.needs:
                if needed in places:
                    users[places[needed]].add(user)
        for mark in shop.marks_of(kind_id):
            for other in shop.parts[mark].made_from:
                if shop.parts[other].kind in places:
                    users[places[shop.parts[other].kind]].add(user)
    return [tuple(sorted(of)) for of in users]


def _built_in(
    context: Context, kind: OpenParts, places: Mapping[str, int]
) -> tuple[tuple[tuple[int, int], ...], ...]:
    """For each open part of a kind that nobody began, the parts that it is made from, as counts: parts of a
    kind are finished in the order of the shop file, so that the third needs three of them finished."""
    shop, state = context.shop, context.state
    ranks: dict[str, int] = {}
    for kind_id in places:
        marks = shop.marks_of(kind_id)
        done = [mark for mark in marks if state.part(mark).completed_at is not None]
        still = [mark for mark in marks if state.part(mark).completed_at is None]
        ranks.update({mark: number for number, mark in enumerate((*done, *still), 1)})
    of_route = len(shop.route_of(shop.kinds[kind.kind]).steps)
    found = []
    for mark, count in kind.steps_left:
        if count < of_route:
            continue
        wants: dict[int, int] = {}
        for other in shop.parts[mark].made_from:
            place = places.get(shop.parts[other].kind)
            if place is not None:
                wants[place] = max(wants.get(place, 0), ranks[other])
        found.append(tuple(sorted(wants.items())))
    return tuple(sorted(found, key=lambda wants: max((count for _, count in wants), default=0)))


def held_up(road: Road) -> Iterator[Tool]:
    """The tools that are waited for more than once, the longest first."""
    rounds = [tool for tool in road.tools if tool.rounds > 1]
    yield from sorted(rounds, key=lambda tool: -tool.rounds * tool.held_minutes)
