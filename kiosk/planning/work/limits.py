"""The limits that a stretch has to keep: those that run on its parts, and those that it would start."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

from kiosk.planning.work.chain import Chains, Running, Steps, running_waits, waits_along
from kiosk.record.context import Context
from kiosk.record.readiness import LONG_LIMIT
from kiosk.record.state import Piece
from kiosk.record.waits import clocks_on, ends_at, seconds_left, wait_minutes
from kiosk.shop.procedure import Family, Procedure, Step

# Of the slots of a week few are long enough for all of a batch: what runs out by then is done when one comes.
# With LONG_LIMIT here nearly twice as many second coats came too late (world C), for no sitting less.
SPOILS_SOON = timedelta(days=7)
LONG_LIMIT_MINUTES = LONG_LIMIT.total_seconds() / 60

MinutesOf = Callable[[Procedure, Step], float]  # of one piece


def spoils_at(context: Context, mark: str) -> datetime | None:
    """When the first limit on a part runs out; None where none runs."""
    if mark not in context.state.parts:
        return None
    limits = [one for one in clocks_on(context.shop, context.state, mark) if one.kind == "within"]
    ends = [at for clock in limits if (at := ends_at(context, clock)) is not None]
    return min(ends) if ends else None


def spoils_meanwhile(context: Context) -> bool:
    """True where a limit on some part that can be left as it is runs out before anybody can be taken to be
    back with enough minutes. One that ran out already stays on its part until somebody answers it: there is
    nothing to save."""
    positions = context.kept.positions  # followed by whoever asks for an answer
    ends = (spoils_at(context, mark) for mark in positions.busy if mark not in positions.in_runs)
    return any(at is not None and timedelta() <= at - context.now < SPOILS_SOON for at in ends)


def start_by(
    context: Context,
    marks: Sequence[str],
    steps: Steps,
    minutes_of: MinutesOf,
    head_start: float,
    *,
    waits_already: bool = False,
) -> float | None:
    """Minutes from now by which the steps must begin, so that no limit on the parts runs out first.

    Where parts go one after the other, a limit that wants its step begun takes that step's minutes on the
    parts before, and one that wants it finished those of its own part too. ``head_start`` is what of the
    step in hand is done already, as a negative number. What waits already begins when that
    wait is over, which takes nothing of the time after. None where nothing limits it.
    """
    latest: list[float] = []
    for before, mark in enumerate(marks):
        clocks = clocks_on(context.shop, context.state, mark) if mark in context.state.parts else ()
        limits = [one for one in clocks if one.kind == "within"]
        waits = waits_along(context.state, mark, steps, running_waits(context, mark)) if limits else []
        for clock in limits:
            left = seconds_left(context, clock)
            if left is None:
                continue
            lead = head_start - (waits[0] if waits_already else 0.0)
            for (procedure, step), wait in zip(steps, waits, strict=True):
                lead += wait
                minutes = minutes_of(procedure, step) * len(marks)
                if (procedure.id, step.id) == (clock.procedure, clock.step):
                    finish = clock.ends == "finish"
                    if step.batch == "together":
                        own = minutes if finish else 0.0
                    else:
                        own = minutes_of(procedure, step) * (before + (1 if finish else 0))
                    latest.append(left / 60 - max(0.0, lead + own))
                    break
                lead += minutes
    return math.floor(min(latest)) if latest else None


def first_those_in_time(
    context: Context, marks: Sequence[str], steps: Steps, minutes_of: MinutesOf
) -> tuple[list[str], list[str]]:
    """The parts that can go along together and meet their limits, as many as can be, and the others.

    Each takes as long as any other, so of so many parts those with the latest limits can go together if any
    can: what is left out is what runs out first.
    """
    in_time = list(marks)
    late = []
    by_limit = sorted(marks, key=lambda mark: spoils_at(context, mark) or datetime.max.replace(tzinfo=UTC))
    for soonest in by_limit:
        latest = start_by(context, in_time, steps, minutes_of, 0.0)
        if latest is None or latest >= 0:
            break
        in_time.remove(soonest)
        late.append(soonest)
    return in_time, late


class OwnLimit(NamedTuple):
    """A limit that one step of a chain starts and another ends, by their places in it."""

    starts: int
    ends: int
    spare_minutes: float  # that are left of it; below 0 where nobody could meet it


def own_limits(
    chains: Chains,
    mark: str,
    count: int,
    left: Steps,
    steps: int,
    minutes_of: MinutesOf,
    set_up_of: MinutesOf,
    running: Running | None = None,
) -> Iterator[OwnLimit]:
    """The limits that the first ``steps`` of what is left start, and how much of each is spare where so many
    parts go along.

    One that nothing of what is left ends, or that is so long that somebody will be back in time, is none.
    """
    for number, (procedure, step) in enumerate(left[:steps]):
        for wait in step.waits:
            if wait.within is None:
                continue
            limit = wait_minutes(chains.state, procedure.id, step, wait, Piece(mark))
            ends = next(
                (
                    later
                    for later in range(number + 1, len(left))
                    if left[later][0] is procedure and left[later][1].id == wait.step
                ),
                None,
            )
            if ends is None or limit >= LONG_LIMIT_MINUTES:
                continue
            # The first of the parts waits while the step is done on the others, and the last while that is
            # done on them which ends the limit: whichever is longer.
            takes, last = minutes_of(procedure, step), minutes_of(*left[ends])
            if left[ends][1].batch == "together":
                last *= count
            else:
                takes = max(takes, last)
            takes *= count - 1
            takes += sum(minutes_of(*one) for one in left[number + 1 : ends]) * count
            takes += last if wait.finish else 0.0
            takes += _waits_and_set_ups(
                left[: ends + 1],
                number + 1,
                waits_along(chains.state, mark, left[: ends + 1], running),
                set_up_of,
            )
            yield OwnLimit(number, ends, limit - takes)


def can_be_kept(limits: Iterable[OwnLimit], steps: int) -> bool:
    """False where the first ``steps`` start a limit that nobody could meet, or that none of them ends: washed
    metal that cannot be primed this evening is not washed."""
    return all(one.ends < steps and one.spare_minutes >= 0 for one in limits)


def _waits_and_set_ups(chain: Steps, since: int, waits: Sequence[float], set_up_of: MinutesOf) -> float:
    """Minutes that pass from a place of a chain to its end beside the work: waits, and what is set up for
    the first time there, or for more than before, and no wait before it holds."""
    out: dict[Family, float] = {}
    for procedure, step in chain[:since]:
        family = procedure.family_of(step)
        out[family] = max(set_up_of(procedure, step), out.get(family, 0.0))
    takes = free = 0.0
    for (procedure, step), wait in zip(chain[since:], waits[since:], strict=True):
        takes, free = takes + wait, free + wait
        family = procedure.family_of(step)
        set_up = max(0.0, set_up_of(procedure, step) - out.get(family, 0.0))
        if set_up:
            out[family] = set_up + out.get(family, 0.0)
            takes, free = takes + max(0.0, set_up - free), max(0.0, free - set_up)
    return takes
