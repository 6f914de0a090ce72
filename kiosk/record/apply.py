"""Fold events into the state. Pure: the same events always give the same state."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from copy import copy
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, TypeVar

from kiosk.record import events as e
from kiosk.record.lessons import (
    Taught,
    family_of,
    learn,
    lessons_of_closing,
    only_its_own,
    planned_minutes,
    retimed,
    taught_by_minutes,
    taught_by_step,
    taught_last,
    told_afterwards,
    unlearn,
    without_told,
)
from kiosk.record.rename import rename
from kiosk.record.sittings import LEFT_OPEN_MINUTES, nobody_was_there, sitting_seen
from kiosk.record.state import (
    FIRST_DAY,
    KEPT_CONFIRMATIONS,
    KEPT_FINISHES,
    KEPT_FOR_UNDO,
    KEPT_OUTSIDERS,
    KEPT_RUNS,
    Answer,
    ByDay,
    ClockReading,
    Confirmation,
    CountedBefore,
    DoneSince,
    Draft,
    Finish,
    LastTap,
    Learnt,
    Left,
    NamedLots,
    Outsider,
    PartState,
    Piece,
    PinTries,
    Sitting,
    Slot,
    Snag,
    State,
    StepDone,
    StockCount,
    TookOut,
    Trial,
    Undoable,
    Walked,
    Wish,
    Work,
)
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import StepRef

T = TypeVar("T")

_MOST_MIXES_LEFT = 3  # of those a part remembers
_NO_AMOUNT = 1e-9  # what binary arithmetic may leave of nothing


def fold(events: Iterable[e.Event], start: State | None = None) -> State:
    """The state after the events; ``start`` is left as it was."""
    state = State() if start is None else copied(start)
    for event in events:
        apply(state, event)
    return state


def copied(state: State) -> State:
    """A copy that can be folded on without touching the original; its parts are frozen and shared."""
    twin = copy(state)
    for name in (
        "parts",
        "works",
        "snags",
        "times",
        "stock",
        "stock_counts",
        "stock_used",
        "finishes",
        "words",
        "minutes_by_day",
        "planned_by_day",
        "sittings_by_day",
        "pins",
    ):
        setattr(twin, name, dict(getattr(state, name)))
    return twin


def apply(state: State, event: e.Event) -> None:
    """Take one event into the state."""
    _seen(state, event.by)
    _come_back(state, event)
    _APPLY[type(event.body)](state, event, event.body)
    state.seq = event.seq
    if isinstance(event.body, e.RunStarted):
        return  # nothing was done yet: what was done last lies before it
    state.last_at = event.at
    clocks = _clocks_of(state, event)
    if clocks.believed:
        state.believed_at = event.at
    if not isinstance(event.body, _NO_TAP):
        state.last_tap = LastTap(event.run, clocks)


# What the kiosk records of itself: it tells of nobody who is there.
_NO_TAP = (e.SittingCut, e.ScreenLost, e.Renamed, e.RecordPutBack)


def _come_back(state: State, event: e.Event) -> None:
    """Somebody goes on with a sitting that was left open: what lies before counts to its last tap, on its
    own day, and what follows from now on."""
    if isinstance(event.body, (*_NO_TAP, e.RunStarted)) or not nobody_was_there(
        state, _clocks_of(state, event)
    ):
        return
    assert state.sitting is not None and state.last_tap is not None
    ended = _at_last_tap(state.last_tap, event)
    if isinstance(event.body, e.SittingClosed):  # who closes up so late had left the bench open
        left = timedelta(minutes=LEFT_OPEN_MINUTES)
        ended = replace(ended, at=ended.at + left, monotonic_s=ended.monotonic_s + left.total_seconds())
    _count_sitting(state, ended)
    state.sitting = replace(state.sitting, again_at=event.at)
    state.last_deed = None


def _at_last_tap(tap: LastTap, event: e.Event) -> e.Event:
    """The event as if it had happened when somebody last did something: its own clock has counted the hours
    in which nobody was there."""
    return replace(event, at=tap.clocks.at, monotonic_s=tap.clocks.monotonic_s, run=tap.run)


def _seen(state: State, person: str) -> None:
    """Somebody was seen at a screen: whatever an adult said before, they are not out of the room."""
    if state.sitting is not None and person in state.sitting.cleared:
        cleared = tuple(one for one in state.sitting.cleared if one != person)
        state.sitting = replace(state.sitting, cleared=cleared)


def _remember(
    state: State,
    event: e.Event,
    phrase: str,
    *,
    step: StepRef | None = None,
    of: tuple[str, ...] = (),
    marks: Iterable[str] = (),
    works: Iterable[str] = (),
    snags: Iterable[str] = (),
    learnt: tuple[Learnt, ...] = (),
    planned: tuple[str, float] | None = None,
    finishes: Iterable[str] = (),
    confirmed: tuple[Confirmation, ...] = (),
    used: tuple[e.Used, ...] = (),
    stopped: tuple[tuple[str, e.ClockSet], ...] = (),
    counted: CountedBefore | None = None,
    press: str = "",
) -> None:
    """Keep what is there now, so that this event can be taken back; ``{step}`` in the phrase is the step."""
    entry = Undoable(
        event=event.id,
        phrase=phrase,
        step=step,
        of=of,
        by=event.by,
        at=event.at,
        parts={mark: state.parts.get(mark) for mark in marks},
        works={key: (work := state.works.get(key)) and _worked_until(state, work, event) for key in works},
        snags={snag: state.snags.get(snag) for snag in snags},
        learnt=learnt,
        planned=planned,
        finishes={one: state.finishes[one] for one in finishes if one in state.finishes},
        confirmed=confirmed,
        used=used,
        seq=event.seq if used or counted is not None else 0,
        stopped=stopped,
        counted=counted,
        press=press,
    )
    # Counts of stock have places of their own: what was taken back when they had none is found as then.
    same = [one.event for one in state.undoables if (one.counted is None) == (counted is None)]
    gone = same[: max(0, len(same) + 1 - KEPT_FOR_UNDO)]
    state.undoables = (*(one for one in state.undoables if one.event not in gone), entry)


def _put(table: dict[str, Any], key: str, value: Any) -> None:
    if value is None:
        table.pop(key, None)
    else:
        table[key] = value


def _clocks_of(state: State, event: e.Event) -> ClockReading:
    """Both clocks at an event. An older kiosk's entries do not say of which boot they are."""
    known = state.run_clocks.get(event.run)
    if known is None:
        return ClockReading("", event.at, event.monotonic_s, event.at.date().isoformat() >= FIRST_DAY)
    return replace(known, at=event.at, monotonic_s=event.monotonic_s)


def _run_started(state: State, event: e.Event, body: e.RunStarted) -> None:
    others = [run for run in state.run_clocks if run != event.run]
    # By that of a work in hand it is told how long it has run, however many screens came and went since.
    kept = {work.run for work in state.works.values()} | set(others[-(KEPT_RUNS - 1) :])
    known = {run: state.run_clocks[run] for run in others if run in kept}
    now = ClockReading(body.boot, event.at, event.monotonic_s, body.believed)
    state.run_clocks = {**known, event.run: now}


def _clock_marked(state: State, event: e.Event, body: e.ClockMarked) -> None:
    """From now on the wall clock of that boot is believed, or not. Where it is right, what is dated after it
    was dated by a clock that was wrong. An interval that a clock was marked in teaches nothing."""
    state.works = {key: replace(work, exact=False) for key, work in state.works.items()}
    state.last_deed = None
    now = ClockReading(body.boot, event.at, event.monotonic_s, body.right)
    state.run_clocks = {
        run: now if run == event.run or known.boot == body.boot else known
        for run, known in {**state.run_clocks, event.run: now}.items()
    }
    if not body.right:
        return
    for by_day in (state.minutes_by_day, state.planned_by_day, state.sittings_by_day):
        for day in [day for day in by_day if body.day and day > body.day]:
            del by_day[day]
    state.finishes = {  # a correction gives no such day its minutes back
        key: _finish_doubted_after(finish, body.day) if body.day else finish
        for key, finish in state.finishes.items()
    }
    if body.day:
        state.works = {key: _days_doubted_after(work, body.day) for key, work in state.works.items()}
        state.undoables = tuple(_days_kept_doubted_after(one, body.day) for one in state.undoables)
    state.parts = {mark: _part_doubted_after(part, event.at) for mark, part in state.parts.items()}
    state.works = {key: _work_doubted_after(work, event.at) for key, work in state.works.items()}
    state.undoables = tuple(  # an undo gives back no more belief than there is
        replace(
            one,
            parts={key: part and _part_doubted_after(part, event.at) for key, part in one.parts.items()},
            works={key: work and _work_doubted_after(work, event.at) for key, work in one.works.items()},
            stopped=tuple((of, _doubted_if_after(clock, event.at)) for of, clock in one.stopped),
        )
        for one in state.undoables
    )
    if state.conditions_by is not None and state.conditions_by.at > event.at:
        state.conditions_by = replace(state.conditions_by, believed=False)


