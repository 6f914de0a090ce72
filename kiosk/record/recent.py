"""The words and the parts that were used last: offered first, where a finger would have to type them."""

from collections.abc import Callable, Iterable, Mapping

from kiosk.record.events import (
    Answered,
    Body,
    Corrected,
    NoteWritten,
    SittingClosed,
    SnagRaised,
    StepSkipped,
    TrialRetracted,
)
from kiosk.record.journal import Journal
from kiosk.record.state import State

MOST_WORDS = 24
LOOKED_AT = 20_000  # of the newest events: some months

Said = Callable[[Body], Iterable[str]]


def _snag(body: Body) -> Iterable[str]:
    return (body.text,) if isinstance(body, SnagRaised) else ()


def _note(body: Body) -> Iterable[str]:
    if isinstance(body, NoteWritten):
        return (body.text,)
    return (body.note,) if isinstance(body, SittingClosed) else ()


def _lot(body: Body) -> Iterable[str]:
    return (body.text.upper(),) if isinstance(body, Answered) and body.lot else ()


def _skip(body: Body) -> Iterable[str]:
    return (body.reason,) if isinstance(body, StepSkipped) else ()


def _correct(body: Body) -> Iterable[str]:
    if isinstance(body, Corrected):
        return (body.reason,)
    return (body.why,) if isinstance(body, TrialRetracted) else ()


# What is asked for, by the first word of the key under which it is kept half typed, and the kinds of events
# that hold such words. Not what answers for a part: a decision or a second look is put in words each time.
_SAID: Mapping[str, tuple[tuple[type[Body], ...], Said]] = {
    "snag": ((SnagRaised,), _snag),
    "note": ((NoteWritten, SittingClosed), _note),
    "close-up": ((NoteWritten, SittingClosed), _note),
    "lot": ((Answered,), _lot),
    "skip": ((StepSkipped,), _skip),
    "correct": ((Corrected, TrialRetracted), _correct),
}


def recent_words(journal: Journal, where: str) -> list[str]:
    """What was last said where the same is asked for, the newest first; ``where`` is the dialog's key.

    Raises RecordingStopped when the record cannot be read.
    """
    known = _SAID.get(where.partition("/")[0])
    if known is None:
        return []
    kinds, said = known
    names = [kind.kind for kind in kinds]
    newest = journal.newest(names, LOOKED_AT)
    words = (text.strip() for event in newest for text in said(event.body))
    return list(dict.fromkeys(text for text in words if text))[:MOST_WORDS]


def recent_marks(state: State) -> list[str]:
    """The parts in hand, then those that were worked on last, the newest first."""
    in_hand = [mark for work in state.works.values() for mark in (work.turned_to, *work.marks)]
    confirmed = [mark for one in reversed(state.confirmations) for mark in one.marks]
    return list(dict.fromkeys([*in_hand, *confirmed]))
