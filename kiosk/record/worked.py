"""How long a step in hand has been worked on, whichever screen began it."""

from kiosk.record.apply import active_seconds
from kiosk.record.context import Context
from kiosk.record.state import Work


def seconds_worked(context: Context, work: Work) -> float:
    """Seconds worked so far, pauses excluded.

    All screens of one boot of the machine read the same monotonic clock; of another boot's nothing is known.
    """
    began = context.state.run_clocks.get(work.run)
    comparable = began is not None and began.boot == context.boot
    return active_seconds(work, context.monotonic_s, work.run if comparable else context.run)