def _days_kept_doubted_after(entry: Undoable, day: str) -> Undoable:
    return replace(
        entry,
        works={key: work and _days_doubted_after(work, day) for key, work in entry.works.items()},
        finishes={key: _finish_doubted_after(finish, day) for key, finish in entry.finishes.items()},
        planned=None if entry.planned is not None and entry.planned[0] > day else entry.planned,
    )


def _days_doubted_after(work: Work, day: str) -> Work:
    return replace(work, before=_up_to(work.before, day), counted=_up_to(work.counted, day))


def _finish_doubted_after(finish: Finish, day: str) -> Finish:
    return replace(finish, day="" if finish.day > day else finish.day, before=_up_to(finish.before, day))


def _up_to(by_day: ByDay, day: str) -> ByDay:
    return tuple(one for one in by_day if one[0] <= day)


def _part_doubted_after(part: PartState, at: datetime) -> PartState:
    if not (part.clocks or part.undone_limits):
        return part
    return replace(
        part,
        clocks=tuple(_doubted_if_after(clock, at) for clock in part.clocks),
        undone_limits=tuple(_doubted_if_after(clock, at) for clock in part.undone_limits),
    )


def _work_doubted_after(work: Work, at: datetime) -> Work:
    """Its clocks are those that putting it back gives back."""
    if not work.stopped:
        return work
    return replace(work, stopped=tuple((mark, _doubted_if_after(clock, at)) for mark, clock in work.stopped))


def _doubted_if_after(clock: e.ClockSet, at: datetime) -> e.ClockSet:
    was_set = clock.until - timedelta(minutes=clock.minutes)
    return replace(clock, believed=False) if was_set > at else clock


def _sitting_opened(state: State, event: e.Event, body: e.SittingOpened) -> None:
    stood = tuple((work.id, work.touched) for work in state.works.values())
    state.sitting = Sitting(people=body.people, opened_at=event.at, run=event.run, stood=stood)
    state.sittings += 1
    state.last_deed = None


def _count_sitting(state: State, event: e.Event) -> None:
    """Keep what the sitting that ends tells of the rhythm, before anything of it is put down."""
    seen = sitting_seen(state, event) if _clocks_of(state, event).believed else None
    if seen is not None:
        day, sitting = seen
        state.sittings_by_day[day] = (*state.sittings_by_day.get(day, ()), sitting)


def _leave(
    state: State,
    event: e.Event,
    *,
    note: str,
    left: tuple[str, ...],
    cut_short: bool,
    next_step: str = "",
    left_alone: bool = False,
) -> None:
    state.left = Left(
        at=event.at,
        note=note,
        left=left,
        cut_short=cut_short,
        work=state.last_work,
        next_step=next_step,
        by="" if cut_short else event.by,
        left_alone=left_alone,
        people=state.sitting.people if cut_short and state.sitting is not None else (),
    )
    state.sitting = None


def _sitting_closed(state: State, event: e.Event, body: e.SittingClosed) -> None:
    _count_sitting(state, event)
    if _clocks_of(state, event).believed and not any(
        work.status == "running" for work in state.works.values()
    ):
        learn(state, lessons_of_closing(state, body, event.by, event.run, event.monotonic_s))
    for work in list(state.works.values()):
        if work.status == "running":
            state.works[work.id] = _stopped(state, work, event)
    state.last_deed = None
    state.slots, state.done_since = {}, ()
    for person, tries in list(state.pins.items()):
        if tries.told:
            state.pins[person] = replace(tries, untold=0, since=None, told=False)
    _leave(state, event, note=body.note, left=body.left, cut_short=False, next_step=body.next_step)


def _sitting_cut(state: State, event: e.Event, body: e.SittingCut) -> None:
    at = state.last_at or event.at
    ended = replace(event, at=at)
    if body.left_alone and state.last_tap is not None:
        ended = _at_last_tap(state.last_tap, event)
        at = ended.at
    _count_sitting(state, ended)
    if body.left_alone:
        state.slots = {}
        state.left_alone += 1
    worked = dict(body.worked)
    for work in list(state.works.values()):
        if work.status == "running":
            state.works[work.id] = _cut_off(state, work, ended, worked.get(work.id, 0.0))
    _leave(state, replace(event, at=at), note="", left=(), cut_short=True, left_alone=body.left_alone)


def _screen_lost(state: State, event: e.Event, body: e.ScreenLost) -> None:
    worked = dict(body.worked)
    for work in list(state.works.values()):
        # One that is not named lives on at the screen where it was taken up. An older kiosk named none.
        named = not worked or work.id in worked
        if work.status == "running" and work.run == body.run and named:
            last = replace(event, at=work.touched_at or event.at)
            state.works[work.id] = _cut_off(state, work, last, worked.get(work.id, 0.0))


def _cut_off(state: State, work: Work, event: e.Event, seconds: float) -> Work:
    """A step that ran, whose hands have gone, with the ``seconds`` that were worked on it until the event."""
    cut = replace(
        work, status="unknown", active_s=max(work.active_s, seconds), running_since_s=None, exact=False
    )
    return _on_its_day(state, event, work, cut)


def _record_put_back(state: State, event: e.Event, body: e.RecordPutBack) -> None:
    """Stands in the record; how the parts stand is as the events before it say."""


def _slot_begun(state: State, event: e.Event, body: e.SlotBegun) -> None:
    others = {person: slot for person, slot in state.slots.items() if person != event.by}
    state.slots = {**others, event.by: Slot(body.minutes, _clocks_of(state, event))}


def _wished(state: State, event: e.Event, body: e.Wished) -> None:
    new = Wish(event.by, body.wish, body.mark, body.part_kind, body.day)
    # What ended with a day before this one is of no more use.
    kept = [one for one in state.wishes if not (one.day and body.day and one.day < body.day)]
    # What lasts comes back when the day is over for which it was put off.
    state.wishes = (
        *(one for one in kept if not one.is_same_thing(new) or (new.day and not one.day)),
        new,
    )


def _wish_taken_back(state: State, event: e.Event, body: e.WishTakenBack) -> None:
    gone = Wish(body.person, body.wish, body.mark, body.part_kind)
    state.wishes = tuple(
        one for one in state.wishes if not (one.is_same_thing(gone) and one.wish == gone.wish)
    )


def _person_came(state: State, event: e.Event, body: e.PersonCame) -> None:
    if state.sitting is not None and body.person not in state.sitting.people:
        state.sitting = replace(state.sitting, people=(*state.sitting.people, body.person), cleared=())


def _person_went(state: State, event: e.Event, body: e.PersonWent) -> None:
    if state.sitting is not None:
        people = tuple(person for person in state.sitting.people if person != body.person)
        state.sitting = replace(state.sitting, people=people, went=(*state.sitting.went, body.person))


def _screen_taken(state: State, event: e.Event, body: e.ScreenTaken) -> None:
    """Whose hands a screen has is the screen's own to know; but who takes one is in the room again, and who
    gave it away and is at a step at another one is not at this one any more."""
    _seen(state, body.person)
    for work in list(state.works.values()):
        if work.taken_up_in == event.run and work.worker != body.person:
            state.works[work.id] = replace(work, taken_up_in="")


def _pin_set(state: State, event: e.Event, body: e.PinSet) -> None:
    """A new PIN begins with no wrong tries; those of the old one are told all the same."""
    before = state.pins.get(body.person, PinTries())
    state.pins[body.person] = replace(before, secret=body.secret, wrong=0)


