"""Who was said at one screen to be here, before a sitting began at another."""

from pathlib import Path

from kiosk.bench import Bench
from tests.conftest import SteadyClocks


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
