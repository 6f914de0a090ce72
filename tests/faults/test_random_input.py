"""A few hundred random bursts of keys, scans, pastes and taps; ten thousand of them are run by hand."""

from pathlib import Path

from tests.faults.random_input import fuzz
from tests.screens.moment import fixed_zone, make_played_shop

BURSTS = 250


def test_random_bursts_record_nothing_that_was_not_asked_for(tmp_path: Path) -> None:
    with fixed_zone():
        made = tmp_path / "shop"
        make_played_shop(made)
        counts = fuzz(made, tmp_path, seed=1, bursts=BURSTS)
    assert counts["scan"] > 3 and counts["tap"] > 40 and counts["key"] > 40 and counts["paste"] > 2
    assert counts["events"] > 20  # what was asked for is done
    assert sum(count for name, count in counts.items() if name.startswith("on ")) == BURSTS
