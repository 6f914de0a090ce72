"""The disk is full, at every size; by hand: ``python -m tests.faults.full_disks``."""

import pytest

from tests.faults.full_disks import Disks, can_mount, run
from tests.faults.not_yet import FULL_AT_OPENING, NOT_YET

SIZES, SCREENS = 40, 2


@pytest.fixture(scope="module")
def found() -> Disks:
    if not can_mount():
        pytest.skip("a disk of its own cannot be made here: unshare and mount are needed")
    return run(SIZES, 1, SCREENS)


def test_on_a_full_disk_each_tap_is_recorded_or_refused_and_it_goes_on_after_room_is_made(
    found: Disks,
) -> None:
    assert not found.wrong, "\n".join(found.wrong)
    assert found.disks == SIZES and found.screens == SCREENS
    assert found.filled > 5 and found.acknowledged > SIZES


@pytest.mark.xfail(FULL_AT_OPENING in NOT_YET, reason=NOT_YET.get(FULL_AT_OPENING, ""), strict=True)
def test_a_full_disk_is_called_so(found: Disks) -> None:
    assert found.refused and not found.not_told_full
