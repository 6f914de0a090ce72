"""How past forecasts did: what each week would have been forecast from the weeks before it, and what came.

The measure is planned minutes, the procedures' own estimates of the steps finished: it needs both halves of
the forecast, how much time there is and how far the estimates are out, and it is known a week later. Weeks do
not overlap, so that each counts once.
"""

import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from kiosk.planning.forecast.simulation import FEWEST_WEEKS, WEEK, Rate, quantile_of, weeks_to, whole_weeks
from kiosk.planning.times.predictor import BIAS_WEIGHT
from kiosk.record.learning import PRIOR_BIAS

TRIALS = 1000
SEED = 6
WEEK_SPREAD = 0.3  # between weeks, of the log of real over planned minutes
SURE = 0.95  # how often a right forecast lies within the expected number of hits
INTERVAL = 0.8


@dataclass(frozen=True)
class PastForecast:
    """One week: the interval stated at its beginning, and what came, in hours of planned work."""

    made_on: date
    low: float
    middle: float
    high: float
    came: float
    rank: float  # share of the simulated weeks below what came; even over 0 to 1 when the forecasts are right

    @property
    def held(self) -> bool:
        """True when what came lay within the interval, which it should four times in five."""
        return self.low <= self.came <= self.high


@dataclass(frozen=True)
class BackTest:
    """All past forecasts that can be checked, and how many hits of them a right forecaster would have.

    A week in which nothing was done says nothing of the estimates: no hit and no miss, and counted apart.
    """

    forecasts: tuple[PastForecast, ...]
    fewest: int
    most: int
    empty: int = 0

    @property
    def hits(self) -> int:
        """How many held."""
        return sum(1 for one in self.forecasts if one.held)

    @property
    def as_expected(self) -> bool:
        """True when the number of hits is one that a right forecaster has 19 times in 20."""
        return self.fewest <= self.hits <= self.most


def back_test(
    minutes_by_day: Mapping[str, float], planned_by_day: Mapping[str, float], today: date
) -> BackTest:
    """Forecast every past week from those before it. ``planned_by_day`` is by local date, as minutes are."""
    days = sorted(date.fromisoformat(day) for day, minutes in minutes_by_day.items() if minutes > 0)
    found: list[PastForecast] = []
    empty = 0
    if days and days[0] < today:
        made_on = days[0] + timedelta(days=WEEK * FEWEST_WEEKS - 1)
        while made_on + timedelta(days=WEEK) <= today:
            if sum(weeks_to(minutes_by_day, made_on + timedelta(days=WEEK), 1)[0]) > 0:
                found.append(_past(minutes_by_day, planned_by_day, made_on))
            else:
                empty += 1
            made_on += timedelta(days=WEEK)
    fewest, most = expected_hits(len(found), INTERVAL)
    return BackTest(tuple(found), fewest, most, empty)


def _past(minutes: Mapping[str, float], planned: Mapping[str, float], made_on: date) -> PastForecast:
    until = made_on + timedelta(days=WEEK)
    count = whole_weeks(minutes, made_on)
    weeks = [sum(week) for week in weeks_to(minutes, made_on, count)]
    plans = [sum(week) for week in weeks_to(planned, made_on, count)]
    ratios = [math.log(done / plan) for done, plan in zip(weeks, plans, strict=True) if done > 0 and plan > 0]
    came = sum(value for day, value in planned.items() if made_on < date.fromisoformat(day) <= until) / 60
    drawn = sorted(minutes / 60 for minutes in week_drawn(weeks, ratios, random.Random(SEED)))
    below = sum(1 for one in drawn if one < came - 1e-9)
    same = sum(1 for one in drawn if abs(one - came) <= 1e-9)

    tail = (1 - INTERVAL) / 2
    low, middle, high = (quantile_of(drawn, share) for share in (tail, 0.5, 1 - tail))
    return PastForecast(made_on, low, middle, high, came, (below + same / 2) / len(drawn))


def week_drawn(
    weeks: Sequence[float],
    ratios: Sequence[float],
    random_numbers: random.Random,
    trials: int = TRIALS,
) -> list[float]:
    """Simulated planned minutes of the next week from past weeks' minutes and log ratios real to planned."""
    rate = Rate(weeks)
    weight = BIAS_WEIGHT / 2 + len(ratios)
    centre = (BIAS_WEIGHT / 2 * PRIOR_BIAS + sum(ratios)) / weight
    squares = WEEK_SPREAD**2 * 3 + sum((ratio - centre) ** 2 for ratio in ratios)
    own = math.sqrt(squares / (3 + len(ratios)))
    drawn = []
    for _ in range(trials):
        ratio = centre + own * math.sqrt(1 + 1 / weight) * random_numbers.gauss(0.0, 1.0)
        minutes = weeks[random_numbers.randrange(len(weeks))] * rate.drawn(random_numbers)
        drawn.append(minutes / math.exp(ratio))
    return drawn


def expected_hits(forecasts: int, share: float) -> tuple[int, int]:
    """Fewest and most hits that a right forecaster has in 95 % of cases (exact binomial)."""
    if forecasts == 0:
        return 0, 0
    below, fewest = 0.0, 0
    while below + _binomial(fewest, forecasts, share) < (1 - SURE) / 2:
        below += _binomial(fewest, forecasts, share)
        fewest += 1
    above, most = 0.0, forecasts
    while above + _binomial(most, forecasts, share) < (1 - SURE) / 2:
        above += _binomial(most, forecasts, share)
        most -= 1
    return fewest, most


def _binomial(hits: int, forecasts: int, share: float) -> float:
    return math.comb(forecasts, hits) * share**hits * (1 - share) ** (forecasts - hits)
