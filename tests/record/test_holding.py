"""A tool that a part keeps through a wait: whoever glues on the only jig has it until the glue is cured.

Common practice, no source.
"""

from dataclasses import replace

import pytest

from kiosk.bench import Bench
from kiosk.record.holding import holds_of, least_free, taken_through_a_wait
from kiosk.record.readiness import next_blocks
from kiosk.record.rules import Refused
from kiosk.shop.procedure import Step
from tests.conftest import SteadyClocks
from tests.driver import do_step
from tests.planning.test_spare import leave_only
from tests.record.moments import brambling, step, with_steps

CURE = {"what": "glue curing", "must_pass": "60", "before": "take-off"}
RIBS = ["NR-01", "NR-02", "NR-03"]


@pytest.fixture
def jig(bench: Bench) -> str:
    """The ribs' first procedure glues them on a jig of which there is one; gives its name."""
    tool = next(iter(bench.shop.tools))
    procedure = bench.position("NR-01").procedure
    assert procedure is not None
    bench.shop, _ = with_steps(
        bench.shop,
        procedure.id,
        step(id="glue", tools=[tool], stop="only when finished", minutes={"each": "5"}, waits=[CURE]),
        step(id="sweep", minutes={"each": "1"}),
        step(id="take-off", tools=[tool], minutes={"each": "2"}),
    )
    have(bench, tool, 1)
    leave_only(bench, set(RIBS))
    return tool


def have(bench: Bench, tool: str, many: int) -> None:
    tools = {**bench.shop.tools, tool: bench.shop.tools[tool].model_copy(update={"have": many})}
    bench.shop = replace(bench.shop, tools=tools)


def stopped(bench: Bench, mark: str) -> list[str]:
    return [f"{stop.kind}: {stop.text}" for stop in next_blocks(bench.context, mark)]


def begin(bench: Bench, marks: list[str]) -> str:
    where = bench.position(marks[0])
    assert where.procedure is not None and where.step is not None
    return bench.start(marks, where.procedure.id, where.step.id)


def test_the_only_jig_is_held_until_the_wait_is_over_and_it_is_taken_off(
    bench: Bench, jig: str, clocks: SteadyClocks
) -> None:
    procedure = bench.position("NR-01").procedure
    assert procedure is not None and [one.tool for one in holds_of(procedure.steps)] == [jig]
    name = bench.shop.tools[jig].name
    held = [f"tool: {name}: held by NR-01 (glue curing)"]
    do_step(bench, ["NR-01"])
    assert stopped(bench, "NR-02") == held
    with pytest.raises(Refused, match="held by NR-01"):
        begin(bench, ["NR-02"])
    assert all(one.marks == ("NR-01",) for one in bench.spare(30).suggestions)
    do_step(bench, ["NR-01"])  # sweeping needs no jig, and does not free it
    clocks.go(61)
    assert stopped(bench, "NR-01") == [] and stopped(bench, "NR-02") == held
    do_step(bench, ["NR-01"])
    assert stopped(bench, "NR-02") == []


def test_what_leads_straight_on_to_the_jig_is_not_begun_without_it(bench: Bench, jig: str) -> None:
    procedure = bench.position("NR-01").procedure
    assert procedure is not None
    spread = step(id="spread", stop="go straight on", minutes={"each": "1"})
    bench.shop, _ = with_steps(bench.shop, procedure.id, spread, *procedure.steps)
    do_step(bench, ["NR-01"])
    do_step(bench, ["NR-01"])
    assert bench.position("NR-02").step.id == "spread"  # type: ignore[union-attr]
    assert stopped(bench, "NR-02")[0].endswith("held by NR-01 (glue curing)")
    with pytest.raises(Refused, match="held by NR-01"):
        begin(bench, ["NR-02"])


def test_who_has_it_in_hand_holds_it_too(bench: Bench, jig: str) -> None:
    work = begin(bench, ["NR-01"])
    assert stopped(bench, "NR-02") and stopped(bench, "NR-02")[0].startswith("tool")
    bench.put_back(work)
    assert stopped(bench, "NR-02") == []


def test_no_more_parts_go_along_than_there_are_jigs(bench: Bench, jig: str) -> None:
    have(bench, jig, 2)
    with pytest.raises(Refused, match="2 free, and each part keeps one"):
        begin(bench, RIBS)
    (one,) = bench.spare(120).suggestions[:1]
    assert len(one.marks) <= 2
    do_step(bench, RIBS[:2])
    procedure, where = bench.position("NR-03").procedure, bench.position("NR-03").step
    assert procedure is not None and where is not None
    least = least_free(bench.context, procedure, where)
    assert least is not None and least.free == 0 and least.held_by == ("NR-01", "NR-02")


def test_a_second_jig_that_is_free_is_taken_by_the_next_part(bench: Bench, jig: str) -> None:
    have(bench, jig, 2)
    do_step(bench, ["NR-01"])
    assert stopped(bench, "NR-02") == []
    do_step(bench, ["NR-02"])
    assert stopped(bench, "NR-03")[0].endswith("held by NR-01, NR-02 (glue curing)")


