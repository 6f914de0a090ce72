"""The rhythm of sittings: what is learnt of it, breaks noticed, and that what is drawn is what was learnt."""

import itertools
import math
import random
import statistics
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import numpy
import pytest

from kiosk.planning.forecast.rhythm import (
    HALF_LIFE_WEEKS,
    TREND_SPREAD,
    Ahead,
    Luck,
    Rhythm,
    Sittings,
    quiet_minutes,
    rhythm_of,
    sittings_of,
)
from kiosk.planning.forecast.walk import DAY, KEPT_BACK
from kiosk.record.state import SittingSeen, State
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.shop import QuietHours, Shop

TODAY = date(2028, 5, 6)
Chance = Callable[[date], float]
ByDay = dict[str, tuple[SittingSeen, ...]]


@pytest.fixture(scope="module")
def shop() -> Shop:
    return load_shop(data_folder("scenarios") / "brambling")


def sat(weeks: int, chance: Chance, seed: int = 1, minutes: float = 40.0) -> Sittings:
    """Sittings of so many weeks up to today, each day with its chance."""
    numbers = random.Random(seed)
    found = {}
    for back in range(7 * weeks, 0, -1):
        day = TODAY - timedelta(days=back)
        if numbers.random() < chance(day) or back == 7 * weeks:
            found[day] = (SittingSeen(1140.0, minutes, True),)
    return found


def learnt(sittings: Sittings, begins: date = TODAY) -> Rhythm:
    rhythm = rhythm_of(sittings, begins)
    assert rhythm is not None
    return rhythm


def weekends(day: date) -> float:
    return 0.8 if day.weekday() >= 5 else 0.2


def test_days_of_the_week_are_learnt() -> None:
    rhythm = learnt(sat(50, weekends))
    assert rhythm.breaks == () and rhythm.away_since is None
    assert statistics.fmean(rhythm.of_weekday[5:]) == pytest.approx(0.8, abs=0.12)
    assert statistics.fmean(rhythm.of_weekday[:5]) == pytest.approx(0.2, abs=0.1)
    assert rhythm.minutes_a_week == pytest.approx(2.6 * 40, rel=0.15)


def test_what_is_drawn_has_the_rate_and_the_lengths_that_were_learnt(shop: Shop) -> None:
    """The law of large numbers: over 200 weeks without a break the standard error of the days is 2 %."""
    rhythm = learnt(sat(60, weekends))
    steady = Rhythm(**{**vars(rhythm), "trend": 0.0})
    random_numbers = random.Random(3)
    minutes = []
    for _ in range(12):
        total = 0.0
        for slot in Ahead(steady, shop).slots(Luck(0.0, 0.0), random_numbers):
            if slot.begins > 26 * 7 * DAY:
                break
            total += slot.minutes
        minutes.append(total / 26)
    usual = statistics.median(minutes)  # a few have a break
    assert usual == pytest.approx(rhythm.minutes_a_week, rel=0.1)


def away(first: date, weeks: float) -> Callable[[date], bool]:
    return lambda day: first <= day < first + timedelta(weeks=weeks)


def test_ten_weeks_off_are_a_break_and_the_rhythm_is_that_of_the_season() -> None:
    off = away(TODAY - timedelta(weeks=14), 10)
    rhythm = learnt(sat(40, lambda day: 0.0 if off(day) else 0.5))
    (gap,) = rhythm.breaks
    assert abs(gap.days - 70) <= 6 and rhythm.away_since is None
    assert sum(rhythm.of_weekday) == pytest.approx(3.5, rel=0.2)
    assert rhythm.season_weeks == pytest.approx(30, abs=1)


def test_who_is_away_now_is_noticed_and_comes_back_some_time(shop: Shop) -> None:
    off = away(TODAY - timedelta(weeks=5), 5)
    rhythm = learnt(sat(40, lambda day: 0.0 if off(day) else 0.5))
    assert rhythm.away_since is not None and 34 <= rhythm.days_away <= 42
    first = []
    for seed in range(40):
        slot = next(Ahead(rhythm, shop).slots(Luck(0.0, 0.0), random.Random(seed)))
        first.append(slot.begins / DAY)
    assert min(first) >= 0 and 7 < statistics.median(first) < 90
    assert statistics.quantiles(first, n=10)[-1] > 3 * statistics.quantiles(first, n=10)[0]


def test_who_sits_once_a_fortnight_is_in_no_break() -> None:
    sittings = {
        TODAY - timedelta(days=14 * back + 3): (SittingSeen(600.0, 90.0, True),) for back in range(20)
    }
    rhythm = learnt(dict(sorted(sittings.items())))
    assert rhythm.breaks == () and rhythm.away_since is None
    assert sum(rhythm.of_weekday) == pytest.approx(0.5, rel=0.3)


