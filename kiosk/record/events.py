"""Everything that can be recorded. Each is one tap, and none is ever changed or deleted.

A field may be added with a default that means what its absence meant. Fields that change otherwise get a new
``version`` and a function that lifts the old ones (``upcasters.py``); a new meaning gets a new kind. So a
record of ten years ago still reads, and an older kiosk refuses a newer one's by name.
"""

from dataclasses import field
from datetime import datetime
from typing import Annotated, Literal, get_args

from kiosk.dataclass import dataclass
from kiosk.record.held_to import OfPython, Rules

# For pydantic, which holds what is recorded and what is read to the fields (rows.py). Nothing unknown is
# dropped, no number is taken that JSON cannot say, and what was made already is looked at all the same.
_RECORDED = {"extra": "forbid", "allow_inf_nan": False, "revalidate_instances": "always"}
Moment = Annotated[datetime, OfPython()]


@dataclass(frozen=True, kw_only=True)
class Body:
    """The base of all events; ``version`` is the version of that kind's fields."""

    __pydantic_config__ = _RECORDED

    version: Annotated[int, Rules(strict=True)] = 1  # JSON's true would pass for 1
    kind: str = ""  # its name in the record: each class has its own


@dataclass(frozen=True, kw_only=True)
class ClockSet:
    """A time that runs for a part: something must pass before a step, or a step must begin or end within it.

    ``boot`` and ``set_s`` say when it was set by the monotonic clock: within that boot of the machine it runs
    by that. ``until`` is by the wall clock, for every other boot.
    """

    __pydantic_config__ = _RECORDED

    what: str
    kind: Literal["must_pass", "within"]
    minutes: float
    until: Moment
    procedure: str
    step: str
    if_missed: str = ""
    set_by: str = ""  # the step whose end started it
    ends: Literal["begin", "finish"] = "begin"  # of the step that it names: a limit may want it finished
    boot: str = ""  # empty: an older kiosk did not say
    set_s: float | None = None
    believed: bool = True  # whether the wall clock was, when it was set
    back_to: str = ""  # the step, in the same procedure, that a part goes back to when a limit was missed
    number: int | None = None  # of the waits of that step, from 1; None: an older kiosk did not say


@dataclass(frozen=True, kw_only=True)
class RunStarted(Body):
    """A screen or a command began to write: in which boot of the machine, and whether its wall clock was
    believed then. Recorded before the first event of a run, and again when that changes meanwhile."""

    kind: Literal["run_started"] = "run_started"
    boot: str
    believed: bool = True


@dataclass(frozen=True, kw_only=True)
class ClockMarked(Body):
    """A person looked at a wall clock that was not believed, and said whether it is right."""

    kind: Literal["clock_marked"] = "clock_marked"
    boot: str
    right: bool
    day: str = ""  # the local date it showed


@dataclass(frozen=True, kw_only=True)
class SittingOpened(Body):
    """Somebody came to the bench and took up the place."""

    kind: Literal["sitting_opened"] = "sitting_opened"
    people: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class SittingClosed(Body):
    """The bench was left in order; the note is the builder's own words to their later self."""

    kind: Literal["sitting_closed"] = "sitting_closed"
    note: str = ""
    left: tuple[str, ...] = ()
    next_step: str = ""  # what the next sitting begins with
    closing_minutes: float | None = None  # the shop's estimate for closing up; None: nobody noted it


@dataclass(frozen=True, kw_only=True)
class SittingCut(Body):
    """The last sitting ended without closing up: a power cut, a kill or a crash; or, ``left_alone``, nobody
    pressed anything for long. That is recorded when somebody comes back."""

    kind: Literal["sitting_cut"] = "sitting_cut"
    left_alone: bool = False
    worked: tuple[tuple[str, float], ...] = ()  # seconds on each step that ran, by work, to the last press


@dataclass(frozen=True, kw_only=True)
class ScreenLost(Body):
    """A screen died while another lived on: what it had in hand is unknown until a person looks."""

    kind: Literal["screen_lost"] = "screen_lost"
    run: str
    worked: tuple[tuple[str, float], ...] = ()  # seconds on what ran there, by work, to its last press


