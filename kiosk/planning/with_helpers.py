"""Gives all at the bench something at once: the sets of greatest worth together, each likely to fit."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from kiosk.dataclass import dataclass
from kiosk.planning.choose.together import BUILDER, MOST_BRANCHES, Hands, Together, Use, choose_together
from kiosk.planning.keep_limits import LeftOut, made_too_long, that_keeps_its_limits
from kiosk.planning.likely_plan import Saved, is_enough, likely_plan, smaller, what_is_saved
from kiosk.planning.plan import Plan
from kiosk.planning.shared_things import SharedThings
from kiosk.planning.times.chance import QUICK_TRIALS
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.candidate import Candidate
from kiosk.planning.work.find_work import find_work
from kiosk.planning.work.found_work import FoundWork
from kiosk.planning.work.shelf_life import ShelfLife
from kiosk.record.authority import lends_a_hand, takes_two
from kiosk.record.context import Context
from kiosk.shop.shop import Person

LOOK_OVER_MINUTES = 1  # of the builder's time for each thing that a helper does
MOST_LEFT_OUT = 5  # ways to leave something out so that limits are met
TIGHTENINGS = 4  # how often the sets are made smaller, until each is as likely to fit as wanted


@dataclass(frozen=True)
class Share:
    """What one helper does, and the minutes of the slot that are theirs to do it in."""

    plan: Plan
    minutes: int


@dataclass(frozen=True)
class Shared:
    """What each helper does, and the builder's plan beside them; None when nobody helps."""

    builder: Plan | None = None
    helpers: tuple[Share, ...] = ()
    taken: frozenset[str] = frozenset()  # parts, and tools of which there is one
    look_minutes: int = 0  # of the builder's, for what the helpers do


def share(
    found: FoundWork, helpers: Sequence[Person], quiet_in: int | None, shelf_life: ShelfLife | None = None
) -> Shared:
    """Give everybody the best that can be done together, each by their own times and rights.

    Where somebody's set is less likely to fit than wanted, theirs is planned with fewer minutes and all are
    chosen anew; where that does not help, nobody does anything beside what they save. ``shelf_life`` presses
    alike whoever works.
    """
    if not helpers:
        return Shared()
    shared = _share(found, helpers, quiet_in, shelf_life)
    if shared.builder is not None and not shared.builder.chosen.exact:
        # What was found in time may be less than the builder does alone.
        alone = likely_plan(found, found.minutes)
        theirs = sum(one.plan.chosen.worth for one in shared.helpers)
        if alone.chosen.worth > shared.builder.chosen.worth + theirs:
            return Shared(alone)
    return shared


