"""A set-up is charged by the step that it is for, and by no other of its family: in what is planned and
told, in what is out on the bench, and in what a time teaches."""

from collections.abc import Collection
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.planning.put_away import put_away, too_long_to_end
from kiosk.planning.times.predictor import Predictor
from kiosk.record.context import Context
from kiosk.record.out_on_bench import minutes_out, out_on_bench
from kiosk.record.rules import Refused
from kiosk.shop.procedure import Step, StepRef
from tests.conftest import SteadyClocks
from tests.planning.test_spare import leave_only
from tests.record.moments import step, with_steps

RIB = "NR-03"
READ = step(id="read", stop="anywhere", family="lathe", minutes={"each": 5})
TURN = step(
    id="turn",
    stop="only when finished",
    family="lathe",
    minutes={"set_up": 18, "each": 10, "put_away": 12},
)


def bench_of(new_shop: Path, clocks: SteadyClocks, *steps: object, ribs: Collection[str] = (RIB,)) -> Bench:
    """Ribs that go through these steps, and nothing else."""
    found = Bench(new_shop, clocks)
    found.shop, _ = with_steps(found.shop, "rib-blank", *steps)  # type: ignore[arg-type]
    leave_only(found, set(ribs))
    return found


def done(bench: Bench, clocks: SteadyClocks, step_id: str, minutes: float) -> None:
    work = bench.start([RIB], "rib-blank", step_id)
    clocks.go(minutes)
    bench.finish(work, RIB)


def closing(context: Context) -> int:
    return Predictor(context).closing(context.shop.file.put_away)


