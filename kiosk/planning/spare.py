"""The answer to "I have N minutes": what to do, why, what to fetch, the chance, and how it is left."""

import math
from dataclasses import dataclass, replace
from datetime import datetime

from kiosk.planning.choose.exact import Chosen, Option, choose, in_order, set_up_of
from kiosk.planning.choose.with_helper import HelperOption, choose_pair
from kiosk.planning.prepare import next_slot, not_now, prepare
from kiosk.planning.suggest import Suggestion, order, suggest
from kiosk.planning.times.chance import TRIALS, Task, chance_of_fitting
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.candidate import Candidate, Plan
from kiosk.planning.work.find_work import Found, find
from kiosk.record.context import Context
from kiosk.record.readiness import minutes_until_quiet
from kiosk.shop.procedure import Family
from kiosk.shop.shop import Person, Shop

SHORTEST_MINUTES = 3
LONGEST_MINUTES = 120
WANTED_CHANCE = 0.75  # that the whole fits; what can be left anywhere loses little by running over
TIGHTENINGS = 3  # how often the plan is made smaller to reach it
LOOK_OVER_MINUTES = 1  # of the builder's time for each thing that a helper does
MOST_CHOICES = 3
MOST_TRIES = 12  # single things whose chance is worked out


@dataclass(frozen=True)
class SpareAnswer:
    """What fits in the minutes: a set to do in order, with the set-up and putting away counted in.

    ``chance`` is that the builder's whole set fits; ``instead`` are single things that could be done in its
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
    prepare: tuple[str, ...]
    not_now: tuple[str, ...]
    next_slot: str


@dataclass(frozen=True)
class _Made:
    """A plan for one person."""

    found: Found
    chosen: Chosen
    predictor: Predictor
    from_end: bool = False  # the helper takes the last of like parts, the builder the first

    def picked(self) -> list[tuple[Candidate, Plan]]:
        pairs = [
            (self.found.candidates[number], self.found.candidates[number].plan(place, from_end=self.from_end))
            for number, place in self.chosen.options.items()
        ]
        return sorted(pairs, key=order)

    @classmethod
    def alone(
        cls, found: Found, number: int, place: int, predictor: Predictor, *, from_end: bool = False
    ) -> "_Made":
        """A plan of one option and nothing else."""
        option = found.candidates[number].options[place]
        chosen = Chosen({number: place}, option.worth, _minutes_alone(found, option), option.families)
        return cls(found, chosen, predictor, from_end)

    @property
    def idle(self) -> int:
        """Minutes of a wait that nothing else in the plan fills, set-ups included."""
        gaps = [
            plan.gap_minutes - (self.chosen.minutes - plan.minutes)
            for _, plan in self.picked()
            if plan.gap_minutes
        ]
        return max([0, *gaps])


def spare(context: Context, minutes: int) -> SpareAnswer:
    """The best use of ``minutes`` (3 to 120; outside is brought to the nearer end) from now.

    With helpers at the bench and the builder's hands on the screen, all are given something at once: the
    first helper and the builder exactly, every further helper from what that leaves.
    """
    shop, state, doer, today = context.shop, context.state, context.doer, context.today
    minutes = max(SHORTEST_MINUTES, min(LONGEST_MINUTES, minutes))
    predictor = Predictor(shop, state, doer, today)
    away = predictor.closing(shop.file.put_away)
    usable = max(0, minutes - away)
    quiet_in = _quiet_in(shop, context.now, usable)
    found = find(context, usable, quiet_in, predictor)
    made: _Made | None = None
    helper_does: tuple[Suggestion, ...] = ()
    taken, looks = frozenset[str](), 0
    helpers = [one for one in context.people if one.role == "helper"] if doer.role == "builder" else []
    for helper in helpers:
        helper_predictor = Predictor(shop, state, helper, today)
        for_helper = find(context.seen_by(helper), usable, quiet_in, helper_predictor)
        left = _without(shop, found, taken)
        for_helper = _without(shop, for_helper, taken, from_end=True)
        together = _with_helper(shop, left, for_helper, predictor, helper_predictor, usable, looks)
        if together is not None:
            made, helper_made, held = together
            taken, looks = taken | held.holds, looks + held.look_minutes
            helper_does += _in_words(shop, helper_made, helper, _chance(helper_made, usable))
    made = made or _likely(found, predictor, usable)
    work_minutes = sum(plan.minutes for _, plan in made.picked())
    chance = _chance(made, usable - looks)
    suggestions = _in_words(shop, made, doer, chance)
    instead = tuple(
        suggest(shop, candidate, plan, doer, free=found.free, predictor=predictor, chance=alone)
        for candidate, plan, alone in _instead(
            shop, made, usable - looks, MOST_CHOICES - len(suggestions), taken
        )
    )
    return SpareAnswer(
        minutes=minutes,
        suggestions=suggestions,
        instead=instead,
        helper_does=helper_does,
        total_minutes=made.chosen.minutes + made.idle + looks + away,
        set_up_minutes=made.chosen.minutes - work_minutes + looks + away,
        chance=chance,
        exact=made.chosen.exact,
        prepare=tuple(prepare(shop, state, today)),
        not_now=tuple(not_now(found)),
        next_slot=next_slot(shop, state),
    )


def _in_words(shop: Shop, made: _Made, person: Person, chance: float) -> tuple[Suggestion, ...]:
    return tuple(
        suggest(shop, candidate, plan, person, free=made.found.free, predictor=made.predictor, chance=chance)
        for candidate, plan in made.picked()
    )


def _quiet_in(shop: Shop, now: datetime, usable: int) -> int | None:
    """Whole minutes until quiet hours, where they begin within the slot."""
    minutes = minutes_until_quiet(shop, now)
    return math.floor(minutes) if minutes is not None and 0 < minutes < usable else None


def _plan(found: Found, predictor: Predictor, minutes: int) -> _Made:
    """The plan of greatest worth, no longer than ``minutes``."""
    options = [candidate.options for candidate in found.candidates]
    return _Made(found, choose(options, found.set_up, min(minutes, found.minutes), found.free), predictor)


def _likely(found: Found, predictor: Predictor, usable: int) -> _Made:
    """The best plan whose chance of fitting is as wanted; the likeliest seen when none reaches it."""
    best: tuple[_Made, float] | None = None
    limit = usable
    for _ in range(TIGHTENINGS):
        made = _plan(found, predictor, limit)
        chance = _chance(made, usable, TRIALS // 4)
        if chance >= WANTED_CHANCE or not made.chosen.options:
            if made.chosen.options or best is None:
                return made
            break
        if best is None or chance > best[1]:
            best = (made, chance)
        limit = min(limit, made.chosen.minutes) - max(1, usable // 8)
        if limit <= 0:
            break
    assert best is not None
    return best[0]


def _chance(made: _Made, usable: int, trials: int = TRIALS) -> float:
    tasks: list[Task] = []
    fixed = float(made.idle)
    families: set[Family] = set(made.found.free)
    for _, plan in made.picked():
        fixed += plan.waiting_minutes + plan.head_start
        for procedure, step in plan.steps:
            tasks.append(Task(made.predictor.piece(procedure, step), len(plan.marks)))
            family = procedure.family_of(step)
            if family not in families:
                families.add(family)
                set_up = made.predictor.set_up(procedure, step)
                if set_up is not None:
                    tasks.append(Task(set_up))
                fixed += step.minutes.put_away
    return chance_of_fitting(tasks, fixed, usable, trials=trials)


# Two at the bench


def _with_helper(
    shop: Shop,
    found: Found,
    for_helper: Found,
    predictor: Predictor,
    helper_predictor: Predictor,
    usable: int,
    looks: int,
) -> tuple[_Made, _Made, HelperOption] | None:
    """The best pair: one thing for the helper and the builder's best set beside it.

    ``looks`` minutes of the builder's go to other helpers already.
    """
    places: list[tuple[int, int]] = []
    options: list[HelperOption] = []
    for number, candidate in enumerate(for_helper.candidates):
        for place, option in enumerate(candidate.options):
            if _fits_alone(for_helper, option, usable):
                plan = candidate.plan(place, from_end=True)
                look = LOOK_OVER_MINUTES * len(plan.steps)
                places.append((number, place))
                options.append(HelperOption(option.worth, _holds(shop, plan), look))
    pair = choose_pair(
        [candidate.options for candidate in found.candidates],
        [
            [_holds(shop, candidate.plan(place)) for place in range(len(candidate.options))]
            for candidate in found.candidates
        ],
        found.set_up,
        usable - looks,
        found.free,
        options,
    )
    if pair is None:
        return None
    number, place = places[pair.helper]
    helper_made = _Made.alone(for_helper, number, place, helper_predictor, from_end=True)
    held = options[pair.helper]
    room = usable - looks - held.look_minutes
    beside = _Made(found, replace(pair.builder, exact=pair.exact), predictor)
    if _chance(beside, room) < WANTED_CHANCE:
        # The helper's part stands; the builder's is made smaller until it fits as often as wanted.
        beside = _likely(_without(shop, found, held.holds), predictor, room)
    return beside, helper_made, held


def _fits_alone(found: Found, option: Option, usable: int) -> bool:
    fits = not option.waits and _minutes_alone(found, option) <= usable
    return fits and in_order([(0, option)], found.set_up, usable, found.free)


def _minutes_alone(found: Found, option: Option) -> int:
    return option.minutes + set_up_of(option.families, found.set_up, found.free)


def _holds(shop: Shop, plan: Plan) -> frozenset[str]:
    """What nobody else can have meanwhile: its parts, and the tools of which there is only one."""
    tools = {f"tool {name}" for _, step in plan.steps for name in step.tools if shop.tools[name].have < 2}
    return frozenset({f"part {mark}" for mark in plan.marks} | tools)


def _without(shop: Shop, found: Found, taken: frozenset[str], *, from_end: bool = False) -> Found:
    """What was found, with only those options that hold nothing of what is taken."""
    if not taken:
        return found
    left = []
    for candidate in found.candidates:
        kept = [
            place
            for place in range(len(candidate.options))
            if not _holds(shop, candidate.plan(place, from_end=from_end)) & taken
        ]
        left.append(
            replace(
                candidate,
                options=tuple(candidate.options[place] for place in kept),
                shapes=tuple(candidate.shapes[place] for place in kept),
            )
        )
    return replace(found, candidates=tuple(left))


# Or instead


def _instead(
    shop: Shop, made: _Made, usable: int, most: int, taken: frozenset[str]
) -> list[tuple[Candidate, Plan, float]]:
    """The best single things outside the plan that fit by themselves as often as wanted, worthiest first.

    They hold nothing of what is ``taken`` by the helper.
    """
    if most <= 0:
        return []
    ranked = sorted(
        (
            (option.worth, -number, place)
            for number, candidate in enumerate(made.found.candidates)
            if number not in made.chosen.options
            for place, option in enumerate(candidate.options)
            if _fits_alone(made.found, option, usable)
            and not (taken and _holds(shop, candidate.plan(place)) & taken)
        ),
        reverse=True,
    )
    found: list[tuple[Candidate, Plan, float]] = []
    # The same step on other parts is no other thing to do.
    shown = {_first_step(made.found.candidates[number]) for number in made.chosen.options}
    tries = 0
    for _, negative, place in ranked:
        number = -negative
        candidate = made.found.candidates[number]
        if _first_step(candidate) in shown or tries >= MOST_TRIES or len(found) == most:
            continue
        tries += 1
        alone = _Made.alone(made.found, number, place, made.predictor)
        chance = _chance(alone, usable, TRIALS // 4)
        if chance >= WANTED_CHANCE:
            shown.add(_first_step(candidate))
            found.append((candidate, candidate.plan(place), chance))
    return found


def _first_step(candidate: Candidate) -> tuple[str, str]:
    return candidate.procedure.id, candidate.step.id
