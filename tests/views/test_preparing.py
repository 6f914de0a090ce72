"""What prepares the next slot, and why the rest must wait, in words."""

from datetime import date

import pytest

from kiosk.bench import Bench
from kiosk.planning.preparing import (
    CheckStock,
    DecideSnags,
    LayOut,
    LookOver,
    NextSlot,
    OrderExpiring,
    OrderLow,
    Preparation,
)
from kiosk.planning.work.found_work import NotNow
from kiosk.record.readiness import Block
from kiosk.record.stock import InStock
from kiosk.shop.shop import Consumable
from kiosk.views.preparing import next_slot_words, not_now_words, preparation_words
from tests.conftest import local_time

PRIMER = Consumable(id="primer", name="primer", left=1, unit="litre", order_below=0.4, lead_days=21)
COUNTED = local_time(2027, 5, 2, 9)
TAGS = Consumable(id="tags", name="tags", left=5, unit="tags", order_below=5)


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (LayOut(("steel rule", "calipers")), "Lay out: steel rule, calipers"),
        (CheckStock(("epoxy primer base",)), "Check stock: epoxy primer base"),
        (LookOver(1), "Look over 1 thing a helper did"),
        (LookOver(3), "Look over 3 things a helper did"),
        (DecideSnags(1, "NR-06", "crack"), "Decide 1 snag: first NR-06, crack"),
        (DecideSnags(2, "NR-06", "crack"), "Decide 2 snags: first NR-06, crack"),
        (
            OrderLow(((PRIMER, InStock(0.3, 0.8, 0.5, COUNTED)),)),
            "Order: primer, 0.3 litre left"
            " (0.8 litre counted on 2027-05-02, 0.5 used since, 21 days to come)",
        ),
        (
            OrderLow(
                ((PRIMER, InStock(0.3, 0.3, 0, local_time(2027, 5, 2, 9))), (TAGS, InStock(4, 5, 1, None)))
            ),
            "Order: primer, 0.3 litre left (0.3 litre counted on 2027-05-02, 21 days to come);"
            " tags, 4 tags left (5 tags on the shop's list, 1 used since)",
        ),
        (OrderExpiring("primer", date(2028, 3, 31)), "Order: primer, good until 2028-03-31"),
    ],
)
def test_each_preparation_has_its_words(one: Preparation, words: str) -> None:
    assert preparation_words(one) == words


def test_the_next_step_is_read_ahead_and_begins_the_next_slot(bench: Bench) -> None:
    answer = bench.spare(3)
    do = bench.shop.procedures["form-block"].steps[0].do
    mark = next(iter(bench.shop.parts))
    assert bench.position(mark).step is not None
    assert preparation_words(answer.prepare[0]) == f"Read ahead: {mark}, {do}"
    assert answer.next_slot is not None and next_slot_words(answer.next_slot) == f"{mark}: {do}"
    assert next_slot_words(NextSlot(mark, None)) == f"{mark}: look it over and complete it"


def test_the_next_slot_begins_with_nothing_that_a_snag_holds(bench: Bench) -> None:
    """It said to begin with a part that only a decision lets go on."""
    first, second = list(bench.shop.parts)[:2]
    bench.raise_snag(first, "a split")
    answer = bench.spare(3)
    assert answer.next_slot is not None and answer.next_slot.mark == second
    assert preparation_words(answer.prepare[0]).startswith(f"Read ahead: {second}, ")
    work = bench.start([second], "form-block", "measure-pattern")
    bench.pause(work)
    bench.raise_snag(second, "another split")
    answer = bench.spare(3)
    assert answer.next_slot is None or answer.next_slot.mark not in (first, second)
    for mark in list(bench.shop.parts)[2:]:
        bench.raise_snag(mark, "a split")
    answer = bench.spare(3)
    assert answer.next_slot is None and isinstance(answer.prepare[0], DecideSnags)


def test_why_the_rest_must_wait_names_the_parts_and_the_reason(bench: Bench) -> None:
    procedure = bench.shop.procedures["form-block"]
    waiting = NotNow(("NR-01", "NR-02", "NR-03"), procedure, procedure.steps[0], Block("snag", "held: crack"))
    assert not_now_words(waiting) == "NR-01, NR-02, NR-03: held: crack"
    crack = Block("snag", "NR-06 is held: crack", names="NR-06")
    held = NotNow(("NR-06",), procedure, procedure.steps[0], crack)
    assert not_now_words(held) == "NR-06 is held: crack"  # its mark once
    sizes = [len(one.marks) for one in bench.spare(3).not_now]
    assert len(sizes) > 2 and sizes == sorted(sizes, reverse=True)
