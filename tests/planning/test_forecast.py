"""The forecast: what holds the road up, what-ifs, and how past forecasts did.

How often dates come as said is measured by hand on whole builds: ``tests/benchmarks/forecast_coverage.py``.
"""

import itertools
import math
import random
import statistics
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from scipy import stats

from kiosk.planning.forecast.pace import TrialMinutes
from kiosk.planning.forecast.past_forecasts import (
    BackTest,
    PastForecast,
    as_expected,
    back_test,
    expected_hits,
    hits,
    past_moments,
    past_weeks,
)
from kiosk.planning.forecast.remaining import remaining, scope_of, steps_to_do
from kiosk.planning.forecast.rhythm import Ahead, Luck, rhythm_of
from kiosk.planning.forecast.road import Road, road_of
from kiosk.planning.forecast.simulation import (
    Forecast,
    ShortSittings,
    Stopped,
    WhatIf,
    forecast,
    forecast_table,
    quantile_of,
)
from kiosk.planning.forecast.walk import CHANGE_OVER, DAY, KEPT_BACK, STEADY, Slot, Walk, Walked
from kiosk.record.context import Context
from kiosk.record.state import PartState, PieceTime, SittingSeen, State, StepDone, Times
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.procedure import Wait
from kiosk.shop.shop import Shop
from tests.benchmarks.whole_builds.random_numbers import random_of
from tests.benchmarks.whole_builds.worlds import WORLDS, shop_folder_of
from tests.conftest import local_time

TODAY = date(2027, 5, 8)
NOW = local_time(2027, 5, 8, 12)
SITTING_DAYS = (1, 3, 5)
CLOSING = 2.0  # minutes


@pytest.fixture(scope="module")
def ribs() -> Shop:
    """Ribs are washed, dried and primed in one go: no usual slot holds it."""
    with shop_folder_of(WORLDS["a"]) as folder:
        return load_shop(folder)


@pytest.fixture(scope="module")
def boat() -> Shop:
    """A rowing boat: 14 frames are glued over night on the one jig."""
    with shop_folder_of(WORLDS["c"]) as folder:
        return load_shop(folder)


def moment(shop: Shop, state: State, now: datetime = NOW) -> Context:
    """The builder at the bench, with nobody else."""
    builder = next(one for one in shop.file.people if one.role == "builder")
    return Context(shop, state, now, 0.0, "", [builder], builder)


def record(
    shop: Shop, weeks: int = 12, minutes: float = 45.0, *, until: date | None = None, days: int = 3
) -> State:
    """A record of sittings on so many evenings a week, with twenty pieces timed at their estimates."""
    state = State()
    last = until or TODAY
    for back in range(1, 7 * weeks + 1):
        day = last - timedelta(days=back)
        if day.weekday() in (*SITTING_DAYS, 0, 2, 4, 6)[:days] or back == 7 * weeks:
            state.sittings_by_day[day.isoformat()] = (SittingSeen(18 * 60.0, minutes, True),)
    builder = moment(shop, state).doer.id
    kind = next(iter(shop.kinds.values()))
    for procedure, step in shop.route_steps(kind)[:5]:
        times = Times()
        for repeat in range(1, 5):
            times = times.plus(step.minutes.each or 1.0, repeat)
        state.times[PieceTime(procedure.ref(step), builder)] = times
    return state


def every_evening(minutes: float) -> Iterator[Slot]:
    """A slot at six each evening, for ever."""
    day = 0
    while True:
        yield Slot(day * DAY + 18 * 60, minutes)
        day += 1


def walked(road: Road, slots: Iterator[Slot]) -> Walked:
    """A walk in which everything takes its estimate."""
    return walk_of(road).along(slots)


def walk_of(road: Road, again: int = 0) -> Walk:
    """A walk in which everything takes its estimate, so many parts of each kind made again."""
    minutes = TrialMinutes(
        [point.step.minutes.each for point in road.points],
        [point.step.minutes.set_up for point in road.points],
        [point.step.minutes.put_away for point in road.points],
        CLOSING,
    )
    return Walk(road, minutes, [again] * len(road.kinds), [False] * len(road.points), 1)


