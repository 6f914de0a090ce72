"""In words: what prepares the next slot, what that begins with, and why the rest must wait."""

from kiosk.catalogue import said
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
            return said("Read ahead: {mark}, {do}", mark=mark, do=_do(step, for_helper))
        case LayOut(tools):
            return said("Lay out: {tools}", tools=", ".join(tools))
        case CheckStock(consumables):
            return said("Check stock: {consumables}", consumables=", ".join(consumables))
        case LookOver(things):
            return said("Look over {things} a helper did", things=so_many(things, "thing", "things"))
        case DecideSnags(snags, mark, text):
            return said(
                "Decide {snags}: first {mark}, {text}",
                snags=so_many(snags, "snag", "snags"),
                mark=mark,
                text=text,
            )
        case OrderLow(items):
            return said("Order: {items}", items="; ".join((_low(item, stock) for item, stock in items)))
        case OrderAhead(item, stock, wanted):
            return said(
                "Order: {name}, {left} {unit} left, about {wanted} wanted in the {days} until more comes",
                name=item.name,
                left=f"{stock.left:g}",
                unit=item.unit,
                wanted=f"{wanted:g}",
                days=so_many(item.lead_days, "day", "days"),
            )
        case OrderExpiring(item, expires):
            return said("Order: {item}, good until {day}", item=item, day=expires.isoformat())


def _low(item: Consumable, stock: InStock) -> str:
    days = said(", {days} to come", days=so_many(item.lead_days, "day", "days")) if item.lead_days else ""
    return said(
        "{name}, {left} {unit} left ({from_what}{days})",
        name=item.name,
        left=f"{stock.left:g}",
        unit=item.unit,
        from_what=from_what(stock, item.unit),
        days=days,
    )


def next_slot_words(one: NextSlot, *, for_helper: bool = False) -> str:
    """What the next slot begins with, to go after "The next slot begins with"."""
    do = _do(one.step, for_helper) if one.step is not None else said("look it over and complete it")
    return f"{one.mark}: {do}"


def _do(step: Step, for_helper: bool) -> str:
    return (step.plain or step.do) if for_helper else step.do


def read_room_words(one: NotNow, *, for_helper: bool = False) -> str:
    """That parts wait for a reading of the room alone, and what they could then go on with."""
    wait = "wait" if len(one.marks) > 1 else "waits"
    return said(
        "READ THE ROOM: {parts} {wait} for that alone. Then: {do}",
        parts=marks_in_full(one.marks),
        wait=wait,
        do=_do(one.step, for_helper),
    )


def not_now_words(one: NotNow) -> str:
    """Parts and why their next step cannot begin, to go after "Not now:"."""
    marks, why = marks_in_full(one.marks), one.block.text
    return why if (one.block.names,) == one.marks else f"{marks}: {why}"  # each mark once
