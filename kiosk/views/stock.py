"""In words: what is left of a consumable, and from what that follows."""

from kiosk.catalogue import said
from kiosk.record.stock import InStock


def from_what(one: InStock, unit: str) -> str:
    """Where the figure comes from: ``900 on the list, 48 used since``."""
    if one.counted_at is None:
        first = said("{counted} {unit} on the shop's list", counted=f"{one.counted:g}", unit=unit)
    else:
        first = said(
            "{counted} {unit} counted on {day}",
            counted=f"{one.counted:g}",
            unit=unit,
            day=one.counted_at.astimezone().date().isoformat(),
        )
    return said("{first}, {used} used since", first=first, used=f"{one.used:g}") if one.used else first