def with_parts_at(road: Road, parts: Mapping[int, int]) -> Road:
    """The road with so many parts at these points, and nothing else to do; what they need is there."""
    wanted = [0] * len(road.kinds)
    for at, count in parts.items():
        wanted[road.points[at].kind] += count
    ready = [parts.get(at, 0) for at in range(len(road.points))]
    return replace(road, ready=ready, wanted=wanted, done=[99] * len(road.kinds))


def point_of(road: Road, kind: str, step: str) -> int:
    """Where a step of a kind is on the road."""
    return next(one.number for one in road.points if (one.kind_id, one.step.id) == (kind, step))


def road_for(shop: Shop, kind: str | None, state: State | None = None) -> Road:
    context = moment(shop, state or State())
    return road_of(context, remaining(context, scope_of(shop, kind)))


# What holds the road up


def test_fourteen_frames_on_one_jig_are_fourteen_nights(boat: Shop) -> None:
    def evenings(jigs: int) -> float:
        tools = {**boat.tools, "frame-jig": boat.tools["frame-jig"].model_copy(update={"have": jigs})}
        clamps = {**tools, "clamps": tools["clamps"].model_copy(update={"have": 100})}
        shop = replace(boat, tools=clamps)
        road = road_for(shop, "frame")
        jig = next(tool for tool in road.tools if tool.name == boat.tools["frame-jig"].name)
        assert jig.rounds == math.ceil(14 / jigs)
        return walked(road, every_evening(300)).finished / DAY

    one, two, many = evenings(1), evenings(2), evenings(14)
    assert one >= 14 > two > many


def test_a_cure_of_fourteen_days_is_fourteen_days(boat: Shop) -> None:
    ways = boat.route_steps(boat.kinds["thwart"])
    coat = next(step for _, step in ways if any(wait.must_pass for wait in step.waits))
    procedure = next(of for of, step in ways if step is coat)
    long = Wait(what="the glue cures", must_pass="14 days", before=coat.waits[0].before)
    steps = tuple(
        one.model_copy(update={"waits": (long,)}) if one.id == coat.id else one for one in procedure.steps
    )
    cured = replace(
        boat,
        procedures={**boat.procedures, procedure.id: procedure.model_copy(update={"steps": steps})},
        _steps={},
    )
    before = walked(road_for(boat, "thwart"), every_evening(60)).finished / DAY
    after = walked(road_for(cured, "thwart"), every_evening(60)).finished / DAY
    assert after >= 14 and after - before > 10
    one = forecast(moment(cured, record(cured, days=7)), kind_id="thwart", trials=6)
    assert one.long_wait is not None and one.long_wait.days == 14
    assert one.days is not None and one.days.p10 >= 14


def test_of_fifty_jigs_as_many_count_as_are_needed(boat: Shop) -> None:
    kinds = {
        **boat.kinds,
        "mould": boat.kinds["mould"],
        "frame": boat.kinds["frame"].model_copy(
            update={
                "route": tuple(
                    stage.model_copy(update={"needs": {"mould": 1}}) if stage.needs else stage
                    for stage in boat.kinds["frame"].route
                )
            }
        ),
    }
    shop = replace(boat, kinds=kinds)
    assert len(shop.marks_of("mould")) == 5
    assert scope_of(shop, "frame") == {"frame": 14, "mould": 1}
    assert scope_of(boat, "plank") == {"plank": 16, "mould": 5}
    assert scope_of(boat, None) == {kind: len(boat.marks_of(kind)) for kind in boat.kinds}
    left = remaining(moment(shop, State()), scope_of(shop, "frame"))
    assert left.open_parts == 15


def test_of_what_is_needed_the_furthest_is_taken(boat: Shop) -> None:
    ways = boat.route_steps(boat.kinds["mould"])
    done = {ways[0][1].id: StepDone(NOW, "robin", "1")}
    marks = boat.marks_of("mould")
    state = State(parts={marks[2]: PartState(marks[2], passes={ways[0][0].id: done})})
    left = remaining(moment(boat, state), {"mould": 1})
    assert left.kinds[0].steps_left == ((marks[2], len(ways) - 1),)


