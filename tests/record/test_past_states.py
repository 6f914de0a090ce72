"""The state at a moment in the past is the fold of what was recorded until then, and of nothing after."""

from contextlib import closing
from datetime import timedelta
from pathlib import Path

from kiosk.bench import Bench
from kiosk.record.apply import fold
from kiosk.record.past_states import states_at
from tests.conftest import SteadyClocks


def test_each_is_the_fold_of_the_events_before_it(demo_shop: Path, clocks: SteadyClocks) -> None:
    with closing(Bench(demo_shop, clocks)) as bench:
        events = list(bench.record.journal.read_on())
        first, last = events[0].at, events[-1].at
        moments = [first + (last - first) * share for share in (0.2, 0.5, 0.8)]
        found = states_at(iter(events), [*moments, last + timedelta(days=1)])
        assert [at for at, _ in found] == moments
        for at, state in found:
            assert state == fold(event for event in events if event.at <= at)
        at_its_own = states_at(iter(events), [events[40].at])
        assert [state for _, state in at_its_own] == [fold(one for one in events if one.at <= events[40].at)]
        assert 0 < len(found[0][1].times) < len(found[-1][1].times)
