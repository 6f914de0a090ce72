"""What can be set up while a wait runs: as soon as parts are dry, their coat begins."""

import math

from kiosk.dataclass import dataclass
from kiosk.planning.plan import Plan
from kiosk.record.authority import may_not_do
from kiosk.record.out_on_bench import NOTHING_OUT
from kiosk.shop.procedure import Procedure, Step


@dataclass(frozen=True)
class SetUpAhead:
    """What a step that waits is set up with: ready by the end of its wait, it costs nothing after it."""

    marks: tuple[str, ...]  # that wait
    procedure: Procedure
    step: Step
    minutes: int
    ready_in: int  # minutes until the wait is over


def set_up_ahead(plan: Plan) -> SetUpAhead | None:
    """What the plan has to set up for that still waits, the first that is ready first; None where nothing
    is to be set up, or by nobody with the screen."""
    found = plan.found
    for stretch in sorted(plan.stretches, key=lambda one: one.ready_in):
        procedure, step = stretch.steps[0]
        out = found.out.get(procedure.family_of(step), NOTHING_OUT)
        set_up = found.predictor.set_up(procedure, step, out.set_up)
        if stretch.ready_in and set_up is not None and not may_not_do(found.context, step):
            minutes = math.ceil(set_up.median_minutes - 1e-9)
            return SetUpAhead(stretch.marks, procedure, step, minutes, stretch.ready_in)
    return None
