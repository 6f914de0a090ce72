"""What is said and decided by the builder's own clock is the same in every time zone and at every hour.

Times of day are the house's: quiet hours, the day that work counts to, ages, "yesterday". The rest of the
suite runs in the zone of the machine; this file moves the process into others. The dates on which clocks
change are those of the IANA time zone database: Los Angeles on 2027-03-14 and 2027-11-07 at 02:00, Chatham
on 2027-04-04 at 03:45 and 2027-09-26 at 02:45.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.demo_player import play
from kiosk.record.quiet_hours import minutes_until_quiet, quiet_until
from kiosk.record.state import State
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.shop import DAYS, QuietHours, Shop
from kiosk.views.clocks import time_words
from kiosk.views.momentum import momentum
from kiosk.views.wording import ago, time_of_day
from tests.conftest import SteadyClocks, in_zone, local_time
from tests.planning.test_learning import finish_measuring

ZONES = ("UTC", "America/Los_Angeles", "Asia/Tokyo", "Pacific/Chatham")
HOURS = (0, 6, 12, 19, 23)


@pytest.fixture(params=ZONES)
def zone(request: pytest.FixtureRequest) -> Iterator[str]:
    """The process in one zone after another."""
    with in_zone(request.param):
        yield request.param


@pytest.fixture(scope="module")
def brambling() -> Shop:
    return load_shop(data_folder("scenarios") / "brambling")


def quiet_shop(shop: Shop, start: str, end: str, *days: str) -> Shop:
    """The shop with these quiet hours alone."""
    hours = QuietHours.model_validate({"start": start, "end": end, "days": days or DAYS})
    return replace(shop, file=shop.file.model_copy(update={"quiet_hours": (hours,)}))


@pytest.mark.parametrize("hour", HOURS)
def test_the_clock_on_the_wall_is_shown(zone: str, hour: int) -> None:
    now = local_time(2027, 5, 8, hour, 30)
    assert time_of_day(now) == f"Sat {hour:02d}:30"
    assert time_words(now + timedelta(minutes=25), up=True) == f"{hour:02d}:55"


@pytest.mark.parametrize("hour", HOURS)
def test_days_are_the_builders_days(zone: str, hour: int) -> None:
    now = local_time(2027, 5, 8, hour)
    assert ago(local_time(2027, 5, 6, 23, 59), now).startswith("2 days ago, Thu 06 May 23:59")
    found = momentum(
        State(last_at=local_time(2027, 5, 1, 0, 1), minutes_by_day={"2027-05-08": 30.0, "2027-04-11": 30.0}),
        now.astimezone().date(),
    )
    assert found.days_since == 7 and found.sittings_28_days == 2


@pytest.mark.parametrize("hour", HOURS)
def test_work_counts_to_the_day_on_the_wall(zone: str, hour: int, new_shop: Path) -> None:
    clocks = SteadyClocks(local_time(2027, 5, 8, hour, 5))
    bench = Bench(new_shop, clocks)
    finish_measuring(bench, clocks, "FB-NR", 4)
    bench.close()
    assert set(bench.state.minutes_by_day) == {"2027-05-08"}


def test_a_birthday_begins_at_midnight_of_the_house(zone: str, brambling: Shop) -> None:
    person = brambling.file.people[0].model_copy(update={"born": date(2009, 5, 8)})
    assert person.age(local_time(2027, 5, 7, 23, 59).astimezone().date()) == 17
    assert person.age(local_time(2027, 5, 8, 0, 0).astimezone().date()) == 18


@pytest.mark.parametrize("hour", range(24))
def test_quiet_hours_are_the_houses(zone: str, hour: int, brambling: Shop) -> None:
    shop = quiet_shop(brambling, "20:30", "08:00", "sun", "mon", "tue", "wed", "thu")
    now = local_time(2027, 5, 12, hour)  # a Wednesday
    if hour < 8:
        assert quiet_until(shop, now) == local_time(2027, 5, 12, 8)
    elif hour < 21:
        assert quiet_until(shop, now) is None
        assert minutes_until_quiet(shop, now) == (20.5 - hour) * 60
    else:
        assert quiet_until(shop, now) == local_time(2027, 5, 13, 8)


def _wall(at: datetime | None) -> str:
    return "never" if at is None else at.astimezone().strftime("%a %H:%M")


@pytest.mark.parametrize(
    ("name", "year", "month", "day"),
    [
        ("America/Los_Angeles", 2027, 3, 13),
        ("America/Los_Angeles", 2027, 11, 6),
        ("Pacific/Chatham", 2027, 4, 3),
        ("Pacific/Chatham", 2027, 9, 25),
    ],
)
@pytest.mark.parametrize("minutes", range(0, 10 * 60, 45))
def test_quiet_hours_end_by_the_clock_on_the_wall_when_it_changes(
    name: str, year: int, month: int, day: int, minutes: int, brambling: Shop
) -> None:
    shop = quiet_shop(brambling, "22:00", "09:00")
    with in_zone(name):
        evening = local_time(year, month, day, 22)
        morning = local_time(year, month, day + 1, 9)
        assert morning - evening in (timedelta(hours=10), timedelta(hours=12))  # the clock changes
        assert quiet_until(shop, evening + timedelta(minutes=minutes)) == morning
        assert quiet_until(shop, morning) is None
        assert minutes_until_quiet(shop, evening - timedelta(minutes=minutes + 1)) == minutes + 1


@pytest.mark.parametrize(("month", "day", "shown"), [(3, 14, "05:30"), (11, 7, "03:30")])
def test_a_wait_over_a_change_of_clocks_is_as_long_as_it_says(month: int, day: int, shown: str) -> None:
    with in_zone("America/Los_Angeles"):
        now = local_time(2027, month, day, 0, 30)
        assert time_words(now + timedelta(hours=4), up=True) == shown


@pytest.mark.parametrize(
    ("start", "end", "quiet"),
    [
        ("01:30", "05:00", ("Sun 01:30", "Sun 05:00")),
        ("22:00", "01:30", ("Sat 22:00", "Sun 01:30")),
    ],
)
def test_quiet_hours_that_change_in_the_hour_that_comes_twice_are_the_longer(
    start: str, end: str, quiet: tuple[str, str], brambling: Shop
) -> None:
    """They begin at the first 01:30 of the night and end at the second."""
    shop = quiet_shop(brambling, start, end)
    with in_zone("America/Los_Angeles"):
        minutes = [local_time(2027, 11, 6, 21) + timedelta(minutes=minute) for minute in range(0, 600, 15)]
        held = [at for at in minutes if quiet_until(shop, at) is not None]
        assert held == [at for at in minutes if held[0] <= at <= held[-1]]  # without a gap
        ends = quiet_until(shop, held[0])
        assert ends is not None and ends - held[-1] == timedelta(minutes=15)
        assert (_wall(held[0]), _wall(ends)) == quiet
        assert len(held) == 18  # four and a half hours, one of them twice on the clock


@pytest.mark.parametrize(
    ("name", "at"),
    [
        *((name, (2027, 5, 8, 0)) for name in ZONES),
        # After a change of the clocks, where they change; Chatham's stand an hour ahead on the last of these.
        ("America/Los_Angeles", (2027, 3, 14, 12)),
        ("America/Los_Angeles", (2027, 11, 7, 23)),
        ("Pacific/Chatham", (2027, 11, 7, 23)),
    ],
)
def test_the_example_history_plays_in_every_zone(
    name: str, at: tuple[int, int, int, int], new_shop: Path
) -> None:
    with in_zone(name):
        history = data_folder("scenarios") / "brambling" / "history.yaml"
        (new_shop / "history.yaml").write_bytes(history.read_bytes())
        now = local_time(*at)
        assert play(new_shop, now=now) > 100
        bench = Bench(new_shop, SteadyClocks(now))
        last = bench.state.last_at
        bench.close()
        assert last is not None and last < now
        assert (now.astimezone().date() - last.astimezone().date()).days == 3
