"""What is offered may be begun: over days at random, the door refuses none of it."""

from pathlib import Path

import pytest

from tests.planning.day_walk import offers_refused


@pytest.mark.parametrize(
    ("speed", "seed", "helpers"), [(0.5, 1, ()), (0.8, 2, ("pip", "odile")), (1.3, 3, ("odile",))]
)
def test_the_door_refuses_no_offer(speed: float, seed: int, helpers: tuple[str, ...], new_shop: Path) -> None:
    assert offers_refused(new_shop, seed, speed, 2, helpers) == []
