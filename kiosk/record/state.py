"""Where everything stands: the result of folding the events. Nothing here is stored as truth.

The parts of the state are frozen and replaced, never changed in place, so that an undo can keep what was
there before and a snapshot can be compared with a fresh fold.
"""

import math
from collections.abc import Iterator
from dataclasses import field
from datetime import datetime
from typing import Literal, TypeAlias

from kiosk.dataclass import dataclass
from kiosk.record.events import ClockSet, TrialBent, Used
from kiosk.shop.procedure import Check, Family, Step, StepRef, unit_of

KEPT_FOR_UNDO = 20
KEPT_FINISHES = 500  # steps whose time can still be taken out of what was learnt: weeks of work
MOST_REPEATS = 10  # beyond this, practice is taken to bring nothing more
KEPT_RUNS = 8  # screens and commands whose clocks are known; more do not write at a time
FIRST_DAY = "2026-01-01"  # the year of the kiosk's first release: no true entry is older
KEPT_OUTSIDERS = 6
SHOWN_CONFIRMATIONS = 3  # the steps a returning builder looks back over
KEPT_CONFIRMATIONS = 24  # more than are shown: a batch confirms piece by piece, and an undo uncovers

ByDay: TypeAlias = tuple[tuple[str, float], ...]  # an amount for each local date


@dataclass(frozen=True)
class ClockReading:
    """Both clocks at one moment: the wall's, and the monotonic one's of that boot of the machine.

    ``believed`` is whether the wall clock was believed then. An empty ``boot`` is not known.
    """

    boot: str
    at: datetime
    monotonic_s: float
    believed: bool = True


@dataclass(frozen=True)
class Answer:
    """A check's answer as typed, with its number and whether it is within limits.

    It stands for the question and the unit that it was given to: words may change while a step is in hand.
    They are compared as they are read, so without regard to how the file breaks and indents its lines. Any
    other change may turn a question round (free of cracks, cracked), and nobody but the one who answered can
    tell a typing error from that: the check is asked again, and what was answered stays in sight with its
    question. Limits are no part of that: a figure stays what was measured, and is held to those of today
    wherever it counts. What is done is done: a finished step keeps each answer with its own words.
    """

    text: str
    value: float | None
    passed: bool
    ask: str = ""  # the question as it was put; empty: an older kiosk did not say
    unit: str = ""  # of the figure that was asked for; empty: none was, or an older kiosk did not say
    is_lot: bool = False  # the text is the mark of a lot of the stock

    def is_to(self, ask: str, unit: str) -> bool:
        """True where it was given to this, as far as its kiosk recorded what was asked."""
        unit_told = bool(self.unit) or self.value is None
        return (not self.ask or self.ask.split() == ask.split()) and (not unit_told or self.unit == unit)


@dataclass(frozen=True)
class Draft:
    """A figure, or words, half typed at the screen of one run."""

    run: str
    text: str


@dataclass(frozen=True)
class Piece:
    """How far one part of a batch is within the step in hand."""

    mark: str
    count: int = 0
    answers: dict[str, Answer] = field(default_factory=dict)
    drafts: dict[str, tuple[Draft, ...]] = field(default_factory=dict)  # by check, the newest last
    enough: str = ""  # what is so, and no more is wanted at this count
    strips: int = 0  # trial strips recorded at this step before the one that is asked about
    reworded: tuple[Answer, ...] = ()  # to checks that were answered anew since, in other words

    @property
    def touched(self) -> bool:
        """True when anything was counted, typed or answered on it."""
        return self.is_begun or bool(self.drafts)

    @property
    def is_begun(self) -> bool:
        """True when anything was counted or answered on it."""
        return bool(self.count or self.enough or self.answers)

    def answer_to(self, check: Check) -> Answer | None:
        """What it was answered to a check as that is asked today."""
        given = self.answers.get(check.id)
        return given if given is not None and given.is_to(check.ask, unit_of(check)) else None

    def answer_on(self, step: Step, check_id: str) -> Answer | None:
        """The same by the check's id; of one that the step has no more it is whatever was answered."""
        check = next((one for one in step.checks if one.id == check_id), None)
        return self.answers.get(check_id) if check is None else self.answer_to(check)

    def asked_otherwise(self, step: Step) -> Iterator[Answer]:
        """What it was answered to checks that the step has still, in words or a unit that it has no more."""
        yield from self.reworded
        for check in step.checks:
            given = self.answers.get(check.id)
            if given is not None and self.answer_to(check) is None:
                yield given


