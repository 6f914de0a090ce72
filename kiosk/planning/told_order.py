"""The order in which a plan is told and done: what runs against a clock as soon as it can be begun.

Where that still has to wait, as mixed primer that stands, no more comes before it than fills its wait.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations, pairwise, permutations

from kiosk.dataclass import dataclass
from kiosk.planning.as_told import SetUpMinutes, as_told
from kiosk.planning.choose.option import SetUp
from kiosk.planning.work.candidate import Meanwhile, Stretch

# Minutes of a wait for which nothing more is begun.
LEAST_BEGUN = 5
MOST_FILLING = 10  # things of which all sets are looked at
MOST_ORDERED = 6  # of which all orders are
# Of the planned minutes, on good evenings: what has to end is planned with nine evenings in ten in mind.
GOOD_EVENINGS = (0.5, 0.7)


@dataclass(frozen=True)
class Told:
    """All that one person does in a slot, in order."""

    stretches: tuple[Stretch, ...]
    # Minutes of waiting that nothing fills, where something is told before or after what waits for its sake.
    idle_minutes: int | None = None
    # Parts that would begin a wait with a limit after it, where that or another limit is missed in any order.
    late: frozenset[tuple[str, ...]] = frozenset()


def by_what_presses(stretch: Stretch) -> tuple[int, float, float, int, str]:
    """What has a limit in the slot by its limit, of those that quiet hours end alike what spoils first; what
    may not be left as it is, what spoils later, what was asked for, what is in hand, what cannot be left half
    way, then the rest; what is only begun, and what still has to wait, comes last."""
    first = stretch.marks[0]
    spoils = math.inf if stretch.spoils_at is None else stretch.spoils_at.timestamp()
    if stretch.ready_in:
        return 7, float(stretch.ready_in), spoils, 0, first
    if stretch.minutes_left:
        return 6, 0.0 if stretch.wanted == "first" else 1.0, spoils, 0, first
    if stretch.limit is not None:
        return 0, float(stretch.limit), spoils, 0, first
    if stretch.in_a_run:
        return 0, math.inf, spoils, stretch.minutes, first
    if stretch.spoils_at is not None:
        return 1, spoils, spoils, -stretch.minutes, first
    if stretch.wanted == "first":
        return 2, math.inf, spoils, -stretch.minutes, first
    rank = 3 if stretch.work is not None else (4 if stretch.has_to_end else 5)
    return rank, math.inf, spoils, -stretch.minutes, first


def in_told_order(stretches: Iterable[Stretch], set_up_minutes: SetUpMinutes, spare_minutes: int) -> Told:
    """The order. ``spare_minutes`` are those of the slot that nothing takes."""
    told = _by_clocks(stretches, set_up_minutes, spare_minutes)
    return _with_asked_first(told, set_up_minutes, spare_minutes)


def _by_clocks(stretches: Iterable[Stretch], set_up_minutes: SetUpMinutes, spare_minutes: int) -> Told:
    """By what runs against a clock, and what fills a wait in it."""
    ordered = _what_stands_first(sorted(stretches, key=by_what_presses), set_up_minutes)
    if any(one.gap_after for one in ordered):
        # What begins a wait comes before all that fills it, and says so itself.
        return _with_own_limits(ordered, set_up_minutes, spare_minutes)
    waiting = [one for one in ordered if one.ready_in and (one.in_a_run or one.spoils_at is not None)]
    if not waiting:
        return Told(tuple(ordered))
    pressing = [one for one in ordered if one.limit is not None or one.in_a_run or one.spoils_at is not None]
    told = [one for one in pressing if not one.ready_in]
    filling = [one for one in ordered if one not in pressing and not one.ready_in]
    out: set[SetUp] = set()
    clock = 0
    for one in told:
        clock += one.minutes + set_up_minutes(one.set_ups, out)
        out.update(one.set_ups)
    for one in waiting:
        clock += set_up_minutes(one.set_ups, out)  # it is set up for while it waits
        out.update(one.set_ups)
        fills = _that_fill(filling, one.ready_in - clock, spare_minutes, out, set_up_minutes)
        for other in fills:
            filling.remove(other)
            clock += other.minutes + set_up_minutes(other.set_ups, out)
            out.update(other.set_ups)
            leave = clock > one.ready_in and other.can_be_left
            told.append(replace(other, meanwhile=Meanwhile(one.marks, one.ready_in, leave)))
        told.append(one)
        spare_minutes -= max(0, one.ready_in - clock)
        clock = max(clock, one.ready_in) + one.minutes
    told += [*filling, *(one for one in ordered if one.ready_in and one not in waiting)]
    # The plan was chosen by the other order: no limit that it keeps is missed for a wait's sake.
    before, after = as_told(ordered, set_up_minutes), as_told(told, set_up_minutes)
    if not after.late <= before.late:
        return Told(tuple(ordered))
    return Told(tuple(told), after.idle_minutes if _is_told_otherwise(told) else None)


def _with_asked_first(told: Told, set_up_minutes: SetUpMinutes, spare_minutes: int) -> Told:
    """What was asked for comes before all but what may not be left as it is, where no limit is missed for it
    and the slot has the minutes to wait."""
    stands = [one for one in told.stretches if one.in_a_run and not one.ready_in]
    asked = [
        one for one in told.stretches if one.wanted == "first" and not (one.ready_in or one.minutes_left)
    ]
    first = stands + [one for one in asked if one not in stands]
    order = (*first, *(one for one in told.stretches if one not in first))
    if not asked or order == told.stretches:
        return told
    before, after = as_told(told.stretches, set_up_minutes), as_told(order, set_up_minutes)
    in_time = after.late <= before.late and after.late_after_wait <= before.late_after_wait
    if not in_time or after.idle_minutes > spare_minutes:
        return told
    waits = any(one.gap_minutes for one in order)
    return Told(order, after.idle_minutes if waits else None, told.late)


def _is_told_otherwise(told: Sequence[Stretch]) -> bool:
    """True where something that can begin now is told after what still has to wait."""
    return any(one.ready_in and not other.ready_in for one, other in pairwise(told))


def _with_own_limits(ordered: list[Stretch], set_up_minutes: SetUpMinutes, spare_minutes: int) -> Told:
    """What begins a wait first, unless a limit that it starts as well, or one that runs already, would be
    missed so: then in the next order in which none is, and the least is only waited."""
    tight = frozenset(one.marks for one in ordered if one.waits_at_most is not None)
    if not tight or _in_time(ordered, set_up_minutes) is not None:
        return Told(tuple(ordered))
    orders = ((_in_time(order, set_up_minutes), order) for order in _other_orders(ordered))
    good = [(idle, order) for idle, order in orders if idle is not None and idle <= spare_minutes]
    if not good:
        return Told(tuple(ordered), late=tight)
    idle, order = min(good, key=lambda one: one[0])
    return Told(order, idle)


def _in_time(order: Sequence[Stretch], set_up_minutes: SetUpMinutes) -> int | None:
    """The minutes in which there is only waiting; None where a limit is missed, be it that all goes quicker
    than planned: then something that has to end is begun a minute before a wait is over."""
    planned = as_told(order, set_up_minutes)
    if not planned.in_time:
        return None
    quicker = (as_told(order, set_up_minutes, pace) for pace in GOOD_EVENINGS)
    return planned.idle_minutes if all(one.in_time for one in quicker) else None


def _other_orders(ordered: Sequence[Stretch]) -> Iterator[tuple[Stretch, ...]]:
    """Every order of what has to end, has a limit or waits, with what can be left among it: those most like
    the usual one first. Of more than can be looked at, what can be left keeps to the end."""
    moves = list(ordered)
    last: list[Stretch] = []
    for one in reversed(ordered):
        if len(moves) > MOST_ORDERED and one.limit is None and one.can_be_left:
            moves.remove(one)
            last.insert(0, one)
    stays = moves[MOST_ORDERED:]
    for order in permutations(moves[:MOST_ORDERED]):
        yield (*order, *stays, *last)


def _that_fill(
    filling: Sequence[Stretch],
    minutes: int,
    spare_minutes: int,
    out: set[SetUp],
    set_up_minutes: SetUpMinutes,
) -> list[Stretch]:
    """What is done in a wait of so many minutes: what fits it best, then what can be left when it is over.
    What has to end comes before it only where there are not the minutes to wait: what ends soonest."""

    def takes(some: Sequence[Stretch]) -> int:
        names = dict.fromkeys(name for one in some for name in one.set_ups)
        return sum(one.minutes for one in some) + set_up_minutes(names, out)

    first = filling[:MOST_FILLING]
    sets = [list(some) for number in range(len(first) + 1) for some in combinations(first, number)]
    fits = [some for some in sets if takes(some) <= minutes] or [[]]
    asked = [sum(one.minutes for one in some if one.wanted == "first") for some in fits]
    _, _, at = max((of, takes(some), -at) for at, (of, some) in enumerate(zip(asked, fits, strict=True)))
    found = fits[-at]
    left = [one for one in filling if one not in found]
    rest = minutes - takes(found)
    can_be_left = [one for one in left if one.can_be_left] if rest >= LEAST_BEGUN else []
    if can_be_left or (left and rest > spare_minutes):
        found.append(min(can_be_left or left, key=lambda one: (one.wanted != "first", takes([one]))))
    return found


def _what_stands_first(ordered: list[Stretch], set_up_minutes: SetUpMinutes) -> list[Stretch]:
    """What may not be left as it is and waits for nothing comes before what would be begun under a limit, as
    long as that limit is met all the same, with what is set up before: a full gun is cleaned before another
    pot is mixed."""
    stands = [one for one in ordered if one.in_a_run and one.limit is None and not one.gap_minutes]
    if not stands:
        return ordered
    first = stands + [one for one in ordered if one not in stands]
    late, late_first = (as_told(one, set_up_minutes).late for one in (ordered, first))
    return first if late_first <= late else ordered
