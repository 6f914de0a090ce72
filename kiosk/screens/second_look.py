"""Giving a second look: who looks, and what they find. Nobody and nothing is chosen beforehand."""

from functools import partial

from kiosk.catalogue import said, to_be_said
from kiosk.record.state import Outsider
from kiosk.screens.choice import Choice, ChoiceScreen, Words, words
from kiosk.screens.kiosk import Kiosk
from kiosk.screens.pin import ask_pin
from kiosk.shop.procedure import Standing, StepRef
from kiosk.shop.shop import Person

SEEN_RIGHT = to_be_said("Lines and sizes agree with the drawing")
NOT_RIGHT = to_be_said("Not right: raise a snag")
WHO_LOOKS: dict[Standing, str] = {
    "builder": to_be_said("The builder looks. Not the one who does the work."),
    "adult": to_be_said("Who looks? Not the one who does the work."),
    "inspector": to_be_said("Which inspector looks?"),
}
NOBODY_HERE: dict[Standing, str] = {
    "builder": to_be_said("Another person, the builder, has to be here to look: F4."),
    "adult": to_be_said("A second person, an adult who did not do this work, has to be here to look: F4."),
    "inspector": to_be_said(
        "An inspector has to look. An adult with the screen enters their name and number."
    ),
}


class SecondLook:
    """One second look at one part, before one step."""

    def __init__(self, kiosk: Kiosk, mark: str, step: StepRef, standing: Standing) -> None:
        self._kiosk = kiosk
        self._mark = mark
        self._step = step
        self._standing = standing

    def ask(self) -> None:
        """Ask who looks: those here who may, and an inspector from outside."""
        bench = self._kiosk.bench
        choices: list[Choice[Person | Outsider]] = [
            Choice(person.name, person) for person in bench.who_may_look(self._mark)
        ]
        outside = self._standing != "builder" and bench.doer_is_adult()
        if outside:
            known = [one for one in bench.outsiders() if one.role == "inspector" and one.number]
            choices += [
                Choice(said("{name}, inspector {number}", name=one.name, number=one.number), one)
                for one in known
            ]
        if not choices and not outside:
            self._kiosk.say(said(NOBODY_HERE[self._standing]), trouble=True)
            return
        detail = [] if choices else [said(NOBODY_HERE[self._standing])]
        own = Words[Person | Outsider](said("Or an inspector's name:"), _typed) if outside else None
        dialog = ChoiceScreen(said(WHO_LOOKS[self._standing]), choices, words=own, detail=detail)
        self._kiosk.ask(dialog, self._looker)

    def _looker(self, who: Person | Outsider) -> None:
        if isinstance(who, Outsider) and not who.number:
            title = said("The number of {name}'s licence or appointment?", name=who.name)
            dialog = ChoiceScreen[str](title, [], words=words(said("Number:")))
            self._kiosk.ask(dialog, lambda number: self._found(Outsider(who.name, who.role, number)))
        else:
            self._found(who)

    def _found(self, who: Person | Outsider) -> None:
        choices: list[Choice[str | None]] = [
            Choice(said(SEEN_RIGHT), SEEN_RIGHT),
            Choice(said(NOT_RIGHT), None),
        ]
        title = said("{name} looks at {mark}. What is seen?", name=who.name, mark=self._mark)
        own = Words[str | None](said("Or in words:"), str)
        key = f"look/{self._mark}/{self._step}/{who.id if isinstance(who, Person) else who.name}"
        dialog = ChoiceScreen(title, choices, words=own, kept_as=key)
        self._kiosk.ask(dialog, partial(self._say, who))

    def _say(self, who: Person | Outsider, finding: str | None) -> None:
        if finding is None:
            self._kiosk.raise_snag(self._mark)
        elif isinstance(who, Person) and self._kiosk.bench.has_pin(who.id):
            ask_pin(self._kiosk, who, partial(self._record, who, finding))
        else:
            self._record(who, finding)

    def _record(self, who: Person | Outsider, finding: str, pin: str = "") -> None:
        tap, look = self._kiosk.taps.id, self._kiosk.bench.hold_look
        if isinstance(who, Person):
            look([self._mark], who.id, finding, tap=tap, pin=pin)
        else:
            look([self._mark], "", finding, tap=tap, name=who.name, number=who.number)


def _typed(name: str) -> Person | Outsider:
    """An inspector as they are entered; the number is asked next."""
    return Outsider(name, "inspector")