def test_what_needs_no_set_up_is_offered_in_a_short_slot_and_costs_none(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """To read the sizes cost half an hour of the lathe's."""
    bench = bench_of(new_shop, clocks, READ, TURN)
    answer = bench.spare(12)
    assert [one.step for one in answer.suggestions] == ["read"]
    assert answer.set_up_minutes == closing(bench.context)
    both = bench.spare(90)
    assert [one.id for _, one in both.suggestions[0].stretch.steps] == ["read", "turn"]
    assert both.set_up_minutes >= closing(bench.context) + 18 + 12


def test_it_takes_nothing_out_of_its_place(new_shop: Path, clocks: SteadyClocks) -> None:
    """Once the sizes were read, the lathe was taken for set up, and was to be put away."""
    bench = bench_of(new_shop, clocks, READ, TURN)
    bench.begin_slot(90)
    done(bench, clocks, "read", 5)
    found = put_away(bench.context)
    assert found is not None and found.families == 0
    assert bench.state.sitting is not None and "lathe" not in bench.state.sitting.families
    assert bench.spare(60).set_up_minutes >= closing(bench.context) + 18 + 12
    bench.begin_slot(25)  # ten minutes of turning, and it is to be set up for
    procedure = bench.shop.procedures["rib-blank"]
    assert too_long_to_end(bench.context, [RIB], procedure, TURN) is not None
    done(bench, clocks, "turn", 30)
    assert "lathe" in out_on_bench(bench.context)
    found = put_away(bench.context)
    assert found is not None and found.families >= 12


def test_the_first_that_is_set_up_for_teaches_the_set_up(new_shop: Path, clocks: SteadyClocks) -> None:
    """The lathe's quarter of an hour counted as turning, since the sizes had been read before."""
    bench = bench_of(new_shop, clocks, READ, TURN)
    for step_id, minutes in (("read", 5), ("turn", 30)):
        done(bench, clocks, step_id, minutes)
    read, turned = bench.state.finishes.values()
    assert [type(one.of).__name__ for one in read.timed] == ["PieceTime"]
    assert [type(one.of).__name__ for one in turned.timed] == ["PieceTime", "SetUpTime"]
    assert turned.planned == 28


def test_of_two_in_one_go_the_dearest_counts_in_minutes_and_in_the_chance(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """The one that was asked for first stood for both: two minutes for half an hour."""
    guard = step(id="guard", stop="go straight on", family="lathe", minutes={"set_up": 2, "each": 2})
    bench = bench_of(new_shop, clocks, guard, TURN.model_copy(update={"id": "turn"}))
    assert not bench.spare(30).suggestions
    answer = bench.spare(68)
    assert answer.set_up_minutes >= closing(bench.context) + 18 + 12
    assert 0.5 < answer.chance < 0.99


def test_a_family_costs_what_is_done_of_it_and_not_the_dearest_step_of_the_shop(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """A hole was not tapped in half an hour, since another step of its family is set up for long."""
    tap = step(
        id="tap", stop="only when finished", family="lathe", minutes={"set_up": 1, "each": 4, "put_away": 1}
    )
    dear = TURN.model_copy(update={"id": "turn"})
    bench = bench_of(new_shop, clocks, tap, dear)
    answer = bench.spare(20)
    assert [one.step for one in answer.suggestions] == ["tap"]
    assert answer.set_up_minutes <= closing(bench.context) + 4
    both = bench.spare(90)
    assert [one.id for _, one in both.suggestions[0].stretch.steps] == ["tap", "turn"]
    assert both.set_up_minutes >= closing(bench.context) + 18 + 12


GUARD = step(id="guard", stop="anywhere", family="lathe", minutes={"set_up": 3, "each": 2, "put_away": 2})


def test_what_is_out_costs_a_dearer_step_what_it_wants_more(new_shop: Path, clocks: SteadyClocks) -> None:
    """Once three minutes of the brake were set up, its other minutes were planned as none at all."""
    bench = bench_of(new_shop, clocks, GUARD, TURN)
    done(bench, clocks, "guard", 5)
    out = minutes_out(out_on_bench(bench.context))["lathe"]
    assert (out.set_up, out.put_away) == (3, 2)
    answer = bench.spare(90)
    assert [one.step for one in answer.suggestions] == ["turn"]
    procedure = bench.shop.procedures["rib-blank"]
    more = Predictor(bench.context).set_up_and_away(procedure, TURN, out)
    assert 20 <= more <= 30  # of fifteen to set up and ten to put away
    bench.begin_slot(90)
    before = put_away(bench.context)
    assert before is not None
    assert answer.set_up_minutes == pytest.approx(before.closing + before.families + more, abs=1)
    bench.begin_slot(40)  # ten minutes of turning in, with fifteen to set up and ten more to put away
    assert too_long_to_end(bench.context, [RIB], procedure, TURN) is not None
    done(bench, clocks, "turn", 30)
    found = put_away(bench.context)
    assert found is not None and found.families >= 12  # the dearest of those that are out


def test_what_it_wants_more_is_in_the_chance(new_shop: Path, clocks: SteadyClocks) -> None:
    """A plan that sets up for a quarter of an hour more was as likely as one with nothing to set up."""
    bench = bench_of(new_shop, clocks, GUARD, TURN)
    done(bench, clocks, "guard", 5)
    answers = [bench.spare(minutes) for minutes in range(20, 90)]
    least = next(one for one in answers if one.suggestions)
    assert 0.5 <= least.chance < 0.9 and answers[-1].chance > 0.95


def test_what_it_wants_more_is_what_its_time_holds(new_shop: Path, clocks: SteadyClocks) -> None:
    """Fifteen minutes of setting up were learnt as minutes of the piece."""
    bench = bench_of(new_shop, clocks, GUARD, TURN)
    for step_id, minutes in (("guard", 5), ("turn", 25)):
        done(bench, clocks, step_id, minutes)
    guarded, turned = bench.state.finishes.values()
    assert [one.estimate_minutes * one.pieces for one in guarded.timed] == [2, 3]
    assert [one.estimate_minutes * one.pieces for one in turned.timed] == [10, 15]
    assert (guarded.planned, turned.planned) == (5, 25)


def test_what_is_set_up_while_it_waits_is_what_it_wants_more(new_shop: Path, clocks: SteadyClocks) -> None:
    """The rest of a set-up was refused, as if all of it were out."""
    bench = bench_of(new_shop, clocks, GUARD, TURN)
    done(bench, clocks, "guard", 5)
    bench.set_up(RIB, StepRef("rib-blank", "turn"))
    assert minutes_out(out_on_bench(bench.context))["lathe"].set_up == 18
    with pytest.raises(Refused):
        bench.set_up(RIB, StepRef("rib-blank", "turn"))
    done(bench, clocks, "turn", 10)
    turned = list(bench.state.finishes.values())[-1]
    assert [one.estimate_minutes * one.pieces for one in turned.timed] == [10]


def set_up_minutes(bench: Bench, of: Step, out: float = 0.0) -> float:
    found = Predictor(bench.context).set_up(bench.shop.procedures["rib-blank"], of, out)
    assert found is not None
    return found.median_minutes


@pytest.mark.parametrize("pace", [1.0, 2.0])
def test_the_rest_of_a_set_up_is_learnt_as_its_share_of_the_whole(
    new_shop: Path, clocks: SteadyClocks, pace: float
) -> None:
    """It was learnt as a whole set-up and planned as one: four minutes of rest as twenty after twenty
    evenings, and eighteen minutes of set-up as eleven."""
    ribs = [f"NR-{number:02}" for number in range(1, 9)]
    bench = bench_of(new_shop, clocks, GUARD, TURN, ribs=ribs)
    for rib in ribs:
        for step_id, minutes in (("guard", 3 + 2), ("turn", 15 + 10)):
            work = bench.start([rib], "rib-blank", step_id)
            clocks.go(pace * minutes)
            bench.finish(work, rib)
        clocks.go(pace * (12 + closing(bench.context)))
        bench.close_sitting("")
        clocks.go(24 * 60)
    whole = set_up_minutes(bench, TURN)
    assert whole == pytest.approx(18 * pace, rel=0.15)
    assert set_up_minutes(bench, GUARD) == pytest.approx(whole * 3 / 18)
    assert set_up_minutes(bench, TURN, out=3) == pytest.approx(whole * 15 / 18)


def test_a_set_up_that_follows_from_the_kind_is_out_as_far_as_its_largest_part_wants(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """The first kind alone was looked at: each of the larger ribs was set up for anew."""
    by_length = {"calculator": "length_time", "inputs": {"length": "blank_length", "foot": "8", "once": "1"}}
    form = step(id="form", family="jig", minutes={"set_up": by_length, "each": 5, "put_away": by_length})
    bench = bench_of(new_shop, clocks, form, ribs=("NR-01", "MR-01", "MR-02"))
    small, large = (
        bench.shop.find_step("rib-blank", "form", mark)[1].minutes.set_up  # type: ignore[union-attr]
        for mark in ("NR-01", "MR-01")
    )
    assert large - small > 5
    planned = []
    for mark in ("NR-01", "MR-01", "MR-02"):
        work = bench.start([mark], "rib-blank", "form")
        clocks.go(5)
        bench.finish(work, mark)
        planned.append(list(bench.state.finishes.values())[-1].planned)
    assert planned == [pytest.approx(small + 5), pytest.approx(large - small + 5), pytest.approx(5)]
    assert minutes_out(out_on_bench(bench.context))["jig"].put_away == pytest.approx(large)
