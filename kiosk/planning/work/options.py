"""Makes the options of a candidate: how many of like parts, how many steps along, and what that is worth.

An option ends only where the work can safely be left. It may go on over one wait.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from kiosk.planning.choose.exact import Option
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.candidate import Candidate, Shape
from kiosk.planning.work.worth import Road
from kiosk.record.position import steps_left
from kiosk.record.readiness import Block
from kiosk.record.rules.steps import wait_minutes
from kiosk.record.state import Piece, State, Work
from kiosk.shop.procedure import Family, Procedure, Step, Wait
from kiosk.shop.shop import Shop

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
WORTH_A_MINUTE_DRYING = 2  # a long wait that is started now runs on while nobody is there
LONGEST_DRYING = 300  # minutes of it that count


@dataclass(frozen=True)
class Prepared:
    """A group of like parts before its options are made."""

    marks: tuple[str, ...]
    left: Sequence[tuple[Procedure, Step]]  # every step still to do on them
    chain: tuple[tuple[Procedure, Step], ...]
    gap_after: int
    road: float
    unlike_others: bool  # something of it spoils, or others wait for it


class OptionMaker:
    """Makes candidates of groups of parts; remembers the set-up cost of the families it meets."""

    def __init__(
        self,
        shop: Shop,
        state: State,
        road: Road,
        minutes: int,
        now: datetime,
        stops_of: Callable[[Procedure, Step], list[Block]],
        quiet_in: int | None,
        predictor: Predictor,
    ) -> None:
        self.predictor = predictor
        self.shop = shop
        self.state = state
        self.road = road
        self.minutes = minutes
        self.now = now
        self.stops_of = stops_of
        self.quiet_in = quiet_in
        self.set_up: dict[Family, int] = {}
        self._minutes: dict[tuple[str, str], float] = {}
        self._costed: set[tuple[str, str]] = set()

    def in_hand(self, work: Work) -> Candidate | None:
        """The step in hand, on all its unfinished pieces."""
        procedure, step = self.shop.find_step(work.procedure, work.step, work.turned_to)
        if procedure is None or step is None or self.stops_of(procedure, step):
            return None
        each = self.predictor.planned(procedure, step)
        piece = work.piece(work.turned_to) or work.pieces[0]
        done = work.active_s / 60.0 / each
        if step.repeat is not None:
            done = piece.count / self.shop.figures.count(self.shop.kind_of(piece.mark), step.repeat)
        done = min(done, 0.8)  # the last fifth is looking, measuring and the unforeseen
        marks = (piece.mark, *(mark for mark in work.marks if mark != piece.mark))
        left = steps_left(self.shop, self.state, piece.mark)
        return self._candidate(marks, left, [(procedure, step)], head_start=-done * each, work=work.id)

    def prepared(self, marks: list[str]) -> Prepared:
        """Like parts at the same step, as far along as they can go over one wait at most."""
        spoil = {mark: self._spoils_at(mark) for mark in marks}
        marks = sorted(marks, key=lambda mark: (spoil[mark] or self.now + timedelta(days=9999), mark))
        left = steps_left(self.shop, self.state, marks[0])
        chain, gap = self._chain(marks[0], left, may_wait=True)
        kind_id = self.shop.parts[marks[0]].kind
        return Prepared(
            tuple(marks),
            left,
            tuple(chain),
            gap,
            self._share_of_road(kind_id, left),
            any(spoil.values()) or self.shop.kinds[kind_id].tooling,
        )

    def needed(self, groups: Sequence[Prepared]) -> list[Prepared]:
        """The groups that an answer can need.

        Groups with the same steps and as many parts differ only by the road behind them, so those with the
        longer road are never worth less; of such groups no more are needed than fit in the slot at all.
        """
        alike: dict[tuple[object, ...], list[Prepared]] = {}
        kept: list[Prepared] = []
        for one in groups:
            if one.unlike_others or not one.chain:
                kept.append(one)
            else:
                steps = tuple((procedure.id, step.id) for procedure, step in one.chain)
                ends = len(one.left) == len(one.chain)  # the chain takes the parts to their end
                alike.setdefault((steps, len(one.marks), one.gap_after, ends), []).append(one)
        for members in alike.values():
            least = math.ceil(self._minutes_of(*members[0].chain[0])) + CHANGE_OVER_MINUTES
            members.sort(key=lambda one: -one.road)
            kept += members[: max(1, self.minutes // least)]
        return kept

    def made(self, one: Prepared) -> Candidate | None:
        """The candidate of a group."""
        return self._candidate(one.marks, one.left, one.chain, gap_after=one.gap_after)

    def waiting(self, waits: Sequence[tuple[int, str]]) -> Candidate | None:
        """Like parts whose wait ends within the slot: something for its end."""
        ordered = sorted(waits)
        marks = tuple(mark for _, mark in ordered)
        left = steps_left(self.shop, self.state, marks[0])
        chain, _ = self._chain(marks[0], left, may_wait=False)
        return self._candidate(marks, left, chain, runs=tuple(minutes for minutes, _ in ordered))

    def _chain(
        self, mark: str, left: Sequence[tuple[Procedure, Step]], *, may_wait: bool
    ) -> tuple[list[tuple[Procedure, Step]], int]:
        """The steps that can follow one another, and after how many of them a wait has to pass (0: none)."""
        chain: list[tuple[Procedure, Step]] = []
        gap = 0
        for procedure, step in left:
            if self.stops_of(procedure, step) or (
                chain
                and (
                    len(chain) == LONGEST_CHAIN
                    or step.hold_point
                    or (procedure is not chain[-1][0] and self._needs_something(mark, procedure))
                )
            ):
                break
            if chain and self._must_stop_for(chain, procedure, step):
                if gap or not may_wait:
                    break
                gap = len(chain)
            chain.append((procedure, step))
        return chain, gap

    def _must_stop_for(
        self, chain: Sequence[tuple[Procedure, Step]], procedure: Procedure, step: Step
    ) -> bool:
        """True when the step has to wait and the work can be left meanwhile; else the wait is sat out."""
        if chain[-1][1].stop == "go straight on":
            return False
        return bool(_waits_before(chain, procedure, step))

    def _wait_minutes(self, mark: str, chain: Sequence[tuple[Procedure, Step]], number: int) -> float:
        """Minutes that have to pass before the step at a place of the chain."""
        procedure, step = chain[number]
        waits = _waits_before(chain[:number], procedure, step)
        return max(
            (wait_minutes(self.state, procedure.id, earlier, wait, Piece(mark)) for earlier, wait in waits),
            default=0.0,
        )

    def _drying(self, mark: str, procedure: Procedure, step: Step) -> float:
        """Minutes of the longest wait that a step starts."""
        waits = [wait for wait in step.waits if wait.must_pass]
        minutes = (wait_minutes(self.state, procedure.id, step, wait, Piece(mark)) for wait in waits)
        return min(LONGEST_DRYING, max(minutes, default=0.0))

    def _sat_out(self, mark: str, chain: Sequence[tuple[Procedure, Step]], gap_after: int) -> float:
        """Minutes of waiting within a chain, such as mixed primer that has to stand; the gap's apart."""
        return sum(
            self._wait_minutes(mark, chain, number) for number in range(1, len(chain)) if number != gap_after
        )

    def _needs_something(self, mark: str, procedure: Procedure) -> bool:
        kind = self.shop.kind_of(mark)
        return any(stage.procedure == procedure.id and stage.needs for stage in kind.route)

    def _spoils_at(self, mark: str) -> datetime | None:
        if mark not in self.state.parts:
            return None
        ends = [clock.until for clock in self.state.part(mark).clocks if clock.kind == "within"]
        return min(ends) if ends else None

    def _candidate(
        self,
        marks: tuple[str, ...],
        left: Sequence[tuple[Procedure, Step]],
        chain: Sequence[tuple[Procedure, Step]],
        *,
        head_start: float = 0.0,
        work: str | None = None,
        gap_after: int = 0,
        runs: tuple[int, ...] = (),
    ) -> Candidate | None:
        """``gap_after`` steps a wait has to pass; ``runs`` is, for each mark, what of its wait is left."""
        if not chain:
            return None
        kind_id = self.shop.parts[marks[0]].kind
        all_at_once = work is not None and chain[0][1].batch == "together"
        counts = [len(marks)] if all_at_once else _counts(len(marks))
        road = self._share_of_road(kind_id, left)
        spoils = tuple(self._spoils_at(mark) for mark in marks[: counts[-1]])
        opens = self.road.opens(kind_id) if self.shop.kinds[kind_id].tooling else 0
        options: list[Option] = []
        shapes: list[Shape] = []
        waits_within = any(step.waits for _, step in chain)
        spoils_within = any(spoils)
        gap = self._wait_minutes(marks[0], chain, gap_after) if gap_after else 0.0
        each = before_gap = 0.0
        loud = False
        families: tuple[Family, ...] = ()
        for length, (procedure, step) in enumerate(chain, 1):
            each += self._minutes_of(procedure, step)
            if length <= gap_after:
                before_gap = each
            loud = loud or step.conditions.loud
            end_by = self.quiet_in if loud else None
            family = self._family_of(procedure, step)
            families = families if family in families else (*families, family)
            if step.stop == "go straight on":
                continue  # this is no place to leave it
            over_gap = 0 < gap_after < length
            if end_by is not None and (over_gap or runs):
                continue  # loud after a wait, with quiet hours ahead, is for another evening
            waiting = self._sat_out(marks[0], chain[:length], gap_after) if waits_within else 0.0
            drying = self._drying(marks[0], procedure, step) if step.waits else 0.0
            for count in counts:
                total = math.ceil(each * count + waiting + head_start - 1e-9) + CHANGE_OVER_MINUTES
                if total > self.minutes:
                    break
                waits = math.ceil(gap) if over_gap else (runs[count - 1] if runs else 0)
                first = math.ceil(before_gap * count) + CHANGE_OVER_MINUTES if over_gap else 0
                after = max(1, total - first) if waits else 0
                start_by = None
                if spoils_within:
                    start_by = self._start_by(marks[:count], spoils, chain[:length], count)
                if start_by is not None and start_by < 0:
                    continue
                worth = (total - CHANGE_OVER_MINUTES - waiting) * (WORTH_A_MINUTE + WORTH_ROAD * road)
                if spoils_within and any(spoils[:count]):
                    worth += WORTH_SPOILS + WORTH_SPOILS_EACH * count
                if work is not None:
                    worth += WORTH_IN_HAND
                if opens:
                    worth += WORTH_OPENS * min(opens, 10) * length / 10
                if length == len(left):
                    worth += WORTH_ENDS_PART * count
                worth += WORTH_A_MINUTE_DRYING * drying
                options.append(Option(total, round(worth), families, start_by, end_by, waits, after))
                shapes.append(Shape(count, length, round(waiting), gap_after if over_gap else 0))
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
            self.minutes,
        )

    def _start_by(
        self,
        marks: Sequence[str],
        spoils: Sequence[datetime | None],
        chain: Sequence[tuple[Procedure, Step]],
        count: int,
    ) -> int | None:
        """Minutes into the slot by which the chain must begin, so that no clock on a part runs out first."""
        latest: list[float] = []
        for mark, at in zip(marks, spoils, strict=False):
            if at is None:
                continue
            for clock in self.state.part(mark).clocks:
                if clock.kind != "within":
                    continue
                lead = 0.0
                for procedure, step in chain:
                    if (procedure.id, step.id) == (clock.procedure, clock.step):
                        latest.append((clock.until - self.now).total_seconds() / 60 - lead)
                        break
                    lead += self._minutes_of(procedure, step) * count
        if not latest or min(latest) >= self.minutes:
            return None
        return math.floor(min(latest))

    def _minutes_of(self, procedure: Procedure, step: Step) -> float:
        key = (procedure.id, step.id)
        if key not in self._minutes:
            self._minutes[key] = self.predictor.planned(procedure, step)
        return self._minutes[key]

    def _family_of(self, procedure: Procedure, step: Step) -> Family:
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
