"""The forecast: stated chances hold on simulated builders, and its pieces agree with outside references."""

import math
import random
import statistics
from datetime import date, timedelta

import pytest
from scipy import stats

from kiosk.planning.forecast.past_forecasts import back_test, expected_hits
from kiosk.planning.forecast.remaining import StepToDo, remaining, scope_of
from kiosk.planning.forecast.simulation import (
    WEEK,
    Forecast,
    WhatIf,
    days_to_finish,
    forecast,
    past_weeks,
)
from kiosk.record.context import Context
from kiosk.record.lessons import times_follow_kind
from kiosk.record.state import PartState, PieceTime, State, Times
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.procedure import StepRef
from kiosk.shop.shop import Shop
from tests.conftest import local_time

NOW = local_time(2027, 5, 8, 12)
SITTING_DAYS = (1, 3, 5)  # within a week


@pytest.fixture(scope="module")
def shop() -> Shop:
    return load_shop(data_folder("scenarios") / "brambling")


def moment(shop: Shop, state: State) -> Context:
    """The builder at the bench, with nobody else."""
    wren = shop.people["wren"]
    return Context(shop, state, NOW, 0.0, "", [wren], wren)


def piece_of(work: StepToDo) -> PieceTime:
    """What the time of one piece is learnt under: the kind too where the step's times follow it."""
    ref = work.procedure.ref(work.step)
    return PieceTime(ref, "wren", work.kind if times_follow_kind(work.procedure, work.step) else None)


class Builder:
    """A simulated builder with a known truth: how far the estimates are out, and a rhythm of sittings."""

    def __init__(self, shop: Shop, seed: int, *, later: float = 1.0) -> None:
        self.shop = shop
        self.random_numbers = random.Random(seed)
        self.later = later  # work gets so many times slower after the record ends
        bias = self.random_numbers.gauss(math.log(1.2), 0.3)
        left = remaining(shop, State(), scope_of(shop, None))
        # How far the estimate of each step is out; where a step's times follow the kind, for all kinds alike.
        off: dict[StepRef, float] = {}
        for work in left.steps:
            ref = work.procedure.ref(work.step)
            off.setdefault(ref, bias + self.random_numbers.gauss(0.0, 0.25))
        self.mean = {
            piece_of(work): math.log(work.step.minutes.each) + off[work.procedure.ref(work.step)]
            for work in left.steps
        }
        self.week_mean = self.random_numbers.uniform(90, 240)

    def week(self) -> list[float]:
        """Seven days of a week."""
        total = self.random_numbers.gammavariate(4.0, self.week_mean / 4.0)
        parts = [self.random_numbers.expovariate(1.0) for _ in SITTING_DAYS]
        days = [0.0] * WEEK
        for day, part in zip(SITTING_DAYS, parts, strict=True):
            days[day] = total * part / sum(parts)
        return days

    def record(self, weeks: int = 12, pieces: int = 60) -> State:
        state = State()
        for number in range(weeks):
            for back, minutes in enumerate(reversed(self.week())):
                day = NOW.date() - timedelta(days=1 + number * WEEK + back)
                if minutes:
                    state.minutes_by_day[day.isoformat()] = minutes
        first = NOW.date() - timedelta(days=weeks * WEEK)
        state.minutes_by_day[first.isoformat()] = 1.0
        by_name = sorted(self.mean, key=lambda of: (of.step, of.of_kind or ""))
        keys = self.random_numbers.sample(by_name, 15)
        for number in range(pieces):
            key = keys[number % len(keys)]
            minutes = math.exp(self.mean[key] + self.random_numbers.gauss(0.0, 0.35))
            seen = state.times.get(key, Times())
            state.times[key] = seen.plus(minutes, seen.count + 1)
        return state

    def finish(self, state: State) -> int:
        """Days until everything is really done."""
        left = remaining(self.shop, state, scope_of(self.shop, None))
        minutes = 0.0
        for work in left.steps:
            mean = self.mean[piece_of(work)]
            minutes += sum(math.exp(mean + self.random_numbers.gauss(0.0, 0.35)) for _ in range(work.pieces))
        for again in left.set_ups:
            spread = self.random_numbers.gauss(0.0, 0.3)
            minutes += again.times * (
                again.step.minutes.set_up * math.exp(spread) + again.step.minutes.put_away
            )
        scrap = self.random_numbers.betavariate(0.5, 20.0)
        for parts, route in left.routes:
            again_minutes = sum(math.exp(self.mean[piece_of(w)]) for w in route)
            minutes += sum(again_minutes for _ in range(parts) if self.random_numbers.random() < scrap)
        minutes *= self.later
        day = 0
        while True:
            for of_day in self.week():
                day += 1
                minutes -= of_day
                if minutes <= 0:
                    return day


