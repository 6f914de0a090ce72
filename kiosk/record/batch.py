"""A batch on its way: which parts walk together, which of them go next, and what follows when one is done.

A batch is together from the step that its parts began together, or from a joining, until a part is split off
or held by a snag. At a step all of it is done first, then all of it goes to the next one; but where a step
says that one goes straight on from it, each part is taken through to the end of that run before the next.
"""

from collections.abc import Sequence
from typing import Literal

from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.record.position import Position, position
from kiosk.record.readiness import Block, blocks
from kiosk.record.state import State, Work
from kiosk.record.together import go_together
from kiosk.shop.procedure import Procedure, Step, StepRef
from kiosk.shop.shop import Shop

Follows = Literal["next piece", "straight on", "next part", "last", ""]


@dataclass(frozen=True)
class Behind:
    """A part of the batch that does not go along now, and why."""

    mark: str
    why: Block | None


@dataclass(frozen=True)
class GoesOn:
    """What a batch does next: these of its parts at this step."""

    batch: tuple[str, ...]
    marks: tuple[str, ...]
    procedure: Procedure
    step: Step
    stops: tuple[Block, ...] = ()  # why that cannot begin now
    behind: tuple[Behind, ...] = ()
    one_by_one: bool = False  # one part is taken at a time, as the step says
    at_once: bool = False  # another part of it was taken through here before: no pause lies between


@dataclass(frozen=True)
class InBatch:
    """How far a batch is at the step of one of its parts: the third of six."""

    at: int
    of: int

    def __str__(self) -> str:
        return f"{self.at} of {self.of}"

    @property
    def is_alone(self) -> bool:
        """True for one that was taken out of its batch for this step, and is there with no other."""
        return self.of < 2


def members(shop: Shop, state: State, mark: str) -> tuple[str, ...]:
    """The parts that walk together with this one and are not complete, in the shop's order; none when it is
    alone."""
    batch = state.part(mark).batch
    if not batch:
        return ()
    found = {
        one.mark
        for one in state.parts.values()
        if one.batch == batch and one.completed_at is None and one.mark in shop.parts
    }
    return tuple(one for one in shop.parts if one in found) if len(found) > 1 else ()


def may_join_again(context: Context, mark: str) -> tuple[str, ...]:
    """Parts that left the batch of this one, stand at its step again, and are free to go along."""
    shop, state = context.shop, context.state
    batch = state.part(mark).batch
    if not batch:
        return ()
    here = position(shop, state, mark)
    return tuple(
        one.mark
        for one in state.parts.values()
        if one.left_batch == batch
        and one.mark in shop.parts
        and one.work not in state.works
        and not state.open_snags(one.mark)
        and same_step(position(shop, state, one.mark), here)
    )


def who_left(context: Context, mark: str) -> tuple[str, ...]:
    """Parts that left the batch of this one and are not complete."""
    shop, state = context.shop, context.state
    batch = state.part(mark).batch
    return tuple(
        one.mark
        for one in state.parts.values()
        if batch and one.left_batch == batch and one.completed_at is None and one.mark in shop.parts
    )


def one_by_one(shop: Shop, mark: str, procedure: Procedure, step: Step) -> bool:
    """True where a batch takes one part at a time through a step, and on to where it can be left."""
    return step.batch == "no" or goes_straight_on(shop, mark, procedure, step)


def goes_straight_on(shop: Shop, mark: str, procedure: Procedure, step: Step) -> bool:
    """True where each part goes straight on from a step, alone: what comes next takes no batch at once."""
    if step.stop != "go straight on" or step.batch == "together":
        return False
    if any(wait.must_pass is not None for wait in step.waits):
        return False  # it has to be waited for first: the others are done meanwhile
    after = _neighbour(shop, mark, procedure, step, 1)
    return after is not None and after.batch != "together"


def _neighbour(shop: Shop, mark: str, procedure: Procedure, step: Step, by: int) -> Step | None:
    steps = shop.steps_for(shop.kind_of(mark), procedure)
    at = next((number for number, one in enumerate(steps) if one.id == step.id), None)
    if at is None or not 0 <= at + by < len(steps):
        return None
    return steps[at + by]


def same_step(one: Position, other: Position) -> bool:
    """True where two parts stand at one and the same step."""
    if one.procedure is None or one.step is None or other.procedure is None or other.step is None:
        return False
    return one.procedure.ref(one.step) == other.procedure.ref(other.step)


Standing = tuple[str, Position]  # a part, and where it stands


def _order(where: Position) -> tuple[int, int]:
    """How far a part is on its route."""
    return where.stage, where.number


def _is_before(shop: Shop, one: Standing, other: Standing) -> bool:
    """True where a part stands at an earlier step than another. Of two kinds, whose routes differ, that can
    be told within one procedure only."""
    (mark, where), (other_mark, there) = one, other
    if shop.parts[mark].kind == shop.parts[other_mark].kind:
        return _order(where) < _order(there)
    if where.step is None or there.step is None:
        return where.step is not None  # the other is through
    if where.procedure is None or where.procedure is not there.procedure:
        return False
    ids = [step.id for step in where.procedure.steps]
    return ids.index(where.step.id) < ids.index(there.step.id)


def goes_on(context: Context, mark: str) -> GoesOn | None:
    """What the batch of a part does next; None when it has none, or nothing of it is left to begin."""
    shop, state = context.shop, context.state
    together = members(shop, state, mark)
    stands = [(one, position(shop, state, one)) for one in together]
    free = [
        (one, where)
        for one, where in stands
        if where.step is not None and state.part(one).work not in state.works
    ]
    if not free:
        return None
    under_way = [
        (one, where)
        for one, where in free
        if where.procedure is not None and where.step is not None and _is_under_way(shop, state, one, where)
    ]
    if under_way:  # nothing else is begun while one is half way through what is not left
        return _of_group(context, together, stands, under_way[:1])
    found = [_of_group(context, together, stands, group) for group in _groups(shop, free)]
    return next((one for one in found if not one.stops), found[0])


