"""Learnt times: the learning curve, people, what is excluded, and whether stated chances come true."""

import math
import random
from dataclasses import replace
from datetime import date, timedelta

import pytest
from scipy import stats

from kiosk.bench import Bench
from kiosk.planning.forecast.remaining import remaining, steps_to_do
from kiosk.planning.times.chance import PredictedPieces, chance_of_fitting
from kiosk.planning.times.durations import predict
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.times.sum_of_pieces import TimeOfPiece
from kiosk.planning.work.find_work import find_work
from kiosk.planning.work.reaches import STEADY_CHANCE
from kiosk.record.learning import PRIOR_WEIGHT, SLOPE_WEIGHT, USUAL_SLOPE, Prior, expected
from kiosk.record.paces import Paces
from kiosk.record.rules import Refused
from kiosk.record.state import PieceTime, State, Times
from kiosk.record.usual_times import BIAS_WEIGHT, UsualTimes, learnt_bias, learnt_weight
from kiosk.shop.procedure import Procedure, Step, StepRef
from tests.conftest import SteadyClocks, local_time
from tests.driver import good_answer
from tests.planning.test_spare import leave_only, take_to
from tests.record.moments import brambling

SUMS = ("sum_y", "sum_yy", "sum_x", "sum_xx", "sum_xy")


def test_the_learning_curve_is_regressed_on_the_repeat() -> None:
    # Conjugate regression on (1, ln q), prior 45 min at 85 % a doubling, slope spread .1, shape 2; pieces
    # took 52 40 38 31 33. Recomputed with scipy: piece 8 has median 28.87, q80 36.64, P(<= 30) 0.5550.
    times = Times()
    for repeat, minutes in enumerate((52, 40, 38, 31, 33), 1):
        times = times.plus(minutes, repeat)
    slope = math.log(0.85) / math.log(2)
    prior = Prior(weight=1, shape=2, spread=0.35, slope=slope, slope_weight=(0.35 / 0.1) ** 2)
    found = predict(45, times, prior, repeat=8)
    assert found.median_minutes == pytest.approx(28.87, abs=0.02)
    assert found.quantile_minutes(0.8) == pytest.approx(36.64, abs=0.03)
    assert found.chance_within(30) == pytest.approx(0.5550, abs=0.001)


def test_a_value_taken_out_again_leaves_nothing_behind() -> None:
    times = Times().plus(12, 1).plus(9, 2)
    back = times.plus(9, 2, -1)
    assert back.count == 1
    assert back.sum_y == pytest.approx(math.log(12)) and back.sum_xy == pytest.approx(0)


def test_values_of_two_kinds_together_are_as_if_taken_in_one_after_the_other() -> None:
    """What was timed alone, and what was told apart from a sum: one regression on all of them."""
    alone = Times().plus(52, 1).plus(40, 2)
    apart = Times().plus(38, 3).plus(31, 4).plus(33, 5)
    together, one_by_one = alone.and_those(apart), Times()
    for repeat, minutes in enumerate((52, 40, 38, 31, 33), 1):
        one_by_one = one_by_one.plus(minutes, repeat)
    assert (together.count, together.weight) == (5, 5)
    sums = [[getattr(one, name) for name in SUMS] for one in (together, one_by_one)]
    assert sums[0] == pytest.approx(sums[1])


@pytest.mark.parametrize(("done", "next_is"), [(0, 1), (1, 1), (4, 3), (5, 3), (7, 4)])
def test_after_a_long_break_half_of_the_practice_is_to_learn_again(done: int, next_is: int) -> None:
    """And a fortnight costs none of it."""
    shop, last = brambling(), date(2027, 5, 8)
    times = Times()
    for repeat in range(1, done + 1):
        times = times.plus(10.0 / repeat, repeat, day=last.isoformat())
    procedure = shop.procedures["form-block"]
    saw = PieceTime(procedure.ref(procedure.steps[0]), "wren")
    state = State(times={saw: times} if done else {})
    minutes = procedure.steps[0].minutes.each
    for days, repeat in ((14, done + 1), (15, next_is)):
        paces = Paces().follow(shop, state)
        usual = UsualTimes(shop, state, paces, "wren", last + timedelta(days=days))
        prior = Prior(
            PRIOR_WEIGHT, bias=usual.biases.bias("wren"), slope=USUAL_SLOPE, slope_weight=SLOPE_WEIGHT
        )
        found = usual.piece(procedure, procedure.steps[0], "block-nose")
        assert found == expected(minutes, times, prior, repeat)