WorkStatus = Literal["running", "paused", "unknown"]


@dataclass(frozen=True)
class Walked:
    """With which batch a part walked, and which one it had left."""

    mark: str
    batch: str
    left_batch: str


@dataclass(frozen=True)
class Work:
    """One step in hand on one part or a batch. ``unknown`` after a power cut until a person looks."""

    id: str
    procedure: str
    revision: str
    step: str
    by: str
    pieces: tuple[Piece, ...]
    turned_to: str
    started_at: datetime
    status: WorkStatus = "running"
    running_since_s: float | None = None
    run: str = ""  # of the screen at which something was last done at it
    taken_up_in: str = ""  # the run of the screen at which it was begun or taken up last
    active_s: float = 0.0
    before: ByDay = ()  # of these, seconds worked until it was left
    counted: ByDay = ()  # minutes of it that the days hold already, of an end taken back
    exact: bool = True
    touched: ClockReading | None = None  # when something was last done at it
    piece_since: datetime | None = None  # when this stretch of work on the piece began
    stopped: tuple[tuple[str, ClockSet], ...] = ()  # the clocks that beginning it ended, by mark
    made: str = ""  # the batch that beginning it made; empty: it made none
    walked: tuple[Walked, ...] = ()  # how its parts walked before that
    hands: str = ""  # who began it or took it up last: the minutes are theirs
    begun_by: tuple[tuple[str, datetime], ...] = ()  # by mark: begun before then, as a person said afterwards
    last_end: str = ""  # the event of the last end of a piece whose time nothing came between; empty: none

    @property
    def ref(self) -> StepRef:
        """The step it is."""
        return StepRef(self.procedure, self.step)

    @property
    def marks(self) -> tuple[str, ...]:
        """The marks not yet finished at this step."""
        return tuple(piece.mark for piece in self.pieces)

    @property
    def touched_at(self) -> datetime | None:
        """When something was last done at it, by the wall clock."""
        return self.touched.at if self.touched is not None else None

    @property
    def worker(self) -> str:
        """Whose minutes at it are."""
        return self.hands or self.by

    @property
    def runs(self) -> frozenset[str]:
        """Of the screens that it lives with: where it was touched last, and where it was taken up."""
        return frozenset({self.run, self.taken_up_in} - {""})

    def piece(self, mark: str) -> Piece | None:
        """The piece with this mark while it is unfinished."""
        return next((piece for piece in self.pieces if piece.mark == mark), None)


@dataclass(frozen=True)
class StepDone:
    """When and by whom a step was finished, or why it was skipped."""

    at: datetime
    by: str
    revision: str
    skipped: str = ""
    day: str = ""  # the local date, where it was corrected

    @property
    def on(self) -> str:
        """The local date it was done on: as corrected, else as recorded."""
        return self.day or self.at.astimezone().date().isoformat()


@dataclass(frozen=True)
class NamedLots:
    """The lots that were named at one end of a step, as corrected since."""

    finished: str  # the event of that end
    lots: tuple[str, ...]


@dataclass(frozen=True)
class PartState:
    """What has been done to one part. ``passes`` holds, by procedure, the steps done in order."""

    mark: str
    passes: dict[str, dict[str, StepDone]] = field(default_factory=dict)
    work: str | None = None
    placed: dict[str, str] = field(default_factory=dict)
    clocks: tuple[ClockSet, ...] = ()
    # The last value measured, by step and by check.
    measured: dict[StepRef, dict[str, float]] = field(default_factory=dict)
    lots: dict[StepRef, NamedLots] = field(default_factory=dict)  # named last, by step
    # Who gave the second look before a step, by step.
    looked: dict[StepRef, str] = field(default_factory=dict)
    wants_look: tuple[StepRef, ...] = ()  # done by a helper, for the builder to look over
    completed_at: datetime | None = None
    remade: int = 0
    left_route: tuple[str, ...] = ()  # procedures done on it that its route no longer had, as answered
    batch: str = ""  # the event since which it walks with others, until it is split; empty: alone
    left_batch: str = ""  # the batch that it left, which it may join again
    undone_limits: tuple[
        ClockSet, ...
    ] = ()  # of ends taken back: the same step ended again goes on with them
    # Limits of what sets, such as a mix, that were left when the part went back: nothing holds it any more by
    # them, and the mix is in its pot or in the gun all the same.
    mixes_left: tuple[ClockSet, ...] = ()


