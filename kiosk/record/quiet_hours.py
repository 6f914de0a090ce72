"""The hours in which nothing loud may be begun."""

from datetime import date, datetime, time, timedelta

from kiosk.shop.shop import DAYS, Shop


def quiet_until(shop: Shop, now: datetime) -> datetime | None:
    """When the quiet hours that hold now end; None when it is not quiet time."""
    held = quiet_at(shop, now)
    return held[1] if held is not None else None


def quiet_at(shop: Shop, now: datetime) -> tuple[datetime, datetime] | None:
    """From when until when the quiet hours last that hold then; None when it is not quiet time."""
    today = now.astimezone().date()
    for quiet in shop.file.quiet_hours:
        for day in (today, today - timedelta(days=1)):
            if DAYS[day.weekday()] not in quiet.days:
                continue
            last_day = day if quiet.end > quiet.start else day + timedelta(days=1)
            end = max(_house_times(last_day, quiet.end))
            begin = min(_house_times(day, quiet.start))
            if begin <= now < end:
                return begin, end
    return None


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


def _house_times(day: date, at: time) -> tuple[datetime, datetime]:
    """A time of day by the clock on the wall: the same twice, but for the night on which clocks change.

    What the clock shows twice, or skips, is read both ways; quiet hours take the longer.
    """
    wall = datetime.combine(day, at)
    return wall.astimezone(), wall.replace(fold=1).astimezone()