def test_speeding_up_is_followed() -> None:
    faster = learnt(sat(50, lambda day: 0.15 + 0.6 * (1 - (TODAY - day).days / 350)))
    steady = learnt(sat(50, lambda day: 0.45))
    assert sum(faster.of_weekday) > 1.15 * sum(steady.of_weekday)
    assert faster.trend > 0.3 and abs(steady.trend) < 0.25


def test_level_and_trend_are_as_known_as_the_whole_posterior_says() -> None:
    """Against the posterior on a grid, which knows nothing of the regression: weighted Poisson counts, each
    worth one over its dispersion, under the same priors."""
    for weeks in (12, 40):
        days = sat(weeks, lambda _: 0.45, seed=4)
        rhythm = learnt(days)
        counts = numpy.array(
            [
                sum(
                    TODAY - timedelta(days=7 * back + 7) <= day < TODAY - timedelta(days=7 * back)
                    for day in days
                )
                for back in range(weeks)
            ]
        )
        back = numpy.arange(weeks) + 0.5
        weight = 0.5 ** (back / HALF_LIFE_WEEKS)
        usual = math.log(float((weight * counts).sum() / weight.sum()))
        level, trend = numpy.meshgrid(numpy.linspace(usual - 1, usual + 1, 401), numpy.linspace(-3, 3, 401))
        log = -((level - usual) ** 2) / 2 - (trend / TREND_SPREAD) ** 2 / 2
        for count, of, ago in zip(counts, weight, back / 52, strict=True):
            log = log + of / rhythm.dispersion * (
                count * (level - trend * ago) - numpy.exp(level - trend * ago)
            )
        chance = numpy.exp(log - log.max())
        chance /= chance.sum()

        def mean(of: numpy.ndarray, chance: numpy.ndarray = chance) -> float:
            return float((chance * of).sum())

        spreads = [math.sqrt(mean((one - mean(one)) ** 2)) for one in (level, trend)]
        both = mean((level - mean(level)) * (trend - mean(trend)))
        assert math.log(sum(rhythm.of_weekday)) == pytest.approx(mean(level), abs=0.03)
        assert rhythm.trend == pytest.approx(mean(trend), abs=0.05)
        assert [rhythm.level_spread, rhythm.trend_spread] == pytest.approx(spreads, rel=0.05)
        assert rhythm.together == pytest.approx(both / (spreads[0] * spreads[1]), abs=0.05)
    assert rhythm.together > 0.4  # who grew faster has come further by now


def sittings_within(rhythm: Rhythm, shop: Shop, weeks: int, luck: Luck, seed: int) -> int:
    """How many sittings are drawn in so many weeks."""
    slots = Ahead(rhythm, shop).slots(luck, random.Random(seed))
    return sum(1 for _ in itertools.takewhile(lambda slot: slot.begins < weeks * 7 * DAY, slots))


def test_who_has_come_further_is_drawn_as_one_that_grew_faster(shop: Shop) -> None:
    rhythm = replace(learnt(sat(40, lambda _: 0.3)), trend=0.0, trend_spread=1.0, breaks=())

    def growth(together: float) -> float:
        drawn = [
            sittings_within(replace(rhythm, together=together), shop, 52, Luck(1.0, 0.0), seed)
            for seed in range(12)
        ]
        return statistics.median(drawn)

    assert growth(0.9) > 1.2 * growth(0.0)