@pytest.mark.parametrize("pieces", [1, 6])
def test_stated_chances_come_true_in_a_simulated_shop(pieces: int) -> None:
    """Truths drawn from the model's own prior: of the slots stated at a chance, so many fit."""
    random_numbers = random.Random(3)
    stated = fitted = 0.0
    runs = 1500
    for _ in range(runs):
        spread = 0.35 * math.sqrt(3 / random_numbers.gammavariate(3, 1.0))
        mean = math.log(5) + random_numbers.gauss(0, spread / math.sqrt(2))
        times = Times()
        for repeat in range(1, 5):
            times = times.plus(math.exp(random_numbers.gauss(mean, spread)), repeat)
        duration = predict(5, times)
        minutes = duration.median_minutes * pieces * random_numbers.uniform(0.7, 1.8)
        stated += chance_of_fitting(
            [PredictedPieces(duration, pieces)], 0, minutes, seed=random_numbers.randrange(10**6)
        )
        evening = random_numbers.gauss(0, 0.15)
        took = sum(math.exp(random_numbers.gauss(mean + evening, spread)) for _ in range(pieces))
        fitted += took <= minutes
    # The spread of the count is at most 0.5 / sqrt(1500) = .013; three of them, and .01 for the simulation.
    assert stated / runs == pytest.approx(fitted / runs, abs=0.05)


def reliability(runs: int) -> list[tuple[int, float, int]]:
    """Slots in five bins of the stated chance: how many, how many were to fit, how many did."""
    random_numbers = random.Random(8)
    bins = [[0, 0.0, 0] for _ in range(5)]
    for _ in range(runs):
        tasks, truth = [], []
        for _ in range(random_numbers.randint(1, 4)):
            estimate, pieces = random_numbers.uniform(2, 15), random_numbers.choice([1, 1, 2, 6])
            spread = 0.35 * math.sqrt(3 / random_numbers.gammavariate(3, 1.0))
            mean = math.log(estimate) + random_numbers.gauss(0, spread / math.sqrt(2))
            times = Times()
            for repeat in range(1, random_numbers.randint(1, 7)):
                times = times.plus(math.exp(random_numbers.gauss(mean, spread)), repeat)
            tasks.append(PredictedPieces(predict(estimate, times), pieces))
            truth.append((mean, spread, pieces))
        minutes = sum(task.duration.median_minutes * task.pieces for task in tasks) * random_numbers.uniform(
            0.6, 2.0
        )
        stated = chance_of_fitting(tasks, 0, minutes, seed=random_numbers.randrange(10**6))
        evening = random_numbers.gauss(0, 0.1)  # a part of the spread that the times were learnt with
        took = sum(
            math.exp(random_numbers.gauss(mean + evening, math.sqrt(spread**2 - 0.1**2)))
            for mean, spread, pieces in truth
            for _ in range(pieces)
        )
        found = bins[min(4, int(stated * 5))]
        found[0], found[1], found[2] = found[0] + 1, found[1] + stated, found[2] + (took <= minutes)
    return [(int(count), wanted, int(fitted)) for count, wanted, fitted in bins]


def test_chances_of_whole_sets_come_true_in_every_fifth() -> None:
    """In each bin the number that fitted is one that the stated chances allow (scipy.stats.binom), widened
    by the two in a hundred that 600 trials leave open."""
    for count, wanted, fitted in reliability(2500):
        low, high = stats.binom.interval(0.998, count, wanted / count)
        assert low - 0.02 * count <= fitted <= high + 0.02 * count


