"""How times, people and figures read in the logbook."""

import re
from datetime import UTC, datetime

from kiosk.shop.shop import Shop

TODAY = "(words of today's file)"  # beside what an old record does not have itself

# Whatever moves the cursor, hides, or turns the direction of what is read; a new line stays one.
_UNSEEN = re.compile(
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\xad\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb"
    "\ud800-\udfff]"
)


def local(at: datetime) -> datetime:
    """A moment on the clock of the house, with its offset from UTC; in UTC where that has none (year 1)."""
    try:
        return at.astimezone()
    except (OverflowError, OSError, ValueError):
        return at.astimezone(UTC)


def time_words(at: datetime) -> str:
    """A moment as it is printed: ``2027-05-08 14:05+02:00``."""
    return local(at).isoformat(sep=" ", timespec="minutes")


def time_since(at: datetime, other: datetime, *, seconds: bool = False) -> str:
    """A moment beside another one: the time of day alone where that is on the same day."""
    here, there = local(at), local(other)
    same = (here.date(), here.utcoffset()) == (there.date(), there.utcoffset())
    if same:
        return here.strftime("%H:%M:%S" if seconds else "%H:%M")
    return here.isoformat(sep=" ", timespec="seconds") if seconds else time_words(at)


def day_words(at: datetime) -> str:
    """The local date: ``Sat 2027-05-08``."""
    return local(at).strftime("%a %Y-%m-%d")


class Names:
    """Who people are: by name as today's shop file has them, or by the id as recorded where it has not."""

    def __init__(self, shop: Shop) -> None:
        self._people = shop.people

    def name(self, person: str) -> str:
        """The name, or the id as it was recorded."""
        known = self._people.get(person)
        return known.name if known is not None else person

    def share(self, person: str) -> str:
        """What they count as for an authority: builder, helper unpaid, …."""
        known = self._people.get(person)
        return known.share.replace("_", " ") if known is not None else "not in today's shop file"


def figure(value: float) -> str:
    """A number without the noise of binary arithmetic: at most nine digits."""
    return f"{value:.9g}"