def _pin_tried(state: State, event: e.Event, body: e.PinTried) -> None:
    before = state.pins.get(body.person, PinTries())
    if body.right:
        state.pins[body.person] = replace(before, wrong=0, told=before.untold > 0)
        return
    state.pins[body.person] = replace(
        before,
        wrong=before.wrong + 1,
        run=event.run,
        at_s=event.monotonic_s,
        untold=before.untold + 1,
        since=before.since or event.at,
        told=False,
    )


def _met(state: State, name: str, role: str, number: str = "") -> None:
    """Keep who from outside gave an answer or a look, so that their name need not be typed again."""
    if name:
        one = Outsider(name, role, number)
        others = tuple(other for other in state.outsiders if other != one)
        state.outsiders = (*others, one)[-KEPT_OUTSIDERS:]


def _procedure_kept(state: State, event: e.Event, body: e.ProcedureKept) -> None:
    state.texts = state.texts | {body.text}


def _work_started(state: State, event: e.Event, body: e.WorkStarted) -> None:
    ref = StepRef(body.procedure, body.step)
    together = (*body.marks, *body.walks_with)
    of, works = tuple(body.marks), (body.work,)
    _remember(state, event, "start of {step}", step=ref, marks=together, works=works, of=of)
    state.works[body.work] = Work(
        id=body.work,
        procedure=body.procedure,
        revision=body.revision,
        step=body.step,
        by=event.by,
        pieces=tuple(Piece(mark) for mark in body.marks),
        turned_to=body.marks[0],
        started_at=event.at,
        running_since_s=event.monotonic_s,
        run=event.run,
        taken_up_in=event.run,
        touched=_clocks_of(state, event),
        piece_since=event.at,
        hands=event.by,
    )
    stopped: list[tuple[str, e.ClockSet]] = []
    for mark in body.marks:
        part = state.part(mark)
        ended = [clock for clock in part.clocks if _of_step(clock, ref) and clock.ends == "begin"]
        stopped += [(mark, clock) for clock in ended]
        running = tuple(clock for clock in part.clocks if clock not in ended)
        state.parts[mark] = replace(part, work=body.work, clocks=running)
    state.last_work = body.work
    walked = _walk_together(state, together, event.id)
    state.works[body.work] = replace(
        state.works[body.work],
        stopped=tuple(stopped),
        made=event.id if walked else "",
        walked=walked,
    )


def _walk_together(state: State, marks: Sequence[str], batch: str) -> tuple[Walked, ...]:
    """Parts that begin together are a batch from then on; some of one batch are it already. Gives how they
    walked before, where that is another way."""
    batches = {state.part(mark).batch for mark in marks}
    if len(marks) < 2 or (len(batches) == 1 and "" not in batches):
        return ()
    before = tuple(
        Walked(mark, part.batch, part.left_batch) for mark, part in ((one, state.part(one)) for one in marks)
    )
    for mark in marks:
        state.parts[mark] = replace(state.part(mark), batch=batch, left_batch="")
    return before


def _leave_batch(state: State, mark: str) -> None:
    part = state.part(mark)
    if part.batch:
        state.parts[mark] = replace(part, batch="", left_batch=part.batch)


def _batch_joined(state: State, event: e.Event, body: e.BatchJoined) -> None:
    _remember(state, event, f"{marks_in_full(body.marks)} walk together", marks=body.marks)
    _walk_together(state, body.marks, event.id)


def _batch_split(state: State, event: e.Event, body: e.BatchSplit) -> None:
    works = {state.part(mark).work or "" for mark in body.put_back} & state.works.keys()
    phrase = f"{marks_in_full(body.marks)} split from the batch"
    _remember(state, event, phrase, marks=body.marks, works=sorted(works))
    for mark in body.marks:
        if mark in body.put_back:
            _put_back_one(state, mark)
        _leave_batch(state, mark)


def _put_back_one(state: State, mark: str) -> None:
    """One part of a step in hand out of hand as not begun: the clocks that beginning ended run on."""
    part = state.part(mark)
    work = state.works.get(part.work or "")
    if work is None:
        return
    again = tuple(clock for of, clock in work.stopped if of == mark and clock not in part.clocks)
    _out_of_hand(state, part)
    state.parts[mark] = replace(part, work=None, clocks=part.clocks + again)


def _of_step(clock: e.ClockSet, ref: StepRef) -> bool:
    return StepRef(clock.procedure, clock.step) == ref


def _caution_acknowledged(state: State, event: e.Event, body: e.CautionAcknowledged) -> None:
    if state.sitting is not None:
        known = state.sitting.read_by(event.by)
        new = tuple((event.by, text) for text in body.cautions if text not in known)
        state.sitting = replace(state.sitting, read=state.sitting.read + new)


def _change_piece(
    state: State, event: e.Event, work_id: str, mark: str, change: Callable[[Piece], Piece]
) -> None:
    work = state.works.get(work_id)
    if work is None:
        return
    pieces = tuple(change(piece) if piece.mark == mark else piece for piece in work.pieces)
    work = _with_its_hands(state, work, event)
    state.works[work_id] = replace(work, pieces=pieces, touched=_clocks_of(state, event))
    state.last_work = work_id


def _turned_to(state: State, event: e.Event, body: e.TurnedTo) -> None:
    work = state.works.get(body.work)
    if work is not None and body.mark in work.marks:
        state.works[body.work] = replace(work, turned_to=body.mark, touched=_clocks_of(state, event))
        state.last_work = body.work


def _counted(state: State, event: e.Event, body: e.Counted) -> None:
    said = f", enough: {body.enough}" if body.enough else ""
    work = state.works.get(body.work)
    at = work.ref if work is not None else None
    where = " of {step}" if at is not None else ""
    phrase = f"count {body.count}{said}{where} on {body.mark}"
    _remember(state, event, phrase, step=at, works=(body.work,), press=body.press)

    def change(piece: Piece) -> Piece:
        return replace(piece, count=body.count, enough=body.enough)

    _change_piece(state, event, body.work, body.mark, change)


def _draft_typed(state: State, event: e.Event, body: e.DraftTyped) -> None:

    def change(piece: Piece) -> Piece:
        drafts = {check: typed for check, typed in piece.drafts.items() if check != body.check}
        now = _half_typed(event, body, piece.drafts.get(body.check, ()))
        if now:
            drafts[body.check] = now
        return replace(piece, drafts=drafts)

    _change_piece(state, event, body.work, body.mark, change)


def _words_typed(state: State, event: e.Event, body: e.WordsTyped) -> None:
    _put(state.words, body.where, _half_typed(event, body, state.words.get(body.where, ())) or None)


def _half_typed(
    event: e.Event, body: e.DraftTyped | e.WordsTyped, before: tuple[Draft, ...]
) -> tuple[Draft, ...]:
    """What is half typed at all screens now: to an older kiosk there was one for all."""
    over = body.goes_on_with
    gone = (event.run, *(over or ()))
    left = tuple(one for one in before if over is not None and one.run not in gone)
    return (*left, Draft(event.run, body.text)) if body.text else left


def _answered(state: State, event: e.Event, body: e.Answered) -> None:
    asked = f" to \u2018{body.ask}\u2019" if body.ask else ""
    phrase = f"answer {body.text!r}{asked} on {body.mark}"
    _remember(state, event, phrase, works=(body.work,), press=body.press)

    given = Answer(body.text, body.value, body.passed, body.ask, body.unit, is_lot=bool(body.lot))

    def change(piece: Piece) -> Piece:
        before = piece.answers.get(body.check)
        is_other = before is not None and bool(body.ask) and not before.is_to(body.ask, body.unit)
        return replace(
            piece,
            answers={**piece.answers, body.check: given},
            reworded=(*piece.reworded, before) if before is not None and is_other else piece.reworded,
            drafts={check: typed for check, typed in piece.drafts.items() if check != body.check},
        )

    _change_piece(state, event, body.work, body.mark, change)


