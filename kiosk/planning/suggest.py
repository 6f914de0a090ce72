"""A plan in words: what to do, why, what to fetch, and how it is left."""

import math
from dataclasses import dataclass

from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.candidate import Candidate, Plan
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import Family
from kiosk.shop.shop import Person, Shop


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
    chance: float = 1.0  # that it fits: of a set, that the whole set does
    ready_in: int = 0  # minutes until it can begin, where its wait still runs


def order(pair: tuple[Candidate, Plan]) -> tuple[int, float, int, str]:
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


def suggest(
    shop: Shop,
    candidate: Candidate,
    plan: Plan,
    person: Person,
    *,
    free: frozenset[Family],
    predictor: Predictor,
    chance: float,
) -> Suggestion:
    """A plan in words for the person who is to do it. ``free`` families are out on the bench already."""
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
    tools = dict.fromkeys(name for _, step in plan.steps for name in shop.tool_names(step))
    used = dict.fromkeys(name for _, step in plan.steps for name in shop.consumable_names(step))
    return Suggestion(
        marks=plan.marks,
        procedure=first[0].id,
        step=first[1].id,
        work=candidate.work,
        by=person.id,
        what=what,
        minutes=plan.minutes,
        why=_why(candidate, plan, free, predictor),
        chance=chance,
        fetch=(*tools, *used),
        left_as=_left_as(last[1].stop, last[1].id),
        ready_in=0 if plan.gap_after else plan.gap_minutes,
    )


def _why(candidate: Candidate, plan: Plan, free: frozenset[Family], predictor: Predictor) -> str:
    family = plan.steps[0][0].family_of(plan.steps[0][1])
    if plan.spoils_at is not None:
        return f"it spoils after {plan.spoils_at.astimezone().strftime('%a %H:%M')}"
    if candidate.work is not None:
        return "it is the step you have in hand"
    if plan.opens:
        return f"{plan.opens} parts wait for this tool"
    if plan.ends_part:
        return f"it finishes {marks_in_full(plan.marks)}"
    if family in free:
        return f"the set-up is out already ({str(family).replace('-', ' ')})"
    if len(plan.marks) > 1:
        return f"{len(plan.marks)} parts for one set-up"
    duration = predictor.piece(*plan.steps[0])
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
