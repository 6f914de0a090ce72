"""Learnt times: stated chances come true, people are independent, and slips and wrong clocks teach nothing.

The simulated builders are those of ``bench_life.py``. The arithmetic is held against numpy and scipy.
"""

import math
import random
from dataclasses import replace

import numpy
import pytest
from scipy import integrate, stats

from kiosk.record import events as e
from kiosk.record.learning import (
    PRIOR_BIAS,
    PRIOR_SHAPE,
    PRIOR_SPREAD,
    PRIOR_WEIGHT,
    SLIP_WIDTH,
    SLOPE_WEIGHT,
    USUAL_SLOPE,
    Expected,
    Prior,
    counts_for,
    curve_of,
    expected,
    known_times,
)
from kiosk.record.lessons import lessons_of_closing, taught_by_step
from kiosk.record.state import PaceTime, SetUpTime, State, Times
from kiosk.record.tell_apart import LEAST_WEIGHT, Unseen, expected_sum, tell_apart
from tests.planning.bench_life import CLOSING, STATED, Habits, Life, Seen, held, lives

KINDS = ("piece", "set-up", "put-away", "closing")


def of(seen: list[Seen], what: str, person: str = "wren") -> list[Seen]:
    return [one for one in seen if (one.what, one.person) == (what, person)]


def assert_as_stated(seen: list[Seen]) -> None:
    """Within three points at each of the stated chances, and the standard error that so few leave open."""
    assert len(seen) > 700
    for stated, share in zip(STATED, held(seen), strict=True):
        assert share == pytest.approx(stated, abs=0.03 + math.sqrt(stated * (1 - stated) / len(seen)))


# Whether stated chances come true


@pytest.fixture(scope="module")
def usual() -> list[Seen]:
    """Builders who do one to four pieces at a time."""
    return lives(100, 12, Habits())


@pytest.fixture(scope="module")
def one_piece() -> list[Seen]:
    """Builders who do one piece of one step in each sitting, so that set-up and piece are one sum."""
    return lives(100, 12, Habits(pieces=(1,), steps_a_sitting=(1,)))


@pytest.fixture(scope="module")
def crew() -> list[Seen]:
    """A builder, and a helper who takes 1.6 times as long and has two of five sittings."""
    return lives(80, 30, Habits(), helped=0.4)


@pytest.mark.parametrize("what", KINDS)
def test_what_is_stated_of_a_time_comes_true(usual: list[Seen], what: str) -> None:
    assert_as_stated(of(usual, what))


@pytest.mark.parametrize("what", KINDS)
def test_one_piece_a_sitting_teaches_pieces_and_set_ups(one_piece: list[Seen], what: str) -> None:
    assert_as_stated(of(one_piece, what))


@pytest.mark.parametrize("person", ["wren", "pip"])
@pytest.mark.parametrize("what", KINDS)
def test_a_helper_who_takes_longer_is_learnt_beside_the_builder(
    crew: list[Seen], what: str, person: str
) -> None:
    assert_as_stated(of(crew, what, person))


def test_forgotten_timers_and_a_bench_left_open_leave_the_chances_as_stated() -> None:
    slipping = lives(100, 12, Habits(forgotten=0.03, left_open=0.2))
    for what in KINDS:
        assert_as_stated(of(slipping, what))


# One bench, step by step


def test_a_forgotten_timer_hardly_moves_what_is_expected() -> None:
    life = Life(1)
    for minutes in (10, 11, 9, 10, 10.5):
        life.do("saw", minutes)
    before = life.piece("saw")
    life.do("saw", 170)
    after = life.piece("saw")
    assert after.median_minutes == pytest.approx(before.median_minutes, rel=0.05)
    assert after.quantile_minutes(0.9) == pytest.approx(before.quantile_minutes(0.9), rel=0.05)
    day = life.now.date().isoformat()
    assert life.state.minutes_by_day[day] < 70  # the hours that the clock ran on are no hours worked


