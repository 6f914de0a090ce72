"""What the times of finished steps teach: of a piece, of setting up a family, and of putting away.

A lesson is one value added to the sums in ``State.times``. An undo takes the same value out again.
"""

import math
from collections.abc import Iterable
from dataclasses import replace

from kiosk.record.events import StepFinished
from kiosk.record.state import Learnt, PieceTime, PutAwayTime, SetUpTime, State, Timed, Times
from kiosk.shop.procedure import Family, Procedure, Step, StepRef

LONGEST_PUT_AWAY_MINUTES = 20.0  # longer between the last step and closing up is something else
SHORTEST_TIMED_S = 5.0  # quicker than this is a tap-through, not a piece of work to learn from


def times_follow_kind(procedure: Procedure, step: Step) -> bool:
    """True when a step takes other times on other part kinds, and so they are learnt for each kind.

    A step as it applies to a kind has its times worked out; the procedure's own says how they are written.
    """
    written = procedure.step(step.id)
    return written is not None and written.times_are_worked


def family_of(body: StepFinished) -> Family | None:
    """The family the step was set up with. The record writes a step's own as the step itself."""
    own = StepRef(body.procedure, body.step)
    return own if body.family == str(own) else body.family or None


def sets_up(state: State, body: StepFinished) -> bool:
    """True for the first step of a family in the sitting: its time holds the set-up."""
    family = family_of(body)
    return family is not None and (state.sitting is None or family not in state.sitting.families)


def planned_minutes(state: State, body: StepFinished) -> float:
    """What the procedure estimated for this: its pieces, and the set-up of a family that was not out."""
    set_up = body.set_up_minutes if sets_up(state, body) else 0.0
    return body.each_minutes * max(1, len(body.marks)) + set_up


def lessons_of_step(state: State, body: StepFinished, by: str) -> tuple[Learnt, ...]:
    """What a finished step's time teaches: of a piece, pooled and of this person; or of the set-up.

    The first step of a family in a sitting holds the set-up too: what it takes beyond a usual piece is the
    set-up, and the piece itself is not learnt from.
    """
    if not body.exact:
        return ()
    of_all = PieceTime(StepRef(body.procedure, body.step), of_kind=body.of_kind or None)
    known = state.times.get(of_all)
    pieces = max(1, len(body.marks))
    minutes = body.active_s / 60.0
    family = family_of(body)
    if family is not None and body.set_up_minutes > 0 and sets_up(state, body):
        usual = math.exp(known.sum_y / known.count) if known else body.each_minutes
        return _lesson(state, SetUpTime(family), minutes - usual * pieces)
    each = minutes / pieces
    return _lesson(state, of_all, each) + _lesson(state, replace(of_all, person=by), each)


def lessons_of_closing(state: State, run: str, monotonic_s: float) -> tuple[Learnt, ...]:
    """What closing up teaches: the minutes since the last step, when they were on one and the same clock."""
    if state.last_deed is None or state.last_deed[0] != run:
        return ()
    minutes = (monotonic_s - state.last_deed[1]) / 60.0
    return _lesson(state, PutAwayTime(), minutes) if minutes <= LONGEST_PUT_AWAY_MINUTES else ()


def retimed(lessons: Iterable[Learnt], more_minutes: float, pieces: int) -> tuple[Learnt, ...]:
    """What a finished step's time teaches when it took so many minutes more, or fewer, than was recorded.

    A lesson that comes below what can be timed is no lesson.
    """
    found = []
    for lesson in lessons:
        share = 1 if isinstance(lesson.of, SetUpTime) else pieces
        minutes = lesson.minutes + more_minutes / share
        if minutes * 60 >= SHORTEST_TIMED_S:
            found.append(replace(lesson, minutes=minutes))
    return tuple(found)


def learn(state: State, lessons: Iterable[Learnt], day: str = "") -> None:
    """Add the lessons to the times; ``day`` is the local date they were learnt on."""
    for lesson in lessons:
        times = state.times.get(lesson.of, Times())
        state.times[lesson.of] = times.plus(lesson.minutes, lesson.repeat, day=day)


def unlearn(state: State, lessons: Iterable[Learnt]) -> None:
    """Take the lessons out again."""
    for lesson in lessons:
        times = state.times.get(lesson.of)
        if times is None:
            continue
        left = times.plus(lesson.minutes, lesson.repeat, -1)
        if left.count:
            state.times[lesson.of] = left
        else:
            del state.times[lesson.of]


def _lesson(state: State, of: Timed, minutes: float) -> tuple[Learnt, ...]:
    if minutes * 60 < SHORTEST_TIMED_S:
        return ()
    return (Learnt(of, minutes, state.times.get(of, Times()).count + 1),)
