"""A set-up is charged by the step that it is for, and by no other of its family: in what is planned and
told, in what is out on the bench, and in what a time teaches."""

from pathlib import Path

from kiosk.bench import Bench
from kiosk.planning.put_away import put_away, too_long_to_end
from kiosk.planning.times.predictor import Predictor
from kiosk.record.context import Context
from kiosk.record.out_on_bench import out_on_bench
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


def bench_of(new_shop: Path, clocks: SteadyClocks, *steps: object) -> Bench:
    """One rib that goes through these steps, and nothing else."""
    found = Bench(new_shop, clocks)
    found.shop, _ = with_steps(found.shop, "rib-blank", *steps)  # type: ignore[arg-type]
    leave_only(found, {RIB})
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
