"""Where a part stands in its route: the next step, or the question that has to be answered first."""

from dataclasses import dataclass

from kiosk.record.state import State
from kiosk.shop.procedure import Procedure, Step, StepRef
from kiosk.shop.shop import Shop


@dataclass(frozen=True)
class Position:
    """The next step of a part. Without one it is ready to be completed, completed, or a question stands."""

    mark: str
    procedure: Procedure | None = None
    step: Step | None = None
    stage: int = 0
    number: int = 0  # of the step within its procedure as it applies to this part, from 1
    of: int = 0
    vanished: str = ""  # the id of a step that the procedure no longer has
    all_done: bool = False
    completed: bool = False


def position(shop: Shop, state: State, mark: str) -> Position:
    """Where the part stands. A step added before the last one done is not asked for again."""
    part = state.part(mark)
    if part.completed_at is not None:
        return Position(mark, completed=True)
    kind = shop.kind_of(mark)
    for stage, entry in enumerate(kind.route):
        procedure = shop.procedures[entry.procedure]
        steps = shop.steps_for(kind, procedure)
        ids = [step.id for step in steps]
        done = part.passes.get(procedure.id, {})
        placed = part.placed.get(procedure.id)
        if placed in ids:
            index = ids.index(placed)
        elif not done:
            index = 0
        else:
            last = next(reversed(done))
            if last not in ids:
                return Position(mark, procedure, None, stage, 0, len(ids), vanished=last)
            index = max(ids.index(step_id) for step_id in done if step_id in ids) + 1
        if index < len(ids):
            return Position(mark, procedure, steps[index], stage, index + 1, len(ids))
    return Position(mark, all_done=True, stage=len(kind.route))


def steps_left(shop: Shop, state: State, mark: str) -> list[tuple[Procedure, Step]]:
    """Every step still to do on a part, in order; empty when it is done or a question stands."""
    where = position(shop, state, mark)
    if where.procedure is None or where.step is None:
        return []
    kind = shop.kind_of(mark)
    left: list[tuple[Procedure, Step]] = []
    for stage in range(where.stage, len(kind.route)):
        procedure = shop.procedures[kind.route[stage].procedure]
        steps = shop.steps_for(kind, procedure)
        first = where.number - 1 if stage == where.stage else 0
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
