"""In words: what is left of a consumable, and from what that follows."""

from kiosk.record.stock import InStock


def from_what(one: InStock, unit: str) -> str:
    """Where the figure comes from: ``900 on the list, 48 used since``."""
    if one.counted_at is None:
        first = f"{one.counted:g} {unit} on the shop's list"
    else:
        first = f"{one.counted:g} {unit} counted on {one.counted_at.astimezone().date().isoformat()}"
    return f"{first}, {one.used:g} used since" if one.used else first
