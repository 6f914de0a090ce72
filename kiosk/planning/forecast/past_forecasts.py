"""How past forecasts did: made again from what the record knew then, and held against what came.

Three things are tested. The minutes at the bench of each week, from the rhythm before it; weeks do not
overlap, so that each counts once. The dates on which kinds of part were finished, forecast some weeks or
months before. And the hours left: what was said then, against the hours spent since and those left now.
"""

import math
import random
from collections.abc import Sequence
from dataclasses import field, replace
from datetime import date, datetime, time, timedelta

from kiosk.dataclass import dataclass
from kiosk.planning.forecast.rhythm import Ahead, Luck, Sittings, rhythm_of, sittings_of
from kiosk.planning.forecast.simulation import (
    FEWEST_WEEKS,
    WEEK,
    Forecast,
    Spread,
    Stop,
    forecast,
    never,
    newest_day,
    quantile_of,
)
from kiosk.planning.forecast.walk import DAY
from kiosk.record.context import Context, Kept
from kiosk.record.state import State
from kiosk.shop.shop import Shop

WEEK_TRIALS = 100
DATE_TRIALS = 20
MOST_PAST_WEEKS = 52
MOST_PAST_FORECASTS = 4  # of dates and hours; each walks the whole road
WEEKS_APART = 4
SEED = 6
SURE = 0.95  # how often a right forecast lies within the expected number of hits
INTERVAL = 0.8


@dataclass(frozen=True)
class PastForecast:
    """One week: the interval stated at its beginning, and what came, in hours at the bench."""

    made_on: date
    low: float
    middle: float
    high: float
    came: float

    @property
    def held(self) -> bool:
        """True when what came lay within the interval, which it should four times in five."""
        return self.low - 1e-9 <= self.came <= self.high + 1e-9


@dataclass(frozen=True)
class PastDate:
    """One kind of part: the days between which it was said to be finished, and the day on which it was.

    ``came`` is None where the last of these days is over and it is not finished.
    """

    made_on: date
    kind: str
    low: date
    high: date
    came: date | None

    @property
    def held(self) -> bool:
        """True when the day lay within the interval."""
        return self.came is not None and self.low <= self.came <= self.high


@dataclass(frozen=True)
class PastHours:
    """Hours left as they were said, and as it looks now: those spent since with those left now."""

    made_on: date
    low: float
    high: float
    came: float

    @property
    def held(self) -> bool:
        """True when they lay within the interval."""
        return self.low <= self.came <= self.high


Held = PastForecast | PastDate | PastHours


@dataclass(frozen=True)
class BackTest:
    """All past forecasts that can be checked.

    A week in which nothing was done says nothing of how the others went: no hit and no miss, and counted
    apart. Kinds whose last day is still to come say nothing yet.
    """

    forecasts: tuple[PastForecast, ...]
    empty: int = 0
    dates: tuple[PastDate, ...] = ()
    hours: tuple[PastHours, ...] = ()
    undecided: int = 0  # kinds that are still open, within what was said
    made: tuple[date, ...] = field(default=())  # when the forecasts of dates and hours were made


def hits(tests: Sequence[Held]) -> int:
    """How many held."""
    return sum(1 for one in tests if one.held)


def as_expected(tests: Sequence[Held]) -> bool:
    """True when the number of hits is one that a right forecaster has 19 times in 20."""
    fewest, most = expected_hits(len(tests), INTERVAL)
    return fewest <= hits(tests) <= most


