"""Rights, hazards and the room are asked of the very piece that something is done on, and of a step that an
undo gives back.

That hexavalent chromium wants a trained adult alone in the room is the shop's own rule, with 29 CFR 1910.1026
as the benchmark; a router from 18, and nobody under 16 beside it, has 29 CFR 570.55 as its own.
"""

from collections.abc import Callable
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.rules import NotAllowed, Refused
from tests.conftest import SteadyClocks
from tests.record.moments import step, with_steps

PLAIN, CHROMATE = "FB-NR", "FB-MR"  # blocks of two kinds, made to be primed with two products


@pytest.fixture
def primed(new_shop: Path, clocks: SteadyClocks) -> tuple[Bench, str]:
    """Both in hand at one step, done in turn; the first is turned to, and the cautions of both are read."""
    path = new_shop / "shop.yaml"
    text = path.read_text()
    begin, end = text.index("  - id: hedge-grey"), text.index("part_kinds:")
    other = text[begin:end].rstrip().replace("hedge-grey", "yellow").replace("chromate: no", "chromate: yes")
    text = text[:end].rstrip() + "\n" + other + "\n\n" + text[end:]
    for kind, finish in (("block-main", "yellow"), ("block-nose", "hedge-grey")):
        at = text.index("    route:", text.index(f"  - id: {kind}"))
        text = text[:at] + f"    finish: {finish}\n" + text[at:]
    plain = "contains: {chromate: no, isocyanate: no, epoxy: "
    path.write_text(text.replace(f"{plain}yes", f"{plain}no", 1))
    bench = Bench(new_shop, clocks)
    bench.shop, _ = with_steps(
        bench.shop,
        "form-block",
        step(
            id="coat",
            uses_finish=True,
            batch="in turn",
            repeat={"of": "coats", "times": "2"},
            checks=[{"id": "seen", "kind": "yes_no", "ask": "Is it even?"}],
        ),
    )
    work = bench.start([PLAIN, CHROMATE], "form-block", "coat")
    bench.turn_to(work, CHROMATE)
    bench.acknowledge(work)
    bench.turn_to(work, PLAIN)
    bench.acknowledge(work)
    return bench, work


def test_the_piece_that_is_done_is_asked_of_and_not_the_one_turned_to(primed: tuple[Bench, str]) -> None:
    bench, work = primed
    bench.come("pip")
    bench.count(work, PLAIN, 1)
    acts: list[Callable[[], object]] = [
        lambda: bench.count(work, CHROMATE, 1),
        lambda: bench.answer(work, CHROMATE, "seen", "yes"),
        lambda: bench.type_draft(work, CHROMATE, "seen", "y"),
        lambda: bench.finish(work, CHROMATE),
        lambda: bench.turn_to(work, CHROMATE),
    ]
    for act in acts:
        with pytest.raises(NotAllowed, match="Pip must be out of the room"):
            act()
    bench.leave("pip")
    bench.count(work, CHROMATE, 1)
    bench.close()


def test_who_stands_at_such_a_piece_may_turn_to_one_that_anybody_may_be_beside(
    primed: tuple[Bench, str],
) -> None:
    bench, work = primed
    bench.turn_to(work, CHROMATE)
    bench.come("pip")
    bench.turn_to(work, PLAIN)
    assert bench.work(work).turned_to == PLAIN
    bench.close()


def test_the_cautions_of_that_piece_are_read_before_it(new_shop: Path, primed: tuple[Bench, str]) -> None:
    bench, work = primed
    bench.close_sitting("")
    bench.take_up(work)
    bench.acknowledge(work)  # of what is turned to
    with pytest.raises(Refused, match="caution"):
        bench.count(work, CHROMATE, 1)
    bench.close()


@pytest.mark.parametrize("end", ["finish", "put back"])
def test_what_an_undo_gives_back_stands_still_beside_who_may_not_be_there(
    new_shop: Path, clocks: SteadyClocks, end: str
) -> None:
    """Done, and Pip came in: taken back it ran on, with a router and a child in the room."""
    bench = Bench(new_shop, clocks)
    bench.shop, _ = with_steps(bench.shop, "form-block", step(id="rout", hazards=("ROUTER",)))
    work = bench.start([PLAIN], "form-block", "rout")
    bench.acknowledge(work)
    if end == "finish":
        bench.finish(work, PLAIN)
    else:
        bench.put_back(work)
    bench.come("pip")
    bench.undo(bench.state.undoables[-1].event)
    assert bench.work(work).status == "paused"
    with pytest.raises(NotAllowed, match="Pip must be out of the room"):
        bench.take_up(work)
    bench.leave("pip")
    bench.take_up(work)
    assert bench.work(work).status == "running"
    bench.close()


def test_it_goes_on_where_nobody_is_in_the_way(new_shop: Path, clocks: SteadyClocks) -> None:
    bench = Bench(new_shop, clocks)
    bench.shop, _ = with_steps(bench.shop, "form-block", step(id="rout", hazards=("ROUTER",)))
    work = bench.start([PLAIN], "form-block", "rout")
    bench.acknowledge(work)
    bench.finish(work, PLAIN)
    bench.undo(bench.state.undoables[-1].event)
    assert bench.work(work).status == "running"
    bench.close()


def test_a_snag_turns_to_the_next_piece_that_nothing_holds(new_shop: Path, clocks: SteadyClocks) -> None:
    bench = Bench(new_shop, clocks)
    bench.shop, _ = with_steps(bench.shop, "rib-blank", step(id="file", batch="in turn"))
    ribs = ["NR-01", "NR-02", "NR-03"]
    bench.join_batch(ribs)
    work = bench.start(ribs, "rib-blank", "file")
    bench.raise_snag("NR-02", "a dent")  # not the piece in hand
    assert bench.work(work).turned_to == "NR-01"
    bench.raise_snag("NR-01", "a crack")
    assert bench.work(work).turned_to == "NR-03"
    bench.close()
