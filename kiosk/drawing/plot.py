"""Plots in the terminal (drawn by plotext)."""

import math
from collections.abc import Sequence

import plotext

from kiosk.numbers.rib import Rib
from kiosk.numbers.trial import TrialFit, TrialStrip, allowance_of
from kiosk.planning.forecast.simulation import Forecast


def _begin(columns: int, rows: int) -> None:
    plotext.clear_figure()
    plotext.theme("clear")
    plotext.limitsize(False, False)  # to the terminal: there may be none, as where a browser shows it
    plotext.plotsize(columns, rows)


def _ticks(low: float, high: float, most: int = 6) -> list[float]:
    """Round numbers from low to high, that many steps at most."""
    step = next(one for one in (0.5, 1, 2, 5, 10, 20, 50) if (high - low) / one <= most or one == 50)
    return [n * step for n in range(math.ceil(low / step), math.floor(high / step) + 1)]


def _built(title: str) -> str:
    plotext.title(title)
    return str(plotext.uncolorize(plotext.build()))


def rib_plot(rib: Rib, columns: int = 78, rows: int = 20) -> str:
    """The rib's outlines with its flutes, as text."""
    _begin(columns, rows)
    for name, points, marker in (("blank", rib.blank, "."), ("web", rib.web, "dot")):
        plotext.plot([x for x, _ in points], [y for _, y in points], label=name, marker=marker)
    for opening in rib.openings:
        plotext.plot([x for x, _ in opening], [y for _, y in opening], label="cut-out", marker="dot")
    flutes = [side.line.at(at) for side in (rib.upper, rib.lower) for at in side.flutes_in]
    if flutes:
        plotext.scatter([x for x, _ in flutes], [y for _, y in flutes], label="flute", marker="x")
    across, up = ([point[axis] for point in rib.blank] for axis in (0, 1))
    for ticks, values in ((plotext.xticks, across), (plotext.yticks, up)):
        ticks(round_ones := _ticks(min(values), max(values)), [f"{one:g}" for one in round_ones])
    return _built(f"{rib.section}, chord {rib.inputs.chord_in:g} in; inches both ways")


def forecast_plot(table: Sequence[tuple[str, Forecast]], columns: int = 78, rows: int = 18) -> str:
    """The chance of being finished by each date, a line for each what-if that has a date."""
    _begin(columns, rows)
    last = 1.0
    for (name, one), marker in zip(table, ("dot", "+", "x", "o"), strict=False):
        if not one.days_drawn:
            continue
        drawn = one.days_drawn
        steps = range(0, len(drawn), max(1, len(drawn) // 60))
        plotext.plot(
            [drawn[n] for n in steps], [100 * (n + 1) / len(drawn) for n in steps], label=name, marker=marker
        )
        last = max(last, one.nearly_last_day)
    # Months need this much room: where they touch, plotext moves one of them, and not always the same.
    spaces = max(1, min(4, columns // 18))
    ticks = [last * share / spaces for share in range(spaces + 1)]
    plotext.xticks(ticks, [table[0][1].date_at(tick).strftime("%b %Y") for tick in ticks])
    plotext.xlim(0, last)
    plotext.ylim(0, 100)
    plotext.yticks([0, 25, 50, 75, 100])
    return _built(f"chance in 100 that {table[0][1].scope} is finished")


def trial_plot(strips: Sequence[TrialStrip], fitted: TrialFit, columns: int = 78, rows: int = 16) -> str:
    """Each strip's neutral-line factor against its angle, with the fit and its interval."""
    _begin(columns, rows)
    angles = [strip.angle_deg for strip in strips]
    factors = [
        (allowance_of(strip) / math.radians(strip.angle_deg) - strip.inside_radius_in) / strip.thickness_in
        for strip in strips
    ]
    plotext.scatter(angles, factors, marker="o", label="strip")
    for value, name in (
        (fitted.neutral_factor.low, "low"),
        (fitted.neutral_factor.value, "fit"),
        (fitted.neutral_factor.high, "high"),
    ):
        plotext.plot([min(angles) - 1, max(angles) + 1], [value, value], label=f"{name} {value:.3f}")
    return _built("neutral-line factor of each strip, by its angle in degrees")
