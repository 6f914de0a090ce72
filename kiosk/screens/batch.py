"""Asking which parts of a batch go their own way."""

from collections.abc import Sequence

from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.kiosk import Kiosk
from kiosk.shop.parts import marks_in_full


def ask_split(kiosk: Kiosk, marks: Sequence[str]) -> None:
    """Ask which part leaves the batch, or whether all do; the rest stays together."""

    def chosen(leaving: tuple[str, ...]) -> None:
        kiosk.bench.split_batch(leaving, tap=kiosk.taps.id)
        kiosk.say(f"Saved. {marks_in_full(leaving)} split off; F6 takes it back.")

    choices: list[Choice[tuple[str, ...]]] = [Choice(f"{mark} goes its own way", (mark,)) for mark in marks]
    choices.append(Choice("Each goes its own way", tuple(marks)))
    kiosk.ask(ChoiceScreen("Split the batch: which part leaves it?", choices, by_scan=True), chosen)
