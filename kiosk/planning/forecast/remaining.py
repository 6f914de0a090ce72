"""What is still to do: every open step of some kinds of part, with how many pieces and set-ups."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from kiosk.record.lessons import times_follow_kind
from kiosk.record.position import steps_left
from kiosk.record.state import PieceTime, SetUpTime, State, Timed, Times
from kiosk.shop.procedure import Family, Procedure, Step, StepRef
from kiosk.shop.shop import Shop

USUAL_BATCH = 4.0  # pieces to one set-up before the record says otherwise
BATCH_WEIGHT = 3.0  # set-ups that this counts for


@dataclass(frozen=True)
class StepToDo:
    """One step with how many pieces are still to go through it.

    Where its times follow from the part kind, those of that kind alone; else ``kind`` is that of the first.
    """

    procedure: Procedure
    step: Step
    kind: str
    pieces: int


@dataclass(frozen=True)
class SetUpToDo:
    """A family of steps with how often it will be set up still."""

    procedure: Procedure
    step: Step  # one of the family that has a set-up time
    times: int


@dataclass(frozen=True)
class Remaining:
    """The work still to do on the parts of some kinds."""

    parts: int
    open_parts: int
    steps: tuple[StepToDo, ...]
    set_ups: tuple[SetUpToDo, ...]
    # What one scrapped part costs again, by kind: how many parts are open, and its whole route.
    routes: tuple[tuple[int, tuple[StepToDo, ...]], ...]


def scope_of(shop: Shop, kind_id: str | None) -> frozenset[str]:
    """A kind with every kind that it needs or is made from, down to the tooling; all kinds for None."""
    if kind_id is None:
        return frozenset(shop.kinds)
    found: set[str] = set()
    wanted = [kind_id]
    while wanted:
        one = wanted.pop()
        if one in found:
            continue
        found.add(one)
        wanted += [needed for stage in shop.kinds[one].route for needed in stage.needs]
        for mark in shop.marks_of(one):
            wanted += [shop.parts[other].kind for other in shop.parts[mark].made_from]
    return frozenset(found)


def remaining(shop: Shop, state: State, kinds: frozenset[str]) -> Remaining:
    """Everything still to do on the parts of these kinds."""
    pieces: dict[tuple[StepRef, str], int] = {}
    steps: dict[tuple[StepRef, str], tuple[Procedure, Step, str]] = {}
    follows: dict[StepRef, bool] = {}
    open_of: dict[str, int] = {}
    parts = 0
    for mark, part in shop.parts.items():
        if part.kind not in kinds:
            continue
        parts += 1
        if state.part(mark).completed_at is not None:
            continue
        open_of[part.kind] = open_of.get(part.kind, 0) + 1
        for procedure, step in steps_left(shop, state, mark):
            ref = procedure.ref(step)
            if ref not in follows:
                follows[ref] = times_follow_kind(procedure, step)
            key = (ref, part.kind if follows[ref] else "")
            pieces[key] = pieces.get(key, 0) + 1
            steps.setdefault(key, (procedure, step, part.kind))
    works = tuple(StepToDo(*steps[key], count) for key, count in pieces.items())
    return Remaining(
        parts=parts,
        open_parts=sum(open_of.values()),
        steps=works,
        set_ups=_set_ups(state, works),
        routes=tuple((count, _route(shop, kind_id)) for kind_id, count in open_of.items()),
    )


def _route(shop: Shop, kind_id: str) -> tuple[StepToDo, ...]:
    return tuple(
        StepToDo(procedure, step, kind_id, 1) for procedure, step in shop.route_steps(shop.kinds[kind_id])
    )


def _set_ups(state: State, works: tuple[StepToDo, ...]) -> tuple[SetUpToDo, ...]:
    """How often each family will be set up: its pieces, by as many to a set-up as the record shows."""
    families: dict[Family, list[StepToDo]] = {}
    for work in works:
        if work.step.minutes.set_up > 0:
            families.setdefault(work.procedure.family_of(work.step), []).append(work)
    batch = pieces_a_set_up(state.times)
    return tuple(
        SetUpToDo(
            members[0].procedure,
            max((work.step for work in members), key=lambda step: step.minutes.set_up),
            math.ceil(sum(work.pieces for work in members) / batch),
        )
        for members in families.values()
    )


def timed_pieces(times: Mapping[Timed, Times]) -> int:
    """How many pieces the record holds the times of, whoever did them."""
    return sum(seen.count for of, seen in times.items() if isinstance(of, PieceTime))


def pieces_a_set_up(times: Mapping[Timed, Times]) -> float:
    """How many pieces are done to one set-up, from the record, drawn towards four."""
    set_ups = sum(seen.count for of, seen in times.items() if isinstance(of, SetUpTime))
    pieces = timed_pieces(times)
    return max(1.0, (USUAL_BATCH * BATCH_WEIGHT + pieces) / (BATCH_WEIGHT + set_ups))
