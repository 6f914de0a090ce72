"""The answer to "I have N minutes": what to do, why, what to fetch, the chance, and how it is left."""

import heapq
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import islice

from kiosk.dataclass import dataclass
from kiosk.planning.likely_plan import likely_plan
from kiosk.planning.limits_left_out import limits_left_out, with_what_runs_out
from kiosk.planning.longest_slot import LongestSlot
from kiosk.planning.plan import WANTED_CHANCE, Plan
from kiosk.planning.preparing import NextSlot, Preparation, next_slot, preparations
from kiosk.planning.set_up_ahead import SetUpAhead, set_up_ahead
from kiosk.planning.suggestion import Suggestion, suggestions
from kiosk.planning.times.chance import QUICK_TRIALS, PredictedPieces
from kiosk.planning.times.durations import Duration
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.with_helpers import Shared, share
from kiosk.planning.work.asked import named_first
from kiosk.planning.work.candidate import Candidate
from kiosk.planning.work.find_work import find_work
from kiosk.planning.work.found_work import NotNow
from kiosk.planning.work.in_reserve import InReserve, most_worth
from kiosk.planning.work.limits import spoils_meanwhile
from kiosk.planning.work.shelf_life import ShelfLife
from kiosk.planning.work.to_put_away import LATE_MINUTES, closing_and_away, times_to_put_away
from kiosk.record.context import Context
from kiosk.record.position import stands_unended
from kiosk.record.quiet_hours import quiet_within
from kiosk.record.readiness import StepStops, stops_in_hand
from kiosk.record.room import is_fresh
from kiosk.record.rules.things import LONGEST_SLOT, SHORTEST_SLOT

SHORTEST_MINUTES, LONGEST_MINUTES = SHORTEST_SLOT, LONGEST_SLOT
MOST_CHOICES = 3
MOST_TRIES = 12  # single things whose chance is worked out


@dataclass(frozen=True)
class SpareAnswer:
    """What fits in the minutes: a set to do in order, with the set-up and putting away counted in.

    Its ``total_minutes`` are more than there are where what may not be left as it is does not fit. ``chance``
    is that the builder's whole set fits; ``instead`` are single things that could be done in its
    place; ``helper_does`` is done by the helper meanwhile.
    """

    minutes: int
    suggestions: tuple[Suggestion, ...]
    set_up_ahead: SetUpAhead | None  # what to set up first, for what of them still waits
    instead: tuple[Suggestion, ...]
    helper_does: tuple[Suggestion, ...]
    total_minutes: int
    set_up_minutes: int  # for set-ups, which are put away again, for looking over, and to leave the bench
    leaving_minutes: int  # of those, to close up and put away what is out by now: as the strip counts them
    chance: float
    exact: bool  # every way was looked at; False where there were too many
    prepare: tuple[Preparation, ...]
    not_now: tuple[NotNow, ...]  # where a limit was missed first, then the largest group
    read_room: NotNow | None  # the largest group that only waits for the room to be read
    next_slot: NextSlot | None