@dataclass(frozen=True, kw_only=True)
class RecordPutBack(Body):
    """The record's file was replaced, or taken as it was, by a person who said so with a command.

    What was replaced had come to event ``had``; its files are kept in the shop's folder ``kept_as``. The
    events after the one before this entry, up to ``had``, are in those files and no longer in the record.
    """

    kind: Literal["record_put_back"] = "record_put_back"
    how: Literal["from a copy", "as it was found", "begun anew"]
    had: int
    had_hash: str = ""
    kept_as: str = ""


@dataclass(frozen=True, kw_only=True)
class PersonCame(Body):
    """Somebody joined the sitting."""

    kind: Literal["person_came"] = "person_came"
    person: str


@dataclass(frozen=True, kw_only=True)
class PersonWent(Body):
    """Somebody left the bench."""

    kind: Literal["person_went"] = "person_went"
    person: str


@dataclass(frozen=True, kw_only=True)
class ScreenTaken(Body):
    """The screen was handed to this person: what is done at it from now on is done by their hands."""

    kind: Literal["screen_taken"] = "screen_taken"
    person: str


@dataclass(frozen=True, kw_only=True)
class PinSet(Body):
    """A person's PIN was set, or taken away: ``secret`` is what is kept of it (``pins.py``), or empty."""

    kind: Literal["pin_set"] = "pin_set"
    person: str
    secret: str = ""


@dataclass(frozen=True, kw_only=True)
class PinTried(Body):
    """Somebody typed a person's PIN, and it was right or not. What was typed is kept nowhere."""

    kind: Literal["pin_tried"] = "pin_tried"
    person: str
    right: bool


@dataclass(frozen=True, kw_only=True)
class ProcedureKept(Body):
    """The words of a procedure, kept before anything is done by them: a later edit changes nothing printed.

    ``words`` is the procedure as JSON; ``text`` its digest, by which other events refer to it.
    """

    kind: Literal["procedure_kept"] = "procedure_kept"
    procedure: str
    revision: str
    text: str
    words: str


@dataclass(frozen=True, kw_only=True)
class WorkStarted(Body):
    """One step was begun on one part or a batch."""

    kind: Literal["work_started"] = "work_started"
    work: str
    marks: Annotated[tuple[str, ...], Rules(min_length=1)]
    procedure: str
    revision: str
    step: str
    text: str = ""  # the digest of the procedure as it was then: see ProcedureKept
    walks_with: tuple[str, ...] = ()  # parts of their batch from now on, taken in hand after them
    in_spite_of: str = ""  # the quiet hours in which it was begun all the same, as they were told


@dataclass(frozen=True, kw_only=True)
class CautionAcknowledged(Body):
    """A caution was read; it is not asked again in this sitting."""

    kind: Literal["caution_acknowledged"] = "caution_acknowledged"
    work: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class TurnedTo(Body):
    """Another piece of the batch was taken in hand."""

    kind: Literal["turned_to"] = "turned_to"
    work: str
    mark: str


@dataclass(frozen=True, kw_only=True)
class Counted(Body):
    """The sub-count within a piece is now this: 5 of 11 flutes."""

    kind: Literal["counted"] = "counted"
    work: str
    mark: str
    count: int
    enough: str = ""  # what was said to be so when no more was wanted; empty: the count goes on
    press: str = ""  # by which it was said of several parts at once


@dataclass(frozen=True, kw_only=True)
class DraftTyped(Body):
    """A figure is half typed; kept so that it survives a power cut. Empty: it was taken back."""

    kind: Literal["draft_typed"] = "draft_typed"
    work: str
    mark: str
    check: str
    text: str
    # The runs of screens that live no more and whose figure this goes on with. None: of an older kiosk, for
    # which there was one figure, whichever screen it was typed at.
    goes_on_with: tuple[str, ...] | None = None


@dataclass(frozen=True, kw_only=True)
class WordsTyped(Body):
    """Words are half typed in a dialog; kept so that they survive a power cut. Empty: they were used or
    thrown away."""

    kind: Literal["words_typed"] = "words_typed"
    where: str  # which dialog: its key, such as snag/NR-03
    text: str
    # The runs of screens that live no more and whose words this goes on with, or drops. None: of an older
    # kiosk, for which there was one text for each dialog, whichever screen it was typed at.
    goes_on_with: tuple[str, ...] | None = None