def within_said(grows: float, shop: Shop) -> float:
    """How often the sittings of the next half year are within the 80 % that a record of 40 weeks says, of
    builders who came with a chance that grew from week to week by so much, up to .6 a day."""
    held = 0
    for seed in range(40):
        numbers = random.Random(f"{grows} {seed}")
        chance = [min(0.6, 0.6 - grows * (60 - week)) for week in range(66)]
        came = [numbers.random() < chance[day // 7] for day in range(66 * 7)]
        days = {
            TODAY - timedelta(days=280 - day): (SittingSeen(1140.0, 40.0, True),)
            for day in range(280)
            if came[day]
        }
        rhythm = learnt(days)
        draws = [
            sittings_within(rhythm, shop, 26, Luck(*(numbers.gauss(0, 1) for _ in range(2))), trial)
            for trial in range(30)
        ]
        low, *_, high = statistics.quantiles(draws, n=10)
        held += low <= sum(came[280:]) <= high
    return held / 40


def test_a_rhythm_that_grew_for_most_of_a_year_is_foreseen_to_grow(shop: Shop) -> None:
    """Forty builders each: the standard error of four in five is six points."""
    assert within_said(0.006, shop) >= 0.7
    assert within_said(0.0, shop) >= 0.72


def idle(one: Rhythm, start: date, end: date, shop: Shop) -> float:
    """How often nothing at all is drawn between two days."""
    first, last = ((day - one.begins).days * DAY for day in (start, end))
    empty = 0
    for seed in range(40):
        inside = False
        for slot in Ahead(one, shop).slots(Luck(0.0, 0.0), random.Random(seed)):
            inside = inside or first <= slot.begins < last
            if slot.begins >= last:
                break
        empty += not inside
    return empty / 40


def test_a_gap_in_two_winters_is_looked_for_in_the_next(shop: Shop) -> None:
    winters = [away(date(year, 12, 15), 9) for year in (2026, 2027)]
    rhythm = learnt(sat(80, lambda day: 0.0 if any(off(day) for off in winters) else 0.5))
    assert len(rhythm.breaks) == 2
    once = learnt(sat(80, lambda day: 0.5))
    january = date(2029, 1, 10), date(2029, 1, 20)
    assert idle(rhythm, *january, shop) > 0.5 > 0.25 > idle(once, *january, shop)


def test_a_gap_that_came_in_three_winters_is_hardly_doubted_and_one_that_did_not_come_again_is(
    shop: Shop,
) -> None:
    """The chance of a model by what it foresaw (Kass & Raftery 1995, Journal of the American Statistical
    Association 90). One trial in five had no winter after three of them, and three in eight had one after a
    year without."""

    def comes_again(*winters: int) -> float:
        gaps = [away(date(year, 12, 15), 9) for year in winters]
        rhythm = learnt(sat(150, lambda day: 0.0 if any(off(day) for off in gaps) else 0.5))
        assert len(rhythm.breaks) == len(winters)
        return idle(rhythm, date(2029, 1, 12), date(2029, 1, 22), shop)

    assert comes_again(2025, 2026, 2027) > 0.9
    assert comes_again(2025) < 0.25


def test_a_gap_that_is_due_soon_is_looked_for_and_one_long_overdue_is_not(shop: Shop) -> None:
    """The day before last year's began, a week later, and six weeks later."""
    last_year = date(2027, 5, 7), date(2027, 7, 1)
    days = sat(90, lambda day: 0.0 if last_year[0] <= day <= last_year[1] else 0.6)
    soon = learnt(days)
    expected = idle(soon, date(2028, 6, 10), date(2028, 6, 20), shop)
    assert 0.35 < expected < 0.8

    def still_expected(later: int) -> float:
        day = TODAY + timedelta(days=later)
        more = {TODAY + timedelta(days=one): days[max(days)] for one in range(0, later, 2)}
        after = learnt({**days, **more}, day)
        return idle(after, day + timedelta(days=21), day + timedelta(days=28), shop)

    assert expected > still_expected(8) > still_expected(42)
    assert still_expected(42) < 0.2


def test_more_half_hours_a_week_are_so_many(shop: Shop) -> None:
    rhythm = learnt(sat(40, weekends))

    def half_hours(more: int) -> int:
        slots = Ahead(rhythm, shop).slots(Luck(0.0, 0.0), random.Random(5), more)
        count = 0
        for slot in slots:
            if slot.begins >= 10 * 7 * DAY:
                return count
            count += math.isclose(slot.minutes, 30.0)
        return count

    assert half_hours(0) == 0 and half_hours(3) == 30


def test_days_on_which_only_the_minutes_are_known_count_too() -> None:
    state = State(
        minutes_by_day={"2028-05-01": 40.0, "2028-05-02": 0.0, "2028-05-03": 20.0, "2101-01-01": 9.0},
        sittings_by_day={"2028-05-03": (SittingSeen(600.0, 33.0, True),)},
    )
    found = sittings_of(state, TODAY)
    assert list(found) == [date(2028, 5, 1), date(2028, 5, 3)]
    assert found[date(2028, 5, 1)][0].minutes == pytest.approx(50.0)
    assert found[date(2028, 5, 3)][0].minutes == 33.0
    assert rhythm_of({}, TODAY) is None


def test_who_only_looks_in_sat_nowhere(shop: Shop) -> None:
    """Two evenings a week at work, and a look at the forecast on every other one."""
    work, look = SittingSeen(1140.0, 45.0, True), SittingSeen(1140.0, 3.0, False)
    days = [TODAY - timedelta(days=back) for back in range(120, 0, -1)]
    worked: ByDay = {day.isoformat(): (work,) for day in days if day.weekday() in (1, 5)}
    looked: ByDay = {day.isoformat(): (look,) for day in days} | worked
    rhythms = [learnt(sittings_of(State(sittings_by_day=by_day), TODAY)) for by_day in (worked, looked)]
    assert rhythms[1] == rhythms[0]
    assert sum(rhythms[1].of_weekday) == pytest.approx(2, rel=0.15)


def test_looking_in_ends_no_break() -> None:
    sat_days = sat(30, lambda day: 0.5 if day < TODAY - timedelta(weeks=8) else 0.0)
    by_day = {day.isoformat(): tuple(of) for day, of in sat_days.items()}
    looked = {
        (TODAY - timedelta(days=back)).isoformat(): (SittingSeen(1140.0, 2.0, False),)
        for back in range(1, 50)
    }
    rhythm = learnt(sittings_of(State(sittings_by_day=by_day | looked), TODAY))
    assert rhythm.away_since is not None and rhythm.days_away >= 50


def test_minutes_that_somebody_said_to_have_count_though_nothing_fitted(shop: Shop) -> None:
    """Short slots in which nothing could be done are slots all the same."""
    used, unused = SittingSeen(1140.0, 60.0, True), SittingSeen(1140.0, 20.0, False)
    by_day: ByDay = {
        (TODAY - timedelta(days=back)).isoformat(): (used if back % 2 else unused,) for back in range(1, 100)
    }
    slots = Ahead(learnt(sittings_of(State(sittings_by_day=by_day), TODAY)), shop).slots(
        Luck(0.0, 0.0), random.Random(2)
    )
    drawn = [slot.minutes for slot in itertools.islice(slots, 300)]
    assert 0.3 < statistics.fmean(minutes < 35 for minutes in drawn) < 0.7


def test_who_goes_when_the_work_is_done_has_kept_nothing_back_on_record(shop: Shop) -> None:
    """The minutes kept in hand are part of those said, and of no sitting that ended with its work."""
    said, silent = SittingSeen(1140.0, 60.0, True, said=True), SittingSeen(1140.0, 20.0, True)
    sittings = {TODAY - timedelta(days=back): (said if back % 2 else silent,) for back in range(99, 0, -1)}
    slots = Ahead(learnt(sittings), shop).slots(Luck(0.0, 0.0), random.Random(2))
    drawn = list(itertools.islice(slots, 300))
    assert {slot.kept_back for slot in drawn if 14 < slot.minutes < 24} == {0.0}
    assert {slot.kept_back for slot in drawn if slot.minutes > 45} == {KEPT_BACK}


def test_sittings_past_midnight_do_not_overlap(shop: Shop) -> None:
    late = (SittingSeen(22 * 60.0, 180.0, True), SittingSeen(23 * 60.0, 200.0, True))
    early = (SittingSeen(5.0, 60.0, True),)
    sittings = {day: early if day.weekday() % 2 else late for day in sat(20, lambda _: 1.0)}
    slots = Ahead(learnt(sittings), shop).slots(Luck(0.0, 0.0), random.Random(3), 9)
    drawn = list(itertools.islice(slots, 300))
    assert all(one.begins + one.minutes <= other.begins + 1e-6 for one, other in itertools.pairwise(drawn))
    past_midnight = [one for one in drawn if one.begins % DAY >= 22 * 60 and one.minutes > 120]
    # From 20.30 nothing loud is done, until eight, though another day has begun.
    assert past_midnight and all(one.quiet_in == 0 for one in past_midnight)


def test_quiet_hours_of_the_next_day_count_for_a_late_sitting(shop: Shop) -> None:
    quiet = QuietHours.model_validate({"start": "00:30", "end": "06:00"})
    own = replace(shop, file=shop.file.model_copy(update={"quiet_hours": (quiet,)}))
    sittings = {day: (SittingSeen(23 * 60.0, 120.0, True),) for day in sat(20, lambda _: 1.0)}
    slots = list(itertools.islice(Ahead(learnt(sittings), own).slots(Luck(0.0, 0.0), random.Random(3)), 40))
    evening = [one for one in slots if one.begins % DAY == 23 * 60]
    assert evening and all(one.quiet_in == 90 for one in evening)


def test_quiet_hours_over_midnight_are_in_both_days(shop: Shop) -> None:
    by_day = quiet_minutes(shop)
    sunday, monday = by_day[6], by_day[0]
    assert (20.5 * 60, DAY) in sunday and (0.0, 8 * 60) in monday


def test_from_one_day_to_the_next_a_young_rhythm_hardly_changes() -> None:
    """Each week that became whole brought its sittings in at once, and a forecast jumped by months."""
    first = date(2028, 3, 1)
    days = [*range(6), *range(6, 70, 3)]  # with much joy in the first week
    every = {first + timedelta(days=day): (SittingSeen(1140.0, 40.0, True),) for day in days}
    rates = []
    for after in range(35, 70):
        begins = first + timedelta(days=after)
        known = {day: of for day, of in every.items() if day < begins}
        rates.append(sum(learnt(known, begins).of_weekday))
    jumps = [abs(math.log(after / before)) for before, after in itertools.pairwise(rates)]
    assert max(jumps) < 0.08
