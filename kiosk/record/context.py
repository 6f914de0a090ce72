"""What every decision rests on: the shop, the newest state, the clocks, and who is at the bench."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field, replace
from datetime import date, datetime, timedelta
from functools import cache, cached_property
from typing import Any, TypeVar

from kiosk.dataclass import dataclass
from kiosk.record.belief import Doubt, age_of, surely_past
from kiosk.record.paces import Paces
from kiosk.record.positions import Positions
from kiosk.record.state import ClockReading, State
from kiosk.shop.shop import Person, Shop

T = TypeVar("T")

NOBODY = "nobody"  # has the screen until somebody says who they are


@cache
def nobody() -> Person:
    """Stands for the one who has the screen while nobody has said who they are: may do nothing but that."""
    return Person(id=NOBODY, name="Nobody", role="helper")


@dataclass(frozen=True)
class Kept:
    """What is kept from one moment to the next: each holds for as long as what it was made from is the same.

    Moments in another thread keep their own.
    """

    positions: Positions = field(default_factory=Positions)  # as they were followed last
    paces: Paces = field(default_factory=Paces)
    _others: dict[type[object], Any] = field(default_factory=dict)

    def of(self, kept: type[T]) -> T:
        """What rooms above keep in the same way: made when it is first asked for."""
        if kept not in self._others:
            self._others[kept] = kept()
        found: T = self._others[kept]
        return found


@dataclass(frozen=True)
class Context:
    """One moment at the bench. A rule decides on it; a view shows it; the planner plans from it."""

    shop: Shop
    state: State
    now: datetime
    monotonic_s: float
    run: str
    people: Sequence[Person]  # at the bench, or about to be when the sitting opens
    doer: Person  # whose hands are on the screen
    boot: str = ""  # of the machine; empty where it is not known
    doubt: Doubt | None = None  # why the wall clock is not believed
    # When this screen first saw the newest wrong PIN of a person, by its own clock in seconds.
    wrong_seen_s: Mapping[str, float] = field(default_factory=dict)
    # Whether another screen lives, by its run: what is half typed there is whoever's is at it.
    lives: Callable[[str], bool] | None = field(default=None, repr=False, compare=False)
    # Kept from one moment to the next, so that only what changed is worked out.
    kept: Kept = field(default_factory=Kept, repr=False, compare=False)

    @property
    def positions(self) -> Positions:
        """Where all parts stand now."""
        return self.kept.positions.follow(self.shop, self.state)

    @property
    def paces(self) -> Paces:
        """How far everybody's times on record lie over the estimates."""
        return self.kept.paces.follow(self.shop, self.state)

    @cached_property
    def today(self) -> date:
        """The local date; the last one that is sure, while the wall clock is not believed."""
        sure = self.now if self.doubt is None else surely_past(self.state)
        return sure.astimezone().date()

    @property
    def day(self) -> str:
        """The local date to put something down under; empty while the wall clock is not believed."""
        return "" if self.doubt is not None else self.today.isoformat()

    def since(self, then: ClockReading) -> timedelta | None:
        """How long ago something was; None where nobody knows."""
        return age_of(then, ClockReading(self.boot, self.now, self.monotonic_s, self.doubt is None))

    def seen_by(self, person: Person) -> "Context":
        """The same moment with another person's hands on the screen."""
        return replace(self, doer=person)