@dataclass(frozen=True, kw_only=True)
class Answered(Body):
    """A check was answered, in the words typed and as a number where it is one."""

    kind: Literal["answered"] = "answered"
    work: str
    mark: str
    check: str
    text: str
    value: float | None = None
    passed: bool = True
    ask: str = ""  # the question as it was put, and what was wanted, with its unit
    wanted: str = ""
    lot: str = ""  # what the lot that was named is, and its certificate, as the shop's list had it then
    unit: str = ""  # of the value and its limits; empty: no figure, or an older kiosk did not say
    low: float | None = None  # the limits as numbers, by which a corrected figure is judged
    high: float | None = None
    press: str = ""  # by which it was said of several parts at once


@dataclass(frozen=True, kw_only=True)
class Used:
    """How much of a consumable a step used up, on all the parts that it was finished on."""

    __pydantic_config__ = _RECORDED

    consumable: str
    amount: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class FigureShown:
    """A figure that was worked out for a step and stood on it, as it was shown: base to pour, 31 ml."""

    __pydantic_config__ = _RECORDED

    name: str
    shown: str


@dataclass(frozen=True, kw_only=True)
class CountDone:
    """A count as it stood when its step was finished: 7 of at most 11 flutes, the web lies flat."""

    __pydantic_config__ = _RECORDED

    mark: str
    count: int
    most: int
    of: str
    enough: str = ""  # what was said to be so; empty: all of them were done


@dataclass(frozen=True, kw_only=True)
class StepFinished(Body):
    """The step is done on these parts. ``active_s`` excludes pauses; not exact after a power cut."""

    kind: Literal["step_finished"] = "step_finished"
    work: str
    marks: tuple[str, ...]
    procedure: str
    revision: str
    step: str
    active_s: float = 0.0
    exact: bool = True
    clocks: tuple[ClockSet, ...] = ()
    family: str = ""
    set_up_minutes: float = 0.0  # the procedure's estimates at the time, to tell set-up from work
    each_minutes: float = 0.0
    day: str = ""  # the local date it was done on; empty: the clock was not believed
    wants_look: bool = False  # done by a helper: the builder looks it over
    text: str = ""  # the digest of the procedure as it was then: see ProcedureKept
    of_kind: str = (
        ""  # the part kind that its times are learnt for; empty: they are learnt for the step alone
    )
    supervised_by: str = ""  # the adult at the bench who answers for a helper under age
    counts: tuple[CountDone, ...] = ()  # where the count was the most that there could be
    used: tuple[Used, ...] = ()  # what it took from the stock
    put_away_minutes: float = 0.0  # the procedure's estimate for its family, to tell it from closing up
    figures: tuple[FigureShown, ...] = ()  # what was worked out for it and stood on the screen
    # Of the minutes to set up, those for what was not out yet. None: of an older kiosk, for which all of
    # them were at the first step of a family in a sitting, and none after it.
    set_up_left_minutes: float | None = None


@dataclass(frozen=True, kw_only=True)
class BatchJoined(Body):
    """These parts walk together from now on, through every step, until one of them is split off.

    Parts that begin a step together do so too, without this entry.
    """

    kind: Literal["batch_joined"] = "batch_joined"
    marks: Annotated[tuple[str, ...], Rules(min_length=2)]


@dataclass(frozen=True, kw_only=True)
class BatchSplit(Body):
    """These parts go their own way from now on; the rest of their batch stays together.

    Those ``put_back`` were in hand and untouched, or went through with the others on answers given for all:
    they are out of hand, as not begun on that step.
    """

    kind: Literal["batch_split"] = "batch_split"
    marks: Annotated[tuple[str, ...], Rules(min_length=1)]
    put_back: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class WorkPaused(Body):
    """The clock of the step was stopped."""

    kind: Literal["work_paused"] = "work_paused"
    work: str


@dataclass(frozen=True, kw_only=True)
class WorkResumed(Body):
    """The clock of the step runs again."""

    kind: Literal["work_resumed"] = "work_resumed"
    work: str


