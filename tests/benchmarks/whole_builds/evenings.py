"""When a builder has time: evenings and weekends at random, the same for every way of choosing."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from tests.benchmarks.whole_builds.random_numbers import random_of
from tests.conftest import local_time

START = local_time(2026, 11, 28, 0)  # a Saturday
FIRST_DAY = datetime(2026, 11, 28)

WEEKDAY_CHANCE = 0.45
WEEKEND_CHANCES = (0.65, 0.45)  # of a first sitting, and of a second one
LONG_CHANCE = 0.2  # of a weekend sitting
LONG_MINUTES = 120.0
SHORTEST_MINUTES, LONGEST_USUAL_MINUTES = 8.0, 75.0
HELPER_CHANCE = 0.4  # drawn so that the numbers are those of the first table; nobody helps here


@dataclass(frozen=True)
class Slot:
    """One sitting to come: when it begins, and how many minutes there are."""

    start: datetime
    minutes: float

    @property
    def on_weekday(self) -> bool:
        """True from Monday to Friday."""
        return self.start.astimezone().weekday() < 5


def slots(seed: int) -> Iterator[Slot]:
    """Endless slots: weekday evenings with chance .45, weekends up to two a day, 8 to 75 min, some 120."""
    numbers = random_of("cal", seed)
    day = FIRST_DAY
    while True:
        if day.weekday() < 5:
            if numbers.random() < WEEKDAY_CHANCE:
                start = numbers.uniform(18 * 60, 20 * 60 + 15)
                yield _slot(day, start, numbers.uniform(SHORTEST_MINUTES, LONGEST_USUAL_MINUTES))
        else:
            start = numbers.uniform(9.2 * 60, 11 * 60)
            for chance in WEEKEND_CHANCES:
                if numbers.random() >= chance:
                    break
                long = numbers.random() < LONG_CHANCE
                minutes = LONG_MINUTES
                if not long:
                    minutes = numbers.uniform(SHORTEST_MINUTES, LONGEST_USUAL_MINUTES)
                numbers.random()  # HELPER_CHANCE
                yield _slot(day, start, minutes)
                start += minutes + numbers.uniform(60, 200)
        day += timedelta(days=1)


def _slot(day: datetime, start_minutes: float, minutes: float) -> Slot:
    wall = day + timedelta(minutes=start_minutes)
    return Slot(wall.astimezone(START.tzinfo), minutes)
