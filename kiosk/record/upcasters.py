"""Lift the body of an event that an older kiosk wrote to the fields of today.

Each kind of event has a version of its own, from 1. To change the fields of a kind, append a function to its
ladder here and raise ``version`` in its class by one: the function takes the fields of the version before,
as they stand in the record, and gives those of the next. The record itself is never rewritten, so a step of
a ladder is kept for ever. A field that is only added, with a default that means what its absence meant, needs
none.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

Fields = dict[str, Any]  # of one body, as its JSON has them
Upcaster = Callable[[Fields], Fields]

# By kind: the first function lifts version 1 to 2, the next 2 to 3, and so on.
UPCASTERS: Mapping[str, Sequence[Upcaster]] = {}


def today(kind: str) -> int:
    """The version of a kind's fields that this kiosk writes."""
    return len(UPCASTERS.get(kind, ())) + 1


def lift(kind: str, version: int, fields: Fields) -> Fields:
    """The fields of a version, 1 up to today's, as today's."""
    for upcaster in UPCASTERS.get(kind, ())[version - 1 :]:
        fields = upcaster(fields)
    return {**fields, "version": today(kind)}
