"""When will it be finished: hours and dates with their chances, what could change them, how past ones did."""

from functools import partial

from kiosk.planning.forecast.simulation import Forecast
from kiosk.screens.action import BIG, Action
from kiosk.screens.base import Drawn, KioskScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET, Lines
from kiosk.views.forecast_text import back_test_lines, forecast_words, what_if_words

QUICK_TRIALS = 300  # on the screen; the command takes more


class ForecastScreen(KioskScreen):
    """One scope at a time: the aeroplane, then each part kind with all it needs."""

    NAME = "forecast"
    HINT = "Simulated from your own weeks, no promise."

    def __init__(self) -> None:
        super().__init__()
        self.at = 0
        self._made: tuple[int, int, list[tuple[str, Forecast]]] | None = None

    def table(self) -> list[tuple[str, Forecast]]:
        """The forecasts for this scope, worked out again only when the record has changed."""
        key = (self.bench.state.seq, self.at)
        if self._made is None or self._made[:2] != key:
            kinds = [None, *self.bench.shop.kinds]
            self._made = (*key, self.bench.forecasts(kinds[self.at], QUICK_TRIALS))
        return self._made[2]

    def draw(self) -> Drawn:
        """Hours and dates first, then what could be changed; the plot, the scopes, and the past."""
        table = self.table()
        return Drawn(self._page(table), [self._big(table), *self._others()])

    def _page(self, table: list[tuple[str, Forecast]]) -> Lines:
        said = forecast_words(table[0][1])
        lines = self.lines()
        lines.add(said.scope, ACCENT)
        lines.add(said.hours, BOLD)
        for text in said.dates:
            lines.add(text, BOLD)
        for text in said.without_dates:
            lines.add(text, BOLD, indent="  ")
        for text in said.rests_on:
            lines.add(text, QUIET, importance=3)
        lines.gap()
        for one in what_if_words(table)[1:]:  # the first is how it goes now
            lines.add(f"If {one.brief}", PLAIN, importance=1, most=2)
        return lines

    def _big(self, table: list[tuple[str, Forecast]]) -> Action:
        if table[0][1].days is None:
            return Action("BACK TO THE PLACE", BIG, lambda: self.kiosk.go("place"))
        return Action("SEE THE PLOT", BIG, self._plot)

    def _others(self) -> list[Action]:
        return [
            Action("Before", "left", partial(self._choose, -1), repeats=True),
            Action("Next kind", "right", partial(self._choose, 1), repeats=True),
            Action("Past ones", "f7", self._past),
        ]

    def _choose(self, by: int) -> None:
        self.at = (self.at + by) % (len(self.bench.shop.kinds) + 1)

    def _past(self) -> None:
        said = back_test_lines(self.bench.back_test())
        self.kiosk.read("How past forecasts did", [[(text, PLAIN) for text in said]])

    def _plot(self) -> None:
        from kiosk.drawing.plot import forecast_plot  # its library is slow to load and rarely wanted

        size = self.app.size
        plot = forecast_plot(self.table(), size.width - 4, max(10, size.height - 7))
        self.kiosk.read("Chance of being finished", [[(plot, PLAIN)]])
