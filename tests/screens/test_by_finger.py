"""A wall has no keyboard: every act of the record's rules is done by finger, and so is a rib."""

from pathlib import Path

from kiosk.record.rules import ACTS
from tests.benchmarks.nose_rib import walk_by
from tests.screens.by_finger import WALKS, WAYS, seen_in, wrong_rows


def test_every_act_has_a_screen_and_a_tap_that_does_it() -> None:
    """All the walks are taken by hand: see ``by_finger.py``."""
    assert sorted(WAYS) == sorted(ACTS), "give the act a row, and a walk in which a finger does it"


def test_an_evening_by_finger_on_the_smallest_screen(demo_shop: Path) -> None:
    seen = seen_in(WALKS[0], demo_shop)
    assert not wrong_rows(seen)
    assert len(seen) >= 20, sorted(seen)


def test_a_blank_is_cut_by_taps_alone() -> None:
    """The whole rib is walked by hand: see ``tests/benchmarks/nose_rib.py``."""
    walker = walk_by("fingers", (73, 20), until="rib-forming")
    assert walker.presses["figures"] and walker.presses["cautions"] and walker.presses["choices"]
    assert not walker.pedalled
