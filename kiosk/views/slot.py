"""The minutes that somebody has, in words: what is left of them, and that it is time to put away."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:  # loaded when a slot runs: a start does without
    from kiosk.planning.put_away import PutAway


def header_words(found: PutAway) -> str:
    """What the header says of the slot."""
    return "PUT AWAY NOW  " if found.now else f"{found.left - found.needed} min, then put away  "


def put_away_words(found: PutAway) -> str:
    """The warning, with its sum; short, for a strip is one row of 64 columns."""
    left = "time is up" if found.left < 0 else f"{found.left} min left"
    parts = ((found.to_leave, "step"), (found.families, "tools"), (found.closing, "closing"))
    total = " + ".join(f"{what} {minutes}" for minutes, what in parts if minutes)
    return f"PUT AWAY NOW, {left}: {total} = {found.needed}" if total else f"PUT AWAY NOW, {left}"
