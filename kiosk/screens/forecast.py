"""When will it be finished: hours and dates with their chances, what could change them, how past ones did."""

from kiosk.planning.forecast.simulation import Forecast
from kiosk.screens.base import KioskScreen
from kiosk.screens.dialogs import PageScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET
from kiosk.screens.target import Tap
from kiosk.views.forecast_text import back_test_lines, forecast_lines, what_if_lines

QUICK_TRIALS = 300  # on the screen; the command takes more


class ForecastScreen(KioskScreen):
    """One scope at a time: the aeroplane, then each part kind with all it needs."""

    NAME = "forecast"

    def __init__(self) -> None:
        super().__init__()
        self.at = 0
        self._made: tuple[int, int, list[tuple[str, Forecast]]] | None = None

    def taps(self) -> list[Tap]:
        """The plot, the scopes, and the past."""
        return [
            Tap("big", "SEE THE PLOT", "Enter", classes="big"),
            Tap("left", "Before", "←"),
            Tap("right", "Next kind", "→"),
            Tap("f7", "Past ones", "F7"),
        ]

    def table(self) -> list[tuple[str, Forecast]]:
        """The forecasts for this scope, worked out again only when the record has changed."""
        key = (self.bench.state.seq, self.at)
        if self._made is None or self._made[:2] != key:
            kinds = [None, *self.bench.shop.kinds]
            self._made = (*key, self.bench.forecasts(kinds[self.at], QUICK_TRIALS))
        return self._made[2]

    def draw(self) -> None:
        """Hours and dates first, then what could be changed."""
        table = self.table()
        said = forecast_lines(table[0][1])
        lines = self.lines()
        lines.add(said[0], ACCENT)
        for text in said[1:-2]:
            lines.add(text, BOLD)
        for text in said[-2:]:
            lines.add(text, QUIET, importance=3)
        lines.gap()
        for text in what_if_lines(table, brief=True)[1:]:
            lines.add(f"If {text}", PLAIN, importance=1, most=2)
        self.set_body(lines)
        dated = table[0][1].days is not None
        self.face("big", "SEE THE PLOT" if dated else "BACK TO THE PLACE", "Enter")

    def hint(self) -> str:
        """What it is not."""
        return "← → choose the kind.  Simulated from your own weeks, no promise."

    def do(self, action: str) -> bool:
        """Plot, choose, look back."""
        scopes = len(self.bench.shop.kinds) + 1
        if action == "big":
            if self.table()[0][1].days is None:
                self.kiosk.go("place")
            else:
                self._plot()
        elif action in ("left", "right"):
            self.at = (self.at + (1 if action == "right" else -1)) % scopes
        elif action == "f7":
            said = back_test_lines(self.bench.back_test())
            self.app.push_screen(PageScreen("How past forecasts did", [[(text, PLAIN) for text in said]]))
        else:
            return False
        return True

    def _plot(self) -> None:
        from kiosk.drawing.plot import forecast_plot  # its library is slow to load and rarely wanted

        size = self.app.size
        plot = forecast_plot(self.table(), size.width - 4, max(10, size.height - 7))
        self.app.push_screen(PageScreen("Chance of being finished", [[(plot, PLAIN)]]))
