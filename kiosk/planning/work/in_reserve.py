"""Like parts whose options are made only where one of them could be in the best plan.

Most groups of a large shop can't be: what they are worth a minute is less than what the slot is filled with
already. That is seen from figures which cost nothing, before any option is made.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from kiosk.planning.choose.option import Option, set_up_of
from kiosk.planning.work.candidate import Candidate
from kiosk.planning.work.worth import A_MINUTE, RARE, share_of_slots_too_short
from kiosk.shop.procedure import Family

SHORTEST_OPTION_MINUTES = 2  # one of work, and one to find the place
FEWEST_AT_ONCE = 16  # made before the choice is looked at again


@dataclass(frozen=True)
class InReserve:
    """Like parts without a limit, a wait, a tool to keep or an end of theirs: what a minute is worth is all.

    ``place`` is where they stand among all candidates, ``family`` what they begin with, ``by_parts`` as in
    ``LikeParts``.
    """

    place: int
    family: Family
    by_parts: float
    make: Callable[[], Candidate | None]


def most_worth(by_parts: float, minutes: int) -> float:
    """No options of groups in reserve that take so many minutes together are worth more.

    ``by_parts`` is the greatest of the groups. What has to be done in one go is never longer than the option.
    """
    work = minutes - 1
    a_minute = A_MINUTE + by_parts + RARE * share_of_slots_too_short(work)
    return work * a_minute + minutes  # each worth is rounded


def needed(
    reserve: Sequence[InReserve],
    made: Sequence[tuple[int, Sequence[Option]]],
    set_up: Mapping[Family, int],
    minutes: int,
    free: frozenset[Family],
    bounds: Sequence[int],
    at_once: int = FEWEST_AT_ONCE,
) -> list[InReserve]:
    """Those of the reserve to make next; none when a choice from what is made is one from everything.

    ``bounds`` is what no set of what is ``made`` can pass, by minutes; ``made`` is each candidate's place and
    options. Set-up families stand in the order of their first candidates, by which equal worths are told
    apart: so whatever could be first of its family is needed too.
    """
    first: dict[Family, int] = {}
    for place, options in made:
        if not options or place >= first.get(options[0].families[0], math.inf):
            continue
        if any(
            one.usual and one.minutes + set_up_of(one.families, set_up, free) <= minutes for one in options
        ):
            first[options[0].families[0]] = place
    found = []
    for one in reserve:  # in order: the first of a family stands for those after it
        if one.place < first.get(one.family, math.inf):
            found.append(one)
            first[one.family] = one.place
    taken = {one.place for one in found}
    left = sorted((one for one in reserve if one.place not in taken), key=lambda one: -one.by_parts)
    if left and _could_be_better(left[0].by_parts, bounds, minutes):
        found += left[:at_once]
    return found


def _could_be_better(by_parts: float, bounds: Sequence[int], minutes: int) -> bool:
    """True where groups with so much a minute could be in a set that is as good as the best so far."""
    return not bounds or any(
        bounds[minutes - taken] + most_worth(by_parts, taken) >= bounds[minutes]
        for taken in range(SHORTEST_OPTION_MINUTES, minutes + 1)
    )
