"""What is used up by a date, and what has to be ordered in time; no outside source but plain sums."""

from dataclasses import replace
from datetime import timedelta

import pytest

from kiosk.bench import Bench
from kiosk.planning.work.shelf_life import USUAL_MINUTES_A_DAY, ShelfLife, minutes_a_day
from kiosk.record.state import SittingSeen, State
from kiosk.views.preparing import preparation_words
from tests.conftest import SteadyClocks
from tests.driver import do_step
from tests.planning.test_spare import leave_only
from tests.record.moments import TODAY, step, with_steps

BLOCKS = ("FB-NR", "FB-MR", "FB-TR")


def glued(bench: Bench, days: int | None, *, left: float = 9, lead_days: int = 0, amount: str = "1") -> None:
    """Blocks that are sawn, filed and glued, with a glue that keeps so many days yet; and ribs to draw."""
    made = (
        step(id="saw", stop="only when finished", minutes={"each": "20"}),
        step(id="file", stop="only when finished", minutes={"each": "20"}),
        step(
            id="glue",
            stop="only when finished",
            minutes={"each": "10"},
            consumables=["pattern-glue"],
            uses=[{"of": "pattern-glue", "amount": amount, "unit": "can"}],
        ),
    )
    bench.shop, _ = with_steps(bench.shop, "form-block", *made)
    expires = None if days is None else TODAY + timedelta(days=days)
    item = bench.shop.consumables["pattern-glue"].model_copy(
        update={"expires": expires, "left": left, "order_below": 0, "lead_days": lead_days}
    )
    others = {name: one.model_copy(update={"expires": None}) for name, one in bench.shop.consumables.items()}
    bench.shop = replace(bench.shop, consumables={**others, "pattern-glue": item})


def shares(bench: Bench) -> dict[str, float]:
    shelf_life = ShelfLife(bench.context)
    return {mark: shelf_life.share(mark) for mark in (*BLOCKS, "NR-01")}


def test_what_needs_something_soon_too_old_is_pressed_the_more_the_nearer_it_is(
    bench: Bench, clocks: SteadyClocks
) -> None:
    glued(bench, None)
    leave_only(bench, {*BLOCKS, "NR-01"})
    do_step(bench, ["FB-NR"])
    do_step(bench, ["FB-NR"])
    do_step(bench, ["FB-MR"])
    assert set(shares(bench).values()) == {0.0}
    glued(bench, 200)
    assert set(shares(bench).values()) == {0.0}
    glued(bench, 100)
    far = shares(bench)
    glued(bench, 2)
    near = shares(bench)
    assert near["FB-NR"] > near["FB-MR"] > near["FB-TR"] == near["NR-01"] == 0
    assert 0 < far["FB-NR"] < near["FB-NR"] / 20
    glued(bench, -1)  # past its date: nothing is won any more
    assert set(shares(bench).values()) == {0.0}


def test_a_part_that_comes_too_late_is_not_pressed(bench: Bench, clocks: SteadyClocks) -> None:
    glued(bench, 0)
    leave_only(bench, set(BLOCKS))
    do_step(bench, ["FB-MR"])
    do_step(bench, ["FB-NR"])
    do_step(bench, ["FB-NR"])
    found = shares(bench)  # 30 minutes more for one, 10 for the other; today has 40
    assert USUAL_MINUTES_A_DAY == 40 and found["FB-NR"] > found["FB-MR"] > 0
    bench.state.sittings_by_day.update(
        {(TODAY - timedelta(days=back)).isoformat(): (SittingSeen(1080, 20, True),) for back in range(1, 11)}
    )
    found = shares(bench)
    assert found["FB-NR"] > 0 == found["FB-MR"]  # 20 minutes a day


def test_the_advice_takes_up_what_is_needed_in_time(bench: Bench, clocks: SteadyClocks) -> None:
    """A nose rib is further; but the tailplane rib has a glue before it that is soon too old."""

    def first(days: int | None) -> str:
        glued(bench, days)
        names = ("saw", "file", "draw")
        made = [step(id=name, stop="only when finished", minutes={"each": "20"}) for name in names]
        bench.shop, _ = with_steps(bench.shop, "rib-blank", *made)
        glue = step(id="glue", consumables=["pattern-glue"], minutes={"each": "10"})
        bench.shop, _ = with_steps(bench.shop, "rib-hole-flanging", glue)
        bench.shop, _ = with_steps(bench.shop, "form-block", made[0])
        leave_only(bench, {"TP-01", "NR-01"})
        for mark in ("TP-01", "NR-01", "NR-01"):
            if len(bench.state.part(mark).passes.get("rib-blank", {})) < (2 if mark == "NR-01" else 1):
                do_step(bench, [mark])
        (one,) = bench.spare(48).suggestions
        return one.marks[0]

    assert first(None) == "NR-01"
    assert first(4) == "TP-01"


def test_what_is_planned_until_more_can_come_is_ordered_in_time(bench: Bench, clocks: SteadyClocks) -> None:
    def orders() -> list[str]:
        said = map(preparation_words, bench.spare(10).prepare)
        return [text for text in said if text.startswith("Order: pattern glue")]

    glued(bench, None, left=3, lead_days=30)
    (said,) = orders()  # four blocks take four cans, 200 of 1,200 minutes
    assert said == "Order: pattern glue, 3 can left, about 4 wanted in the 30 days until more comes"
    glued(bench, None, left=1, lead_days=2)  # 80 minutes: one block comes so far
    assert orders() == []
    glued(bench, None, left=4, lead_days=30)
    assert orders() == []
    glued(bench, None, left=2)  # bought in passing
    assert orders() == []


def test_minutes_a_day_are_those_of_the_last_weeks() -> None:
    state = State()
    assert minutes_a_day(state, TODAY) == USUAL_MINUTES_A_DAY
    for back in (60, 200):
        state.sittings_by_day[(TODAY - timedelta(days=back)).isoformat()] = (SittingSeen(600, 500, True),)
    for back in range(1, 15, 2):
        state.sittings_by_day[(TODAY - timedelta(days=back)).isoformat()] = (SittingSeen(1080, 56, True),)
    assert minutes_a_day(state, TODAY) == pytest.approx(7 * 56 / 56)
