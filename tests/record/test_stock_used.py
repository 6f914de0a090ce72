"""What steps use up: taken off the stock when they are finished, given back by an undo, counted anew."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.planning.preparing import OrderLow, preparations
from kiosk.record.apply import fold
from kiosk.record.events import StepFinished
from kiosk.record.readiness import next_blocks
from kiosk.record.rules.door import Refused
from kiosk.record.stock import InStock, in_stock
from kiosk.shop.data import data_folder
from kiosk.shop.figures import FigureFault
from kiosk.shop.load import load
from kiosk.shop.procedure import Uses
from kiosk.shop.stock_use import amount_used
from tests.conftest import SteadyClocks
from tests.driver import do_step, next_step, undo_newest

GLUE = "pattern-glue"


@pytest.fixture
def bench(new_shop: Path, clocks: SteadyClocks) -> Iterator[Bench]:
    """A shop whose first step of a form block takes a tenth of a can for each tooling hole, and more."""
    bench = Bench(new_shop, clocks)
    uses(bench, Uses(of=GLUE, amount="tooling_holes", unit="can"))
    yield bench
    bench.close()


def uses(bench: Bench, *written: Uses) -> None:
    procedures = bench.shop.procedures
    assert isinstance(procedures, dict)
    before = procedures["form-block"]
    first = before.steps[0].model_copy(update={"uses": written})
    procedures["form-block"] = before.model_copy(update={"steps": (first, *before.steps[1:])})


def holes(bench: Bench, mark: str) -> float:
    return bench.shop.figures.number(bench.shop.kind_of(mark), "tooling_holes", "count")


def stock(bench: Bench) -> InStock:
    return in_stock(bench.state, bench.shop.consumables[GLUE])


def same_as_from_the_journal(bench: Bench) -> None:
    assert fold(bench.record.journal.after(0)) == bench.state


def test_finishing_takes_what_each_part_takes_by_its_own_kind(bench: Bench) -> None:
    bench.count_stock(GLUE, 20)
    for mark in ("FB-NR", "FB-MR"):
        do_step(bench, [mark])
    taken = holes(bench, "FB-NR") + holes(bench, "FB-MR")
    assert taken > 0
    now = stock(bench)
    assert (now.left, now.counted, now.used) == (20 - taken, 20, taken)
    assert now.counted_at is not None
    ended = [one.body for one in bench.record.journal.of_kind("step_finished")]
    assert all(isinstance(one, StepFinished) and one.used[0].unit == "can" for one in ended)
    same_as_from_the_journal(bench)


def test_what_the_list_has_is_where_it_begins(bench: Bench) -> None:
    uses(bench, Uses(of=GLUE, amount=".25", unit="cans"))
    do_step(bench, ["FB-NR"])
    assert stock(bench) == InStock(0.75, 1, 0.25, None)


def test_an_undo_gives_back_and_a_count_that_came_between_knows_better(bench: Bench) -> None:
    uses(bench, Uses(of=GLUE, amount=".25", unit="can"))
    do_step(bench, ["FB-NR"])
    undo_newest(bench)
    assert stock(bench).left == 1
    same_as_from_the_journal(bench)
    do_step(bench, ["FB-MR"])
    newest = bench.latest_undoable()
    assert newest is not None
    bench.count_stock(GLUE, 0.5)  # what is in the can, whatever is said to have been done
    bench.undo(newest.event)
    assert stock(bench).left == 0.5 and stock(bench).used == 0
    same_as_from_the_journal(bench)


def test_a_count_corrects_what_was_worked_out(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    bench.count_stock(GLUE, 7)
    assert (stock(bench).left, stock(bench).used) == (7, 0)


def test_it_is_never_less_than_nothing_and_says_why_it_stops_a_step(bench: Bench) -> None:
    bench.count_stock(GLUE, 1)
    uses(bench, Uses(of=GLUE, amount="3", unit="can"))
    do_step(bench, ["FB-NR"])
    assert stock(bench).left == 0
    while next_step(bench, "FB-NR").id != "glue-pattern":
        do_step(bench, ["FB-NR"])
    (block,) = [one for one in next_blocks(bench.context, "FB-NR") if one.kind == "stock"]
    assert block.text == "used up: pattern glue by what steps took: count it"


def test_what_runs_low_by_use_is_ordered(bench: Bench) -> None:
    bench.count_stock(GLUE, 1)
    uses(bench, Uses(of=GLUE, amount=".6", unit="can"))
    do_step(bench, ["FB-NR"])
    (low,) = [one for one in preparations(bench.context) if isinstance(one, OrderLow)]
    ((item, left),) = [pair for pair in low.items if pair[0].id == GLUE]
    assert (item.id, left.left, left.used) == (GLUE, 0.4, 0.6)


def test_another_unit_takes_nothing(bench: Bench) -> None:
    uses(bench, Uses(of=GLUE, amount="3", unit="ml"))
    do_step(bench, ["FB-NR"])
    assert stock(bench) == InStock(1, 1, 0, None)


@pytest.mark.parametrize("amount", ["0", "-2", "1e9"])
def test_what_no_part_takes_is_refused(bench: Bench, amount: str) -> None:
    kind = bench.shop.kind_of("FB-NR")
    with pytest.raises(FigureFault):
        amount_used(bench.shop.figures, kind, Uses(of=GLUE, amount=amount, unit="can"))
    uses(bench, Uses(of=GLUE, amount=amount, unit="can"))
    do_step(bench, ["FB-NR"])  # the bench is not stopped by it
    assert stock(bench).left == 1


@pytest.mark.parametrize(
    ("written", "wrong"),
    [
        (
            "{of: glue-of-mine, amount: 1, unit: can}",
            "uses 'glue-of-mine', which is not among its consumables",
        ),
        (
            "{of: pattern-glue, amount: 1, unit: ml}",
            "pattern-glue is counted in can in new/shop.yaml, not in ml",
        ),
        (
            "{of: pattern-glue, amount: tooling_hols, unit: can}",
            "no part kind has a dimension 'tooling_hols'",
        ),
        ("{of: pattern-glue, amount: -1, unit: can}", "a part cannot take -1 can of pattern-glue"),
        ("{of: pattern-glue, amount: 1}", "unit"),
        (
            "{of: pattern-glue, amount: 1, unit: can}, {of: pattern-glue, amount: 1, unit: can}",
            "takes 'pattern-glue' twice",
        ),
    ],
)
def test_the_check_says_in_one_line_what_is_wrong(new_shop: Path, written: str, wrong: str) -> None:
    text = (data_folder("procedures") / "tooling" / "form-block.yaml").read_text(encoding="utf-8")
    field = "    consumables: [pattern-glue]\n"
    assert field in text
    own = new_shop / "procedures" / "form-block.yaml"
    own.write_text(text.replace(field, f"{field}    uses: [{written}]\n", 1), encoding="utf-8")
    line = text[: text.index(field)].count("\n") + 2
    (found,) = load(new_shop, lint=True).faults
    assert wrong in found.wrong and found.mend and found.file.endswith("form-block.yaml")
    assert found.line == line


def test_the_shipped_amounts_are_those_of_the_row(new_shop: Path, clocks: SteadyClocks) -> None:
    bench = Bench(new_shop, clocks)
    shop = bench.shop
    row = shop.procedures["rib-to-spar"].step("rivet-row")
    assert row is not None and row.repeat is not None
    kinds = [kind for kind in shop.kinds.values() if "rib-to-spar" in kind.procedures]
    assert kinds
    for kind in kinds:
        assert amount_used(shop.figures, kind, row.uses[0]) == shop.figures.count(kind, row.repeat)
    bench.close()


def test_the_count_just_made_is_what_is_taken_back(bench: Bench) -> None:
    """What steps took before it and since are both off what was counted before."""
    uses(bench, Uses(of=GLUE, amount="2", unit="can"))
    bench.count_stock(GLUE, 20)
    do_step(bench, ["FB-NR"])
    before = stock(bench)
    assert before.left == 18
    bench.count_stock(GLUE, 60)
    newest = bench.latest_undoable()
    assert newest is not None and bench.undo_words(newest) == "count of pattern glue: 60 can"
    bench.undo(newest.event)
    assert stock(bench) == before
    same_as_from_the_journal(bench)
    bench.count_stock(GLUE, 60)
    counted = bench.latest_undoable()
    do_step(bench, ["FB-MR"])
    assert counted is not None
    bench.undo(counted.event)  # what was done since stands, and took what it took
    assert (stock(bench).left, stock(bench).used) == (16, 4)
    same_as_from_the_journal(bench)


def test_a_first_count_taken_back_leaves_what_the_list_has(bench: Bench) -> None:
    bench.count_stock(GLUE, 7)
    undo_newest(bench)
    assert stock(bench) == InStock(1, 1, 0, None)
    same_as_from_the_journal(bench)


def test_counts_of_one_thing_are_taken_back_the_newest_first(bench: Bench) -> None:
    bench.count_stock(GLUE, 7)
    first = bench.latest_undoable()
    bench.count_stock(GLUE, 8)
    assert first is not None
    with pytest.raises(Refused, match="came after it"):
        bench.undo(first.event)
    undo_newest(bench)
    undo_newest(bench)
    assert stock(bench).left == 1


def test_a_step_taken_back_before_its_count_is_had_used_nothing(bench: Bench) -> None:
    uses(bench, Uses(of=GLUE, amount="2", unit="can"))
    bench.count_stock(GLUE, 20)
    do_step(bench, ["FB-NR"])
    step = bench.latest_undoable()
    bench.count_stock(GLUE, 9)
    counted = bench.latest_undoable()
    assert step is not None and counted is not None
    bench.undo(step.event)
    assert stock(bench).left == 9
    bench.undo(counted.event)
    assert (stock(bench).left, stock(bench).used) == (20, 0)
    same_as_from_the_journal(bench)


def test_counts_push_no_step_out_of_what_can_be_taken_back(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    acts = [one.event for one in bench.state.undoables]
    for left in range(30):
        bench.count_stock(GLUE, left)
    events = [one.event for one in bench.state.undoables]
    assert events[: len(acts)] == acts and len(events) == len(acts) + 20
