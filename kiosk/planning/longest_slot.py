"""How many minutes it would take to get parts through a step for which a slot is too short."""

from collections.abc import Sequence
from functools import cached_property
from itertools import islice

from kiosk.planning.choose.option import can_be_all
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.find_work import find_work
from kiosk.planning.work.found_work import FoundWork
from kiosk.planning.work.shelf_life import ShelfLife
from kiosk.planning.work.to_put_away import LATE_MINUTES, closing_and_away, times_to_put_away
from kiosk.record.context import Context
from kiosk.record.quiet_hours import quiet_within
from kiosk.record.rules.things import LONGEST_SLOT
from kiosk.shop.procedure import StepRef


class LongestSlot:
    """What the longest slot that can be asked for has room for, looked for once somebody asks."""

    def __init__(self, context: Context, shelf_life: ShelfLife) -> None:
        self._context, self._shelf_life = context, shelf_life

    def takes(self, marks: Sequence[str], wanted: StepRef) -> int | None:
        """Minutes of a slot, leaving the bench included, in which parts get through a step; None where none
        is long enough, or ends soon enough before quiet hours."""
        found, away = self._found
        least = least_minutes(found, marks, wanted)
        return None if least is None else least + away

    @cached_property
    def _found(self) -> tuple[FoundWork, int]:
        context, predictor = self._context, Predictor(self._context)
        out = times_to_put_away(context, predictor)
        # As in a slot that was planned to save it, which may end so late.
        away = sum(closing_and_away(context, predictor, out, saving=True)) - LATE_MINUTES
        usable = LONGEST_SLOT - away
        quiet_in = quiet_within(context.shop, context.now, usable)
        return find_work(context, usable, quiet_in, predictor, self._shelf_life), away


def least_minutes(found: FoundWork, marks: Sequence[str], wanted: StepRef) -> int | None:
    """The fewest minutes in which all of like parts get through a step, with nothing beside it; None where
    that takes more than there are in what was ``found``."""
    least: list[int] = []
    for candidate in found.candidates:
        here = sum(mark in candidate.marks for mark in marks)
        for option in candidate.options:
            steps = {procedure.ref(step) for procedure, step in candidate.like.chain[: option.steps]}
            if not here or option.pieces < here or wanted not in steps:
                continue
            window = range(found.minutes_alone(option), found.minutes + 1)
            fits = (one for one in window if can_be_all(option, found.set_up, one, found.free))
            least += list(islice(fits, 1))
    return min(least, default=None)
