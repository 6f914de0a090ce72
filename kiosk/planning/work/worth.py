"""What a stretch of work is worth: what brings the end nearer, and keeps the builder going.

A minute of work is a minute of work wherever it is done. What tells one from another is what it lets others
begin, what goes to waste meanwhile, whether it fits in few slots only, and whether a part gets finished.
"""

from typing import NamedTuple

A_MINUTE = 100
OPENS = 600  # more for a minute of what much waits for, or of what needs something that is soon too old
RARE = 300  # more for a minute of what fits in few slots only
FURTHER = 60  # more for a minute on a part that is nearly finished
USUAL_SLOT_MINUTES = (8.0, 75.0)  # what a builder's slots run from and to
SPOILS = 3000  # something goes to waste if it is left
SPOILS_MEANWHILE = 30_000  # more where it does before anybody is back: more than what else a slot holds
SPOILS_EACH = 1000  # and for each part that has to be prepared again
SPOILS_EACH_MEANWHILE = 4000  # more for each, so that what only fills the slot leaves none of them
IN_HAND = 1500  # a step that is in hand
# More where somebody is at it: it is gone on with, and not left for a quarter of an hour elsewhere.
RUNNING = 6000
ENDS_PART = 300
MAY_NOT_BE_LEFT = 100_000  # for each part that may not be left as it is: more than all else in a slot
# What a minute of a beginning is worth against one that ends where it should, and what the beginning costs:
# the place has to be found again.
BEGUN_SHARE, LEAST_SHARE = 0.9, 0.4
BEGUN_COSTS_MINUTES = 0.5
A_MINUTE_SAT_OUT = 2  # less for each, so that of two ways with the same work the shorter one is taken
A_MINUTE_DRYING = 2  # a long wait that is started now runs on while nobody is there


class Valued(NamedTuple):
    """A stretch in the figures that its worth is made of.

    A tuple, since an answer makes thousands of them.
    """

    minutes: float  # of work, without set-ups and waiting
    parts: int
    unbroken_minutes: float  # that have to be done in one go, once begun
    behind_minutes: float  # of work that waits for the parts
    own_minutes: float  # still to do on one part before that can begin
    done_share: float  # of the part's whole route, 0 to 1
    drying_minutes: float
    spoils: bool
    in_hand: bool
    running: bool
    ends_part: bool
    spoils_meanwhile: bool = False  # before the builder can be taken to be back
    beside_minutes: float = 0.0  # of waits and set-ups in what no usual slot is long enough for
    sat_out_minutes: float = 0.0  # in which nothing else is done
    shelf_share: float = 0.0  # 0 to 1: pressed by the date of something it needs (shelf_life.py)
    in_a_run: bool = False  # the parts may not be left as they are
    asked: float = 0.0  # what was asked for at the bench adds to it (asked.py)


def begun_is_worth(minutes: float) -> float:
    """The minutes that so many of a beginning are worth of those that end where they should."""
    return max(minutes * BEGUN_SHARE - BEGUN_COSTS_MINUTES, minutes * LEAST_SHARE)


def worth_of(one: Valued, by_parts: float | None = None) -> int:
    """What a stretch is worth; only comparisons mean anything.

    ``by_parts`` is what :func:`of_parts` gives, where it is known already: it is the same for all that is
    done on the same parts.
    """
    if by_parts is None:
        by_parts = of_parts(one.behind_minutes, one.own_minutes, one.shelf_share, one.done_share)
    worth = one.minutes * (A_MINUTE + by_parts + RARE * share_of_slots_too_short(one.unbroken_minutes))
    worth += RARE * one.beside_minutes  # of the few slots that are long enough for it, this is one
    if one.spoils:
        worth += SPOILS + SPOILS_EACH * one.parts
        worth += (SPOILS_MEANWHILE + SPOILS_EACH_MEANWHILE * one.parts) * one.spoils_meanwhile
    if one.in_a_run:
        worth += MAY_NOT_BE_LEFT * max(1, one.parts)
    worth += one.asked
    if one.in_hand:
        worth += IN_HAND + RUNNING * one.running
    if one.ends_part:
        worth += ENDS_PART * one.parts
    worth += A_MINUTE_DRYING * one.drying_minutes - A_MINUTE_SAT_OUT * one.sat_out_minutes
    return max(0, round(worth))


def of_parts(behind_minutes: float, own_minutes: float, shelf_share: float, done_share: float) -> float:
    """What a minute is worth more by the parts that it is done on, whatever is done on them."""
    opened = share_opened(behind_minutes, own_minutes)
    pressed = opened + (1 - opened) * shelf_share  # either of them, and never more than one of them whole
    return OPENS * pressed + FURTHER * done_share


def share_opened(behind_minutes: float, own_minutes: float) -> float:
    """0 to 1: how much waits for a part against what it still needs, so that nearly done beats begun."""
    if behind_minutes <= 0:
        return 0.0
    return behind_minutes / (behind_minutes + max(1.0, own_minutes))


def share_of_slots_too_short(unbroken_minutes: float) -> float:
    """0 to 1: the share of a builder's slots in which so many minutes in one go do not fit."""
    shortest, longest = USUAL_SLOT_MINUTES
    if unbroken_minutes <= shortest:
        return 0.0
    return min(1.0, max(0.0, (unbroken_minutes - shortest) / (longest - shortest)))