def finish_measuring(bench: Bench, clocks: SteadyClocks, mark: str, minutes: float) -> None:
    work = bench.start([mark], "form-block", "measure-pattern")
    clocks.go(minutes)
    bench.answer(work, mark, "bar", "10")
    bench.finish(work, mark)


def test_a_helper_is_taken_to_be_slower_until_the_record_says_otherwise(
    bench: Bench, clocks: SteadyClocks
) -> None:
    step = bench.shop.procedures["form-block"].steps[0]
    procedure = bench.shop.procedures["form-block"]
    wren = Predictor(bench.context.seen_by(bench.shop.people["wren"]))
    pip = Predictor(bench.context.seen_by(bench.shop.people["pip"]))
    assert (
        pip.piece(procedure, step, "block-nose").median_minutes
        > wren.piece(procedure, step, "block-nose").median_minutes
    )
    for mark in ("FB-NR", "FB-MR", "FB-TR", "FB-TP"):
        finish_measuring(bench, clocks, mark, 4)
    after = Predictor(bench.context.seen_by(bench.shop.people["wren"]))
    assert (
        after.piece(procedure, step, "block-nose").observed == 3
    )  # the first, with the set-up, counts in part
    assert 2.4 < after.piece(procedure, step, "block-nose").median_minutes < 4.5


def test_a_step_left_over_midnight_or_for_hours_is_not_learnt_from(
    bench: Bench, clocks: SteadyClocks
) -> None:
    finish_measuring(bench, clocks, "FB-NR", 4)
    clocks.at += timedelta(hours=11, minutes=55)
    before = dict(bench.state.times)
    finish_measuring(bench, clocks, "FB-MR", 240)
    assert bench.state.times == before


def test_a_long_break_unlearns_half(bench: Bench) -> None:
    ref = StepRef("form-block", "measure-pattern")
    times = Times()
    for repeat, minutes in enumerate((9, 7, 6, 5.5, 5.2, 5), 1):
        times = times.plus(minutes, repeat, day="2027-04-01")
    bench.state.times[PieceTime(ref, "wren")] = times
    procedure = bench.shop.procedures["form-block"]
    step = procedure.step("measure-pattern")
    assert step is not None
    context = bench.context.seen_by(bench.shop.people["wren"])
    soon = Predictor(replace(context, now=local_time(2027, 4, 10, 12))).piece(procedure, step, "block-nose")
    late = Predictor(replace(context, now=local_time(2027, 4, 20, 12))).piece(procedure, step, "block-nose")
    # The seventh piece after a fortnight counts as the fourth.
    assert late.median_minutes > soon.median_minutes
    again = predict(
        step.minutes.each,
        times,
        Prior(
            bias=learnt_bias(bench.shop, bench.state, "wren"), slope=USUAL_SLOPE, slope_weight=SLOPE_WEIGHT
        ),
        repeat=4,
    )
    assert late.median_minutes == pytest.approx(again.median_minutes)


def test_what_was_planned_is_counted_by_day_and_taken_back_with_an_undo(
    bench: Bench, clocks: SteadyClocks
) -> None:
    finish_measuring(bench, clocks, "FB-NR", 4)
    (day,) = bench.state.planned_by_day
    step = bench.shop.procedures["form-block"].step("measure-pattern")
    assert step is not None
    # The first of its family in a sitting: its set-up was planned too.
    assert bench.state.planned_by_day[day] == step.minutes.each + step.minutes.set_up
    assert bench.state.minutes_by_day[day] == pytest.approx(4)
    finish_measuring(bench, clocks, "FB-MR", 3)
    assert bench.state.planned_by_day[day] == 2 * step.minutes.each + step.minutes.set_up
    entry = bench.latest_undoable()
    assert entry is not None
    bench.undo(entry.event)
    assert bench.state.planned_by_day[day] == step.minutes.each + step.minutes.set_up
    assert bench.state.minutes_by_day[day] == pytest.approx(7)  # the time was spent all the same


