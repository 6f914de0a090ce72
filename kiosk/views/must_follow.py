"""Parts that stand in a run: their last finished step may not be left without the next one."""

from datetime import datetime

from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.shop.procedure import Procedure, Step


@dataclass(frozen=True)
class MustFollow:
    """A part that nobody has in hand, the step that has to follow on it, and when the one before was done."""

    mark: str
    procedure: Procedure
    step: Step
    done_at: datetime


def left_in_runs(context: Context) -> list[MustFollow]:
    """Every part that stands in a run, whatever holds it; what stops the step is the caller's to ask."""
    state, positions = context.state, context.positions
    found = []
    for mark in [one for one in state.parts if one in positions.in_runs]:
        part, where = state.parts[mark], positions.of(mark)
        if part.work not in state.works and where.procedure is not None and where.step is not None:
            procedure, step = positions.in_runs[mark]
            done = part.passes[procedure.id][step.id]
            found.append(MustFollow(mark, where.procedure, where.step, done.at))
    return found