def _groups(shop: Shop, free: Sequence[Standing]) -> list[list[Standing]]:
    """The parts by the step that they stand at, and by their kind where it takes one kind at a time."""
    at_step: dict[StepRef, list[Standing]] = {}
    for mark, where in sorted(free, key=lambda standing: _order(standing[1])):
        assert where.procedure is not None and where.step is not None
        at_step.setdefault(where.procedure.ref(where.step), []).append((mark, where))
    found: list[list[Standing]] = []
    for ref, standing in at_step.items():
        step = standing[0][1].step
        if step and step.batch == "together" and go_together(shop, [mark for mark, _ in standing], ref):
            found.append(standing)
            continue
        of_kind: dict[str, list[Standing]] = {}
        for mark, where in standing:
            of_kind.setdefault(shop.parts[mark].kind, []).append((mark, where))
        found += of_kind.values()
    return found


def _is_under_way(shop: Shop, state: State, mark: str, where: Position) -> bool:
    """True when the step done last says that one goes straight on from it."""
    assert where.procedure is not None and where.step is not None
    before = _neighbour(shop, mark, where.procedure, where.step, -1)
    done = state.part(mark).passes.get(where.procedure.id, {})
    return before is not None and before.id in done and goes_straight_on(shop, mark, where.procedure, before)


def _of_group(
    context: Context,
    together: tuple[str, ...],
    stands: Sequence[Standing],
    group: Sequence[Standing],
) -> GoesOn:
    """What those at one step do next: all who can, or nobody before all can where they go through at once."""
    first, where = group[0]
    procedure, step = where.procedure, where.step
    assert procedure is not None and step is not None
    stops = {mark: tuple(blocks(context, mark, procedure, step)) for mark, _ in group}
    ready = [mark for mark in stops if not stops[mark]]
    single = one_by_one(context.shop, first, procedure, step)
    ahead = [one for one in stands if one[1].completed or _is_before(context.shop, group[0], one)]
    if step.batch == "together" and len(ready) < len(stops):
        marks, why = tuple(stops), next(found for found in stops.values() if found)
        late = [mark for mark in stops if stops[mark]] if ready else []
    else:
        marks = tuple(ready or stops)
        late = [mark for mark in stops if stops[mark]] if ready else []
        why = () if ready else stops[marks[0]]
        marks = marks[:1] if single else marks
    begun_before = _is_under_way(context.shop, context.state, first, where)
    return GoesOn(
        together,
        marks,
        procedure,
        step,
        why,
        tuple(Behind(mark, stops[mark][0]) for mark in late) + _behind(context, stands, group[0]),
        single,
        at_once=begun_before or (single and bool(ahead)),
    )


def _behind(context: Context, stands: Sequence[Standing], here: Standing) -> tuple[Behind, ...]:
    """Those who stand at an earlier step, and what they wait for."""
    found = []
    for mark, where in stands:
        if where.procedure is None or where.step is None or not _is_before(context.shop, (mark, where), here):
            continue
        stops = blocks(context, mark, where.procedure, where.step)
        found.append(Behind(mark, stops[0] if stops else None))
    return tuple(found)


def place_in_batch(context: Context, mark: str) -> InBatch | None:
    """Which of its batch the part in hand is at this step, of those that it is in hand with and those that
    are past it; None when it walks alone."""
    shop, state = context.shop, context.state
    together = members(shop, state, mark)
    if not together:
        return None
    where = position(shop, state, mark)
    done = sum(1 for one in together if _is_before(shop, (mark, where), (one, position(shop, state, one))))
    of = len(together)
    work = state.works.get(state.part(mark).work or "")
    if work is not None and where.procedure is not None and where.step is not None:
        all_follow = one_by_one(shop, mark, where.procedure, where.step)  # each alone, one after another
        of = of if all_follow else done + len(set(work.marks) & set(together))
    return InBatch(min(done + 1, of), of)


def pieces_to_do(state: State, work: Work) -> tuple[str, ...]:
    """The parts in hand that nothing holds."""
    return tuple(mark for mark in work.marks if not state.open_snags(mark))


def follows(context: Context, work: Work, mark: str) -> tuple[Follows, str]:
    """What comes when the step in hand is done on this part, and on which part; nothing for one alone."""
    shop, state = context.shop, context.state
    together = members(shop, state, mark)
    procedure, step = shop.find_step(work.procedure, work.step, mark)
    if not together or procedure is None or step is None:
        return "", ""
    if step.batch == "together":
        return "last", ""
    left = [one for one in pieces_to_do(state, work) if one != mark]
    if left:
        return "next piece", left[0]
    if goes_straight_on(shop, mark, procedure, step):
        return "straight on", mark
    here = mark, position(shop, state, mark)
    waiting = [
        one
        for one in together
        if one != mark
        and state.part(one).work not in state.works
        and not _is_before(shop, here, (one, position(shop, state, one)))
    ]
    if waiting and (step.batch == "no" or _ends_run(shop, mark, procedure, step)):
        return "next part", waiting[0]
    elsewhere = [one for one in together if one not in work.marks]  # in hand by itself, perhaps
    if any(same_step(position(shop, state, one), here[1]) for one in elsewhere):
        return "", ""  # done with this one alone, which is not the last of them
    return "last", ""


def _ends_run(shop: Shop, mark: str, procedure: Procedure, step: Step) -> bool:
    before = _neighbour(shop, mark, procedure, step, -1)
    return before is not None and goes_straight_on(shop, mark, procedure, before)
