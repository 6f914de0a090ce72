"""What an undo may not do: give a limit that runs all its time again."""

from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.rules.door import Refused
from tests.conftest import SteadyClocks, local_time
from tests.record.moments import step, with_steps

MARK = "NR-01"
WIPE = {"what": "last wipe", "within": "40 min", "begin": "spray", "if_missed": "wipe every face once more"}


@pytest.mark.parametrize(
    ("seconds", "why"),
    [
        (30, ""),  # a press by mistake
        (230, ""),  # within a tenth of it
        (250, "last wipe runs on NR-01"),
        (2400, "last wipe runs on NR-01"),
        (2460, "last wipe ran out on NR-01"),
    ],
)
def test_the_end_of_a_step_is_taken_back_only_while_its_limit_has_hardly_begun(
    new_shop: Path, seconds: float, why: str
) -> None:
    clocks = SteadyClocks(local_time(2027, 5, 6, 12))
    bench = Bench(new_shop, clocks)
    bench.shop, _ = with_steps(bench.shop, "rib-blank", step(id="wipe", waits=[WIPE]), step(id="spray"))
    work = bench.start([MARK], "rib-blank", "wipe")
    bench.finish(work, MARK)
    [clock] = bench.state.part(MARK).clocks
    clocks.go(seconds / 60)
    entry = bench.undo_offer().entries
    if not why:
        assert len(entry) == 1
        bench.undo(entry[0].event)
        assert bench.state.part(MARK).clocks == () and work in bench.state.works
    else:
        assert entry == () and why in bench.undo_offer().told
        with pytest.raises(Refused, match=why):
            bench.undo(bench.state.undoables[-1].event)
        assert bench.state.part(MARK).clocks == (clock,)
    bench.close()


def test_the_end_of_a_step_that_only_waits_is_taken_back_at_any_time(new_shop: Path) -> None:
    clocks = SteadyClocks(local_time(2027, 5, 6, 12))
    bench = Bench(new_shop, clocks)
    wait = {"what": "drying", "must_pass": "30 min", "before": "spray"}
    bench.shop, _ = with_steps(bench.shop, "rib-blank", step(id="wash", waits=[wait]), step(id="spray"))
    bench.finish(bench.start([MARK], "rib-blank", "wash"), MARK)
    clocks.go(60)
    bench.undo(bench.undo_offer().entries[0].event)
    assert bench.state.part(MARK).clocks == ()
    bench.close()
