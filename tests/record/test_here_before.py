"""Who was said at one screen to be here, before a sitting began at another."""

from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.context import NOBODY
from kiosk.record.rules.door import NotAllowed
from tests.conftest import SteadyClocks
from tests.record.moments import step, with_steps


def test_somebody_young_who_was_said_to_be_here_is_in_the_sitting_that_begins_elsewhere(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """A child on the tablet was in no sitting that the wall began, and no hazard asked for them."""
    wall, tablet = Bench(new_shop, clocks), Bench(new_shop, clocks)
    try:
        tablet.come("pip")
        tablet.hand_over("pip")
        wall.start(["FB-TR"], "form-block", "measure-pattern")
        assert tablet.refresh()
        assert tablet.doer.id == "pip"
        wall.refresh()
        assert [one.id for one in wall.people] == ["wren", "pip"]
        tablet.leave("pip")  # once they are in it, they go as anybody does
        wall.refresh()
        assert [one.id for one in wall.people] == ["wren"]
        assert not tablet.refresh() or [one.id for one in tablet.people] == ["wren"]
    finally:
        wall.close()
        tablet.close()


def test_an_adult_says_so_anew(new_shop: Path, clocks: SteadyClocks) -> None:
    """Their presence lets others do more: who said so an hour ago at a screen may be gone."""
    wall, tablet = Bench(new_shop, clocks), Bench(new_shop, clocks)
    try:
        tablet.come("odile")
        wall.start(["FB-TR"], "form-block", "measure-pattern")
        tablet.refresh()
        wall.refresh()
        assert [one.id for one in wall.people] == ["wren"]
    finally:
        wall.close()
        tablet.close()


def test_closing_up_ends_who_was_here_also_where_nothing_was_begun(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """The builder counted as here, so that a child began a step that needs them."""
    bench = Bench(new_shop, clocks)
    bench.set_pin("wren", "", "2468")
    bench.hand_over("wren", "2468")
    bench.come("pip")
    bench.close_sitting("")
    assert bench.state.sitting is None and bench.doer_id == NOBODY and bench.people == []
    bench.hand_over("pip")
    assert [one.id for one in bench.people] == ["pip"]
    bench.shop, _ = with_steps(bench.shop, "rib-blank", step(who="helper with the builder"))
    with pytest.raises(NotAllowed, match="builder"):
        bench.start(["NR-01"], "rib-blank", "try")
    bench.close()


def test_a_note_without_a_sitting_that_comes_twice_leaves_the_hands_that_are_there_now(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    bench = Bench(new_shop, clocks)
    bench.come("pip")
    bench.close_sitting("clamps lent out", tap="C")
    assert [one.id for one in bench.people] == ["wren"]
    bench.come("odile")
    bench.hand_over("odile")
    bench.close_sitting("clamps lent out", tap="C")
    assert bench.doer_id == "odile"
    bench.close()