def _step_finished(state: State, event: e.Event, body: e.StepFinished) -> None:
    work = state.works.get(body.work)
    whole = _with_what_was_undone(state, work, event, body)
    end_before = work.last_end if work is not None and not work.counted else ""
    first = state.finishes.get(end_before)
    with_these = told_afterwards(state, first, whole, event.by) if first is not None else None
    taught = taught_by_step(state, whole, event.by)
    if with_these is not None:
        taught = Taught((), 0.0, taught.timed)
    planned = planned_minutes(state, body)
    # What the days hold already, of an end that was taken back, is in what they hold from now on.
    counted_before = work.counted if work is not None else ()
    counted = max(taught.minutes, sum(minutes for _, minutes in counted_before))
    held = tuple((day, minutes / counted) for day, minutes in counted_before if counted > 0)
    _remember(
        state,
        event,
        f"{{step}} done on {', '.join(body.marks)}",
        step=StepRef(body.procedure, body.step),
        marks=body.marks,
        works=(body.work,),
        learnt=taught.lessons,
        planned=(body.day, planned) if body.day >= FIRST_DAY else None,
        finishes=(end_before,) if with_these is not None else (),
        used=body.used,
    )
    if first is not None and with_these is not None:
        _change_finish(state, end_before, first, with_these)
    _trials_finished(state, event, body)
    pieces = _finished_pieces(work, body)
    for mark in body.marks:
        passed = _passed(state.part(mark), event, body, _given_on(body, pieces, mark, _values))
        state.parts[mark] = _with_lots(passed, event, body, pieces)
    if work is not None:
        _take_out(state, work, event, body.marks)
        if (left := state.works.get(work.id)) is not None:
            last_end = event.id if with_these is None else end_before
            state.works[work.id] = replace(left, last_end=last_end)
    _confirm(state, event, body, pieces)
    learn(state, taught.lessons, body.day)
    finish = state.finishes[event.id] = Finish(
        learnt=taught.lessons,
        timed=taught.timed,
        day=body.day,
        minutes=body.active_s / 60.0,
        counted=counted,
        planned=planned,
        before=_shares_before(work, whole) if body.day or not held else held,
        told_with=end_before if with_these is not None else "",
    )
    while len(state.finishes) > KEPT_FINISHES:
        del state.finishes[next(iter(state.finishes))]
    for used in body.used:
        state.stock_used[used.consumable] = state.stock_used.get(used.consumable, 0.0) + used.amount
    _take_out_family(state, event, body)
    if body.marks:
        done = DoneSince(StepRef(body.procedure, body.step), body.marks[0], event.id)
        state.done_since = (*state.done_since, done)
    for day, minutes in counted_before:
        state.minutes_by_day[day] = max(0.0, state.minutes_by_day.get(day, 0.0) - minutes)
    for day, minutes in finish.counted_by_day.items():
        state.minutes_by_day[day] = state.minutes_by_day.get(day, 0.0) + minutes
    if body.day >= FIRST_DAY:
        state.planned_by_day[body.day] = state.planned_by_day.get(body.day, 0.0) + planned
    state.last_deed = (event.run, event.monotonic_s)
    state.last_work = body.work


def _with_what_was_undone(
    state: State, work: Work | None, event: e.Event, body: e.StepFinished
) -> e.StepFinished:
    """The end of a step that was taken back before, with all that was worked: an older kiosk's entry has not
    what was worked from the last pause to the end that was taken back."""
    if work is None or not work.counted:
        return body
    seconds = _worked_until(state, work, event).active_s
    return replace(body, active_s=seconds) if seconds > body.active_s else body


def _shares_before(work: Work | None, body: e.StepFinished) -> tuple[tuple[str, float], ...]:
    """Which share of a step's time was worked on days before it was finished, by local date."""
    days = work.before if work is not None else ()
    whole_s = max(body.active_s, sum(seconds for _, seconds in days))
    last = body.day or FIRST_DAY
    return tuple((day, seconds / whole_s) for day, seconds in days if FIRST_DAY <= day < last and whole_s)


def _family_set_up(state: State, event: e.Event, body: e.FamilySetUp) -> None:
    ref = StepRef(body.procedure, body.step)
    _remember(state, event, "set up for {step}", step=ref)
    _take_out_family(state, event, body)
    state.done_since = (*state.done_since, DoneSince(ref, body.mark, event.id))
    state.last_deed = (event.run, event.monotonic_s)


def _take_out_family(state: State, event: e.Event, body: e.StepFinished | e.FamilySetUp) -> None:
    """The step's family is out from now on, and is to put away."""
    family = family_of(body)
    if state.sitting is None or family is None:
        return
    took_out = TookOut(event.id, family, body.put_away_minutes)
    state.sitting = replace(state.sitting, took_out=(*state.sitting.took_out, took_out))


def _back_in_its_place(state: State, finished: str) -> None:
    """What the end of a step took out is out by it no longer, for that end is taken back."""
    state.done_since = tuple(one for one in state.done_since if one.event != finished)
    if state.sitting is not None:
        left = tuple(one for one in state.sitting.took_out if one.event != finished)
        state.sitting = replace(state.sitting, took_out=left)


def _finished_pieces(work: Work | None, body: e.StepFinished) -> dict[str, Piece]:
    if work is None:
        return {}
    return {piece.mark: piece for piece in work.pieces if piece.mark in body.marks}


def _given_on(body: e.StepFinished, pieces: Mapping[str, Piece], mark: str, what: Callable[[Piece], T]) -> T:
    """What was given on a part; of a batch that goes through together, what was given on the first."""
    own = pieces.get(mark)
    found = what(own if own is not None else Piece(mark))
    if not found and own is not None and len(body.marks) > 1:
        found = what(next(iter(pieces.values())))
    return found


def _with_lots(
    part: PartState, event: e.Event, body: e.StepFinished, pieces: Mapping[str, Piece]
) -> PartState:
    """The part with the lots that were named on it."""
    named = _given_on(body, pieces, part.mark, _lots)
    if not named:
        return part
    lots = NamedLots(event.id, named)
    return replace(part, lots={**part.lots, StepRef(body.procedure, body.step): lots})


def _lots(piece: Piece) -> tuple[str, ...]:
    return tuple(given.text for given in piece.answers.values() if given.is_lot)


def _values(piece: Piece) -> dict[str, float]:
    return {check: given.value for check, given in piece.answers.items() if given.value is not None}


def _worked_last(
    passes: Mapping[str, dict[str, StepDone]], procedure: str, done: dict[str, StepDone]
) -> dict[str, dict[str, StepDone]]:
    """The steps done by procedure, the one that was worked at last at the end."""
    return {**{name: steps for name, steps in passes.items() if name != procedure}, procedure: done}


def _passed(part: PartState, event: e.Event, body: e.StepFinished, values: dict[str, float]) -> PartState:
    """The part with this step done on it."""
    ref = StepRef(body.procedure, body.step)
    done = dict(part.passes.get(body.procedure, {}))
    done.pop(body.step, None)
    done[body.step] = StepDone(event.at, event.by, body.revision)
    measured = {**part.measured, ref: {**part.measured.get(ref, {}), **values}} if values else part.measured
    return replace(
        part,
        passes=_worked_last(part.passes, body.procedure, done),
        placed={procedure: step for procedure, step in part.placed.items() if procedure != body.procedure},
        work=None,
        clocks=tuple(clock for clock in part.clocks if not _of_step(clock, ref)) + body.clocks,
        measured=measured,
        wants_look=(*part.wants_look, ref) if body.wants_look else part.wants_look,
        undone_limits=tuple(
            clock for clock in part.undone_limits if StepRef(clock.procedure, clock.set_by) != ref
        ),
    )


def _take_out(state: State, work: Work, event: e.Event, marks: Sequence[str]) -> None:
    """The work without the pieces that are done; the clock begins anew on what is left."""
    rest = tuple(piece for piece in work.pieces if piece.mark not in marks)
    if not rest:
        del state.works[work.id]
        return
    state.works[work.id] = replace(
        work,
        pieces=rest,
        turned_to=rest[0].mark,
        active_s=0.0,
        before=(),
        counted=(),
        exact=True,
        running_since_s=event.monotonic_s if work.status == "running" else None,
        run=event.run,
        touched=_clocks_of(state, event),
        piece_since=event.at,
    )


def _confirm(state: State, event: e.Event, body: e.StepFinished, pieces: Mapping[str, Piece]) -> None:
    values = tuple(
        (mark, check, given.text)
        for mark in body.marks
        if mark in pieces
        for check, given in pieces[mark].answers.items()
    )
    new = Confirmation(
        event.id, event.at, event.by, body.marks, body.procedure, body.revision, body.step, values
    )
    state.confirmations = (*state.confirmations, new)[-KEPT_CONFIRMATIONS:]


