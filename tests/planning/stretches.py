"""A stretch of a plan for tests, with as little in it as there can be."""

from dataclasses import replace

from kiosk.planning.work.candidate import Stretch
from kiosk.shop.procedure import Procedure, Step


def stretch_of(procedure: Procedure, *steps: Step, mark: str, minutes: int, **more: object) -> Stretch:
    """Steps of a form block that nothing presses and that hold no wait, with ``more`` fields as said."""
    plain = Stretch(
        kind="form-block",
        marks=(mark,),
        steps=tuple((procedure, step) for step in steps),
        work=None,
        minutes=minutes,
        waiting_minutes=0,
        gap_minutes=0,
        gap_after=0,
        last_minutes=0,
        limit=None,
        spoils_at=None,
        opens=0,
        steps_left=7,
        done=0.0,
    )
    return replace(plain, **more)  # type: ignore[arg-type]
