"""What is set up on the bench now: it needs no setting up again, and has to be put away before leaving."""

import math
from contextlib import suppress

from kiosk.errors import KioskError
from kiosk.planning.times.predictor import Predictor
from kiosk.record.context import Context
from kiosk.shop.procedure import Family, Procedure, Step


def out_on_bench(context: Context) -> dict[Family, list[tuple[Procedure, Step]]]:
    """Each family that was set up since the bench was last closed, with its steps; steps in hand too."""
    sitting = context.state.sitting
    run = sitting.run if sitting is not None else None
    works = [one for one in context.state.works.values() if one.status == "running" or one.run == run]
    used = [*context.state.done_since, *((work.ref, work.turned_to) for work in works)]
    found: dict[Family, list[tuple[Procedure, Step]]] = {}
    for ref, mark in used:
        with suppress(KioskError):  # a figure that cannot be worked out: `kiosk check` names it
            procedure, step = context.shop.find_step(ref.procedure, ref.step, mark)
            if procedure is not None and step is not None and mark in context.shop.parts:
                found.setdefault(procedure.family_of(step), []).append((procedure, step))
    return found


def minutes_to_put_away(context: Context, predictor: Predictor) -> int:
    """Whole minutes to put away all that is out: of each family its longest, once."""
    minutes = 0.0
    for steps in out_on_bench(context).values():
        away = [predictor.put_away(procedure, step) for procedure, step in steps]
        minutes += max((one.median_minutes for one in away if one is not None), default=0.0)
    return math.ceil(minutes - 1e-9)