@pytest.mark.parametrize(("usual", "slow"), [(10, 22), (10, 32), (10, 60)])
@pytest.mark.parametrize("seen", [5, 20])
def test_a_change_of_pace_is_learnt_in_six_pieces(usual: float, slow: float, seen: int) -> None:
    life = Life(1)
    for number in range(seen):
        life.do("saw", usual + number % 3 / 2)
    for number in range(6):
        life.do("saw", slow + number % 3)
    after = life.piece("saw")
    assert after.quantile_minutes(0.9) > slow
    assert after.median_minutes > usual + (slow - usual) / 4


def test_two_slips_in_a_row_are_slips_and_the_next_good_piece_ends_the_run() -> None:
    life = Life(1)
    for minutes in (10, 11, 9, 10, 10.5):
        life.do("saw", minutes)
    before = life.piece("saw").quantile_minutes(0.9)
    for minutes in (170, 170, 10, 170, 170, 10):
        life.do("saw", minutes)
    assert life.piece("saw").quantile_minutes(0.9) == pytest.approx(before, rel=0.1)


def test_a_helpers_times_never_move_the_builders_own() -> None:
    life = Life(1)
    nothing = life.piece("saw").median_minutes
    life.do("saw", 24, "pip")
    once = life.piece("saw").median_minutes
    for _ in range(30):
        life.do("saw", 24, "pip")
    # At the pace expected of a helper the estimate of 12 is 18.7: 24 says that the step takes longer.
    assert nothing < once < life.piece("saw").median_minutes < 1.2 * nothing
    life.do("saw", 12)
    before = {of: seen for of, seen in life.state.times.items() if of.person == "wren"}
    own = life.piece("saw")
    for minutes in (40, 50, 30):
        life.do("saw", minutes, "pip")
    assert life.piece("saw") == own
    assert {of: seen for of, seen in life.state.times.items() if of.person == "wren"} == before
    assert life.piece("drill") == life.piece("drill")


def test_a_builders_times_say_how_long_a_step_is_for_a_new_helper() -> None:
    life = Life(1)
    for _ in range(10):
        life.do("saw", 30)
    alone = Life(1)
    assert life.piece("saw", "pip").median_minutes > 1.4 * alone.piece("saw", "pip").median_minutes


def sitting(life: Life, minutes_to_close: float, *, family: str = "") -> None:
    life.happens(e.SittingOpened(people=("wren",)), "wren")
    life.do("saw", 17 if family else 12, family=family)
    life.go(minutes_to_close)
    life.happens(e.SittingClosed(closing_minutes=CLOSING), "wren")
    life.go(2000)


def test_putting_away_is_reserved_once() -> None:
    """The estimate is 5 min to set up and 5 to put away, 2 to close: they take 5, 7 and 2."""
    life = Life(1)
    for _ in range(10):
        sitting(life, 9, family="saws")
    predictor, saw = life.predictor("wren"), life.step("saw")
    put_away = predictor.put_away(life.procedure, saw)
    assert put_away is not None
    assert put_away.median_minutes == pytest.approx(7, abs=1.2)
    reserved = predictor.set_up_and_away(life.procedure, saw) + predictor.closing(CLOSING)
    assert reserved == pytest.approx(5 + 7 + 2, abs=2)


@pytest.mark.parametrize("normal", [0, 5])
def test_a_bench_left_open_does_not_eat_short_slots(normal: int) -> None:
    life = Life(1)
    for _ in range(normal):
        sitting(life, 2)
    for _ in range(5):
        sitting(life, 15)
    assert life.predictor("wren").closing(CLOSING) <= 4


def test_closing_that_really_takes_longer_is_learnt() -> None:
    life = Life(1)
    for _ in range(15):
        sitting(life, 7)
    assert life.predictor("wren").closing(CLOSING) >= 7


# The arithmetic


