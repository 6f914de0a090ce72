"""A step that was finished, as the record tells it: who, when, how long, each figure with its limits.

What was corrected since stands as corrected; what was undone is left out.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from kiosk.dataclass import dataclass
from kiosk.record.events import (
    Answered,
    Corrected,
    Counted,
    Event,
    Renamed,
    RunStarted,
    StepFinished,
    Undone,
    WorkStarted,
)
from kiosk.record.state import StepDone
from kiosk.shop.procedure import StepRef


@dataclass(frozen=True)
class PastFigure:
    """One answer of a finished step as it counts now, with the limits of then.

    ``unit`` is empty where it is no figure, or where an older kiosk did not record the limits as numbers.
    ``was`` is what it was before it was corrected, empty where it was not.
    """

    check: str
    ask: str
    text: str
    value: float | None
    passed: bool
    wanted: str
    lot: str
    unit: str
    low: float | None
    high: float | None
    by: str
    given_on: str
    marks: tuple[str, ...]  # the parts that it holds for
    was: str = ""


@dataclass(frozen=True)
class PastStep:
    """One end of a step: by an event, on some parts, with the answers that stand.

    ``sat_minutes`` are from the beginning of the sitting in which it was begun to this end; None where the
    clocks cannot tell.
    """

    event: str
    work: str
    marks: tuple[str, ...]
    ref: StepRef  # as the files call it today
    recorded: StepRef  # as it was recorded
    at: datetime
    by: str
    day: str  # the local date it was done on
    minutes: float
    exact: bool
    figures: tuple[PastFigure, ...]
    counted: int | None = None  # within the part, where something was
    day_was: str = ""
    minutes_was: float | None = None
    sat_minutes: float | None = None

    def figure(self, check: str) -> PastFigure | None:
        """The answer to a check."""
        return next((one for one in self.figures if one.check == check), None)


def past_step(
    events: Iterable[Event], mark: str, ref: StepRef, done: StepDone, openings: Iterable[Event] = ()
) -> PastStep | None:
    """The end of a step that stands on a part, out of the part's events; None when they have none.
    ``openings`` are those of the sittings."""
    events = list(events)
    standing = _under_todays_marks(_not_undone(events))
    ends = [
        (event, event.body)
        for event in reversed(standing)
        if isinstance(event.body, StepFinished)
        and event.at == done.at
        and event.by == done.by
        and mark in event.body.marks
    ]
    if not ends:
        return None
    # A clock that stood still gives several steps one time. A step that was renamed since has another id.
    so_called = (one for one in ends if StepRef(one[1].procedure, one[1].step) == ref)
    ended, body = next(so_called, ends[0])
    own = [event for event in standing if getattr(event.body, "work", "") == body.work]
    found = PastStep(
        event=ended.id,
        work=body.work,
        marks=body.marks,
        ref=ref,
        recorded=StepRef(body.procedure, body.step),
        at=ended.at,
        by=ended.by,
        day=body.day or done.on,
        minutes=body.active_s / 60.0,
        exact=body.exact,
        figures=tuple(_figures(own, ended.seq, body.marks, mark)),
        counted=_counted(own, ended.seq, mark),
        sat_minutes=_sat_minutes(events, openings, own, ended),
    )
    for event in own:
        if isinstance(event.body, Corrected) and event.body.finished == ended.id:
            found = _corrected(found, event.by, event.body)
    return found


def _sat_minutes(
    events: Iterable[Event], openings: Iterable[Event], own: Sequence[Event], ended: Event
) -> float | None:
    """By the machine's own count, which no setting of the wall clock changes: within one boot alone."""
    boots = {event.run: event.body.boot for event in events if isinstance(event.body, RunStarted)}
    begun = next((event.seq for event in own if isinstance(event.body, WorkStarted)), 0)
    opened = max((one for one in openings if one.seq <= begun), key=lambda one: one.seq, default=None)
    if opened is None or not boots.get(ended.run) or boots.get(opened.run) != boots[ended.run]:
        return None
    slept_s = (ended.at - opened.at).total_seconds()  # the count may stand still while the machine sleeps
    return max(slept_s, ended.monotonic_s - opened.monotonic_s) / 60


def _not_undone(events: Iterable[Event]) -> Iterator[Event]:
    events = list(events)
    undone = {event.body.event for event in events if isinstance(event.body, Undone)}
    return (event for event in events if event.id not in undone)


def _under_todays_marks(events: Iterable[Event]) -> list[Event]:
    """The ends of steps, answers and corrections with the marks that parts have today."""
    found: list[Event] = []
    renamed: list[dict[str, str]] = []

    def now(mark: str) -> str:
        for marks in reversed(renamed):
            mark = marks.get(mark, mark)
        return mark

    for event in reversed(list(events)):
        body = event.body
        if isinstance(body, Renamed):
            renamed.append(body.marks)
        elif isinstance(body, StepFinished):
            body = replace(body, marks=tuple(now(mark) for mark in body.marks))
        elif isinstance(body, Answered | Counted):
            body = replace(body, mark=now(body.mark))
        elif isinstance(body, Corrected):
            body = replace(body, given_on=now(body.given_on))
        found.append(replace(event, body=body) if body is not event.body else event)
    return found[::-1]


def _figures(events: Sequence[Event], until: int, marks: Sequence[str], mark: str) -> Iterator[PastFigure]:
    """The last answer to each check: the part's own, else that of the batch that went through together."""
    answers: dict[str, dict[str, tuple[str, Answered]]] = {}
    for event in events:
        if isinstance(event.body, Answered) and event.seq < until and event.body.mark in marks:
            answers.setdefault(event.body.check, {})[event.body.mark] = (event.by, event.body)
    for given in answers.values():
        on = mark if mark in given else next(one for one in marks if one in given)
        by, body = given[on]
        yield PastFigure(
            check=body.check,
            ask=body.ask,
            **_said(body),
            by=by,
            given_on=on,
            # The first of a batch that goes through together speaks for those with no answer of their own.
            marks=tuple(one for one in marks if one == on or (on == marks[0] and one not in given)),
        )


def _said(body: Answered | Corrected) -> dict[str, Any]:
    """What an answer and its correction say alike."""
    return {
        "text": body.text,
        "value": body.value,
        "passed": body.passed,
        "wanted": body.wanted,
        "lot": body.lot,
        "unit": body.unit,
        "low": body.low,
        "high": body.high,
    }


def _counted(events: Sequence[Event], until: int, mark: str) -> int | None:
    counts = [
        event.body.count
        for event in events
        if isinstance(event.body, Counted) and event.seq < until and event.body.mark == mark
    ]
    return counts[-1] if counts else None


def _corrected(found: PastStep, by: str, body: Corrected) -> PastStep:
    if body.what == "day":
        return replace(found, day=body.text, day_was=found.day_was or body.was)
    if body.what == "minutes" and body.value is not None:
        was = found.minutes if found.minutes_was is None else found.minutes_was
        return replace(found, minutes=body.value, minutes_was=was)

    def anew(one: PastFigure) -> PastFigure:
        if (one.check, one.given_on) != (body.check, body.given_on):
            return one
        return replace(
            one,
            **_said(body),
            by=by,
            was=one.was or body.was,
        )

    return replace(found, figures=tuple(anew(one) for one in found.figures))
