"""Whether those are out who may not be in the room: said by a choice, never by the yellow key alone."""

from kiosk.catalogue import said
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.kiosk import Kiosk
from kiosk.shop.procedure import StepRef


def clear_room(kiosk: Kiosk, ref: StepRef, mark: str | None) -> None:
    """Ask whether those are out who may not be there for a step on this part, and record that they are."""
    bench = kiosk.bench
    people = bench.who_must_go_out(ref, mark)

    names = ", ".join(one.name for one in people)
    choices = [
        Choice(said("Still in the room: {names}", names=names), False),
        Choice(said("Out of the room: {names}", names=names), True),
    ]

    def answered(out: bool) -> None:
        if out:
            bench.clear_room(ref, mark, [one.id for one in people], tap=kiosk.taps.id)

    kiosk.ask(ChoiceScreen(said("Look round: who is in the room?"), choices), answered)
