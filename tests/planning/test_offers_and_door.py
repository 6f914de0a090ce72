"""What is offered may be begun: over days at random, the door refuses none of it."""

from pathlib import Path

import pytest

from tests.planning.day_walk import offers_refused


@pytest.mark.parametrize(
    ("speed", "seed", "sittings", "helpers"),
    # A quick builder was offered a mix whose coat would have come in quiet hours by the procedure's minutes.
    [(0.3, 31, 3, ()), (1.3, 3, 1, ("odile",))],
)
def test_the_door_refuses_no_offer(
    speed: float, seed: int, sittings: int, helpers: tuple[str, ...], new_shop: Path
) -> None:
    assert offers_refused(new_shop, seed, speed, sittings, helpers) == []
