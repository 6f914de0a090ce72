"""When nothing fits: what prepares the next slot, what that begins with, and why the rest must wait."""

from datetime import date

from kiosk.planning.work.find_work import Found
from kiosk.record.position import position
from kiosk.record.state import State
from kiosk.shop.parts import marks_in_full
from kiosk.shop.shop import Shop


def _here(state: State, shop: Shop) -> str:
    """The mark that is in hand or that the work was last on, else the first that is not complete."""
    work = state.works.get(state.last_work or "") or next(iter(state.works.values()), None)
    if work is not None and work.turned_to in shop.parts:
        return work.turned_to
    for done in reversed(state.confirmations):
        for mark in done.marks:
            if mark in shop.parts and state.part(mark).completed_at is None:
                return mark
    open_parts = [mark for mark in shop.parts if state.part(mark).completed_at is None]
    return open_parts[0] if open_parts else next(iter(shop.parts))


def prepare(shop: Shop, state: State, today: date) -> list[str]:
    """Small things that help the next slot, for when little or nothing fits."""
    found: list[str] = []
    mark = _here(state, shop)
    where = position(shop, state, mark)
    if where.step is not None:
        found.append(f"Read ahead: {mark}, {where.step.do}")
        names = shop.tool_names(where.step)
        if names:
            found.append(f"Lay out: {', '.join(names)}")
        used = shop.consumable_names(where.step)
        if used:
            found.append(f"Check stock: {', '.join(used)}")
    waiting = sum(len(part.wants_look) for part in state.parts.values())
    if waiting:
        found.append(f"Look over {waiting} thing{'s' if waiting > 1 else ''} a helper did")
    snags = state.open_snags()
    if snags:
        many = f"{len(snags)} snag{'s' if len(snags) > 1 else ''}"
        found.append(f"Decide {many}: first {snags[0].mark}, {snags[0].text}")
    low = [
        f"{item.name} ({item.lead_days} days to come)" if item.lead_days else item.name
        for item in shop.consumables.values()
        if state.stock.get(item.id, item.left) < item.order_below
    ]
    if low:
        found.append(f"Order: {', '.join(low)}")
    for item in shop.consumables.values():
        # What is past its date before a new one could come has to be ordered now.
        if item.expires is not None and (item.expires - today).days <= item.lead_days:
            found.append(f"Order: {item.name}, good until {item.expires.isoformat()}")
    return found


def next_slot(shop: Shop, state: State) -> str:
    """What the next longer slot would begin with."""
    mark = _here(state, shop)
    where = position(shop, state, mark)
    if where.step is None:
        return f"{mark}: look it over and complete it" if where.all_done else ""
    return f"{mark}: {where.step.do}"


def not_now(found: Found) -> list[str]:
    """Why the rest cannot be done now, the largest group first."""
    ordered = sorted(found.not_now, key=lambda entry: -len(entry.marks))
    return [f"{marks_in_full(entry.marks)}: {entry.block.text}" for entry in ordered]