def active_seconds(work: Work, monotonic_s: float, run: str) -> float:
    """Seconds worked so far, pauses excluded. Never negative; another run's clock cannot be compared."""
    if work.running_since_s is None or work.run != run:
        return work.active_s
    return work.active_s + max(0.0, monotonic_s - work.running_since_s)


def _stopped(state: State, work: Work, event: e.Event) -> Work:
    same_run = work.run == event.run
    stopped = replace(
        work,
        status="paused",
        active_s=active_seconds(work, event.monotonic_s, _run_of_clock(state, work, event)),
        exact=work.exact and (same_run or work.running_since_s is None),
        running_since_s=None,
        touched=_clocks_of(state, event),
        last_end="",
    )
    return _on_its_day(state, event, work, stopped)


def _on_its_day(state: State, event: e.Event, running: Work, left: Work) -> Work:
    """The work that was left, knowing on which day what was worked until then came to its end."""
    seconds = left.active_s - running.active_s
    if seconds <= 0 or not _clocks_of(state, event).believed:
        return left
    day = event.at.astimezone().date().isoformat()
    return replace(left, before=_added_by_day(left.before, ((day, seconds),)))


def _worked_until(state: State, work: Work, event: e.Event) -> Work:
    """The work with what was worked on it until the event, on whichever screen of the same boot."""
    if work.running_since_s is None:
        return work
    seconds = active_seconds(work, event.monotonic_s, _run_of_clock(state, work, event))
    until = replace(work, active_s=seconds, running_since_s=event.monotonic_s, run=event.run)
    return _on_its_day(state, event, work, until)


def _with_its_hands(state: State, work: Work, event: e.Event) -> Work:
    """The work at the screen where something was last done at it: while that lives, or the one at which it
    was taken up, it lives."""
    if work.status != "running" or _run_of_clock(state, work, event) != work.run:
        return work
    return replace(work, run=event.run)


def _run_of_clock(state: State, work: Work, event: e.Event) -> str:
    """The run whose clock tells how long a work has run: its own, which an event of another screen of the
    same boot has read too; else the event's, which cannot be compared with it."""
    began, now = state.run_clocks.get(work.run), state.run_clocks.get(event.run)
    comparable = began is not None and now is not None and began.boot == now.boot
    return work.run if comparable else event.run


def _work_paused(state: State, event: e.Event, body: e.WorkPaused) -> None:
    work = state.works.get(body.work)
    if work is not None and work.status == "running":
        state.works[body.work] = _stopped(state, work, event)
        state.last_deed = (event.run, event.monotonic_s)


def _running(state: State, work: Work, event: e.Event) -> Work:
    return replace(
        work,
        status="running",
        hands=event.by,
        running_since_s=event.monotonic_s,
        run=event.run,
        taken_up_in=event.run,
        touched=_clocks_of(state, event),
        piece_since=event.at,
    )


def _work_resumed(state: State, event: e.Event, body: e.WorkResumed) -> None:
    work = state.works.get(body.work)
    if work is not None and work.status == "paused":
        state.works[body.work] = _running(state, work, event)
        state.last_work = body.work


def _release(
    state: State, event: e.Event, work: Work, marks: Sequence[str] = (), *, still_together: bool = False
) -> None:
    """Parts out of hand as not begun, all of them where none is named: the clocks that beginning ended run
    on, and a batch that it made is made without them, unless they are ``still_together``."""
    marks = marks or work.marks
    walked = [one.mark for one in work.walked]
    _remember(
        state,
        event,
        "{step} put back",
        step=work.ref,
        of=tuple(marks),
        marks=dict.fromkeys((*marks, *walked)),
        works=(work.id,),
    )
    for mark in marks:
        _put_back_one(state, mark)
        if work.made and state.part(mark).batch == work.made and not still_together:
            _leave_batch(state, mark)
    if work.made and work.id not in state.works:
        _walk_as_before(state, work)


def _walk_as_before(state: State, work: Work) -> None:
    """Nothing of a step is in hand any more: where nothing came of it at all, nor of the batch that beginning
    it made, its parts walk as they did before."""
    of_batch = [one for one in work.walked if work.made in _batches_of(state.part(one.mark))]
    done_there = any(work.step in state.part(one.mark).passes.get(work.procedure, {}) for one in of_batch)
    if done_there or any(state.part(one.mark).work in state.works for one in of_batch):
        return
    for one in of_batch:
        part = state.part(one.mark)
        state.parts[one.mark] = replace(part, batch=one.batch, left_batch=one.left_batch)


def _batches_of(part: PartState) -> tuple[str, str]:
    return part.batch, part.left_batch


def _work_dropped(state: State, event: e.Event, body: e.WorkDropped) -> None:
    work = state.works.get(body.work)
    if work is not None:
        _release(state, event, work, body.marks, still_together=body.still_together)


def _looked(state: State, event: e.Event, body: e.Looked) -> None:
    work = state.works.get(body.work)
    if work is None or work.status != "unknown":
        return
    if body.verdict == "not started":
        _release(state, event, work)
    else:
        state.works[work.id] = _running(state, work, event)
        state.last_work = work.id


def _step_skipped(state: State, event: e.Event, body: e.StepSkipped) -> None:
    ref = StepRef(body.procedure, body.step)
    _remember(state, event, f"{{step}} skipped on {body.mark}", step=ref, marks=(body.mark,))
    part = state.part(body.mark)
    done = dict(part.passes.get(body.procedure, {}))
    done[body.step] = StepDone(event.at, event.by, body.revision, skipped=body.reason)
    placed = {procedure: step for procedure, step in part.placed.items() if procedure != body.procedure}
    # There is nothing left to be in time for; what has to dry goes on drying.
    clocks = tuple(one for one in part.clocks if one.kind == "must_pass" or not _of_step(one, ref))
    passes = _worked_last(part.passes, body.procedure, done)
    state.parts[body.mark] = replace(part, passes=passes, placed=placed, clocks=clocks)


def _back_to(part: PartState, procedure: str, step: str) -> PartState:
    """Everything from this step on is to do again, in this procedure and those begun after it."""
    passes: dict[str, dict[str, StepDone]] = {}
    for name, done in part.passes.items():
        if name != procedure:
            passes[name] = done
            continue
        kept: dict[str, StepDone] = {}
        for step_id, entry in done.items():
            if step_id == step:
                break
            kept[step_id] = entry
        passes[name] = kept
        break
    passes.setdefault(procedure, {})  # a repair that it is sent to is begun with nothing done
    standing = {StepRef(name, step_id) for name, done in passes.items() for step_id in done}
    wants_look = tuple(one for one in part.wants_look if one in standing)
    looked = {one: looker for one, looker in part.looked.items() if one in standing}
    # What a step that stands started goes on: sealer still dries, bare metal still ages. An older
    # kiosk's entry does not say which step started it; it is kept, for too much waiting hurts nobody.
    clocks = tuple(
        one for one in part.clocks if not one.set_by or StepRef(one.procedure, one.set_by) in standing
    )
    # Of those that ended with the steps, what has to be finished in time sets: bare metal only ages.
    mixes = (
        one for one in part.clocks if one not in clocks and one.kind == "within" and one.ends == "finish"
    )
    return replace(
        part,
        passes=passes,
        placed={},
        completed_at=None,
        clocks=clocks,
        looked=looked,
        wants_look=wants_look,
        undone_limits=(),  # what is done again with a reason begins anew
        mixes_left=(*part.mixes_left, *mixes)[-_MOST_MIXES_LEFT:],
    )


def _again_from(part: PartState, ref: StepRef) -> PartState:
    """Everything from this step on is to do again. From one that is not done yet that is nothing: all that is
    done stands, but a look at that step, and what an end of it that was taken back had set."""
    if ref.procedure not in part.passes or ref.step in part.passes[ref.procedure]:
        return _back_to(part, ref.procedure, ref.step)
    looked = {one: looker for one, looker in part.looked.items() if one != ref}
    undone = tuple(one for one in part.undone_limits if StepRef(one.procedure, one.set_by) != ref)
    return replace(part, completed_at=None, looked=looked, undone_limits=undone)


