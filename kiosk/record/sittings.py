"""When a sitting ends by itself, and what one that is over tells of its builder's rhythm: on which day, when,
and how many minutes."""

from datetime import datetime

from kiosk.record.belief import age_of
from kiosk.record.events import Event
from kiosk.record.state import FIRST_DAY, ClockReading, SittingSeen, State

LEFT_OPEN_MINUTES = 15.0  # longer after the last work nobody was closing up: the bench was left open
LONGEST_MINUTES = 1440.0

# Without a press at any screen nobody is there any more; both common practice, no source. Hands that rivet or
# hammer press nothing for longer, so while the clock of a step runs it takes twice as long.
LEFT_ALONE_S = 3600.0
LEFT_ALONE_AT_A_STEP_S = 7200.0


def is_left_alone(state: State, quiet_s: float) -> bool:
    """True when nobody pressed anything for so long that whoever comes now begins anew.

    It decides for everything that ends with a sitting: cautions read, who is here and has the screen, the
    hours, the question what is so. ``quiet_s`` is since the last press at any screen of the shop, in seconds.
    """
    at_a_step = any(work.status == "running" for work in state.works.values())
    return quiet_s >= (LEFT_ALONE_AT_A_STEP_S if at_a_step else LEFT_ALONE_S)


def nobody_was_there(state: State, now: ClockReading) -> bool:
    """True when a sitting is open in which nothing was recorded for longer than a step may take without a
    press: an older kiosk let it run on for days. ``now`` is when something is recorded again."""
    if state.sitting is None or state.last_tap is None or state.last_tap.clocks.at < state.sitting.opened_at:
        return False
    age = age_of(state.last_tap.clocks, now)
    return age is not None and age.total_seconds() >= LEFT_ALONE_AT_A_STEP_S


def sitting_seen(state: State, event: Event) -> tuple[str, SittingSeen] | None:
    """The local date and the sitting that ends with ``event``; None where no believed clock dates it.

    Its minutes are those from opening, or from when somebody came back to it, to closing, and those that
    somebody said they had where these are more: who stops sooner because nothing fits had the time all the
    same.
    """
    sitting = state.sitting
    if sitting is None:
        return None
    opened = sitting.counts_from.astimezone()
    minutes = (event.at - opened).total_seconds() / 60
    if event.at == sitting.again_at:
        return None  # whoever came back did no more than close up
    if minutes < 0 or opened.date().isoformat() < FIRST_DAY:
        return None
    going_on = any(work.status == "running" for work in state.works.values())
    worked = state.last_deed is not None or going_on
    if state.last_deed is not None and state.last_deed[0] == event.run and not going_on:
        since_deed = (event.monotonic_s - state.last_deed[1]) / 60
        minutes -= max(0.0, min(since_deed, minutes) - LEFT_OPEN_MINUTES)
    if not worked:
        minutes = min(minutes, LEFT_OPEN_MINUTES)
    slot = state.newest_slot
    said = slot is not None and slot.began.at >= opened
    if slot is not None and said:
        before = (slot.began.at - opened).total_seconds() / 60
        minutes = max(minutes, before + slot.minutes)
    began = _minute_of_day(opened)
    minutes = round(min(minutes, LONGEST_MINUTES), 2)
    people = tuple(dict.fromkeys((*sitting.people, *sitting.went)))
    return opened.date().isoformat(), SittingSeen(began, minutes, worked, people, said)


def _minute_of_day(at: datetime) -> float:
    return at.hour * 60 + at.minute + round(at.second / 60, 2)