@dataclass(frozen=True, kw_only=True)
class WorkDropped(Body):
    """The step was put back unstarted on these parts; on all that are not finished where none is named.

    ``still_together``: on others of the batch that beginning it made it is done, and these go on with them.
    """

    kind: Literal["work_dropped"] = "work_dropped"
    work: str
    marks: tuple[str, ...] = ()
    still_together: bool = False


@dataclass(frozen=True, kw_only=True)
class Looked(Body):
    """A person looked at a step that was left under way, and said how it stands."""

    kind: Literal["looked"] = "looked"
    work: str
    verdict: Literal["as shown", "not started"]


@dataclass(frozen=True, kw_only=True)
class StepSkipped(Body):
    """A step was left out for a reason. It stays open until the part's completion lists it."""

    kind: Literal["step_skipped"] = "step_skipped"
    mark: str
    procedure: str
    revision: str
    step: str
    reason: str
    text: str = ""  # the digest of the procedure as it was then: see ProcedureKept


@dataclass(frozen=True, kw_only=True)
class StepReopened(Body):
    """A look at the part showed that a step recorded as done is not; it and all after it are to do."""

    kind: Literal["step_reopened"] = "step_reopened"
    mark: str
    procedure: str
    step: str
    reason: str
    text: str = ""  # the digest of the procedure as it was then: see ProcedureKept


@dataclass(frozen=True, kw_only=True)
class PlaceAnswered(Body):
    """What is recorded on the part had no place in the files; the builder says where it goes on."""

    kind: Literal["place_answered"] = "place_answered"
    mark: str
    procedure: str
    revision: str
    step: str
    instead_of: str = ""  # the step of the procedure that was gone: what waits for it waits for this one
    gone: tuple[str, ...] = ()  # procedures done on the part that its route no longer had


@dataclass(frozen=True, kw_only=True)
class StepRenamed:
    """One step's former id and the one it has now, in a procedure by the id that has now."""

    __pydantic_config__ = _RECORDED

    procedure: str
    former: str
    step: str


@dataclass(frozen=True, kw_only=True)
class Renamed(Body):
    """The shop's files call things otherwise since, and say what they were called (``renamed_from``).

    Each map goes from the former name to the new one. Recorded before anything is done under a new name.
    """

    kind: Literal["renamed"] = "renamed"
    procedures: dict[str, str] = field(default_factory=dict)
    steps: tuple[StepRenamed, ...] = ()
    part_kinds: dict[str, str] = field(default_factory=dict)
    marks: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class ClockAnswered(Body):
    """A time limit was missed, or nobody knew how a clock stood: what was done, and how it goes on.

    The part goes back to a step, or the clock runs ``again``; with neither of them the clock is done with.
    ``limits_go_on``: see :class:`SnagDecided`.
    """

    kind: Literal["clock_answered"] = "clock_answered"
    mark: str
    procedure: str
    step: str
    did: str
    what: str = ""  # what ran out; empty: every limit of that step
    until: Moment | None = None  # when it was to end
    asked: ClockSet | None = None  # the very clock; None: an older kiosk said it by what and until alone
    back_to_procedure: str = ""
    back_to_step: str = ""
    text: str = ""  # the person's own words, where no step was named to go back to
    again: ClockSet | None = None
    limits_go_on: bool = False


@dataclass(frozen=True, kw_only=True)
class PartCompleted(Body):
    """The builder declared the part finished, having seen what is still open on it."""

    kind: Literal["part_completed"] = "part_completed"
    mark: str
    open_items: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class SnagRaised(Body):
    """Something is not right on a part; it is held until the builder decides."""

    kind: Literal["snag_raised"] = "snag_raised"
    snag: str
    mark: str
    text: str
    procedure: str = ""
    step: str = ""
    words_kept: str = ""  # the digest of the procedure as it was then: see ProcedureKept