def test_weighted_values_are_a_weighted_regression() -> None:
    """numpy.linalg.lstsq on the rows scaled by the roots of their weights, the prior as two rows more."""
    numbers = random.Random(5)
    rows = [(numbers.uniform(5, 20), repeat, numbers.uniform(0.1, 1)) for repeat in range(1, 9)]
    times = Times()
    for minutes, repeat, weight in rows:
        times = times.plus(minutes, repeat, weight=weight)
    prior = Prior(bias=PRIOR_BIAS, slope=USUAL_SLOPE, slope_weight=SLOPE_WEIGHT)
    found = expected(10, times, prior, repeat=6)
    weights = numpy.array([PRIOR_WEIGHT, SLOPE_WEIGHT, *(weight for _, _, weight in rows)])
    x = numpy.array([[1.0, 0.0], [0.0, 1.0], *([1.0, math.log(repeat)] for _, repeat, _ in rows)])
    y = numpy.array([math.log(10) + PRIOR_BIAS, USUAL_SLOPE, *(math.log(minutes) for minutes, _, _ in rows)])
    root = numpy.sqrt(weights)
    solved, squares, *_ = numpy.linalg.lstsq(x * root[:, None], y * root, rcond=None)
    at = numpy.array([1.0, math.log(6)])
    assert found.location == pytest.approx(float(at @ solved))
    shape = PRIOR_SHAPE + sum(weight for _, _, weight in rows) / 2
    variance = (PRIOR_SHAPE * PRIOR_SPREAD**2 + float(squares[0]) / 2) / shape
    assert found.variance == pytest.approx(variance)
    inverse = numpy.linalg.inv(x.T @ (x * weights[:, None]))
    assert found.unknown == pytest.approx(variance * float(at @ inverse @ at))


def test_what_a_time_counts_for_is_the_chance_that_it_is_no_slip() -> None:
    usual = Expected(12, math.log(10), 0.09, 0.045)
    for minutes in (1, 5, 10, 20, 40, 170):
        density = stats.t(12, math.log(10), math.sqrt(0.135)).pdf(math.log(minutes))
        assert usual.density(math.log(minutes)) == pytest.approx(density)
        good, slip = 0.95 * density, 0.05 / SLIP_WIDTH
        assert counts_for(usual, math.log(minutes), 0.05) == pytest.approx(good / (good + slip))


def test_a_first_time_is_judged_by_what_is_known_of_people_and_not_of_this_one() -> None:
    """The figures as they are written beside each: people take 1.2 of an estimate, which counts as two times
    seen, of setting up and closing as four, spread by 0.3 of the log minutes. One time in twenty at a step is
    a slip, and every other at closing up: anywhere within a 50th to 50 times, which is 8 on the log scale.
    """

    def counts(usual_weight: float, slips: float) -> float:
        good = (1 - slips) * stats.t(2 * 6).pdf(0) / math.sqrt(0.3**2 * (1 + 1 / usual_weight))
        return float(good / (good + slips / 8))

    body = e.StepFinished(
        work="w",
        marks=("FB-NR",),
        procedure="form-block",
        revision="1",
        step="saw",
        each_minutes=10,
        active_s=720,
    )
    piece, pace = taught_by_step(State(), body, "wren").lessons
    assert (piece.minutes, piece.repeat) == (12, 1)
    assert piece.weight == pytest.approx(counts(2, 0.05))
    assert (pace.of, pace.weight) == (PaceTime("wren"), piece.weight)
    assert pace.minutes == pytest.approx(1.2)
    state = State(last_deed=("a run", 100.0))
    closed = e.SittingClosed(closing_minutes=5)
    (closing,) = lessons_of_closing(state, closed, "wren", "a run", 100.0 + 6 * 60)
    assert closing.minutes == 6
    assert closing.weight == pytest.approx(counts(4, 0.5))
    # 95 % at each doubling, up to the tenth.
    assert [math.exp(curve_of(repeat)) for repeat in (1, 2, 4, 8)] == pytest.approx(
        [1, 0.95, 0.95**2, 0.95**3]
    )
    assert curve_of(9) > curve_of(10) == curve_of(11) == USUAL_SLOPE * math.log(10)
    # After one as usual, the second lies by the curve, whose slope is known to a tenth.
    seen = Times().plus(12, 1)
    after_one = State(times={piece.of: seen})
    second = replace(body, active_s=720 * 0.95)
    variance = 6 * 0.3**2 / (6 + 1 / 2)
    scale = math.sqrt(variance * (1 + 1 / 3 + (0.1 / 0.3 * math.log(2)) ** 2))
    good = 0.95 * stats.t(2 * 6 + 1).pdf(0) / scale
    found = taught_by_step(after_one, second, "wren").lessons[0]
    assert found.weight == pytest.approx(good / (good + 0.05 / 8))
    # Eight times, all as long as estimated, halve what people are taken to be over their estimates.
    paced = State(times={PaceTime("wren"): Times(count=8, weight=8.0)})
    slower = taught_by_step(paced, replace(body, active_s=600 * 1.2**0.5), "wren").lessons[0]
    assert slower.weight == pytest.approx(counts(2, 0.05))


