"""Who is at the bench, and whose hands are on the screen."""

from collections.abc import Callable
from functools import partial

from kiosk.screens.action import BIG, Action
from kiosk.screens.base import Drawn, KioskScreen
from kiosk.screens.choice import Choice, ChoiceScreen, words
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET
from kiosk.shop.shop import Person


class PeopleScreen(KioskScreen):
    """Come, go, hand over."""

    NAME = "people"

    def __init__(self) -> None:
        super().__init__()
        self.at = 0

    def draw(self) -> Drawn:
        """Everybody on the shop's list, with what they are now; come or go, take over the screen."""
        bench = self.bench
        people = list(bench.shop.people.values())
        self.at = max(0, min(self.at, len(people) - 1))
        here = {person.id for person in bench.people}
        today = bench.now.astimezone().date()
        lines = self.lines()
        lines.add("Who is at the bench?", BOLD)
        lines.gap()
        for number, person in enumerate(people):
            pointer = "▶" if number == self.at else " "
            word = "AT THE BENCH" if person.id in here else "away"
            hands = ", hands on the screen" if person.id == bench.doer_id else ""
            age = f", {person.age(today)}" if person.born is not None else ""
            style = ACCENT if number == self.at else PLAIN
            lines.add(f"{pointer} {person.name} ({person.role}{age}): {word}{hands}", style)
        lines.gap()
        lines.add(
            "A helper sees plain words, and only what they may do. Steps not for a young person"
            " in the room stop until an adult says they are out.",
            QUIET,
            importance=3,
        )
        person = people[self.at]
        comes = person.id not in here
        actions = [
            Action(
                f"{person.name} {'IS HERE' if comes else 'GOES'}",
                BIG,
                lambda: self._come(person) if comes else self._go(person),
            ),
            Action("Takes over", "f7", lambda: self._hand_over(person)),
            Action("Up", "up", partial(self._move, -1), repeats=True),
            Action("Down", "down", partial(self._move, 1), repeats=True),
        ]
        return Drawn(lines, actions)

    def _move(self, by: int) -> None:
        self.at += by

    def _with_pin(self, person: Person, act: Callable[[str], None]) -> None:
        """Do something for a person, asking for the PIN first where they have one."""
        if person.pin is None or person.id == self.bench.doer_id:
            act("")
            return
        dialog = ChoiceScreen[str](f"{person.name}'s PIN", [], words=words("PIN:", secret=True))
        self.kiosk.ask(dialog, act)

    def _come(self, person: Person) -> None:
        if person.role == "builder" and self.bench.doer.role != "builder":
            self._with_pin(person, lambda pin: self._has_come(person, pin))
        else:
            self._has_come(person)

    def _has_come(self, person: Person, pin: str = "") -> None:
        self.bench.come(person.id, pin, tap=self.tap)
        stopped_by = self.bench.stopped_by()
        if stopped_by:
            names, verb = ", ".join(stopped_by), "are" if len(stopped_by) > 1 else "is"
            self.kiosk.say(f"Stop: {names} {verb} in the room. F1 when they are out.", trouble=True)

    def _go(self, person: Person) -> None:
        """Whoever has a step in hand that may not be left so is asked first; the last one closes up."""
        bench = self.bench
        must_not = bench.close_up_view().must_not
        holds = person.id == bench.doer_id or any(work.by == person.id for work in bench.state.works.values())
        if not (must_not and holds and len(bench.people) > 1):
            bench.leave(person.id, tap=self.tap)
            return

        def chosen(goes: bool) -> None:
            if goes:
                bench.leave(person.id, tap=self.tap)

        choices = [Choice("Stay and finish it", False), Choice(f"{person.name} goes all the same", True)]
        title = f"{person.name} goes? This must not be left so"
        self.kiosk.ask(ChoiceScreen(title, choices, detail=must_not), chosen)

    def _hand_over(self, person: Person) -> None:
        self._with_pin(person, partial(self._give, person))

    def _give(self, person: Person, pin: str) -> None:
        self.bench.hand_over(person.id, pin, tap=self.tap)
        self.kiosk.say(f"{person.name} has the screen.")
