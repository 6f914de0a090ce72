"""Asking which parts of a batch go their own way."""

from collections.abc import Sequence

from kiosk.screens.kiosk import Kiosk
from kiosk.screens.marks import MarksScreen
from kiosk.shop.parts import marks_in_full


def ask_split(kiosk: Kiosk, marks: Sequence[str]) -> None:
    """Ask which parts leave the batch; the rest stays together."""

    def chosen(leaving: tuple[str, ...]) -> None:
        kiosk.bench.split_batch(leaving, tap=kiosk.taps.id)
        kiosk.say(f"Saved. {marks_in_full(leaving)} split off; F6 takes it back.")

    kiosk.ask(MarksScreen("Split the batch: which parts leave it?", marks, takes="SPLIT OFF"), chosen)
