"""Bench numbers alone: choose a calculator, give its inputs, read the working."""

from __future__ import annotations

from collections.abc import Callable

from kiosk.numbers.catalogue import CALCULATORS
from kiosk.numbers.result import Calculator, Parameter, Result
from kiosk.screens.base import KioskScreen
from kiosk.screens.choice import ChoiceScreen, PageScreen
from kiosk.screens.lines import ACCENT, BOLD, PLAIN, QUIET
from kiosk.screens.tap import Tap

LEAVE_OUT = "Leave as usual"
Page = list[tuple[str, str]]


def working(result: Result) -> Page:
    """A result with its working, as a page to read."""
    page: Page = [(f"{result.title}: {result.show()}", ACCENT)]
    page += [(f"{one.name}: {one.show()}", PLAIN) for one in result.more]
    page += [(warning, BOLD) for warning in result.warnings]
    given = ", ".join(f"{one.name} {one.show()}" for one in result.inputs)
    page += [
        (f"From: {given}", PLAIN),
        (f"How: {result.formula}", PLAIN),
        (f"Source: {result.source}", QUIET),
        (f"Holds for: {result.holds}", QUIET),
    ]
    return page


class NumbersScreen(KioskScreen):
    """All calculators on one page; arrows and Enter choose."""

    NAME = "numbers"

    def __init__(self) -> None:
        super().__init__()
        self.names = list(CALCULATORS)
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
        body = self.query_one("#body")
        return max(4, (body.size.height or self.app.size.height - 9) - 2)

    def draw(self) -> None:
        """A page of calculators by subject."""
        first = self.at - self.at % self._page
        lines = self.lines()
        pages = -(-len(self.names) // self._page)
        lines.raw(f"Bench numbers   page {first // self._page + 1} of {pages}", BOLD)
        for place, name in enumerate(self.names[first : first + self._page], first):
            calculator = CALCULATORS[name]
            pointer = "▶" if place == self.at else " "
            lines.raw(
                f"{pointer}{calculator.subject:<8} {calculator.title}", ACCENT if place == self.at else PLAIN
            )
        self.set_body(lines)

    def do(self, action: str) -> bool:
        """Choose and work."""
        if action == "big":
            calculator = CALCULATORS[self.names[self.at]]
            self._ask(calculator, list(calculator.parameters), {})
        elif action in ("up", "down"):
            self.at = max(0, min(len(self.names) - 1, self.at + (1 if action == "down" else -1)))
        elif action in ("left", "right"):
            by = self._page if action == "right" else -self._page
            self.at = (self.at + by) % len(self.names) if action == "right" else max(0, self.at + by)
        else:
            return False
        return True

    def _ask(self, calculator: Calculator, left: list[Parameter], given: dict[str, str]) -> None:
        """Ask for the inputs one after another, then show the working."""
        if not left:
            self._show(calculator, given)
            return
        parameter, rest = left[0], left[1:]
        options = list(parameter.choices)
        if not parameter.required:
            options.insert(0, LEAVE_OUT)
        unit = f", {parameter.unit}" if parameter.unit else ""
        several = ", several with commas" if parameter.is_list else ""
        title = f"{calculator.title}: {parameter.name.replace('_', ' ')}{unit}{several}"
        detail = [f"{name.replace('_', ' ')} {value}" for name, value in given.items()]
        self.app.push_screen(
            ChoiceScreen(title, options, text_hint="Type it:", detail=detail),
            self._taken(calculator, parameter, rest, given),
        )

    def _taken(
        self, calculator: Calculator, parameter: Parameter, rest: list[Parameter], given: dict[str, str]
    ) -> Callable[[str | None], None]:
        def taken(text: str | None) -> None:
            if text is None:
                return
            if text == LEAVE_OUT:
                self._ask(calculator, rest, given)
            elif self.kiosk.attempt(lambda: parameter.read(text)):
                self._ask(calculator, rest, {**given, parameter.name: text})
            else:
                self._ask(calculator, [parameter, *rest], given)

        return taken

    def _show(self, calculator: Calculator, given: dict[str, str]) -> None:
        found: list[Result] = []
        if self.kiosk.attempt(lambda: found.append(calculator.work_out(given))):
            self.app.push_screen(PageScreen(calculator.title, [working(found[0])]))
        self.show()
