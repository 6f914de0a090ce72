"""How many of like parts can go along without tearing a batch apart that walks together."""

import functools
from collections.abc import Collection, Iterable, Sequence

from kiosk.dataclass import dataclass
from kiosk.record.part_stops import Together
from kiosk.record.positions import GroupKey
from kiosk.record.state import State


@dataclass(frozen=True)
class Walk:
    """Like parts in the order in which they are taken, and how many of them go along without tearing a
    batch: taken from the beginning, or from the end."""

    marks: tuple[str, ...]
    untorn: frozenset[int]
    untorn_from_end: frozenset[int]


class Walks:
    """The order of like parts, kept for as long as :class:`PartStops` gives the same ones."""

    def __init__(self) -> None:
        self._of: dict[GroupKey, tuple[Together, Walk]] = {}

    def of(self, state: State, together: Together) -> Walk:
        """How these parts walk."""
        kept = self._of.get(together.at.key)
        if kept is None or kept[0] is not together:
            marks = sorted(together.marks)
            marks = batches_in_order(marks, batches_of(state, marks))
            batches = batches_of(state, marks)
            walk = Walk(tuple(marks), untorn_counts(batches), untorn_counts(batches, from_end=True))
            kept = self._of[together.at.key] = (together, walk)
        return kept[1]


def batches_of(state: State, marks: Sequence[str]) -> list[str]:
    """The batch that each walks in; empty for one that is alone."""
    parts = state.parts
    return [part.batch if (part := parts.get(mark)) is not None else "" for mark in marks]


def untorn_counts(batches: Sequence[str], *, from_end: bool = False) -> frozenset[int]:
    """The numbers of parts, taken from the beginning or from the end, that hold all or none of each batch.

    ``batches`` says for each part in order which it walks in; an empty word for one that is alone.
    """
    if not any(batches):
        return _any_count(len(batches))
    ordered = list(reversed(batches)) if from_end else list(batches)
    last = {batch: place for place, batch in enumerate(ordered)}
    found, open_until = {len(ordered)}, 0
    for place, batch in enumerate(ordered):
        if place >= open_until:
            found.add(place)
        open_until = max(open_until, place + 1, last[batch] + 1 if batch else 0)
    return frozenset(found - {0})


@functools.lru_cache(maxsize=256)
def _any_count(parts: int) -> frozenset[int]:
    return frozenset(range(1, parts + 1))


def batches_in_order(marks: Sequence[str], batches: Sequence[str]) -> list[str]:
    """The same marks, each batch brought together where its first stands."""
    if not any(batches):
        return list(marks)
    first: dict[str, int] = {}
    for place, batch in enumerate(batches):
        if batch:
            first.setdefault(batch, place)
    at = {
        mark: first.get(batch, place) for place, (mark, batch) in enumerate(zip(marks, batches, strict=True))
    }
    return sorted(marks, key=lambda mark: at[mark])


def torn_counts(counts: Iterable[int], whole: Collection[int], can_go: Collection[int]) -> list[int]:
    """How many parts may go along although that tears a batch: where none of the ``whole`` counts that hold
    all of it ``can_go`` some of the way in the slot.

    At a step all of a batch is done before any of it goes on; a batch of which all can go nowhere is torn.
    """
    torn = (count for count in counts if count not in whole)
    return [count for count in torn if min((one for one in whole if one >= count), default=0) not in can_go]
