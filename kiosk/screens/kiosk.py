"""What a screen may ask of the app. Screens know it by this alone, so that none of them imports it."""

from collections.abc import Callable, Sequence
from typing import Protocol, TypeVar

from kiosk.bench import Bench
from kiosk.record.rules import Refused
from kiosk.record.stopped import RecordingStopped
from kiosk.screens.action import Action
from kiosk.screens.dialog import Dialog
from kiosk.screens.page import Page
from kiosk.screens.taps import Taps

T = TypeVar("T")


class Kiosk(Protocol):
    """The app, as its screens see it."""

    bench: Bench
    taps: Taps
    typed: str  # a part mark being typed
    message: tuple[str, bool]  # at the foot, and whether it is trouble
    record_gone: str  # what is wrong with a record that no press mends; empty where nothing is
    on_wall: bool  # it hangs on the wall: nothing leaves it but one deliberate act

    def wake(self) -> None:
        """Lift the calm card, if it is there."""

    def closed_up(self) -> None:
        """The sitting was closed: leave, or rest on the wall."""

    def may_leave(self) -> bool:
        """Whether whoever has the screen may leave the wall."""

    def ask_to_leave(self) -> None:
        """Ask whether to leave the wall screen, and say how it comes back."""

    def everywhere(self, here: str) -> Sequence[Action]:
        """The actions that every screen has, seen from one; those with a target make the row of places."""

    def onward(self, here: str) -> Sequence[Action]:
        """The ways to the places that only this one leads to; they stand after the page's own actions."""

    def say(self, text: str, *, trouble: bool = False) -> None:
        """Put a line at the foot of the screen."""

    def attempt(self, what: str, deed: Callable[[], object]) -> bool:
        """Do what a press asks; a refusal is said at the foot. True when it was done."""

    def recording_stopped(self, error: RecordingStopped, *, pressed: bool = True) -> None:
        """Say over the whole screen that nothing is recorded now."""

    def tell_record_trouble(self) -> bool:
        """Say once what is found wrong with the record. True when it is another thing than before."""

    def ask(
        self,
        dialog: Dialog[T],
        then: Callable[[T], object],
        *,
        held: bool = False,
        or_else: Callable[[], object] | None = None,
    ) -> None:
        """Open a dialog, and do something with what it gives; ``or_else`` when it is left."""

    def keep_words(self, where: str, text: str) -> None:
        """Keep half-typed words at once, so that they survive anything; nobody's are not kept."""

    def read(self, title: str, pages: Sequence[Page]) -> None:
        """Open pages of text to read."""

    def go(self, name: str) -> None:
        """Go to one of the places, leaving whatever is open."""

    def leave_page(self, error: Refused) -> None:
        """Say why a page cannot stand any more, and show the place."""

    def walk(self, work: str, paused: Sequence[str] | None = None) -> None:
        """Walk the step in hand."""

    def open_part(self, mark: str) -> None:
        """Open a part's page."""

    def show_life(self, mark: str) -> None:
        """Show all that is recorded of a part, to read."""

    def find(self, text: str) -> None:
        """Go to the part with the typed mark; where several may be meant, ask which."""

    def find_scanned(self, text: str) -> None:
        """Go to the part with the scanned mark."""

    def part_meant(self, text: str, then: Callable[[str], object], *, goes: bool = False) -> None:
        """Do something with the part whose mark was typed; where several may be meant, ask which."""

    def raise_snag(self, mark: str) -> None:
        """Ask what is not right on a part and hold it."""

    def ask_snag(self, marks: Sequence[str]) -> None:
        """Raise a snag on one of several parts that are shown: which one is asked."""

    def ask_place(self, marks: Sequence[str]) -> None:
        """Parts stand on a step that their procedure no longer has: ask where they go on."""

    def ask_clock(self) -> None:
        """Ask whether the wall clock is right."""

    def begin_slot(self, minutes: int) -> None:
        """A slot of so many minutes runs from now."""

    def slot_left(self) -> str:
        """The header's words for the time left in the slot."""
