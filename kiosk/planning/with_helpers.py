"""Gives all at the bench something at once: first helper and builder exactly, other helpers from the rest."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from kiosk.planning.choose.with_helper import HelperOption, choose_pair
from kiosk.planning.plan import WANTED_CHANCE, Plan, likely_plan
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.find_work import find_work
from kiosk.planning.work.found_work import FoundWork
from kiosk.shop.shop import Person

LOOK_OVER_MINUTES = 1  # of the builder's time for each thing that a helper does


@dataclass(frozen=True)
class Shared:
    """What each helper does, and the builder's plan beside the last of them; None when no helper has any."""

    builder: Plan | None = None
    helpers: tuple[Plan, ...] = ()
    taken: frozenset[str] = frozenset()  # parts, and tools of which there is one
    look_minutes: int = 0  # of the builder's, for what the helpers do


def share(found: FoundWork, helpers: Sequence[Person], quiet_in: int | None) -> Shared:
    """Give every helper something, one after the other, and the builder the best beside it."""
    shared = Shared()
    for helper in helpers:
        shared = _with_helper(found, helper, quiet_in, shared)
    return shared


def _with_helper(found: FoundWork, helper: Person, quiet_in: int | None, shared: Shared) -> Shared:
    """The best pair: one thing for this helper and the builder's best set beside it."""
    context = found.context.seen_by(helper)
    theirs = find_work(context, found.minutes, quiet_in, Predictor(context))
    theirs = theirs.without(shared.taken, from_end=True)
    found = found.without(shared.taken)
    minutes = found.minutes - shared.look_minutes
    places, options = _offered(theirs)
    pair = choose_pair(
        [candidate.options for candidate in found.candidates],
        [
            [candidate.stretch(place).holds(context.shop) for place in range(len(candidate.options))]
            for candidate in found.candidates
        ],
        found.set_up,
        minutes,
        found.free,
        options,
    )
    if pair is None:
        return shared
    number, place = places[pair.helper]
    held = options[pair.helper]
    builder = Plan(found, replace(pair.builder, exact=pair.exact))
    minutes -= held.look_minutes
    if builder.chance(minutes) < WANTED_CHANCE:
        # The helper's part stands; the builder's is made smaller until it fits as often as wanted.
        builder = likely_plan(found.without(held.holds), minutes)
    return Shared(
        builder,
        (*shared.helpers, Plan.alone(theirs, number, place, from_end=True)),
        shared.taken | held.holds,
        shared.look_minutes + held.look_minutes,
    )


def _offered(theirs: FoundWork) -> tuple[list[tuple[int, int]], list[HelperOption]]:
    """What a helper could do by itself, and at which candidate and place it stands."""
    places: list[tuple[int, int]] = []
    options: list[HelperOption] = []
    for number, candidate in enumerate(theirs.candidates):
        for place, option in enumerate(candidate.options):
            if theirs.fits_alone(option, theirs.minutes):
                stretch = candidate.stretch(place, from_end=True)
                look = LOOK_OVER_MINUTES * len(stretch.steps)
                places.append((number, place))
                options.append(HelperOption(option.worth, stretch.holds(theirs.context.shop), look))
    return places, options
