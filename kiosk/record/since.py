"""What changed in the shop's files since work was recorded by them: said at start, and by `kiosk check`.

Nothing here decides. A part whose place cannot be told has a question on it (``position.py``) until the
builder answers; this says in one line each what the questions come from, and where in the files to mend it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from kiosk.dataclass import dataclass
from kiosk.record.events import ProcedureKept
from kiosk.record.positions import Positions
from kiosk.record.rules.words import words_of
from kiosk.record.state import State
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import Procedure
from kiosk.shop.shop import SHOP_FILE, Shop

if TYPE_CHECKING:  # the YAML reader is slow to load, and a start does without
    from kiosk.shop.reader import Location


@dataclass(frozen=True)
class Since:
    """One thing that changed: what is so, how to mend it, and the place in a file (an id, or shop.yaml)."""

    wrong: str
    mend: str
    file: str
    location: Location = ()


def parts_without_a_place(shop: Shop, state: State, kept: Positions | None = None) -> list[Since]:
    """What is recorded on parts and has no place in the files, like parts together."""
    positions = (kept or Positions()).follow(shop, state)
    return [*_marks_gone(shop, state), *_questions(shop, state, positions)]


def _marks_gone(shop: Shop, state: State) -> Iterator[Since]:
    gone = [
        mark
        for mark, part in state.parts.items()
        if mark not in shop.parts and (part.work in state.works or any(part.passes.values()))
    ]
    if gone:
        is_in_hand = any(state.parts[mark].work in state.works for mark in gone)
        verb, them = ("is", "it") if len(gone) == 1 else ("are", "them")
        yield Since(
            f"{marks_in_full(gone)} {verb} no longer in shop.yaml, and work on {them} is"
            f" {'in hand' if is_in_hand else 'recorded'}",
            f"put {them} back, or write renamed_from: at the marks of now",
            SHOP_FILE,
            ("part_kinds",),
        )


def _questions(shop: Shop, state: State, positions: Positions) -> Iterator[Since]:
    gathered: dict[tuple[str, str, str], list[str]] = {}
    for mark in state.parts:
        if mark in shop.parts:
            where = positions.of(mark)
            if where.question is not None:
                procedure = where.procedure.id if where.procedure is not None else ""
                key = (shop.parts[mark].kind, procedure, where.question.words)
                gathered.setdefault(key, []).append(mark)
    kinds = list(shop.kinds)
    for (kind, procedure, words), marks in gathered.items():
        of_route: Location = ("part_kinds", kinds.index(kind), "route")
        yield Since(
            f"{marks_in_full(marks)}: {words}",
            "write renamed_from: where it was renamed, or say on the screen where to go on",
            procedure or SHOP_FILE,
            ("steps",) if procedure else of_route,
        )


def changed_words(procedures: Iterable[Procedure], kept: Iterable[ProcedureKept]) -> Iterator[Since]:
    """Procedures whose text changed under a revision that work is recorded to."""
    recorded: dict[tuple[str, str], list[Any]] = {}
    for one in kept:
        recorded.setdefault((one.procedure, one.revision), []).append(_without_names(json.loads(one.words)))
    for procedure in procedures:
        before = recorded.get((procedure.id, procedure.revision))
        now = _without_names(json.loads(words_of(procedure)))
        if before and now not in before:
            changed = _what_changed(before[-1], now)
            yield Since(
                f"{changed} since work was recorded by revision {procedure.revision!r}",
                "give it another revision, with revised: and reason:",
                procedure.id,
                ("revision",),
            )


def _without_names(words: Any) -> Any:
    """What is to be done; what a thing was called before is no part of it."""
    if isinstance(words, dict):
        return {key: _without_names(value) for key, value in words.items() if key != "renamed_from"}
    return [_without_names(one) for one in words] if isinstance(words, list) else words


def _what_changed(before: Mapping[str, Any], now: Mapping[str, Any]) -> str:
    """The first steps whose words are others, or what else is."""
    old = {step["id"]: step for step in before["steps"]}
    new = {step["id"]: step for step in now["steps"]}
    changed = [step for step in dict.fromkeys([*new, *old]) if new.get(step) != old.get(step)]
    if changed:
        more = f" and {len(changed) - 1} more" if len(changed) > 1 else ""
        return f"step {changed[0]!r}{more} changed"
    return "the order of the steps changed" if list(old) != list(new) else "its text changed"