def test_what_a_helper_did_waits_for_the_builders_look(bench: Bench, clocks: SteadyClocks) -> None:
    bench.hand_over("pip")
    finish_measuring(bench, clocks, "FB-NR", 4)
    ref = StepRef("form-block", "measure-pattern")
    assert bench.wants_look() == [("FB-NR", ref)]
    assert bench.place_card().to_look_over == ("FB-NR",)
    with pytest.raises(Refused, match="only the builder"):
        bench.look_over("FB-NR", ref, good=True)
    bench.hand_over("wren")
    bench.look_over("FB-NR", ref, good=False)
    step = bench.position("FB-NR").step
    assert step is not None and step.id == "measure-pattern"
    assert bench.wants_look() == []


def test_two_helpers_and_the_builder_share_nothing(demo_bench: Bench) -> None:
    demo_bench.come("pip")
    demo_bench.come("odile")
    answer = demo_bench.spare(60)
    assert {one.by for one in answer.helper_does} == {"pip", "odile"}
    everything = (*answer.suggestions, *answer.helper_does)
    marks = [mark for one in everything for mark in one.marks]
    assert len(marks) == len(set(marks))
    single = {tool.name for tool in demo_bench.shop.tools.values() if tool.have < 2}
    for one in answer.helper_does:
        others = [other for other in everything if other.by != one.by]
        assert not any(set(one.fetch) & set(other.fetch) & single for other in others)
    assert answer.total_minutes <= 60


def test_what_the_helper_has_in_hand_stays_theirs(demo_bench: Bench) -> None:
    demo_bench.hand_over("pip")
    work = demo_bench.start(["FB-TR"], "form-block", "measure-pattern")
    demo_bench.hand_over("wren")
    answer = demo_bench.spare(15)
    assert all(one.work != work for one in (*answer.suggestions, *answer.instead))
    assert [one.work for one in answer.helper_does][:1] == [work]
    demo_bench.leave("pip")
    again = demo_bench.spare(15)
    assert work in {one.work for one in (*again.suggestions, *again.instead)}


def test_with_a_helper_both_get_something_and_share_no_part_and_no_single_tool(demo_bench: Bench) -> None:
    demo_bench.come("pip")
    answer = demo_bench.spare(30)
    assert answer.suggestions and answer.helper_does
    helper = answer.helper_does[0]
    step = demo_bench.shop.procedures[helper.procedure].step(helper.step)
    assert step is not None and step.who != "builder"
    for suggestion in answer.suggestions:
        assert not set(suggestion.marks) & set(helper.marks)
        single = {tool.name for tool in demo_bench.shop.tools.values() if tool.have < 2}
        assert not set(suggestion.fetch) & set(helper.fetch) & single


# A step that takes other times on other kinds: main ribs have three lightening holes, tailplane ribs two.

HOLES = StepRef("rib-blank", "cut-lightening-holes")


def cut_holes(bench: Bench, clocks: SteadyClocks, mark: str, minutes: float) -> None:
    take_to(bench, [mark], str(HOLES))
    procedure, step = bench.shop.find_step(HOLES.procedure, HOLES.step, mark)
    assert procedure is not None and step is not None and step.repeat is not None
    work = bench.start([mark], HOLES.procedure, HOLES.step)
    bench.acknowledge(work)
    clocks.go(minutes)
    bench.count(work, mark, bench.shop.figures.count(bench.shop.kind_of(mark), step.repeat))
    for check in step.checks:
        bench.answer(work, mark, check.id, good_answer(bench, check, mark))
    bench.finish(work, mark)


def holes_of(bench: Bench, mark: str) -> tuple[Procedure, Step, str]:
    procedure, step = bench.shop.find_step(HOLES.procedure, HOLES.step, mark)
    assert procedure is not None and step is not None
    return procedure, step, bench.shop.parts[mark].kind


