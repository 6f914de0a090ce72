"""What can be done now: parts at the same step gathered into candidates; what cannot be begun, and why."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.candidate import Candidate
from kiosk.planning.work.options import OptionMaker
from kiosk.planning.work.worth import Road
from kiosk.record.context import Context
from kiosk.record.position import Position, position
from kiosk.record.readiness import Block, part_blocks, step_blocks
from kiosk.record.state import State
from kiosk.shop.procedure import Family, Procedure, Step
from kiosk.shop.shop import Shop


@dataclass(frozen=True)
class NotNow:
    """Parts whose next step cannot begin now, with the reason."""

    marks: tuple[str, ...]
    procedure: Procedure
    step: Step
    block: Block


@dataclass(frozen=True)
class Found:
    """Everything the planner looks at: what can be done, what cannot, and the cost of each set-up."""

    candidates: tuple[Candidate, ...]
    not_now: tuple[NotNow, ...]
    set_up: Mapping[Family, int]
    free: frozenset[Family]
    minutes: int  # the window they were looked for in


def find(
    context: Context, minutes: int, quiet_in: int | None = None, predictor: Predictor | None = None
) -> Found:
    """Everything that could be taken up now within ``minutes``, and what could not and why.

    What makes noise must end within ``quiet_in`` minutes where that is given.
    """
    shop, state, now = context.shop, context.state, context.now
    road = Road(shop, state)
    groups: dict[tuple[str, str, str], list[str]] = {}
    later: dict[tuple[str, str, str], list[tuple[int, str]]] = {}
    not_now: dict[tuple[str, str, str], tuple[list[str], Procedure, Step, Block]] = {}
    step_stops: dict[tuple[str, str], list[Block]] = {}

    def stops_of(procedure: Procedure, step: Step) -> list[Block]:
        key = (procedure.id, step.id)
        if key not in step_stops:
            step_stops[key] = step_blocks(context, step)
        return step_stops[key]

    # Parts of a kind that nobody has touched, that no snag holds and that hold no other part stand alike.
    alike: dict[str, tuple[Position, list[Block]]] = {}
    held = {snag.mark for snag in state.open_snags()}
    for mark, part in shop.parts.items():
        plain = mark not in state.parts and mark not in held and not part.made_from
        if plain and part.kind in alike:
            where, stops = alike[part.kind]
        else:
            where = position(shop, state, mark)
            stops = []
            if where.procedure is not None and where.step is not None:
                stops = part_blocks(context, mark, where.procedure, where.step)
                stops = stops or stops_of(where.procedure, where.step)
            if plain:
                alike[part.kind] = (where, stops)
        if where.procedure is None or where.step is None:
            continue
        if not plain and state.part(mark).work in state.works:
            continue
        key = (part.kind, where.procedure.id, where.step.id)
        ends = [
            math.ceil((stop.until - now).total_seconds() / 60) for stop in stops if stop.until is not None
        ]
        waits_only = bool(stops) and len(ends) == len(stops) and stops[0].kind == "wait"
        if waits_only and max(ends) < minutes and not stops_of(where.procedure, where.step):
            later.setdefault(key, []).append((max(ends), mark))
        if stops:
            blocked = not_now.setdefault(
                (where.procedure.id, where.step.id, stops[0].kind),
                ([], where.procedure, where.step, stops[0]),
            )
            blocked[0].append(mark)
        else:
            groups.setdefault(key, []).append(mark)

    predictor = predictor or Predictor(shop, state, context.doer, context.today)
    builder = OptionMaker(shop, state, road, minutes, now, stops_of, quiet_in, predictor)
    # A step that somebody else at the bench has begun is theirs to go on with.
    others = {person.id for person in context.people if person.id != context.doer.id}
    candidates = [
        builder.in_hand(work)
        for work in state.works.values()
        if work.status != "unknown" and work.by not in others
    ]
    candidates += [
        builder.made(one) for one in builder.needed([builder.prepared(m) for m in groups.values()])
    ]
    candidates += [builder.waiting(waits) for waits in later.values()]
    free = _out_on_bench(shop, state)
    return Found(
        candidates=tuple(candidate for candidate in candidates if candidate is not None),
        not_now=tuple(
            NotNow(tuple(marks), procedure, step, block) for marks, procedure, step, block in not_now.values()
        ),
        set_up=builder.set_up,
        free=free,
        minutes=minutes,
    )


def _out_on_bench(shop: Shop, state: State) -> frozenset[Family]:
    """Families that are set up now: those of steps in hand in this sitting."""
    if state.sitting is None:
        return frozenset()
    found: set[Family] = set()
    for work in state.works.values():
        procedure, step = shop.find_step(work.procedure, work.step)
        if procedure and step and work.run == state.sitting.run:
            found.add(procedure.family_of(step))
    for done in state.confirmations[-1:]:
        procedure, step = shop.find_step(done.procedure, done.step)
        if procedure and step and done.at >= state.sitting.opened_at:
            found.add(procedure.family_of(step))
    return frozenset(found)