@dataclass(frozen=True, kw_only=True)
class SnagDecided(Body):
    """Use as is, rework from a step, or scrap and remake: with the reason, and who accepted it.

    ``accepted_by`` is a person's id, or the name of somebody from outside as it was entered. ``answer`` is
    what the designer or an inspector said; empty where the plans allow what was decided.
    ``limits_go_on``: the limits that beginning a step in hand had ended run on where the part goes back, and
    what was done before a step that was not done yet stands; an older kiosk let go of both.
    """

    kind: Literal["snag_decided"] = "snag_decided"
    snag: str
    decision: Literal["use as is", "rework", "scrap and remake"]
    reason: str
    accepted_by: str  # a person's id, or the name of somebody from outside as it was entered
    back_to_procedure: str = ""
    back_to_step: str = ""
    accepted_role: str = ""  # builder, designer or inspector
    answer: str = ""
    answered_by: str = ""  # their name as it was entered
    answered_role: str = ""  # designer or inspector
    limits_go_on: bool = False


@dataclass(frozen=True, kw_only=True)
class HoldLooked(Body):
    """A second person looked before a step that cannot be undone or hides what is inside.

    ``looker`` is a person's id; empty for an inspector from outside, whose name and number stand as entered.
    """

    kind: Literal["hold_looked"] = "hold_looked"
    marks: tuple[str, ...]
    procedure: str
    step: str
    looker: str  # empty: an inspector from outside, who is no person of the shop file
    finding: str
    text: str = ""  # the digest of the procedure as it was then: see ProcedureKept
    standing: str = ""  # as what they looked: builder, adult or inspector
    looker_name: str = ""
    looker_number: str = ""


@dataclass(frozen=True, kw_only=True)
class LookedOver(Body):
    """The builder looked over what a helper did."""

    kind: Literal["looked_over"] = "looked_over"
    mark: str
    procedure: str
    step: str
    text: str = ""  # the digest of the procedure as it was then: see ProcedureKept


@dataclass(frozen=True, kw_only=True)
class RoomCleared(Body):
    """An adult confirmed that anyone too young for this step is out of the room."""

    kind: Literal["room_cleared"] = "room_cleared"
    people: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class FamilySetUp(Body):
    """What a step is set up with is out on the bench, before the step itself can begin: while parts dry."""

    kind: Literal["family_set_up"] = "family_set_up"
    mark: str  # a part that waits for it
    procedure: str
    step: str
    family: str
    put_away_minutes: float = 0.0  # the procedure's estimate at the time


@dataclass(frozen=True, kw_only=True)
class NoteWritten(Body):
    """A free note, on a part or on the whole."""

    kind: Literal["note_written"] = "note_written"
    text: str
    mark: str = ""


@dataclass(frozen=True, kw_only=True)
class ConditionsNoted(Body):
    """The room as read off the thermometer and hygrometer."""

    kind: Literal["conditions_noted"] = "conditions_noted"
    temperature_f: float | None = None
    humidity_percent: float | None = None


@dataclass(frozen=True, kw_only=True)
class SlotBegun(Body):
    """Somebody has so many minutes from now on: the warning to put away is counted from it."""

    kind: Literal["slot_begun"] = "slot_begun"
    minutes: Annotated[int, Rules(ge=1, le=1440)]


@dataclass(frozen=True, kw_only=True)
class Wished(Body):
    """Somebody asked for one part, or for one kind of them, first or not today.

    A builder's holds for everybody's advice, a helper's for their own and for that day alone.
    """

    kind: Literal["wished"] = "wished"
    wish: Literal["first", "not today"]
    mark: str = ""  # of the part; empty: all parts of ``part_kind``
    part_kind: str = ""
    day: str = ""  # the local date with which it ends by itself; empty: it lasts until it is taken back


@dataclass(frozen=True, kw_only=True)
class WishTakenBack(Body):
    """What somebody had asked for no longer counts."""

    kind: Literal["wish_taken_back"] = "wish_taken_back"
    person: str  # who had asked
    wish: Literal["first", "not today"]
    mark: str = ""
    part_kind: str = ""


@dataclass(frozen=True, kw_only=True)
class StockCounted(Body):
    """How much of a consumable is left."""

    kind: Literal["stock_counted"] = "stock_counted"
    consumable: str
    left: float


