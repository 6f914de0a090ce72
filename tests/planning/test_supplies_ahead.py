"""What has to be ordered, on the forecast's road: work waits until it has come."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import pytest

from kiosk.planning.forecast.remaining import remaining, scope_of
from kiosk.planning.forecast.road import Road, road_of
from kiosk.planning.forecast.simulation import ToOrder, forecast
from kiosk.planning.forecast.supplies import Stock, Supply
from kiosk.planning.forecast.walk import DAY
from kiosk.record.context import Context
from kiosk.record.state import State
from kiosk.shop.load import load_shop
from kiosk.shop.shop import Shop
from tests.benchmarks.whole_builds.worlds import WORLDS, shop_folder_of
from tests.planning.test_forecast import NOW, every_evening, moment, record, walked

LEAD_DAYS = 40


@pytest.fixture(scope="module")
def boat() -> Iterator[Shop]:
    """Its expiring glue takes 40 days to come."""
    with shop_folder_of(WORLDS["c"]) as folder:
        yield load_shop(folder)


def with_glue(shop: Shop, **values: object) -> Shop:
    glue = shop.consumables["glue"].model_copy(update={"lead_days": LEAD_DAYS, "expires": None, **values})
    return replace(shop, consumables={**shop.consumables, "glue": glue})


def road_for(shop: Shop, state: State | None = None) -> Road:
    context: Context = moment(shop, state or State())
    return road_of(context, remaining(context, scope_of(shop, "frame")))


def evenings(road: Road) -> float:
    return walked(road, every_evening(60.0)).finished / DAY


def test_what_is_used_up_is_waited_for_from_the_day_it_is_ordered(boat: Shop) -> None:
    there, gone = road_for(with_glue(boat, left=50)), road_for(with_glue(boat, left=0))
    assert not any(one.is_short for one in there.supplies)
    assert [(one.is_short, one.missing_until) for one in gone.supplies if one.name == "glue"] == [
        (True, LEAD_DAYS * DAY)
    ]
    assert evenings(there) + 14 < evenings(gone) < evenings(there) + LEAD_DAYS + 1


def test_what_goes_out_of_date_before_a_new_one_can_come_is_missed_between(boat: Shop) -> None:
    soon = with_glue(boat, left=50, expires=NOW.date() + timedelta(days=3))
    far = with_glue(boat, left=50, expires=NOW.date() + timedelta(days=300))
    assert evenings(road_for(soon)) > evenings(road_for(far)) + 14
    assert evenings(road_for(far)) == evenings(road_for(with_glue(boat, left=50)))
    one = forecast(moment(soon, record(soon)), trials=4)
    assert one.to_order == (ToOrder(soon.consumables["glue"].name, LEAD_DAYS),)
    assert forecast(moment(far, record(far)), trials=4).to_order == ()


def test_steps_that_take_more_than_there_is_wait_for_what_was_ordered_at_its_mark(boat: Shop) -> None:
    """Two frames take what there is; the third waits for what is then ordered."""
    road = road_for(with_glue(boat, left=2, order_below=0))
    first = next(point for point in road.points if point.supplies)
    place = first.supplies[0][0]
    plenty = evenings(road)
    for point in road.points:
        point.supplies = ()
    first.supplies = ((place, 1.0),)
    assert LEAD_DAYS < evenings(road) < plenty + LEAD_DAYS + 1


def test_stock_is_ordered_at_its_mark_comes_and_then_lasts() -> None:
    stock = Stock([Supply("glue", left=5.0, order_below=3.0, lead_minutes=10 * DAY)])
    assert stock.enough_for(8, [(0, 0.5)], 0.0) == 8 and not stock.is_waited_for(0.0)
    stock.use(5, [(0, 0.5)], DAY)
    assert stock.is_waited_for(DAY) and stock.enough_for(8, [(0, 0.5)], DAY) == 5
    stock.come(10.9 * DAY)
    assert stock.enough_for(8, [(0, 0.5)], 10.9 * DAY) == 5
    stock.come(11 * DAY)
    assert stock.enough_for(800, [(0, 0.5)], 11 * DAY) == 800 and not stock.is_waited_for(11 * DAY)
