"""Who is at the bench, and whose hands are on the screen."""

from collections.abc import Callable

from kiosk.screens.base import KioskScreen
from kiosk.screens.dialogs import ChoiceScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET
from kiosk.screens.target import Tap
from kiosk.shop.shop import Person


class PeopleScreen(KioskScreen):
    """Come, go, hand over."""

    NAME = "people"

    def __init__(self) -> None:
        super().__init__()
        self.at = 0

    def taps(self) -> list[Tap]:
        """Come or go; take over the screen."""
        return [
            Tap("big", "", "Enter", classes="big"),
            Tap("f7", "Takes over", "F7"),
            Tap("up", "Up", "↑"),
            Tap("down", "Down", "↓"),
        ]

    def draw(self) -> None:
        """Everybody on the shop's list, with what they are now."""
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
        self.set_body(lines)
        chosen = people[self.at]
        self.face("big", f"{chosen.name} {'GOES' if chosen.id in here else 'IS HERE'}", "Enter")

    def _with_pin(self, person: Person, act: Callable[[str], None]) -> None:
        """Do something for a person, asking for the PIN first where they have one."""
        if person.pin is None or person.id == self.bench.doer_id:
            act("")
            return

        def typed(pin: str | None) -> None:
            if pin is not None:
                self.kiosk.attempt(lambda: act(pin))
                self.show()

        self.app.push_screen(ChoiceScreen(f"{person.name}'s PIN", [], text_hint="PIN:", secret=True), typed)

    def _hand_over(self, person: Person) -> None:
        self._with_pin(person, lambda pin: self._give(person, pin))

    def _come(self, person: Person) -> None:
        self._with_pin(person, lambda pin: self.bench.come(person.id, pin))

    def _go(self, person: Person) -> None:
        self.bench.leave(person.id)

    def _give(self, person: Person, pin: str) -> None:
        self.bench.hand_over(person.id, pin)
        self.kiosk.say(f"{person.name} has the screen.")

    def do(self, action: str) -> bool:
        """Come, go, hand over, move."""
        people = list(self.bench.shop.people.values())
        person = people[self.at]
        if action == "big":
            here = person.id in {one.id for one in self.bench.people}
            self._go(person) if here else self._come(person)
        elif action == "f7":
            self._hand_over(person)
        elif action in ("up", "down"):
            self.at = max(0, min(len(people) - 1, self.at + (-1 if action == "up" else 1)))
        else:
            return False
        return True
