"""When will it be finished: hours and dates with their chances, what could change them, how past ones did.

The road ahead is walked some hundred times for it, so it is worked out beside the screen, which goes on.
"""

import asyncio
import contextvars
import threading
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from typing import TypeVar

from kiosk.errors import KioskError
from kiosk.planning.forecast.past_forecasts import BackTest
from kiosk.planning.forecast.simulation import Forecast
from kiosk.screens.action import BIG, Action
from kiosk.screens.base import Drawn, KioskScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET, Lines
from kiosk.views.forecast_text import back_test_lines, forecast_words, what_if_words

Table = list[tuple[str, Forecast]]
Made = TypeVar("Made")


class ForecastScreen(KioskScreen):
    """One scope at a time: the aeroplane, then each part kind with all it needs."""

    NAME = "forecast"
    HINT = "Simulated from your own weeks, no promise."

    def __init__(self) -> None:
        super().__init__()
        self.at = 0
        self._made: tuple[tuple[int, int, int], Table | Exception] | None = None
        self._asked: tuple[int, int, int] | None = None
        self.works = 0  # how many things are being worked out

    def table(self) -> Table | None:
        """The forecasts for this scope, worked out again only when the record has changed; None meanwhile."""
        key = (self.bench.state.seq, self.at, self.bench.context.today.toordinal())
        if self._made is not None and self._made[0] == key:
            if isinstance(self._made[1], Exception):
                raise self._made[1]
            return self._made[1]
        if self._asked != key:
            self._asked = key
            kind = [None, *self.bench.shop.kinds][self.at]
            self._beside(self.bench.forecasts_apart(kind), partial(self._is_made, key))
        return None

    def _is_made(self, key: tuple[int, int, int], made: Table | Exception) -> None:
        if self._asked == key:
            self._made = key, made
            self.show()

    def _beside(self, work: Callable[[], Made], then: Callable[[Made | Exception], None]) -> None:
        """Work something out in a thread of its own, which nobody waits for at the end."""
        loop, here = asyncio.get_running_loop(), contextvars.copy_context()
        self.works += 1

        def done(made: Made | Exception) -> None:
            self.works -= 1
            if self.is_mounted:
                then(made)

        def run() -> None:
            made: Made | Exception
            try:
                made = work()
            except Exception as error:  # told where the screen is drawn, like any other
                made = error
            with suppress(RuntimeError):  # the screen is gone
                loop.call_soon_threadsafe(done, made, context=here)

        threading.Thread(target=run, name="forecast", daemon=True).start()

    def draw(self) -> Drawn:
        """Hours and dates first, then what could be changed; the plot, the scopes, and the past."""
        table = self.table()
        if table is None:
            lines = self.lines()
            lines.add("Working it out: the road ahead is walked again and again.", BOLD)
            return Drawn(lines, [self._back(), *self._others()])
        return Drawn(self._page(table), [self._big(table), *self._others()])

    def _page(self, table: Table) -> Lines:
        said = forecast_words(table[0][1])
        lines = self.lines()
        lines.add(said.scope, ACCENT)
        lines.add(said.hours, BOLD)
        for text in said.dates:
            lines.add(text, BOLD)
        for text in said.without_dates:
            lines.add(text, BOLD, indent="  ")
        for text in said.holds_up:
            lines.add(text, PLAIN, importance=2, most=2)
        for text in said.rests_on:
            lines.add(text, QUIET, importance=3)
        lines.gap()
        for one in what_if_words(table)[1:]:  # the first is how it goes now
            lines.add(f"If {one.brief}", PLAIN, importance=1, most=2)
        return lines

    def _back(self) -> Action:
        return Action("BACK TO THE PLACE", BIG, lambda: self.kiosk.go("place"))

    def _big(self, table: Table) -> Action:
        if table[0][1].days is None:
            return self._back()
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
        if self.works:
            self.kiosk.say("Working it out: one moment")
            return
        self.kiosk.say("Working out how past forecasts did")
        self._beside(self.bench.back_test_apart(), self._past_made)

    def _past_made(self, made: BackTest | Exception) -> None:
        if isinstance(made, KioskError):
            self.kiosk.say(str(made), trouble=True)
        elif isinstance(made, Exception):
            raise made
        elif self.is_current:
            said = back_test_lines(made)
            self.kiosk.read("How past forecasts did", [[(text, PLAIN) for text in said]])

    def _plot(self) -> None:
        from kiosk.drawing.plot import forecast_plot  # its library is slow to load and rarely wanted

        size = self.app.size
        table = self.table()
        if table is None:
            return
        plot = forecast_plot(table, size.width - 4, max(10, size.height - 7))
        self.kiosk.read("Chance of being finished", [[(plot, PLAIN)]])
