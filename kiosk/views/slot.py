"""The minutes that somebody has, in words: what is left of them, and that it is time to put away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kiosk.catalogue import said

if TYPE_CHECKING:  # loaded when a slot runs: a start does without
    from kiosk.planning.put_away import PutAway, TooLong


def header_words(found: PutAway) -> str:
    """What the header says of the slot."""
    if found.now:
        return f"{said('PUT AWAY NOW')}  "
    if found.left <= found.needed:  # nothing is begun yet: there is nothing to put away either
        return f"{said('{minutes} min left', minutes=found.left)}  "
    return f"{said('{minutes} min, then put away', minutes=found.left - found.needed)}  "


def put_away_words(found: PutAway) -> str:
    """The warning, with its sum; short, for a strip is one row of 64 columns."""
    left = said("time is up") if found.over else said("{minutes} min left", minutes=found.left)
    parts = (
        (found.to_leave, said("step")),
        (found.families, said("tools")),
        (found.closing, said("closing")),
    )
    total = " + ".join(f"{what} {minutes}" for minutes, what in parts if minutes)
    if not total:
        return said("PUT AWAY NOW, {left}", left=left)
    return said("PUT AWAY NOW, {left}: {total} = {needed}", left=left, total=total, needed=found.needed)


def too_long_words(found: TooLong) -> str:
    """That a step which may not be left does not fit what is left of the slot."""
    left = said("your time is up") if not found.left else said("{minutes} min are left", minutes=found.left)
    return said("with putting away it takes up to {takes} min, and {left}", takes=found.takes, left=left)
