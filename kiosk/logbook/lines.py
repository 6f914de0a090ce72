"""What a logbook is made of: entries, the parts they are on, the answers given in them, snags, lots."""

from dataclasses import field
from datetime import datetime

from kiosk.dataclass import dataclass


@dataclass(frozen=True)
class Given:
    """An answer to a check. One that was taken back or answered anew stays, and says so."""

    number: int  # of the event in the journal: never reused
    at: datetime
    by: str  # a person's id
    mark: str  # the part that it was given on
    asked: str
    said: str  # as typed, with its unit
    wanted: str  # the limits, or what was looked for; for a lot, what it is and its certificate
    lot: str = ""  # the mark of the lot that was named, where one was asked for
    passed: bool = True
    taken_back: int | None = None  # the event that took it back
    replaced: int | None = None  # the answer that was given anew
    doubt: str = ""
    why: str = ""  # the reason, where it corrects the one before it
    at_once: bool = False  # by one press, of several parts

    @property
    def stands(self) -> bool:
        """True for the last answer that nobody took back."""
        return self.taken_back is None and self.replaced is None


@dataclass(frozen=True)
class Fix:
    """A correction of a step's minutes or date."""

    number: int  # of the event in the journal
    what: str  # minutes or day
    said: str  # what it counts as since
    was: str
    why: str


@dataclass(frozen=True)
class OnPart:
    """One part that an entry is on, and what became of the entry there."""

    mark: str
    word: str = ""  # what a step on it counts as: fabricate, assemble, tooling; empty: not said
    ended: int | None = None  # the event since which it is to do again, or the part scrapped
    ended_words: str = ""
    look_wanted: bool = False
    looked: int | None = None  # the event by which the builder looked it over


@dataclass(frozen=True)
class Entry:
    """One line of the logbook. An entry that was taken back stays, and says so."""

    number: int  # of the event in the journal: never reused
    event: str  # its id
    at: datetime
    by: str  # a person's id
    what: str  # step, snag, decision, second look, part complete, note, …
    text: str
    parts: tuple[OnPart, ...] = ()
    procedure: str = ""
    step: str = ""
    work: str = ""  # the step in hand that it ended, by its id
    word: str = ""  # fabricate, assemble or tooling, as the procedure had it
    facts: tuple[str, ...] = ()  # what else held: the room, who supervised, what clock began
    supervised_by: str = ""
    minutes: float | None = None
    exact: bool = True  # False when the power went meanwhile
    doubt: str = ""  # why the time is not to be believed
    taken_back: int | None = None  # the event that took it back
    given: tuple[Given, ...] = field(default=(), compare=False)
    fixes: tuple[Fix, ...] = field(default=(), compare=False)

    @property
    def marks(self) -> tuple[str, ...]:
        """The parts that it is on."""
        return tuple(part.mark for part in self.parts)

    def fixed(self, what: str) -> Fix | None:
        """The last correction of its minutes or its day."""
        return next((fix for fix in reversed(self.fixes) if fix.what == what), None)

    @property
    def ended(self) -> bool:
        """True when it stands on none of its parts any more, or was taken back."""
        gone = bool(self.parts) and all(part.ended is not None for part in self.parts)
        return self.taken_back is not None or gone


@dataclass(frozen=True)
class SnagLine:
    """A snag, and how it was decided if it was."""

    number: int
    mark: str
    text: str
    decided: int | None  # the event that decided it
    decision: str  # in words, with reason and names


@dataclass(frozen=True)
class LotLine:
    """A lot in the words of the time, and the parts that it went into."""

    lot: str
    words: str
    marks: tuple[str, ...]


@dataclass(frozen=True)
class Share:
    """How many steps on parts one person did, and the hours, of one word of work."""

    by: str
    word: str
    steps: int
    hours: float