def _step_reopened(state: State, event: e.Event, body: e.StepReopened) -> None:
    ref = StepRef(body.procedure, body.step)
    _remember(state, event, f"{{step}} reopened on {body.mark}", step=ref, marks=(body.mark,))
    state.parts[body.mark] = _back_to(state.part(body.mark), body.procedure, body.step)


def _place_answered(state: State, event: e.Event, body: e.PlaceAnswered) -> None:
    _remember(state, event, f"place of {body.mark}", marks=(body.mark,))
    part = state.part(body.mark)

    def moved(clock: e.ClockSet) -> e.ClockSet:
        """What waited for a step that is gone waits for the one that the builder named."""
        of_step = (clock.procedure, clock.step) == (body.procedure, body.instead_of)
        if not of_step and clock.procedure not in body.gone:
            return clock
        # The step that started it may be of a procedure that is gone: then it is as one of which that is not
        # said, which no opening again takes away.
        set_by = clock.set_by if clock.procedure == body.procedure else ""
        return replace(clock, procedure=body.procedure, step=body.step, set_by=set_by)

    state.parts[body.mark] = replace(
        part,
        placed={**part.placed, body.procedure: body.step},
        clocks=tuple(moved(clock) for clock in part.clocks),
        left_route=(*part.left_route, *(name for name in body.gone if name not in part.left_route)),
    )


def _renamed(state: State, event: e.Event, body: e.Renamed) -> None:
    rename(state, body)
    state.renames += 1


def _clock_answered(state: State, event: e.Event, body: e.ClockAnswered) -> None:
    ref = StepRef(body.procedure, body.step)
    part = state.part(body.mark)
    works = (part.work,) if part.work else ()
    phrase = f"time limit of {{step}} on {body.mark}"
    _remember(state, event, phrase, step=ref, marks=(body.mark,), works=works)
    work = state.works.get(part.work or "")
    if work is not None and any(_is_answered(of, clock, body) for of, clock in work.stopped):
        if not body.back_to_step:
            state.works[work.id] = _answered_in_hand(work, body)
            return
        _put_back_one(state, body.mark)  # nothing came of the step, so it is as not begun
        part = state.part(body.mark)
    if not body.back_to_step:
        clocks = _not_answered(part, body)
        state.parts[body.mark] = replace(part, clocks=(*clocks, body.again) if body.again else clocks)
        return
    if body.limits_go_on:
        _put_back_one(state, body.mark)
        part = state.part(body.mark)
        part = replace(part, clocks=_not_answered(part, body))
        state.parts[body.mark] = _again_from(part, StepRef(body.back_to_procedure, body.back_to_step))
        return
    _out_of_hand(state, part)
    part = replace(part, clocks=_not_answered(part, body))
    part = _back_to(part, body.back_to_procedure, body.back_to_step)
    state.parts[body.mark] = replace(part, work=None)


def _not_answered(part: PartState, body: e.ClockAnswered) -> tuple[e.ClockSet, ...]:
    """The clocks on a part that go on after one of them was answered."""
    return tuple(clock for clock in part.clocks if not _is_answered_on(clock, body))


def _is_answered_on(clock: e.ClockSet, body: e.ClockAnswered) -> bool:
    """True for the very clock that was answered, of those on the part. An older kiosk's entry says it by its
    words, or not at all: then it is every limit of the step."""
    if body.asked is not None:
        return clock == body.asked
    said = clock.what == body.what if body.what else clock.kind == "within"
    return said and _of_step(clock, StepRef(body.procedure, body.step))


def _is_answered(mark: str, clock: e.ClockSet, body: e.ClockAnswered) -> bool:
    """True for the very clock that was answered, which beginning a step had ended and which ran on. An older
    kiosk never asked about one, or by its words."""
    if body.asked is not None:
        return (mark, clock) == (body.mark, body.asked)
    named = (body.mark, body.procedure, body.step, body.what, body.until)
    return (mark, clock.procedure, clock.step, clock.what, clock.until) == named


def _answered_in_hand(work: Work, body: e.ClockAnswered) -> Work:
    """The step in hand with that clock set again, or somebody's word that it was begun in time."""
    if body.again is None:
        begun = () if body.until is None else ((body.mark, body.until),)
        return replace(work, begun_by=work.begun_by + begun)
    again = body.again
    stopped = ((of, again if _is_answered(of, one, body) else one) for of, one in work.stopped)
    return replace(work, stopped=tuple(stopped))


def _out_of_hand(state: State, part: PartState) -> None:
    """The work in hand without this part; gone when it was the last."""
    work = state.works.get(part.work or "")
    if work is None:
        return
    rest = tuple(piece for piece in work.pieces if piece.mark != part.mark)
    if rest:
        state.works[work.id] = replace(work, pieces=rest, turned_to=rest[0].mark)
    else:
        del state.works[work.id]


def _part_completed(state: State, event: e.Event, body: e.PartCompleted) -> None:
    _remember(state, event, f"{body.mark} completed", marks=(body.mark,))
    state.parts[body.mark] = replace(state.part(body.mark), completed_at=event.at, clocks=())


def _snag_raised(state: State, event: e.Event, body: e.SnagRaised) -> None:
    marks = (body.mark,) if state.part(body.mark).batch else ()
    _remember(state, event, f"snag on {body.mark}", marks=marks, snags=(body.snag,))
    _leave_batch(state, body.mark)
    state.snags[body.snag] = Snag(
        body.snag, body.mark, body.text, event.at, event.by, body.procedure, body.step
    )


def _snag_decided(state: State, event: e.Event, body: e.SnagDecided) -> None:
    snag = state.snags.get(body.snag)
    if snag is None:
        return
    _met(state, body.answered_by, body.answered_role)
    part = state.part(snag.mark)
    works = (part.work,) if part.work else ()
    _remember(state, event, f"decision on {snag.mark}", marks=(snag.mark,), works=works, snags=(body.snag,))
    state.snags[body.snag] = replace(snag, decision=body.decision)
    if body.decision == "use as is":
        return
    if body.decision == "rework" and body.limits_go_on:
        _put_back_one(state, snag.mark)
        back_to = StepRef(body.back_to_procedure, body.back_to_step)
        state.parts[snag.mark] = _again_from(state.part(snag.mark), back_to)
        return
    _out_of_hand(state, part)
    if body.decision == "rework":
        part = _back_to(part, body.back_to_procedure, body.back_to_step)
        state.parts[snag.mark] = replace(part, work=None)
    else:
        state.parts[snag.mark] = PartState(mark=snag.mark, remade=part.remade + 1)


def _hold_looked(state: State, event: e.Event, body: e.HoldLooked) -> None:
    _remember(state, event, f"look at {', '.join(body.marks)}", marks=body.marks)
    _met(state, body.looker_name, "inspector", body.looker_number)
    for mark in body.marks:
        part = state.part(mark)
        state.parts[mark] = replace(
            part, looked={**part.looked, StepRef(body.procedure, body.step): body.looker}
        )


def _looked_over(state: State, event: e.Event, body: e.LookedOver) -> None:
    _remember(state, event, f"look over {body.mark}", marks=(body.mark,))
    part = state.part(body.mark)
    ref = StepRef(body.procedure, body.step)
    left = tuple(one for one in part.wants_look if one != ref)
    state.parts[body.mark] = replace(part, wants_look=left)


def _room_cleared(state: State, event: e.Event, body: e.RoomCleared) -> None:
    if state.sitting is not None:
        cleared = dict.fromkeys((*state.sitting.cleared, *body.people))
        state.sitting = replace(state.sitting, cleared=tuple(cleared))


def _note_written(state: State, event: e.Event, body: e.NoteWritten) -> None:
    """A note is only read back from the journal."""


def _conditions_noted(state: State, event: e.Event, body: e.ConditionsNoted) -> None:
    if body.temperature_f is not None:
        state.temperature_f = body.temperature_f
    if body.humidity_percent is not None:
        state.humidity_percent = body.humidity_percent
    state.conditions_at = event.at
    state.conditions_by = _clocks_of(state, event)


