"""Who is at the bench, and whose hands are on the screen."""

from functools import partial

from kiosk.catalogue import said
from kiosk.plural import so_many
from kiosk.record.context import NOBODY
from kiosk.screens.action import BIG, Action
from kiosk.screens.base import Drawn, KioskScreen
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, POINTER, QUIET
from kiosk.screens.pin import PinScreen, ask_pin
from kiosk.shop.shop import Person
from kiosk.views.wording import capital
from kiosk.views.wrong_pins import wrong_pin_lines


class PeopleScreen(KioskScreen):
    """Come, go, hand over."""

    NAME = "people"

    def __init__(self) -> None:
        super().__init__()
        self.at: int | None = None  # nobody pointed yet: at whoever has the screen

    def draw(self) -> Drawn:
        """Everybody on the shop's list, with what they are now; come or go, take over the screen."""
        bench = self.bench
        people = list(bench.shop.people.values())
        if self.at is None:
            ids = [person.id for person in people]
            self.at = ids.index(bench.doer_id) if bench.doer_id in ids else 0
        self.at = max(0, min(self.at, len(people) - 1))
        here = {person.id for person in bench.people}
        out = bench.state.sitting.cleared if bench.state.sitting is not None else ()
        today = bench.now.astimezone().date()
        lines = self.lines()
        lines.add(said("Who is at the bench?"), BOLD)
        lines.gap()
        for number, person in enumerate(people):
            pointer = POINTER if number == self.at else " "
            word = said("AT THE BENCH") if person.id in here else said("away")
            word = said("OUT OF THE ROOM for now") if person.id in out else word
            if person.id == bench.doer_id:
                word = said("{where}, hands on the screen", where=word)
            age = f", {person.age(today)}" if person.born is not None else ""
            style = ACCENT if number == self.at else PLAIN
            lines.add(f"{pointer} {person.name} ({person.role}{age}): {word}", style, of=number)
        lines.gap()
        lines.add(
            said(
                "A helper sees plain words, and only what they may do. Steps not "
                "for a young person in the room stop until an adult says they "
                "are out."
            ),
            QUIET,
            importance=3,
        )
        return Drawn(lines, self._can_do(people[self.at]), on_row=self._point)

    def take_text(self, character: str) -> bool:
        """No PIN is typed into the search, for all to read; where one is asked for, nothing is shown."""
        if not (character.isdecimal() and self.bench.state.pins):
            return False
        self.kiosk.say(said("A PIN is asked for: choose your name, then F7."), trouble=True)
        self.show()
        return True

    def _can_do(self, person: Person) -> list[Action]:
        """Who is away comes; who is here takes over; the one with the screen goes back to the work."""
        bench = self.bench
        is_here = person in bench.people
        take_over = partial(self._hand_over, person)
        if bench.doer_id == NOBODY:
            big = Action(said("{name} TAKES OVER", name=person.name), BIG, take_over)
        elif is_here:  # a second press of the one that said they are here hands nobody the screen
            big = Action("BACK TO THE PLACE", BIG, partial(self.kiosk.go, "place"))
        else:
            big = Action(said("{name} IS HERE", name=person.name), BIG, partial(self._come, person))
        actions = [big]
        if person.id != bench.doer_id:
            actions.append(Action("Takes over", "f7", take_over))
        actions += [
            Action("Up", "up", partial(self._move, -1), repeats=True),
            Action("Down", "down", partial(self._move, 1), repeats=True),
        ]
        if is_here:
            actions.append(Action("Goes", "f8", partial(self._go, person)))
        if bench.may_set_pin(person):
            pin = said("{name}'s PIN", name=person.name)
            actions.append(Action(pin, "f12", partial(self._ask_pin, person), shown="key"))
        return actions

    def _ask_pin(self, person: Person) -> None:
        """A PIN is set, changed or taken away: the old one is asked for first, where there is one."""
        choices = [Choice(said("Set a new PIN"), True)]
        if self.bench.has_pin(person.id):
            choices.append(Choice(said("Take the PIN away: none is asked for then"), False))
        dialog = ChoiceScreen(said("{name}'s PIN: what becomes of it?", name=person.name), choices)

        def chosen(new: bool) -> None:
            says = self.bench.who_says_pin(person)
            then = partial(self._ask_new, person) if new else partial(self._set_pin, person, new="")
            if says is None:
                then("")
            else:
                ask_pin(self.kiosk, says, then)

        self.kiosk.ask(dialog, chosen)

    def _ask_new(self, person: Person, old: str, refused: str = "") -> None:
        """Ask for the new one twice: nothing of it is seen, and a slip of the finger would lock them out."""

        def again(new: str, second: str) -> None:
            if second != new:
                self._ask_new(person, old, said("The two are not the same. Type it anew."))
            else:
                self._set_pin(person, old, new)

        def typed(new: str) -> None:
            title = said("{name}'s new PIN once more", name=person.name)
            self.kiosk.ask(PinScreen(title), partial(again, new))

        self.kiosk.ask(PinScreen(said("{name}'s new PIN", name=person.name), refused), typed)

    def _set_pin(self, person: Person, old: str, new: str) -> None:
        self.bench.set_pin(person.id, old, new, tap=self.tap)
        if new:
            self.kiosk.say(said("Saved. {name}'s PIN is set.", name=person.name))
        else:
            self.kiosk.say(said("Saved. {name}'s PIN is taken away.", name=person.name))

    def _point(self, number: int) -> Action:
        """A finger on a line points at it."""
        return Action("Point", "", partial(self._go_to, number), repeats=True)

    def _go_to(self, number: int) -> None:
        self.at = number

    def _move(self, by: int) -> None:
        self.at = (self.at or 0) + by

    def _come(self, person: Person) -> None:
        if self.bench.asks_pin_to_come(person):
            ask_pin(self.kiosk, person, partial(self._has_come, person))
        else:
            self._has_come(person)

    def _has_come(self, person: Person, pin: str = "") -> None:
        self.bench.come(person.id, pin, tap=self.tap)
        stopped_by = self.bench.stopped_by()
        if stopped_by:
            names, verb = ", ".join(stopped_by), "are" if len(stopped_by) > 1 else "is"
            self.kiosk.say(
                said("Stop: {names} {verb} in the room. F1 when they are out.", names=names, verb=verb),
                trouble=True,
            )

    def _go(self, person: Person) -> None:
        """Whoever has a step in hand that may not be left so is asked first; the last one closes up.

        Nobody is kept by what another does.
        """
        bench = self.bench
        must_not = bench.would_leave(person)
        if not (must_not and len(bench.people) > 1):
            bench.leave(person.id, tap=self.tap)
            return

        def chosen(goes: bool) -> None:
            if goes:
                bench.leave(person.id, tap=self.tap)

        choices = [
            Choice(said("Stay and finish it"), False),
            Choice(said("{name} goes all the same", name=person.name), True),
        ]
        title = said("{name} goes? This must not be left so", name=person.name)
        self.kiosk.ask(ChoiceScreen(title, choices, detail=must_not), chosen)

    def _hand_over(self, person: Person) -> None:
        if self.bench.asks_pin_to_take(person):
            ask_pin(self.kiosk, person, partial(self._give, person))
        else:
            self._give(person)

    def _give(self, person: Person, pin: str = "") -> None:
        self.bench.hand_over(person.id, pin, tap=self.tap)
        told = wrong_pin_lines(self.bench.shop, self.bench.state) if person.role == "builder" else []
        beside = self.bench.runs_beside()
        told += [capital(beside)] if beside else []
        if self.kiosk.on_wall and self.bench.rest_shuts_out():
            after = so_many(round(self.bench.shop.file.screen.calm_after), "quiet minute", "quiet minutes")
            told.append(
                said(
                    "After {quiet_minutes} somebody with a PIN has to give it back; F12 sets one of your own",
                    quiet_minutes=after,
                )
            )
        self.kiosk.say(
            said("{name} has the screen. {told}", name=person.name, told=". ".join(told)).rstrip(),
            trouble=bool(told),
        )
