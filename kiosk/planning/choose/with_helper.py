"""The best for two at the bench: one thing in the helper's hands and the builder's best set beside it.

The two share no part and no tool of which there is only one, and the builder's look at what the helper does
is in the builder's minutes. Exact over that.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kiosk.planning.choose.exact import Chosen, choose
from kiosk.planning.choose.option import Option
from kiosk.shop.procedure import Family

BRANCHES = 40  # of the search for the builder's set, for each thing the helper could do
MOST_TRIED = 60


@dataclass(frozen=True)
class HelperOption:
    """One thing the helper could do: its worth, what it holds, and what of the builder's minutes it takes."""

    worth: int
    holds: frozenset[str]  # parts, and tools of which there is one
    look_minutes: int


@dataclass(frozen=True)
class Pair:
    """What each does: the helper's option and the builder's set."""

    helper: int
    builder: Chosen
    worth: int
    tried: int  # how many of the helper's options had to be looked at when it was found
    exact: bool = True


def choose_pair(
    builder: Sequence[Sequence[Option]],
    holds: Sequence[Sequence[frozenset[str]]],
    set_up: Mapping[Family, int],
    minutes: int,
    free: frozenset[Family],
    helper: Sequence[HelperOption],
) -> Pair | None:
    """The pair of greatest worth together; None when there is nothing for the helper.

    ``holds`` says for each of the builder's options what it holds. The helper's options are taken from the
    worthiest down; once even the builder's best without a helper could not lift the next above the best pair,
    no later one can be better. So the result is exact, as long as it says so: what takes too long is cut off.
    """
    most = choose(builder, set_up, minutes, free, most_branches=BRANCHES).bound
    best: Pair | None = None
    exact = True
    seen: dict[tuple[frozenset[str], int], Chosen] = {}
    known = {name for of_candidate in holds for names in of_candidate for name in names}
    can = [number for number, option in enumerate(helper) if option.look_minutes <= minutes]
    ranked = sorted(can, key=lambda one: (-helper[one].worth, helper[one].look_minutes, one))
    for tried, number in enumerate(ranked, 1):
        option = helper[number]
        if best is not None and option.worth + most <= best.worth:
            break
        if tried > MOST_TRIED:
            exact = False
            break
        key = (option.holds & known, option.look_minutes)
        if key not in seen:
            seen[key] = _beside(builder, holds, set_up, minutes - option.look_minutes, free, key[0])
        chosen = seen[key]
        exact = exact and chosen.exact
        if best is None or option.worth + chosen.worth > best.worth:
            best = Pair(number, chosen, option.worth + chosen.worth, tried)
    return None if best is None else replace(best, exact=exact)


def _beside(
    builder: Sequence[Sequence[Option]],
    holds: Sequence[Sequence[frozenset[str]]],
    set_up: Mapping[Family, int],
    minutes: int,
    free: frozenset[Family],
    taken: frozenset[str],
) -> Chosen:
    """The builder's best set that holds nothing of what is taken, with places as in the whole list."""
    places = [
        [place for place, names in enumerate(of_candidate) if not names & taken] for of_candidate in holds
    ]
    left = [[options[place] for place in kept] for options, kept in zip(builder, places, strict=True)]
    chosen = choose(left, set_up, minutes, free, most_branches=BRANCHES)
    options = {number: places[number][place] for number, place in chosen.options.items()}
    return replace(chosen, options=options)
