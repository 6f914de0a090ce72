"""What is out on the bench now has to be put away before leaving: how long that takes."""

import math
from collections.abc import Sequence

from kiosk.planning.times.durations import Duration
from kiosk.planning.times.predictor import CLOSING_CHANCE, Predictor
from kiosk.planning.times.sum_of_pieces import TimeOfPiece
from kiosk.planning.work.reaches import EASY_CHANCE
from kiosk.record.context import Context
from kiosk.record.out_on_bench import out_on_bench

LATE_MINUTES = 2  # so little past the slot is not counted as late
SELDOM_LATE_CHANCE = 0.95  # that leaving the bench takes no more than that longer than was kept back for it


def times_to_put_away(context: Context, predictor: Predictor) -> list[Duration]:
    """What putting away all that is out takes: each family once, by that of its steps that wants most."""
    dearest = (
        max(steps, key=lambda one: one[1].minutes.put_away) for steps in out_on_bench(context).values()
    )
    times = (predictor.put_away(procedure, step) for procedure, step in dearest)
    return [one for one in times if one is not None]


def closing_and_away(
    context: Context, predictor: Predictor, out: Sequence[Duration], *, saving: bool = False
) -> tuple[int, int]:
    """Whole minutes to close the bench up, and to put away what is ``out``: together they are enough with
    the chance that closing up has by itself, and seldom fail by more than ``LATE_MINUTES``. Where it is worth
    being late, as for what would go to waste, they are enough more often than not (``saving``).

    In the middle of each, putting several things away took longer every other time, at the very end of a
    slot, where nothing is left that could be cut short. Of half an hour of it the chance of closing up alone
    left the bench five minutes late time and again.
    """
    estimate = context.shop.file.put_away
    closing, closing_time = predictor.closing(estimate), predictor.closing_time(estimate)
    if not out:
        return closing, 0
    time = TimeOfPiece() if closing_time is None else TimeOfPiece().then(closing_time)
    for one in out:
        time = time.then(one)
    whole = math.ceil(_enough(time, saving=saving) - 1e-9)
    in_the_middle = math.ceil(sum(one.median_minutes for one in out) - 1e-9)
    return closing, max(in_the_middle, whole - closing)


def _enough(time: TimeOfPiece, *, saving: bool) -> float:
    if saving:
        return time.quantile_minutes(EASY_CHANCE)
    seldom_late = time.quantile_minutes(SELDOM_LATE_CHANCE) - LATE_MINUTES
    return max(time.quantile_minutes(CLOSING_CHANCE), seldom_late)
