"""Whether those are out who may not be in the room: said by a choice, never by the yellow key alone."""

from collections.abc import Callable, Sequence

from kiosk.catalogue import said
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.kiosk import Kiosk
from kiosk.shop.procedure import StepRef
from kiosk.shop.shop import Person


def clear_room(kiosk: Kiosk, ref: StepRef, mark: str | None) -> None:
    """Ask whether those are out who may not be there for a step on this part, and record that they are."""
    bench = kiosk.bench
    people = bench.who_must_go_out(ref, mark)

    def answered(out: bool) -> None:
        if out:
            bench.clear_room(ref, mark, [one.id for one in people], tap=kiosk.taps.id)

    _ask(kiosk, people, answered)


def look_round(kiosk: Kiosk, people: Sequence[Person], then: Callable[[], object]) -> None:
    """Ask where those are who were here as the power went; who is still in the room is here again. Go on with
    ``then``: what they may not be beside stops."""
    if not people:
        then()
        return

    def answered(out: bool) -> None:
        if out:
            then()
            return
        for one in people:
            kiosk.bench.come(one.id)

    _ask(kiosk, people, answered)


def _ask(kiosk: Kiosk, people: Sequence[Person], answered: Callable[[bool], object]) -> None:
    names = ", ".join(one.name for one in people)
    choices = [
        Choice(said("Still in the room: {names}", names=names), False),
        Choice(said("Out of the room: {names}", names=names), True),
    ]
    kiosk.ask(ChoiceScreen(said("Look round: who is in the room?"), choices), answered)
