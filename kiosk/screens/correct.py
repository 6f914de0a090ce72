"""Correcting what was mistyped on a finished step: which, what it is, and why; one thing at a time."""

from collections.abc import Callable
from functools import partial

from kiosk.errors import KioskError
from kiosk.record.past_step import PastFigure, PastStep
from kiosk.record.rules import NotAllowed, Refused, corrections
from kiosk.record.rules.corrections import Corrects
from kiosk.screens.choice import Choice, ChoiceScreen, same, words
from kiosk.screens.keypad import KeypadScreen
from kiosk.screens.kiosk import Kiosk
from kiosk.shop.procedure import StepRef
from kiosk.views.past_step import figure_text, figure_words, time_taken

REASONS = {
    "figure": ("Mistyped", "Read off the wrong line", "Measured again, at the same place"),
    "minutes": ("The clock was not stopped", "The clock was started late"),
    "day": ("Recorded on a later day", "The machine's date was wrong"),
}


class Correcting:
    """One correction as it is put together."""

    def __init__(self, kiosk: Kiosk, mark: str) -> None:
        self._kiosk = kiosk
        self._mark = mark

    def ask(self) -> None:
        """Ask for the step first."""
        done = self._done_steps()
        if not done:
            raise Refused(f"nothing on {self._mark} is yours to correct", "ask the builder")
        title = f"{self._mark}: which step was recorded wrong?"
        self._kiosk.ask(ChoiceScreen(title, done), self._ask_what)

    def _done_steps(self) -> list[Choice[StepRef]]:
        """The steps that stand on the part by their words, the newest first."""
        bench = self._kiosk.bench
        part = bench.state.part(self._mark)
        found = [
            (one.at, StepRef(procedure, step))
            for procedure, steps in part.passes.items()
            for step, one in steps.items()
            if not one.skipped and corrections.may_correct_step(bench.doer, part, StepRef(procedure, step))
        ]
        found.sort(key=lambda pair: pair[0], reverse=True)
        return [Choice(self._words(ref), ref) for _, ref in found]

    def _words(self, ref: StepRef) -> str:
        _, step = self._kiosk.bench.shop.find_step(ref.procedure, ref.step)
        return step.do if step is not None else str(ref)

    def _ask_what(self, ref: StepRef) -> None:
        past = self._kiosk.bench.past_step(self._mark, ref)
        choices: list[Choice[Callable[[], None]]] = [
            Choice(figure_words(one), partial(self._ask_figure, past, one))
            for one in past.figures
            if one.value is not None or one.lot
        ]
        choices.append(Choice(f"How long it took: {time_taken(past)}", partial(self._ask_minutes, past)))
        choices.append(Choice(f"The date: {past.day}", partial(self._ask_day, past)))
        others = len(past.marks) - 1
        detail = [f"Time and date are of {others} more that went along."] if others else []
        dialog = ChoiceScreen(f"{self._mark}: what is wrong on record?", choices, detail=detail)
        self._kiosk.ask(dialog, lambda chosen: chosen())

    def _ask_figure(self, past: PastStep, figure: PastFigure, refused: str = "") -> None:
        then = partial(self._typed, past, "figure", figure.check)

        def again(why: str) -> None:
            self._ask_figure(past, figure, why)

        on_record = f"{figure.ask} On record: {figure_text(figure)}"
        if figure.lot:
            dialog = ChoiceScreen[str](
                on_record, [], words=words("The lot's mark:"), refused=refused.rstrip(".")
            )
            self._kiosk.ask(dialog, lambda text: then(again, text))
        else:
            dialog_pad = KeypadScreen(on_record, refused=f"NOT DONE: {refused}" if refused else "")
            self._kiosk.ask(dialog_pad, lambda text: then(again, text))

    def _ask_minutes(self, past: PastStep, refused: str = "") -> None:
        then = partial(self._typed, past, "minutes", "")
        title = f"How many minutes did it take? On record: {time_taken(past)}"
        dialog = KeypadScreen(title, refused=f"NOT DONE: {refused}" if refused else "")
        self._kiosk.ask(dialog, lambda text: then(partial(self._ask_minutes, past), text))

    def _ask_day(self, past: PastStep, refused: str = "") -> None:
        then = partial(self._typed, past, "day", "")
        title = f"On which day was it done? On record: {past.day}"
        dialog = KeypadScreen(title, refused=f"NOT DONE: {refused}" if refused else f"As {past.day}.")
        self._kiosk.ask(dialog, lambda text: then(partial(self._ask_day, past), text))

    def _typed(
        self, past: PastStep, what: Corrects, check: str, again: Callable[[str], None], text: str
    ) -> None:
        """What cannot be is asked again at once; what can be is asked for its reason."""
        try:
            holds = self._kiosk.bench.correction_holds(self._mark, past, what, text, check)
        except NotAllowed:
            raise
        except KioskError as error:
            again(str(error))
            return

        def said(reason: str) -> None:
            self._kiosk.bench.correct(
                self._mark, past.ref, what, text, reason, check, tap=self._kiosk.taps.id
            )
            held = self._kiosk.bench.state.open_snags(self._mark)
            after = f" {self._mark} IS HELD: {held[0].text}" if held else " The old one stays on record."
            self._kiosk.say(f"Saved. It counts as {text.strip()} now.{after}")

        title = f"Why is it {text.strip()}?"
        dialog = ChoiceScreen(
            title,
            same(REASONS[what]),
            detail=["NOT AS WANTED: the part is held until you decide."] if holds else [],
            words=words("In words:"),
            kept_as=f"correct/{self._mark}",
        )
        self._kiosk.ask(dialog, said)
