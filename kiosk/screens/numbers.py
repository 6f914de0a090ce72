"""Bench numbers alone: choose a calculator, the cutting list or the trial strips, and read the working."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from functools import partial

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.numbers.catalogue import CALCULATORS
from kiosk.numbers.cutting import Sheet
from kiosk.numbers.materials import SHEET
from kiosk.numbers.result import Calculator, OutOfRange, Parameter
from kiosk.numbers.trial import TRIAL_FIGURES
from kiosk.numbers.units import parse_length_in
from kiosk.record.events import TrialBent
from kiosk.record.rows import made
from kiosk.record.strips import strip_of
from kiosk.screens.action import BIG, Action
from kiosk.screens.base import Drawn, KioskScreen
from kiosk.screens.choice import Choice, ChoiceScreen, Words
from kiosk.screens.letters import Face
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, POINTER
from kiosk.screens.result_page import Page, working
from kiosk.views.cutting import cutting_plans
from kiosk.views.text import cutting_text, trial_text
from kiosk.views.trial import told_on_command_line, told_when_saved, trial_fit, trial_lines, trials_by_sheet

Given = dict[str, str]


@dataclass(frozen=True)
class NumbersLine:
    """A line of the screen: what it asks for, and what it then does."""

    subject: str
    title: str
    parameters: tuple[Parameter, ...]
    work: Callable[[Given], None]


def _length(name: str, usual: str | None = None) -> Parameter:
    default: object = inspect.Parameter.empty if usual is None else usual
    return Parameter(name, f"{name}_in", "in", float, (), default)


CUTTING = (
    _length("sheet_length", "144"),
    _length("sheet_width", "48"),
    _length("kerf", "0"),
    _length("trim", "0"),
)
# A strip is recorded by its figures, each named after its unit, and two words.
_WORDS = {"alloy": tuple(SHEET), "grain": ("along", "across")}
TRIAL = tuple(
    Parameter(name, name, "", str, _WORDS[name], inspect.Parameter.empty)
    if name in _WORDS
    else Parameter(name, f"{name}_{unit}", unit, float, (), inspect.Parameter.empty)
    for name, unit in TRIAL_FIGURES.items()
)


def _asks(parameter: Parameter) -> str:
    """What is asked for, with its unit."""
    unit = f", {parameter.unit}" if parameter.unit else ""
    asked = f"{parameter.name.replace('_', ' ')}{unit}"
    return said("{asked}, several with commas", asked=asked) if parameter.is_list else asked


def _detail(parameter: Parameter, line: NumbersLine, given: Given) -> list[str]:
    """What is given already, and what is usual, each with its unit."""
    units = {one.name: one.unit for one in line.parameters}
    detail = [f"{name.replace('_', ' ')} {_with_unit(text, units.get(name))}" for name, text in given.items()]
    if isinstance(parameter.default, int | float | str):
        default = _with_unit(str(parameter.default), parameter.unit)
        detail.append(said("as usual: {default}", default=default))
    return detail


def _read(parameter: Parameter, text: str) -> None:
    """Raises KioskError for what is no value of an input."""
    try:
        parameter.read(text)
    except ValueError as error:
        raise KioskError(str(error)) from None


def _with_unit(text: str, unit: str | None) -> str:
    """What was typed, with its unit where that was not typed too."""
    return f"{text} {unit}" if unit and text[-1:].isdigit() else text


class NumbersScreen(KioskScreen):
    """All calculators on one page; arrows and Enter choose."""

    NAME = "numbers"

    def __init__(self) -> None:
        super().__init__()
        self.contents = [
            NumbersLine("cutting", said("Cutting list of the roster"), CUTTING, self._cut),
            NumbersLine("trials", said("What the trial strips say"), (), self._show_trials),
            NumbersLine("trials", said("Record a trial strip"), TRIAL, self._record_trial),
        ]
        self.contents += [
            NumbersLine(one.subject, one.title, one.parameters, partial(self._work, one))
            for one in CALCULATORS.values()
        ]
        self.at = 0
        self._before: dict[str, Given] = {}  # what was last given, by the title of the line

    @property
    def _page(self) -> int:
        return max(4, self.body_rows - 2)

    def draw(self) -> Drawn:
        """A page of calculators by subject; work one out, and move."""
        first = self.at - self.at % self._page
        lines = self.lines()
        pages = -(-len(self.contents) // self._page)
        lines.row(
            said("Bench numbers   page {first} of {pages}", first=first // self._page + 1, pages=pages), BOLD
        )
        for place, one in enumerate(self.contents[first : first + self._page], first):
            pointer = POINTER if place == self.at else " "
            style = ACCENT if place == self.at else PLAIN
            lines.row(f"{pointer}{one.subject:<9} {one.title}", style, of=place)
        chosen = self.contents[self.at]
        actions = [
            Action("WORK IT OUT", BIG, lambda: self._ask(chosen, list(chosen.parameters), {})),
            Action("Up", "up", partial(self._move, -1), repeats=True),
            Action("Down", "down", partial(self._move, 1), repeats=True),
            Action("Page on", "right", self._page_on, repeats=True),
            Action("Page back", "left", lambda: self._move(-self._page), shown="key", repeats=True),
        ]
        return Drawn(lines, actions, on_row=self._point)

    def _point(self, number: int) -> Action:
        """A finger on a line points at it."""
        return Action("Point", "", partial(self._go_to, number), repeats=True)

    def _go_to(self, number: int) -> None:
        self.at = number

    def _move(self, by: int) -> None:
        self.at = max(0, min(len(self.contents) - 1, self.at + by))

    def _page_on(self) -> None:
        self.at = (self.at + self._page) % len(self.contents)

    def _ask(
        self, line: NumbersLine, left: list[Parameter], given: Given, refused: str = "", typed: str = ""
    ) -> None:
        """Ask for the inputs one after another, then do the work; say why what was ``typed`` last is
        ``refused``, and offer what was given before."""
        if not left:
            self._work_out(line, given)
            return
        parameter, rest = left[0], left[1:]
        choices: list[Choice[str | None]] = [Choice(text, text) for text in parameter.choices]
        if not parameter.required:
            usual = said("Leave it out") if parameter.default is None else said("Leave as usual")
            choices.insert(0, Choice(usual, None))
        before = self._before.get(line.title, {}).get(parameter.name, "")
        if before and not refused:
            choices.insert(0, Choice(said("As before: {before}", before=before), before))

        def taken(text: str | None) -> None:
            if text is None:
                self._ask(line, rest, given)
                return
            try:
                _read(parameter, text)
            except KioskError as error:
                self._ask(line, left, given, said("NOT DONE: {error}", error=error), text)
            else:
                self._ask(line, rest, {**given, parameter.name: text})

        face: Face = "figures" if parameter.unit else "letters"
        own = Words[str | None](said("Type it:"), str, face=face, reads=partial(_read, parameter))
        title = f"{line.title}: {_asks(parameter)}"
        detail = [*([refused] if refused else []), *_detail(parameter, line, given)]
        goes = line.work != self._record_trial  # a figure that is only shown does no harm
        dialog = ChoiceScreen(title, choices, words=own, detail=detail, goes=goes, typed=typed)
        self.kiosk.ask(dialog, taken)

    def _work_out(self, line: NumbersLine, given: Given) -> None:
        """Do the work. Where one input is to blame that it cannot be done, that one is asked for again and
        the others are kept."""
        self._before[line.title] = given
        try:
            line.work(given)
        except OutOfRange as error:
            guilty = next((one for one in line.parameters if one.argument == error.argument), None)
            if guilty is None:
                raise
            others = {name: text for name, text in given.items() if name != guilty.name}
            self._ask(
                line, [guilty], others, said("NOT DONE: {error}", error=error), given.get(guilty.name, "")
            )

    def _work(self, calculator: Calculator, given: Given) -> None:
        result = calculator.work_out(given)
        self.kiosk.read(calculator.title, [working(result)])

    def _cut(self, given: Given) -> None:
        """What is still to cut, from sheets of this size with this tool."""
        sizes = {one.name: parse_length_in(given.get(one.name, str(one.default))) for one in CUTTING}
        sheet = Sheet.rolled(sizes["sheet_length"], sizes["sheet_width"], sizes["trim"])
        found = cutting_plans(self.bench.shop, self.bench.state, sheet, sizes["kerf"])
        pages = [[(line, PLAIN) for line in cutting_text([plan]).splitlines()] for plan in found.plans]
        if found.not_cut:
            pages.insert(0, [(said("NOT CUT: {why}", why=why), BOLD) for why in found.not_cut])
        self.kiosk.read(said("Cutting list"), pages or [[(said("Nothing is left to cut."), PLAIN)]])

    def _record_trial(self, given: Given) -> None:
        read = {one.argument: one.read(given[one.name]) for one in TRIAL}
        self.bench.add_trial(made(TrialBent, read))
        odd = told_when_saved(self.bench.state)
        self.kiosk.say(said("Saved. {told}", told=odd) if odd else said("Saved."), trouble=bool(odd))
        self._show_trials({})

    def _show_trials(self, _: Given) -> None:
        """For each sheet and radius the fit, then its plot."""
        from kiosk.drawing.plot import trial_plot  # its library is slow to load and rarely wanted

        pages: list[Page] = []
        size = self.app.size
        for (alloy, thickness, radius, grain), strips in trials_by_sheet(self.bench.state).items():
            fitted = trial_fit(strips)
            text = trial_text(alloy, thickness, radius, grain, fitted)
            pages.append([(line, PLAIN) for line in text.splitlines()])
            plot = trial_plot(
                [strip_of(one) for one in strips], fitted, size.width - 4, max(10, size.height - 6)
            )
            pages.append([(plot, PLAIN)])
        listed = trial_lines(self.bench.state)
        if listed:
            odd = [(text, BOLD) for text in told_on_command_line(self.bench.state)]
            pages.append([(said("Every strip on record"), BOLD), *((line, PLAIN) for line in listed), *odd])
        none = [[(said("No trial strip is recorded yet. Bend one and measure it."), PLAIN)]]
        self.kiosk.read(said("Trial strips"), pages or none)
