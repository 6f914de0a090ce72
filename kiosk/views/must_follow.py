"""Parts that stand in a run: their last finished step may not be left without the next one."""

from datetime import datetime

from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.record.position import left_in_a_run
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
    shop, state, positions = context.shop, context.state, context.positions
    found = []
    for part in state.parts.values():
        last = left_in_a_run(shop, part) if part.work not in state.works else None
        if last is None:
            continue
        where = positions.of(part.mark)
        if where.procedure is not None and where.step is not None:
            done = part.passes[last[0].id][last[1].id]
            found.append(MustFollow(part.mark, where.procedure, where.step, done.at))
    return found
