"""Leaves out of a plan what would make it miss a limit beside a wait that it begins itself.

Where one is missed in whatever order a plan is done, something of it has to be left out: one of those waits,
or what is in its way. All ways are looked at, the worthiest first, as long as they are not too many;
then all of those waits are left out.
"""

import heapq
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TypeAlias, TypeVar

from kiosk.planning.plan import Plan
from kiosk.planning.work.candidate import Candidate
from kiosk.planning.work.found_work import FoundWork

MOST_LEFT_OUT = 16  # ways to leave something out

LeftOut: TypeAlias = frozenset[tuple[int, int]]  # options by their candidate's place among all, and their own
Answer = TypeVar("Answer")  # a plan, or those of all at the bench


def that_keeps_its_limits(
    without: Callable[[LeftOut], Answer],
    plan_of: Callable[[Answer], Plan],
    worth_of: Callable[[Answer], int],
    most: int = MOST_LEFT_OUT,
) -> Answer:
    """The best answer whose plan misses none, of at most so many ways to leave something out; ``without``
    gives the best without some options."""
    nothing: LeftOut = frozenset()
    answer = without(nothing)
    if not plan_of(answer).told.late:
        return answer
    ways = [(-worth_of(answer), 0, nothing, answer)]
    seen = {nothing}
    left_out = nothing
    while ways and len(seen) <= most:
        _, _, left_out, answer = heapq.heappop(ways)
        if not plan_of(answer).told.late:
            return answer
        for more in _one_less(plan_of(answer)):
            if (fewer := left_out | more) not in seen:
                seen.add(fewer)
                other = without(fewer)
                heapq.heappush(ways, (-worth_of(other), len(seen), fewer, other))
    while plan_of(answer).told.late:
        left_out |= _all_waits(plan_of(answer))
        answer = without(left_out)
    return max([answer, *(way for *_, way in ways if not plan_of(way).told.late)], key=worth_of)


def made_too_long(found: FoundWork, left_out: LeftOut) -> tuple[Candidate, ...]:
    """The candidates without some of the options: these are made too long for any plan, so that the others
    keep their places."""
    return tuple(
        replace(
            one,
            options=tuple(
                found.too_long(option) if (place, at) in left_out else option
                for at, option in enumerate(one.options)
            ),
        )
        for place, one in zip(found.places, found.candidates, strict=True)
    )


def as_it_was(found: FoundWork, before: FoundWork) -> FoundWork:
    """The same with the candidates of ``before`` for those that were made too long."""
    as_found = dict(zip(before.places, before.candidates, strict=True))
    candidates = (as_found.get(place, one) for place, one in zip(found.places, found.candidates, strict=True))
    return replace(found, candidates=tuple(candidates))


def _one_less(plan: Plan) -> Iterator[LeftOut]:
    """What to leave out so that one thing of a plan is not in it as it is, or begins no wait with a limit:
    less of it may do, or it may give way to what the limit is of."""
    for number, at in plan.chosen.options.items():
        place, candidate = plan.found.places[number], plan.found.candidates[number]
        if candidate.options[at].waits_at_most is not None:
            yield _waits_of(place, candidate)
        if not candidate.like.in_a_run:
            yield frozenset({(place, at)})


def _all_waits(plan: Plan) -> LeftOut:
    """Every way to begin one of the waits in a plan that have a limit after them."""
    nothing: LeftOut = frozenset()
    found = plan.found
    return nothing.union(
        *(
            _waits_of(found.places[number], found.candidates[number])
            for number, at in plan.chosen.options.items()
            if found.candidates[number].options[at].waits_at_most is not None
        )
    )


def _waits_of(place: int, candidate: Candidate) -> LeftOut:
    options = enumerate(candidate.options)
    return frozenset((place, at) for at, option in options if option.waits_at_most is not None)