def test_what_is_built_in_comes_first(boat: Shop) -> None:
    road = road_for(boat, None)
    went = walked(road, every_evening(90))
    by_kind = dict(zip(road.kinds, went.kinds_finished, strict=True))
    assert by_kind["mould"] < by_kind["backbone"] < by_kind["frame-joint"]
    assert max(by_kind["frame"], by_kind["backbone"]) <= by_kind["frame-joint"]
    assert went.finished >= max(by_kind.values())


def test_a_part_with_many_short_steps_is_not_put_down_between_them() -> None:
    """The practice panel, for which 112 parts wait, was begun at once and left for months before a step of
    two minutes: looked at alone that was worth less than any longer one."""
    shop = load_shop(data_folder("scenarios") / "brambling")
    road = road_for(shop, None)
    went = walked(road, every_evening(90))
    by_kind = dict(zip(road.kinds, went.kinds_finished, strict=True))
    assert by_kind["practice-panel"] < 14 * DAY < went.finished / 4


def test_what_is_made_again_waits_for_no_part_that_is_not_there(boat: Shop) -> None:
    """Parts that are made from others, three of each made once more: the last of them kept the road open for
    sixty years."""
    road = road_for(boat, None)
    assert any(road.built_in)
    walk = walk_of(road, again=3)
    walk.along(itertools.islice(every_evening(90), 1500))
    assert walk.to_do == 0 and not any(walk.locked)


def test_nothing_is_done_that_does_not_fit_but_what_would_never(boat: Shop) -> None:
    short, long = (walked(road_for(boat, "thwart"), every_evening(minutes)) for minutes in (9, 90))
    assert long.too_long is None and long.idle <= 3
    assert short.too_long is not None and short.idle > 10
    assert short.finished > 5 * long.finished


def test_what_takes_two_waits_for_a_second_and_somebody_is_asked_in_the_end(boat: Shop) -> None:
    road = road_for(boat, "frame")
    alone = walked(road, every_evening(60.0)).finished
    road.points[road.first[0]].takes_two = True

    def evenings(each: int) -> Iterator[Slot]:
        return (slot._replace(two=not number % each) for number, slot in enumerate(every_evening(60.0), 1))

    sometimes, never = walked(road, evenings(5)).finished, walked(road, evenings(10**6)).finished
    assert alone < sometimes
    assert walked(road, every_evening(60.0)).finished == alone
    assert math.isfinite(never) and never > alone


def test_who_was_there_says_how_often_two_are(boat: Shop) -> None:
    hazard = replace(next(iter(boat.hazards.values())), tag="LIFT", people=2, min_age_operate=16)
    people = [boat.file.people[0], boat.file.people[0].model_copy(update={"id": "second", "role": "helper"})]
    shop = replace(
        boat, file=boat.file.model_copy(update={"people": tuple(people)}), hazards={"LIFT": hazard}
    )

    def share(there: bool) -> float:
        sat = SittingSeen(1080.0, 45.0, True, ("second",) if there else ())
        sittings = dict.fromkeys((TODAY - timedelta(days=back) for back in range(60, 0, -1)), (sat,))
        rhythm = rhythm_of(sittings, TODAY)
        assert rhythm is not None
        slots = Ahead(rhythm, shop).slots(Luck(0.0, 0.0), random.Random(1))
        return statistics.fmean(slot.two for slot in itertools.islice(slots, 200))

    assert share(True) > 0.85 and share(False) < 0.15


def test_set_ups_are_shared_in_a_sitting(boat: Shop) -> None:
    many, few = (walked(road_for(boat, "rail"), every_evening(minutes)).minutes for minutes in (25, 115))
    assert few < many


