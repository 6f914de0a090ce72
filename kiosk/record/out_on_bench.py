"""What is set up on the bench now: it needs no setting up again."""

from contextlib import suppress

from kiosk.errors import KioskError
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
