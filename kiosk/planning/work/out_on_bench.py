"""What is set up on the bench now: it needs no setting up again, and has to be put away before leaving."""

import math
from collections.abc import Iterable
from contextlib import suppress

from kiosk.errors import KioskError
from kiosk.planning.times.durations import Duration
from kiosk.planning.times.predictor import Predictor
from kiosk.record.context import Context
from kiosk.shop.procedure import Family, Procedure, Step


def out_on_bench(context: Context) -> dict[Family, list[tuple[Procedure, Step]]]:
    """Each family that was set up since the bench was last closed, with its steps; steps in hand too."""
    sitting = context.state.sitting
    run = sitting.run if sitting is not None else None
    works = [one for one in context.state.works.values() if one.status == "running" or one.run == run]
    done = {one.ref: one.mark for one in reversed(context.state.done_since)}  # each step once
    found: dict[Family, list[tuple[Procedure, Step]]] = {}
    for ref, mark in [*reversed(done.items()), *((work.ref, work.turned_to) for work in works)]:
        with suppress(KioskError):  # a figure that cannot be worked out: `kiosk check` names it
            procedure, step = context.shop.find_step(ref.procedure, ref.step, mark)
            if procedure is not None and step is not None and mark in context.shop.parts:
                found.setdefault(procedure.family_of(step), []).append((procedure, step))
    return found


def times_to_put_away(context: Context, predictor: Predictor) -> list[Duration]:
    """What putting away all that is out takes: of each family its longest, once."""
    found = []
    for steps in out_on_bench(context).values():
        away = [predictor.put_away(procedure, step) for procedure, step in steps]
        of_family = [one for one in away if one is not None]
        if of_family:
            found.append(max(of_family, key=lambda one: one.median_minutes))
    return found


def minutes_to_put_away(times: Iterable[Duration]) -> int:
    """The same in whole minutes, near the middle of each."""
    return math.ceil(sum(one.median_minutes for one in times) - 1e-9)
