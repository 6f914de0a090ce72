"""A few hundred random bursts of keys, scans, pastes and taps; ten thousand of them are run by hand."""

from pathlib import Path

from tests.faults.random_input import LEADS_ON, RECORDS, fuzz
from tests.faults.what_asks import titles_and_big_labels
from tests.screens.moment import fixed_zone, make_played_shop

BURSTS = 300


def test_random_bursts_record_nothing_that_was_not_asked_for(tmp_path: Path) -> None:
    with fixed_zone():
        made = tmp_path / "shop"
        make_played_shop(made)
        counts = fuzz(made, tmp_path, seed=2, bursts=BURSTS)
    assert counts["scan"] > 3 and counts["tap"] > 40 and counts["key"] > 40 and counts["paste"] > 1
    assert counts["events"] > 20  # what was asked for is done
    assert sum(count for name, count in counts.items() if name.startswith("on ")) == BURSTS


def test_whatever_asks_says_what_it_may_record() -> None:
    """Three rows were missing or stale, and only some seeds of a run by hand came by them."""
    asks = titles_and_big_labels()
    assert (
        len(asks) > 100 and {"CARRY ON", "Carry on with {parts} all the same?", "{mark}: what else?"} <= asks
    )
    without = {one for one in asks if not any(words in one for words in RECORDS)}
    assert without == LEADS_ON & without, "name it in RECORDS or in LEADS_ON"
    assert asks >= LEADS_ON, "nothing asks so any more"