def test_a_part_never_keeps_a_jig_from_itself(bench: Bench, jig: str, clocks: SteadyClocks) -> None:
    """Its first side was glued on the only jig, and the second could not be begun any more, for good."""
    second = {"what": "second side curing", "must_pass": "60", "before": "take-off"}
    procedure = bench.position("NR-01").procedure
    assert procedure is not None
    glue, *rest = procedure.steps
    glue_second = step(id="glue-second", tools=[jig], minutes={"each": "5"}, waits=[second])
    bench.shop, _ = with_steps(bench.shop, procedure.id, glue, glue_second, *rest)
    do_step(bench, ["NR-01"])
    assert stopped(bench, "NR-01") == [] and stopped(bench, "NR-02") != []
    offered = bench.spare(30).suggestions[0]
    assert (offered.marks, offered.step) == (("NR-01",), "glue-second")
    have(bench, jig, 2)
    do_step(bench, ["NR-01"])  # it takes no other jig
    assert stopped(bench, "NR-02") == []
    have(bench, jig, 1)
    assert stopped(bench, "NR-02")[0].endswith("held by NR-01 (second side curing)")
    do_step(bench, ["NR-01"])
    clocks.go(61)
    do_step(bench, ["NR-01"])
    assert stopped(bench, "NR-02") == []


def test_a_tool_that_is_no_longer_listed_is_named_by_its_id(
    bench: Bench, jig: str, clocks: SteadyClocks
) -> None:
    """It stops a step, never the board nor the advice, whoever holds it and whatever is in hand."""
    do_step(bench, ["NR-01"])
    do_step(bench, ["NR-01"])
    clocks.go(61)
    where = bench.position("NR-01")
    assert where.procedure is not None and where.step is not None and where.step.id == "take-off"
    bench.start(["NR-01"], where.procedure.id, "take-off")
    bench.come("pip")
    listed = {name: tool for name, tool in bench.shop.tools.items() if name != jig}
    bench.shop = replace(bench.shop, tools=listed)
    texts = [one.text for one in next_blocks(bench.context, "NR-02")]
    assert f"tool missing: {jig}" in texts
    assert f"{jig}: held by NR-01 (glue curing)" in texts
    assert all("NR-02" not in one.marks for one in bench.spare(30).suggestions)


def test_a_tool_is_held_from_the_step_that_sets_the_wait_to_the_end_of_the_one_that_waits() -> None:
    def holds(*steps: Step) -> list[tuple[str, int, int]]:
        return [(one.tool, one.first, one.last) for one in holds_of(steps)]

    glue = step(id="glue", tools=["jig", "clamp"], waits=[CURE])
    rest, off = step(id="sweep"), step(id="take-off", tools=["clamp", "jig", "mallet"])
    assert holds(glue, rest, off) == [("clamp", 0, 2), ("jig", 0, 2)]
    assert holds(rest, glue, off) == [("clamp", 1, 2), ("jig", 1, 2)]
    assert holds(glue, rest, step(id="take-off", tools=["mallet"])) == []
    glue_on = step(id="glue-on", tools=["jig"], waits=[CURE])
    assert holds(glue, rest, glue_on, off) == [("clamp", 0, 3), ("jig", 0, 3)]  # it is not taken twice
    turn = {**CURE, "before": "glue-on"}
    assert holds(step(id="glue", tools=["jig"], waits=[turn]), glue_on, off) == [("jig", 0, 2)]
    glued = step(id="glue", tools=["jig"], waits=[{**CURE, "before": "ease"}])
    ease = step(id="ease", tools=["jig"], stop="go straight on")
    assert holds(glued, ease, rest, glue_on, off) == [("jig", 0, 1), ("jig", 3, 4)]  # given back between
    assert holds(glued, ease, glue_on, off) == [("jig", 0, 3)]  # it leads straight on to it
    assert holds(glue, rest) == [] and holds(off, rest, glue) == []  # nothing waits after it
    press = step(id="press", tools=["jig"])
    assert holds(glue, press) == [] and holds(press, glue, press) == []  # what waited for it is gone
    assert holds(step(id="glue", waits=[CURE]), off) == []
    limit = {"what": "pot", "within": "60", "begin": "take-off", "if_missed": "Mix."}
    assert holds(step(id="glue", tools=["jig"], waits=[limit]), off) == []  # a limit holds nothing
    assert holds(step(id="glue", tools=["jig"], waits=[limit, CURE]), off) == [("jig", 0, 1)]


def test_who_begins_what_goes_straight_on_to_the_jig_takes_it_too() -> None:
    glue = step(id="glue", tools=["jig"], waits=[CURE])
    off, last = step(id="take-off", tools=["jig"]), step(id="last")

    def taken(at: Step, *steps: Step) -> list[str]:
        _, procedure = with_steps(brambling(), "rib-blank", *steps)
        return [one.tool for one in taken_through_a_wait(procedure, at)]

    mix = step(id="mix", stop="go straight on")
    spread = step(id="spread", stop="go straight on")
    assert taken(glue, glue, off) == ["jig"] and taken(off, glue, off) == []
    assert taken(mix, mix, glue, off) == ["jig"] and taken(mix, mix, spread, glue, off) == ["jig"]
    assert taken(step(id="mix"), step(id="mix"), glue, off) == []  # one may stop before the jig
    assert taken(mix, mix, last, glue, off) == [] and taken(mix, last, mix) == []
    assert taken(step(id="gone"), glue, off) == []