def _stock_counted(state: State, event: e.Event, body: e.StockCounted) -> None:
    name = body.consumable
    before = CountedBefore(
        name, body.left, state.stock.get(name), state.stock_counts.get(name), state.stock_used.get(name, 0.0)
    )
    _remember(state, event, f"count of {name}", counted=before)
    state.stock[body.consumable] = body.left
    state.stock_counts[body.consumable] = StockCount(event.seq, event.at)
    state.stock_used.pop(body.consumable, None)


def _trial_bent(state: State, event: e.Event, body: e.TrialBent) -> None:
    if body.again:  # the same step goes on with the next one, and its checks are asked anew
        _remember(state, event, f"trial on {body.mark}", works=(body.work,))

        def change(piece: Piece) -> Piece:
            return replace(piece, answers={}, drafts={}, reworded=(), strips=piece.strips + 1)

        _change_piece(state, event, body.work, body.mark, change)
    state.trials = (*state.trials, _trial(state, event, body, len(state.trials) + 1))


def _trial(state: State, event: e.Event, strip: e.TrialBent, number: int) -> Trial:
    """A strip with the lots that are named on its part."""
    named = state.part(strip.mark).lots.items() if strip.mark else ()
    of_it = tuple(lots for ref, lots in named if ref.procedure == strip.procedure)
    return Trial(number, event.id, strip, named=of_it)


def _trial_retracted(state: State, event: e.Event, body: e.TrialRetracted) -> None:
    is_corrected = body.corrected is not None
    words = f"correction of trial {body.number}" if is_corrected else f"trial {body.number} no longer counted"
    _remember(state, event, words)
    state.trials = tuple(
        replace(trial, retracted_by=event.id, why=body.why)
        if (trial.event, trial.number) == (body.trial, body.number) and not trial.retracted_by
        else trial
        for trial in state.trials
    )
    if body.corrected is not None:
        was = [one.named for one in state.trials if (one.event, one.number) == (body.trial, body.number)]
        anew = _trial(state, event, body.corrected, len(state.trials) + 1)
        state.trials = (*state.trials, replace(anew, named=was[0]) if was else anew)


def _corrected(state: State, event: e.Event, body: e.Corrected) -> None:
    """From now on the step counts as corrected: its figure, what its time taught, the day of its minutes."""
    ref = StepRef(body.procedure, body.step)
    confirmed = tuple(one for one in state.confirmations if one.event == body.finished)
    finish = state.finishes.get(body.finished)
    told_with = finish.told_with if finish is not None and body.what == "minutes" else ""
    _remember(
        state,
        event,
        f"correction of {{step}} on {', '.join(body.marks)}",
        step=ref,
        marks=body.marks,
        finishes=(body.finished, told_with),
        confirmed=confirmed,
        stopped=tuple(
            (of, clock)
            for work in state.works.values()
            for of, clock in work.stopped
            if of in body.marks and _clock_name(clock) in {_clock_name(one) for one in body.clocks}
        ),
    )
    for mark in body.marks:
        state.parts[mark] = _part_corrected(state.part(mark), ref, body)
    _set_stopped(state, [(mark, clock) for mark in body.marks for clock in body.clocks])
    if body.what == "figure":
        state.confirmations = tuple(
            _said_anew(one, body) if one in confirmed else one for one in state.confirmations
        )
    if finish is not None:
        _change_finish(state, body.finished, finish, _finish_corrected(finish, body))
        if (end := state.finishes.get(told_with)) is not None and body.value is not None:
            _change_finish(state, told_with, end, without_told(end, finish, body.value))
    if body.retracts or body.strips:
        gone = {number for number, _ in body.retracts}
        retracted = (
            replace(trial, retracted_by=event.id, why=body.reason) if trial.number in gone else trial
            for trial in state.trials
        )
        number = len(state.trials) + 1
        was = {one.strip.mark: one.named for one in state.trials if one.number in gone}
        new = (_trial(state, event, strip, number + more) for more, strip in enumerate(body.strips))
        anew = (replace(one, named=was.get(one.strip.mark, one.named)) for one in new)
        state.trials = (*retracted, *anew)


def _part_corrected(part: PartState, ref: StepRef, body: e.Corrected) -> PartState:
    if body.what == "day":
        done = dict(part.passes.get(ref.procedure, {}))
        if ref.step in done:
            done[ref.step] = replace(done[ref.step], day=body.text)
        return replace(part, passes={**part.passes, ref.procedure: done})
    if body.what == "figure" and body.lot and ref in part.lots:
        named = part.lots[ref]
        lots = tuple(body.text if one == body.was else one for one in named.lots)
        return replace(part, lots={**part.lots, ref: replace(named, lots=lots)})
    if body.what == "figure" and body.value is not None:
        measured = {**part.measured, ref: {**part.measured.get(ref, {}), body.check: body.value}}
        anew = {_clock_name(clock): clock for clock in body.clocks}
        clocks = tuple(anew.get(_clock_name(clock), clock) for clock in part.clocks)
        return replace(part, measured=measured, clocks=clocks)
    return part


def _set_stopped(state: State, clocks: Sequence[tuple[str, e.ClockSet]]) -> None:
    """Clocks that a step in hand ended by its beginning run on, or come back, with these minutes."""
    anew = {(of, _clock_name(clock)): clock for of, clock in clocks}
    for work in list(state.works.values()) if anew else ():
        stopped = tuple((of, anew.get((of, _clock_name(clock)), clock)) for of, clock in work.stopped)
        if stopped != work.stopped:
            state.works[work.id] = replace(work, stopped=stopped)


def _clock_name(clock: e.ClockSet) -> tuple[str | int | None, ...]:
    return clock.procedure, clock.step, clock.set_by, clock.what, clock.kind, clock.number


def _said_anew(one: Confirmation, body: e.Corrected) -> Confirmation:
    answer = (body.given_on, body.check)
    return replace(
        one,
        values=tuple(
            (mark, check, body.text if (mark, check) == answer else text) for mark, check, text in one.values
        ),
    )


def _finish_corrected(finish: Finish, body: e.Corrected) -> Finish:
    if body.what == "day":
        return replace(finish, day=body.text, before=())
    if body.what == "minutes" and body.value is not None:
        own = only_its_own(finish)
        return replace(own, minutes=body.value, counted=body.value, told_with="", said=True)
    return finish


def _change_finish(state: State, event_id: str, before: Finish, after: Finish) -> None:
    """What the end of a step added is taken out again, and what it adds now put in."""
    if before == after:
        return
    as_it_was = unlearn(state, before.learnt)
    if after.minutes != before.minutes and after.learnt == before.learnt:  # a correction, not its undoing
        if before.minutes <= 0 or (as_it_was and taught_last(state, before.learnt)):
            lessons = taught_by_minutes(state, after.timed, after.minutes).lessons
        else:
            was = before.minutes
            if before.timed and after.timed:  # of as many pieces as it is said of now
                was *= after.timed[0].pieces / before.timed[0].pieces
            lessons = retimed(state, after.timed, before.learnt, was, after.minutes)
        after = replace(after, learnt=lessons)
    learn(state, after.learnt, after.day)
    for finish, sign in ((before, -1), (after, 1)):
        planned = {finish.day: finish.planned} if finish.day >= FIRST_DAY else {}
        for by_day, of in (
            (state.minutes_by_day, finish.counted_by_day),
            (state.planned_by_day, planned),
        ):
            for day, minutes in of.items():
                by_day[day] = max(0.0, by_day.get(day, 0.0) + sign * minutes)
    state.finishes[event_id] = after


def _trials_finished(state: State, event: e.Event, body: e.StepFinished) -> None:
    """The last trial of a step is taken back with the step."""

    def ends_with_it(trial: Trial) -> bool:
        strip = trial.strip
        from_it = bool(strip.work) and strip.work == body.work and strip.mark in body.marks
        return from_it and not strip.again and not trial.finished_by

    if any(ends_with_it(trial) for trial in state.trials):
        state.trials = tuple(
            replace(trial, finished_by=event.id) if ends_with_it(trial) else trial for trial in state.trials
        )


def _trials_undone(state: State, event: e.Event, undone: str) -> None:
    """Trials recorded by the event that is taken back no longer count; one that it retracted does again."""

    def after(trial: Trial) -> Trial:
        if trial.retracted_by == undone:
            return replace(trial, retracted_by="", why="")
        if undone in (trial.event, trial.finished_by) and not trial.retracted_by:
            return replace(trial, retracted_by=event.id, why="taken back")
        return trial

    if state.trials:
        state.trials = tuple(after(trial) for trial in state.trials)


