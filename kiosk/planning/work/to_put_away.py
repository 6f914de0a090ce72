"""What is out on the bench now has to be put away before leaving: how long that takes."""

import math
from collections.abc import Iterable

from kiosk.planning.times.durations import Duration
from kiosk.planning.times.predictor import Predictor
from kiosk.record.context import Context
from kiosk.record.out_on_bench import out_on_bench


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