def test_all_set_ups_of_what_goes_on_in_one_sitting_have_to_fit(boat: Shop) -> None:
    """A plank is fitted with one family and drilled with another, and may not be left between."""
    road = road_for(boat, None)
    at = point_of(road, "plank-joint", "fit-plank")
    stretch = road.points[at : road.points[at].last + 1]
    owed = sum(one.step.minutes.set_up + one.step.minutes.put_away for one in stretch)
    first = stretch[0].step.minutes.set_up + stretch[0].step.minutes.put_away
    assert 0 < first < owed
    work = sum(one.step.minutes.each for one in stretch) * STEADY[1]
    needed = work + owed + CHANGE_OVER + KEPT_BACK + CLOSING
    one_plank = with_parts_at(road, {at: 1})
    assert walked(one_plank, iter([Slot(0.0, needed - 1)])).minutes == 0
    assert walked(one_plank, iter([Slot(0.0, needed + 1)])).minutes > 0


def test_a_sitting_that_ended_with_its_work_holds_as_much_again(boat: Shop) -> None:
    """Minutes in hand were kept back from those that somebody said, and are not in one that nobody did."""
    road = road_for(boat, "rail")
    as_said = Slot(0.0, 60.0)
    enough = next(
        minutes / 4
        for minutes in range(20, 2000)
        if walked(road, iter([as_said._replace(minutes=minutes / 4)])).minutes > 0
    )
    short = as_said._replace(minutes=enough - KEPT_BACK)
    assert walked(road, iter([short])).minutes == 0
    assert walked(road, iter([short._replace(kept_back=0.0)])).minutes > 0


def test_a_long_slot_goes_to_what_no_usual_one_holds(ribs: Shop) -> None:
    """As the advice has it: waits and set-ups of what is washed and primed in one go count there."""
    road = road_for(ribs, None)
    wash, deburr = point_of(road, "nose-rib", "wash"), point_of(road, "main-rib", "deburr-edges")
    walk = walk_of(with_parts_at(road, {wash: 4, deburr: 16}))
    walk.along(iter([Slot(0.0, 130.0)]))
    assert walk.ready[wash] == 0
    usual = walk_of(with_parts_at(road, {wash: 4, deburr: 16}))
    usual.along(iter([Slot(0.0, 45.0)]))
    assert usual.ready[wash] == 4 and usual.ready[deburr] < 16


def test_other_work_fills_the_wait_of_mixed_primer(ribs: Shop) -> None:
    """As in the advice: what is washed is sprayed at the end, and the deburring lies in between."""
    road = road_for(ribs, None)
    wash, deburr = point_of(road, "nose-rib", "wash"), point_of(road, "main-rib", "deburr-edges")
    waits = road.points[wash].sat_out
    assert waits >= 50
    walk = walk_of(with_parts_at(road, {wash: 4, deburr: 16}))
    walk.along(iter([Slot(0.0, 130.0)]))
    assert walk.ready[wash] == 0
    assert walk.minutes > 130.0 - waits


def test_loud_work_keeps_quiet_hours(boat: Shop) -> None:
    def late() -> Iterator[Slot]:
        return (slot._replace(quiet_in=0.0) for slot in every_evening(60))

    loud = any(step.conditions.loud for _, step in boat.route_steps(boat.kinds["thwart"]))
    assert loud
    road = road_for(boat, "thwart")
    assert walked(road, late()).too_long is not None  # never quiet enough: somebody finds another time
    assert walked(road, every_evening(60)).too_long is None


def test_what_takes_no_time_is_done_all_the_same(boat: Shop) -> None:
    road = road_for(boat, "frame")
    points = len(road.points)
    nothing = Walk(
        road,
        TrialMinutes([0.0] * points, [0.0] * points, [0.0] * points, 0.0),
        [0] * len(road.kinds),
        [False] * points,
        1,
    )
    assert nothing.along(itertools.islice(every_evening(60.0), 400)).finished < 100 * DAY


# The forecast


def dated(one: Forecast) -> float:
    assert one.days is not None, one.too_short
    return one.days.p50


