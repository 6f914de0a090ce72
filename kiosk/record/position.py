"""Where a part stands in its route: the next step, or the question that has to be answered first."""

import difflib
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from kiosk.record.events import ClockSet
from kiosk.record.state import PartState, State
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import Procedure, Step, StepRef
from kiosk.shop.shop import Shop

Asks = Literal["step gone", "wait gone", "procedure gone", "work added"]


@dataclass(frozen=True)
class Question:
    """Why a part's place cannot be told from the files as they are now: the builder says where it goes on."""

    asks: Asks
    about: str  # the id of the step or procedure that is gone, or of the procedure that was added to
    words: str  # what is so, as the end of a sentence about the part
    likely: StepRef | None = None  # the place that it most likely has; never the beginning by default


@dataclass(frozen=True)
class Position:
    """The next step of a part. Without one it is ready to be completed, completed, or a question stands."""

    mark: str
    procedure: Procedure | None = None
    step: Step | None = None
    stage: int = 0
    number: int = 0  # of the step within its procedure as it applies to this part, from 1
    of: int = 0
    question: Question | None = None
    all_done: bool = False
    completed: bool = False

    @property
    def vanished(self) -> str:
        """The id of what the question is about; empty while none stands."""
        return self.question.about if self.question is not None else ""


def position(shop: Shop, state: State, mark: str) -> Position:
    """Where the part stands. A step added before the last one done is not asked for again.

    Nothing moves silently: where what is recorded on the part has no place in the files, a question stands.
    """
    part = state.part(mark)
    if part.completed_at is not None:
        return Position(mark, completed=True)
    kind = shop.kind_of(mark)
    gone = procedures_gone(kind, part)
    if gone:
        return Position(mark, question=_of_procedure_gone(shop, kind, part, gone[0]))
    for stage in _stages_from_place(shop, kind, part):
        if is_passed_over(kind, part, stage):
            continue
        where = _in_stage(shop, kind, part, stage)
        if where is not None:
            return where
    return Position(mark, all_done=True, stage=len(kind.route))


def is_passed_over(kind: PartKind, part: PartState, stage: int) -> bool:
    """True for a repair that no rework has sent the part to."""
    return kind.route[stage].repair and kind.procedures[stage] not in part.passes


def repair_of(shop: Shop, kind: PartKind, ref: StepRef) -> bool:
    """True when a step is the first of a repair on the kind's route."""
    if ref.procedure not in kind.repairs or ref.procedure not in shop.procedures:
        return False
    return next(iter(shop.steps_for(kind, shop.procedures[ref.procedure]))).id == ref.step


def procedures_gone(kind: PartKind, part: PartState) -> tuple[str, ...]:
    """Procedures with steps done on the part that its route no longer has, and that nobody answered for."""
    return tuple(
        name
        for name, done in part.passes.items()
        if done and name not in kind.procedures and name not in part.left_route
    )


def _stages_from_place(shop: Shop, kind: PartKind, part: PartState) -> range:
    """The stages to look at: from the one in which the builder put the part, where they did."""
    for stage, name in enumerate(kind.procedures):
        placed = part.placed.get(name)
        if placed is not None and any(
            step.id == placed for step in shop.steps_for(kind, shop.procedures[name])
        ):
            return range(stage, len(kind.route))
    return range(len(kind.route))


def _in_stage(shop: Shop, kind: PartKind, part: PartState, stage: int) -> Position | None:
    """The part's place within one stage of its route; None when nothing is to do there any more."""
    procedure = shop.procedures[kind.procedures[stage]]
    steps = shop.steps_for(kind, procedure)
    ids = [step.id for step in steps]
    done = part.passes.get(procedure.id, {})
    placed = part.placed.get(procedure.id)

    def asked(question: Question) -> Position:
        return Position(part.mark, procedure, None, stage, 0, len(ids), question)

    wait = next((one for one in part.clocks if _waits_for_nothing(one, procedure)), None)
    index = ids.index(placed) if placed in ids else _after_done(ids, done)
    if wait is not None:
        words = f"{procedure.title} no longer has the step {wait.step!r} that waits for: {wait.what}"
        return asked(Question("wait gone", wait.step, words, _likely(procedure, ids, done, wait.step, index)))
    if placed not in ids and done and (last := next(reversed(done))) not in ids:
        words = f"{procedure.title} no longer has the step {last!r}, which was done last"
        # Called otherwise it stands where it stood: right after what else is done.
        after = index + 1 if _near(last, ids[index : index + 1]) else index
        return asked(Question("step gone", last, words, _ref(procedure, ids, after)))
    if index == len(ids):
        return None
    if placed not in ids and _was_passed_by(kind, part, stage):
        words = (
            f"{procedure.title} comes before what is done already, and its step {ids[index]!r} is not done"
        )
        return asked(Question("work added", procedure.id, words, _where_it_stood(shop, kind, part, stage)))
    return Position(part.mark, procedure, steps[index], stage, index + 1, len(ids))