def spare(context: Context, minutes: int) -> SpareAnswer:
    """The best use of ``minutes`` (3 to 120; outside is brought to the nearer end) from now.

    With helpers at the bench and the builder's hands on the screen, all are given something at once
    (``with_helpers.py``).
    """
    minutes = max(SHORTEST_MINUTES, min(LONGEST_MINUTES, minutes))
    predictor, shelf_life = Predictor(context), ShelfLife(context)
    planned = None
    if spoils_meanwhile(context):
        planned = _planned(context, minutes, predictor, shelf_life, saving=True)
    if planned is None or not planned.saves:
        planned = _planned(context, minutes, predictor, shelf_life, saving=False)
    assert planned is not None
    plan, shared, chance = planned.plan, planned.shared, planned.chance
    most = MOST_CHOICES - len(plan.stretches)
    in_runs = context.kept.positions.in_runs  # followed, as what was found came from them
    instead: tuple[Suggestion, ...] = ()
    if not _stands(context, in_runs):
        instead = tuple(_instead(plan, planned.in_time, most, shared.taken))
    helpers = tuple(
        one
        for theirs in shared.helpers
        for one in suggestions(theirs.plan, theirs.plan.chance(theirs.minutes))
    )
    done = suggestions(plan, chance)
    told = {mark for one in (*done, *instead, *helpers) for mark in one.marks}
    told.update(mark for one in plan.found.not_now for mark in one.marks)
    left_out = limits_left_out(context, StepStops(context).of, told, LongestSlot(context, shelf_life).takes)
    not_now = tuple(
        with_what_runs_out(context, one)
        for one in sorted((*plan.found.not_now, *left_out), key=partial(_how_far_back, context, in_runs))
    )
    return SpareAnswer(
        minutes=minutes,
        suggestions=done,
        set_up_ahead=set_up_ahead(plan),
        instead=instead,
        helper_does=helpers,
        total_minutes=plan.minutes + plan.idle_minutes + shared.look_minutes + planned.away,
        set_up_minutes=plan.set_up_minutes + shared.look_minutes + planned.away,
        leaving_minutes=planned.away,
        chance=chance,
        exact=plan.chosen.exact,
        prepare=tuple(preparations(context, shelf_life)),
        not_now=not_now,
        read_room=_reading_away(context, not_now),
        next_slot=next_slot(context),
    )


@dataclass(frozen=True)
class _Planned:
    """The builder's plan for a slot, and what the helpers do beside it."""

    plan: Plan
    shared: Shared
    away: int  # minutes to leave the bench, as it is
    in_time: int  # minutes of the slot without those, and without what looking over takes

    @property
    def saves(self) -> bool:
        """True where something in it would go to waste before anybody is back."""
        return any(one.saves for one in (self.plan, *(one.plan for one in self.shared.helpers)))

    @property
    def chance(self) -> float:
        """That the plan is done in time."""
        return self.plan.chance(self.in_time)


def _planned(
    context: Context, minutes: int, predictor: Predictor, shelf_life: ShelfLife, *, saving: bool
) -> _Planned | None:
    """What is planned, ``saving`` what goes to waste: leaving the bench may then end late now and then, as
    the work itself (``Reach.minutes_to_save``), and so may all of it by a minute or two, which are less than
    a part that has to be prepared again. None where nothing that was found saves any of it."""
    # What is out already needs no setting up any more, but it is put away at the end all the same.
    out = times_to_put_away(context, predictor)
    away = sum(closing_and_away(context, predictor, out, saving=saving))
    late = LATE_MINUTES if saving else 0
    usable = max(0, minutes - away + late)
    quiet_in = quiet_within(context.shop, context.now, usable)
    by_builder = context.doer.role == "builder"
    helpers = [one for one in context.people if one.role == "helper"] if by_builder else []
    found = replace(
        find_work(context, usable, quiet_in, predictor, shelf_life, with_reserve=not helpers),
        leaving=tuple(_leaving(context, predictor, out)),
        leaving_minutes=minutes - usable + late,
    )
    if saving and not helpers and not any(option.saves for of in found.options for option in of):
        return None
    shared = share(found, helpers, quiet_in, shelf_life)
    if shared.builder is not None and shared.builder.leaves_in_a_run(shared.taken):
        shared = Shared()  # what may not be left comes before what the others could do meanwhile
    plan = shared.builder or likely_plan(found, usable)
    return _Planned(plan, shared, away, usable - shared.look_minutes - late)


def _stands(context: Context, in_runs: Iterable[str]) -> bool:
    """True while a part may not be left as it is and is in nobody else's hands: nothing is done instead."""
    state, others = context.state, {one.id for one in context.people} - {context.doer.id}
    if any(
        stands_unended(context.shop, state, work) and not stops_in_hand(context, work)
        for work in state.works.values()
        if work.worker not in others
    ):
        return True
    held = {snag.mark for snag in state.open_snags()}  # of these the builder decides first
    return any(
        (work := state.works.get(state.part(mark).work or "")) is None or work.worker not in others
        for mark in in_runs
        if mark not in held
    )


