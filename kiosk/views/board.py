"""The part board: which part is at which step, by kind."""

from collections import Counter
from collections.abc import Sequence
from itertools import dropwhile
from typing import Literal, NamedTuple

from kiosk.catalogue import said, to_be_said
from kiosk.dataclass import dataclass
from kiosk.record.batch import goes_on
from kiosk.record.context import Context
from kiosk.record.part_stops import all_parts
from kiosk.record.position import Position
from kiosk.record.readiness import StepStops, part_blocks, run_blocks
from kiosk.record.soonest import AtBench
from kiosk.record.state import State
from kiosk.record.together import go_together
from kiosk.record.wishes import wishes_now
from kiosk.shop.shop import Shop

StateWord = Literal["COMPLETE", "IN HAND", "HELD", "READY", "WAITS", "ALL DONE", "QUESTION"]
Narrowed = Literal["in work", "waiting", "mine", "held"]

# As they are said on a screen; everywhere else they are what they are called in the code.
STATES_SAID: dict[StateWord, str] = {
    "COMPLETE": to_be_said("COMPLETE"),
    "IN HAND": to_be_said("IN HAND"),
    "HELD": to_be_said("HELD"),
    "READY": to_be_said("READY"),
    "WAITS": to_be_said("WAITS"),
    "ALL DONE": to_be_said("ALL DONE"),
    "QUESTION": to_be_said("QUESTION"),
}

_WORDS: dict[Narrowed, tuple[StateWord, ...]] = {
    "in work": ("IN HAND",),
    "waiting": ("WAITS",),
    "held": ("HELD", "QUESTION"),
}


class BoardRow(NamedTuple):
    """One part: where it stands in one word and one line.

    A tuple, since a board makes thousands of them.
    """

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
    positions = context.positions
    held: dict[str, str] = {}
    for snag in state.open_snags():
        held.setdefault(snag.mark, snag.text)
    stands = _at_steps(context, kind)
    rows = []
    for mark, part in shop.parts.items():
        if kind is not None and part.kind != kind:
            continue
        stand = stands.get(mark)
        if stand is None:
            stand = _without_a_step(positions.of(mark), in_hand=state.part(mark).work in state.works)
        if mark in held and stand.word != "COMPLETE":
            where = stand.where if stand.step else ""
            stand = stand._replace(word="HELD", where=where, reason=held[mark])
        rows.append(BoardRow(mark, part.kind, *stand))
    return rows


def narrowed(context: Context, rows: Sequence[BoardRow], to: Narrowed) -> list[BoardRow]:
    """Those of the rows that are in work, that wait, that are held, or that are the doer's own.

    A builder's own are the parts in their hands and those that wait for their decision; a helper's are the
    parts in their hands and those whose next step they may do now. What the doer asked for is theirs too.
    """
    if to != "mine":
        return [row for row in rows if row.state_word in _WORDS[to]]
    doer, state = context.doer, context.state
    theirs = {mark for work in state.works.values() if work.by == doer.id for mark in work.marks}
    asked = [one for one in wishes_now(context) if one.by == doer.id and one.wish == "first"]
    theirs |= {one.mark for one in asked}
    kinds = {one.part_kind for one in asked}
    if doer.role == "builder":
        words: tuple[StateWord, ...] = ("HELD", "QUESTION", "ALL DONE")
        theirs |= {mark for mark, part in state.parts.items() if part.wants_look}
    else:
        words = ("READY",)
    return [
        row
        for row in rows
        if row.state_word != "COMPLETE"
        and (row.mark in theirs or row.kind in kinds or row.state_word in words)
    ]


class _Stand(NamedTuple):
    """A row but for its part: the same for all parts that stand alike."""

    word: StateWord
    where: str
    procedure: str = ""
    step: str = ""
    reason: str = ""