@dataclass(frozen=True)
class Snag:
    """Something not right on a part, and what was decided."""

    id: str
    mark: str
    text: str
    at: datetime
    by: str
    procedure: str
    step: str
    decision: str = ""


@dataclass(frozen=True)
class PinTries:
    """What is kept of a person's PIN, and how it was tried.

    ``wrong`` counts the wrong tries since it was right last; ``run`` and ``at_s`` are the screen and its
    clock at the newest of them. ``untold`` of them the builder has not been told of, the first at ``since``;
    ``told`` once the right one was given, until the sitting is closed.
    """

    secret: str = ""
    wrong: int = 0
    run: str = ""
    at_s: float = 0.0
    untold: int = 0
    since: datetime | None = None
    told: bool = False


@dataclass(frozen=True)
class Outsider:
    """Somebody from outside who gave an answer or a look, as they were entered: offered again next time."""

    name: str
    role: str
    number: str = ""


@dataclass(frozen=True)
class TookOut:
    """A step that was finished, or set up for, and the family whose tools were taken out of their places."""

    event: str  # its end, or that it is set up
    family: Family
    put_away_minutes: float  # by the procedure


@dataclass(frozen=True)
class Sitting:
    """From opening up to closing up."""

    people: tuple[str, ...]
    opened_at: datetime
    run: str
    read: tuple[tuple[str, str], ...] = ()  # person and caution: each reads them for themselves
    took_out: tuple[TookOut, ...] = ()  # by the steps that were finished, and what was set up before its own
    cleared: tuple[str, ...] = ()
    went: tuple[str, ...] = ()  # who was here, and left
    again_at: datetime | None = None  # when somebody came back to it after nobody had been there for long
    stood: tuple[tuple[str, ClockReading | None], ...] = ()  # what was in hand before it, as last touched

    @property
    def counts_from(self) -> datetime:
        """Since when its minutes count: what lies before a time with nobody there was counted then."""
        return self.again_at or self.opened_at

    @property
    def families(self) -> tuple[Family, ...]:
        """Those that are set up."""
        return tuple(dict.fromkeys(one.family for one in self.took_out))

    @property
    def put_aways(self) -> tuple[tuple[Family, float], ...]:
        """The families to put away, with the procedure's minutes: of each the most."""
        most: dict[Family, float] = {}
        for one in self.took_out:
            if one.put_away_minutes > most.get(one.family, 0.0):
                most[one.family] = one.put_away_minutes
        return tuple(most.items())

    def read_by(self, person: str) -> frozenset[str]:
        """The cautions that a person has read in this sitting."""
        return frozenset(caution for reader, caution in self.read if reader == person)


@dataclass(frozen=True)
class DoneSince:
    """A step finished, or set up for, since the bench was last closed up, and one of the parts of it."""

    ref: StepRef
    mark: str
    event: str  # its end, or that it is set up


@dataclass(frozen=True)
class Slot:
    """So many minutes, from when somebody said that they have them."""

    minutes: int
    began: ClockReading


@dataclass(frozen=True)
class Wish:
    """What somebody asked for: a part, or all of a kind, first or not today.

    ``wishes.py`` says which of them count now.
    """

    by: str
    wish: Literal["first", "not today"]
    mark: str = ""
    part_kind: str = ""
    day: str = ""  # the local date with which it ends; empty: it lasts

    def is_same_thing(self, other: "Wish") -> bool:
        """True when the same person speaks of the same part or kind."""
        return (self.by, self.mark, self.part_kind) == (other.by, other.mark, other.part_kind)


@dataclass(frozen=True)
class SittingSeen:
    """A sitting that is over: when in its day it began, and how many minutes there were for it.

    ``worked`` is False where nothing was done; its minutes then say little. ``said`` is True where somebody
    said how many minutes there are: whoever says nothing goes when they are done, and the minutes that they
    would have kept in hand are on no record.
    """

    began_minute: float  # after midnight, by the house's clock
    minutes: float
    worked: bool
    people: tuple[str, ...] = ()  # who was at the bench for some of it
    said: bool = False


@dataclass(frozen=True)
class LastTap:
    """When a person last did something that was recorded, and in which run."""

    run: str
    clocks: ClockReading


