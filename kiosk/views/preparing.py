"""In words: what prepares the next slot, what that begins with, and why the rest must wait."""

from kiosk.planning.preparing import (
    CheckStock,
    DecideSnags,
    LayOut,
    LookOver,
    NextSlot,
    OrderAhead,
    OrderExpiring,
    OrderLow,
    Preparation,
    ReadAhead,
)
from kiosk.planning.work.found_work import NotNow
from kiosk.plural import so_many
from kiosk.record.stock import InStock
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import Step
from kiosk.shop.shop import Consumable
from kiosk.views.stock import from_what


def preparation_words(one: Preparation, *, for_helper: bool = False) -> str:
    """A small thing to do for the next slot, in one line, verb first, a step in a helper's own words."""
    match one:
        case ReadAhead(mark, step):
            return f"Read ahead: {mark}, {_do(step, for_helper)}"
        case LayOut(tools):
            return f"Lay out: {', '.join(tools)}"
        case CheckStock(consumables):
            return f"Check stock: {', '.join(consumables)}"
        case LookOver(things):
            return f"Look over {so_many(things, 'thing', 'things')} a helper did"
        case DecideSnags(snags, mark, text):
            return f"Decide {so_many(snags, 'snag', 'snags')}: first {mark}, {text}"
        case OrderLow(items):
            return f"Order: {'; '.join(_low(item, stock) for item, stock in items)}"
        case OrderAhead(item, stock, wanted):
            return (
                f"Order: {item.name}, {stock.left:g} {item.unit} left, about {wanted:g} wanted"
                f" in the {so_many(item.lead_days, 'day', 'days')} until more comes"
            )
        case OrderExpiring(item, expires):
            return f"Order: {item}, good until {expires.isoformat()}"


def _low(item: Consumable, stock: InStock) -> str:
    days = f", {so_many(item.lead_days, 'day', 'days')} to come" if item.lead_days else ""
    return f"{item.name}, {stock.left:g} {item.unit} left ({from_what(stock, item.unit)}{days})"


def next_slot_words(one: NextSlot, *, for_helper: bool = False) -> str:
    """What the next slot begins with, to go after "The next slot begins with"."""
    do = _do(one.step, for_helper) if one.step is not None else "look it over and complete it"
    return f"{one.mark}: {do}"


def _do(step: Step, for_helper: bool) -> str:
    return (step.plain or step.do) if for_helper else step.do


def read_room_words(one: NotNow, *, for_helper: bool = False) -> str:
    """That parts wait for a reading of the room alone, and what they could then go on with."""
    wait = "wait" if len(one.marks) > 1 else "waits"
    return (
        f"READ THE ROOM: {marks_in_full(one.marks)} {wait} for that alone. Then: {_do(one.step, for_helper)}"
    )


def not_now_words(one: NotNow) -> str:
    """Parts and why their next step cannot begin, to go after "Not now:"."""
    marks, why = marks_in_full(one.marks), one.block.text
    return why if why.startswith(f"{marks} ") else f"{marks}: {why}"  # each mark once
