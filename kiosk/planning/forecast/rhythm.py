"""A builder's rhythm, learnt from the sittings on record: which days, how long, how it changes, and breaks.

Within a season of work the days with a sitting are counted by the day of the week, those of late weeks
counting more, with how fast their number grows or falls (a log-linear rate, by weighted Poisson regression
with a weak prior). A change dies away (a damped trend: Gardner & McKenzie 1985, Management Science 31). How
fast it is, is known together with how far it has come, and drawn so: what is not known of a trend weighs with
the square of the time to come (Sampson 1991, Journal of Applied Econometrics 6). In the first months a record
cannot tell a rhythm that will double from one that stays. The interval is then that of builders of whom two
in three change by less than 1.65 times a year: one that held all who double would say nothing of the others.

Breaks are what no such rhythm explains. They come and go as an alternating renewal process (Cox, Renewal
Theory) whose rate and lengths are learnt from those on record and from a weak prior; a break may also come
again at its time of the year. What is not known of all this is drawn once for each trial.
"""

import itertools
import math
import random
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from statistics import NormalDist
from typing import NamedTuple

from kiosk.dataclass import dataclass
from kiosk.planning.forecast.walk import DAY, Slot
from kiosk.record.sittings import LEFT_OPEN_MINUTES
from kiosk.record.state import SittingSeen, State
from kiosk.shop.shop import DAYS, Shop

WEEK = 7
FEWEST_BREAK_DAYS = 16  # a shorter gap is none
BREAK_OF_USUAL = 6.0  # and a break is so many times as long as the usual gap
HALF_LIFE_WEEKS = 26.0  # of what a week of work tells of the rhythm now
TREND_SPREAD = 0.5  # a year, of the log of how many days a week there are: two in three within 1.65 times
TREND_LASTS_WEEKS = 26.0  # a change goes on for about so long
LEAST_DISPERSION = 0.5  # of days a week: variance over mean
BREAK_WEIGHT, BREAK_WEEKS = 0.2, 40.0  # the usual rate of breaks counts for so many, in so many weeks
LONG_DAYS, LONG_SPREAD = 42.0, 0.7  # a break lasts so long: median, and the spread of its logarithm
LONG_WEIGHT = 2.0  # breaks that this counts for
# Of builders with a long break, those whose break comes every year, against those whose does not; and how
# often it then comes. Common practice, no source.
YEARLY_ODDS, COMES_AGAIN = 1.5, 0.9
YEARLY_LEAST_DAYS = 28
NEAR_DAYS, OVERDUE_DAYS = 45, 30  # of its time a year on: it is the same one; and it did not come
YEARLY_SPREAD_DAYS = 12.0
LONG_GONE = 0.99  # the chance that it would have come by now, from which on it is not to come
LENGTH_SPREAD = 0.2  # of the logarithm of how long it is in another year
YEAR = 365.25
EVENING = 19 * 60.0
SATURDAY = 5
MOST_DRAWN = 200  # days to draw from in one trial
# What sittings are like before the record says otherwise, in minutes, and how many of those on record all of
# them together count for, on weekdays and on weekends. Common practice, no source.
USUAL_MINUTES, USUAL_WEIGHT = (10.0, 25.0, 40.0, 60.0, 100.0), 1.0
LENGTH_JITTER = 0.15  # of the logarithm: no sitting comes again to the minute
WORKED_SHARE = 0.8  # of a sitting, where only the minutes at work are on record
SHORTEST_SLOT, LONGEST_SLOT = 4.0, 480.0
# Sittings with somebody to lift with and without, that what is usual counts for. Common practice, no source.
WITH_ANOTHER, ALONE = 0.5, 2.0
HALF_HOUR, BETWEEN_MINUTES = 30.0, 10.0


@dataclass(frozen=True)
class Break:
    """A gap without any sitting that the usual rhythm does not explain; ``last`` is its last day."""

    first: date
    last: date

    @property
    def days(self) -> int:
        """How many days it lasted."""
        return (self.last - self.first).days + 1