def test_what_ifs_move_the_date_the_right_way(boat: Shop) -> None:
    context = moment(boat, record(boat))
    asked = [
        ("as now", WhatIf()),
        ("two", WhatIf(half_hours_a_week=2)),
        ("four", WhatIf(half_hours_a_week=4)),
        ("helper", WhatIf(helper_saturdays=True)),
        ("some again", WhatIf(scrap_percent=5)),
        ("many again", WhatIf(scrap_percent=30)),
    ]
    by_name = dict(forecast_table(context, asked, trials=12))
    days = {name: dated(one) for name, one in by_name.items()}
    assert days["four"] < days["two"] < days["as now"]
    assert days["helper"] <= days["as now"]
    assert days["many again"] > days["some again"]
    assert by_name["many again"].hours.p50 > by_name["some again"].hours.p50


def test_a_kind_is_forecast_alone_and_along_with_the_rest(boat: Shop) -> None:
    context = moment(boat, record(boat, days=5))
    one = forecast(context, kind_id="plank-joint", trials=8)
    assert not one.whole and one.along is not None
    assert dated(one) <= one.along.p50
    whole = forecast(context, trials=8)
    assert whole.kinds["plank-joint"] == one.along
    assert set(whole.kinds) == set(boat.kinds)
    assert dated(whole) >= max(spread.p10 for spread in whole.kinds.values())
    jig = next(held for held in whole.held_up if held.tool == boat.tools["frame-jig"].name)
    assert (jig.have, jig.times, jig.days) == (1, 14, 1)


def test_hours_left_hours_a_week_and_breaks_add_up_to_the_date(boat: Shop) -> None:
    state = record(boat, weeks=40)
    for day in list(state.sittings_by_day):
        if date(2026, 12, 10) < date.fromisoformat(day) < date(2027, 2, 20):
            del state.sittings_by_day[day]
    one = forecast(moment(boat, state), trials=16)
    weeks = one.as_weeks
    assert weeks is not None and one.days is not None and one.largest is not None
    assert weeks.weeks == one.days.p50 / 7 and weeks.away_weeks > 1
    assert weeks.at_bench_hours > one.hours.p50 > one.largest.hours > 0
    assert weeks.at_bench_hours / weeks.hours_a_week + weeks.away_weeks == pytest.approx(weeks.weeks)
    # Three sittings of 45 minutes a week, in weeks without a break; those of ten weeks in forty count too.
    assert weeks.hours_a_week == pytest.approx(one.minutes_a_week / 60, rel=0.15)
    assert one.minutes_a_week_with_breaks == pytest.approx(0.75 * one.minutes_a_week, rel=0.1)


def test_a_short_record_gives_hours_and_no_date(boat: Shop) -> None:
    for state in (State(), record(boat, weeks=3)):
        one = forecast(moment(boat, state), trials=10)
        assert one.days is None and one.too_short and one.hours.p50 > 0 and not one.kinds


def test_sittings_of_no_minutes_give_no_date(boat: Shop) -> None:
    for minutes in (0.0, 3.0):
        one = forecast(moment(boat, record(boat, minutes=minutes)), trials=4)
        assert one.days is None and one.too_short == ShortSittings()


def test_a_forecast_that_nobody_waits_for_stops_within_a_walk(boat: Shop) -> None:
    asked = itertools.count()
    context = moment(boat, record(boat))
    with pytest.raises(Stopped):
        forecast(context, trials=6, stopped=lambda: next(asked) >= 7)
    assert next(asked) == 8
    then = [(NOW - timedelta(weeks=5), record(boat, 7, until=TODAY - timedelta(weeks=5)))]
    with pytest.raises(Stopped):
        back_test(context, then, stopped=lambda: True)


def test_finished_work_is_not_counted(boat: Shop) -> None:
    fresh = remaining(moment(boat, State()), scope_of(boat, "knee"))
    state = State(parts={(mark := boat.marks_of("knee")[0]): PartState(mark, completed_at=NOW)})
    after = remaining(moment(boat, state), scope_of(boat, "knee"))
    assert after.open_parts == fresh.open_parts - 1 and after.parts == fresh.parts
    pieces = (sum(work.pieces for work in steps_to_do(boat, left)) for left in (after, fresh))
    assert next(pieces) < next(pieces)


def test_the_same_moment_gives_the_same_forecast(boat: Shop) -> None:
    context = moment(boat, record(boat))
    assert forecast(context, trials=6) == forecast(context, trials=6)


