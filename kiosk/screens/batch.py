"""Asking which parts of a batch go their own way."""

from collections.abc import Sequence

from kiosk.catalogue import said
from kiosk.screens.kiosk import Kiosk
from kiosk.screens.marks import MarksScreen
from kiosk.shop.parts import marks_in_full


def ask_split(kiosk: Kiosk, marks: Sequence[str]) -> None:
    """Ask which parts leave the batch; the rest stays together."""

    def chosen(leaving: tuple[str, ...]) -> None:
        kiosk.bench.split_batch(leaving, tap=kiosk.taps.id)
        kiosk.say(said("Saved. {parts} split off; F6 takes it back.", parts=marks_in_full(leaving)))

    kiosk.ask(
        MarksScreen(said("Split the batch: which parts leave it?"), marks, takes=said("SPLIT OFF")), chosen
    )