def made_by(builder: Builder, trials: int = 150) -> tuple[Forecast, State]:
    state = builder.record()
    return forecast(moment(builder.shop, state), trials=trials), state


def hits(shop: Shop, builders: range, *, later: float = 1.0) -> int:
    found = 0
    for seed in builders:
        builder = Builder(shop, seed, later=later)
        one, state = made_by(builder)
        assert one.days is not None
        found += one.days.p10 <= builder.finish(state) <= one.days.p90
    return found


def test_finish_dates_hold_as_often_as_they_say(shop: Shop) -> None:
    """80 % interval over 60 simulated builders: 42 to 54 is what a right forecaster gets in 95 % of cases
    (exact binomial, scipy.stats.binom). Of 300 builders by hand 231 were within, 77 %."""
    low, high = stats.binom.interval(0.95, 60, 0.8)
    assert low <= hits(shop, range(60)) <= high


def test_the_same_measure_finds_a_forecaster_who_is_wrong(shop: Shop) -> None:
    low, _ = stats.binom.interval(0.95, 30, 0.8)
    assert hits(shop, range(30), later=1.5) < low


def test_weeks_agree_with_renewal_theory() -> None:
    """Work W at weekly means m with standard deviation s: mean W/m + (s^2 + m^2) / (2 m^2) weeks and standard
    deviation sqrt(W s^2 / m^3) (renewal theory; Cox, Renewal Theory, from memory, high)."""
    random_numbers = random.Random(1)
    weeks = [max(0.0, random_numbers.gauss(150, 60)) for _ in range(4000)]
    mean, spread = statistics.fmean(weeks), statistics.pstdev(weeks)
    work = 6000.0
    # All of a week's minutes on its last day, so that a finish is a whole number of weeks.
    as_days = [(0.0,) * 6 + (week,) for week in weeks]
    days = days_to_finish([work] * 4000, as_days, NOW.date(), random_numbers)
    found = [day / WEEK for day in days]
    assert statistics.fmean(found) == pytest.approx(
        work / mean + (spread**2 + mean**2) / (2 * mean**2), rel=0.01
    )
    assert statistics.pstdev(found) == pytest.approx(math.sqrt(work * spread**2 / mean**3), rel=0.1)


def test_few_weeks_widen_the_interval() -> None:
    random_numbers = random.Random(2)
    few = [[0.0] * 6 + [minutes] for minutes in (100.0, 150.0, 200.0, 250.0)]
    many = few * 3
    wide = days_to_finish([6000.0] * 800, few, NOW.date(), random_numbers)
    narrow = days_to_finish([6000.0] * 800, many, NOW.date(), random_numbers)
    assert statistics.pstdev(wide) > 1.3 * statistics.pstdev(narrow)


def test_what_ifs_move_the_date_the_right_way(shop: Shop) -> None:
    state = Builder(shop, 3).record()

    def middle(what_if: WhatIf) -> float:
        one = forecast(moment(shop, state), what_if=what_if, trials=300)
        assert one.days is not None
        return one.days.p50

    usual = middle(WhatIf())
    assert middle(WhatIf(half_hours_a_week=2)) < usual
    assert middle(WhatIf(half_hours_a_week=4)) < middle(WhatIf(half_hours_a_week=2))
    assert middle(WhatIf(helper_saturdays=True)) < usual
    assert middle(WhatIf(scrap_percent=30)) > middle(WhatIf(scrap_percent=5))


