"""Like parts whose options are made only where one of them could be in the best plan.

Most groups of a large shop can't be: what they are worth a minute is less than what the slot is filled with
already. That is seen from figures which cost nothing, before any option is made.
"""

import math
from collections.abc import Callable, Sequence
from functools import cached_property

from kiosk.dataclass import dataclass
from kiosk.planning.work.candidate import Candidate
from kiosk.planning.work.worth import A_MINUTE, RARE, share_of_slots_too_short

SHORTEST_OPTION_MINUTES = 2  # one of work, and one to find the place
FEWEST_AT_ONCE = 16  # made before the choice is looked at again


@dataclass(frozen=True)
class InReserve:
    """Like parts without a limit, a wait, a tool to keep or an end of theirs: what a minute is worth is all.

    ``place`` is where they stand among all candidates, ``step`` the ids of the procedure and the step that
    they begin with, ``by_parts`` as in ``LikeParts``. ``longest`` works out what ``in_one_go`` says.
    """

    place: int
    step: tuple[str, str]
    by_parts: float
    make: Callable[[], Candidate | None]
    longest: Callable[[], float] = lambda: math.inf

    @cached_property
    def in_one_go(self) -> float:
        """No more minutes of any option have to be done in one go; no end to them where it grows with the
        parts."""
        return self.longest()


def most_worth(by_parts: float, minutes: int, in_one_go: float = math.inf) -> float:
    """No options of groups in reserve that take so many minutes together are worth more.

    ``by_parts`` is the greatest of the groups, and so is ``in_one_go``, of which no option has more than it
    takes itself.
    """
    work = minutes - 1
    a_minute = A_MINUTE + by_parts + RARE * share_of_slots_too_short(min(work, in_one_go))
    return work * a_minute + minutes  # each worth is rounded


def could_be_chosen(
    reserve: Sequence[InReserve], worth: int, bounds: Sequence[int], minutes: int
) -> list[InReserve]:
    """Those of the reserve, the worthiest first, that could be in a set as good as the best.

    ``worth`` is that of the best set of all that is made, ``bounds`` what no set of it can pass, by minutes.
    Who is left out could only be beside one that is in: a set is worth no more than if all its minutes of the
    reserve were worth what those of its worthiest are.
    """
    takes = range(SHORTEST_OPTION_MINUTES, minutes + 1)
    # What a minute has to be worth more, with what it is by what has to be done in one go; and without that.
    wanted = [(worth - bounds[minutes - taken] - taken - 1e-6) / (taken - 1) - A_MINUTE for taken in takes]
    in_all = min(wanted, default=math.inf)
    by_parts = min(
        (one - RARE * share_of_slots_too_short(taken - 1) for one, taken in zip(wanted, takes, strict=True)),
        default=math.inf,
    )
    better = [
        one
        for one in reserve
        if one.by_parts >= by_parts and (math.isinf(one.in_one_go) or _most_a_minute(one) >= in_all)
    ]
    return sorted(better, key=lambda one: -_most_a_minute(one))


def _most_a_minute(one: InReserve) -> float:
    """What a minute of it is worth more at most, whatever is done."""
    return one.by_parts + RARE * share_of_slots_too_short(one.in_one_go)