@dataclass(frozen=True)
class Left:
    """How the last sitting ended: in order with a note, or cut short."""

    at: datetime
    note: str
    left: tuple[str, ...]
    cut_short: bool
    work: str | None
    next_step: str = ""
    by: str = ""  # who closed up; nobody where it was cut short
    left_alone: bool = False  # it was cut short because nobody pressed anything for long
    people: tuple[str, ...] = ()  # who was here as it was cut short: nobody saw them go


@dataclass(frozen=True)
class Confirmation:
    """A step confirmed done, for the look back on return."""

    event: str
    at: datetime
    by: str
    marks: tuple[str, ...]
    procedure: str
    revision: str
    step: str
    values: tuple[tuple[str, str, str], ...]  # part, check, and the answer as it counts now


@dataclass(frozen=True)
class PieceTime:
    """The time that one piece at a step takes a person.

    ``of_kind`` is the part kind where the step's times follow from it: the same step then takes other times
    on other kinds. ``in_sum``: of those timed in a sum with something else and told apart.
    """

    step: StepRef
    person: str
    of_kind: str | None = None
    in_sum: bool = False
    kind: Literal["piece"] = "piece"


@dataclass(frozen=True)
class SetUpTime:
    """The time that setting up a family of steps takes a person, for each minute that the procedure gives it:
    the steps of a family may want more or less of it, and one of them the rest of what is out. Always timed
    with the first pieces."""

    family: Family
    person: str
    kind: Literal["set-up"] = "set-up"


@dataclass(frozen=True)
class PutAwayTime:
    """The time that putting a family of steps away takes a person, for each minute that the procedure gives
    it: always timed with closing up."""

    family: Family
    person: str
    kind: Literal["put-away"] = "put-away"


@dataclass(frozen=True)
class ClosingTime:
    """The time that closing the bench up takes a person, what is put away of families not counted.

    ``in_sum``: of those timed in a sum with it and told apart.
    """

    person: str
    in_sum: bool = False
    kind: Literal["closing"] = "closing"


@dataclass(frozen=True)
class PaceTime:
    """How many times the procedures' minutes a person takes, over all steps."""

    person: str
    kind: Literal["pace"] = "pace"


Timed: TypeAlias = PieceTime | SetUpTime | PutAwayTime | ClosingTime | PaceTime


@dataclass(frozen=True)
class Times:
    """Active minutes of one kind of work as weighted sums, so that a value can be taken out again.

    y is the logarithm of the minutes, x that of which repeat it was (the tenth and later count as the tenth).
    ``count`` is how many there were, ``weight`` what they count for: a slip, or what was told apart from a
    sum, counts for less than one. ``shared`` is the sum of weight times the part of a value's error that all
    of them have alike, in standard deviations of one value. ``doubted`` is how many in a row were far from
    the usual, negative where they were shorter; ``taken`` how many were ever taken in.
    """

    count: int = 0
    sum_y: float = 0.0
    sum_yy: float = 0.0
    sum_x: float = 0.0
    sum_xx: float = 0.0
    sum_xy: float = 0.0
    last_day: str = ""  # the local date of the newest value, for what is forgotten meanwhile
    weight: float = 0.0
    shared: float = 0.0
    doubted: int = 0
    taken: int = 0
    kept: float = 1.0  # what a value counts for that was taken in at the very beginning: later ones fade it

    def plus(
        self,
        minutes: float,
        repeat: int,
        sign: int = 1,
        day: str = "",
        *,
        weight: float = 1.0,
        shared: float = 0.0,
    ) -> "Times":
        """With one value more, or one fewer when ``sign`` is -1."""
        y, x = math.log(minutes), math.log(min(repeat, MOST_REPEATS))
        counted = sign * weight
        return Times(
            self.count + sign,
            self.sum_y + counted * y,
            self.sum_yy + counted * y * y,
            self.sum_x + counted * x,
            self.sum_xx + counted * x * x,
            self.sum_xy + counted * x * y,
            day or self.last_day,
            self.weight + counted,
            self.shared + sign * shared,
            self.doubted,
            self.taken,
            self.kept,
        )

    def scaled(self, share: float) -> "Times":
        """Every value counting for this share of what it did."""
        return Times(
            self.count,
            share * self.sum_y,
            share * self.sum_yy,
            share * self.sum_x,
            share * self.sum_xx,
            share * self.sum_xy,
            self.last_day,
            share * self.weight,
            share * self.shared,
            self.doubted,
            self.taken,
            share * self.kept,
        )

    def and_those(self, other: "Times") -> "Times":
        """These and others."""
        return Times(
            self.count + other.count,
            self.sum_y + other.sum_y,
            self.sum_yy + other.sum_yy,
            self.sum_x + other.sum_x,
            self.sum_xx + other.sum_xx,
            self.sum_xy + other.sum_xy,
            max(self.last_day, other.last_day),
            self.weight + other.weight,
            self.shared,
            self.doubted,
            self.taken,
        )


