"""Carrying on with a step that was paused: what could not follow it in time is told first."""

from collections.abc import Callable

from kiosk.catalogue import said
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.kiosk import Kiosk
from kiosk.views.wording import capital


def carry_on(kiosk: Kiosk, work: str, then: Callable[[], object]) -> None:
    """Take a step in hand up again, and go on with ``then``.

    Nobody is kept from it: what is done is recorded at any hour. But where something cannot follow in time,
    as a coat that is sprayed loud, it is taken up by who was told so.
    """

    def taken_up() -> None:
        kiosk.bench.take_up(work, tap=kiosk.taps.id)
        then()

    stop = kiosk.bench.could_not_follow(work)
    if not stop:
        taken_up()
        return
    choices = [Choice(said("Carry on all the same"), True), Choice(said("Leave it as it is"), False)]
    dialog = ChoiceScreen[bool](
        said("It may not be left half way. Carry on?"), choices, detail=[f"{capital(stop)}."]
    )
    kiosk.ask(dialog, lambda on: taken_up() if on else None)
