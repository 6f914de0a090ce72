"""Typing a PIN: nothing of it is shown, kept or said."""

from collections.abc import Callable

from kiosk.catalogue import said
from kiosk.record.pins import LONGEST, SHORTEST
from kiosk.record.rules import WrongPin
from kiosk.screens.dialog import Answer
from kiosk.screens.keypad import DIGITS, KeypadScreen
from kiosk.screens.kiosk import Kiosk
from kiosk.screens.page_text import Lines
from kiosk.shop.shop import Person


class PinScreen(KeypadScreen):
    """Gives the typed digits."""

    SECRET = True

    def __init__(self, title: str, refused: str = "") -> None:
        super().__init__(title, str, faces=(), refused=refused)

    @property
    def has_text(self) -> bool:
        """Digits alone: a blank never belongs to them."""
        return False

    def lines(self, rows: int) -> Lines:
        """How many digits were typed."""
        lines = self.empty_page()
        lines.big("*" * len(self.text), caption="▌")
        return lines

    def foot(self) -> str:
        """What ends it."""
        return self.said or said("OK or Enter takes it. Esc leaves.")

    def type(self, character: str) -> None:
        """Digits alone."""
        if character in DIGITS and len(self.text) < LONGEST:
            self._keep(self.text + character)

    def _take(self) -> None:
        if len(self.text) < SHORTEST:
            self.said = said(
                "A PIN is {shortest} to {longest} digits. Type it first.", shortest=SHORTEST, longest=LONGEST
            )
            return
        self.leave(Answer(self.text, "typed"))  # its words are not the digits: they name the press


def ask_pin(kiosk: Kiosk, person: Person, then: Callable[[str], object], refused: str = "") -> None:
    """Ask for a person's PIN and do something with it; while a wait runs, say how long.

    After a wrong one the question stands again at once: digits typed then go nowhere else.
    """
    wait_s = kiosk.bench.pin_wait_s(person)
    if wait_s > 0:
        kiosk.say(
            said(
                "{name}'s PIN was wrong. Wait {wait_s} s, then try again.",
                name=person.name,
                wait_s=f"{wait_s:.0f}",
            ),
            trouble=True,
        )
        return

    def typed(pin: str) -> None:
        try:
            then(pin)
        except WrongPin as wrong:
            ask_pin(kiosk, person, then, str(wrong))
            raise

    kiosk.ask(PinScreen(said("{name}'s PIN", name=person.name), refused), typed)