def test_times_that_follow_the_part_kind_are_learnt_for_each_kind(bench: Bench, clocks: SteadyClocks) -> None:
    main, tail = holes_of(bench, "MR-01"), holes_of(bench, "TP-01")
    assert main[1].minutes.each == pytest.approx(3.9) and tail[1].minutes.each == pytest.approx(2.6)
    for mark in ("MR-01", "MR-02", "MR-03", "MR-04"):
        cut_holes(bench, clocks, mark, 12)
    assert PieceTime(HOLES, "wren") not in bench.state.times
    # The first holds what the holes want more on the drill press than the cutter that was set in it before.
    assert bench.state.times[PieceTime(HOLES, "wren", "main-rib")].count == 3
    after = Predictor(bench.context)
    assert after.piece(*main).observed == 4 and after.piece(*main).median_minutes > 8
    # The ribs that nobody has cut holes in are as estimated, but for how far this shop is out in general.
    assert after.piece(*tail).observed == 0
    pace = learnt_bias(bench.shop, bench.state, "wren")
    assert after.piece(*tail).median_minutes == pytest.approx(2.6 * math.exp(pace))
    cut_holes(bench, clocks, "TP-01", 2)
    assert Predictor(bench.context).piece(*tail).observed == 1
    assert Predictor(bench.context).piece(*main).observed == 4
    entry = bench.latest_undoable()
    assert entry is not None
    bench.undo(entry.event)
    assert PieceTime(HOLES, "wren", "tailplane-rib") not in bench.state.times


def test_each_kinds_times_are_held_against_its_own_estimate(bench: Bench) -> None:
    """Twice the estimate on both kinds is one step that takes twice as long, whatever the minutes."""
    alone = learnt_bias(bench.shop, bench.state)
    for kind, minutes in (("main-rib", 7.8), ("tailplane-rib", 5.2)):
        bench.state.times[PieceTime(HOLES, "wren", kind)] = Times().plus(minutes, 1)
    share = 2 / (2 + 2.0)
    expected = (BIAS_WEIGHT * alone + share * math.log(2)) / (BIAS_WEIGHT + share)
    assert learnt_bias(bench.shop, bench.state) == pytest.approx(expected)
    assert learnt_weight(bench.shop, bench.state) == pytest.approx(share)


def test_what_an_older_kiosk_learnt_for_all_kinds_at_once_teaches_nothing_of_one(bench: Bench) -> None:
    main = holes_of(bench, "MR-01")
    before = Predictor(bench.context).piece(*main)
    bench.state.times[PieceTime(HOLES, "wren")] = Times().plus(30, 1)
    assert Predictor(bench.context).piece(*main) == before


def test_what_is_offered_takes_each_kinds_own_minutes(bench: Bench) -> None:
    for mark in ("MR-01", "TP-01"):
        take_to(bench, [mark], str(HOLES))
    leave_only(bench, {"MR-01", "TP-01"})

    def shortest(minutes: int) -> dict[tuple[str, ...], int]:
        found = find_work(bench.context, minutes).candidates
        return {one.marks: one.options[0].minutes for one in found}

    predictor = Predictor(bench.context)
    wanted = {
        (mark,): math.ceil(
            TimeOfPiece().then(predictor.piece(*holes_of(bench, mark))).quantile_minutes(STEADY_CHANCE)
        )
        + 1
        for mark in ("MR-01", "TP-01")
    }
    assert wanted[("MR-01",)] > wanted[("TP-01",)]
    assert shortest(60) == wanted
    # In a slot for one of them, neither is taken for the other and left out.
    assert shortest(max(wanted.values())) == wanted


def test_what_remains_counts_each_kinds_own_minutes(bench: Bench) -> None:
    scope = {kind: len(bench.shop.marks_of(kind)) for kind in ("main-rib", "tailplane-rib")}
    works = steps_to_do(bench.shop, remaining(bench.context, scope))
    holes = {one.kind: one for one in works if one.procedure.ref(one.step) == HOLES}
    assert {kind: one.step.minutes.each for kind, one in holes.items()} == {
        "main-rib": pytest.approx(3.9),
        "tailplane-rib": pytest.approx(2.6),
    }
    for kind, one in holes.items():
        assert one.pieces == len(bench.shop.marks_of(kind))
