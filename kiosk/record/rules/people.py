"""Acts of people: who is at the bench, whose hands are on the screen, and opening and closing the sitting."""

import hmac
from collections.abc import Sequence

from kiosk.record import events as e
from kiosk.record.authority import is_adult, still_in_room
from kiosk.record.context import NOBODY, Context
from kiosk.record.rules.door import Bodies, NotAllowed, Refused, act
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


def hands_at_first(people: Sequence[Person]) -> str:
    """Who has the screen before anybody has said: the builder, unless a PIN guards their hands."""
    builder = next((person for person in people if person.role == "builder"), None)
    return builder.id if builder is not None and builder.pin is None else NOBODY


def _known(context: Context, person_id: str) -> Person:
    person = context.shop.people.get(person_id)
    if person is None:
        raise Refused(f"nobody is called {person_id!r}", "add them to shop.yaml")
    return person


def _require_pin(context: Context, person: Person, pin: str) -> None:
    """A person's own PIN, unless their hands are on the screen already. Raises NotAllowed."""
    on_screen = person.id == context.doer.id and person in context.people
    if person.pin is None or on_screen:
        return
    if not hmac.compare_digest(person.pin.encode(), pin.encode()):
        raise NotAllowed(f"{person.name}'s PIN is not right", "type it again")


@act("anybody")
def come(context: Context, person_id: str, pin: str = "") -> Bodies:
    """Somebody came to the bench. A builder's presence lets others do more, so their PIN is asked for."""
    person = _known(context, person_id)
    if person in context.people:
        return []
    builder_lets_them_in = context.doer.role == "builder" and context.doer in context.people
    if person.role == "builder" and not builder_lets_them_in:
        _require_pin(context, person, pin)
    return [e.PersonCame(person=person_id)]


@act("whoever is here")
def leave(context: Context, person_id: str) -> Bodies:
    """Somebody left the bench: oneself, or another whom an adult has seen go."""
    person = _known(context, person_id)
    if person not in context.people:
        return []
    if person_id != context.doer.id and not is_adult(context, context.doer):
        raise NotAllowed(f"{person.name} says so, or an adult", "hand the screen over")
    if len(context.people) == 1:
        raise Refused("somebody has to be at the bench", "close up instead")
    return [e.PersonWent(person=person_id)]


@act("anybody")
def hand_over(context: Context, person_id: str, pin: str = "") -> Bodies:
    """The screen now belongs to this person, who is at the bench from now on."""
    person = _known(context, person_id)
    _require_pin(context, person, pin)
    came: Bodies = [] if person in context.people else [e.PersonCame(person=person_id)]
    return [*came, e.ScreenTaken(person=person_id)]


@act("an adult")
def clear_room(context: Context, ref: StepRef) -> Bodies:
    """An adult confirms that those too young for a step are out of the room."""
    _, step = context.shop.find_step(ref.procedure, ref.step)
    if step is None:
        raise Refused(f"{ref} is no longer in the procedures", "choose again")
    out = still_in_room(context, step)
    return [e.RoomCleared(people=tuple(person.id for person in out))] if out else []


@act("an adult")
def close_up(context: Context, note: str, left: Sequence[str], next_step: str) -> Bodies:
    """Close up: every clock stops and the place is kept.

    Where no sitting is open, because nothing was begun or another screen closed it, a note is kept all the
    same, beside the one that is there.
    """
    note, before = note.strip(), context.state.left
    if context.state.sitting is not None:
        return [e.SittingClosed(note=note, left=tuple(left), next_step=next_step)]
    if not note:
        return []
    if before is None:
        return [e.SittingClosed(note=note)]
    both = f"{before.note}; {note}" if before.note else note
    return [e.SittingClosed(note=both, left=before.left, next_step=before.next_step)]
