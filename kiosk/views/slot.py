"""The minutes that somebody has, in words: what is left of them, and that it is time to put away."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:  # loaded when a slot runs: a start does without
    from kiosk.planning.put_away import PutAway


def header_words(found: PutAway) -> str:
    """What the header says of the slot."""
    return "PUT AWAY NOW  " if found.now else f"{found.left - found.needed} min, then put away  "


def put_away_words(found: PutAway) -> str:
    """The warning, with its sum: the most needed first, for a narrow strip cuts its end."""
    if found.left < 0:
        late = "your minutes are over"
    else:
        late = f"{found.left} min left"
    return f"PUT AWAY NOW: {late}, {sum_words(found)}"


def sum_words(found: PutAway) -> str:
    """How long leaving the bench takes, and of what that is made."""
    parts = ((found.to_leave, "this step"), (found.families, "tools"), (found.closing, "closing"))
    shown = [f"{minutes} {what}" for minutes, what in parts if minutes]
    return f"{found.needed} min to leave it" + (f": {' + '.join(shown)}" if len(shown) > 1 else "")
