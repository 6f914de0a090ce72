"""Two and three screens on one shop at once; by hand: ``python -m tests.faults.races``."""

from pathlib import Path

from tests.faults.races import MARKS, run

RACES = 4


def test_two_and_three_screens_record_every_acknowledged_tap_once(tmp_path: Path) -> None:
    found = run(RACES, 1, tmp_path)
    assert not found.wrong, "\n".join(found.wrong)
    assert found.double_starts == RACES * len(MARKS) and found.again
    assert found.refused >= RACES * len(MARKS)  # of each part begun on all, at least one screen was told
