"""How much of a consumable there should be: what was counted, less what steps used since."""

from datetime import datetime
from typing import NamedTuple

from kiosk.record.state import State
from kiosk.shop.shop import Consumable


class InStock(NamedTuple):
    """What should be left, and from what that follows; all in the consumable's own unit.

    A tuple, since an answer asks a hundred times.
    """

    left: float
    counted: float  # as last counted; as the shop's list has it when it never was
    used: float  # by finished steps since
    counted_at: datetime | None  # None: it never was


FAR_OFF = 5.0  # times as much, or as little: a slip of the point makes ten of what was used from meanwhile


def is_far_off(item: Consumable, stood: float, counted: float) -> bool:
    """True for a count that a slip of the finger may be: five times what stood there and more, or a fifth
    and less of what was no little. What was used up may be any amount once more is bought."""
    if stood <= 0:
        return False
    return counted >= FAR_OFF * stood or (stood >= item.order_below and counted * FAR_OFF <= stood)


def in_stock(state: State, item: Consumable) -> InStock:
    """What there should be of a consumable. Never below nothing: a count then says what is so."""
    counted = state.stock.get(item.id, item.left)
    used = state.stock_used.get(item.id, 0.0)
    count = state.stock_counts.get(item.id)
    left = max(0.0, round(counted - used, 6))  # without what binary arithmetic leaves over
    return InStock(left, counted, used, count.at if count is not None else None)
