"""What every decision rests on: the shop, the newest state, the clocks, and who is at the bench."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cache

from kiosk.record.state import State
from kiosk.shop.shop import Person, Shop

NOBODY = "nobody"  # has the screen until somebody says who they are


@cache
def nobody() -> Person:
    """Stands for the one who has the screen while nobody has said who they are: may do nothing but that."""
    return Person(id=NOBODY, name="Nobody", role="helper")


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

    @property
    def today(self) -> date:
        """The local date."""
        return self.now.astimezone().date()

    def seen_by(self, person: Person) -> "Context":
        """The same moment with another person's hands on the screen."""
        return replace(self, doer=person)
