"""What is out on the bench now has to be put away before leaving: how long that takes."""

import math
from collections.abc import Sequence

from kiosk.planning.times.durations import Duration
from kiosk.planning.times.predictor import CLOSING_CHANCE, Predictor
from kiosk.planning.times.sum_of_pieces import TimeOfPiece
from kiosk.record.context import Context
from kiosk.record.out_on_bench import out_on_bench


def times_to_put_away(context: Context, predictor: Predictor) -> list[Duration]:
    """What putting away all that is out takes: each family once, by the first of its steps that has any."""
    of_each = (
        (predictor.put_away(procedure, step) for procedure, step in steps)
        for steps in out_on_bench(context).values()
    )
    first = (next((one for one in of_family if one is not None), None) for of_family in of_each)
    return [one for one in first if one is not None]


def closing_and_away(
    context: Context, predictor: Predictor, out: Sequence[Duration], chance: float = CLOSING_CHANCE
) -> tuple[int, int]:
    """Whole minutes to close the bench up, and to put away what is ``out``: together they are enough with
    this chance, as they spread: that which closing up has by itself, where nothing else is said.

    In the middle of each, putting several things away took longer every other time, at the very end of a
    slot, where nothing is left that could be cut short.
    """
    estimate = context.shop.file.put_away
    closing, closing_time = predictor.closing(estimate), predictor.closing_time(estimate)
    if not out:
        return closing, 0
    time = TimeOfPiece() if closing_time is None else TimeOfPiece().then(closing_time)
    for one in out:
        time = time.then(one)
    whole = math.ceil(time.quantile_minutes(chance) - 1e-9)
    in_the_middle = math.ceil(sum(one.median_minutes for one in out) - 1e-9)
    return closing, max(in_the_middle, whole - closing)
