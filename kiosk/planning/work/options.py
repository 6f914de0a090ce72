"""Makes the options of a candidate: how many of like parts, how many steps along, and what that is worth.

An option ends only where the work can safely be left. It may go on over one wait. A step that can be left
anywhere may also be begun only, so that no end of a slot is too short for it.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial

from kiosk.planning.choose.option import NOTHING, Hold, Option, SetUp, can_be_all, set_up_of
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.asked import Asked, worth_asked
from kiosk.planning.work.batches import Walk, Walks, batches_in_order, batches_of, torn_counts, untorn_counts
from kiosk.planning.work.candidate import Candidate, LikeParts
from kiosk.planning.work.chain import LONGEST_CHAIN, Chains, before_what_waits, running_within
from kiosk.planning.work.in_reserve import InReserve
from kiosk.planning.work.limits import (
    SPOILS_SOON,
    OwnLimit,
    can_be_kept,
    first_those_in_time,
    own_limits,
    spoils_at,
    start_by,
)
from kiosk.planning.work.opening import Opening
from kiosk.planning.work.outline import Outline
from kiosk.planning.work.reaches import EASY_CHANCE, Reach, Reaches
from kiosk.planning.work.set_ups import WrittenSetUps
from kiosk.planning.work.shelf_life import ShelfLife
from kiosk.planning.work.step_times import StepTimes
from kiosk.planning.work.ways_ahead import WayAhead, WaysAhead
from kiosk.planning.work.worth import USUAL_SLOT_MINUTES, Valued, begun_is_worth, of_parts, worth_of
from kiosk.record.batch import pieces_to_do
from kiosk.record.context import Context
from kiosk.record.holding import HeldTools
from kiosk.record.out_on_bench import out_on_bench
from kiosk.record.part_stops import Together
from kiosk.record.position import minutes_left_from, stands_unended, steps_left_from
from kiosk.record.readiness import Block
from kiosk.record.rules.steps import counting_left
from kiosk.record.state import Piece, Work
from kiosk.record.waits import clocks_on, seconds_left, wait_minutes
from kiosk.record.worked import seconds_worked
from kiosk.shop.figures import FigureFault
from kiosk.shop.procedure import Procedure, Step, StepRef, last_of_run

PIECES = (1, 2, 3, 4, 5, 6, 8, 10, 12)  # how many like parts one suggestion may cover
CHANGE_OVER_MINUTES = 1  # to put one thing down and find the place of the next
# Minutes between the beginnings that are looked at; one for less only where that is all there is, and for
# steps so short that what is left of a slot beside a whole one is not filled by two halves instead.
BEGUN_EVERY = 5
SHORT_STEP_MINUTES = 2 * BEGUN_EVERY
LEAST_OF_SHORT_STEP = 3


class OptionMaker:
    """Makes candidates of groups of parts; remembers the cost of the set-ups it meets."""

    def __init__(
        self,
        context: Context,
        minutes: int,
        stops_of: Callable[[Step], list[Block]],
        quiet_in: int | None,
        predictor: Predictor,
        asked: Asked,
        shelf_life: ShelfLife,
        *,
        from_end: bool = False,
    ) -> None:
        self.asked = asked
        self.predictor = predictor
        self.from_end = from_end  # like parts are taken from the last one on
        self.context = context
        self.shop = context.shop
        self.state = context.state
        self.now = context.now
        self.positions = context.kept.positions  # followed, as what was found ready came from them
        self.opening = Opening(context)
        self.shelf_life = shelf_life
        self.tools = HeldTools(context)
        self.chains = Chains(context.shop, context.state, stops_of, self.tools)
        self.minutes = minutes
        self.stops_of = stops_of
        self.quiet_in = quiet_in
        written = context.kept.of(WrittenSetUps).of(context.shop)
        self.ways = context.kept.of(WaysAhead)
        self.walks = context.kept.of(Walks)
        self.times = StepTimes(predictor, self.ways, written)
        self.out = out_on_bench(context)
        done = (one for steps in self.out.values() for one in steps)
        self.free: frozenset[SetUp] = frozenset(name for one in done for name in self.times.set_ups_of(*one))
        self.free |= {NOTHING}
        self.reaches = Reaches(self.times, self.chains, minutes, quiet_in)

    def in_hand(self, work: Work) -> Candidate | None:
        """The step in hand, on all its unfinished pieces."""
        procedure, step = self.shop.find_step(work.procedure, work.step, work.turned_to)
        gone = any(mark not in self.shop.parts for mark in work.marks)  # the place card asks what is so
        if gone or procedure is None or step is None or self.stops_of(step):
            return None
        if self.tools.none_for(work.turned_to, step) is not None:
            return None
        piece = work.piece(work.turned_to) or work.pieces[0]
        free = pieces_to_do(self.state, work)
        if piece.mark not in free:
            return None  # it is held by a snag: the builder decides first, and turns to another of them
        marks = (piece.mark, *(mark for mark in free if mark != piece.mark))
        try:
            done = self._done(work, procedure, step, piece, len(marks))
        except FigureFault:
            return None  # nobody knows how far it is: the place card says what to mend
        way = self._way(piece.mark)
        if way is not None and way.left[0] != (procedure, step):
            way = None
        ahead = way.left if way is not None else self._left(piece.mark)
        chain: Sequence[tuple[Procedure, Step]] = [(procedure, step)]
        running: Mapping[tuple[str, str], float] = {}
        gap = 0
        if step.stop == "go straight on" and ahead and ahead[0] == (procedure, step):
            # It can be left at the end of its run alone, and is planned as far as there.
            running = self._running(marks, ahead)
            chain, _ = self.chains.following(piece.mark, ahead, may_wait=False, running=running)
            chain = chain[: last_of_run([one for _, one in chain], 0) + 1]
        elif ahead and ahead[0] == (procedure, step) and any(self.chains.short_limits(piece.mark, *ahead[0])):
            # To end it starts a limit: it is planned on to where that ends, as before it was begun.
            chain, gap = self.chains.following(piece.mark, ahead, may_wait=True)
        return self.candidate(
            self._like(marks, ahead, chain, gap_after=gap, done=done, work=work, way=way, running=running)
        )

    def _done(self, work: Work, procedure: Procedure, step: Step, piece: Piece, parts: int) -> float:
        """How many pieces of a step in hand are done by what was counted, or where nothing was yet by the
        minutes: up to one, and of what goes through all at once up to all of them. Raises FigureFault."""
        kind = self.shop.kind_of(piece.mark)
        if step.repeat is not None:
            left = counting_left(self.shop, step, piece) / self.shop.figures.count(kind, step.repeat)
            if left < 1:
                return min(1 - left, 0.8)  # the last fifth is looking, measuring and the unforeseen
        at_once = parts if step.batch == "together" else 1
        each = self.times.time_of(kind.id, procedure, step).duration
        spent = seconds_worked(self.context, work) / 60  # as the call to put away counts it
        set_up = self.predictor.set_up(procedure, step)
        left = each.share_left(spent / at_once)
        if set_up is not None:
            # Where it was set up while its clock ran, that brought the piece no further; where its family was
            # out already, all of it did. The record does not say which: one is as likely as the other.
            left = (left + each.share_left((spent - set_up.median_minutes) / at_once)) / 2
        return at_once * (1 - left)

    def outline(self, group: Sequence[Together]) -> Outline:
        """What can be told at once of like parts that are ready, at the same step."""
        one, key = group[0], group[0].at.key
        if len(group) == 1 and one.plain:
            walk = self.walks.of(self.state, one)
            first = walk.marks[0]
            way = self._way(first)
            if way is not None and not (way.takes or self.opening.waiting(first) or self.asked.of(first)):
                return self._outline_of(way, walk, key.kind)
        return self._outline(self.like_parts([mark for of in group for mark in of.marks]))

    def _outline_of(self, way: WayAhead, walk: Walk, kind: str) -> Outline:
        """Of parts on which no clock runs, and for which nothing waits: all but how many they are follows
        from their way."""
        chain, gap = way.now(self.stops_of)
        steps, left = len(chain), way.minutes_left
        shelf_share = self.shelf_life.share(walk.marks[0], (way.steps_done, way.minutes_done))
        done_share = self._done_share(kind, left)
        by_parts = of_parts(0.0, left, shelf_share, done_share)
        waits = way.waits and any(step.waits for _, step in chain)
        return Outline(
            kind=kind,
            parts=len(walk.marks),
            untorn=walk.untorn_from_end if self.from_end else walk.untorn,
            chain=chain,
            ids=way.ids[:steps],
            gap_after=gap,
            ends=len(way.left) == steps,
            way=way,
            by_parts=by_parts,
            waits=waits,
            unlike_others=False,
            presses=False,
            in_full=partial(
                LikeParts,
                kind=kind,
                marks=walk.marks,
                untorn=walk.untorn_from_end if self.from_end else walk.untorn,
                left=way.left,
                minutes_left=left,
                minutes_behind=0.0,
                chain=chain,
                gap_after=gap,
                done_share=done_share,
                shelf_share=shelf_share,
                by_parts=by_parts,
                way=way,
                waits=waits,
            ),
        )

    def _outline(self, like: LikeParts) -> Outline:
        return Outline(
            kind=like.kind,
            parts=len(like.marks),
            untorn=like.untorn,
            chain=like.chain,
            ids=tuple([(procedure.id, step.id) for procedure, step in like.chain]),
            gap_after=like.gap_after,
            ends=len(like.left) == len(like.chain),
            way=like.way,
            by_parts=like.by_parts,
            waits=like.waits,
            unlike_others=like.unlike_others,
            presses=like.spoils or like.in_a_run or bool(like.wanted),
            in_full=lambda: like,
        )

    def _done_share(self, kind_id: str, minutes_left: float) -> float:
        """Of the whole route, 0 to 1."""
        whole = self.opening.route_minutes(kind_id)
        return max(0.0, 1 - minutes_left / whole) if whole > 0 else 0.0

    def like_parts(self, marks: Sequence[str]) -> LikeParts:
        """Like parts at the same step, as far along as they can go over one wait at most."""
        spoil = self._spoiling(marks)
        marks = sorted(marks)
        if spoil:
            marks.sort(key=lambda mark: (mark not in spoil, spoil.get(mark, self.now)))
        marks = batches_in_order(marks, batches_of(self.state, marks))
        if spoil:
            marks = self._late_ones_last(marks)
        first = marks[0]
        way = self._way(first)
        left = way.left if way is not None else self._left(first)
        running = self._running(marks, left)
        chain: Sequence[tuple[Procedure, Step]]
        if way is not None and not running:
            chain, gap = way.now(self.stops_of)
        else:
            way = None
            chain, gap = self.chains.following(first, left, may_wait=True, running=running)
        unlike = bool(spoil) or bool(self.opening.waiting(first))
        taken = self._with_free_tools(marks, chain)
        spoils = None if spoil else False
        return self._like(
            taken, left, chain, gap_after=gap, unlike=unlike, way=way, spoils=spoils, running=running
        )

    def _late_ones_last(self, marks: Sequence[str]) -> list[str]:
        """The same parts, those last, in whatever order they are taken, that keep no limit beside the others:
        one that is too late for itself holds up none of them."""
        steps = self._left(marks[0])[:LONGEST_CHAIN]
        minutes_of = partial(self.times.minutes_of, self.shop.parts[marks[0]].kind)
        in_time, late = first_those_in_time(self.context, marks, steps, minutes_of)
        return [*late, *in_time] if self.from_end else [*in_time, *late]

    def _spoiling(self, marks: Sequence[str]) -> dict[str, datetime]:
        """When the first limit runs out, for those of the parts on which one runs."""
        parts = self.state.parts
        with_clocks = [mark for mark in marks if (part := parts.get(mark)) is not None and part.clocks]
        return {mark: at for mark in with_clocks if (at := spoils_at(self.context, mark)) is not None}

    def _with_free_tools(self, marks: list[str], chain: Sequence[tuple[Procedure, Step]]) -> list[str]:
        """As many of the parts as there are free of what each keeps through a wait."""
        least = self.tools.least_free(*chain[0]) if chain else None
        return marks if least is None else marks[: max(1, least.free)]

    def _untorn(self, marks: Sequence[str], work: Work | None) -> frozenset[int]:
        """How many of the parts go along without tearing a batch: what is in hand at once is one."""
        batches = [work.id] * len(marks) if work is not None else batches_of(self.state, marks)
        return untorn_counts(batches, from_end=self.from_end)

    def _way(self, mark: str) -> WayAhead | None:
        """The way ahead of a part, where it is known."""
        route = self.positions.route(self.shop.parts[mark].kind)
        return self.ways.at(self.context, route, self.positions.of(mark))

    def _left(self, mark: str) -> Sequence[tuple[Procedure, Step]]:
        """Every step still to do on a part."""
        return steps_left_from(self.shop, self.state, self.positions.of(mark))

    def _running(
        self, marks: Sequence[str], left: Sequence[tuple[Procedure, Step]]
    ) -> Mapping[tuple[str, str], float]:
        """The waits that run already on parts which can't be left: they are sat out, or filled, on the way.
        What can be left goes no further than to where one holds it."""
        return running_within(self.context, marks, left) if self.stands_in_run(marks[0]) else {}

    def _has_to_end(self, work: Work, step: Step) -> bool:
        """True for a step in hand that may not be left as it is: it runs, or was paused all the same."""
        return (work.status == "running" and step.has_to_end) or stands_unended(self.shop, self.state, work)

    def stands_in_run(self, mark: str) -> bool:
        """True for a part that may not be left as it is without its next step."""
        return mark in self.positions.in_runs

    def _like(
        self,
        marks: Sequence[str],
        left: Sequence[tuple[Procedure, Step]],
        chain: Sequence[tuple[Procedure, Step]],
        *,
        gap_after: int = 0,
        runs: tuple[int, ...] = (),
        work: Work | None = None,
        done: float = 0.0,
        unlike: bool = False,
        way: WayAhead | None = None,
        spoils: bool | None = None,
        running: Mapping[tuple[str, str], float] | None = None,
    ) -> LikeParts:
        first = marks[0]
        kind_id = self.shop.parts[first].kind
        behind_it: tuple[int, float] | None = None
        if way is not None:
            minutes_left, behind_it = way.minutes_left, (way.steps_done, way.minutes_done)
        else:
            minutes_left = minutes_left_from(self.shop, self.state, self.positions.of(first))
        wanted = self.asked.of(first)
        in_a_run = self.stands_in_run(first) or (work is not None and self._has_to_end(work, chain[0][1]))
        # What was begun and can't be left goes to the end of its run: else it would be in no plan.
        if not in_a_run and (goes := before_what_waits(self.context, marks, chain)) < len(chain):
            chain = chain[: goes or (len(chain) if work is not None else 0)]
            gap_after = gap_after if gap_after < len(chain) else 0
        waits = bool(running) or ((way is None or way.waits) and any(step.waits for _, step in chain))
        behind = self.opening.minutes_behind(first)
        done_share = self._done_share(kind_id, minutes_left)
        shelf_share = self.shelf_life.share(first, behind_it)
        return LikeParts(
            kind=kind_id,
            marks=tuple(marks),
            untorn=self._untorn(marks, work),
            left=left,
            minutes_left=minutes_left,
            minutes_behind=behind,
            chain=tuple(chain),
            gap_after=gap_after,
            runs=runs,
            work=work.id if work is not None else None,
            done=done,
            unlike_others=unlike or in_a_run or bool(wanted),
            in_a_run=in_a_run,
            done_share=done_share,
            shelf_share=shelf_share,
            wanted=wanted,
            by_parts=of_parts(behind, minutes_left, shelf_share, done_share),
            way=way,
            spoils=bool(self._spoiling(marks) if spoils is None else spoils),
            waits=waits,
            running=running or {},
        )

    def needed(self, groups: Sequence[Outline]) -> list[Outline]:
        """The groups that an answer can need.

        Groups with the same steps and times and as many parts differ only by how far their parts are and by
        what presses them, which is so much for a minute; of such groups no more are needed than fit in the
        slot.
        """
        same_steps: dict[tuple[object, ...], list[tuple[int, Outline]]] = {}
        kept: list[Outline] = []
        for number, one in enumerate(groups):
            if one.unlike_others or not one.chain:
                kept.append(one)
            else:
                key = (one.ids, one.parts, one.untorn, one.gap_after, one.ends)
                same_steps.setdefault(key, []).append((number, one))
        classes = [alike for of in same_steps.values() for alike in self._that_take_as_long(of)]
        for numbered in sorted(classes, key=lambda one: one[0][0]):  # by the first of each
            members = [one for _, one in numbered]
            if len(members) == 1:
                kept += members
                continue
            first = members[0].chain[0]
            least = math.ceil(self.times.minutes_of(members[0].kind, *first)) + CHANGE_OVER_MINUTES
            if first[1].stop == "anywhere":
                least = min(least, BEGUN_EVERY + CHANGE_OVER_MINUTES)
            members.sort(key=lambda one: -one.by_parts)
            kept += members[: max(1, self.minutes // least)]
        return kept

    def _that_take_as_long(
        self, groups: list[tuple[int, Outline]], place: int = 0
    ) -> Iterator[list[tuple[int, Outline]]]:
        """Groups with the same steps, apart by the times of those: no time is asked for of which it is told
        already that no other group takes as long."""
        if len(groups) == 1 or place == len(groups[0][1].chain):
            yield groups
            return
        apart: dict[int, list[tuple[int, Outline]]] = {}
        for one in groups:
            apart.setdefault(self.times.number_at(one[1], place), []).append(one)
        for alike in apart.values():
            yield from self._that_take_as_long(alike, place + 1)

    def waiting(self, waits: Sequence[tuple[int, str]]) -> Candidate | None:
        """Like parts whose wait ends within the slot: something for its end. Those that wait least are taken
        first, from whichever end that is."""
        ordered = sorted(waits)
        taken = sorted(waits, key=lambda one: (-one[0], one[1])) if self.from_end else ordered
        marks = [mark for _, mark in taken]
        left = self._left(marks[0])
        chain, _ = self.chains.following(marks[0], left, may_wait=False)
        runs = tuple(minutes for minutes, _ in ordered)
        return self.candidate(self._like(marks, left, chain, runs=runs))

    def may_be_kept_back(self, one: Outline) -> bool:
        """True where nothing but the work on them counts: no limit of theirs, no wait, no tool kept, no part
        ended."""
        return bool(one.chain) and not (one.ends or one.waits or one.presses)

    def kept_back(self, place: int, one: Outline) -> InReserve:
        """Like parts whose options are made later."""
        return InReserve(
            place, one.ids[0], one.by_parts, partial(self._made, one), partial(self._in_one_go, one)
        )

    def _in_one_go(self, one: Outline) -> float:
        """Minutes of the longest that has to be done in one go; without end where it grows with the parts."""
        longest, run_from = 0.0, 0
        for place, (_, step) in enumerate(one.chain):
            grows = step.stop == "go straight on" or step.batch == "together" or place > run_from
            if step.stop != "anywhere":
                if grows:
                    return math.inf
                longest = max(longest, self.times.time_at(one, place).median_minutes)
            if step.stop != "go straight on":
                run_from = place + 1
        return longest

    def _made(self, one: Outline) -> Candidate | None:
        return self.candidate(one.in_full())

    def candidate(self, like: LikeParts) -> Candidate | None:
        """Like parts with their options; None when there is none."""
        if not like.chain:
            return None
        # Of parts that may not be left none is.
        all_at_once = like.in_a_run or (like.work is not None and like.chain[0][1].batch == "together")
        whole = like.untorn
        counts = [len(like.marks)] if all_at_once else _counts(len(like.marks), whole)
        spoils: tuple[datetime | None, ...] = (None,) * counts[-1]
        if like.spoils or like.work is not None:
            spoils = tuple(spoils_at(self.context, mark) for mark in self._taken(like, counts[-1]))
        opens = self.opening.waiting(like.marks[0])
        ways = [like]
        if like.gap_after and like.chain[like.gap_after - 1][1].stop == "go straight on":
            ways = [replace(like, gap_after=0)]  # where nothing fills it, it is sat out
            if self._stands_long_enough(like):
                ways.append(like)
        reaches = [(way, reach) for way in ways for reach in self.reaches.of(way)]
        options = self._untorn_options(like, reaches, counts, spoils, whole)
        if self._may_be_begun_only(like):
            first = counts[0]
            # Where all of a batch can go some of the way, all of it is begun.
            begun = first if like.work is not None else min((one.pieces for one in options), default=first)
            options += self._beginnings(like, reaches[0][1], first, begun)
        made = tuple(that_save_first(options))
        return Candidate(like, made, spoils, opens, self.minutes) if made else None

    def _taken(self, like: LikeParts, count: int) -> tuple[str, ...]:
        """So many of the parts, those first that are taken whatever the number: from the end the last."""
        return like.marks[::-1][:count] if self.from_end else like.marks[:count]

    def _untorn_options(
        self,
        like: LikeParts,
        reaches: Sequence[tuple[LikeParts, Reach]],
        counts: Sequence[int],
        spoils: Sequence[datetime | None],
        whole: frozenset[int],
    ) -> list[Option]:
        """The options of so many parts along each way as far as each place, in this order; a batch is torn
        only where all of it can go nowhere in the slot, or where it would spoil: some saved are better than
        none."""
        least = min((reach.steps for _, reach in reaches), default=0)

        def made(counts: Sequence[int]) -> list[tuple[int, Option]]:
            return [
                (number, option)
                for number, (way, reach) in enumerate(reaches)
                for option in self._options(
                    way, reach, counts, spoils, must=like.in_a_run and reach.steps == least
                )
            ]

        if like.in_a_run or whole.issuperset(counts) or self._spoils_meanwhile(spoils):
            return [option for _, option in made(counts)]
        found = made([count for count in counts if count in whole])
        set_up, free = self.times.set_up, self.free
        can_go = {one.pieces for _, one in found if can_be_all(one, set_up, self.minutes, free)}
        if torn := torn_counts(counts, whole, can_go):
            found = sorted(found + made(torn), key=lambda one: (one[0], one[1].pieces))
        return [option for _, option in found]

    def _spoils_meanwhile(self, spoils: Sequence[datetime | None]) -> bool:
        """True where something does before anybody can be taken to be back with enough minutes."""
        return any(at is not None and at - self.now < SPOILS_SOON for at in spoils)

    def _stands_long_enough(self, like: LikeParts) -> bool:
        """True when no limit on what can't be left can run out in this slot, whatever fills the wait."""
        mark, chain = like.marks[0], like.chain
        limits = [
            wait_minutes(self.state, procedure.id, step, wait, Piece(mark))
            for procedure, step in chain[: like.gap_after]
            for wait in step.waits
            if wait.within is not None
        ]
        running = [
            left / 60
            for one in like.marks
            for clock in (clocks_on(self.context.shop, self.state, one) if one in self.state.parts else ())
            if clock.kind == "within" and (left := seconds_left(self.context, clock)) is not None
        ]
        return min([*limits, *running], default=math.inf) >= self.minutes

    def _options(
        self,
        like: LikeParts,
        reach: Reach,
        counts: Sequence[int],
        spoils: Sequence[datetime | None],
        *,
        must: bool,
    ) -> Iterator[Option]:
        """So many of the parts as far along as that, as long as it fits in the slot; where they ``must``,
        because they may not be left before, whether it fits or not."""
        gap = self._gap(like) if reach.over_gap else 0.0
        limited, spoiling = reach.waits, any(spoils)
        saved = spoiling and self._comes_to_limit(like, counts[-1], reach.steps)
        pressing = saved and not like.in_a_run and self._spoils_meanwhile(spoils)
        for count in counts:
            work = self._minutes(like, reach, count, saves=pressing)
            total = math.ceil(work + reach.waiting - 1e-9) + CHANGE_OVER_MINUTES
            waits = math.ceil(gap) if reach.over_gap else (like.runs[count - 1] if like.runs else 0)
            first = 0
            if reach.over_gap:
                before_gap = reach.before_gap.quantile_minutes(EASY_CHANCE, count)
                before_gap -= (
                    like.done * self.times.minutes_of(like.kind, *like.chain[0]) if like.done else 0.0
                )
                first = math.ceil(max(0.0, before_gap)) + CHANGE_OVER_MINUTES
            expected, gap_expected = total, waits
            if must:
                # It is chosen as if it fitted, and shown as it is.
                total = max(1, min(total, self.minutes))
                waits = max(0, min(waits, self.minutes - total))
            elif total > self.minutes:
                break
            limits = self._own_limits(like, reach, count) if limited and not must else ()
            if not can_be_kept(limits, reach.steps):
                break  # with more parts it takes longer still
            after = max(1, total - first) if waits else 0
            latest = self._start_by(like, count, reach.steps) if spoiling else None
            if latest is not None and latest < 0:
                continue
            yield Option(
                minutes=total,
                worth=self._worth(like, reach, count, work, spoils[:count] if saved else ()),
                families=reach.families,
                start_by=latest,
                end_by=reach.end_by,
                waits=waits,
                after=after,
                hold=self._hold(like, reach, count) if limited else None,
                pieces=count,
                steps=reach.steps,
                in_wait=self._set_ups_in_wait(like, reach) if reach.over_gap else (),
                waits_at_most=self._waits_at_most(like, waits, limits) if limits else None,
                away=self._put_away(reach.families),
                sat_out=round(reach.waiting),
                gap_after=like.gap_after if reach.over_gap else 0,
                past_slot=expected - total,
                gap_past_slot=gap_expected - waits,
                after_past_slot=(max(1, expected - first) if gap_expected else 0) - after,
                saves=sum(at is not None for at in spoils[:count]) if pressing else 0,
            )

    def _minutes(self, like: LikeParts, reach: Reach, count: int, *, saves: bool) -> float:
        """What so many parts take as far along as that: of the step in hand what is left of it, of those that
        follow at once all."""
        minutes_of = reach.minutes_to_save if saves else reach.minutes
        if not like.done or reach.steps == 1:
            return minutes_of(count - like.done)
        return minutes_of(count) - like.done * self.times.minutes_of(like.kind, *like.chain[0])

    def _own_limits(self, like: LikeParts, reach: Reach, count: int) -> Sequence[OwnLimit]:
        """The limits that so many parts start on the way."""
        minutes_of = partial(self.times.minutes_of, like.kind)
        return tuple(
            own_limits(
                self.chains,
                like.marks[0],
                count,
                like.left,
                reach.steps,
                minutes_of,
                self._set_up_minutes,
                like.running,
            )
        )

    def _waits_at_most(self, like: LikeParts, waits: int, limits: Iterable[OwnLimit]) -> int | None:
        """Minutes after its first part by which the last has to begin, so that a limit it starts itself is
        met: no longer may be what fills the wait, and is not left when that is over. None where that is as
        long as the slot."""
        spare = [one.spare_minutes for one in limits if one.starts < like.gap_after <= one.ends]
        most = math.floor(waits + min(spare)) if spare else self.minutes
        return most if most < self.minutes else None

    def _gap(self, like: LikeParts) -> float:
        """Minutes of the wait within its chain that other things fill."""
        return self.chains.wait_before(like.marks[0], like.chain, like.gap_after, like.running)

    def _set_ups_in_wait(self, like: LikeParts, reach: Reach) -> tuple[tuple[SetUp, int], ...]:
        """What its steps after the wait are set up with, and nothing before them: minutes, without putting
        away."""
        before = {
            NOTHING,
            *(name for at in range(like.gap_after) for name in self.times.set_ups_at(like, at)),
        }
        set_up, away = self.times.set_up, self.times.away
        return tuple((one, set_up[one] - away[one]) for one in reach.families if one not in before)

    def _put_away(self, families: Sequence[SetUp]) -> tuple[tuple[SetUp, int], ...]:
        """What families are put away with, where that takes any minutes."""
        away, free = self.times.away, self.free
        return tuple([(one, away[one]) for one in families if one not in free and away[one]])

    def _set_up_minutes(self, procedure: Procedure, step: Step) -> int:
        """Minutes to set up for a step, without putting away; none where that is out."""
        set_up, away = self.times.set_up, self.times.away
        names = self.times.set_ups_of(procedure, step)
        return sum(set_up[name] - away[name] for name in names if name not in self.free)

    def _comes_to_limit(self, like: LikeParts, count: int, steps: int) -> bool:
        """True where so many steps along the first limit on any of the parts has ended: nothing is saved on
        the way there."""
        route = self.positions.route(like.kind)
        procedure, step = like.chain[steps - 1]
        last = route.numbers.get(procedure.ref(step), len(route.numbers))
        limits = (
            clock
            for mark in self._taken(like, count)
            if mark in self.state.parts
            for clock in clocks_on(self.context.shop, self.state, mark)
            if clock.kind == "within"
        )
        ends = (route.number_of(StepRef(clock.procedure, clock.step)) for clock in limits)
        return any(end is None or end <= last for end in ends)

    def _hold(self, like: LikeParts, reach: Reach, count: int) -> Hold | None:
        """The scarcest of the tools that so many parts take and keep through a wait, where they take any."""
        procedure, step = like.chain[0]
        least = None if like.runs or like.work is not None else self.tools.least_free(procedure, step)
        if least is None or least.free < 1:
            return None
        done = {one.id for inside, one in like.chain[: reach.steps] if inside is procedure}
        for hold in self.tools.taken(procedure, step):
            if hold.tool == least.tool and procedure.steps[hold.first].id in done:
                given_back = procedure.steps[hold.last].id in done and not reach.over_gap
                return Hold(hold.tool, count / least.free, keeps=not given_back)
        return None

    def _may_be_begun_only(self, like: LikeParts) -> bool:
        """True where the first step can be left at any moment, and starts no limit."""
        step = like.chain[0][1]
        return (
            step.stop == "anywhere"
            and all(wait.within is None for wait in step.waits)  # who begins it would finish it
            and not like.runs
            and not (step.conditions.loud and self.quiet_in is not None)
        )

    def _beginnings(self, like: LikeParts, reach: Reach, first: int, count: int) -> Iterator[Option]:
        """The first step of so many parts, begun only and left half way in the first of them; all of them
        where they go at once. ``reach`` is to the end of that step."""
        whole, of_all = reach.minutes(first - like.done), reach.minutes(count - like.done)
        begin_by = self._begun_by(like, count, of_all)
        if begin_by < 0:
            return
        worth = self._worth(like, reach, 0, whole, ())
        for minutes in self._begun_for(reach.families, whole):
            yield Option(
                minutes=minutes + CHANGE_OVER_MINUTES,
                worth=round(worth / whole * begun_is_worth(minutes)),
                families=reach.families,
                start_by=begin_by if begin_by < self.minutes else None,
                away=self._put_away(reach.families),
                pieces=count,
                minutes_left=max(1, math.ceil(of_all) - minutes),
            )

    def _begun_by(self, like: LikeParts, count: int, minutes: float) -> int:
        """Minutes into the slot by which the first step of so many parts is to be begun, to be left half way;
        below 0 where it is not, because a limit that runs on them would leave too little for the rest of it
        after the slot. The slot where nothing limits it."""
        latest = float(self.minutes)
        procedure, step = like.chain[0]
        marks = self._taken(like, count) if like.spoils else ()
        for number, mark in enumerate(marks):
            ends_here = not number or step.batch == "together"
            for clock in clocks_on(self.shop, self.state, mark) if mark in self.state.parts else ():
                left = seconds_left(self.context, clock) if clock.kind == "within" else None
                if left is None:
                    continue
                ref = StepRef(clock.procedure, clock.step)
                if ends_here and clock.ends == "begin" and ref == procedure.ref(step):
                    latest = min(latest, left / 60)
                elif left / 60 < self.minutes + minutes:
                    return -1
        return math.floor(latest)

    def _begun_for(self, families: Sequence[SetUp], whole: float) -> Sequence[int]:
        """The minutes of work that a beginning may have: where few are left beside the set-up, those."""
        room = self.minutes - CHANGE_OVER_MINUTES - set_up_of(families, self.times.set_up, self.free)
        if room < min(BEGUN_EVERY, whole):
            return range(max(1, room), room + 1)
        first, every = (LEAST_OF_SHORT_STEP, 2) if whole <= SHORT_STEP_MINUTES else (BEGUN_EVERY, BEGUN_EVERY)
        return range(first, min(self.minutes, math.ceil(whole)) + 1, every)

    def _worth(
        self, like: LikeParts, reach: Reach, count: int, work: float, spoils: Sequence[datetime | None]
    ) -> int:
        ends = [at for at in spoils if at is not None]
        unbroken = reach.unbroken_all * count
        waiting = reach.waiting  # and what other things fill is no shorter, where the parts can't be left
        if unbroken and reach.over_gap and like.chain[like.gap_after - 1][1].stop == "go straight on":
            waiting += self._gap(like)
        has_to_end = like.work is not None and like.chain[0][1].has_to_end
        asked = (
            worth_asked(
                like.wanted,
                self.asked.anything_first,
                work,
                count,
                spoils=bool(ends) or has_to_end,
                in_a_run=like.in_a_run,
            )
            if like.wanted or self.asked.anything_first
            else 0.0
        )
        return worth_of(
            Valued(
                minutes=work,
                parts=count,
                unbroken_minutes=max(reach.unbroken, unbroken + (waiting if unbroken else 0.0)),
                behind_minutes=like.minutes_behind,
                own_minutes=like.minutes_left,
                done_share=like.done_share,
                shelf_share=like.shelf_share,
                drying_minutes=reach.drying,
                beside_minutes=reach.beside if reach.at_once > USUAL_SLOT_MINUTES[1] else 0.0,
                sat_out_minutes=reach.waiting,
                spoils=bool(ends),
                spoils_meanwhile=bool(ends) and self._spoils_meanwhile(ends),
                in_hand=like.work is not None,
                running=like.work is not None and self.context.state.works[like.work].status == "running",
                in_a_run=like.in_a_run,
                asked=asked,
                ends_part=count > 0 and reach.steps == len(like.left),
            ),
            like.by_parts,
        )

    def _start_by(self, like: LikeParts, count: int, steps: int) -> int | None:
        """Minutes into the slot by which it must begin; None where nothing limits it within the slot."""
        minutes_of = partial(self.times.minutes_of, like.kind)
        in_hand = -like.done * minutes_of(*like.chain[0])
        marks, chain, waits_already = self._taken(like, count), like.chain[:steps], bool(like.runs)
        latest = start_by(self.context, marks, chain, minutes_of, in_hand, waits_already=waits_already)
        return None if latest is None or latest >= self.minutes else math.floor(latest)


def _counts(parts: int, whole: frozenset[int]) -> list[int]:
    """How many of the parts may go along: the set sizes, and whole batches, all of them when they are few."""
    counts = {count for count in PIECES if count < parts}
    return sorted(counts | {count for count in whole if count <= PIECES[-1]})


def that_save_first(options: Sequence[Option]) -> list[Option]:
    """The options of a candidate, none worth as much as one that saves more in no more minutes.

    What is done on the saved ones after their limit only fills the slot: however much that is worth, it is no
    match for a part that goes to waste meanwhile.
    """
    most = max((one.saves for one in options), default=0)
    if not most:
        return list(options)
    found = list(options)
    # Of those that save more first, so that their own worth is what it is to be.
    for at in sorted(range(len(found)), key=lambda at: -found[at].saves):
        one = found[at]
        better = [
            more.worth
            for more in found
            if more.saves > one.saves and more.minutes <= one.minutes and {*more.families} <= {*one.families}
        ]
        if better and one.worth >= max(better):
            found[at] = one._replace(worth=max(0, max(better) - 1))
    return found
