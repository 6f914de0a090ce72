"""Correcting what was mistyped on a finished step: which, what it is, and why; one thing at a time."""

from collections.abc import Callable, Sequence
from functools import partial

from kiosk.catalogue import said, to_be_said
from kiosk.errors import KioskError
from kiosk.record.past_step import PastFigure, PastStep
from kiosk.record.rules import NotAllowed, Refused, corrections
from kiosk.record.rules.corrections import Corrects, read_day
from kiosk.record.state import Trial
from kiosk.record.strips import StripFigure, measured_of, strips_of_step
from kiosk.screens.choice import Choice, ChoiceScreen, same, words
from kiosk.screens.keypad import KeypadScreen
from kiosk.screens.kiosk import Kiosk
from kiosk.shop.measures import read_number
from kiosk.shop.procedure import StepRef
from kiosk.views.past_step import figure_text, figure_words, time_taken

REASONS = {
    "figure": (
        to_be_said("Mistyped"),
        to_be_said("Read off the wrong line"),
        to_be_said("Measured again, at the same place"),
    ),
    "minutes": (to_be_said("The clock was not stopped"), to_be_said("The clock was started late")),
    "day": (to_be_said("Recorded on a later day"), to_be_said("The machine's date was wrong")),
}

TAKEN_BACK = (
    to_be_said("Measured wrong"),
    to_be_said("Bent over another bar"),
    to_be_said("Cut from another sheet"),
)


