"""SIGKILL at random moments of a walk over all acts; by hand: ``python -m tests.faults.kills``."""

from pathlib import Path

from kiosk.record.rules import ACTS
from tests.faults.deeds import DRIVERS
from tests.faults.kills import run

KILLS = 60
MOST_ACTS_LEFT = 14  # that have no turn, or are only refused, in so short a walk; by hand each has one


def test_every_act_can_be_walked() -> None:
    assert set(DRIVERS) == set(ACTS), "an act needs its driver in tests/faults/deeds.py"


def test_sixty_random_kills_lose_and_double_no_tap(tmp_path: Path) -> None:
    found = run(KILLS, 1, tmp_path)
    assert not found.wrong, "\n".join(found.wrong)
    assert found.kills == KILLS and found.opening and found.closing
    assert found.acknowledged > KILLS
    assert len(found.acts) >= len(ACTS) - MOST_ACTS_LEFT, sorted(set(ACTS) - set(found.acts))
