"""The part board: which part is at which step, by kind."""

from dataclasses import dataclass
from typing import Literal

from kiosk.record.context import Context
from kiosk.record.position import position
from kiosk.record.readiness import Block, part_blocks, step_blocks
from kiosk.record.state import State
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.shop import Shop

StateWord = Literal["COMPLETE", "IN HAND", "HELD", "READY", "WAITS", "ALL DONE", "QUESTION"]


@dataclass(frozen=True)
class BoardRow:
    """One part: where it stands in one word and one line."""

    mark: str
    kind: str
    state_word: StateWord
    where: str
    procedure: str
    step: str
    reason: str


@dataclass(frozen=True)
class KindCount:
    """How far a kind is: complete, begun and all."""

    kind: str
    name: str
    complete: int
    begun: int
    all: int


def board(context: Context, kind: str | None = None) -> list[BoardRow]:
    """A row for each part, of one kind or of all, in the order of the shop file."""
    shop, state = context.shop, context.state
    step_stops: dict[int, tuple[Step, list[Block]]] = {}  # by the step, which kinds share unless it differs

    def stops_of(mark: str, procedure: Procedure, step: Step) -> list[Block]:
        if id(step) not in step_stops:
            step_stops[id(step)] = (step, step_blocks(context, step))
        return part_blocks(context, mark, procedure, step) + step_stops[id(step)][1]

    rows = []
    for part in shop.parts.values():
        if kind is not None and part.kind != kind:
            continue
        where = position(shop, state, part.mark)
        work = state.works.get(state.part(part.mark).work or "")
        procedure_id = where.procedure.id if where.procedure else ""
        step_id = where.step.id if where.step else ""
        line = reason = ""
        word: StateWord
        if where.step is not None and where.procedure is not None:
            line = f"{where.procedure.title}: {where.number} of {where.of}, {step_id.replace('-', ' ')}"
        if where.completed:
            word = "COMPLETE"
        elif state.open_snags(part.mark):
            word = "HELD"
            reason = state.open_snags(part.mark)[0].text
        elif work is not None:
            word = "IN HAND"
        elif where.question is not None:
            word, line = "QUESTION", where.question.words
        elif where.all_done:
            word, line = "ALL DONE", "look it over and complete it"
        else:
            assert where.procedure is not None and where.step is not None
            stops = stops_of(part.mark, where.procedure, where.step)
            word = "WAITS" if stops else "READY"
            reason = stops[0].text if stops else ""
        rows.append(BoardRow(part.mark, part.kind, word, line, procedure_id, step_id, reason))
    return rows


def kind_counts(shop: Shop, state: State) -> list[KindCount]:
    """How far each kind is, in the order of the shop file."""
    found = []
    for kind in shop.kinds.values():
        marks = [part.mark for part in shop.parts.values() if part.kind == kind.id]
        complete = sum(1 for mark in marks if state.part(mark).completed_at is not None)
        begun = sum(
            1
            for mark in marks
            if state.part(mark).completed_at is None and (state.part(mark).passes or state.part(mark).work)
        )
        found.append(KindCount(kind.id, kind.name, complete, begun, len(marks)))
    return found


def standing_with(shop: Shop, state: State, mark: str) -> tuple[str, ...]:
    """Parts of the same kind at the same step and not in hand, this one first: a batch to walk together."""
    where = position(shop, state, mark)
    if where.step is None or where.procedure is None:
        return (mark,)
    kind = shop.parts[mark].kind
    others = [
        part.mark
        for part in shop.parts.values()
        if part.kind == kind
        and part.mark != mark
        and state.part(part.mark).work not in state.works
        and not state.open_snags(part.mark)
        and (there := position(shop, state, part.mark)).step is where.step
        and there.procedure is where.procedure
    ]
    return (mark, *others)
