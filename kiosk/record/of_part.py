"""What the record holds of one part: its events, found without reading all the others.

A part is named by its mark, in events of many kinds; what concerns it without naming it (a decision, an undo,
an answer given on another part of its batch) refers to one that does.
"""

import json
from collections.abc import Iterable, Iterator
from itertools import pairwise

from kiosk.record.events import (
    Answered,
    ClockMarked,
    ConditionsNoted,
    Counted,
    DraftTyped,
    Event,
    Renamed,
    RunStarted,
    SnagDecided,
    SnagRaised,
    StepFinished,
    TrialRetracted,
    TurnedTo,
    Undone,
    WorkDropped,
    WorkStarted,
)
from kiosk.record.journal import Journal

_ROOM = ("temperature_f", "humidity_percent")
# Few, and not to be found by a mark: how the clocks stood, the room, names, and what refers to other events.
_ALWAYS = tuple(
    kind.kind
    for kind in (ClockMarked, ConditionsNoted, Renamed, RunStarted, SnagDecided, TrialRetracted, Undone)
)


def events_of_part(journal: Journal, mark: str, renames: int = 0) -> list[Event]:
    """Every event that says something of a part, in order, with what they refer to.

    ``renames`` is how often the files gave things other names: the part may have had another mark. Raises
    RecordingStopped when the record cannot be read.
    """
    found: dict[int, Event] = {}
    last = journal.last().seq
    names = marks_of_part(journal, mark, renames)
    for name in names:
        near = journal.about(json.dumps(name), _ALWAYS)
        found |= {event.seq: event for event in near}
        for first, to, work in _works(near, name, last):
            found |= {event.seq: event for event in journal.between(first, to, json.dumps(work))}
    kept = {seq: found[seq] for seq in sorted(found)}
    _drop_others(kept, frozenset(names))
    digests = {
        text
        for event in kept.values()
        for name in ("text", "words_kept")
        if (text := getattr(event.body, name, ""))
    }
    kept |= {event.seq: event for event in journal.kept_words(digests)}
    return [kept[seq] for seq in sorted(kept)]


def marks_of_part(journal: Journal, mark: str, renames: int) -> tuple[str, ...]:
    """The mark of a part, and those that it had before, newest first."""
    names = [mark]
    if renames:
        for event in reversed(list(journal.of_kind("renamed"))):
            assert isinstance(event.body, Renamed)
            names += [former for former, now in event.body.marks.items() if now == names[-1]]
    return tuple(names)


def _works(events: list[Event], mark: str, last: int) -> Iterator[tuple[int, int, str]]:
    """The first and the last event between which a part was in a work, and the work."""
    begun = [(one.seq, one.body) for one in events if isinstance(one.body, WorkStarted)]
    begun = [(seq, body) for seq, body in begun if mark in body.marks]
    ends = {
        one.body.work: one.seq
        for one in events
        if isinstance(one.body, StepFinished) and mark in one.body.marks
    }
    for (seq, body), (following, _) in pairwise([*begun, (last + 1, None)]):
        assert body is not None
        yield seq, max(ends.get(body.work, following - 1), seq), body.work


def _drop_others(found: dict[int, Event], names: frozenset[str]) -> None:
    """Without what is of other parts alone: of their batch, of their snags, of events not among these."""
    snags = {event.body.snag for event in found.values() if isinstance(event.body, SnagRaised)}
    together = _finished_together(found.values(), names)
    for seq, event in list(found.items()):
        body = event.body
        if isinstance(body, Answered | Counted | TurnedTo | DraftTyped):
            of_other = body.mark not in names and (body.work, body.mark) not in together
        elif isinstance(body, StepFinished):
            of_other = names.isdisjoint(body.marks)
        else:
            of_other = isinstance(body, SnagDecided) and body.snag not in snags
        if of_other:
            del found[seq]
    _drop_rooms(found)
    ids = {event.id for event in found.values()}
    for seq, event in list(found.items()):
        body = event.body
        if (isinstance(body, Undone) and body.event not in ids) or (
            isinstance(body, TrialRetracted) and body.trial not in ids
        ):
            del found[seq]


def _finished_together(events: Iterable[Event], names: frozenset[str]) -> set[tuple[str, str]]:
    """Work and mark of the parts that were finished in one with this one: an answer on any is for all."""
    return {
        (event.body.work, mark)
        for event in events
        if isinstance(event.body, StepFinished) and not names.isdisjoint(event.body.marks)
        for mark in event.body.marks
    }


def _drop_rooms(found: dict[int, Event]) -> None:
    """Without readings of the room that held at no step of the part: kept are the last before each, and those
    of the time in which something was in hand."""
    before: dict[str, int] = {}
    in_hand: dict[str, bool] = {}
    kept: set[int] = set()
    for seq, event in found.items():
        body = event.body
        if isinstance(body, ConditionsNoted):
            before |= {name: seq for name in _ROOM if getattr(body, name) is not None}
            if in_hand:
                kept.add(seq)
        elif isinstance(body, WorkStarted):
            in_hand = {body.work: True}  # a part is in one work at a time
            kept |= set(before.values())
        elif isinstance(body, StepFinished | WorkDropped):
            in_hand.pop(body.work, None)
    for seq, event in list(found.items()):
        if isinstance(event.body, ConditionsNoted) and seq not in kept:
            del found[seq]