def test_two_half_hours_more_gain_what_arithmetic_says(shop: Shop) -> None:
    """With steady weeks of m minutes and e more, the date comes (m + e) / m sooner."""
    week = [0.0, 60.0, 0.0, 60.0, 0.0, 60.0, 0.0]
    random_numbers = random.Random(1)
    usual = statistics.fmean(days_to_finish([18_000.0] * 50, [week] * 8, NOW.date(), random_numbers))
    more = statistics.fmean(
        days_to_finish([18_000.0] * 50, [week] * 8, NOW.date(), random_numbers, extra_a_week=60.0)
    )
    assert usual / more == pytest.approx((180 + 60) / 180, rel=0.01)


def test_a_short_record_gives_no_date(shop: Shop) -> None:
    one = forecast(moment(shop, State()), trials=100)
    assert one.days is None and one.too_short and one.hours.p50 > 0


def test_a_kind_counts_what_it_needs(shop: Shop) -> None:
    scope = scope_of(shop, "nose-rib")
    assert scope == {"nose-rib", "block-nose"}
    joined = next(kind.id for kind in shop.kinds.values() if any(
        shop.parts[mark].made_from for mark in shop.marks_of(kind.id)))  # fmt: skip
    assert len(scope_of(shop, joined)) > 3
    assert scope_of(shop, None) == set(shop.kinds)


def test_finished_work_is_not_counted(shop: Shop) -> None:
    before = remaining(shop, State(), scope_of(shop, "nose-rib"))
    state = State(parts={"NR-01": PartState("NR-01", completed_at=NOW)})
    after = remaining(shop, state, scope_of(shop, "nose-rib"))
    assert after.open_parts == before.open_parts - 1
    assert sum(work.pieces for work in after.steps) < sum(work.pieces for work in before.steps)


def test_weeks_count_back_from_the_last_day_and_keep_empty_ones() -> None:
    today = date(2027, 5, 8)
    minutes = {"2027-05-06": 30.0, "2027-04-12": 60.0, "2027-04-10": 45.0}
    weeks = past_weeks(minutes, today)
    assert [sum(week) for week in weeks] == [30.0, 0.0, 0.0, 105.0]
    assert past_weeks({}, today) == []
    assert past_weeks({"2028-01-01": 50.0}, today) == []  # a clock that was wrong


# How past forecasts did


@pytest.mark.parametrize(
    ("count", "share"), [(20, 0.8), (30, 0.8), (50, 0.8), (100, 0.8), (20, 0.5), (1, 0.8)]
)
def test_expected_hits_are_the_exact_binomial_ones(count: int, share: float) -> None:
    low, high = stats.binom.interval(0.95, count, share)
    assert expected_hits(count, share) == (low, high)


def rhythm(
    seed: int, weeks: int, *, slower_after: int | None = None
) -> tuple[dict[str, float], dict[str, float]]:
    random_numbers = random.Random(seed)
    start = date(2026, 1, 5)
    minutes: dict[str, float] = {}
    planned: dict[str, float] = {}
    for week in range(weeks):
        slower = 3.0 if slower_after is not None and week >= slower_after else 1.0
        for day in SITTING_DAYS:
            name = (start + timedelta(days=WEEK * week + day)).isoformat()
            minutes[name] = random_numbers.lognormvariate(4.0, 0.5)
            planned[name] = minutes[name] / slower / math.exp(0.25 + random_numbers.gauss(0.0, 0.25))
    return minutes, planned


def test_the_back_test_finds_right_forecasts_right() -> None:
    """Over 40 simulated builders of 30 weeks the 80 % intervals hold about 8 times in 10."""
    end = date(2026, 1, 5) + timedelta(days=WEEK * 30)
    tests = [back_test(*rhythm(seed, 30), end) for seed in range(40)]
    share = sum(one.hits for one in tests) / sum(len(one.forecasts) for one in tests)
    assert 0.75 <= share <= 0.86
    assert sum(one.as_expected for one in tests) >= 34


def test_the_back_test_finds_a_change_that_the_forecast_did_not_see() -> None:
    end = date(2026, 1, 5) + timedelta(days=WEEK * 16)
    minutes, planned = rhythm(7, 16, slower_after=10)
    after = [one for one in back_test(minutes, planned, end).forecasts if one.made_on >= date(2026, 3, 14)]
    assert not after[0].held and after[0].came < after[0].low


def test_a_record_of_three_weeks_has_nothing_to_check() -> None:
    end = date(2026, 1, 5) + timedelta(days=WEEK * 3)
    assert back_test(*rhythm(1, 3), end).forecasts == ()
