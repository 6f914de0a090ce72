"""How long a step in hand has been worked on, whichever screen began it: until now, or until it was left."""

from collections.abc import Callable, Iterator

from kiosk.record.apply import active_seconds
from kiosk.record.context import Context
from kiosk.record.events import ScreenLost, SittingCut
from kiosk.record.state import ClockReading, State, Work


def seconds_worked(context: Context, work: Work) -> float:
    """Seconds worked so far, pauses excluded."""
    now = ClockReading(context.boot, context.now, context.monotonic_s)
    return _seconds_until(context.state, work, now, context.run)


def _seconds_until(state: State, work: Work, at: ClockReading, run: str) -> float:
    """Seconds worked until a moment, as a run read the clocks.

    All screens of one boot of the machine read the same monotonic clock; of another boot's nothing is known.
    """
    began = state.run_clocks.get(work.run)
    comparable = began is not None and began.boot == at.boot
    return active_seconds(work, at.monotonic_s, work.run if comparable else run)


def cut_short(state: State, *, left_alone: bool = False) -> SittingCut:
    """That the sitting has ended without closing up, or by itself, with what was worked until somebody
    pressed something last: that long they were there."""
    running = [work for work in state.works.values() if work.status == "running"]
    worked = tuple((work.id, _to_last_press(state, work)) for work in running)
    return SittingCut(left_alone=left_alone, worked=worked)


def lost(state: State, is_alive: Callable[[str], bool]) -> Iterator[ScreenLost]:
    """The screens that died with a step in hand while another lived on, with what was worked there.

    A step lives with the screen at which it was touched last, and with the one at which it was taken up: who
    answers one check at a tablet does not take along what goes on at the wall.
    """
    gone = [
        work
        for work in state.works.values()
        if work.status == "running" and not any(is_alive(run) for run in work.runs)
    ]
    for run in sorted({work.run for work in gone}):
        worked = tuple((work.id, _to_last_press(state, work)) for work in gone if work.run == run)
        yield ScreenLost(run=run, worked=worked)


def _to_last_press(state: State, work: Work) -> float:
    """Seconds on a step until the last press of the hands at it, never more than there were.

    That is the last of all where it was at a screen of theirs: it may have been no act on the step. A press
    at another screen tells nothing of them; then it is the last one at the step itself.
    """
    tap = state.last_tap
    if tap is not None and tap.run in work.runs:
        return round(_seconds_until(state, work, tap.clocks, tap.run), 3)
    at_it = work.touched
    if at_it is None or not at_it.boot:  # an older kiosk's clock counts within one run: which is not said
        return work.active_s
    return round(_seconds_until(state, work, at_it, ""), 3)