def _share(
    found: FoundWork, helpers: Sequence[Person], quiet_in: int | None, shelf_life: ShelfLife | None
) -> Shared:
    contexts = [found.context.seen_by(helper) for helper in helpers]
    theirs = [
        _for_helper(find_work(one, found.minutes, quiet_in, Predictor(one), shelf_life, from_end=True))
        for one in contexts
    ]
    work = [found, *theirs]
    things = SharedThings(work)
    people = [_hands_of_builder(found, things, helpers), *(_hands_of_helper(one, things) for one in work[1:])]
    best: tuple[float, tuple[Plan, ...], Together] | None = None
    saved: list[Saved | None] = []
    minutes = [found.minutes] * len(work)
    for _ in range(TIGHTENINGS):
        tight = [replace(hands, minutes=most) for hands, most in zip(people, minutes, strict=True)]
        most = MOST_BRANCHES if best is None else MOST_BRANCHES // 4
        together, plans = _best_together(work, things, tight, most)
        theirs_is = [found.minutes - together.taken_from(people, person) for person in range(len(work))]
        chances = [plan.chance(own, QUICK_TRIALS) for plan, own in zip(plans, theirs_is, strict=True)]
        if best is None:
            saved = [
                what_is_saved(one, own) if plan.saves else None
                for one, plan, own in zip(work, plans, theirs_is, strict=True)
            ]
        enough = [is_enough(*one) for one in zip(plans, chances, saved, strict=True)]
        if all(enough):
            return _shared(plans, together, people)
        if best is None or min(chances) > best[0]:
            best = (min(chances), plans, together)
        for person in (number for number, is_so in enumerate(enough) if not is_so):
            taken = together.taken_from(people, person)
            less = smaller(plans[person], minutes[person] - taken, max(1, found.minutes // 8))
            minutes[person] = max(0, taken + less)
    assert best is not None
    if any(saved):
        held = [
            hands if own is None else _saving(hands, own.limit + together.taken_from(people, person))
            for person, (hands, own) in enumerate(zip(tight, saved, strict=True))
        ]
        together, plans = _best_together(work, things, held, MOST_BRANCHES // 4)
        return _shared(plans, together, people)
    return _shared(best[1], best[2], people)


def _best_together(
    work: Sequence[FoundWork], things: SharedThings, people: Sequence[Hands], most_branches: int
) -> tuple[Together, tuple[Plan, ...]]:
    """The best sets together, each as a plan, that miss no limit beside a wait that they begin: none but the
    builder's do, as a helper is given no wait."""

    def without(left_out: LeftOut) -> tuple[Together, tuple[Plan, ...]]:
        hands = list(people)
        if left_out:
            left = made_too_long(work[BUILDER], left_out)
            # Who is held to what they save has no options for the rest.
            options = [
                one.options if had else () for one, had in zip(left, hands[BUILDER].options, strict=True)
            ]
            hands[BUILDER] = replace(hands[BUILDER], options=options)
        most = most_branches // 4 if left_out else most_branches
        together = choose_together(hands, things.there_are, most_branches=most)
        return together, _plans(work, together)

    return that_keeps_its_limits(
        without, lambda one: one[1][BUILDER], lambda one: one[0].worth, MOST_LEFT_OUT
    )


def _saving(hands: Hands, minutes: int) -> Hands:
    """Somebody's hands for nothing but what they save, in so many minutes."""
    saves = [any(one.saves for one in options) for options in hands.options]
    return replace(
        hands,
        options=[of if is_so else () for of, is_so in zip(hands.options, saves, strict=True)],
        uses=[of if is_so else () for of, is_so in zip(hands.uses, saves, strict=True)],
        minutes=minutes,
    )


def _shared(plans: tuple[Plan, ...], together: Together, people: Sequence[Hands]) -> Shared:
    minutes = plans[BUILDER].found.minutes
    shop = plans[BUILDER].found.context.shop
    helpers = tuple(
        Share(plan, minutes - together.taken_from(people, person))
        for person, plan in enumerate(plans)
        if person != BUILDER
    )
    taken = [stretch.holds(shop) for one in helpers for stretch in one.plan.stretches]
    return Shared(plans[BUILDER], helpers, frozenset().union(*taken), together.taken_from(people, BUILDER))


def _plans(work: Sequence[FoundWork], together: Together) -> tuple[Plan, ...]:
    """Each person's set as a plan; of like parts the builder takes the first, the helpers from the end."""
    plans = [Plan(work[BUILDER], replace(together.sets[BUILDER], exact=together.exact))]
    gone: set[str] = set()
    for found, chosen in zip(work[BUILDER + 1 :], together.sets[BUILDER + 1 :], strict=True):
        left = tuple(
            _without(one, gone) if number in chosen.options else one
            for number, one in enumerate(found.candidates)
        )
        plan = Plan(replace(found, candidates=left), replace(chosen, exact=together.exact), from_end=True)
        gone |= {mark for stretch in plan.stretches for mark in stretch.marks}
        plans.append(plan)
    return tuple(plans)


def _without(candidate: Candidate, gone: set[str]) -> Candidate:
    """A candidate with only those of its parts that nobody has taken yet."""
    marks = tuple(mark for mark in candidate.marks if mark not in gone)
    if len(marks) == len(candidate.marks):
        return candidate
    return replace(candidate, like=replace(candidate.like, marks=marks))


def _for_helper(found: FoundWork) -> FoundWork:
    """What a helper can do: nothing that holds a wait to fill, and nothing that takes two."""
    left = []
    for candidate in found.candidates:
        alone = _steps_alone(found.context, candidate)
        kept = tuple(one for one in candidate.options if not one.waits and one.steps <= alone)
        left.append(replace(candidate, options=kept))
    return replace(found, candidates=tuple(left))


def _steps_alone(context: Context, candidate: Candidate) -> int:
    """How many steps of a candidate one pair of hands can do."""
    chain = candidate.like.chain
    return next((number for number, (_, step) in enumerate(chain) if takes_two(context, step)), len(chain))


def _hands_of_builder(found: FoundWork, things: "SharedThings", helpers: Sequence[Person]) -> Hands:
    """The builder's options: where one takes two, those minutes of a helper's who can lend a hand as well."""
    uses: list[list[Use]] = []
    for candidate in found.candidates:
        shares = list(_shares_with_two(found, candidate))
        kept = []
        for option in candidate.options:
            steps = [step for _, step in candidate.like.chain[: option.steps]]
            other = lends_a_hand(found.context, steps) if shares[option.steps - 1] else None
            if other in helpers:
                minutes = math.ceil(shares[option.steps - 1] * option.minutes - 1e-9)
                kept.append(Use(things.used(candidate, option), minutes, 1 + helpers.index(other)))
            else:
                kept.append(Use(things.used(candidate, option)))
        uses.append(kept)
    return _hands(found, uses)


def _hands_of_helper(found: FoundWork, things: "SharedThings") -> Hands:
    """A helper's options: the builder looks at each step of them."""
    uses = [
        [
            Use(things.used(candidate, option, from_end=True), LOOK_OVER_MINUTES * option.steps)
            for option in candidate.options
        ]
        for candidate in found.candidates
    ]
    return _hands(found, uses)


def _hands(found: FoundWork, uses: Sequence[Sequence[Use]]) -> Hands:
    options = [candidate.options for candidate in found.candidates]
    return Hands(options, uses, found.set_up, found.minutes, found.free)


def _shares_with_two(found: FoundWork, candidate: Candidate) -> Iterator[float]:
    """For each place along a candidate's chain, the share of the minutes up to there that take two."""
    lifted = minutes = 0.0
    for procedure, step in candidate.like.chain:
        of_step = found.predictor.piece(procedure, step, candidate.like.kind).median_minutes
        minutes += of_step
        lifted += of_step if takes_two(found.context, step) else 0.0
        yield lifted / minutes
