"""Clocks that pass the time of a shop in moments, and a wall clock that is set wrong now and then."""

import random
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from kiosk.record.journal import SystemClocks

# Where the wall clock stands beside the right time: a small computer without a battery boots in the past,
# and a year typed wrong is a year ahead.
_YEAR = timedelta(days=365)
JUMPS = (
    -10 * _YEAR,
    timedelta(days=-1),
    timedelta(hours=-1),
    timedelta(minutes=-5),
    timedelta(minutes=5),
    timedelta(hours=1),
    timedelta(days=1),
    10 * _YEAR,
)
MOST_MINUTES = 40.0  # that pass between two taps
JUMP_CHANCE = 0.06  # that the wall clock is set wrong between two taps
RIGHT_CHANCE = 0.3  # that a wrong one is set right


@dataclass(frozen=True)
class Hands:
    """Where the clocks stand, so that the next process goes on from there."""

    passed_s: float = 0.0  # how much more time has passed at the bench than in the test
    wrong_by: timedelta = timedelta(0)
    boot: int = 0  # of the machine; a test may boot it between two processes
    counts_from_s: float = 0.0  # what the machine's own count was at that boot


class JumpingClocks(SystemClocks):
    """The machine's clocks, moved on from a Saturday at noon; only the wall clock ever runs back."""

    def __init__(self, hands: Hands | None = None) -> None:
        self.hands = hands or Hands()
        self._noon = datetime(2027, 5, 8, 12, 0).astimezone(UTC) - datetime.now(UTC)

    def now(self) -> datetime:
        """Wall time in UTC."""
        passed = timedelta(seconds=self.hands.passed_s)
        return datetime.now(UTC) + self._noon + passed + self.hands.wrong_by

    def monotonic_s(self) -> float:
        """Seconds that never run back."""
        return super().monotonic_s() + self.hands.passed_s - self.hands.counts_from_s

    def boot(self) -> str:
        """Which boot of the machine this is."""
        return f"boot {self.hands.boot}"

    def boot_again(self) -> Hands:
        """The clocks after the machine was booted: what counts begins anew."""
        hands = self.hands
        counts_from_s = hands.counts_from_s + self.monotonic_s()
        return replace(hands, boot=hands.boot + 1, counts_from_s=counts_from_s)

    def move(self, random_numbers: random.Random) -> None:
        """Let some time pass, or set the wall clock, or neither."""
        passed_s, wrong_by = self.hands.passed_s, self.hands.wrong_by
        if random_numbers.random() < 0.5:
            passed_s += random_numbers.uniform(0.0, MOST_MINUTES * 60)
        if wrong_by and random_numbers.random() < RIGHT_CHANCE:
            wrong_by = timedelta(0)
        elif random_numbers.random() < JUMP_CHANCE:
            wrong_by = random_numbers.choice(JUMPS)
        self.hands = replace(self.hands, passed_s=passed_s, wrong_by=wrong_by)
