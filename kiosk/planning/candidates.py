"""What can be done now: parts at the same step gathered into candidates, with how far each can be taken.

A candidate is a group of like parts at one step, or the step in hand. Its options say how many of the parts
and how many steps along, and end only where the work can safely be left.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from kiosk.planning.predictor import Predictor
from kiosk.planning.slot import Option
from kiosk.record.position import position, steps_left
from kiosk.record.readiness import Block, part_blocks, step_blocks
from kiosk.record.rules import wait_minutes
from kiosk.record.state import Piece, State, Work
from kiosk.shop.procedure import Procedure, Step, Wait
from kiosk.shop.shop import Person, Shop
from kiosk.shop.values import wanted_count

LONGEST_CHAIN = 6  # steps ahead that one suggestion may cover
PIECES = (1, 2, 3, 4, 5, 6, 8, 10, 12)  # how many like parts one suggestion may cover
CHANGE_OVER_MINUTES = 1  # to put one thing down and find the place of the next

WORTH_A_MINUTE = 100
WORTH_ROAD = 50  # for the longest road still ahead
WORTH_SPOILS = 3000  # something goes to waste if it is left
WORTH_SPOILS_EACH = 1000  # and for each part that has to be prepared again
WORTH_IN_HAND = 1500  # the step that is already in hand
WORTH_OPENS = 600  # for each part that waits for this one
WORTH_ENDS_PART = 200


@dataclass(frozen=True)
class Plan:
    """What an option stands for: which parts, through which steps, and why it is worth it."""

    marks: tuple[str, ...]
    steps: tuple[tuple[Procedure, Step], ...]
    minutes: int
    waiting_minutes: int
    spoils_at: datetime | None
    opens: int
    ends_part: bool
    head_start: float  # minutes already done of it, as a negative number


@dataclass(frozen=True)
class Candidate:
    """Like parts at one step that can be taken up now; ``shapes`` says what each option stands for."""

    marks: tuple[str, ...]
    chain: tuple[tuple[Procedure, Step], ...]
    work: str | None
    options: tuple[Option, ...]
    shapes: tuple[tuple[int, int, int], ...]  # pieces, steps and minutes of waiting
    spoils_at: tuple[datetime | None, ...]
    opens: int
    steps_left: int
    head_start: float

    @property
    def procedure(self) -> Procedure:
        """The procedure of the first step."""
        return self.chain[0][0]

    @property
    def step(self) -> Step:
        """The first step."""
        return self.chain[0][1]

    def plan(self, place: int) -> Plan:
        """What the option at a place stands for."""
        count, length, waiting = self.shapes[place]
        spoils = [at for at in self.spoils_at[:count] if at is not None]
        return Plan(
            marks=self.marks[:count],
            steps=self.chain[:length],
            minutes=self.options[place].minutes,
            waiting_minutes=waiting,
            spoils_at=min(spoils) if spoils else None,
            opens=self.opens,
            ends_part=length == self.steps_left,
            head_start=self.head_start,
        )


@dataclass(frozen=True)
class NotNow:
    """Parts whose next step cannot begin now, with the reason."""

    marks: tuple[str, ...]
    procedure: Procedure
    step: Step
    block: Block


@dataclass(frozen=True)
class Found:
    """Everything the planner looks at: what can be done, what cannot, and the cost of each set-up."""

    candidates: tuple[Candidate, ...]
    not_now: tuple[NotNow, ...]
    set_up: Mapping[str, int]
    free: frozenset[str]
    minutes: int  # the window they were looked for in


def find(
    shop: Shop,
    state: State,
    *,
    now: datetime,
    people: Sequence[Person],
    doer: Person,
    minutes: int,
    loud: bool = True,
    predictor: Predictor | None = None,
) -> Found:
    """Everything that could be taken up now within ``minutes``, and what could not and why.

    ``loud`` False leaves out what makes noise, for a slot that runs into quiet hours.
    """
    road = _Road(shop, state)
    groups: dict[tuple[str, str, str], list[str]] = {}
    not_now: dict[tuple[str, str, str], tuple[list[str], Procedure, Step, Block]] = {}
    step_stops: dict[tuple[str, str], list[Block]] = {}

    def stops_of(procedure: Procedure, step: Step) -> list[Block]:
        key = (procedure.id, step.id)
        if key not in step_stops:
            step_stops[key] = step_blocks(shop, state, step, now=now, people=people, doer=doer)
        return step_stops[key]

    for mark in shop.parts:
        where = position(shop, state, mark)
        if where.procedure is None or where.step is None or state.part(mark).work in state.works:
            continue
        stops = part_blocks(shop, state, mark, where.procedure, where.step, now=now)
        stops = stops or stops_of(where.procedure, where.step)
        key = (shop.parts[mark].kind, where.procedure.id, where.step.id)
        if stops:
            blocked = not_now.setdefault(
                (where.procedure.id, where.step.id, stops[0].kind),
                ([], where.procedure, where.step, stops[0]),
            )
            blocked[0].append(mark)
        else:
            groups.setdefault(key, []).append(mark)

    predictor = predictor or Predictor(shop, state, doer)
    builder = _Builder(shop, state, road, minutes, now, stops_of, loud, predictor)
    candidates = [builder.in_hand(work) for work in state.works.values() if work.status != "unknown"]
    candidates += [builder.group(marks) for marks in groups.values()]
    free = _out_on_bench(shop, state)
    return Found(
        candidates=tuple(candidate for candidate in candidates if candidate is not None),
        not_now=tuple(
            NotNow(tuple(marks), procedure, step, block) for marks, procedure, step, block in not_now.values()
        ),
        set_up=builder.set_up,
        free=free,
        minutes=minutes,
    )


def _counts(parts: int) -> list[int]:
    """How many of the parts may go along: the set sizes, and all of them when they are few."""
    counts = [count for count in PIECES if count < parts]
    return [*counts, parts] if parts <= PIECES[-1] else counts


def _waits_before(
    chain: Sequence[tuple[Procedure, Step]], procedure: Procedure, step: Step
) -> list[tuple[Step, Wait]]:
    """The waits that steps of the chain set before this step."""
    return [
        (earlier, wait)
        for earlier_in, earlier in chain
        for wait in earlier.waits
        if wait.must_pass and wait.before == step.id and earlier_in is procedure
    ]


def _out_on_bench(shop: Shop, state: State) -> frozenset[str]:
    """Families that are set up now: those of steps in hand in this sitting."""
    if state.sitting is None:
        return frozenset()
    found = set()
    for work in state.works.values():
        procedure = shop.procedures.get(work.procedure)
        step = procedure.step(work.step) if procedure else None
        if procedure and step and work.run == state.sitting.run:
            found.add(procedure.family_of(step))
    for done in state.confirmations[-1:]:
        procedure = shop.procedures.get(done.procedure)
        step = procedure.step(done.step) if procedure else None
        if procedure and step and done.at >= state.sitting.opened_at:
            found.add(procedure.family_of(step))
    return frozenset(found)


class _Road:
    """How much work still stands behind a part: its own steps and those of what needs it."""

    def __init__(self, shop: Shop, state: State) -> None:
        self.shop = shop
        self.state = state
        self._tail: dict[str, float] = {}
        self._users: dict[str, set[str]] = {}
        self._waiting: dict[str, int] = {}
        for kind in shop.kinds.values():
            for stage in kind.route:
                for needed in stage.needs:
                    self._users.setdefault(needed, set()).add(kind.id)
        for part in shop.parts.values():
            for other in part.made_from:
                self._users.setdefault(shop.parts[other].kind, set()).add(part.kind)
        self._route = {kind.id: self._route_minutes(kind.id) for kind in shop.kinds.values()}
        self.longest = max((self._route[kind] + self.tail(kind) for kind in self._route), default=1.0)
        for part in shop.parts.values():
            stored = state.parts.get(part.mark)
            if stored is None or stored.completed_at is None:
                self._waiting[part.kind] = self._waiting.get(part.kind, 0) + 1

    def _route_minutes(self, kind_id: str) -> float:
        kind = self.shop.kinds[kind_id]
        return sum(
            step.minutes.each
            for procedure_id in kind.procedures
            for step in self.shop.steps_for(kind, self.shop.procedures[procedure_id])
        )

    def tail(self, kind_id: str) -> float:
        """Minutes of the longest chain of kinds that need this one."""
        if kind_id not in self._tail:
            self._tail[kind_id] = 0.0  # routes have no circles: the cross-check refuses them
            self._tail[kind_id] = max(
                (self._route[user] + self.tail(user) for user in self._users.get(kind_id, ())),
                default=0.0,
            )
        return self._tail[kind_id]

    def opens(self, kind_id: str) -> int:
        """How many unfinished parts wait for this kind."""
        return sum(self._waiting.get(user, 0) for user in self._users.get(kind_id, ()))


class _Builder:
    """Makes candidates of groups of parts; remembers the set-up cost of the families it meets."""

    def __init__(
        self,
        shop: Shop,
        state: State,
        road: _Road,
        minutes: int,
        now: datetime,
        stops_of: object,
        loud: bool,
        predictor: Predictor,
    ) -> None:
        self.predictor = predictor
        self.shop = shop
        self.state = state
        self.road = road
        self.minutes = minutes
        self.now = now
        self.stops_of = stops_of
        self.loud = loud
        self.set_up: dict[str, int] = {}
        self._minutes: dict[tuple[str, str], float] = {}
        self._costed: set[tuple[str, str]] = set()

    def in_hand(self, work: Work) -> Candidate | None:
        """The step in hand, on all its unfinished pieces."""
        procedure = self.shop.procedures.get(work.procedure)
        step = procedure.step(work.step) if procedure else None
        if procedure is None or step is None or self._stops(procedure, step):
            return None
        each = self.predictor.planned(procedure, step)
        piece = work.piece(work.turned_to) or work.pieces[0]
        done = work.active_s / 60.0 / each
        if step.repeat is not None:
            done = piece.count / wanted_count(step.repeat, self.shop.kind_of(piece.mark))
        done = min(done, 0.8)  # the last fifth is looking, measuring and the unforeseen
        marks = (piece.mark, *(mark for mark in work.marks if mark != piece.mark))
        return self._candidate(marks, [(procedure, step)], -done * each, work.id)

    def group(self, marks: list[str]) -> Candidate | None:
        """Like parts at the same step, as far along as they can go without waiting for anything."""
        spoil = {mark: self._spoils_at(mark) for mark in marks}
        marks = sorted(marks, key=lambda mark: (spoil[mark] or self.now + timedelta(days=9999), mark))
        chain: list[tuple[Procedure, Step]] = []
        for procedure, step in steps_left(self.shop, self.state, marks[0]):
            if self._stops(procedure, step) or (
                chain
                and (
                    len(chain) == LONGEST_CHAIN
                    or step.hold_point
                    or self._must_stop_for(chain, procedure, step)
                    or (procedure is not chain[-1][0] and self._needs_something(marks[0], procedure))
                )
            ):
                break
            chain.append((procedure, step))
        return self._candidate(tuple(marks), chain, 0.0, None)

    def _stops(self, procedure: Procedure, step: Step) -> bool:
        if step.conditions.loud and not self.loud:
            return True
        return bool(self.stops_of(procedure, step))  # type: ignore[operator]

    def _must_stop_for(
        self, chain: Sequence[tuple[Procedure, Step]], procedure: Procedure, step: Step
    ) -> bool:
        """True when the step has to wait and the work can be left meanwhile; else the wait is sat out."""
        if chain[-1][1].stop == "go straight on":
            return False
        return bool(_waits_before(chain, procedure, step))

    def _sat_out(self, mark: str, chain: Sequence[tuple[Procedure, Step]]) -> float:
        """Minutes of waiting within a chain, such as mixed primer that has to stand."""
        return sum(
            wait_minutes(self.state, procedure.id, earlier, wait, Piece(mark))
            for number, (procedure, step) in enumerate(chain)
            for earlier, wait in _waits_before(chain[:number], procedure, step)
        )

    def _needs_something(self, mark: str, procedure: Procedure) -> bool:
        kind = self.shop.kind_of(mark)
        return any(stage.procedure == procedure.id and stage.needs for stage in kind.route)

    def _spoils_at(self, mark: str) -> datetime | None:
        ends = [clock.until for clock in self.state.part(mark).clocks if clock.kind == "within"]
        return min(ends) if ends else None

    def _candidate(
        self,
        marks: tuple[str, ...],
        chain: Sequence[tuple[Procedure, Step]],
        head_start: float,
        work: str | None,
    ) -> Candidate | None:
        if not chain:
            return None
        kind_id = self.shop.parts[marks[0]].kind
        all_at_once = work is not None and chain[0][1].batch == "together"
        counts = [len(marks)] if all_at_once else _counts(len(marks))
        left = steps_left(self.shop, self.state, marks[0])
        road = self._share_of_road(kind_id, left)
        spoils = tuple(self._spoils_at(mark) for mark in marks[: counts[-1]])
        opens = self.road.opens(kind_id) if self.shop.kinds[kind_id].tooling else 0
        options: list[Option] = []
        shapes: list[tuple[int, int, int]] = []
        each = 0.0
        families: tuple[str, ...] = ()
        for length, (procedure, step) in enumerate(chain, 1):
            each += self._minutes_of(procedure, step)
            family = self._family_of(procedure, step)
            families = families if family in families else (*families, family)
            if step.stop == "go straight on":
                continue  # this is no place to leave it
            waiting = self._sat_out(marks[0], chain[:length])
            for count in counts:
                total = math.ceil(each * count + waiting + head_start - 1e-9) + CHANGE_OVER_MINUTES
                if total > self.minutes:
                    break
                worth = (total - CHANGE_OVER_MINUTES - waiting) * (WORTH_A_MINUTE + WORTH_ROAD * road)
                if any(spoils[:count]):
                    worth += WORTH_SPOILS + WORTH_SPOILS_EACH * count
                if work is not None:
                    worth += WORTH_IN_HAND
                if opens:
                    worth += WORTH_OPENS * min(opens, 10) * length / 10
                if length == len(left):
                    worth += WORTH_ENDS_PART * count
                options.append(Option(total, round(worth), families))
                shapes.append((count, length, round(waiting)))
        if not options:
            return None
        return Candidate(
            marks,
            tuple(chain),
            work,
            tuple(options),
            tuple(shapes),
            spoils,
            opens,
            len(left),
            head_start,
        )

    def _minutes_of(self, procedure: Procedure, step: Step) -> float:
        key = (procedure.id, step.id)
        if key not in self._minutes:
            self._minutes[key] = self.predictor.planned(procedure, step)
        return self._minutes[key]

    def _family_of(self, procedure: Procedure, step: Step) -> str:
        """The step's family, its set-up cost noted: the dearest of its steps counts."""
        family = procedure.family_of(step)
        key = (procedure.id, step.id)
        if key not in self._costed:
            self._costed.add(key)
            self.set_up[family] = max(
                self.set_up.get(family, 0), self.predictor.set_up_and_away(procedure, step)
            )
        return family

    def _share_of_road(self, kind_id: str, left: Sequence[tuple[Procedure, Step]]) -> float:
        """The work still behind a part, as a share of the longest road there is."""
        minutes = sum(step.minutes.each for _, step in left)
        return min(1.0, (minutes + self.road.tail(kind_id)) / self.road.longest)