def past_moments(state: State, today: date) -> list[datetime]:
    """When forecasts of dates and hours would have been made: evenly over it, the last some weeks ago.

    Each is the first minute of its day.
    """
    days = sorted(sittings_of(state, today))
    if not days:
        return []
    first = days[0] + timedelta(weeks=FEWEST_WEEKS)
    last = today - timedelta(weeks=WEEKS_APART)
    weeks = (last - first).days / WEEK
    if weeks < 0:
        return []
    count = min(MOST_PAST_FORECASTS, 1 + int(weeks // WEEKS_APART))
    steps = [timedelta(days=round((last - first).days * place / max(1, count - 1))) for place in range(count)]
    return [datetime.combine(first + step, time()).astimezone() for step in steps]


def back_test(
    context: Context, then: Sequence[tuple[datetime, State]] = (), stopped: Stop = never
) -> BackTest:
    """Forecast every past week from those before it, and dates and hours from the states ``then``.

    Raises Stopped once ``stopped`` says so.
    """
    today = context.today
    sittings = sittings_of(context.state, today + timedelta(days=1))
    weeks, empty = past_weeks(context.shop, sittings, newest_day(context.state, today))
    if context.doubt is not None or not then:
        return BackTest(weeks, empty)
    now = forecast(context, trials=DATE_TRIALS, stopped=stopped)
    dates: list[PastDate] = []
    hours: list[PastHours] = []
    made: list[date] = []
    undecided = 0
    for at, state in then:
        past = replace(context, state=state, now=at, kept=Kept())
        said = forecast(past, trials=DATE_TRIALS, stopped=stopped)
        if said.days is None:
            continue
        made.append(said.made_on)
        hours.append(_hours(context, said, now))
        for kind, spread in said.kinds.items():
            found = _date(context, said, kind, spread)
            if found is None:
                undecided += 1
            else:
                dates.append(found)
    return BackTest(weeks, empty, tuple(dates), tuple(hours), undecided, tuple(made))


def _hours(context: Context, said: Forecast, now: Forecast) -> PastHours:
    spent = sum(
        minutes
        for day, minutes in context.state.minutes_by_day.items()
        if date.fromisoformat(day) > said.counted_from
    )
    return PastHours(said.made_on, said.hours.p10, said.hours.p90, spent / 60 + now.hours.p50)


def _date(context: Context, said: Forecast, kind: str, spread: Spread) -> PastDate | None:
    """What came of one kind; None while it may still come as said."""
    low, high = said.date_at(math.floor(spread.p10)), said.date_at(math.ceil(spread.p90))
    ends = [context.state.part(mark).completed_at for mark in context.shop.marks_of(kind)]
    came = max((end.astimezone().date() for end in ends if end is not None), default=None)
    if any(end is None for end in ends):
        came = None
        if context.today <= high:
            return None
    return PastDate(said.made_on, context.shop.kinds[kind].name, low, high, came)


def past_weeks(shop: Shop, sittings: Sittings, newest: date) -> tuple[tuple[PastForecast, ...], int]:
    """Each of the last weeks as its beginning would have had it, and how many more had nothing in them."""
    found: list[PastForecast] = []
    empty = 0
    first = min(sittings, default=newest)
    weeks = ((newest - first).days + 1) // WEEK
    for back in range(min(MOST_PAST_WEEKS, weeks - FEWEST_WEEKS), 0, -1):
        begins = newest + timedelta(days=1 - WEEK * back)
        of_week = (begins + timedelta(days=number) for number in range(WEEK))
        came = sum(one.minutes for day in of_week for one in sittings.get(day, ())) / 60
        if came <= 0:
            empty += 1
            continue
        drawn = sorted(week_drawn(shop, sittings, begins))
        if drawn:
            tail = (1 - INTERVAL) / 2
            low, middle, high = (quantile_of(drawn, share) for share in (tail, 0.5, 1 - tail))
            found.append(PastForecast(begins, low, middle, high, came))
    return tuple(found), empty


def week_drawn(shop: Shop, sittings: Sittings, begins: date, trials: int = WEEK_TRIALS) -> list[float]:
    """Simulated hours at the bench in the week that begins then, from the sittings before it.

    That something is done in it is taken for given, as only such weeks are held against it.
    """
    rhythm = rhythm_of(sittings, begins)
    if rhythm is None:
        return []
    ahead = Ahead(replace(rhythm, away_since=None), shop)
    random_numbers = random.Random(SEED)
    drawn = []
    for number in range(trials):
        luck = Luck(random_numbers.gauss(0.0, 1.0), random_numbers.gauss(0.0, 1.0))
        minutes = 0.0
        for slot in ahead.slots(luck, random.Random(f"{SEED} {number}")):
            if slot.begins >= WEEK * DAY:
                break
            minutes += slot.minutes
        if minutes > 0:
            drawn.append(minutes / 60)
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
