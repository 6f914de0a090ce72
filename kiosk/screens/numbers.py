"""Bench numbers alone: choose a calculator, the cutting list or the trial strips, and read the working."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from kiosk.numbers.catalogue import CALCULATORS
from kiosk.numbers.cutting import Sheet
from kiosk.numbers.materials import SHEET
from kiosk.numbers.result import Calculator, Parameter
from kiosk.numbers.units import parse_length_in
from kiosk.record.events import TrialBent
from kiosk.record.rows import made
from kiosk.record.strips import strip_of
from kiosk.screens.base import KioskScreen
from kiosk.screens.dialogs import ChoiceScreen, PageScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN
from kiosk.screens.result_page import Page, working
from kiosk.screens.target import Tap
from kiosk.views.cutting import cutting_plans
from kiosk.views.text import cutting_text, trial_text
from kiosk.views.trial import trial_fit, trials_by_sheet

LEAVE_OUT = "Leave as usual"
Given = dict[str, str]


@dataclass(frozen=True)
class Entry:
    """A line of the screen: what it asks for, and what it then does."""

    subject: str
    title: str
    parameters: tuple[Parameter, ...]
    work: Callable[[Given], None]


def _length(name: str, usual: str | None = None) -> Parameter:
    default: object = inspect.Parameter.empty if usual is None else usual
    return Parameter(name, f"{name}_in", "in", float, (), default)


def _angle(name: str) -> Parameter:
    return Parameter(name, f"{name}_deg", "deg", float, (), inspect.Parameter.empty)


CUTTING = (
    _length("sheet_length", "144"),
    _length("sheet_width", "48"),
    _length("kerf", "0"),
    _length("trim", "0"),
)
TRIAL = (
    Parameter("alloy", "alloy", "", str, tuple(SHEET), inspect.Parameter.empty),
    _length("thickness"),
    _length("inside_radius"),
    _length("flat_length"),
    _length("leg_a"),
    _length("leg_b"),
    _angle("angle"),
    _angle("set_angle"),
)


class NumbersScreen(KioskScreen):
    """All calculators on one page; arrows and Enter choose."""

    NAME = "numbers"

    def __init__(self) -> None:
        super().__init__()
        self.entries = [
            Entry("cutting", "Cutting list of the roster", CUTTING, self._cut),
            Entry("trials", "What the trial strips say", (), self._show_trials),
            Entry("trials", "Record a trial strip", TRIAL, self._record_trial),
        ]
        self.entries += [
            Entry(one.subject, one.title, one.parameters, partial(self._work, one))
            for one in CALCULATORS.values()
        ]
        self.at = 0

    def taps(self) -> list[Tap]:
        """Work it out, and move."""
        return [
            Tap("big", "WORK IT OUT", "Enter", classes="big"),
            Tap("up", "Up", "↑"),
            Tap("down", "Down", "↓"),
            Tap("right", "Page on", "→"),
        ]

    @property
    def _page(self) -> int:
        return max(4, self.body_rows - 2)

    def draw(self) -> None:
        """A page of calculators by subject."""
        first = self.at - self.at % self._page
        lines = self.lines()
        pages = -(-len(self.entries) // self._page)
        lines.raw(f"Bench numbers   page {first // self._page + 1} of {pages}", BOLD)
        for place, entry in enumerate(self.entries[first : first + self._page], first):
            pointer = "▶" if place == self.at else " "
            lines.raw(f"{pointer}{entry.subject:<8} {entry.title}", ACCENT if place == self.at else PLAIN)
        self.set_body(lines)

    def do(self, action: str) -> bool:
        """Choose and work."""
        if action == "big":
            entry = self.entries[self.at]
            self._ask(entry, list(entry.parameters), {})
        elif action in ("up", "down"):
            self.at = max(0, min(len(self.entries) - 1, self.at + (1 if action == "down" else -1)))
        elif action in ("left", "right"):
            by = self._page if action == "right" else -self._page
            self.at = (self.at + by) % len(self.entries) if action == "right" else max(0, self.at + by)
        else:
            return False
        return True

    def _ask(self, entry: Entry, left: list[Parameter], given: Given) -> None:
        """Ask for the inputs one after another, then do the work."""
        if not left:
            self.kiosk.attempt(lambda: entry.work(given))
            self.show()
            return
        parameter, rest = left[0], left[1:]
        options = list(parameter.choices)
        if not parameter.required:
            options.insert(0, LEAVE_OUT)
        unit = f", {parameter.unit}" if parameter.unit else ""
        several = ", several with commas" if parameter.is_list else ""
        title = f"{entry.title}: {parameter.name.replace('_', ' ')}{unit}{several}"
        detail = [f"{name.replace('_', ' ')} {value}" for name, value in given.items()]
        if isinstance(parameter.default, int | float | str):
            detail.append(f"as usual: {parameter.default}")

        def taken(text: str | None) -> None:
            if text is None:
                return
            if text == LEAVE_OUT:
                self._ask(entry, rest, given)
            elif self.kiosk.attempt(lambda: parameter.read(text)):
                self._ask(entry, rest, {**given, parameter.name: text})
            else:
                self._ask(entry, left, given)

        self.app.push_screen(ChoiceScreen(title, options, text_hint="Type it:", detail=detail), taken)

    def _work(self, calculator: Calculator, given: Given) -> None:
        result = calculator.work_out(given)
        self.app.push_screen(PageScreen(calculator.title, [working(result)]))

    def _cut(self, given: Given) -> None:
        """What is still to cut, from sheets of this size with this tool."""
        sizes = {one.name: parse_length_in(given.get(one.name, str(one.default))) for one in CUTTING}
        sheet = Sheet(sizes["sheet_length"], sizes["sheet_width"], sizes["trim"])
        plans = cutting_plans(self.bench.shop, self.bench.state, sheet, sizes["kerf"])
        pages = [[(line, PLAIN) for line in cutting_text([plan]).splitlines()] for plan in plans]
        self.app.push_screen(PageScreen("Cutting list", pages or [[("Nothing is left to cut.", PLAIN)]]))

    def _record_trial(self, given: Given) -> None:
        read = {one.argument: one.read(given[one.name]) for one in TRIAL}
        self.bench.add_trial(made(TrialBent, read))
        self.kiosk.say("Saved.")
        self._show_trials({})

    def _show_trials(self, _: Given) -> None:
        """For each sheet and radius the fit, then its plot."""
        from kiosk.drawing.plot import trial_plot  # its library is slow to load and rarely wanted

        pages: list[Page] = []
        size = self.app.size
        for (alloy, thickness, radius), strips in trials_by_sheet(self.bench.state).items():
            fitted = trial_fit(strips)
            said = trial_text(alloy, thickness, radius, fitted)
            pages.append([(line, PLAIN) for line in said.splitlines()])
            plot = trial_plot(
                [strip_of(one) for one in strips], fitted, size.width - 4, max(10, size.height - 6)
            )
            pages.append([(plot, PLAIN)])
        none = [[("No trial strip is recorded yet. Bend one and measure it.", PLAIN)]]
        self.app.push_screen(PageScreen("Trial strips", pages or none))
