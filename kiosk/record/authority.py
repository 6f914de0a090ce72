"""Who may do a step, and who may be in the room meanwhile: rights, hazards, ages and presence."""

from collections.abc import Iterable

from kiosk.record.context import NOBODY, Context
from kiosk.shop.hazards import TRAINED_ADULT_ALONE
from kiosk.shop.procedure import Step
from kiosk.shop.shop import Person

OF_AGE = 18


def is_adult(context: Context, person: Person) -> bool:
    """True from 18 on; somebody whose birthday is not given counts as 18."""
    return person.id != NOBODY and person.age(context.today) >= OF_AGE


def may_not_do(context: Context, step: Step) -> str:
    """Why the one with the screen may not do a step, in plain words; empty when they may."""
    person = context.doer
    if person.id == NOBODY:
        return "nobody has the screen yet: F4, choose your name, then F7"
    if person not in context.people:
        return f"{person.name} is not at the bench"
    beside = runs_in_room(context)
    if beside:
        return beside
    if person.role != "builder":
        if step.who == "builder":
            return "only the builder does this step"
        if step.who == "helper with the builder" and not any(one.role == "builder" for one in context.people):
            return "the builder must be at the bench for this step"
    age = person.age(context.today)
    for tag in step.hazards:
        hazard = context.shop.hazards[tag]
        if tag in person.not_yet:
            return f"{person.name} does not do {hazard.work} yet"
        adult_builder = person.role == "builder" and age >= OF_AGE
        if age < hazard.min_age_operate and not (adult_builder and hazard.min_age_operate > OF_AGE):
            if hazard.min_age_operate >= TRAINED_ADULT_ALONE:
                return f"{hazard.work} is for a trained adult builder alone"
            return f"{person.name} is too young for {hazard.work} ({hazard.min_age_operate} and over)"
    return too_few(context, step)


def runs_in_room(context: Context) -> str:
    """What another runs beside which the one with the screen may not be; empty when nothing is so. They are
    here, whatever an adult said before."""
    person = context.doer
    if is_adult(context, person):
        return ""
    for work in context.state.works.values():
        if work.status != "running" or work.worker == person.id or work.turned_to not in context.shop.parts:
            continue
        _, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
        if step is not None and person in too_young_beside(context, step):
            return f"{work.turned_to} is under way: {person.name} must be out of the room"
    return ""


def too_few(context: Context, step: Step) -> str:
    """Why those at the bench are not enough for a step, such as one to lift a long part."""
    for tag in step.hazards:
        hazard = context.shop.hazards[tag]
        if hazard.people < 2:
            continue  # who does it alone was asked above
        if len(able_for(context, tag)) < hazard.people:
            least = f"{hazard.people} people of {hazard.min_age_operate} and over"
            return f"{hazard.work} takes {least} at the bench"
    return ""


def able_for(context: Context, tag: str) -> list[Person]:
    """Those at the bench who may lend a hand where a hazard takes more than one pair."""
    least = context.shop.hazards[tag].min_age_operate
    return [one for one in context.people if one.age(context.today) >= least and tag not in one.not_yet]


def takes_two(context: Context, step: Step) -> bool:
    """True when one pair of hands is not enough for a step."""
    return any(context.shop.hazards[tag].people > 1 for tag in step.hazards)


def lends_a_hand(context: Context, steps: Iterable[Step]) -> Person | None:
    """Who beside the one with the screen is in steps that take two; None where none of them does."""
    able: list[Person] | None = None
    for step in steps:
        for tag in step.hazards:
            if context.shop.hazards[tag].people > 1:
                now = [one for one in able_for(context, tag) if one.id != context.doer.id]
                able = now if able is None else [one for one in able if one in now]
    return able[0] if able else None


def must_leave_room(context: Context, step: Step) -> list[Person]:
    """Those at the bench who may not even be in the room for this step."""
    return [person for person in too_young_beside(context, step) if person.id != context.doer.id]


def too_young_beside(context: Context, step: Step) -> list[Person]:
    """Those at the bench who are too young to be in the room for this step."""
    return [person for person in context.people if _too_young_beside(context, person, step)]


def _too_young_beside(context: Context, person: Person, step: Step) -> bool:
    age = person.age(context.today)
    return any(age < context.shop.hazards[tag].min_age_present for tag in step.hazards)


def room_to_clear(context: Context, step: Step) -> str:
    """Who has to go out before a step, in plain words; empty when nobody has."""
    names = ", ".join(person.name for person in still_in_room(context, step))
    return f"{names} must be out of the room" if names else ""


def still_in_room(context: Context, step: Step) -> list[Person]:
    """Of those, the ones that no adult has said are out."""
    sitting = context.state.sitting
    cleared = sitting.cleared if sitting is not None else ()
    return [person for person in must_leave_room(context, step) if person.id not in cleared]