NOTHING_SEEN = Times()


@dataclass(frozen=True)
class Learnt:
    """One value that an event added to the times: which, the minutes, which repeat it was and what it counts
    for; ``before`` are the times without it.

    ``doubted`` is how many in a row were far from the usual with it. ``fades`` is what the earlier values
    count for from now on, where the pace has changed.
    """

    of: Timed
    minutes: float
    repeat: int
    before: Times
    weight: float = 1.0
    shared: float = 0.0
    doubted: int = 0
    fades: float = 1.0


@dataclass(frozen=True)
class TimedThing:
    """Something that minutes were spent on, with the estimate of one piece and how many pieces there were: of
    setting up and putting away, how many minutes by the procedure."""

    of: Timed
    estimate_minutes: float
    pieces: float = 1


@dataclass(frozen=True)
class Finish:
    """What the end of a step added to the times and the days, so that a correction can take it out again."""

    learnt: tuple[Learnt, ...]
    timed: tuple[TimedThing, ...]  # what the minutes were spent on; empty where they teach nothing
    day: str  # the local date; empty where the clock was not believed
    minutes: float  # at work, as recorded
    counted: float  # of them, those that count for the day: of a timer that was forgotten, the usual ones
    planned: float  # the procedure's minutes
    before: ByDay = ()  # the share of them that was worked before that day
    own_pieces: float = 0  # where some were told of afterwards are in its time too; 0: none
    told_with: str = ""  # the end that its pieces' time is in, as they were told of afterwards
    said: bool = False  # a person said how many minutes it were

    @property
    def counted_by_day(self) -> dict[str, float]:
        """The minutes that count, by local date; those of no known date are left out."""
        days = {day: self.counted * share for day, share in self.before}
        if self.day >= FIRST_DAY:
            days[self.day] = self.counted * max(0.0, 1 - sum(share for _, share in self.before))
        return days


@dataclass(frozen=True)
class StockCount:
    """When a consumable was last counted."""

    seq: int
    at: datetime


@dataclass(frozen=True)
class CountedBefore:
    """What a count of a consumable took the place of, and what was counted."""

    consumable: str
    left: float  # as it was counted
    was: float | None  # None: it never was before
    count: StockCount | None
    used: float  # by steps, since it was counted before


@dataclass(frozen=True)
class Undoable:
    """What an undo of one event would put back; None means that it was not there before."""

    event: str
    phrase: str  # what happened; ``{step}`` stands for the step, where it was at one
    by: str
    at: datetime
    parts: dict[str, PartState | None]
    works: dict[str, Work | None]
    snags: dict[str, Snag | None]
    learnt: tuple[Learnt, ...] = ()
    planned: tuple[str, float] | None = None  # day and minutes that the event added to what was planned
    step: StepRef | None = None
    of: tuple[str, ...] = ()  # the parts that it is said of, where the phrase names none
    finishes: dict[str, Finish] = field(default_factory=dict)  # as they were, by their events
    confirmed: tuple[Confirmation, ...] = ()  # as they were
    used: tuple[Used, ...] = ()  # what the event took from the stock
    seq: int = 0  # of the event, where it took or counted something
    counted: CountedBefore | None = None  # where it counted stock
    stopped: tuple[tuple[str, ClockSet], ...] = ()  # by mark, clocks of steps in hand that it changed
    press: str = ""  # of several parts at once: all that it said is taken back together

    def said(self, step_words: str) -> str:
        """What happened, with these words for the step."""
        return self.phrase if self.step is None else self.phrase.replace("{step}", step_words)

    @property
    def label(self) -> str:
        """What happened, the step by its id."""
        return self.said(self.step.step if self.step is not None else "")


