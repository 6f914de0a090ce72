"""Asking for a PIN at the door: who has one, whether it is right, and that every try is recorded."""

import math

from kiosk.record import events as e
from kiosk.record import pins
from kiosk.record.context import Context
from kiosk.record.rules.door import Bodies, NotAllowed
from kiosk.shop.shop import Person


class WrongPin(NotAllowed):
    """The PIN was wrong. The act is refused, and that it was tried is recorded: ``bodies``."""

    def __init__(self, wrong: str, mend: str, bodies: Bodies) -> None:
        super().__init__(wrong, mend)
        self.bodies = bodies


def has_pin(context: Context, person: Person) -> bool:
    """True when a PIN guards this person's hands."""
    return bool(context.state.secret_of(person.id))


def is_guarded(context: Context) -> bool:
    """True when a builder has a PIN: then nobody becomes another by a press alone."""
    return guard(context) is not None


def guard(context: Context) -> Person | None:
    """The first builder who has a PIN."""
    builders = (person for person in context.shop.people.values() if person.role == "builder")
    return next((person for person in builders if has_pin(context, person)), None)


def seconds_to_wait(context: Context, person: Person) -> float:
    """Seconds until this person's PIN may be tried again.

    They run on this screen's own clock, which no wall clock shortens; a try at another screen, or before this
    one was opened, counts from when this one first saw it.
    """
    tries = context.state.pins.get(person.id)
    if tries is None:
        return 0.0
    now = context.monotonic_s
    since = tries.at_s if tries.run == context.run else context.wrong_seen_s.get(person.id, now)
    return max(0.0, since + pins.wait_s(tries.wrong) - now)


def ask_pin(context: Context, person: Person, pin: str) -> Bodies:
    """That the PIN was given, for the record; nothing where the person has none.

    Raises WrongPin, with the try to be recorded, and NotAllowed while a wait runs: that is no try.
    """
    if not has_pin(context, person):
        return []
    left = math.ceil(seconds_to_wait(context, person))
    if left:
        how_often = context.state.pins[person.id].wrong
        raise NotAllowed(f"{person.name}'s PIN was wrong {how_often} times", f"wait {_span(left)}")
    if not pin:
        raise NotAllowed(f"{person.name}'s PIN is not right: none was typed", "type it")
    right = pins.fits(context.state.secret_of(person.id), pin)
    tried: Bodies = [e.PinTried(person=person.id, right=right)]
    if not right:
        raise WrongPin(f"{person.name}'s PIN is not right", "type it again", tried)
    return tried


def _span(seconds: int) -> str:
    return f"{seconds} s" if seconds < 120 else f"{math.ceil(seconds / 60)} min"
