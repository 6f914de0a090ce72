"""What may not be left is begun in quiet hours once it is agreed; nothing else is, and by nobody young."""

from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.events import WorkStarted
from kiosk.record.rules import batches, steps
from kiosk.record.rules.door import NotAllowed, Refused
from kiosk.shop.procedure import StepRef
from kiosk.views.place_card import place_card
from tests.conftest import SteadyClocks, local_time
from tests.record.moments import step, with_steps

MARK, OTHER, GUN = "NR-01", "NR-02", "spray-gun"
THURSDAY = (2027, 5, 6)  # quiet from 20:30 to 08:00
QUIET = "quiet hours until Fri 08:00"


def at_the_spray(shop: Path, *, in_run: bool = True, tool: bool = True) -> Bench:
    """Two ribs before a loud step, mixed for at 20:00; it is 20:40 now."""
    clocks = SteadyClocks(local_time(*THURSDAY, 20, 0))
    bench = Bench(shop, clocks)
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="mix", batch="together", stop="go straight on" if in_run else "only when finished"),
        step(id="spray", batch="together", conditions={"loud": True}, tools=(GUN,)),
    )
    bench.finish(bench.start([MARK, OTHER], "rib-blank", "mix"), MARK)
    if not tool:
        gone = bench.shop.tools[GUN].model_copy(update={"have": 0})
        bench.shop = replace(bench.shop, tools={**bench.shop.tools, GUN: gone})
    clocks.go_to(local_time(*THURSDAY, 20, 40))
    return bench


def test_what_may_not_be_left_is_begun_all_the_same_and_says_so(new_shop: Path) -> None:
    bench = at_the_spray(new_shop)
    at = "rib-blank", "spray"
    assert bench.too_loud_but([MARK, OTHER], *at) == QUIET
    with pytest.raises(Refused, match=QUIET):
        bench.start([MARK, OTHER], *at)
    with pytest.raises(Refused, match=QUIET):  # nor by a rule that nobody told of an agreement
        steps.begin(bench.context, [MARK, OTHER], StepRef(*at))
    with pytest.raises(Refused, match=QUIET):
        batches.begin_batch(bench.context, [MARK, OTHER], StepRef(*at))
    bench.start([MARK, OTHER], *at, in_quiet_hours=True)
    begun = list(bench.record.journal.of_kind("work_started"))[-1].body
    assert isinstance(begun, WorkStarted) and begun.in_spite_of == QUIET
    bench.close()


@pytest.mark.parametrize("otherwise", ["not in a run", "a tool is missing", "a snag", "somebody young"])
def test_nothing_else_is(new_shop: Path, otherwise: str) -> None:
    bench = at_the_spray(new_shop, in_run=otherwise != "not in a run", tool=otherwise != "a tool is missing")
    if otherwise == "a snag":
        bench.raise_snag(OTHER, "a dent")
    if otherwise == "somebody young":
        bench.come("pip")
        bench.hand_over("pip")
    at = "rib-blank", "spray"
    assert bench.too_loud_but([MARK, OTHER], *at) == ""
    with pytest.raises((Refused, NotAllowed)):
        bench.start([MARK, OTHER], *at, in_quiet_hours=True)
    bench.close()


def test_who_must_be_out_of_the_room_first_is_asked_on_the_place_card(new_shop: Path) -> None:
    """With primer mixed the card led away from it, to what else fits."""
    bench = Bench(new_shop, SteadyClocks(local_time(*THURSDAY, 12, 0)))
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="mix", stop="go straight on"),
        step(id="spray", who="builder", hazards=("SPRAY_FIRE",)),
    )
    bench.finish(bench.start([MARK], "rib-blank", "mix"), MARK)
    bench.come("pip")
    card = place_card(bench.context)
    assert (card.marks, card.blocked, card.action) == ((MARK,), "Pip must be out of the room", "room")
    bench.clear_room(StepRef("rib-blank", "spray"), MARK)
    assert place_card(bench.context).action == "begin"
    bench.close()


def test_by_day_nothing_is_said_of_it(new_shop: Path) -> None:
    bench = at_the_spray(new_shop)
    assert isinstance(bench.record.clocks, SteadyClocks)
    bench.record.clocks.go_to(local_time(2027, 5, 7, 9, 0))
    at = "rib-blank", "spray"
    assert bench.too_loud_but([MARK, OTHER], *at) == ""
    bench.start([MARK, OTHER], *at, in_quiet_hours=True)
    begun = list(bench.record.journal.of_kind("work_started"))[-1].body
    assert isinstance(begun, WorkStarted) and begun.in_spite_of == ""
    bench.close()