def steps_after_done(shop: Shop, part: PartState, kind: PartKind, procedure: Procedure) -> tuple[Step, ...]:
    """The steps of a procedure that come after every one done on the part."""
    steps = shop.steps_for(kind, procedure)
    return steps[_after_done([step.id for step in steps], part.passes.get(procedure.id, {})) :]


def _waits_for_nothing(clock: ClockSet, procedure: Procedure) -> bool:
    """True when the step that waits is no longer in its procedure."""
    return clock.procedure == procedure.id and procedure.step(clock.step) is None


def _after_done(ids: Sequence[str], done: Collection[str]) -> int:
    """Where the first step stands that comes after every one done."""
    return max((ids.index(step_id) + 1 for step_id in done if step_id in ids), default=0)


def _was_passed_by(kind: PartKind, part: PartState, stage: int) -> bool:
    """True when later stages were worked at though this one is not done, and nobody went back to it."""
    later = any(part.passes.get(name) for name in kind.procedures[stage + 1 :])
    return later and next(reversed(part.passes)) != kind.procedures[stage]


def _where_it_stood(shop: Shop, kind: PartKind, part: PartState, stage: int) -> StepRef | None:
    """The part's place in what comes after the stage that was added to."""
    for later in range(stage + 1, len(kind.route)):
        where = _in_stage(shop, kind, part, later)
        if where is not None:
            return where.procedure.ref(where.step) if where.procedure and where.step else None
    return None


def _likely(
    procedure: Procedure, ids: Sequence[str], done: Collection[str], gone: str, index: int
) -> StepRef | None:
    """Where a step most likely stands now that was still to be done: under a like name, or next in order."""
    near = _near(gone, [one for one in ids if one not in done])
    return _ref(procedure, ids, index if near is None else ids.index(near))


def _near(gone: str, ids: Sequence[str]) -> str | None:
    return next(iter(difflib.get_close_matches(gone, ids, 1, 0.6)), None)


def _ref(procedure: Procedure, ids: Sequence[str], index: int) -> StepRef | None:
    return StepRef(procedure.id, ids[index]) if 0 < index < len(ids) else None


def _of_procedure_gone(shop: Shop, kind: PartKind, part: PartState, gone: str) -> Question:
    """The procedure of the route with most of the steps done in the one that is gone is the likeliest."""
    done = part.passes[gone]
    likely: StepRef | None = None
    most = 0
    for name in kind.procedures:
        procedure = shop.procedures[name]
        ids = [step.id for step in shop.steps_for(kind, procedure)]
        alike = sum(1 for step_id in done if step_id in ids)
        if name not in part.passes and alike > most:
            most, likely = alike, _ref(procedure, ids, _after_done(ids, done))
    many = f"{len(done)} steps are" if len(done) > 1 else "1 step is"
    words = f"its route no longer has the procedure {gone!r}, of which {many} done"
    return Question("procedure gone", gone, words, likely)


def steps_left(shop: Shop, state: State, mark: str) -> list[tuple[Procedure, Step]]:
    """Every step still to do on a part, in order; empty when it is done or a question stands."""
    where = position(shop, state, mark)
    if where.procedure is None or where.step is None:
        return []
    kind = shop.kind_of(mark)
    left: list[tuple[Procedure, Step]] = []
    part = state.part(mark)
    for stage in range(where.stage, len(kind.route)):
        if is_passed_over(kind, part, stage):
            continue
        procedure = shop.procedures[kind.route[stage].procedure]
        steps = shop.steps_for(kind, procedure)
        # After a repair goes on what was begun before it.
        begun = _after_done([step.id for step in steps], part.passes.get(procedure.id, {}))
        first = where.number - 1 if stage == where.stage else begun
        left += [(procedure, step) for step in steps[first:]]
    return left


def skipped_steps(state: State, mark: str) -> list[tuple[StepRef, str]]:
    """Every step skipped on a part, and the reason."""
    return [
        (StepRef(procedure, step), entry.skipped)
        for procedure, done in state.part(mark).passes.items()
        for step, entry in done.items()
        if entry.skipped
    ]


def revision_changes(shop: Shop, state: State, mark: str) -> list[str]:
    """What changed in the procedure under way since this part's last step in it, in plain words."""
    where = position(shop, state, mark)
    if where.procedure is None:
        return []
    done = state.part(mark).passes.get(where.procedure.id, {})
    if not done:
        return []
    changes: list[str] = []
    before = done[next(reversed(done))].revision
    if before != where.procedure.revision:
        changes.append(
            f"{where.procedure.title}: revision {before} is now {where.procedure.revision}"
            f" ({where.procedure.reason})"
        )
        if where.step is not None:
            ids = [step.id for step in shop.steps_for(shop.kind_of(mark), where.procedure)]
            passed = [step_id for step_id in ids[: ids.index(where.step.id)] if step_id not in done]
            if passed:
                changes.append(f"added before this step and not done on {mark}: {', '.join(passed)}")
    return changes