def test_quantiles_lie_between_what_was_drawn() -> None:
    """Of n draws the k-th is the quantile k/(n+1) (Weibull 1939; Hyndman & Fan 1996, type 6), as numpy's."""
    numpy = pytest.importorskip("numpy")
    drawn = sorted(random_of("quantiles").gauss(0, 1) for _ in range(23))
    for share in (0.1, 0.5, 0.8, 0.9):
        assert quantile_of(drawn, share) == pytest.approx(numpy.quantile(drawn, share, method="weibull"))


# How past forecasts did


@pytest.mark.parametrize(
    ("count", "share"), [(20, 0.8), (30, 0.8), (50, 0.8), (100, 0.8), (20, 0.5), (1, 0.8)]
)
def test_expected_hits_are_the_exact_binomial_ones(count: int, share: float) -> None:
    low, high = stats.binom.interval(0.95, count, share)
    assert expected_hits(count, share) == (low, high)


def test_past_weeks_find_a_steady_builder_right_and_a_change_that_nobody_saw(boat: Shop) -> None:
    weeks: list[PastForecast] = []
    for seed in range(4):
        numbers = random_of("weeks", seed)
        sittings = {}
        for back in range(7 * 26):
            if numbers.random() < 0.5:
                minutes = numbers.uniform(10, 75)
                sittings[TODAY - timedelta(days=back)] = (SittingSeen(1140.0, minutes, True),)
        found, empty = past_weeks(boat, dict(sorted(sittings.items())), TODAY)
        assert len(found) + empty in (21, 22)  # by the day of the first sitting
        weeks += found
    share = statistics.fmean(one.held for one in weeks)
    assert 0.7 <= share <= 0.9
    last_week = [day for day in sittings if day > TODAY - timedelta(days=7)]
    much = {day: (replace(sittings[day][0], minutes=400.0),) for day in last_week}
    changed, _ = past_weeks(boat, {**dict(sorted(sittings.items())), **much}, TODAY)
    assert not changed[-1].held and changed[-1].came > changed[-1].high


def test_a_record_of_three_weeks_has_nothing_to_check(boat: Shop) -> None:
    state = record(boat, weeks=3)
    assert past_moments(state, TODAY) == []
    assert back_test(moment(boat, state)) == BackTest((), 0)


def test_finish_dates_and_hours_are_held_against_what_came(boat: Shop) -> None:
    then_at = NOW - timedelta(weeks=10)
    then = record(boat, 8, until=then_at.astimezone().date(), days=7)
    said = forecast(moment(boat, then, then_at), trials=30)
    as_said, never, much_later = "mould", "drill-guide", "thwart"
    now = record(boat, 18, days=7)
    low = said.kinds[as_said]
    for mark in boat.marks_of(as_said):
        at = then_at + timedelta(days=round(low.p50) - 1)
        now.parts[mark] = PartState(mark, completed_at=at)
    for mark in boat.marks_of(much_later):
        now.parts[mark] = PartState(mark, completed_at=NOW - timedelta(days=1))
    found = back_test(moment(boat, now), [(then_at, then)])
    by_kind = {one.kind: one for one in found.dates}
    assert by_kind[boat.kinds[as_said].name].held
    overdue = by_kind[boat.kinds[never].name]
    assert said.date_at(said.kinds[never].p90) < TODAY
    assert overdue.came is None and not overdue.held
    assert found.undecided + len(found.dates) == len(said.kinds)
    (hours,) = found.hours
    assert hours.made_on == then_at.astimezone().date() and hours.low < hours.high
    assert hits(found.dates) < len(found.dates) and isinstance(as_expected(found.dates), bool)
    assert by_kind[boat.kinds[much_later].name].came == TODAY - timedelta(days=1)


def test_past_moments_are_spread_over_the_record(boat: Shop) -> None:
    moments = past_moments(record(boat, weeks=40), TODAY)
    assert len(moments) == 4 and moments == sorted(moments)
    assert (moments[-1].astimezone().date() - TODAY).days <= -28
    assert len(past_moments(record(boat, weeks=9), TODAY)) == 1
