"""Makes the options of a candidate: how many of like parts, how many steps along, and what that is worth.

An option ends only where the work can safely be left. It may go on over one wait.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from kiosk.planning.choose.option import Option
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.candidate import Candidate, LikeParts
from kiosk.planning.work.road import Road
from kiosk.record.context import Context
from kiosk.record.position import steps_left
from kiosk.record.readiness import Block
from kiosk.record.rules.steps import counting_left, wait_minutes
from kiosk.record.state import Piece, PieceTime, Work
from kiosk.record.waits import ends_at, seconds_left
from kiosk.shop.figures import FigureFault
from kiosk.shop.procedure import Family, Procedure, Step, Wait

LONGEST_CHAIN = 6  # steps ahead that one suggestion may cover, and on to where the work can be left
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
class _Reach:
    """How far along its chain a candidate may be taken: to one place where it can be left."""

    steps: int
    each: float  # minutes a piece up to here
    before_gap: float  # of them, those before the wait that other things fill
    families: tuple[Family, ...]
    end_by: int | None  # when quiet hours begin, for what is loud
    over_gap: bool
    waiting: float  # minutes sat out
    drying: float  # minutes of the wait that it starts


class OptionMaker:
    """Makes candidates of groups of parts; remembers the set-up cost of the families it meets."""

    def __init__(
        self,
        context: Context,
        minutes: int,
        road: Road,
        stops_of: Callable[[Procedure, Step], list[Block]],
        quiet_in: int | None,
        predictor: Predictor,
    ) -> None:
        self.predictor = predictor
        self.context = context
        self.shop = context.shop
        self.state = context.state
        self.now = context.now
        self.road = road
        self.minutes = minutes
        self.stops_of = stops_of
        self.quiet_in = quiet_in
        self.set_up: dict[Family, int] = {}
        self._minutes: dict[PieceTime, float] = {}
        self._costed: set[PieceTime] = set()

    def in_hand(self, work: Work) -> Candidate | None:
        """The step in hand, on all its unfinished pieces."""
        procedure, step = self.shop.find_step(work.procedure, work.step, work.turned_to)
        gone = any(mark not in self.shop.parts for mark in work.marks)  # the place card asks what is so
        if gone or procedure is None or step is None or self.stops_of(procedure, step):
            return None
        piece = work.piece(work.turned_to) or work.pieces[0]
        each = self.predictor.planned(procedure, step, self.shop.parts[piece.mark].kind)
        done = work.active_s / 60.0 / each
        if step.repeat is not None:
            try:
                left = counting_left(self.shop, step, piece)
                done = 1 - left / self.shop.figures.count(self.shop.kind_of(piece.mark), step.repeat)
            except FigureFault:
                return None  # nobody knows how far it is: the place card says what to mend
        done = min(done, 0.8)  # the last fifth is looking, measuring and the unforeseen
        marks = (piece.mark, *(mark for mark in work.marks if mark != piece.mark))
        like = self._like(marks, steps_left(self.shop, self.state, piece.mark), [(procedure, step)])
        return self.candidate(replace(like, head_start=-done * each, work=work.id))

    def like_parts(self, marks: list[str]) -> LikeParts:
        """Like parts at the same step, as far along as they can go over one wait at most."""
        spoil = {mark: self._spoils_at(mark) for mark in marks}
        marks = sorted(marks, key=lambda mark: (spoil[mark] is None, spoil[mark] or self.now, mark))
        left = steps_left(self.shop, self.state, marks[0])
        chain, gap = self._chain(marks[0], left, may_wait=True)
        like = self._like(marks, left, chain)
        unlike = any(spoil.values()) or self.shop.kinds[like.kind].tooling
        return replace(like, gap_after=gap, unlike_others=unlike)

    def _like(
        self,
        marks: Sequence[str],
        left: Sequence[tuple[Procedure, Step]],
        chain: Sequence[tuple[Procedure, Step]],
    ) -> LikeParts:
        kind_id = self.shop.parts[marks[0]].kind
        return LikeParts(kind_id, tuple(marks), left, tuple(chain), self._share_of_road(kind_id, left))

    def needed(self, groups: Sequence[LikeParts]) -> list[LikeParts]:
        """The groups that an answer can need.

        Groups with the same steps and times and as many parts differ only by the road behind them, so those
        with the longer road are never worth less; of such groups no more are needed than fit in the slot at
        all.
        """
        alike: dict[tuple[object, ...], list[LikeParts]] = {}
        kept: list[LikeParts] = []
        for one in groups:
            if one.unlike_others or not one.chain:
                kept.append(one)
            else:
                steps = tuple(
                    (
                        procedure.ref(step),
                        self.predictor.piece(procedure, step, one.kind),
                        step.minutes.set_up,
                    )
                    for procedure, step in one.chain
                )
                ends = len(one.left) == len(one.chain)  # the chain takes the parts to their end
                alike.setdefault((steps, len(one.marks), one.gap_after, ends), []).append(one)
        for members in alike.values():
            least = math.ceil(self._minutes_of(members[0].kind, *members[0].chain[0])) + CHANGE_OVER_MINUTES
            members.sort(key=lambda one: -one.road)
            kept += members[: max(1, self.minutes // least)]
        return kept

    def waiting(self, waits: Sequence[tuple[int, str]]) -> Candidate | None:
        """Like parts whose wait ends within the slot: something for its end."""
        ordered = sorted(waits)
        marks = [mark for _, mark in ordered]
        left = steps_left(self.shop, self.state, marks[0])
        chain, _ = self._chain(marks[0], left, may_wait=False)
        like = self._like(marks, left, chain)
        return self.candidate(replace(like, runs=tuple(minutes for minutes, _ in ordered)))

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
                    (len(chain) >= LONGEST_CHAIN and chain[-1][1].stop != "go straight on")
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
        limits = [clock for clock in self.state.part(mark).clocks if clock.kind == "within"]
        ends = [at for clock in limits if (at := ends_at(self.context, clock)) is not None]
        return min(ends) if ends else None

    def candidate(self, like: LikeParts) -> Candidate | None:
        """Like parts with their options; None when there is none."""
        if not like.chain:
            return None
        all_at_once = like.work is not None and like.chain[0][1].batch == "together"
        counts = [len(like.marks)] if all_at_once else _counts(len(like.marks))
        spoils = tuple(self._spoils_at(mark) for mark in like.marks[: counts[-1]])
        opens = self.road.opens(like.kind) if self.shop.kinds[like.kind].tooling else 0
        options = [
            option
            for reach in self._reaches(like)
            for option in self._options(like, reach, counts, spoils, opens)
        ]
        return Candidate(like, tuple(options), spoils, opens, self.minutes) if options else None

    def _reaches(self, like: LikeParts) -> Iterator[_Reach]:
        """Every place along the chain where the work can be left."""
        mark = like.marks[0]
        waits_within = any(step.waits for _, step in like.chain)
        each = before_gap = 0.0
        loud = False
        families: tuple[Family, ...] = ()
        for length, (procedure, step) in enumerate(like.chain, 1):
            each += self._minutes_of(like.kind, procedure, step)
            if length <= like.gap_after:
                before_gap = each
            loud = loud or step.conditions.loud
            end_by = self.quiet_in if loud else None
            family = self._family_of(like.kind, procedure, step)
            families = families if family in families else (*families, family)
            if step.stop == "go straight on":
                continue  # this is no place to leave it
            over_gap = 0 < like.gap_after < length
            if end_by is not None and (over_gap or like.runs):
                continue  # loud after a wait, with quiet hours ahead, is for another evening
            waiting = self._sat_out(mark, like.chain[:length], like.gap_after) if waits_within else 0.0
            drying = self._drying(mark, procedure, step) if step.waits else 0.0
            yield _Reach(length, each, before_gap, families, end_by, over_gap, waiting, drying)

    def _options(
        self,
        like: LikeParts,
        reach: _Reach,
        counts: Sequence[int],
        spoils: Sequence[datetime | None],
        opens: int,
    ) -> Iterator[Option]:
        """So many of the parts as far along as that, as long as it fits in the slot."""
        gap = self._wait_minutes(like.marks[0], like.chain, like.gap_after) if reach.over_gap else 0.0
        for count in counts:
            total = math.ceil(reach.each * count + reach.waiting + like.head_start - 1e-9)
            total += CHANGE_OVER_MINUTES
            if total > self.minutes:
                break
            waits = math.ceil(gap) if reach.over_gap else (like.runs[count - 1] if like.runs else 0)
            first = math.ceil(reach.before_gap * count) + CHANGE_OVER_MINUTES if reach.over_gap else 0
            start_by = None
            if any(spoils):
                start_by = self._start_by(like, count, spoils, reach.steps)
            if start_by is not None and start_by < 0:
                continue
            yield Option(
                minutes=total,
                worth=_worth(like, reach, count, total, spoils=any(spoils[:count]), opens=opens),
                families=reach.families,
                start_by=start_by,
                end_by=reach.end_by,
                waits=waits,
                after=max(1, total - first) if waits else 0,
                pieces=count,
                steps=reach.steps,
                sat_out=round(reach.waiting),
                gap_after=like.gap_after if reach.over_gap else 0,
            )

    def _start_by(
        self, like: LikeParts, count: int, spoils: Sequence[datetime | None], steps: int
    ) -> int | None:
        """Minutes into the slot by which the chain must begin, so that no clock on a part runs out first.

        A limit that wants its step finished takes that step's own minutes too, on all the parts.
        """
        latest: list[float] = []
        marks = like.marks[:count]
        for mark, at in zip(marks, spoils, strict=False):
            if at is None:
                continue
            for clock in self.state.part(mark).clocks:
                left = seconds_left(self.context, clock) if clock.kind == "within" else None
                if left is None:
                    continue
                lead = like.head_start  # what of the step in hand is done already
                for procedure, step in like.chain[:steps]:
                    minutes = self._minutes_of(like.kind, procedure, step) * count
                    if (procedure.id, step.id) == (clock.procedure, clock.step):
                        finish = minutes if clock.ends == "finish" else 0.0
                        latest.append(left / 60 - max(0.0, lead + finish))
                        break
                    lead += minutes
        if not latest or min(latest) >= self.minutes:
            return None
        return math.floor(min(latest))

    def _minutes_of(self, kind_id: str, procedure: Procedure, step: Step) -> float:
        key = self.predictor.learnt_as(procedure, step, kind_id)
        if key not in self._minutes:
            self._minutes[key] = self.predictor.planned(procedure, step, kind_id)
        return self._minutes[key]

    def _family_of(self, kind_id: str, procedure: Procedure, step: Step) -> Family:
        """The step's family, its set-up cost noted: the dearest of its steps counts."""
        family = procedure.family_of(step)
        key = self.predictor.learnt_as(procedure, step, kind_id)
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


def _worth(like: LikeParts, reach: _Reach, count: int, total: int, *, spoils: bool, opens: int) -> int:
    """What it is worth to take so many parts so far in ``total`` minutes."""
    worth = (total - CHANGE_OVER_MINUTES - reach.waiting) * (WORTH_A_MINUTE + WORTH_ROAD * like.road)
    if spoils:
        worth += WORTH_SPOILS + WORTH_SPOILS_EACH * count
    if like.work is not None:
        worth += WORTH_IN_HAND
    if opens:
        worth += WORTH_OPENS * min(opens, 10) * reach.steps / 10
    if reach.steps == len(like.left):
        worth += WORTH_ENDS_PART * count
    worth += WORTH_A_MINUTE_DRYING * reach.drying
    return round(worth)


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
