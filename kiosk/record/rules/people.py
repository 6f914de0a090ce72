"""Acts of people: who is at the bench, whose hands are on the screen, and opening and closing the sitting."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from kiosk.record import events as e
from kiosk.record import pins
from kiosk.record.authority import is_adult, still_in_room
from kiosk.record.context import NOBODY, Context, nobody
from kiosk.record.rules.door import Bodies, NotAllowed, Refused, act
from kiosk.record.rules.pin import ask_pin, guard, has_pin, is_guarded
from kiosk.record.rules.steps import others_paused
from kiosk.record.rules.things import CLOSE_UP, words_used
from kiosk.record.state import State
from kiosk.shop.procedure import StepRef
from kiosk.shop.shop import Person


def open_sitting(context: Context, hands: str) -> Bodies:
    """Take up the place. A second screen joins the sitting that is open. ``hands`` have the screen."""
    sitting = context.state.sitting
    ids = [person.id for person in context.people]
    bodies: Bodies = []
    if sitting is None:
        bodies.append(e.SittingOpened(people=tuple(ids)))
    else:
        bodies += [e.PersonCame(person=one) for one in ids if one not in sitting.people]
    if hands not in ("", NOBODY):
        bodies.append(e.ScreenTaken(person=hands))
    return bodies


def hands_at_first(state: State, people: Sequence[Person]) -> str:
    """Who has the screen before anybody has said: the builder, unless a PIN guards their hands."""
    builder = next((person for person in people if person.role == "builder"), None)
    return builder.id if builder is not None and not state.secret_of(builder.id) else NOBODY


def _known(context: Context, person_id: str) -> Person:
    person = context.shop.people.get(person_id)
    if person is None:
        raise Refused(f"nobody is called {person_id!r}", "add them to shop.yaml")
    return person


def _has_screen(context: Context, person: Person) -> bool:
    return person.id == context.doer.id and person in context.people


def comes_by_a_word(context: Context, person: Person) -> bool:
    """True when it is enough that the one with the screen says that somebody is here.

    An adult's presence lets others do more, and a builder's most: an adult vouches for an adult, a builder
    for a builder. Without a PIN on the builder nothing is guarded, but for who has one.
    """
    if not is_adult(context, person) and person.role != "builder":
        return True
    if not has_pin(context, person) and not is_guarded(context):
        return True
    doer = context.doer
    if doer not in context.people:
        return False
    return doer.role == "builder" or (person.role != "builder" and is_adult(context, doer))


def takes_by_a_word(context: Context, person: Person) -> bool:
    """True when the one with the screen can give it to somebody who has no PIN, or who has it already.

    Where the builder has a PIN nobody gets by a press what they may not do themselves: it goes from an adult
    to any helper, and otherwise only to somebody no older.
    """
    if _has_screen(context, person):
        return True
    if has_pin(context, person):
        return False
    if not is_guarded(context):
        return True
    doer, age = context.doer, person.age(context.today)
    if person.role == "builder":
        return doer.role == "builder" and doer in context.people
    if doer not in context.people:
        return age == min(one.age(context.today) for one in context.shop.people.values())
    return is_adult(context, doer) or age <= doer.age(context.today)


def takes_it_again(context: Context) -> bool:
    """True when whoever has the screen gets it again by themselves once it is nobody's."""
    person = context.doer
    if person not in context.people or has_pin(context, person):
        return True
    return takes_by_a_word(replace(context, doer=nobody()), person)


def _vouched(context: Context, person: Person, pin: str) -> Bodies:
    """The PIN of somebody for whom nobody vouches. Raises NotAllowed when they have none."""
    if not has_pin(context, person):
        raise NotAllowed(
            f"{person.name} has no PIN, so an adult with the screen lets them in",
            f"or set one: kiosk pin SHOP {person.id}",
        )
    return ask_pin(context, person, pin)


