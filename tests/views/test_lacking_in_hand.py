"""A step in hand that lacks a tool: place card, step and Minutes name it, and none leads on unasked."""

from dataclasses import replace

import pytest

from kiosk.bench import Bench
from kiosk.planning.spare import SpareAnswer
from kiosk.record.readiness import next_blocks
from kiosk.views.preparing import not_now_words
from tests.driver import do_step
from tests.planning.test_spare import leave_only
from tests.record.moments import step, with_steps
from tests.record.test_holding import have

CURE = {"what": "glue curing", "must_pass": "60", "before": "take-off"}


@pytest.fixture
def jig(bench: Bench) -> str:
    """Ribs are drilled on a jig, and glued on it."""
    tool = next(iter(bench.shop.tools))
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="drill", tools=[tool], stop="anywhere", minutes={"each": "9"}),
        step(id="glue", tools=[tool], stop="only when finished", minutes={"each": "5"}, waits=[CURE]),
        step(id="take-off", tools=[tool], minutes={"each": "2"}),
    )
    have(bench, tool, 1)
    leave_only(bench, {"NR-01", "NR-02"})
    return tool


def told(answer: SpareAnswer) -> list[str]:
    return [not_now_words(one) for one in answer.not_now]


def test_a_tool_that_is_gone_is_named_everywhere(bench: Bench, jig: str) -> None:
    """The place card said CARRY ON, the step nothing, and Minutes left the part out without a word."""
    work = bench.start(["NR-01"], "rib-blank", "drill")
    bench.pause(work)
    assert bench.place_card().blocked == "" and bench.step_view(work).lacking == ""
    have(bench, jig, 0)
    missing = f"tool missing: {bench.shop.tools[jig].name}"
    card = bench.place_card()
    assert (card.work, card.blocked, card.action_label) == (work, missing, "ALL THE SAME…")
    assert bench.step_view(work).lacking == f"T{missing[1:]}"
    assert bench.lacking(work) == missing
    assert f"NR-01: {missing}" in told(bench.spare(30))
    bench.take_up(work)
    bench.finish(work, "NR-01")  # the hole was drilled, and what is left wants no drill


def test_so_is_one_that_another_part_holds_through_its_wait(bench: Bench, jig: str) -> None:
    do_step(bench, ["NR-02"])
    work = bench.start(["NR-01"], "rib-blank", "drill")
    bench.pause(work)
    do_step(bench, ["NR-02"])
    held = f"{bench.shop.tools[jig].name}: held by NR-02 (glue curing)"
    card = bench.place_card()
    if card.work is None:  # the rib that was glued last stands first
        bench.take_up(work)
        card = bench.place_card()
    assert (card.work, card.blocked, card.action_label) == (work, held, "ALL THE SAME…")
    bench.pause(work)
    assert bench.step_view(work).lacking.endswith("held by NR-02 (glue curing)")
    assert f"NR-01: {held}" in told(bench.spare(30))
    assert not [one for one in bench.spare(30).suggestions if "NR-01" in one.marks]


def test_nor_is_a_step_begun_that_only_uses_what_is_held(bench: Bench, jig: str) -> None:
    """Only steps that keep the tool through a wait themselves were refused."""
    do_step(bench, ["NR-02"])
    do_step(bench, ["NR-02"])
    (stop,) = next_blocks(bench.context, "NR-01")
    assert stop.kind == "tool" and stop.text.endswith("held by NR-02 (glue curing)")
    assert any(one.startswith("NR-01") and "held by NR-02" in one for one in told(bench.spare(30)))


def test_stock_that_is_used_up_is_told_too(bench: Bench, jig: str) -> None:
    item = next(iter(bench.shop.consumables.values()))
    procedure = bench.shop.procedures["rib-blank"]
    first = procedure.steps[0].model_copy(update={"consumables": (item.id,)})
    bench.shop, _ = with_steps(bench.shop, "rib-blank", first, *procedure.steps[1:])
    work = bench.start(["NR-01"], "rib-blank", "drill")
    bench.pause(work)
    gone = {**bench.shop.consumables, item.id: item.model_copy(update={"left": 0.0})}
    bench.shop = replace(bench.shop, consumables=gone)
    assert bench.place_card().blocked == f"used up: {item.name}"
    assert f"NR-01: used up: {item.name}" in told(bench.spare(30))


def test_what_a_snag_holds_in_hand_is_named_at_minutes(bench: Bench, jig: str) -> None:
    bench.pause(bench.start(["NR-01"], "rib-blank", "drill"))
    bench.raise_snag("NR-01", "A dent")
    assert "NR-01 is held: A dent" in told(bench.spare(30))