@dataclass(frozen=True)
class Trial:
    """A recorded trial strip, by its number in the order of recording."""

    number: int
    event: str
    strip: TrialBent
    finished_by: str = ""  # the event that finished the step it was taken from, with which it is taken back
    retracted_by: str = ""  # the event since which it is no longer counted; empty: it counts
    why: str = ""
    named: tuple[NamedLots, ...] = ()  # on its part until then, in its procedure: what it was cut from


@dataclass
class State:
    """Everything the record says about now."""

    seq: int = 0
    last_at: datetime | None = None
    believed_at: datetime | None = None  # the last entry under a wall clock that was believed
    run_clocks: dict[str, ClockReading] = field(default_factory=dict)  # by run, as it last said
    parts: dict[str, PartState] = field(default_factory=dict)
    works: dict[str, Work] = field(default_factory=dict)
    snags: dict[str, Snag] = field(default_factory=dict)
    sitting: Sitting | None = None
    left: Left | None = None
    wishes: tuple[Wish, ...] = ()  # what was asked for and not taken back, the newest last
    # By person, the newest last: they outlive a power cut, and end with closing up.
    slots: dict[str, Slot] = field(default_factory=dict)
    done_since: tuple[DoneSince, ...] = ()  # a power cut puts nothing away
    last_work: str | None = None
    confirmations: tuple[Confirmation, ...] = ()
    times: dict[Timed, Times] = field(default_factory=dict)
    stock: dict[str, float] = field(default_factory=dict)  # as last counted
    stock_counts: dict[str, StockCount] = field(default_factory=dict)
    stock_used: dict[str, float] = field(default_factory=dict)  # by steps, since it was last counted
    finishes: dict[str, Finish] = field(default_factory=dict)  # of the last steps, by their events
    temperature_f: float | None = None
    humidity_percent: float | None = None
    conditions_at: datetime | None = None
    conditions_by: ClockReading | None = None  # the clocks by which it was read
    trials: tuple[Trial, ...] = ()
    minutes_by_day: dict[str, float] = field(default_factory=dict)  # local date: active minutes
    planned_by_day: dict[str, float] = field(default_factory=dict)  # the procedures' minutes of what was done
    sittings_by_day: dict[str, tuple[SittingSeen, ...]] = field(default_factory=dict)  # local date
    last_deed: tuple[str, float] | None = None  # run and monotonic seconds at which work last stopped
    last_tap: LastTap | None = None  # the last entry that a person made
    undoables: tuple[Undoable, ...] = ()
    sittings: int = 0
    left_alone: int = 0  # of them, those that ended by themselves
    renames: int = 0  # how often the files gave things other names
    # Half typed, by the key of the dialog, the newest last.
    words: dict[str, tuple[Draft, ...]] = field(default_factory=dict)
    texts: frozenset[str] = frozenset()  # the digests of the procedures whose words are kept
    pins: dict[str, PinTries] = field(default_factory=dict)  # by person
    outsiders: tuple[Outsider, ...] = ()  # the newest last

    def part(self, mark: str) -> PartState:
        """The state of a part; one that was never touched is at its beginning."""
        return self.parts.get(mark) or PartState(mark=mark)

    @property
    def newest_slot(self) -> Slot | None:
        """The minutes that somebody said last to have."""
        return next(reversed(self.slots.values()), None)

    def strips(self) -> tuple[TrialBent, ...]:
        """The trial strips that count, in the order of recording."""
        return tuple(trial.strip for trial in self.trials if not trial.retracted_by)

    def lots_of(self, trial: Trial) -> tuple[str, ...]:
        """The lots that were named on the part of a strip before it was bent, as corrected since; none for a
        strip that was typed by itself, or whose procedure asks for none."""
        now = {one.finished: one for one in self.part(trial.strip.mark).lots.values()}
        named = (now.get(one.finished, one) for one in trial.named)
        return tuple(dict.fromkeys(lot for one in named for lot in one.lots))

    def secret_of(self, person: str) -> str:
        """What is kept of a person's PIN; empty when they have none."""
        tries = self.pins.get(person)
        return tries.secret if tries is not None else ""

    def open_snags(self, mark: str | None = None) -> list[Snag]:
        """Snags without a decision, on one part or on all."""
        return [
            snag for snag in self.snags.values() if not snag.decision and (mark is None or snag.mark == mark)
        ]
