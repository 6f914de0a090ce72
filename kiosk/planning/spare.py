"""The answer to "I have N minutes": what to do, why, what to fetch, the chance, and how it is left."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from kiosk.planning.candidates import Candidate, Found, Plan, find
from kiosk.planning.chance import TRIALS, Task, chance_of_fitting
from kiosk.planning.predictor import Predictor
from kiosk.planning.slot import Chosen, choose
from kiosk.record.position import position
from kiosk.record.readiness import may_not_do, minutes_until_quiet
from kiosk.record.state import State
from kiosk.shop.parts import marks_in_full
from kiosk.shop.shop import Person, Shop

SHORTEST_MINUTES = 3
LONGEST_MINUTES = 120
WANTED_CHANCE = 0.75  # that the whole fits; what can be left anywhere loses little by running over
TIGHTENINGS = 3  # how often the plan is made smaller to reach it
LOOK_OVER_MINUTES = 1  # of the builder's time for each thing that a helper does
MOST_HELPER_TRIES = 24


@dataclass(frozen=True)
class Suggestion:
    """One thing to do in the slot, by one person."""

    marks: tuple[str, ...]
    procedure: str
    step: str
    work: str | None
    by: str
    what: str
    minutes: int
    why: str
    fetch: tuple[str, ...]
    left_as: str
    ready_in: int = 0  # minutes until it can begin, where its wait still runs


@dataclass(frozen=True)
class SpareAnswer:
    """What fits in the minutes: a set to do in order, with the set-up and putting away counted in.

    ``chance`` is that the builder's whole set fits; ``helper_does`` is done by the helper meanwhile.
    """

    minutes: int
    suggestions: tuple[Suggestion, ...]
    helper_does: tuple[Suggestion, ...]
    total_minutes: int
    set_up_minutes: int
    chance: float
    prepare: tuple[str, ...]
    not_now: tuple[str, ...]
    next_slot: str


@dataclass(frozen=True)
class _Made:
    """A plan for one person."""

    found: Found
    chosen: Chosen
    predictor: Predictor

    def picked(self) -> list[tuple[Candidate, Plan]]:
        pairs = [
            (self.found.candidates[number], self.found.candidates[number].plan(place))
            for number, place in self.chosen.options.items()
        ]
        return sorted(pairs, key=_order)

    @property
    def idle(self) -> int:
        """Minutes of a wait that nothing else in the plan fills, set-ups included."""
        gaps = [
            plan.gap_minutes - (self.chosen.minutes - plan.minutes)
            for _, plan in self.picked()
            if plan.gap_minutes
        ]
        return max(0, *gaps, 0)


def spare(
    shop: Shop,
    state: State,
    *,
    now: datetime,
    people: Sequence[Person],
    doer: Person,
    minutes: int,
) -> SpareAnswer:
    """The best use of ``minutes`` (3 to 120; outside is brought to the nearer end) from now.

    With a helper at the bench and the builder's hands on the screen, both are given something at once.
    """
    minutes = max(SHORTEST_MINUTES, min(LONGEST_MINUTES, minutes))
    predictor = Predictor(shop, state, doer)
    away = predictor.closing(shop.file.put_away)
    usable = max(0, minutes - away)
    quiet_in = _quiet_in(shop, now, usable)
    found = find(
        shop,
        state,
        now=now,
        people=people,
        doer=doer,
        minutes=usable,
        quiet_in=quiet_in,
        predictor=predictor,
    )
    helper = next((person for person in people if person.role == "helper"), None)
    made = _likely(found, predictor, usable)
    helper_made: _Made | None = None
    if helper is not None and doer.role == "builder":
        together = _with_helper(shop, state, found, predictor, helper, now=now, people=people, usable=usable)
        if together is not None:
            made, helper_made = together
    picked = made.picked()
    work_minutes = sum(plan.minutes for _, plan in picked)
    helper_does = (
        tuple(
            _suggest(shop, candidate, plan, helper_made, helper) for candidate, plan in helper_made.picked()
        )
        if helper_made is not None and helper is not None
        else ()
    )
    return SpareAnswer(
        minutes=minutes,
        suggestions=tuple(_suggest(shop, candidate, plan, made, doer) for candidate, plan in picked),
        helper_does=helper_does,
        total_minutes=made.chosen.minutes + made.idle + away,
        set_up_minutes=made.chosen.minutes - work_minutes + away,
        chance=_chance(made, usable),
        prepare=tuple(_prepare(shop, state)),
        not_now=tuple(_not_now(found)),
        next_slot=_next_slot(shop, state),
    )


def _quiet_in(shop: Shop, now: datetime, usable: int) -> int | None:
    """Whole minutes until quiet hours, where they begin within the slot."""
    minutes = minutes_until_quiet(shop, now)
    return math.floor(minutes) if minutes is not None and 0 < minutes < usable else None


def _plan(found: Found, predictor: Predictor, minutes: int) -> _Made:
    """The plan of greatest worth, no longer than ``minutes``."""
    options = [candidate.options for candidate in found.candidates]
    return _Made(found, choose(options, found.set_up, min(minutes, found.minutes), found.free), predictor)


def _likely(found: Found, predictor: Predictor, usable: int) -> _Made:
    """The best plan whose chance of fitting is as wanted; the likeliest seen when none reaches it."""
    best: tuple[_Made, float] | None = None
    limit = usable
    for _ in range(TIGHTENINGS):
        made = _plan(found, predictor, limit)
        chance = _chance(made, usable, TRIALS // 4)
        if chance >= WANTED_CHANCE or not made.chosen.options:
            if made.chosen.options or best is None:
                return made
            break
        if best is None or chance > best[1]:
            best = (made, chance)
        limit = min(limit, made.chosen.minutes) - max(1, usable // 8)
        if limit <= 0:
            break
    assert best is not None
    return best[0]


def _chance(made: _Made, usable: int, trials: int = TRIALS) -> float:
    tasks: list[Task] = []
    fixed = float(made.idle)
    families: set[str] = set(made.found.free)
    for _, plan in made.picked():
        fixed += plan.waiting_minutes
        for procedure, step in plan.steps:
            tasks.append(Task(made.predictor.piece(procedure, step), len(plan.marks)))
            family = procedure.family_of(step)
            if family not in families:
                families.add(family)
                set_up = made.predictor.set_up(procedure, step)
                if set_up is not None:
                    tasks.append(Task(set_up))
                fixed += step.minutes.put_away
        if plan.head_start:
            fixed += plan.head_start
    return chance_of_fitting(tasks, fixed, usable, trials=trials)


# Two at the bench


def _with_helper(
    shop: Shop,
    state: State,
    found: Found,
    predictor: Predictor,
    helper: Person,
    *,
    now: datetime,
    people: Sequence[Person],
    usable: int,
) -> tuple[_Made, _Made] | None:
    """The best pair: one thing for the helper and the builder's best set beside it.

    They share no part and no tool of which there is only one, and the builder's look-over is in the builder's
    minutes. Exact for one thing at a time in the helper's hands: every choice for the helper is tried.
    """
    helper_predictor = Predictor(shop, state, helper)
    for_helper = find(
        shop,
        state,
        now=now,
        people=people,
        doer=helper,
        minutes=found.minutes,
        quiet_in=_quiet_in(shop, now, usable),
        predictor=helper_predictor,
    )
    best: tuple[int, _Made, _Made] | None = None
    ranked = sorted(
        (
            (option.worth, number, place)
            for number, candidate in enumerate(for_helper.candidates)
            if candidate.work is None
            for place, option in enumerate(candidate.options)
            if option.minutes + sum(for_helper.set_up.get(name, 0) for name in option.families) <= usable
        ),
        reverse=True,
    )
    seen: dict[int, int] = {}
    for worth, number, place in ranked:
        # Of one candidate the worthiest option and the one after it are enough to look at.
        seen[number] = seen.get(number, 0) + 1
        if seen[number] > 2 or len(seen) > MOST_HELPER_TRIES:
            continue
        plan = for_helper.candidates[number].plan(place)
        option = for_helper.candidates[number].options[place]
        if any(may_not_do(shop, helper, step, people, now) for _, step in plan.steps):
            continue
        beside = _without(shop, found, plan)
        made = _plan(beside, predictor, usable - LOOK_OVER_MINUTES * len(plan.steps))
        total = made.chosen.worth + worth
        if best is None or total > best[0]:
            minutes = option.minutes + sum(for_helper.set_up.get(name, 0) for name in option.families)
            chosen = Chosen({number: place}, worth, minutes, option.families)
            best = (total, made, _Made(for_helper, chosen, helper_predictor))
    return None if best is None else (best[1], best[2])


def _without(shop: Shop, found: Found, taken: Plan) -> Found:
    """What is left for the builder: not the same parts, nor a tool of which there is one."""
    parts = set(taken.marks)
    tools = {name for _, step in taken.steps for name in step.tools if shop.tools[name].have < 2}

    def clear(candidate: Candidate) -> bool:
        if parts & set(candidate.marks):
            return False
        return not any(tools & set(step.tools) for _, step in candidate.chain)

    return Found(
        tuple(candidate for candidate in found.candidates if clear(candidate)),
        found.not_now,
        found.set_up,
        found.free,
        found.minutes,
    )


# In words


def _order(pair: tuple[Candidate, Plan]) -> tuple[int, float, int, str]:
    """What has a limit in the slot by its limit, what spoils later, what is in hand, what cannot be left half
    way, then the rest; what still has to wait comes last."""
    candidate, plan = pair
    spoils = plan.spoils_at.timestamp() if plan.spoils_at else math.inf
    steady = any(step.stop in ("only when finished", "go straight on") for _, step in plan.steps)
    if plan.gap_minutes and not plan.gap_after:
        return 5, 0.0, 0, plan.marks[0]
    if plan.limit is not None:
        return 0, float(plan.limit), 0, plan.marks[0]
    rank = 1 if plan.spoils_at else (2 if candidate.work else (3 if steady else 4))
    return rank, spoils, -plan.minutes, plan.marks[0]


def _suggest(shop: Shop, candidate: Candidate, plan: Plan, made: _Made, person: Person) -> Suggestion:
    first, last = plan.steps[0], plan.steps[-1]
    do = (first[1].plain or first[1].do) if person.role == "helper" else first[1].do
    what = f"{marks_in_full(plan.marks)}: {do}"
    if plan.waiting_minutes:
        what += f" {plan.waiting_minutes} min of it is waiting."
    if plan.gap_after:
        before = plan.steps[plan.gap_after - 1][1]
        what += (
            f" It waits {plan.gap_minutes} min after {before.id.replace('-', ' ')!r}:"
            f" do the others meanwhile, then go on to {last[1].id.replace('-', ' ')!r}."
        )
    elif len(plan.steps) > 1:
        what += f" Go on to step {last[1].id.replace('-', ' ')!r} ({len(plan.steps)} steps)."
    if plan.gap_minutes and not plan.gap_after:
        what += f" Its wait ends in {plan.gap_minutes} min."
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
        by=person.id,
        what=what,
        minutes=plan.minutes,
        why=_why(candidate, plan, made),
        fetch=(*tools, *used),
        left_as=_left_as(last[1].stop, last[1].id),
        ready_in=0 if plan.gap_after else plan.gap_minutes,
    )


def _why(candidate: Candidate, plan: Plan, made: _Made) -> str:
    family = plan.steps[0][0].family_of(plan.steps[0][1])
    if plan.spoils_at is not None:
        return f"it spoils after {plan.spoils_at.astimezone().strftime('%a %H:%M')}"
    if candidate.work is not None:
        return "it is the step you have in hand"
    if plan.opens:
        return f"{plan.opens} parts wait for this tool"
    if plan.ends_part:
        return f"it finishes {marks_in_full(plan.marks)}"
    if family in made.found.free:
        return f"the set-up is out already ({family.replace('-', ' ')})"
    if len(plan.marks) > 1:
        return f"{len(plan.marks)} parts for one set-up"
    duration = made.predictor.piece(*plan.steps[0])
    if duration.observed >= 3:
        return f"it takes you about {duration.median_minutes:.0f} min by your last {duration.observed}"
    if candidate.steps_left > 1:
        return f"{candidate.steps_left} steps still lie before this part"
    return "it is the last step of this part"


def _left_as(stop: str, step_id: str) -> str:
    name = step_id.replace("-", " ")
    if stop == "anywhere":
        return "can be left at any moment"
    if stop == "between pieces":
        return "can be left after each piece"
    return f"leave it with {name!r} done"


def _here(state: State, shop: Shop) -> str:
    """The mark that the work was last on, or the first that is not complete."""
    for done in reversed(state.confirmations):
        for mark in done.marks:
            if mark in shop.parts and state.part(mark).completed_at is None:
                return mark
    open_parts = [mark for mark in shop.parts if state.part(mark).completed_at is None]
    return open_parts[0] if open_parts else next(iter(shop.parts))


def _prepare(shop: Shop, state: State) -> list[str]:
    """Small things that help the next slot, for when little or nothing fits."""
    found: list[str] = []
    mark = _here(state, shop)
    where = position(shop, state, mark)
    if where.step is not None:
        found.append(f"Read ahead: {mark}, {where.step.do}")
        names = [shop.tools[name].name for name in where.step.tools if name in shop.tools]
        if names:
            found.append(f"Lay out: {', '.join(names)}")
        used = [shop.consumables[name].name for name in where.step.consumables if name in shop.consumables]
        if used:
            found.append(f"Check stock: {', '.join(used)}")
    waiting = sum(len(part.wants_look) for part in state.parts.values())
    if waiting:
        found.append(f"Look over {waiting} thing{'s' if waiting > 1 else ''} a helper did")
    snags = state.open_snags()
    if snags:
        many = f"{len(snags)} snag{'s' if len(snags) > 1 else ''}"
        found.append(f"Decide {many}: first {snags[0].mark}, {snags[0].text}")
    low = [
        item.name
        for item in shop.consumables.values()
        if state.stock.get(item.id, item.left) < item.order_below
    ]
    if low:
        found.append(f"Order: {', '.join(low)}")
    return found


def _next_slot(shop: Shop, state: State) -> str:
    """What the next longer slot would begin with."""
    mark = _here(state, shop)
    where = position(shop, state, mark)
    if where.step is None:
        return f"{mark}: look it over and complete it" if where.all_done else ""
    return f"{mark}: {where.step.do}"


def _not_now(found: Found) -> list[str]:
    """Why the rest cannot be done now, the largest group first."""
    ordered = sorted(found.not_now, key=lambda entry: -len(entry.marks))
    return [f"{marks_in_full(entry.marks)}: {entry.block.text}" for entry in ordered]
