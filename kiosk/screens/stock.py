"""The stock: how much of each consumable is left, what to order, and a count when it is counted."""

from collections.abc import Callable
from functools import partial

from kiosk.catalogue import said
from kiosk.plural import so_many
from kiosk.record.stock import InStock, in_stock, is_far_off
from kiosk.screens.action import BIG, Action
from kiosk.screens.base import Drawn, KioskScreen
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.keypad import KeypadScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, POINTER, QUIET
from kiosk.shop.measures import read_number
from kiosk.shop.shop import Consumable
from kiosk.views.stock import from_what


class StockScreen(KioskScreen):
    """One line a consumable; what runs low says so."""

    NAME = "stock"

    def __init__(self) -> None:
        super().__init__()
        self.at = 0

    @property
    def _page(self) -> int:
        return max(3, self.body_rows - 4)

    def draw(self) -> Drawn:
        """A page of consumables; count the one that is chosen."""
        items = list(self.bench.shop.consumables.values())
        lines = self.lines()
        if not items:
            lines.add(said("No consumable is on the shop's list."), BOLD)
            return Drawn(lines, [Action("BACK TO THE PLACE", BIG, lambda: self.kiosk.go("place"))])
        self.at = max(0, min(self.at, len(items) - 1))
        first = self.at - self.at % self._page
        pages = -(-len(items) // self._page)
        lines.row(said("Stock   page {first} of {pages}", first=first // self._page + 1, pages=pages), BOLD)
        for place, item in enumerate(items[first : first + self._page], first):
            pointer = POINTER if place == self.at else " "
            lines.row(f"{pointer}{self._words(item)}", ACCENT if place == self.at else PLAIN, of=place)
        chosen = items[self.at]
        lines.gap()
        lines.add(f"{chosen.name}: {from_what(self._in_stock(chosen), chosen.unit)}.", QUIET, importance=1)
        if self.bench.may_not("count_stock"):
            lines.add(said("An adult counts the stock."), BOLD)
        actions = [
            Action("BACK TO THE PLACE", BIG, lambda: self.kiosk.go("place"))
            if self.bench.may_not("count_stock")
            else Action(said("COUNT {thing}", thing=chosen.name.upper()), BIG, lambda: self._count(chosen)),
            Action("Up", "up", partial(self._move, -1), repeats=True),
            Action("Down", "down", partial(self._move, 1), repeats=True),
            Action("Page on", "right", partial(self._move, self._page), repeats=True),
        ]
        return Drawn(lines, actions, on_row=self._point)

    def _point(self, number: int) -> Action:
        """A finger on a line points at it."""
        return Action("Point", "", partial(self._go_to, number), repeats=True)

    def _go_to(self, number: int) -> None:
        self.at = number

    def _words(self, item: Consumable) -> str:
        left = self._left(item)
        low = "  ORDER" if left < item.order_below else ""
        days = (
            (" " + said("({days} to come)", days=so_many(item.lead_days, "day", "days")))
            if low and item.lead_days
            else ""
        )
        gone = ("  " + said("USED UP")) if left <= 0 else ""
        return f"{item.name}: {left:g} {item.unit}{gone or low}{days}"

    def _in_stock(self, item: Consumable) -> InStock:
        return in_stock(self.bench.state, item)

    def _left(self, item: Consumable) -> float:
        return self._in_stock(item).left

    def _move(self, by: int) -> None:
        self.at += by

    def _count(self, item: Consumable) -> None:
        def counted(text: str) -> None:
            left, stood = read_number(text, item.unit), self._left(item)
            if is_far_off(item, stood, left):
                self._ask_once_more(item, stood, left, record)
            else:
                record(left)

        def record(left: float) -> None:
            self.bench.count_stock(item.id, left, tap=self.tap)
            self.kiosk.say(
                said(
                    "Saved. {name}: {left} {unit}.",
                    name=item.name,
                    left=f"{self._left(item):g}",
                    unit=item.unit,
                )
            )

        title = said(
            "How much {name} is left? On record: {left} {unit}",
            name=item.name,
            left=f"{self._left(item):g}",
            unit=item.unit,
        )
        self.kiosk.ask(KeypadScreen(title, partial(read_number, unit=item.unit)), counted)

    def _ask_once_more(
        self, item: Consumable, stood: float, left: float, record: Callable[[float], None]
    ) -> None:
        """A digit too many orders nothing for years: what is far off is recorded once it was read again."""

        def chosen(is_so: bool) -> None:
            if is_so:
                record(left)
            else:
                self._count(item)

        title = said(
            "{left} {unit} of {name}, where {stood} stood?",
            left=f"{left:g}",
            unit=item.unit,
            name=item.name,
            stood=f"{stood:g}",
        )
        choices = [
            Choice(said("Record {left} {unit}", left=f"{left:g}", unit=item.unit), True),
            Choice(said("Count it again"), False),
        ]
        self.kiosk.ask(ChoiceScreen(title, choices), chosen)
