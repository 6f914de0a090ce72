"""What holds a step in hand stands on the large key of the place card: nobody is sent on to be refused."""

from typing import Any

import pytest

from kiosk.bench import Bench
from kiosk.record.rules import Refused
from kiosk.shop.procedure import StepRef
from tests.driver import do_step
from tests.record.moments import step, with_steps

RIVETS = {"of": "rivets", "times": "3"}
GAP = {"id": "gap", "kind": "measure", "ask": "Gap", "unit": "in", "low": "0", "high": ".01"}


def counted(bench: Bench, **fields: Any) -> None:
    """A step at which three rivets are counted, after one at which a gap is measured."""
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="measure", checks=[GAP]),
        step(id="drive", minutes={"each": "5"}, repeat=RIVETS, **fields),
        step(id="look"),
    )


def paused(bench: Bench, *marks: str) -> str:
    """The counting of parts begun and paused."""
    do_step(bench, list(marks))
    work = bench.start(list(marks), "rib-blank", "drive")
    bench.count(work, marks[0], 1)
    bench.pause(work)
    return work


def test_a_paused_part_that_a_snag_holds_leads_to_the_snag(bench: Bench) -> None:
    """The card said HELD, its key CARRY ON, and the next count was refused."""
    counted(bench)
    work = paused(bench, "NR-01")
    bench.raise_snag("NR-01", "A dent")
    card = bench.place_card()
    assert card.work == work and card.blocked == "NR-01 is held: A dent"
    assert card.action_label == "LOOK AT THE SNAG" and card.marks == ("NR-01",)
    bench.take_up(work)
    with pytest.raises(Refused, match="NR-01 is held: A dent"):
        bench.count(work, "NR-01", 2)
    assert bench.place_card().action == "snag", "nor while its clock runs"


def test_who_may_not_decide_it_is_led_to_what_fits(bench: Bench) -> None:
    counted(bench)
    paused(bench, "NR-01")
    bench.raise_snag("NR-01", "A dent")
    bench.hand_over("odile")
    assert bench.place_card().action_label == "SEE WHAT FITS NOW"


def test_of_parts_that_go_through_together_the_held_one_is_shown(bench: Bench) -> None:
    counted(bench, batch="together")
    paused(bench, "NR-01", "NR-02")
    bench.raise_snag("NR-02", "A dent")
    card = bench.place_card()
    assert (card.action, card.marks[0], card.blocked) == ("snag", "NR-02", "NR-02 is held: A dent")


def test_a_correction_that_holds_the_part_turned_to_lets_the_others_go_on(bench: Bench) -> None:
    """A snag that was raised by hand did; one of a correction left the step at the part that it holds."""
    counted(bench)
    work = paused(bench, "NR-01", "NR-02")
    bench.correct("NR-01", StepRef("rib-blank", "measure"), "figure", ".02", "read upside down", "gap")
    assert bench.work(work).turned_to == "NR-02" and bench.place_card().action == "resume"
    bench.raise_snag("NR-02", "A dent")
    assert bench.work(work).turned_to == "NR-02" and bench.place_card().work != work