def _leaving(context: Context, predictor: Predictor, out: Sequence[Duration]) -> Iterator[PredictedPieces]:
    """What leaving the bench takes, as it spreads: closing up, and putting away what is ``out`` already."""
    closing = predictor.closing_time(context.shop.file.put_away)
    for duration in (closing, *out) if closing is not None else out:
        yield PredictedPieces(duration, of_bench=True)


def _reading_away(context: Context, not_now: Iterable[NotNow]) -> NotNow | None:
    """What could begin if the room's reading were there and good: the room's air is the last thing asked."""
    if is_fresh(context):
        return None
    return next((one for one in not_now if one.block.kind == "room air"), None)


def _instead(plan: Plan, minutes: int, most: int, taken: frozenset[str]) -> Iterator[Suggestion]:
    """The best single things outside the plan that fit by themselves as often as wanted, worthiest first.

    They hold nothing of what is ``taken`` by the helper.
    """
    if most <= 0:
        return
    found = plan.found
    # The same step on other parts is no other thing to do.
    shown = {_first_step(found.candidates[number]) for number in plan.chosen.options}
    given = 0
    for candidate, place in islice(_ranked(plan, minutes, taken, shown), MOST_TRIES):
        alone = Plan.alone(replace(found, candidates=(candidate,), places=(), reserve=()), 0, place)
        chance = alone.chance(minutes, QUICK_TRIALS)
        if chance >= WANTED_CHANCE:
            shown.add(_first_step(candidate))
            given += 1
            yield from suggestions(alone, chance)
        if given == most:
            return


def _how_far_back(context: Context, in_runs: Collection[str], one: NotNow) -> tuple[bool, bool, bool, int]:
    """The order in which they are told: what may not be left first, then what ran out or runs out, then what
    was asked for, then what is many."""
    stands = any(mark in in_runs for mark in one.marks)
    runs_out = one.block.kind in ("late", "limit", "room air")
    return not stands, not runs_out, not named_first(context, one.marks), -len(one.marks)


def _ranked(
    plan: Plan, minutes: int, taken: frozenset[str], shown: Collection[tuple[str, str]]
) -> Iterator[tuple[Candidate, int]]:
    """Candidate and place of every option outside the plan that fits by itself, the worthiest first.

    What begins with a step that is ``shown`` by then is left out. Of the reserve those are made of which an
    option could come next.
    """
    found = plan.found
    others = [
        (number, candidate)
        for at, (number, candidate) in enumerate(zip(found.places, found.candidates, strict=True))
        if at not in plan.chosen.options and _first_step(candidate) not in shown
    ]
    # By worth, then in the order of the candidates, the longest option first; what is in reserve stands
    # before all that is worth no more than it could be.
    heap: list[tuple[float, int, int, Candidate | InReserve]] = [
        *_by_worth(others),
        *((-most_worth(one.by_parts, minutes, one.in_one_go), -1, one.place, one) for one in found.reserve),
    ]
    heapq.heapify(heap)
    while heap:
        _, _, at, one = heapq.heappop(heap)
        if isinstance(one, InReserve):
            if one.step not in shown and (made := one.make()) is not None:
                for entry in _by_worth([(one.place, made)]):
                    heapq.heappush(heap, entry)
        elif (
            _first_step(one) not in shown
            and found.fits_alone(one.options[-at], minutes)
            and not (taken and one.stretch(-at).holds(found.context.shop) & taken)
        ):
            yield one, -at


def _by_worth(
    candidates: Iterable[tuple[int, Candidate]],
) -> Iterator[tuple[float, int, int, Candidate | InReserve]]:
    for number, candidate in candidates:
        for at, option in enumerate(candidate.options):
            yield -option.worth, number, -at, candidate


def _first_step(candidate: Candidate) -> tuple[str, str]:
    return candidate.procedure.id, candidate.step.id
