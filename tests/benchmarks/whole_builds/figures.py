"""What a simulated build came to."""

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

OVERRUN_MINUTES = 2.0  # past the slot, from where on it counts
LENGTHS = ((0.0, 15.0), (15.0, 30.0), (30.0, 45.0), (45.0, 60.0), (60.0, 121.0))  # of slots, in minutes


@dataclass
class Figures:
    """The figures of one build by one way of choosing. Minutes are true ones."""

    world: str
    policy: str
    seed: int
    finished: bool = False
    sittings: int = 0
    idle_sittings: int = 0  # in which no work was done
    hours: float = 0.0  # of all slots
    work_minutes: float = 0.0
    set_up_minutes: float = 0.0
    put_away_minutes: float = 0.0
    closing_minutes: float = 0.0
    left_over_minutes: float = 0.0
    waited_minutes: float = 0.0
    overruns: int = 0
    # Of them those after a step that can be left at any moment: the builder finished a piece all the same.
    overruns_by_choice: int | None = None  # None: it was not counted
    worst_overrun_minutes: float = 0.0
    spoiled: int = 0  # parts that have to be prepared again
    bought_again: int = 0  # what was past its date while it was still wanted
    jig_taken: int = 0  # things said to be doable though what they need is held
    refused: int = 0  # steps that could not be begun after all
    days: float = 0.0
    half_done_days: float = 0.0  # from the first touch of a part to its end, in the mean
    first_proud_day: float | None = None
    parts_done: int = 0
    slots_with_work: int = 0
    slot_used: float = 0.0  # the sum of the shares used of slots in which something could be begun
    asks: int = 0
    plan_ms: float = 0.0  # in the mean, for one answer
    # The first plan of each sitting: slot minutes, stated chance, whether it came, planned minutes.
    plans: list[tuple[int, float, bool, int]] = field(default_factory=list)
    # Slots by length: how many with work in them, and the sum of the shares used.
    used_by_length: list[tuple[int, float]] = field(default_factory=lambda: [(0, 0.0)] * len(LENGTHS))
    # The same of those at whose end work that can be left at any moment was still there.
    used_to_the_end: list[tuple[int, float]] = field(default_factory=lambda: [(0, 0.0)] * len(LENGTHS))
    seconds: float = 0.0  # of the processor, for the whole build

    @property
    def use_of_slot(self) -> float:
        """The mean share used of slots in which something could be begun."""
        return self.slot_used / self.slots_with_work if self.slots_with_work else 0.0

    def slot_was_used(self, minutes: float, share: float, *, to_the_end: bool) -> None:
        """A slot with work in it was used to this share; ``to_the_end`` where more of it was there then."""
        self.slots_with_work += 1
        self.slot_used += share
        place = length_of(minutes)
        for used in (self.used_by_length, self.used_to_the_end) if to_the_end else (self.used_by_length,):
            count, total = used[place]
            used[place] = (count + 1, total + share)

    def plain(self) -> dict[str, Any]:
        """As data for a file."""
        return dataclasses.asdict(self)


def from_plain(data: Mapping[str, Any]) -> Figures:
    """The figures of a file; what it does not tell is as in a build that was not begun."""
    known = {one.name for one in dataclasses.fields(Figures)}
    figures = Figures(**{name: value for name, value in data.items() if name in known})
    figures.plans = [(int(row[0]), float(row[1]), bool(row[2]), int(row[3])) for row in figures.plans]
    figures.used_by_length = [(int(row[0]), float(row[1])) for row in figures.used_by_length]
    figures.used_to_the_end = [(int(row[0]), float(row[1])) for row in figures.used_to_the_end]
    return figures


def length_of(minutes: float) -> int:
    """Which of :data:`LENGTHS` a slot is."""
    return next(place for place, (_, end) in enumerate(LENGTHS) if minutes < end)