@pytest.mark.parametrize("estimates", [(5.0, 12.0), (5.0, 5.0), (4.0, 2.0)])
@pytest.mark.parametrize("factor", [0.7, 1.0, 1.5])
def test_a_sum_is_told_apart_as_by_the_exact_posterior(estimates: tuple[float, float], factor: float) -> None:
    """The mean of the first thing given the sum, by quadrature over its own value (scipy.integrate)."""
    noise, unknown = 0.09, 0.04
    things = [Unseen(one, one) for one in (Expected(60, math.log(m), noise, unknown) for m in estimates)]
    minutes = factor * sum(estimates)
    (told, _) = tell_apart(things, minutes)
    own, other = things[0].now, things[1].now
    # The value's own variance, and the error of the other's mean that such values share.
    error = own.variance / told.weight + (told.shared / told.weight) ** 2 * own.variance
    gain = unknown / (unknown + error)
    mean = own.location + gain * (math.log(told.minutes) - own.location)

    def density(x: float) -> float:
        rest = minutes - math.exp(x)
        spread = math.sqrt(noise + unknown)
        return float(
            stats.norm.pdf(x, own.location, spread)
            * stats.norm.pdf(math.log(rest), other.location, spread)
            / rest
        )

    low, high = own.location - 2.5, min(own.location + 2.5, math.log(minutes) - 1e-6)
    total = integrate.quad(density, low, high)[0]
    value = integrate.quad(lambda x: x * density(x), low, high)[0] / total
    exact = own.location + unknown / (unknown + noise) * (value - own.location)
    assert mean == pytest.approx(exact, abs=0.02)  # of a standard deviation of .2


def test_the_sum_expected_lies_where_simulated_sums_do() -> None:
    numbers = random.Random(4)
    things = [
        Unseen(one, one, pieces)
        for one, pieces in (
            (Expected(60, math.log(5), 0.09, 0.03), 1),
            (Expected(60, math.log(4), 0.09, 0.03), 1),
        )
    ]
    usual = expected_sum(things)
    sums = [
        math.log(sum(math.exp(numbers.gauss(one.now.location, math.sqrt(0.12))) for one in things))
        for _ in range(20_000)
    ]
    assert usual.location == pytest.approx(float(numpy.mean(sums)), abs=0.01)
    assert usual.square == pytest.approx(float(numpy.var(sums)), rel=0.05)


def test_an_error_that_all_values_share_does_not_average_out() -> None:
    of_saws = SetUpTime("saws", "wren")
    times = Times()
    for _ in range(1000):
        times = times.plus(5, 1, weight=0.5, shared=0.5 * 0.5)
    known = known_times({of_saws: times}, of_saws)
    assert known.weight == pytest.approx(1 / (1 / 500 + 0.25))
    assert known.sum_y / known.weight == pytest.approx(math.log(5))


def test_a_sum_says_nothing_wild_of_what_is_next_to_nothing_of_it() -> None:
    """A put-away of seconds beside hours of work: its line went past what a float holds, inside the fold."""
    hours = Expected(degrees=8, location=math.log(400.0), variance=0.09, unknown=0.01)
    seconds = Expected(degrees=8, location=math.log(0.01), variance=0.09, unknown=0.01)
    for minutes in (30.0, 4000.0):
        of_hours, of_seconds = tell_apart([Unseen(hours, hours), Unseen(seconds, seconds)], minutes)
        assert of_seconds.weight < LEAST_WEIGHT and of_seconds.minutes >= 0
        assert of_hours.minutes == pytest.approx(minutes, rel=0.2)
