"""What is under way, as Minutes names it."""

from dataclasses import replace

from kiosk.bench import Bench
from kiosk.views.in_hand import in_hand
from tests.record.moments import step, with_steps


def test_what_is_no_longer_in_the_shop_is_asked_on_the_place(bench: Bench) -> None:
    """A part taken out of shop.yaml while it was in hand ended the screen at F2."""
    turn = step(id="turn", do="Turn the cone.", stop="only when finished", minutes={"each": "17"})
    bench.shop, _ = with_steps(bench.shop, "rib-blank", turn)
    work = bench.start(["NR-01"], "rib-blank", "turn")
    found = in_hand(bench.context)
    assert found is not None and found.work == work and found.comes_first
    parts = {mark: part for mark, part in bench.shop.parts.items() if mark != "NR-01"}
    assert in_hand(replace(bench.context, shop=replace(bench.shop, parts=parts))) is None


def test_what_stands_still_and_may_not_be_left_so_is_named_beside_what_runs(bench: Bench) -> None:
    """It was forgotten as soon as something else was in hand."""
    turn = step(id="turn", do="Turn the cone.", stop="only when finished", minutes={"each": "17"})
    bench.shop, _ = with_steps(bench.shop, "rib-blank", turn)
    bench.pause(bench.start(["NR-02"], "rib-blank", "turn"))
    work = bench.start(["NR-01"], "rib-blank", "turn")
    found = in_hand(bench.context)
    assert found is not None and found.work == work
    assert found.left_so == ("PAUSED, and not to be left so: NR-02: Turn the cone.",)
    bench.pause(work)
    both = in_hand(bench.context)
    assert both is not None and {both.words, *both.left_so} == {
        f"PAUSED, and not to be left so: {mark}: Turn the cone." for mark in ("NR-01", "NR-02")
    }
