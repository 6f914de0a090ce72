"""A bench whose minutes are counted: it begins at noon of one day, and holds its state to its entries."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.apply import fold
from tests.conftest import SteadyClocks, local_time


@pytest.fixture
def clocks() -> SteadyClocks:
    """Clocks that stand at noon of 8 May 2027 by the house's clock."""
    return SteadyClocks(local_time(2027, 5, 8, 12))


@pytest.fixture
def bench(new_shop: Path, clocks: SteadyClocks) -> Iterator[Bench]:
    """A bench of that noon; what it holds at the end is what its entries say."""
    bench = Bench(new_shop, clocks)
    yield bench
    assert fold(bench.record.journal.after(0)) == bench.state
    bench.close()