def _at_steps(context: Context, kind: str | None) -> dict[str, _Stand]:
    """How the parts stand that have a next step."""
    step_stops, at_bench = StepStops(context), AtBench(context)
    found: dict[str, _Stand] = {}
    positions = context.positions
    for one in all_parts(context):
        first = one.marks[0]
        if kind is not None and context.shop.parts[first].kind != kind:
            continue
        at = positions.of(first)
        reason = ""
        word: StateWord = "IN HAND"
        if not one.in_hand:
            stops = (
                one.stops
                or step_stops.of(one.at.asks)
                or run_blocks(context, [first], one.procedure, one.step, at_bench)
            )
            word = "WAITS" if stops else "READY"
            reason = stops[0].text if stops else ""
        line = said(
            "{title}: {number} of {of}, {step}",
            title=one.procedure.title,
            number=at.number,
            of=at.of,
            step=one.step.id.replace("-", " "),
        )
        found.update(dict.fromkeys(one.marks, _Stand(word, line, one.procedure.id, one.step.id, reason)))
    return found


def _without_a_step(at: Position, *, in_hand: bool) -> _Stand:
    procedure = at.procedure.id if at.procedure is not None else ""
    if at.completed:
        return _Stand("COMPLETE", "")
    if in_hand:
        return _Stand("IN HAND", "", procedure)
    if at.question is not None:
        return _Stand("QUESTION", at.question.words, procedure)
    return _Stand("ALL DONE", said("look it over and complete it"))


def kind_counts(shop: Shop, state: State) -> list[KindCount]:
    """How far each kind is, in the order of the shop file."""
    complete: Counter[str] = Counter()
    begun: Counter[str] = Counter()
    for mark, part in state.parts.items():
        if mark in shop.parts:
            kind = shop.parts[mark].kind
            complete[kind] += part.completed_at is not None
            begun[kind] += part.completed_at is None and bool(part.passes or part.work)
    return [
        KindCount(kind.id, kind.name, complete[kind.id], begun[kind.id], len(shop.marks_of(kind.id)))
        for kind in shop.kinds.values()
    ]


def standing_with(context: Context, mark: str) -> tuple[str, ...]:
    """Parts of the same kind and hand at the same step and not in hand, this one first: a batch to walk.

    One hand only: a template turned over in the middle of a batch is a wrong rib. But where one pot of primer
    is for all of a batch, all of it.
    """
    shop, state = context.shop, context.state
    positions = context.positions
    where = positions.of(mark)
    if where.step is None or where.procedure is None:
        return (mark,)
    held = {snag.mark for snag in state.open_snags()}
    others = [
        other
        for other in shop.marks_of(shop.parts[mark].kind)
        if other != mark
        and shop.parts[other].hand == shop.parts[mark].hand
        and positions.of(other).step is where.step
        and state.part(other).work not in state.works
        and other not in held
    ]
    if where.step.batch == "together":
        others += [one for one in _of_its_batch(context, mark) if one not in others and one not in held]
    return (mark, *others)


def of_other_kinds(context: Context, mark: str) -> tuple[str, ...]:
    """Parts of other kinds that may begin this part's step all at once with it: ribs and clips under one
    mixture. Of its own hand or of none, as a template for both; a part without a hand goes with either.

    Only where they go all at once through a run that can't be left, at this step or after it in its
    procedure. Elsewhere kinds that began together would walk as one batch for nothing from then on.
    """
    shop, state = context.shop, context.state
    positions = context.positions
    where, part = positions.of(mark), shop.parts[mark]
    if where.step is None or where.procedure is None or where.step.batch != "together":
        return ()
    here = where.step.id
    ahead = dropwhile(lambda one: one.id != here, shop.steps_for(shop.kind_of(mark), where.procedure))
    run = next((one for one in ahead if one.batch == "together" and one.stop == "go straight on"), None)
    if run is None:
        return ()
    ref, in_run = where.procedure.ref(where.step), where.procedure.ref(run)
    found: list[str] = []
    for at in positions.at_steps():
        marks = [*at.alike, *at.own]
        if at.procedure.ref(at.step) != ref or shop.parts[marks[0]].kind == part.kind:
            continue
        if all(go_together(shop, (mark, marks[0]), one) for one in (ref, in_run)):
            found += [
                other
                for other in marks
                if (part.hand == "none" or shop.parts[other].hand in (part.hand, "none"))
                and state.part(other).work not in state.works
                and not part_blocks(context, other, at.procedure, at.step)
            ]
    return tuple(positions.in_order(found))


def _of_its_batch(context: Context, mark: str) -> tuple[str, ...]:
    """The others of a part's batch that are due to go through its step all at once with it."""
    going = goes_on(context, mark)
    return tuple(one for one in going.marks if one != mark) if going and mark in going.marks else ()