def _put_back(state: State, before: Work, event: e.Event, finish: Finish | None) -> Work:
    """The work as it was, with the clock and the half-typed figures of now: what was worked since was worked.
    Where others of its parts are in hand still, it is in whose hands those are.

    ``finish`` is the end that is taken back, where it is one. Its minutes stay with their days.
    """
    now = state.works.get(before.id)
    if now is None or now.marks != before.marks:
        # What a power cut left unknown stays so until somebody looks, whatever else is taken back.
        status = before.status if now is None else now.status
        running = status == "running"
        worked = _worked_with_the_rest(before, now and _worked_until(state, now, event), finish)
        return replace(
            worked,
            pieces=tuple(_with_drafts_of(now, piece) for piece in before.pieces),
            status=status,
            exact=False,
            running_since_s=event.monotonic_s if running else None,
            run=event.run,
            taken_up_in=event.run if now is None else now.taken_up_in,
            hands=before.hands if now is None else now.hands,
            touched=_clocks_of(state, event),
        )
    return replace(
        now,
        pieces=tuple(_with_drafts_of(now, piece) for piece in before.pieces),
        turned_to=before.turned_to,
        touched=_clocks_of(state, event),
    )


def _with_drafts_of(now: Work | None, piece: Piece) -> Piece:
    """The piece as it was, with what is half typed on it now, where it is in hand now."""
    there = now.piece(piece.mark) if now is not None else None
    return piece if there is None else replace(piece, drafts=there.drafts)


def _worked_with_the_rest(before: Work, rest: Work | None, finish: Finish | None) -> Work:
    """The work with the times of what is left of it, whose clock began anew where pieces were finished."""
    if finish is None:
        if rest is None:
            return before
        return replace(before, active_s=rest.active_s, before=rest.before, counted=rest.counted)
    counted = tuple(finish.counted_by_day.items())
    if rest is None:
        return replace(before, counted=counted)
    return replace(
        before,
        active_s=before.active_s + rest.active_s,
        before=_added_by_day(before.before, rest.before),
        counted=_added_by_day(counted, rest.counted),
    )


def _added_by_day(first: ByDay, second: ByDay) -> ByDay:
    days = dict(first)
    for day, amount in second:
        days[day] = days.get(day, 0.0) + amount
    return tuple(days.items())


def _undone(state: State, event: e.Event, body: e.Undone) -> None:
    entry = next((entry for entry in state.undoables if entry.event == body.event), None)
    if entry is None:
        return
    for mark, part in entry.parts.items():
        _put(state.parts, mark, _with_undone_limits(part, state.part(mark)))
    for work_id, work in entry.works.items():
        if work is not None:
            work = _put_back(state, work, event, state.finishes.get(body.event))
            state.last_work = work_id
        _put(state.works, work_id, work)
    for snag_id, snag in entry.snags.items():
        _put(state.snags, snag_id, snag)
    _set_stopped(state, entry.stopped)
    unlearn(state, entry.learnt)
    if entry.planned is not None:
        day, minutes = entry.planned  # the time was spent all the same; what it was planned for is not done
        state.planned_by_day[day] = max(0.0, state.planned_by_day.get(day, 0.0) - minutes)
    _trials_undone(state, event, body.event)
    for event_id, finish in entry.finishes.items():
        if event_id in state.finishes:
            _change_finish(state, event_id, state.finishes[event_id], finish)
    _give_back(state, entry)
    if entry.counted is not None:
        _count_taken_back(state, entry.counted)
    _back_in_its_place(state, body.event)
    state.finishes.pop(body.event, None)
    before = {one.event: one for one in entry.confirmed}
    state.confirmations = tuple(
        before.get(kept.event, kept) for kept in state.confirmations if kept.event != body.event
    )
    state.undoables = tuple(kept for kept in state.undoables if kept.event != body.event)


def _with_undone_limits(before: PartState | None, now: PartState) -> PartState | None:
    """The part as it was, keeping the limits that an end taken back had set, by this undo or one before it:
    what was mixed then ages on, however often it is said anew that it is done."""
    was = before or PartState(mark=now.mark)
    if was.remade != now.remade:
        return before
    taken_back = [
        clock
        for clock in now.clocks
        if clock.kind == "within"
        and clock.set_by in now.passes.get(clock.procedure, {})
        and clock.set_by not in was.passes.get(clock.procedure, {})
    ]
    # The newest of a name has begun no later than those before it, or was begun when they had run out.
    limits = {_clock_name(one): one for one in (*was.undone_limits, *now.undone_limits, *taken_back)}
    kept = tuple(limits.values())
    return before if kept == was.undone_limits else replace(was, undone_limits=kept)


def _give_back(state: State, entry: Undoable) -> None:
    """What a step took from the stock; a count that came after it knows already what is there."""
    for used in entry.used:
        counted = state.stock_counts.get(used.consumable)
        if counted is None or counted.seq < entry.seq:
            left = state.stock_used.get(used.consumable, 0.0) - used.amount
            _put(state.stock_used, used.consumable, left if left > _NO_AMOUNT else None)
        else:
            state.undoables = _not_used_before(state.undoables, entry.seq, used)


def _not_used_before(undoables: tuple[Undoable, ...], seq: int, used: e.Used) -> tuple[Undoable, ...]:
    """The first count after a step that is taken back no more gives back what that step had used."""
    for at, one in enumerate(undoables):
        if one.counted is not None and one.counted.consumable == used.consumable and one.seq > seq:
            less = replace(one.counted, used=max(0.0, one.counted.used - used.amount))
            return (*undoables[:at], replace(one, counted=less), *undoables[at + 1 :])
    return undoables


def _count_taken_back(state: State, before: CountedBefore) -> None:
    """What was counted before it counts again, less what steps used since either."""
    used = before.used + state.stock_used.get(before.consumable, 0.0)
    _put(state.stock, before.consumable, before.was)
    _put(state.stock_counts, before.consumable, before.count)
    _put(state.stock_used, before.consumable, used if used > _NO_AMOUNT else None)


_APPLY: dict[type[Any], Callable[[State, e.Event, Any], None]] = {
    e.RunStarted: _run_started,
    e.ClockMarked: _clock_marked,
    e.SittingOpened: _sitting_opened,
    e.SittingClosed: _sitting_closed,
    e.SittingCut: _sitting_cut,
    e.ScreenLost: _screen_lost,
    e.RecordPutBack: _record_put_back,
    e.PersonCame: _person_came,
    e.PersonWent: _person_went,
    e.ScreenTaken: _screen_taken,
    e.PinSet: _pin_set,
    e.PinTried: _pin_tried,
    e.ProcedureKept: _procedure_kept,
    e.WorkStarted: _work_started,
    e.CautionAcknowledged: _caution_acknowledged,
    e.TurnedTo: _turned_to,
    e.Counted: _counted,
    e.DraftTyped: _draft_typed,
    e.WordsTyped: _words_typed,
    e.Answered: _answered,
    e.StepFinished: _step_finished,
    e.BatchJoined: _batch_joined,
    e.BatchSplit: _batch_split,
    e.WorkPaused: _work_paused,
    e.WorkResumed: _work_resumed,
    e.WorkDropped: _work_dropped,
    e.Looked: _looked,
    e.StepSkipped: _step_skipped,
    e.StepReopened: _step_reopened,
    e.PlaceAnswered: _place_answered,
    e.Renamed: _renamed,
    e.ClockAnswered: _clock_answered,
    e.PartCompleted: _part_completed,
    e.SnagRaised: _snag_raised,
    e.SnagDecided: _snag_decided,
    e.HoldLooked: _hold_looked,
    e.LookedOver: _looked_over,
    e.RoomCleared: _room_cleared,
    e.FamilySetUp: _family_set_up,
    e.NoteWritten: _note_written,
    e.ConditionsNoted: _conditions_noted,
    e.SlotBegun: _slot_begun,
    e.Wished: _wished,
    e.WishTakenBack: _wish_taken_back,
    e.StockCounted: _stock_counted,
    e.TrialBent: _trial_bent,
    e.TrialRetracted: _trial_retracted,
    e.Corrected: _corrected,
    e.Undone: _undone,
}
