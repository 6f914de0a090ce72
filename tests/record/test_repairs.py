"""A repair on a route is passed over until a snag's rework sends a part to it; then it goes on as before."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from kiosk.bench import Bench
from kiosk.record.position import position, steps_left
from kiosk.record.positions import GroupKey, Positions
from kiosk.record.rules import Refused
from kiosk.record.state import PartState, State, StepDone
from kiosk.shop.procedure import StepRef
from tests.driver import ACCEPTED
from tests.record.moments import brambling

NOW = datetime(2027, 1, 9, tzinfo=UTC)
FIRST = StepRef("replace-rivet", "ring-rivet")


def done(*steps: str) -> dict[str, StepDone]:
    return {one: StepDone(NOW, "wren", "3") for one in steps}


def ids(procedure: str) -> list[str]:
    return [step.id for step in brambling().procedures[procedure].steps]


def test_a_joint_begins_with_its_row_and_its_repair_is_not_counted() -> None:
    shop, state = brambling(), State()
    where = position(shop, state, "NJ-01")
    assert where.step is not None and where.step.id == "lay-out-row"
    assert "replace-rivet" not in {procedure.id for procedure, _ in steps_left(shop, state, "NJ-01")}
    assert "replace-rivet" not in {one.id for one, _ in shop.route_steps(shop.kinds["nose-joint"])}


def test_a_failed_head_leads_to_the_repair_and_back_to_the_gauge(bench: Bench) -> None:
    bench.raise_snag("NJ-01", "head 3 is flat")
    (snag,) = bench.state.open_snags("NJ-01")
    bench.decide_snag(snag.id, "rework", "the plans give it", FIRST, ACCEPTED)
    where = bench.position("NJ-01")
    assert where.procedure is not None and where.step is not None
    assert where.procedure.ref(where.step) == FIRST
    # As it would be from the gauging of the row.
    row = done(*ids("rib-to-spar")[: ids("rib-to-spar").index("gauge-heads")])
    sent = bench.state.part("NJ-01")
    shop = bench.shop

    def at(**passes: dict[str, StepDone]) -> str:
        named = {name.replace("_", "-"): one for name, one in passes.items()}
        state = State(parts={"NJ-01": replace(sent, passes=named)})
        found = position(shop, state, "NJ-01")
        assert found.question is None
        left = [f"{procedure.id}/{step.id}" for procedure, step in steps_left(shop, state, "NJ-01")]
        assert len(left) == len(set(left)) and not any(one.endswith("/rivet-row") for one in left)
        return left[0]

    assert at(rib_to_spar=row, replace_rivet={}) == "replace-rivet/ring-rivet"
    assert at(rib_to_spar=row, replace_rivet=done("ring-rivet")) == "replace-rivet/measure-edge"
    assert at(rib_to_spar=row, replace_rivet=done(*ids("replace-rivet"))) == "rib-to-spar/gauge-heads"


def test_a_second_bad_head_goes_through_the_repair_again(bench: Bench) -> None:
    for words in ("head 3 is flat", "head 4 is cracked"):
        bench.raise_snag("NJ-01", words)
        (snag,) = bench.state.open_snags("NJ-01")
        bench.decide_snag(snag.id, "rework", "the plans give it", FIRST, ACCEPTED)
        assert bench.state.part("NJ-01").passes["replace-rivet"] == {}


def test_rework_leads_to_the_beginning_of_a_repair_and_of_one_on_its_own_route(bench: Bench) -> None:
    bench.raise_snag("NJ-01", "head 3 is flat")
    bench.raise_snag("NR-07", "bent")
    for mark, to in (("NJ-01", StepRef("replace-rivet", "drive-new")), ("NR-07", FIRST)):
        (snag,) = bench.state.open_snags(mark)
        with pytest.raises(Refused, match="no record"):
            bench.decide_snag(snag.id, "rework", "the plans give it", to, ACCEPTED)


def test_nothing_untrue_is_asked_of_a_sound_rivet_on_the_panel() -> None:
    shop = brambling()
    asked = [check.ask for step in shop.procedures["replace-rivet"].steps for check in step.checks]
    assert not any("snag" in one for one in asked)
    assert not any(stage.repair for stage in shop.kinds["practice-panel"].route)


def test_an_older_part_state_stands_where_it_stood() -> None:
    """Steps done on a joint before there was a repair on its route."""
    state = State(
        parts={"NJ-01": PartState("NJ-01", passes={"rib-to-spar": done("lay-out-row", "clamp-up")})}
    )
    where = position(brambling(), state, "NJ-01")
    assert where.step is not None and where.step.id == "drill-pilot" and where.question is None


def test_joints_at_one_step_of_their_repair_are_alike_where_they_go_on_alike() -> None:
    """After the repair each goes on where it was: parts are gathered by what of the row is done, in whatever
    order it was put down, and by nothing where nothing of it is."""
    row = ids("rib-to-spar")
    done_on: dict[str, dict[str, dict[str, StepDone]] | None] = {
        "NJ-01": {"rib-to-spar": done(*row[:3]), "replace-rivet": {}},
        "NJ-02": {"rib-to-spar": done(*reversed(row[:3])), "replace-rivet": {}},
        "NJ-03": {"rib-to-spar": done(*row[:4]), "replace-rivet": {}},
        "NJ-04": {"replace-rivet": {}},
        "NJ-05": {"rib-to-spar": {}, "replace-rivet": {}},
        "NJ-06": {"rib-to-spar": done(*row[:3]), "replace-rivet": done("ring-rivet")},
        "NJ-07": {"rib-to-spar": done(*row[:3])},
        "NJ-08": {},
        "NJ-09": None,
    }
    parts = {mark: PartState(mark, passes=one) for mark, one in done_on.items() if one is not None}
    kept = Positions().follow(brambling(), State(parts=parts))

    def key(step: str, *ahead: tuple[str, ...], procedure: str = "replace-rivet") -> GroupKey:
        return GroupKey("nose-joint", procedure, step, ahead)

    three, four = (("rib-to-spar", *sorted(row[:many])) for many in (3, 4))
    assert {mark: kept.group(mark) for mark in done_on} == {
        "NJ-01": key("ring-rivet", three),
        "NJ-02": key("ring-rivet", three),
        "NJ-03": key("ring-rivet", four),
        "NJ-04": key("ring-rivet"),
        "NJ-05": key("ring-rivet", ("rib-to-spar",)),
        "NJ-06": key("measure-edge", three),
        "NJ-07": key(row[3], procedure="rib-to-spar"),
        "NJ-08": key(row[0], procedure="rib-to-spar"),
        "NJ-09": key(row[0], procedure="rib-to-spar"),
    }
    gathered = [(one.key, [*one.alike, *one.own]) for one in kept.at_steps() if one.key.kind == "nose-joint"]
    assert dict(gathered)[key("ring-rivet", three)] == ["NJ-01", "NJ-02"]
