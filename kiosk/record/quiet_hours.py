"""The hours in which nothing loud may be begun."""

import math
from datetime import date, datetime, time, timedelta
from itertools import chain

from kiosk.shop.shop import DAYS, QuietHours, Shop


def quiet_until(shop: Shop, now: datetime) -> datetime | None:
    """When the quiet hours that hold now end; None when it is not quiet time."""
    held = quiet_at(shop, now)
    return held[1] if held is not None else None


def quiet_at(shop: Shop, now: datetime) -> tuple[datetime, datetime] | None:
    """From when until when the quiet hours last that hold then; None when it is not quiet time."""
    return QuietTimes(shop).at(now)


class QuietTimes:
    """The quiet hours of the days that are asked for, for whoever asks of many moments at once."""

    def __init__(self, shop: Shop) -> None:
        self._shop = shop
        self._of: dict[date, list[tuple[datetime, datetime] | None]] = {}
        self._last: tuple[datetime, tuple[datetime, datetime] | None] | None = None

    def at(self, now: datetime) -> tuple[datetime, datetime] | None:
        """From when until when those last that hold then; None when it is not quiet time."""
        if self._last is None or self._last[0] is not now:  # of many steps it is asked for one moment
            self._last = (now, self._holding(now))
        return self._last[1]

    def _holding(self, now: datetime) -> tuple[datetime, datetime] | None:
        today = now.astimezone().date()
        days = zip(self._on(today), self._on(today - timedelta(days=1)), strict=True)
        for held in chain.from_iterable(days):
            if held is not None and held[0] <= now < held[1]:
                return held
        return None

    def _on(self, day: date) -> list[tuple[datetime, datetime] | None]:
        """When each of the quiet hours that begin on a day begins and ends; None for those that do not."""
        if day not in self._of:
            self._of[day] = [_of_day(quiet, day) for quiet in self._shop.file.quiet_hours]
        return self._of[day]


def _of_day(quiet: QuietHours, day: date) -> tuple[datetime, datetime] | None:
    if DAYS[day.weekday()] not in quiet.days:
        return None
    last_day = day if quiet.end > quiet.start else day + timedelta(days=1)
    return min(_house_times(day, quiet.start)), max(_house_times(last_day, quiet.end))


def minutes_until_quiet(shop: Shop, now: datetime) -> float | None:
    """Minutes to the next quiet hours within a day; 0 when they hold now, None when there are none."""
    if quiet_until(shop, now) is not None:
        return 0.0
    today = now.astimezone().date()
    starts = [
        min(_house_times(day, quiet.start))
        for quiet in shop.file.quiet_hours
        for day in (today, today + timedelta(days=1))
        if DAYS[day.weekday()] in quiet.days
    ]
    ahead = [(start - now).total_seconds() / 60 for start in starts if start >= now]
    return min(ahead) if ahead else None


def quiet_within(shop: Shop, now: datetime, minutes: int) -> int | None:
    """Whole minutes until quiet hours, where they begin within so many; None where they do not."""
    until = minutes_until_quiet(shop, now)
    return math.floor(until) if until is not None and 0 < until < minutes else None


def _house_times(day: date, at: time) -> tuple[datetime, datetime]:
    """A time of day by the clock on the wall: the same twice, but for the night on which clocks change.

    What the clock shows twice, or skips, is read both ways; quiet hours take the longer.
    """
    wall = datetime.combine(day, at)
    return wall.astimezone(), wall.replace(fold=1).astimezone()
