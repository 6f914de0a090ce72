"""Builders with other rhythms than the steady one of ``evenings.py``: their slots, thinned out or with gaps.

Nothing of it is the forecast's own: breaks are dates here, and no process with rates.
"""

from collections.abc import Callable, Iterator, Mapping
from datetime import datetime, timedelta

from tests.benchmarks.whole_builds.evenings import START, Slot, slots
from tests.benchmarks.whole_builds.random_numbers import random_of

WEEK = timedelta(weeks=1)
FIRST_BREAK_WEEKS = (12.0, 50.0)  # after the start, where there is one break
ONE_BREAK_WEEKS = 10.0
WINTER_WEEKS = (7.0, 12.0)
FASTER_AFTER = timedelta(weeks=60)  # whoever speeds up is at full speed then
SLOWEST = 0.4


def winter_gaps(seed: int) -> Iterator[Slot]:
    """Nothing from some day in December for seven to twelve weeks, each winter."""
    numbers = random_of("winter", seed)
    gaps = []
    for year in range(START.year, START.year + 12):
        begins = datetime(year, 12, 8, tzinfo=START.tzinfo) + timedelta(days=numbers.uniform(0, 18))
        gaps.append((begins, begins + numbers.uniform(*WINTER_WEEKS) * WEEK))
    for slot in slots(seed):
        if not any(begins <= slot.start < ends for begins, ends in gaps):
            yield slot


def break_of(seed: int) -> tuple[datetime, datetime]:
    """When the one break of :func:`one_break` begins and ends."""
    begins = START + random_of("break", seed).uniform(*FIRST_BREAK_WEEKS) * WEEK
    return begins, begins + ONE_BREAK_WEEKS * WEEK


def one_break(seed: int) -> Iterator[Slot]:
    """Steady, but for ten weeks in which nothing is done."""
    begins, ends = break_of(seed)
    return (slot for slot in slots(seed) if not begins <= slot.start < ends)


def speeding_up(seed: int) -> Iterator[Slot]:
    """Two slots in five at first, all of them after sixty weeks."""
    numbers = random_of("faster", seed)
    for slot in slots(seed):
        share = SLOWEST + (1 - SLOWEST) * min(1.0, (slot.start - START) / FASTER_AFTER)
        if numbers.random() < share:
            yield slot


RHYTHMS: Mapping[str, Callable[[int], Iterator[Slot]]] = {
    "steady": slots,
    "winter gaps": winter_gaps,
    "one break": one_break,
    "speeding up": speeding_up,
}
