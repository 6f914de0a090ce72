"""What an act means: each rule decides, on the newest state, which events to record, or refuses.

These are the rules that no screen may bend. Every act goes through the one door (``door.py``), which asks who
may do it; the rules themselves are by subject: steps, batches, parts, clocks,
corrections, snags, people, trials, things, wishes.
"""

from kiosk.record.rules import (
    batches,
    clocks,
    corrections,
    parts,
    people,
    snags,
    steps,
    things,
    trials,
    wishes,
)
from kiosk.record.rules.door import ACTS, Act, Bodies, NotAllowed, Refused, Who, why_not
from kiosk.record.rules.pin import WrongPin

__all__ = [
    "ACTS",
    "Act",
    "Bodies",
    "NotAllowed",
    "Refused",
    "Who",
    "WrongPin",
    "batches",
    "clocks",
    "corrections",
    "parts",
    "people",
    "snags",
    "steps",
    "things",
    "trials",
    "why_not",
    "wishes",
]
