"""How long a step in hand has been worked on, whichever screen began it: until now, or until it was left."""

from collections.abc import Iterator

from kiosk.record.apply import active_seconds
from kiosk.record.context import Context
from kiosk.record.events import SittingCut
from kiosk.record.state import State, Work


def seconds_worked(context: Context, work: Work) -> float:
    """Seconds worked so far, pauses excluded."""
    return _seconds_until(context.state, work, context.boot, context.monotonic_s, context.run)


def _seconds_until(state: State, work: Work, boot: str, monotonic_s: float, run: str) -> float:
    """Seconds worked until a moment that a run read on the monotonic clock.

    All screens of one boot of the machine read the same one; of another boot's nothing is known.
    """
    began = state.run_clocks.get(work.run)
    comparable = began is not None and began.boot == boot
    return active_seconds(work, monotonic_s, work.run if comparable else run)


def cut_short(state: State, *, left_alone: bool = False) -> SittingCut:
    """That the sitting has ended without closing up, or by itself, with what was worked until somebody
    pressed something last: that long they were there."""
    return SittingCut(left_alone=left_alone, worked=tuple(_worked_to_last_press(state)))


def _worked_to_last_press(state: State) -> Iterator[tuple[str, float]]:
    """Seconds by work, never more than there were: a press at another screen tells nothing of the hands at
    this one, so then they go to the last press at the step itself."""
    tap = state.last_tap
    for work in state.works.values():
        if work.status != "running" or tap is None:
            continue
        seconds = _seconds_until(state, work, tap.clocks.boot, tap.clocks.monotonic_s, tap.run)
        if tap.run != work.run:
            since = work.piece_since or work.started_at
            at_it = ((work.touched_at or since) - since).total_seconds()
            seconds = min(seconds, work.active_s + max(0.0, at_it))
        yield work.id, round(seconds, 3)
