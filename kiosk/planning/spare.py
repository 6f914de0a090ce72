"""The answer to "I have N minutes": what to do, why, what to fetch, and how it is left."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from kiosk.planning.candidates import (
    Candidate,
    Found,
    Plan,
    duration_of,
    find,
)
from kiosk.planning.slot import Chosen, choose
from kiosk.record.position import position
from kiosk.record.readiness import minutes_until_quiet
from kiosk.record.state import State
from kiosk.shop.shop import Person, Shop

SHORTEST_MINUTES = 3
LONGEST_MINUTES = 120


@dataclass(frozen=True)
class Suggestion:
    """One thing to do in the slot."""

    marks: tuple[str, ...]
    procedure: str
    step: str
    work: str | None
    what: str
    minutes: int
    why: str
    fetch: tuple[str, ...]
    left_as: str


@dataclass(frozen=True)
class SpareAnswer:
    """What fits in the minutes: a set to do in order, with the set-up and putting away counted in."""

    minutes: int
    suggestions: tuple[Suggestion, ...]
    total_minutes: int
    set_up_minutes: int
    prepare: tuple[str, ...]
    not_now: tuple[str, ...]


def spare(
    shop: Shop,
    state: State,
    *,
    now: datetime,
    people: Sequence[Person],
    doer: Person,
    minutes: int,
) -> SpareAnswer:
    """The best use of ``minutes`` (3 to 120; outside is brought to the nearer end) from now."""
    minutes = max(SHORTEST_MINUTES, min(LONGEST_MINUTES, minutes))
    usable = max(0, minutes - math.ceil(shop.file.put_away))
    quiet_in = minutes_until_quiet(shop, now)
    windows = [(usable, True)]
    if quiet_in is not None and quiet_in < usable:
        # Either everything loud and the rest end before quiet hours, or nothing loud is done.
        windows = [(usable, False), (int(quiet_in), True)]
    found, chosen = max(
        (
            _best(shop, state, now=now, people=people, doer=doer, minutes=window, loud=loud)
            for window, loud in windows
        ),
        key=lambda pair: pair[1].worth,
    )
    picked = [
        (found.candidates[number], found.candidates[number].plan(place))
        for number, place in chosen.options.items()
    ]
    picked.sort(key=_order)
    suggestions = tuple(_suggest(shop, state, candidate, plan, found, now) for candidate, plan in picked)
    work_minutes = sum(plan.minutes for _, plan in picked)
    return SpareAnswer(
        minutes=minutes,
        suggestions=suggestions,
        total_minutes=chosen.minutes + (minutes - usable),
        set_up_minutes=chosen.minutes - work_minutes + (minutes - usable),
        prepare=tuple(_prepare(shop, state)),
        not_now=tuple(_not_now(found)),
    )


def _best(
    shop: Shop,
    state: State,
    *,
    now: datetime,
    people: Sequence[Person],
    doer: Person,
    minutes: int,
    loud: bool,
) -> tuple[Found, Chosen]:
    found = find(shop, state, now=now, people=people, doer=doer, minutes=minutes, loud=loud)
    options = [candidate.options for candidate in found.candidates]
    return found, choose(options, found.set_up, minutes, found.free)


def _order(pair: tuple[Candidate, Plan]) -> tuple[int, float, int, str]:
    """What spoils first, then what is in hand, then what cannot be left half way, then the rest."""
    candidate, plan = pair
    spoils = plan.spoils_at.timestamp() if plan.spoils_at else math.inf
    steady = any(step.stop in ("only when finished", "go straight on") for _, step in plan.steps)
    rank = 0 if plan.spoils_at else (1 if candidate.work else (2 if steady else 3))
    return rank, spoils, -plan.minutes, plan.marks[0]


def marks_text(marks: Sequence[str]) -> str:
    """Part marks for a line: ``NR-07`` or ``NR-07 and 4 more``."""
    if len(marks) <= 2:
        return " and ".join(marks)
    return f"{marks[0]} and {len(marks) - 1} more"


def _suggest(
    shop: Shop, state: State, candidate: Candidate, plan: Plan, found: Found, now: datetime
) -> Suggestion:
    first, last = plan.steps[0], plan.steps[-1]
    what = f"{marks_text(plan.marks)}: {first[1].do}"
    if plan.waiting_minutes:
        what += f" {plan.waiting_minutes} min of it is waiting."
    if len(plan.steps) > 1:
        what += f" Go on to step {last[1].id.replace('-', ' ')!r} ({len(plan.steps)} steps)."
    tools = dict.fromkeys(
        shop.tools[name].name for _, step in plan.steps for name in step.tools if name in shop.tools
    )
    used = dict.fromkeys(
        shop.consumables[name].name
        for _, step in plan.steps
        for name in step.consumables
        if name in shop.consumables
    )
    return Suggestion(
        marks=plan.marks,
        procedure=first[0].id,
        step=first[1].id,
        work=candidate.work,
        what=what,
        minutes=plan.minutes,
        why=_why(shop, state, candidate, plan, found),
        fetch=(*tools, *used),
        left_as=_left_as(last[1].stop, last[1].id),
    )


def _why(shop: Shop, state: State, candidate: Candidate, plan: Plan, found: Found) -> str:
    family = plan.steps[0][0].family_of(plan.steps[0][1])
    if plan.spoils_at is not None:
        return f"it spoils after {plan.spoils_at.astimezone().strftime('%a %H:%M')}"
    if candidate.work is not None:
        return "it is the step you have in hand"
    if plan.opens:
        return f"{plan.opens} parts wait for this tool"
    if family in found.free:
        return f"the set-up is out already ({family.replace('-', ' ')})"
    if plan.ends_part:
        return f"it finishes {marks_text(plan.marks)}"
    if len(plan.marks) > 1:
        return f"{len(plan.marks)} parts for one set-up"
    duration = duration_of(state, *plan.steps[0])
    if duration.observed >= 3:
        return f"it took you about {duration.median_minutes:.0f} min the last {duration.observed} times"
    return "it is the longest road that fits these minutes"


def _left_as(stop: str, step_id: str) -> str:
    name = step_id.replace("-", " ")
    if stop == "anywhere":
        return "can be left at any moment"
    if stop == "between pieces":
        return "can be left after each piece"
    return f"leave it with {name!r} done"


def _prepare(shop: Shop, state: State) -> list[str]:
    """Small things that help the next slot, for when little or nothing fits."""
    found: list[str] = []
    mark = state.confirmations[-1].marks[0] if state.confirmations else next(iter(shop.parts))
    where = position(shop, state, mark)
    if where.step is not None:
        found.append(f"Read ahead: {mark}, {where.step.do}")
        names = [shop.tools[name].name for name in where.step.tools if name in shop.tools]
        if names:
            found.append(f"Lay out: {', '.join(names)}")
    snags = state.open_snags()
    if snags:
        found.append(
            f"Decide {len(snags)} snag{'s' if len(snags) > 1 else ''}: first {snags[0].mark}, {snags[0].text}"
        )
    low = [
        item.name
        for item in shop.consumables.values()
        if state.stock.get(item.id, item.left) < item.order_below
    ]
    if low:
        found.append(f"Order: {', '.join(low)}")
    if where.step is not None:
        used = [shop.consumables[name].name for name in where.step.consumables if name in shop.consumables]
        if used:
            found.append(f"Check stock: {', '.join(used)}")
    return found


def _not_now(found: Found) -> list[str]:
    """Why the rest cannot be done now, the largest group first."""
    ordered = sorted(found.not_now, key=lambda entry: -len(entry.marks))
    return [f"{marks_text(entry.marks)}: {entry.block.text}" for entry in ordered]