class Correcting:
    """One correction as it is put together."""

    def __init__(self, kiosk: Kiosk, mark: str) -> None:
        self._kiosk = kiosk
        self._mark = mark

    def ask(self) -> None:
        """Ask for the step first."""
        done: list[Choice[Callable[[], None]]] = [
            Choice(one.label, partial(self._ask_what, one.value)) for one in self._done_steps()
        ]
        in_hand = self._trial_in_hand()
        if in_hand is not None:
            strips = self._strips([self._mark], in_hand)
            title = said("{mark}: which strip was recorded wrong?", mark=self._mark)
            done.insert(
                0,
                Choice(
                    said("In hand: {words}", words=self._words(in_hand)), partial(self._ask_of, title, strips)
                ),
            )
        if not done:
            raise Refused(f"nothing on {self._mark} is yours to correct", "ask the builder")
        title = said("{mark}: which step was recorded wrong?", mark=self._mark)
        self._kiosk.ask(ChoiceScreen(title, done), lambda chosen: chosen())

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

    def _trial_in_hand(self) -> StepRef | None:
        """The step in hand, where strips of it count already."""
        bench = self._kiosk.bench
        work = bench.state.works.get(bench.state.part(self._mark).work or "")
        if work is None:
            return None
        ref = StepRef(work.procedure, work.step)
        return ref if self._strips([self._mark], ref)[0] else None

    def _words(self, ref: StepRef) -> str:
        _, step = self._kiosk.bench.shop.find_step(ref.procedure, ref.step)
        return step.do if step is not None else str(ref)

    def _ask_what(self, ref: StepRef) -> None:
        past = self._kiosk.bench.past_step(self._mark, ref)
        strips, struck = self._strips(past.marks, ref, past)
        # The last strip has the figures of the step, and they are asked for with it.
        last = {one.ask for one in self._last_measured(past)}
        choices: list[Choice[Callable[[], None]]] = [
            Choice(figure_words(one), partial(self._ask_figure, past, one))
            for one in past.figures
            if (one.value is not None or one.lot) and one.ask not in last
        ]
        choices[:0] = strips
        choices.append(
            Choice(
                said("How long it took: {time_taken}", time_taken=time_taken(past)),
                partial(self._ask_minutes, past),
            )
        )
        choices.append(Choice(said("The date: {day}", day=past.day), partial(self._ask_day, past)))
        others = len(past.marks) - 1
        detail = (
            [said("Time and date are of {others} more that went along.", others=others)] if others else []
        )
        self._ask_of(said("{mark}: what is wrong on record?", mark=self._mark), (choices, [*struck, *detail]))

    def _ask_of(self, title: str, of: tuple[list[Choice[Callable[[], None]]], list[str]]) -> None:
        choices, detail = of
        self._kiosk.ask(ChoiceScreen(title, choices, detail=detail), lambda chosen: chosen())

    # Trial strips

    def _strips(
        self, marks: Sequence[str], ref: StepRef, past: PastStep | None = None
    ) -> tuple[list[Choice[Callable[[], None]]], list[str]]:
        """The strips of a step that count, each to be corrected or taken back, and those that are struck."""
        from kiosk.views.trial import strip_figures

        bench = self._kiosk.bench
        of_step = strips_of_step(bench.state, marks, ref)
        struck = [
            said(
                "Struck: strip {number}, {strip_figures}: {why}",
                number=one.number,
                strip_figures=strip_figures(one.strip),
                why=one.why,
            )
            for one in of_step
            if one.retracted_by
        ]
        if bench.may_not("retract_trial"):
            return [], struck
        counted: list[Choice[Callable[[], None]]] = [
            Choice(
                said(
                    "Strip {number}: {strip_figures}",
                    number=one.number,
                    strip_figures=strip_figures(one.strip),
                ),
                partial(self._ask_strip, one, past),
            )
            for one in of_step
            if not one.retracted_by
        ]
        return counted, struck

    def _last_measured(self, past: PastStep) -> list[StripFigure]:
        """What was measured of the strip that has the figures of a finished step; nothing where none does."""
        bench = self._kiosk.bench
        if bench.may_not("retract_trial"):
            return []
        of_step = strips_of_step(bench.state, past.marks, past.ref)
        last = [one for one in of_step if not (one.retracted_by or one.strip.again)]
        return measured_of(bench.shop, last[-1].strip) if last else []

    def _ask_strip(self, trial: Trial, past: PastStep | None) -> None:
        measured = measured_of(self._kiosk.bench.shop, trial.strip)
        choices: list[Choice[Callable[[], None]]]
        if trial.strip.again:
            choices = [
                Choice(
                    f"{one.ask} {one.of(trial.strip):g} {one.unit}", partial(self._ask_measured, trial, one)
                )
                for one in measured
            ]
        else:
            asked = {one.ask for one in measured}
            choices = [
                Choice(figure_words(one), partial(self._ask_figure, past, one))
                for one in (past.figures if past is not None else ())
                if past is not None and one.ask in asked and one.value is not None
            ]
        choices.append(Choice(said("Take the strip back: it counts no more"), partial(self._ask_back, trial)))
        self._ask_of(said("Strip {number}: what is wrong?", number=trial.number), (choices, []))

    def _ask_measured(self, trial: Trial, figure: StripFigure, refused: str = "") -> None:
        title = said(
            "{ask} On record: {of} {unit}", ask=figure.ask, of=f"{figure.of(trial.strip):g}", unit=figure.unit
        )

        def typed(text: str) -> None:
            try:
                self._kiosk.bench.require_trial_correction(trial.number, figure.name, text)
            except NotAllowed:
                raise
            except KioskError as error:
                self._ask_measured(trial, figure, str(error))
                return
            dialog = ChoiceScreen(
                said("Why is it {text}?", text=text.strip()),
                same(REASONS["figure"]),
                words=words(said("In words:")),
                kept_as=f"correct/{self._mark}/strip {trial.number}/{figure.name}",
            )
            self._kiosk.ask(dialog, partial(self._corrected, trial, figure, text))

        pad = KeypadScreen(title, partial(read_number, unit=figure.unit), refused=_not_done(refused))
        self._kiosk.ask(pad, typed)

    def _corrected(self, trial: Trial, figure: StripFigure, text: str, reason: str) -> None:
        bench = self._kiosk.bench
        bench.correct_trial(trial.number, figure.name, text, reason, tap=self._kiosk.taps.id)
        new = bench.state.trials[-1].number
        self._say_of_strips(
            said(
                "Saved. It counts as strip {new} now; strip {number} is struck.", new=new, number=trial.number
            )
        )

    def _ask_back(self, trial: Trial) -> None:
        def answered(reason: str) -> None:
            self._kiosk.bench.retract_trial(trial.number, reason, tap=self._kiosk.taps.id)
            self._say_of_strips(
                said("Saved. Strip {number} is struck and counts no more.", number=trial.number)
            )

        dialog = ChoiceScreen(
            said("Why is it taken back, strip {number}?", number=trial.number),
            same(TAKEN_BACK),
            words=words(said("In words:")),
            kept_as=f"correct/{self._mark}/strip {trial.number}",
        )
        self._kiosk.ask(dialog, answered)

    def _say_of_strips(self, saved: str) -> None:
        """That it is saved, and which strip still disagrees."""
        from kiosk.views.trial import told_when_saved

        odd = told_when_saved(self._kiosk.bench.state)
        self._kiosk.say(f"{saved} {odd}".rstrip(), trouble=bool(odd))

    # Figures, minutes and the day

    def _ask_figure(self, past: PastStep, figure: PastFigure, refused: str = "") -> None:
        then = partial(self._typed, past, "figure", figure.check)

        def again(why: str) -> None:
            self._ask_figure(past, figure, why)

        on_record = said("{ask} On record: {figure_text}", ask=figure.ask, figure_text=figure_text(figure))
        if figure.lot:
            dialog = ChoiceScreen[str](
                on_record, [], words=words(said("The lot's mark:")), refused=refused.rstrip(".")
            )
            self._kiosk.ask(dialog, lambda text: then(again, text))
        else:
            reads = partial(read_number, unit=figure.unit or "count")
            dialog_pad = KeypadScreen(on_record, reads, refused=_not_done(refused))
            self._kiosk.ask(dialog_pad, lambda text: then(again, text))

    def _ask_minutes(self, past: PastStep, refused: str = "") -> None:
        then = partial(self._typed, past, "minutes", "")
        title = said("How many minutes did it take? On record: {time_taken}", time_taken=time_taken(past))
        dialog = KeypadScreen(title, partial(read_number, unit="min"), refused=_not_done(refused))
        self._kiosk.ask(dialog, lambda text: then(partial(self._ask_minutes, past), text))

    def _ask_day(self, past: PastStep, refused: str = "") -> None:
        then = partial(self._typed, past, "day", "")
        title = said("On which day was it done? On record: {day}", day=past.day)
        dialog = KeypadScreen(title, read_day, refused=_not_done(refused) or said("As {day}.", day=past.day))
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

        def answered(reason: str) -> None:
            self._kiosk.bench.correct(
                self._mark, past.ref, what, text, reason, check, tap=self._kiosk.taps.id
            )
            held = self._kiosk.bench.state.open_snags(self._mark)
            after = (
                (" " + said("{mark} IS HELD: {text}", mark=self._mark, text=held[0].text))
                if held
                else (" " + said("The old one stays on record."))
            )
            self._kiosk.say(said("Saved. It counts as {text} now.{after}", text=text.strip(), after=after))

        title = said("Why is it {text}?", text=text.strip())
        dialog = ChoiceScreen(
            title,
            same(REASONS[what]),
            detail=[said("NOT AS WANTED: the part is held until you decide.")] if holds else [],
            words=words(said("In words:")),
            kept_as=f"correct/{self._mark}/{past.event}/{what}/{check}",
        )
        self._kiosk.ask(dialog, answered)


def _not_done(refused: str) -> str:
    """What was refused, for a dialog that asks again; empty where nothing was."""
    return said("NOT DONE: {refused}", refused=refused) if refused else ""