@dataclass(frozen=True, kw_only=True)
class TrialBent(Body):
    """A trial strip was bent and measured: inches, and degrees bent from flat.

    One that was taken from a step names it, with the part and the work in hand; ``fed_by`` are the steps
    whose checks gave its figures. With ``again`` another follows on that step, whose checks are asked anew.
    """

    kind: Literal["trial_bent"] = "trial_bent"
    alloy: str
    thickness_in: float
    inside_radius_in: float
    flat_length_in: float
    leg_a_in: float
    leg_b_in: float
    angle_deg: float
    set_angle_deg: float
    grain: str = ""  # how the bend lies to the grain, along or across; empty: an older kiosk did not ask
    work: str = ""  # empty: typed by itself
    mark: str = ""
    procedure: str = ""
    step: str = ""
    fed_by: tuple[str, ...] = ()
    again: bool = False


@dataclass(frozen=True, kw_only=True)
class TrialRetracted(Body):
    """A trial strip no longer counts: it was mistyped, or its step is done again. It stays in the record.

    One that was mistyped and is ``corrected`` is recorded anew by the same event, so that both are taken back
    together.
    """

    kind: Literal["trial_retracted"] = "trial_retracted"
    trial: str  # the event that recorded it
    number: int
    why: str
    corrected: TrialBent | None = None


@dataclass(frozen=True, kw_only=True)
class Corrected(Body):
    """What was recorded of a finished step was mistyped: one figure, the minutes or the date, and the reason.

    The entry of the step stays as it was written; from now on it counts as ``text`` says. A corrected figure
    is one more answer to its check. ``retracts`` are the trials that rested on it, by their numbers, with
    the events that recorded them, and ``strips`` what they are with it; ``clocks`` are the clocks that it
    set, as they run with it.
    """

    kind: Literal["corrected"] = "corrected"
    finished: str  # the event that finished the step
    work: str
    marks: Annotated[tuple[str, ...], Rules(min_length=1)]  # the parts that it holds for
    given_on: str  # the part that a figure was answered on
    procedure: str
    step: str
    what: Literal["figure", "minutes", "day"]
    text: str  # as typed; a day as it is written in ISO 8601
    was: str  # as it counted until now
    reason: str
    check: str = ""
    value: float | None = None  # of a figure in its unit, or minutes
    passed: bool = True
    ask: str = ""
    wanted: str = ""
    lot: str = ""
    unit: str = ""
    low: float | None = None
    high: float | None = None
    retracts: tuple[tuple[int, str], ...] = ()
    strips: tuple[TrialBent, ...] = ()
    clocks: tuple[ClockSet, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Undone(Body):
    """An earlier event is taken back. Both stay in the record. ``marks`` are the parts that it gives back as
    they were; none where nobody knows which."""

    kind: Literal["undone"] = "undone"
    event: str
    marks: tuple[str, ...] = ()


AnyBody = (
    RunStarted
    | ClockMarked
    | SittingOpened
    | SittingClosed
    | SittingCut
    | ScreenLost
    | RecordPutBack
    | PersonCame
    | PersonWent
    | ScreenTaken
    | PinSet
    | PinTried
    | ProcedureKept
    | WorkStarted
    | CautionAcknowledged
    | TurnedTo
    | Counted
    | DraftTyped
    | WordsTyped
    | Answered
    | StepFinished
    | BatchJoined
    | BatchSplit
    | WorkPaused
    | WorkResumed
    | WorkDropped
    | Looked
    | StepSkipped
    | StepReopened
    | PlaceAnswered
    | Renamed
    | ClockAnswered
    | PartCompleted
    | SnagRaised
    | SnagDecided
    | HoldLooked
    | LookedOver
    | RoomCleared
    | FamilySetUp
    | NoteWritten
    | ConditionsNoted
    | SlotBegun
    | Wished
    | WishTakenBack
    | StockCounted
    | TrialBent
    | TrialRetracted
    | Corrected
    | Undone
)

# By name, so that only of the kinds that occur it is ever worked out how they are read.
KINDS: dict[str, type[Body]] = {one.kind: one for one in get_args(AnyBody)}


@dataclass(frozen=True)
class Event:
    """One line of the journal.

    ``at`` is wall time in UTC for the record; ``monotonic_s`` counts within one boot of the machine, for
    durations; in an older kiosk's entries within one run of one screen (``run``). ``clock_ran_back`` marks
    an event whose wall time is before the event it follows.
    """

    seq: int
    id: str
    at: datetime
    monotonic_s: float
    run: str
    by: str
    body: AnyBody
    clock_ran_back: bool = False
