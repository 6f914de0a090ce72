"""When will it be finished: hours and dates with their chances, what could change them, how past ones did.

The road ahead is walked some hundred times for it, so it is worked out beside the screen, which goes on.
"""

from functools import partial

from kiosk.catalogue import said, to_be_said
from kiosk.errors import KioskError
from kiosk.planning.forecast.past_forecasts import BackTest
from kiosk.planning.forecast.simulation import Forecast
from kiosk.screens.action import BIG, Action
from kiosk.screens.base import Drawn
from kiosk.screens.beside import BesideScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET, Lines
from kiosk.views.forecast_text import back_test_lines, forecast_words, what_if_words

Table = list[tuple[str, Forecast]]


class ForecastScreen(BesideScreen[Table]):
    """One scope at a time: the aeroplane, then each part kind with all it needs."""

    NAME = "forecast"
    HINT = to_be_said("Simulated from your own weeks, no promise.")

    def __init__(self) -> None:
        super().__init__()
        self.kind: str | None = None  # None: the aeroplane

    def table(self) -> Table | None:
        """The forecasts for this scope, worked out again only when the record has changed; None meanwhile."""
        key = (self.bench.state.seq, self.kind, self.bench.context.today.toordinal())
        return self.worked_out(key, lambda: self.bench.forecasts_apart(self.kind))

    def draw(self) -> Drawn:
        """Hours and dates first, then what could be changed; the plot, the scopes, and the past."""
        table = self.table()
        if table is None:
            lines = self.lines()
            lines.add(said("Working it out: the road ahead is walked again and again."), BOLD)
            return Drawn(lines, [self._back(), *self._others()])
        return Drawn(self._page(table), [self._big(table), *self._others()])

    def _page(self, table: Table) -> Lines:
        told = forecast_words(table[0][1])
        lines = self.lines()
        lines.add(told.scope, ACCENT)
        lines.add(told.hours, BOLD)
        for text in told.dates:
            lines.add(text, BOLD)
        if told.adds_up:
            lines.add(told.adds_up, PLAIN, importance=2, most=2)
        for text in told.without_dates:
            lines.add(text, BOLD, indent="  ")
        for text in told.holds_up:
            lines.add(text, PLAIN, importance=2, most=2)
        for text in told.rests_on:
            lines.add(text, QUIET, importance=3)
        lines.gap()
        for one in what_if_words(table)[1:]:  # the first is how it goes now
            lines.add(said("If {brief}", brief=one.brief), PLAIN, importance=1, most=2)
        return lines

    def _back(self) -> Action:
        return Action("BACK TO THE PLACE", BIG, lambda: self.kiosk.go("place"))

    def _big(self, table: Table) -> Action:
        if table[0][1].days is None:
            return self._back()
        return Action("SEE THE PLOT", BIG, self._plot)

    def _others(self) -> list[Action]:
        return [
            Action("Before", "left", partial(self.choose, -1), repeats=True),
            Action("Next kind", "right", partial(self.choose, 1), repeats=True),
            Action("Past ones", "f7", self._past),
        ]

    def choose(self, by: int) -> None:
        """Go so many scopes on."""
        scopes = self._scopes()
        self.kind = scopes[(scopes.index(self.kind) + by) % len(scopes)]

    def _scopes(self) -> list[str | None]:
        """The aeroplane, the kinds with open parts, then the finished ones."""
        open_parts = self.bench.context.positions.open_parts
        return [None, *sorted(self.bench.shop.kinds, key=lambda kind: open_parts(kind) == 0)]

    def _past(self) -> None:
        if self.working:
            self.kiosk.say(said("Working it out: one moment"))
            return
        self.kiosk.say(said("Working out how past forecasts did"))
        self.beside(self.bench.back_test_apart(), self._past_made)

    def _past_made(self, made: BackTest | Exception) -> None:
        if isinstance(made, KioskError):
            self.kiosk.say(str(made), trouble=True)
        elif isinstance(made, Exception):
            raise made
        elif self.is_current:
            told = back_test_lines(made)
            self.kiosk.read(said("How past forecasts did"), [[(text, PLAIN) for text in told]])

    def _plot(self) -> None:
        from kiosk.drawing.plot import forecast_plot  # its library is slow to load and rarely wanted

        size = self.app.size
        table = self.table()
        if table is None:
            return
        named = [(said(name), forecast) for name, forecast in table]
        plot = forecast_plot(named, size.width - 4, max(10, size.height - 7))
        self.kiosk.read(said("Chance of being finished"), [[(plot, PLAIN)]])
