"""The answer to "I have N minutes": what to do, why, what to fetch, the chance, and how it is left."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from kiosk.planning.plan import QUICK_TRIALS, WANTED_CHANCE, Plan, likely_plan
from kiosk.planning.preparing import NextSlot, Preparation, next_slot, preparations
from kiosk.planning.suggestion import Suggestion, suggestions
from kiosk.planning.times.chance import PredictedPieces
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.with_helpers import Shared, share
from kiosk.planning.work.candidate import Candidate
from kiosk.planning.work.find_work import find_work
from kiosk.planning.work.found_work import NotNow
from kiosk.planning.work.out_on_bench import minutes_to_put_away, times_to_put_away
from kiosk.planning.work.shelf_life import ShelfLife
from kiosk.record.context import Context
from kiosk.record.readiness import minutes_until_quiet
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
    instead: tuple[Suggestion, ...]
    helper_does: tuple[Suggestion, ...]
    total_minutes: int
    set_up_minutes: int
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
    predictor = Predictor(context)
    # What is out already needs no setting up any more, but it is put away at the end all the same.
    away = predictor.closing(context.shop.file.put_away) + minutes_to_put_away(context, predictor)
    usable = max(0, minutes - away)
    quiet_in = _quiet_in(context, usable)
    shelf_life = ShelfLife(context)
    by_builder = context.doer.role == "builder"
    helpers = [one for one in context.people if one.role == "helper"] if by_builder else []
    found = replace(
        find_work(context, usable, quiet_in, predictor, shelf_life, with_reserve=not helpers),
        leaving=tuple(_leaving(context, predictor)),
        leaving_minutes=minutes - usable,
    )
    shared = share(found, helpers, quiet_in)
    if shared.builder is not None and not shared.builder.leaves_nothing_in_a_run:
        shared = Shared()  # what may not be left comes before what the others could do meanwhile
    plan = shared.builder or likely_plan(found, usable)
    left = usable - shared.look_minutes
    chance = plan.chance(left)
    most = MOST_CHOICES - len(plan.stretches)
    not_now = tuple(sorted(found.not_now, key=lambda one: (one.block.kind != "late", -len(one.marks))))
    return SpareAnswer(
        minutes=minutes,
        suggestions=suggestions(plan, chance),
        instead=tuple(_instead(plan, left, most, shared.taken)),
        helper_does=tuple(
            one
            for theirs in shared.helpers
            for one in suggestions(theirs.plan, theirs.plan.chance(theirs.minutes))
        ),
        total_minutes=plan.minutes + plan.idle_minutes + shared.look_minutes + away,
        set_up_minutes=plan.set_up_minutes + shared.look_minutes + away,
        chance=chance,
        exact=plan.chosen.exact,
        prepare=tuple(preparations(context, shelf_life)),
        not_now=not_now,
        read_room=_reading_away(context, not_now),
        next_slot=next_slot(context),
    )


def _leaving(context: Context, predictor: Predictor) -> Iterator[PredictedPieces]:
    """What leaving the bench takes, as it spreads."""
    closing = predictor.closing_time(context.shop.file.put_away)
    away = times_to_put_away(context, predictor)
    for duration in (closing, *away) if closing is not None else away:
        yield PredictedPieces(duration)


def _reading_away(context: Context, not_now: Iterable[NotNow]) -> NotNow | None:
    """What could begin if the room's reading were there and good: the room's air is the last thing asked."""
    if is_fresh(context):
        return None
    return next((one for one in not_now if one.block.kind == "room air"), None)


def _quiet_in(context: Context, usable: int) -> int | None:
    """Whole minutes until quiet hours, where they begin within the slot."""
    minutes = minutes_until_quiet(context.shop, context.now)
    return math.floor(minutes) if minutes is not None and 0 < minutes < usable else None


def _instead(plan: Plan, minutes: int, most: int, taken: frozenset[str]) -> Iterator[Suggestion]:
    """The best single things outside the plan that fit by themselves as often as wanted, worthiest first.

    They hold nothing of what is ``taken`` by the helper.
    """
    if most <= 0:
        return
    plan = plan.beside_all()
    # The same step on other parts is no other thing to do.
    shown = {_first_step(plan.found.candidates[number]) for number in plan.chosen.options}
    tries = given = 0
    for number, place in _ranked(plan, minutes, taken):
        first = _first_step(plan.found.candidates[number])
        if first in shown or tries >= MOST_TRIES or given == most:
            continue
        tries += 1
        alone = Plan.alone(plan.found, number, place)
        chance = alone.chance(minutes, QUICK_TRIALS)
        if chance >= WANTED_CHANCE:
            shown.add(first)
            given += 1
            yield from suggestions(alone, chance)


def _ranked(plan: Plan, minutes: int, taken: frozenset[str]) -> list[tuple[int, int]]:
    """Candidate and place of every option outside the plan that fits by itself, the worthiest first."""
    found = plan.found
    ranked = sorted(
        (
            (option.worth, -number, place)
            for number, candidate in enumerate(found.candidates)
            if number not in plan.chosen.options
            for place, option in enumerate(candidate.options)
            if found.fits_alone(option, minutes)
            and not (taken and candidate.stretch(place).holds(found.context.shop) & taken)
        ),
        reverse=True,
    )
    return [(-negative, place) for _, negative, place in ranked]


def _first_step(candidate: Candidate) -> tuple[str, str]:
    return candidate.procedure.id, candidate.step.id