@act("anybody")
def come(context: Context, person_id: str, pin: str = "") -> Bodies:
    """Somebody came to the bench. An adult's presence lets others do more, so it takes an adult or a PIN."""
    person = _known(context, person_id)
    if person in context.people:
        return []
    tried = [] if comes_by_a_word(context, person) else _vouched(context, person, pin)
    return [*tried, e.PersonCame(person=person_id)]


@act("whoever is here")
def leave(context: Context, person_id: str) -> Bodies:
    """Somebody left the bench: oneself, or another whom an adult has seen go. What ran in their hands stands
    still."""
    person = _known(context, person_id)
    if person not in context.people:
        return []
    if person_id != context.doer.id and not is_adult(context, context.doer):
        raise NotAllowed(f"{person.name} says so, or an adult", "hand the screen over")
    if len(context.people) == 1:
        raise Refused("somebody has to be at the bench", "close up instead")
    return [*others_paused(context, person_id), e.PersonWent(person=person_id)]


@act("anybody")
def hand_over(context: Context, person_id: str, pin: str = "") -> Bodies:
    """The screen now belongs to this person, who is at the bench from now on."""
    person = _known(context, person_id)
    tried = [] if takes_by_a_word(context, person) else _vouched(context, person, pin)
    came: Bodies = [] if person in context.people else [e.PersonCame(person=person_id)]
    return [*tried, *came, e.ScreenTaken(person=person_id)]


@act("anybody")
def set_pin(context: Context, person_id: str, old: str, new: str) -> Bodies:
    """A person's PIN is set, changed, or taken away when ``new`` is empty.

    ``old`` is the PIN of :func:`who_says`, where that person has one. The first of all is set with the
    builder's hands: a helper who chose the builder's would shut them out.
    """
    person = _known(context, person_id)
    if not may_set_pin(context, person):
        raise NotAllowed("the first PIN is set by the builder", "give the builder the screen")
    if new:
        pins.check_pin(new)
    elif not has_pin(context, person):
        raise Refused(f"{person.name} has no PIN", "nothing is to be taken away")
    says = who_says(context, person)
    tried = ask_pin(context, says, old) if says is not None else []
    return [*tried, e.PinSet(person=person_id, secret=pins.secret_of(new) if new else "")]


def may_set_pin(context: Context, person: Person) -> bool:
    """Whether whoever has the screen is asked for anybody's PIN at all: the first one is the builder's."""
    return who_says(context, person) is not None or context.doer.role == "builder"


def who_says(context: Context, person: Person) -> Person | None:
    """Whose PIN is asked for before another is set: their own old one, else that of the builder, if any."""
    return person if has_pin(context, person) else guard(context)


@act("an adult")
def clear_room(
    context: Context, ref: StepRef, mark: str | None = None, named: Collection[str] | None = None
) -> Bodies:
    """An adult confirms that those who may not be there for a step, on the part with this mark, are out.

    Of them those who were ``named`` to the adult, for somebody else may have come in meanwhile; None for all.
    """
    _, step = context.shop.find_step(ref.procedure, ref.step, mark)
    if step is None:
        raise Refused(f"{ref} is no longer in the procedures", "choose again")
    out = [one for one in still_in_room(context, step) if named is None or one.id in named]
    return [e.RoomCleared(people=tuple(person.id for person in out))] if out else []


@act("an adult")
def close_up(context: Context, note: str, left: Sequence[str], next_step: str) -> Bodies:
    """Close up: every clock stops and the place is kept.

    Where no sitting is open, because nothing was begun or another screen closed it, a note is kept all the
    same, beside the one that is there.
    """
    note, before, used = note.strip(), context.state.left, words_used(context, CLOSE_UP)
    if context.state.sitting is not None:
        closing = context.shop.file.put_away
        closed = e.SittingClosed(note=note, left=tuple(left), next_step=next_step, closing_minutes=closing)
        return [closed, *used]
    if not note:
        return []
    if before is None:
        return [e.SittingClosed(note=note), *used]
    both = f"{before.note}; {note}" if before.note else note
    return [e.SittingClosed(note=both, left=before.left, next_step=before.next_step), *used]
