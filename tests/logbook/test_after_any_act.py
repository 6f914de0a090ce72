"""Whatever was done and taken back, in any order: the logbook can be written and each part's life be shown.

One entry that could not be read kept the whole record from being shown to anybody.
"""

import random
from pathlib import Path

import pytest

from kiosk.errors import KioskError
from kiosk.record.rules import ACTS
from tests.faults.deeds import Moment, next_deed
from tests.faults.jumping_clocks import JumpingClocks
from tests.faults.walker import make_small_shop, open_bench
from tests.logbook.reading import recorded

DEEDS = 1000


@pytest.mark.parametrize("seed", range(4))
def test_the_logbook_and_each_life_can_be_read_after_any_acts(seed: int, tmp_path: Path) -> None:
    make_small_shop(tmp_path / "shop")
    clocks = JumpingClocks()
    bench = open_bench(tmp_path / "shop", clocks)
    luck = random.Random(seed)
    at, asked = Moment(bench, luck), dict[str, int]()
    for _ in range(DEEDS):
        clocks.move(luck)
        try:
            next_deed(at, asked).do(bench)
        except KioskError:
            continue  # a refusal is an answer too
    assert len(asked) > 0.8 * len(ACTS)
    entries = recorded(bench)
    assert len({one.number for one in entries}) == len(entries) > 50
    for mark in bench.shop.parts:
        bench.life(mark)
    bench.write_logbook(trials=4)
    bench.close()