@dataclass(frozen=True)
class Rhythm:
    """What the record tells of a builder's rhythm, up to the day before ``begins``."""

    begins: date  # the first day to come
    first: date  # the first day on record
    days: tuple[tuple[int, tuple[SittingSeen, ...], float], ...]  # weekday, sittings, what it counts for
    of_weekday: tuple[float, ...]  # the chance of a day with a sitting, Monday first, as it goes now
    level_spread: float  # of the log of how many days a week there are now
    trend: float  # of that logarithm, a year
    trend_spread: float
    together: float  # correlation of level and trend: what grew faster has come further by now
    dispersion: float  # of days a week
    breaks: tuple[Break, ...]  # that are over
    away_since: date | None  # the first day of the break that holds now
    season_weeks: float  # on record, breaks not counted

    @property
    def days_away(self) -> int:
        """Days of the break that holds now."""
        return 0 if self.away_since is None else (self.begins - self.away_since).days

    @property
    def minutes_a_week(self) -> float:
        """At the bench, in season, as it goes now."""
        total = sum(weight for _, _, weight in self.days)
        minutes = sum(weight * sum(one.minutes for one in of) for _, of, weight in self.days)
        return sum(self.of_weekday) * minutes / total if total else 0.0

    @property
    def minutes_a_week_with_breaks(self) -> float:
        """At the bench, over all weeks on record, those of breaks too."""
        minutes = sum(one.minutes for _, of, _ in self.days for one in of)
        return minutes * WEEK / max(WEEK, (self.begins - self.first).days)


Sittings = Mapping[date, Sequence[SittingSeen]]


def sittings_of(state: State, before: date) -> dict[date, tuple[SittingSeen, ...]]:
    """The sittings of the record before a day, in order: those that brought work, or in which somebody said
    to have minutes though nothing was found for them. Who only looks, and goes again, sat nowhere. Of a day
    on which something was done though no sitting of it came to an end, only the minutes at work are known."""
    found: dict[date, tuple[SittingSeen, ...]] = {}
    for day in sorted({*state.minutes_by_day, *state.sittings_by_day}):
        at = date.fromisoformat(day)
        if at >= before:
            break
        sat = tuple(one for one in state.sittings_by_day.get(day, ()) if _had_time(one))
        minutes = state.minutes_by_day.get(day, 0.0)
        if sat:
            found[at] = sat
        elif minutes > 0:
            found[at] = (SittingSeen(EVENING, minutes / WORKED_SHARE, True, said=True),)
    return found


def _had_time(sitting: SittingSeen) -> bool:
    return sitting.worked or sitting.minutes > LEFT_OPEN_MINUTES


def rhythm_of(sittings: Sittings, begins: date) -> Rhythm | None:
    """The rhythm of these sittings; None of none."""
    days = [day for day in sittings if day < begins]
    if not days or not any(one.worked for day in days for one in sittings[day]):
        return None
    breaks, away_since = _breaks(days, begins)
    # Days of work, numbered without the breaks: the newest is 0.
    ages: dict[date, int] = {}
    age = 0
    first, day = days[0], (begins if away_since is None else away_since) - timedelta(days=1)
    held = {one.last: one for one in breaks}
    while day >= first:
        if day in held:
            day = held[day].first - timedelta(days=1)
            continue
        ages[day] = age
        age += 1
        day -= timedelta(days=1)
    weeks = max(1.0, age / WEEK)
    weights = {day: 0.5 ** (back / WEEK / HALF_LIFE_WEEKS) for day, back in ages.items()}
    by_weekday, of_days = [0.0] * WEEK, [0.0] * WEEK
    for day, weight in weights.items():
        of_days[day.weekday()] += weight
        by_weekday[day.weekday()] += weight * (day in sittings)
    overall = sum(by_weekday) / sum(of_days)
    # A day of the week that is hardly seen is drawn towards the others: by one day's worth.
    rates = [(n + overall) / (of + 1) for n, of in zip(by_weekday, of_days, strict=True)]
    by_week = _by_week(sittings, ages)
    dispersion = _dispersion(by_week, rates)
    growth = _growth(by_week, dispersion)
    scale = math.exp(growth.level) / sum(rates)
    sat = ((day, tuple(sittings.get(day, ()))) for day in ages)
    return Rhythm(
        begins=begins,
        first=first,
        days=tuple((day.weekday(), of, weights[day]) for day, of in sat if of),
        of_weekday=tuple(min(1.0, rate * scale) for rate in rates),
        level_spread=growth.level_spread,
        trend=growth.trend,
        trend_spread=growth.trend_spread,
        together=growth.together,
        dispersion=dispersion,
        breaks=tuple(breaks),
        away_since=away_since,
        season_weeks=weeks,
    )


