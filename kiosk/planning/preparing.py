"""What prepares the next slot, and what that begins with. ``views/preparing.py`` puts it in words."""

from collections.abc import Iterator
from datetime import date
from itertools import chain
from operator import attrgetter

from kiosk.dataclass import dataclass
from kiosk.planning.work.shelf_life import ShelfLife
from kiosk.record.authority import may_not_do
from kiosk.record.context import Context
from kiosk.record.position import position
from kiosk.record.readiness import is_completed
from kiosk.record.stock import InStock, in_stock
from kiosk.shop.procedure import Step
from kiosk.shop.shop import Consumable


@dataclass(frozen=True)
class ReadAhead:
    """Read the next step of a part."""

    mark: str
    step: Step


@dataclass(frozen=True)
class LayOut:
    """Lay out the tools of that step, by name."""

    tools: tuple[str, ...]


@dataclass(frozen=True)
class CheckStock:
    """See that there is enough of what that step uses up, by name."""

    consumables: tuple[str, ...]


@dataclass(frozen=True)
class LookOver:
    """Look over so many things that a helper did."""

    things: int


@dataclass(frozen=True)
class DecideSnags:
    """Decide what becomes of so many snags, of which this is the first."""

    snags: int
    mark: str
    text: str


@dataclass(frozen=True)
class OrderLow:
    """Order what is running low: each with what should be left of it."""

    items: tuple[tuple[Consumable, InStock], ...]


@dataclass(frozen=True)
class OrderAhead:
    """Order what the work of the days until a new one comes takes more of than there is."""

    item: Consumable
    stock: InStock
    wanted: float  # in its own unit


@dataclass(frozen=True)
class OrderExpiring:
    """Order what will be past its date before a new one could come."""

    item: str
    expires: date


Preparation = ReadAhead | LayOut | CheckStock | LookOver | DecideSnags | OrderLow | OrderAhead | OrderExpiring


@dataclass(frozen=True)
class NextSlot:
    """What the next longer slot would begin with: a part's next step, or its completion without one."""

    mark: str
    step: Step | None


def preparations(context: Context, shelf_life: ShelfLife | None = None) -> Iterator[Preparation]:
    """Small things that help the next slot, for when little or nothing fits.

    A helper gets only what is theirs: to get ready for a step that they may do. Looks, snags and orders are
    the builder's.
    """
    shop, state = context.shop, context.state
    helps = context.doer.role == "helper"
    mark = _here(context)
    step = position(shop, state, mark).step if mark is not None else None
    work = state.works.get(state.part(mark).work or "") if mark is not None else None
    runs = work is not None and work.status == "running"  # it is prepared
    if mark is not None and step is not None and not runs and not (helps and may_not_do(context, step)):
        yield ReadAhead(mark, step)
        if tools := shop.tool_names(step):
            yield LayOut(tools)
        if used := shop.consumable_names(step):
            yield CheckStock(used)
    if helps:
        return
    if waiting := sum(map(len, map(attrgetter("wants_look"), state.parts.values()))):
        yield LookOver(waiting)
    if snags := state.open_snags():
        yield DecideSnags(len(snags), snags[0].mark, snags[0].text)
    items = shop.consumables.values()
    stocked = ((item, in_stock(state, item)) for item in items)
    low = tuple((item, stock) for item, stock in stocked if stock.left < item.order_below)
    if low:
        yield OrderLow(low)
    for item, stock, wanted in (shelf_life or ShelfLife(context)).short_of():
        if stock.left >= item.order_below:
            yield OrderAhead(item, stock, wanted)
    for item in items:
        if item.expires is not None and (item.expires - context.today).days <= item.lead_days:
            yield OrderExpiring(item.name, item.expires)


def next_slot(context: Context) -> NextSlot | None:
    """What the next longer slot would begin with; None when nothing can be said."""
    mark = _here(context)
    if mark is None:
        return None
    where = position(context.shop, context.state, mark)
    if context.doer.role == "helper" and (where.step is None or may_not_do(context, where.step)):
        return None
    return NextSlot(mark, where.step) if where.step is not None or where.all_done else None


def _here(context: Context) -> str | None:
    """The mark that is in hand or that the work was last on, else the first that is not complete; never one
    that a snag holds. None where there is none."""
    shop, state = context.shop, context.state
    held = {snag.mark for snag in state.open_snags()}
    last = state.works.get(state.last_work or "")
    works = ([last] if last is not None else []) + list(state.works.values())
    in_hand = (mark for work in works for mark in (work.turned_to, *work.marks))
    done = (mark for one in reversed(state.confirmations) for mark in one.marks)
    return next(
        (
            mark
            for mark in chain(in_hand, done, shop.parts)
            if mark in shop.parts and mark not in held and not is_completed(state, mark)
        ),
        None,
    )