def _breaks(days: Sequence[date], begins: date) -> tuple[list[Break], date | None]:
    """The gaps that are breaks, by the gaps that are usual; and since when the one that holds now."""
    gaps = [(one, (other - one).days) for one, other in itertools.pairwise(days)]
    usual = [gap for _, gap in gaps]
    least = float(FEWEST_BREAK_DAYS)
    for _ in range(3):  # what is a break is no usual gap
        in_season = [gap for gap in usual if gap < least]
        if not in_season:
            break
        least = max(FEWEST_BREAK_DAYS, BREAK_OF_USUAL * sum(in_season) / len(in_season))
    one_day = timedelta(days=1)
    breaks = [Break(day + one_day, day + timedelta(days=gap - 1)) for day, gap in gaps if gap >= least]
    away = (begins - days[-1]).days >= least
    return breaks, days[-1] + one_day if away else None


class _Week(NamedTuple):
    """A week of work: how many weeks back its middle lies, how much of it is on record, and its days with a
    sitting."""

    back: float
    share: float
    sat: int


def _by_week(sittings: Sittings, ages: Mapping[date, int]) -> list[_Week]:
    """Each week of work. Of the oldest there may be some days alone: left out until it is whole, they moved
    the rhythm of a young record by a sixth from one day to the next."""
    counts, days = [0] * (-(-len(ages) // WEEK)), [0] * (-(-len(ages) // WEEK))
    for day, age in ages.items():
        counts[age // WEEK] += day in sittings
        days[age // WEEK] += 1
    weeks = zip(counts, days, strict=True)
    return [_Week(back + of / WEEK / 2, of / WEEK, sat) for back, (sat, of) in enumerate(weeks)]


def _dispersion(weeks: Sequence[_Week], rates: Sequence[float]) -> float:
    """Variance over mean of the days of a week, drawn by what four weeks tell towards that of days each of
    which has a sitting or none by its own chance."""
    counts = [one.sat for one in weeks if one.share == 1] or [one.sat for one in weeks]
    mean = sum(counts) / len(counts)
    square = sum((count - mean) ** 2 for count in counts)
    by_chance = 1 - sum(rate * rate for rate in rates) / sum(rates)
    return max(LEAST_DISPERSION, (4.0 * by_chance + square / max(mean, 0.1)) / (4.0 + len(counts) - 1))


class _Growth(NamedTuple):
    """Level now and trend a year of the log of days a week, how well they are known, and their
    correlation."""

    level: float
    trend: float
    level_spread: float
    trend_spread: float
    together: float


def _growth(weeks: Sequence[_Week], dispersion: float) -> _Growth:
    """By a weighted Poisson regression, the trend drawn towards none."""
    weights = [0.5 ** (one.back / HALF_LIFE_WEEKS) for one in weeks]
    of_all = sum(w * one.share for w, one in zip(weights, weeks, strict=True))
    mean = sum(w * one.sat for w, one in zip(weights, weeks, strict=True)) / of_all
    level, trend = math.log(max(0.1, mean)), 0.0
    a = b = c = 1.0
    for _ in range(12):
        a = b = c = u = v = 0.0
        for weight, (back, share, sat) in zip(weights, weeks, strict=True):
            x = -back / 52
            expected = share * math.exp(min(5.0, level + trend * x))
            weight = weight / dispersion
            a += weight * expected
            b += weight * expected * x
            c += weight * expected * x * x
            u += weight * (sat - expected)
            v += weight * (sat - expected) * x
        a += 1.0  # a level of which nothing is known is within a factor of three
        u -= level - math.log(max(0.1, mean))
        c += 1 / TREND_SPREAD**2
        v -= trend / TREND_SPREAD**2
        determinant = a * c - b * b
        step, turn = (c * u - b * v) / determinant, (a * v - b * u) / determinant
        level, trend = level + max(-1.0, min(1.0, step)), trend + max(-1.0, min(1.0, turn))
    determinant = a * c - b * b
    return _Growth(
        level, trend, math.sqrt(c / determinant), math.sqrt(a / determinant), -b / math.sqrt(a * c)
    )


# What is to come


@dataclass(frozen=True)
class Luck:
    """Standard normal draws of one trial for what weighs most in a rhythm, spread evenly over the trials."""

    level: float
    trend: float


class _Pool:
    """Days with their sittings, to draw from."""

    def __init__(self, days: Sequence[tuple[int, tuple[SittingSeen, ...], float]]) -> None:
        usual = [(SittingSeen(EVENING, minutes, True, said=True),) for minutes in USUAL_MINUTES]
        weights = [weight for _, _, weight in days] + [USUAL_WEIGHT / len(usual)] * len(usual)
        self._days = [*(sittings for _, sittings, _ in days), *usual]
        self._weights = list(itertools.accumulate(weights))
        self._worth = self._weights[-1] ** 2 / sum(weight**2 for weight in weights)

    def drawn(self, random_numbers: random.Random) -> list[tuple[SittingSeen, ...]]:
        """The days of one trial: as many as those on record count for, with repeats (a weighted bootstrap).

        Few on record leave it uncertain how long sittings are.
        """
        count = max(2, min(MOST_DRAWN, round(self._worth)))
        return random_numbers.choices(self._days, cum_weights=self._weights, k=count)


class Ahead:
    """Draws the slots to come."""

    def __init__(self, rhythm: Rhythm, shop: Shop) -> None:
        self.rhythm = rhythm
        of_week = [one for one in rhythm.days if one[0] < SATURDAY] or list(rhythm.days)
        weekends = [one for one in rhythm.days if one[0] >= SATURDAY] or list(rhythm.days)
        self._pools = [_Pool(of_week), _Pool(weekends)]
        quiet = quiet_minutes(shop)
        self._able = able_to_lift(shop, rhythm.begins)
        there = [not self._able.isdisjoint(one.people) for _, of, _ in rhythm.days for one in of]
        self._with_another, self._alone = WITH_ANOTHER + sum(there), ALONE + len(there) - sum(there)
        self._quiet = [[*quiet[day], *_next_day(quiet[(day + 1) % WEEK])] for day in range(WEEK)]

    def slots(
        self, luck: Luck, random_numbers: random.Random, half_hours_a_week: int = 0, helper: float = 0.0
    ) -> Iterator[Slot]:
        """The slots of one trial, without an end, in minutes from the beginning of the first day to come."""
        rhythm = self.rhythm
        pools = [pool.drawn(random_numbers) for pool in self._pools]
        breaks = self._breaks(random_numbers)
        another = random.Random(random_numbers.random())  # who is there changes nothing of the evenings
        share = another.betavariate(self._with_another, self._alone) if self._able else 1.0
        level = luck.level * rhythm.level_spread
        own = math.sqrt(1 - rhythm.together**2)
        trend = rhythm.trend + rhythm.trend_spread * (rhythm.together * luck.level + own * luck.trend)
        lasts = TREND_LASTS_WEEKS / 52
        off = next(breaks)
        day, in_season, away = 0, 0, 0
        at = 0.0  # nobody sits twice at once: when the last sitting is over, maybe past midnight
        uniform = random_numbers.random
        factor = 1.0
        extra: set[int] = set()
        while True:
            while day > off[1]:
                off = next(breaks)
            if off[0] <= day <= off[1]:
                away += off[1] + 1 - day
                day = off[1] + 1
                continue
            weekday = (rhythm.begins.weekday() + day) % WEEK
            if in_season % WEEK == 0:
                years = in_season / YEAR
                factor = math.exp(level + trend * lasts * (1 - math.exp(-years / lasts)))
                extra = set(random_numbers.sample(range(WEEK), min(WEEK, half_hours_a_week)))
            begins = day * DAY
            if uniform() < rhythm.of_weekday[weekday] * factor:
                pool = pools[weekday >= SATURDAY]
                for one in pool[int(uniform() * len(pool))]:
                    at = max(at, begins + one.began_minute)
                    minutes = one.minutes * math.exp(random_numbers.gauss(0.0, LENGTH_JITTER))
                    slot = self._slot(at, minutes, away, another.random() < share)
                    yield slot if one.said else slot._replace(kept_back=0.0)
                    at = slot.begins + slot.minutes
            if in_season % WEEK in extra:
                at = max(at, begins + EVENING)
                for _ in range(1 + (half_hours_a_week - 1) // WEEK):
                    yield self._slot(at, HALF_HOUR, away, another.random() < share)
                    at += HALF_HOUR + BETWEEN_MINUTES
            if helper and weekday == SATURDAY:
                yield Slot(max(at, begins + EVENING), helper, 0.0, True, away)  # beside the builder
            day += 1
            in_season += 1

    def _slot(self, at: float, minutes: float, away_days: int, two: bool) -> Slot:
        day, of_day = divmod(at, DAY)
        weekday = (self.rhythm.begins.weekday() + int(day)) % WEEK
        quiet = math.inf
        for start, end in self._quiet[weekday]:
            if start <= of_day < end:
                quiet = 0.0
            elif of_day < start:
                quiet = min(quiet, start - of_day)
        return Slot(at, min(LONGEST_SLOT, max(SHORTEST_SLOT, minutes)), quiet, False, away_days, two)

    # Breaks

    def _breaks(self, random_numbers: random.Random) -> Iterator[tuple[int, int]]:
        """First and last day of each break to come, in order, without an end, from the one that holds now."""
        rhythm = self.rhythm
        logs = [math.log(one.days) for one in rhythm.breaks]
        weight = LONG_WEIGHT + len(logs)
        centre = (LONG_WEIGHT * math.log(LONG_DAYS) + sum(logs)) / weight
        centre += random_numbers.gauss(0.0, LONG_SPREAD / math.sqrt(weight))
        after = -1
        if rhythm.away_since is not None:
            left = _longer_than(rhythm.days_away, centre, random_numbers) - rhythm.days_away
            after = max(0, round(left))
            yield 0, after
        long_ones = [one for one in rhythm.breaks if one.days >= YEARLY_LEAST_DAYS]
        if rhythm.away_since is not None and rhythm.days_away >= YEARLY_LEAST_DAYS:
            back = rhythm.begins + timedelta(days=after)
            long_ones = [*long_ones, Break(rhythm.away_since, back)]
        yearly = self._yearly(long_ones, after, random_numbers)
        seen = len(rhythm.breaks) - (len(long_ones) if yearly else 0)
        rate = random_numbers.gammavariate(
            BREAK_WEIGHT + max(0, seen), 1 / (BREAK_WEEKS + rhythm.season_weeks)
        )
        rate = max(rate, 1e-4)
        of_year = self._of_year(yearly, after, random_numbers)
        planned = next(of_year)
        at = after + 1 + random_numbers.expovariate(rate) * WEEK
        while True:
            if planned[0] <= at:
                first, last = planned
                planned = next(of_year)
                at = max(at, last + 1 + random_numbers.expovariate(rate) * WEEK)
            else:
                first = round(at)
                days = math.exp(random_numbers.gauss(centre, LONG_SPREAD))
                last = first + round(min(3 * YEAR, days))
                at = last + 1 + random_numbers.expovariate(rate) * WEEK
            yield first, last

    def _yearly(self, breaks: Sequence[Break], after: int, random_numbers: random.Random) -> list[Break]:
        """The newest break that comes every year in this trial; none where none does. What came again at its
        time, and what did not, tells how likely that is: by so many times as one that comes every year does
        more often than one that comes by itself (Bayes factor)."""
        if not breaks:
            return []
        odds = YEARLY_ODDS
        for one in breaks:
            year_on = one.first + timedelta(days=round(YEAR))
            if year_on + timedelta(days=OVERDUE_DAYS) > self.rhythm.begins:
                continue
            near = any(abs((other.first - year_on).days) <= NEAR_DAYS for other in breaks)
            alone = self._by_itself(year_on)
            odds *= COMES_AGAIN / alone if near else (1 - COMES_AGAIN) / (1 - alone)
        chance = odds / (1 + odds)
        late = _late_by_now(self._days_to(breaks[-1], 1), after)
        chance = chance * (1 - late) / (1 - chance * late)  # the more it is due and has not come, the less
        return list(breaks[-2:]) if random_numbers.random() < chance else []

    def _by_itself(self, year_on: date) -> float:
        """The chance that a break comes near a day though none is yearly, by those that came before."""
        before = [one for one in self.rhythm.breaks if one.first < year_on - timedelta(days=NEAR_DAYS)]
        weeks = (year_on - self.rhythm.first).days / WEEK
        rate = (BREAK_WEIGHT + len(before)) / (BREAK_WEEKS + weeks)
        return 1 - math.exp(-rate * 2 * NEAR_DAYS / WEEK)

    def _days_to(self, one: Break, years: int) -> int:
        """Days from the first to come until a break's time of the year so many years on."""
        return (one.first - self.rhythm.begins).days + round(years * YEAR)

    def _of_year(
        self, breaks: Sequence[Break], after: int, random_numbers: random.Random
    ) -> Iterator[tuple[int, int]]:
        """The same breaks in the years to come."""
        at: list[tuple[int, int]] = []
        seasons: list[Break] = []
        for one in reversed(breaks):
            if all(_apart_in_year(one.first, other.first) > 60 for other in seasons):
                seasons.append(one)
        for year in range(1, 40 if seasons else 1):
            for one in seasons:
                due = self._days_to(one, year)
                days = one.days * math.exp(random_numbers.gauss(0.0, LENGTH_SPREAD))
                late = _late_by_now(due, after)
                share = late + (1 - late) * random_numbers.random()
                if late < LONG_GONE and share < 1:  # it has not come yet, so it comes later than now
                    first = due + YEARLY_SPREAD_DAYS * NormalDist().inv_cdf(max(share, 1e-9))
                    first = max(after + 1, round(first))
                    at.append((first, first + round(days)))
        yield from sorted(at)
        while True:
            yield 10**9, 10**9


def _next_day(quiet: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """A day's quiet hours in minutes after the midnight before it."""
    return ((start + DAY, end + DAY) for start, end in quiet)


def _late_by_now(due: int, after: int) -> float:
    """The chance that a yearly break due on a day would have begun by another one."""
    return NormalDist(due, YEARLY_SPREAD_DAYS).cdf(after)


def _apart_in_year(one: date, other: date) -> float:
    apart = abs((one - other).days) % YEAR
    return min(apart, YEAR - apart)


def _longer_than(days: float, centre: float, random_numbers: random.Random) -> float:
    """The whole length of a break that has lasted so long already: lognormal, given that it is longer."""
    normal = NormalDist(centre, LONG_SPREAD)
    over = normal.cdf(math.log(max(1.0, days)))
    share = over + (1 - over) * random_numbers.random()
    return float(math.exp(normal.inv_cdf(share))) if share < 1 - 1e-9 else days * 1.5


def able_to_lift(shop: Shop, today: date) -> frozenset[str]:
    """Who beside the builder may be the second at what takes two; of those not listed nothing is known."""
    tags = [hazard for hazard in shop.hazards.values() if hazard.people > 1]
    return frozenset(
        one.id
        for one in shop.file.people
        if one.role != "builder"
        and any(one.age(today) >= hazard.min_age_operate and hazard.tag not in one.not_yet for hazard in tags)
    )


def quiet_minutes(shop: Shop) -> list[list[tuple[float, float]]]:
    """The quiet hours of each day of the week, Monday first, in minutes after its midnight."""
    found: list[list[tuple[float, float]]] = [[] for _ in range(WEEK)]
    for quiet in shop.file.quiet_hours:
        start = quiet.start.hour * 60.0 + quiet.start.minute
        end = quiet.end.hour * 60.0 + quiet.end.minute
        for weekday, name in enumerate(DAYS):
            if name not in quiet.days:
                continue
            if end > start:
                found[weekday].append((start, end))
            else:
                found[weekday].append((start, DAY))
                found[(weekday + 1) % WEEK].append((0.0, end))
    return found
