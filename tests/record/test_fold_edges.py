"""What each event changes in the state, and what it leaves alone: one event at a time."""

import math
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from kiosk.record import events as e
from kiosk.record.apply import active_seconds, apply, fold
from kiosk.record.events import AnyBody, ClockSet, Event
from kiosk.record.lessons import planned_minutes, sets_up, unlearn
from kiosk.record.rows import made
from kiosk.record.state import (
    KEPT_CONFIRMATIONS,
    KEPT_FINISHES,
    KEPT_FOR_UNDO,
    Answer,
    ClockReading,
    ClosingTime,
    Draft,
    Learnt,
    Left,
    PaceTime,
    PartState,
    Piece,
    PieceTime,
    PutAwayTime,
    SetUpTime,
    Sitting,
    Snag,
    State,
    StepDone,
    Times,
    TookOut,
    Walked,
    Work,
)
from kiosk.shop.procedure import StepRef
from tests.record.moments import NOW

SAW = StepRef("form-block", "saw")
LATER = NOW + timedelta(minutes=7)


HALF = (Draft("this run", ".0"),)


def happen(state: State, body: AnyBody, **event: Any) -> State:
    """The state after one event more, made by Wren seven minutes on, the clock at 1000 s of this run."""
    given: dict[str, Any] = {"at": LATER, "monotonic_s": 1000.0, "run": "this run", "by": "wren", **event}
    number = state.seq + 1
    return fold([Event(seq=number, id=given.pop("id", f"event {number}"), body=body, **given)], state)


def working(*pieces: Piece, **fields: Any) -> State:
    """A step in hand since the clock stood at 400 s."""
    given: dict[str, Any] = {"run": "this run", "running_since_s": 400.0, "piece_since": NOW, **fields}
    pieces = pieces or (Piece("FB-NR"), Piece("FB-MR"))
    work = Work("w", "form-block", "1", "saw", "wren", pieces, pieces[0].mark, NOW, **given)
    parts = {piece.mark: PartState(piece.mark, work="w") for piece in pieces}
    return State(works={"w": work}, parts=parts, sitting=Sitting(("wren",), NOW, "this run"))


def started(*marks: str, step: str = "saw") -> e.WorkStarted:
    return e.WorkStarted(work="w", marks=marks, procedure="form-block", revision="1", step=step)


def finished(*marks: str, **fields: Any) -> e.StepFinished:
    given: dict[str, Any] = {"work": "w", "procedure": "form-block", "revision": "1", "step": "saw", **fields}
    return e.StepFinished(marks=marks, **given)


def clock(step: str, kind: Any = "must_pass", procedure: str = "form-block") -> ClockSet:
    return ClockSet(what="glue", kind=kind, minutes=30, until=NOW, procedure=procedure, step=step)


def part(**fields: Any) -> State:
    return State(parts={"FB-NR": PartState("FB-NR", **fields)})


def done(*step_ids: str, procedure: str = "form-block") -> dict[str, dict[str, StepDone]]:
    return {procedure: {one: StepDone(NOW, "wren", "1") for one in step_ids}}


# The sitting


def test_a_sitting_opens_with_its_people_and_they_come_and_go() -> None:
    state = happen(State(), e.SittingOpened(people=("wren",)))
    assert state.sitting == Sitting(("wren",), LATER, "this run") and state.sittings == 1
    state.sitting = replace(state.sitting, cleared=("pip",))
    same = happen(state, e.PersonCame(person="wren"))
    assert same.sitting is not None and same.sitting.cleared == ("pip",)  # nobody new is in the room
    more = happen(state, e.PersonCame(person="odile"))
    assert more.sitting is not None
    assert (more.sitting.people, more.sitting.cleared) == (("wren", "odile"), ())
    fewer = happen(more, e.PersonWent(person="wren"))
    assert fewer.sitting is not None and fewer.sitting.people == ("odile",)
    assert happen(fewer, e.SittingOpened(people=())).sittings == 2
    for body in (e.PersonCame(person="pip"), e.PersonWent(person="pip"), e.RoomCleared(people=("pip",))):
        assert happen(State(), body).sitting is None
    cleared = happen(state, e.RoomCleared(people=("odile",)))
    assert cleared.sitting is not None and cleared.sitting.cleared == ("pip", "odile")  # both are out


def test_closing_up_stops_the_clocks_that_run_and_keeps_the_note() -> None:
    state = working()
    state.works["p"] = replace(state.works["w"], id="p", status="paused", running_since_s=None, active_s=5.0)
    state.works["u"] = replace(state.works["w"], id="u", status="unknown", running_since_s=None)
    state.last_work, state.last_deed = "w", ("this run", 900.0)
    paused, unknown = state.works["p"], state.works["u"]
    after = happen(state, e.SittingClosed(note="clamps on", left=("FB-NR",), next_step="saw it"))
    stopped = after.works["w"]
    assert (stopped.status, stopped.active_s, stopped.running_since_s) == ("paused", 600.0, None)
    assert stopped.exact and stopped.touched_at == LATER
    assert (after.works["p"], after.works["u"]) == (paused, unknown)
    assert after.left == Left(LATER, "clamps on", ("FB-NR",), False, "w", "saw it", "wren")
    assert after.sitting is None and after.last_deed is None


def test_a_sitting_cut_short_ended_when_something_was_last_recorded() -> None:
    state = working()
    state.works["p"] = replace(state.works["w"], id="p", status="paused", running_since_s=None)
    paused, state.last_at, state.last_work = state.works["p"], NOW, "w"
    after = happen(state, e.SittingCut())
    cut = after.works["w"]
    assert (cut.status, cut.running_since_s, cut.exact) == ("unknown", None, False)
    assert after.works["p"] == paused
    assert after.left == Left(NOW, "", (), True, "w", people=("wren",))
    assert after.sitting is None and after.last_at == LATER
    assert happen(working(), e.SittingCut()).left == Left(LATER, "", (), True, None, people=("wren",))


def test_each_reads_the_cautions_for_themselves_and_once() -> None:
    state = working()
    state = happen(state, e.CautionAcknowledged(work="w", cautions=("mind", "eyes")))
    state = happen(state, e.CautionAcknowledged(work="w", cautions=("eyes", "ears")))
    state = happen(state, e.CautionAcknowledged(work="w", cautions=("mind",)), by="pip")
    assert state.sitting is not None
    assert state.sitting.read == (("wren", "mind"), ("wren", "eyes"), ("wren", "ears"), ("pip", "mind"))
    assert state.sitting.read_by("pip") == {"mind"}
    alone = State()
    assert happen(alone, e.CautionAcknowledged(work="w", cautions=("mind",))).sitting is None


# A step in hand


def test_a_step_is_taken_in_hand_and_its_own_clock_has_done_its_work() -> None:
    clocks = (clock("saw"), clock("sand"), clock("saw", procedure="rib-blank"))
    state = happen(part(clocks=clocks), started("FB-NR", "FB-MR"))
    assert state.works["w"].stopped == (("FB-NR", clocks[0]),)
    state.works["w"] = replace(state.works["w"], stopped=())
    work = state.works["w"]
    assert work == Work(
        "w",
        "form-block",
        "1",
        "saw",
        "wren",
        (Piece("FB-NR"), Piece("FB-MR")),
        "FB-NR",
        LATER,
        running_since_s=1000.0,
        run="this run",
        taken_up_in="this run",
        touched=ClockReading("", LATER, 1000.0),
        piece_since=LATER,
        made="event 1",
        walked=(Walked("FB-NR", "", ""), Walked("FB-MR", "", "")),
        hands="wren",
    )
    assert work.status == "running" and work.exact and work.ref == SAW
    assert state.parts["FB-NR"] == PartState("FB-NR", work="w", clocks=clocks[1:], batch="event 1")
    assert state.parts["FB-MR"].work == "w"
    assert state.last_work == "w"
    assert [entry.label for entry in state.undoables] == ["start of saw"]


def test_what_is_done_on_a_piece_leaves_the_others_alone() -> None:
    state = working()
    state = happen(state, e.TurnedTo(work="w", mark="FB-MR"))
    assert (state.works["w"].turned_to, state.last_work) == ("FB-MR", "w")
    assert state.works["w"].touched_at == LATER
    state = happen(state, e.Counted(work="w", mark="FB-MR", count=2))
    state = happen(state, e.DraftTyped(work="w", mark="FB-MR", check="gap", text=".0"))
    state = happen(state, e.DraftTyped(work="w", mark="FB-MR", check="seen", text="y"))
    assert state.works["w"].pieces == (
        Piece("FB-NR"),
        Piece("FB-MR", 2, {}, {"gap": HALF, "seen": (Draft("this run", "y"),)}),
    )
    state = happen(state, e.DraftTyped(work="w", mark="FB-MR", check="seen", text=""))
    assert state.works["w"].pieces[1].drafts == {"gap": HALF}
    state = happen(state, e.DraftTyped(work="w", mark="FB-MR", check="seen", text="n"))
    state = happen(
        state, e.Answered(work="w", mark="FB-MR", check="gap", text=".01", value=0.01, passed=True)
    )
    piece = state.works["w"].pieces[1]
    assert (piece.answers, piece.drafts) == (
        {"gap": Answer(".01", 0.01, True)},
        {"seen": (Draft("this run", "n"),)},
    )
    state = happen(
        state, e.Answered(work="w", mark="FB-MR", check="seen", text="no", value=None, passed=False)
    )
    assert list(state.works["w"].pieces[1].answers) == ["gap", "seen"]
    assert [entry.label for entry in state.undoables] == [
        "count 2 of saw on FB-MR",
        "answer '.01' on FB-MR",
        "answer 'no' on FB-MR",
    ]


def test_each_screen_has_a_half_typed_figure_of_its_own() -> None:
    def typed(state: State, run: str, text: str, over: tuple[str, ...] | None) -> State:
        body = e.DraftTyped(work="w", mark="FB-NR", check="gap", text=text, goes_on_with=over)
        return happen(state, body, run=run)

    def drafts(state: State) -> dict[str, tuple[Draft, ...]]:
        return state.works["w"].pieces[0].drafts

    both = typed(typed(working(), "wall", ".0", ()), "tablet", ".1", ())
    assert drafts(both) == {"gap": (Draft("wall", ".0"), Draft("tablet", ".1"))}
    assert drafts(typed(both, "wall", ".02", ())) == {"gap": (Draft("tablet", ".1"), Draft("wall", ".02"))}
    assert drafts(typed(both, "wall", "", ())) == {"gap": (Draft("tablet", ".1"),)}
    # Whoever comes after a power cut goes on with what was left so, or takes it back.
    assert drafts(typed(both, "next", ".12", ("tablet",))) == {
        "gap": (Draft("wall", ".0"), Draft("next", ".12"))
    }
    assert drafts(typed(both, "next", "", ("wall", "tablet"))) == {}
    # An older kiosk had one for all.
    assert drafts(typed(both, "next", ".2", None)) == {"gap": (Draft("next", ".2"),)}
    assert drafts(typed(both, "next", "", None)) == {}


def test_each_screen_has_half_typed_words_of_its_own() -> None:
    def typed(state: State, run: str, text: str, over: tuple[str, ...] | None) -> State:
        return happen(state, e.WordsTyped(where="note/FB-NR", text=text, goes_on_with=over), run=run)

    both = typed(typed(working(), "wall", "de", ()), "tablet", "do not", ())
    assert both.words == {"note/FB-NR": (Draft("wall", "de"), Draft("tablet", "do not"))}
    assert typed(both, "wall", "", ()).words == {"note/FB-NR": (Draft("tablet", "do not"),)}
    assert typed(both, "next", "do not use", ("tablet",)).words == {
        "note/FB-NR": (Draft("wall", "de"), Draft("next", "do not use"))
    }
    assert typed(both, "next", "", ("wall", "tablet")).words == {}
    # An older kiosk had one for all.
    assert typed(both, "next", "d", None).words == {"note/FB-NR": (Draft("next", "d"),)}
    assert typed(both, "next", "", None).words == {}


@pytest.mark.parametrize(
    "body",
    [
        e.TurnedTo(work="w", mark="FB-NR"),
        e.Counted(work="w", mark="FB-NR", count=2),
        e.DraftTyped(work="w", mark="FB-NR", check="gap", text=".0"),
        e.WorkPaused(work="w"),
        e.WorkResumed(work="w"),
        e.WorkDropped(work="w"),
        e.Looked(work="w", verdict="as shown"),
    ],
)
def test_what_comes_for_a_step_that_has_gone_changes_nothing(body: AnyBody) -> None:
    after = happen(State(), body)
    assert (after.works, after.parts, after.last_work) == ({}, {}, None)


def test_a_piece_that_is_not_in_the_batch_is_not_turned_to() -> None:
    assert happen(working(), e.TurnedTo(work="w", mark="FB-TR")).works["w"].turned_to == "FB-NR"


def test_a_pause_stops_the_clock_and_going_on_starts_it_anew() -> None:
    state = happen(working(active_s=5.0), e.WorkPaused(work="w"))
    paused = state.works["w"]
    assert (paused.status, paused.active_s, paused.running_since_s) == ("paused", 605.0, None)
    assert happen(state, e.WorkPaused(work="w"), monotonic_s=2000.0).works["w"] == paused
    going = happen(state, e.WorkResumed(work="w"), monotonic_s=2000.0, at=NOW)
    work = going.works["w"]
    assert (work.status, work.active_s, work.running_since_s) == ("running", 605.0, 2000.0)
    assert (work.run, work.touched_at, work.piece_since) == ("this run", NOW, NOW)
    assert going.last_work == "w"
    assert happen(going, e.WorkResumed(work="w"), monotonic_s=3000.0).works["w"] == work


@pytest.mark.parametrize(
    ("fields", "active_s", "exact"),
    [
        ({}, 600.0, True),
        ({"exact": False}, 600.0, False),
        ({"run": "an older run"}, 0.0, False),
        ({"running_since_s": None, "active_s": 9.0, "run": "an older run"}, 9.0, True),
        ({"running_since_s": 1500.0}, 0.0, True),  # a clock never runs back
    ],
)
def test_a_stopped_clock_counts_what_one_run_has_seen(
    fields: dict[str, Any], active_s: float, exact: bool
) -> None:
    work = happen(working(**fields), e.WorkPaused(work="w")).works["w"]
    assert (work.active_s, work.exact) == (active_s, exact)
    before = working(**fields).works["w"]
    assert active_seconds(before, 1000.0, "this run") == active_s


def test_what_is_put_back_is_in_nobodys_hands() -> None:
    state = happen(working(), e.WorkDropped(work="w"))
    assert state.works == {}
    assert [one.work for one in state.parts.values()] == [None, None]
    assert [entry.label for entry in state.undoables] == ["saw put back"]
    assert [entry.of for entry in state.undoables] == [("FB-NR", "FB-MR")]
    back = happen(state, e.Undone(event=state.undoables[0].event))
    assert [one.work for one in back.parts.values()] == ["w", "w"] and "w" in back.works


def test_after_a_power_cut_a_look_goes_on_or_begins_again() -> None:
    unknown = working(status="unknown", running_since_s=None, active_s=30.0)
    going = happen(unknown, e.Looked(work="w", verdict="as shown"))
    work = going.works["w"]
    assert (work.status, work.active_s, work.running_since_s) == ("running", 30.0, 1000.0)
    assert going.last_work == "w"
    anew = happen(unknown, e.Looked(work="w", verdict="not started"))
    assert anew.works == {} and anew.parts["FB-NR"].work is None
    running = working()
    for verdict in ("as shown", "not started"):
        assert happen(running, made(e.Looked, {"work": "w", "verdict": verdict})).works == running.works


# The end of a step


def test_a_finished_piece_leaves_the_batch_and_the_clock_begins_anew_on_the_rest() -> None:
    state = working(Piece("FB-NR", 3), Piece("FB-MR", 1), Piece("FB-TR"), active_s=50.0, exact=False)
    state.parts["FB-NR"] = PartState(
        "FB-NR",
        work="w",
        passes=done("saw", "sand"),
        placed={"form-block": "sand", "rib-blank": "cut"},
        clocks=(clock("paint"),),
    )
    after = happen(state, finished("FB-NR", clocks=(clock("sand"),), wants_look=True))
    one = after.parts["FB-NR"]
    assert list(one.passes["form-block"]) == ["sand", "saw"]  # done again, so it is the last
    assert one.passes["form-block"]["saw"] == StepDone(LATER, "wren", "1")
    assert (one.work, one.placed) == (None, {"rib-blank": "cut"})
    assert one.clocks == (clock("paint"), clock("sand"))
    assert one.wants_look == (SAW,)
    rest = after.works["w"]
    assert (rest.marks, rest.turned_to) == (("FB-MR", "FB-TR"), "FB-MR")
    assert (rest.active_s, rest.exact, rest.running_since_s) == (0.0, True, 1000.0)
    assert (rest.run, rest.touched_at, rest.piece_since) == ("this run", LATER, LATER)
    assert after.parts["FB-MR"].work == "w" and after.last_work == "w"
    paused = happen(working(status="paused", running_since_s=None), finished("FB-NR"))
    assert paused.works["w"].running_since_s is None
    last = happen(after, finished("FB-MR", "FB-TR"))
    assert last.works == {} and last.parts["FB-TR"].work is None
    assert last.parts["FB-TR"].wants_look == ()


def test_what_was_measured_is_kept_by_part_and_of_a_batch_that_goes_together_from_the_first() -> None:
    measured = Piece("FB-NR", 0, {"gap": Answer(".01", 0.01, True), "seen": Answer("yes", None, True)})
    other = Piece("FB-MR", 0, {"gap": Answer(".02", 0.02, True)})
    plain = Piece("FB-MR", 0, {"seen": Answer("yes", None, True)})
    apart = happen(working(measured, other), finished("FB-NR", "FB-MR"))
    assert apart.parts["FB-NR"].measured == {SAW: {"gap": 0.01}}
    assert apart.parts["FB-MR"].measured == {SAW: {"gap": 0.02}}
    together = happen(working(measured, plain), finished("FB-NR", "FB-MR"))
    assert together.parts["FB-MR"].measured == {SAW: {"gap": 0.01}}
    alone = happen(working(measured, plain), finished("FB-MR"))
    assert alone.parts["FB-MR"].measured == {}
    again = working(measured)
    again.parts["FB-NR"] = PartState("FB-NR", measured={SAW: {"gap": 9.0, "long": 2.0}})
    assert happen(again, finished("FB-NR")).parts["FB-NR"].measured == {SAW: {"gap": 0.01, "long": 2.0}}
    nothing = happen(State(), finished("FB-NR"))
    assert nothing.parts["FB-NR"].measured == {} and "saw" in nothing.parts["FB-NR"].passes["form-block"]


def test_a_confirmation_is_kept_with_its_values_and_the_oldest_go() -> None:
    pieces = (Piece("FB-NR", 0, {"gap": Answer(".01", 0.01, True)}), Piece("FB-MR"))
    state = happen(working(*pieces), finished("FB-NR"))
    (kept,) = state.confirmations
    assert (kept.event, kept.at, kept.by, kept.marks) == ("event 1", LATER, "wren", ("FB-NR",))
    assert (kept.procedure, kept.step, kept.values) == ("form-block", "saw", (("FB-NR", "gap", ".01"),))
    for _ in range(KEPT_CONFIRMATIONS + 3):
        state = happen(state, finished("FB-MR"))
    assert len(state.confirmations) == KEPT_CONFIRMATIONS == 24
    assert [one.event for one in state.confirmations][-1] == f"event {state.seq}"
    assert len(state.undoables) == KEPT_FOR_UNDO == 20


@pytest.mark.parametrize(
    ("day", "counts"), [("2025-12-31", False), ("2026-01-01", True), ("2026-01-02", True), ("", False)]
)
def test_no_day_before_the_kiosks_first_year_is_counted(day: str, counts: bool) -> None:
    """A clock that lost its battery shows a year in which there was no kiosk."""
    fields = {"day": day, "active_s": 600.0, "each_minutes": 3.0}
    state = happen(working(), finished("FB-NR", **fields))
    assert state.minutes_by_day == ({day: 10.0} if counts else {})
    assert state.planned_by_day == ({day: 3.0} if counts else {})
    taken = happen(state, e.Undone(event="event 1"))
    assert taken.planned_by_day == ({day: 0.0} if counts else {})


def test_minutes_count_to_their_day_with_what_was_planned() -> None:
    fields = {
        "day": "2027-05-08",
        "active_s": 600.0,
        "each_minutes": 3.0,
        "set_up_minutes": 4.0,
        "family": "saws",
    }
    state = happen(working(), finished("FB-NR", **fields))
    assert state.minutes_by_day == {"2027-05-08": 10.0}
    assert state.planned_by_day == {"2027-05-08": 7.0}
    assert state.sitting is not None and state.sitting.families == ("saws",)
    assert state.last_deed == ("this run", 1000.0)
    state = happen(state, finished("FB-MR", **fields))
    assert state.minutes_by_day == {"2027-05-08": 20.0}
    assert state.planned_by_day == {"2027-05-08": 10.0}  # set up once
    assert state.sitting is not None and state.sitting.families == ("saws",)
    taken = happen(state, e.Undone(event="event 1"))
    assert taken.planned_by_day == {"2027-05-08": 3.0} and taken.minutes_by_day == {"2027-05-08": 20.0}
    undated = happen(working(), finished("FB-NR", active_s=600.0, each_minutes=3.0))
    assert (undated.minutes_by_day, undated.planned_by_day) == ({}, {})
    assert happen(undated, e.Undone(event="event 1")).planned_by_day == {}


# A part


def test_what_the_kiosk_records_of_itself_tells_of_nobody_who_is_there() -> None:
    tapped = happen(State(), e.NoteWritten(text="dry"))
    assert tapped.last_tap is not None and tapped.last_tap.clocks.at == LATER
    own = (
        e.SittingCut(),
        e.ScreenLost(run="another run"),
        e.Renamed(marks={}),
        e.RecordPutBack(how="as it was found", had=1),
    )
    for body in own:
        assert happen(tapped, body, at=LATER + timedelta(hours=1)).last_tap == tapped.last_tap


def test_a_skipped_step_ends_its_own_limits_and_what_dries_goes_on_drying() -> None:
    dries, limit, other = clock("sand"), clock("sand", "within"), clock("file", "within")
    skip = e.StepSkipped(mark="FB-NR", procedure="form-block", revision="2", step="sand", reason="smooth")
    assert happen(part(clocks=(dries, limit, other)), skip).parts["FB-NR"].clocks == (dries, other)


def test_a_skipped_step_counts_as_passed_with_its_reason() -> None:
    state = part(passes=done("saw"), placed={"form-block": "sand", "rib-blank": "cut"})
    body = e.StepSkipped(mark="FB-NR", procedure="form-block", revision="2", step="sand", reason="smooth")
    one = happen(state, body).parts["FB-NR"]
    assert one.passes["form-block"]["sand"] == StepDone(LATER, "wren", "2", skipped="smooth")
    assert list(one.passes["form-block"]) == ["saw", "sand"] and one.placed == {"rib-blank": "cut"}


def test_a_reopened_step_and_all_after_it_are_to_do_again() -> None:
    passes = {**done("a", "b", "c"), **done("d", procedure="rib-blank")}
    looks = (StepRef("form-block", "a"), StepRef("form-block", "b"), StepRef("rib-blank", "d"))
    clocks = tuple(replace(clock("c"), set_by=by) for by in ("a", "b", ""))
    state = part(
        passes=passes, placed={"x": "y"}, completed_at=NOW, clocks=clocks, wants_look=looks, remade=1
    )

    def reopened(procedure: str, step: str) -> PartState:
        body = e.StepReopened(mark="FB-NR", procedure=procedure, step=step, reason="so")
        return happen(state, body).parts["FB-NR"]

    one = reopened("form-block", "b")
    assert one.passes == done("a") and one.wants_look == looks[:1]
    assert (one.placed, one.completed_at, one.remade) == ({}, None, 1)
    assert [kept.set_by for kept in one.clocks] == ["a", ""]  # where it is not said, it is kept
    assert reopened("form-block", "a").passes == {"form-block": {}}
    later = reopened("rib-blank", "d")
    assert later.passes == {**done("a", "b", "c"), "rib-blank": {}} and later.wants_look == looks[:2]


def test_where_to_go_on_and_a_missed_limit_are_answered() -> None:
    state = part(placed={"rib-blank": "cut"}, clocks=(
        clock("saw", "within"), clock("saw"), clock("sand", "within"), clock("saw", "within", "rib-blank"),
    ))  # fmt: skip
    body = e.PlaceAnswered(mark="FB-NR", procedure="form-block", revision="1", step="sand")
    assert happen(state, body).parts["FB-NR"].placed == {"rib-blank": "cut", "form-block": "sand"}
    answered = e.ClockAnswered(mark="FB-NR", procedure="form-block", step="saw", did="mixed anew")
    left = happen(state, answered).parts["FB-NR"].clocks
    assert left == (clock("saw"), clock("sand", "within"), clock("saw", "within", "rib-blank"))


def test_a_completed_part_has_no_clocks_left() -> None:
    one = happen(part(clocks=(clock("saw"),)), e.PartCompleted(mark="FB-NR")).parts["FB-NR"]
    assert (one.completed_at, one.clocks) == (LATER, ())


def test_looks_are_kept_and_taken_off() -> None:
    looked = e.HoldLooked(
        marks=("FB-NR", "FB-MR"), procedure="form-block", step="saw", looker="odile", finding="good"
    )
    state = happen(part(looked={StepRef("form-block", "glue"): "wren"}), looked)
    assert state.parts["FB-NR"].looked == {StepRef("form-block", "glue"): "wren", SAW: "odile"}
    assert state.parts["FB-MR"].looked == {SAW: "odile"}
    over = e.LookedOver(mark="FB-NR", procedure="form-block", step="saw")
    glue = StepRef("form-block", "glue")
    assert happen(part(wants_look=(SAW, glue, SAW)), over).parts["FB-NR"].wants_look == (glue,)


# Snags


def decided(decision: str, **fields: str) -> e.SnagDecided:
    return made(
        e.SnagDecided, {"snag": "s", "decision": decision, "reason": "so", "accepted_by": "wren", **fields}
    )


def with_snag(state: State) -> State:
    state.snags["s"] = Snag("s", "FB-NR", "split", NOW, "pip", "form-block", "saw")
    return state


def test_a_snag_is_raised_and_used_as_it_is() -> None:
    raised = e.SnagRaised(snag="s", mark="FB-NR", text="split", procedure="form-block", step="saw")
    state = happen(working(), raised)
    assert state.snags["s"] == Snag("s", "FB-NR", "split", LATER, "wren", "form-block", "saw")
    works, parts = dict(state.works), dict(state.parts)
    after = happen(state, decided("use as is"))
    assert after.snags["s"].decision == "use as is" and not after.open_snags()
    assert (after.works, after.parts) == (works, parts)
    assert happen(State(), decided("use as is")).snags == {}


@pytest.mark.parametrize("decision", ["rework", "scrap and remake"])
def test_a_part_that_goes_back_leaves_the_batch_it_was_in(decision: str) -> None:
    body = decided(decision, back_to_procedure="form-block", back_to_step="glue")
    state = with_snag(working())
    state.parts["FB-NR"] = PartState("FB-NR", work="w", passes=done("cut", "glue"), remade=2)
    after = happen(state, body)
    assert (after.works["w"].marks, after.works["w"].turned_to) == (("FB-MR",), "FB-MR")
    one = after.parts["FB-NR"]
    if decision == "rework":
        assert (one.work, one.passes, one.remade) == (None, done("cut"), 2)
    else:
        assert one == PartState("FB-NR", remade=3)
    three = happen(with_snag(working(Piece("FB-NR"), Piece("FB-MR"), Piece("FB-TR"))), body)
    assert (three.works["w"].marks, three.works["w"].turned_to) == (("FB-MR", "FB-TR"), "FB-MR")
    alone = happen(with_snag(working(Piece("FB-NR"))), body)
    assert alone.works == {} and alone.parts["FB-NR"].work is None
    idle = happen(with_snag(part(passes=done("cut", "glue"))), body)
    assert idle.parts["FB-NR"].passes == (done("cut") if decision == "rework" else {})
    back = happen(after, e.Undone(event="event 1"))
    assert back.works["w"].marks == ("FB-NR", "FB-MR") and back.parts["FB-NR"].work == "w"
    assert back.open_snags("FB-NR")


# Around the work


def test_a_reading_of_one_instrument_keeps_the_other() -> None:
    state = happen(State(), e.ConditionsNoted(temperature_f=68.0, humidity_percent=None))
    assert (state.temperature_f, state.humidity_percent, state.conditions_at) == (68.0, None, LATER)
    state = happen(state, e.ConditionsNoted(temperature_f=None, humidity_percent=55.0), at=NOW)
    assert (state.temperature_f, state.humidity_percent, state.conditions_at) == (68.0, 55.0, NOW)
    state = happen(state, e.StockCounted(consumable="glue", left=0.5))
    assert state.stock == {"glue": 0.5}
    kept = e.ProcedureKept(procedure="form-block", revision="1", text="abc", words="{}")
    assert happen(state, kept).texts == {"abc"}


# Undo


def test_an_undo_puts_back_what_was_there_and_what_was_not() -> None:
    state = happen(part(passes=done("cut")), started("FB-NR", "FB-MR"))
    back = happen(state, e.Undone(event="event 1"))
    assert back.works == {} and back.parts == {"FB-NR": PartState("FB-NR", passes=done("cut"))}
    assert back.undoables == ()
    again = happen(back, e.Undone(event="event 1"))  # what is not kept any more changes nothing
    assert (again.works, again.parts) == (back.works, back.parts)


def test_an_undone_count_keeps_the_clock_of_now() -> None:
    state = happen(working(active_s=5.0), e.Counted(work="w", mark="FB-NR", count=3))
    state = happen(state, e.DraftTyped(work="w", mark="FB-NR", check="gap", text=".0"))
    state = happen(state, e.TurnedTo(work="w", mark="FB-MR"))
    state = happen(state, e.WorkPaused(work="w"))
    work = happen(state, e.Undone(event="event 1"), at=NOW).works["w"]
    assert (work.pieces[0].count, work.pieces[0].drafts) == (0, {"gap": HALF})
    assert (work.status, work.active_s, work.exact) == ("paused", 605.0, True)
    assert (work.turned_to, work.touched_at) == ("FB-NR", NOW)


@pytest.mark.parametrize(("status", "since"), [("running", 1000.0), ("paused", None)])
def test_an_undone_end_brings_the_step_back_with_a_time_that_teaches_nothing(
    status: str, since: float | None
) -> None:
    fields = {"active_s": 600.0, "each_minutes": 3.0, "day": "2027-05-08"}
    before = working(Piece("FB-NR"), status=status, running_since_s=400.0 if since else None, run="before")
    state = happen(before, finished("FB-NR", **fields))
    assert state.works == {} and state.times and state.confirmations
    state.last_work = None
    back = happen(state, e.Undone(event="event 1"), at=NOW)
    work = back.works["w"]
    assert (work.status, work.exact, work.running_since_s, work.run) == (status, False, since, "this run")
    assert work.touched_at == NOW and back.last_work == "w"
    assert back.times == {} and back.confirmations == () and back.parts["FB-NR"].work == "w"
    of_two = happen(working(), finished("FB-NR"))
    brought = happen(of_two, e.Undone(event="event 1")).works["w"]
    assert (brought.marks, brought.exact) == (("FB-NR", "FB-MR"), False)


def test_what_was_planned_for_a_day_does_not_go_below_nothing() -> None:
    state = happen(working(Piece("FB-NR")), finished("FB-NR", each_minutes=3.0, day="2027-05-08"))
    state.planned_by_day["2027-05-08"] = 1.0
    assert happen(state, e.Undone(event="event 1")).planned_by_day["2027-05-08"] == 0.0
    state = happen(working(Piece("FB-NR")), finished("FB-NR", each_minutes=0.5, day="2027-05-08"))
    state.planned_by_day.clear()
    assert happen(state, e.Undone(event="event 1")).planned_by_day["2027-05-08"] == 0.0


def test_folding_counts_the_events_and_keeps_when_the_last_was() -> None:
    state = State()
    apply(state, Event(7, "id", NOW, 1.0, "run", "wren", e.NoteWritten(text="dry")))
    assert (state.seq, state.last_at) == (7, NOW)


# What times teach


FIRST_SAWN = PieceTime(SAW, "wren", in_sum=True)
SET_UP_SAWS = SetUpTime("saws", "wren")
PACE = PaceTime("wren")


def test_the_first_of_a_family_teaches_its_set_up_and_a_piece_and_the_next_a_piece() -> None:
    fields = {"each_minutes": 2.0, "set_up_minutes": 4.0, "family": "saws", "day": "2027-05-08"}
    state = happen(working(), finished("FB-NR", active_s=600.0, **fields))
    assert set(state.times) == {SET_UP_SAWS, FIRST_SAWN, PACE}
    set_up, first = state.times[SET_UP_SAWS], state.times[FIRST_SAWN]
    # Longer than 6: both took longer, and the greater share of the time says more of what it is of.
    # Of the set-up one minute by the procedure is learnt, for another step may want more of it.
    assert 0 < set_up.sum_y < set_up.weight * math.log(10 / 4) and first.sum_y > first.weight * math.log(2)
    assert 0.5 < set_up.weight < 1 and 0 < first.weight < 0.5
    state = happen(state, finished("FB-MR", active_s=180.0, **fields))
    assert set(state.times) == {SET_UP_SAWS, FIRST_SAWN, PACE, PieceTime(SAW, "wren")}
    seen = state.times[PieceTime(SAW, "wren")]
    assert seen.sum_y == pytest.approx(seen.weight * math.log(3)) and seen.weight > 0.9
    assert seen.sum_x == pytest.approx(seen.weight * math.log(2))  # the second of its kind
    assert seen.last_day == "2027-05-08"
    state.sitting = Sitting(("wren",), NOW, "this run")
    state = happen(state, finished("FB-TR", active_s=600.0, **fields))
    assert state.times[SET_UP_SAWS].count == 2  # in the next sitting the saws are set up again


def test_a_batch_teaches_what_one_of_it_took() -> None:
    pieces = finished("FB-NR", "FB-MR", active_s=600.0, each_minutes=4.0)
    state = happen(working(), pieces)
    seen = state.times[PieceTime(SAW, "wren")]
    assert seen.count == 1 and seen.sum_y == pytest.approx(seen.weight * math.log(5))
    assert planned_minutes(State(), pieces) == 8.0
    assert set(happen(working(), finished("FB-NR", active_s=600.0), by="pip").times) == {
        PieceTime(SAW, "pip")
    }


def test_a_time_of_no_named_part_is_that_of_one() -> None:
    assert planned_minutes(State(), finished(each_minutes=2.0)) == 2.0
    state = happen(State(), finished(active_s=600.0))
    assert state.times[PieceTime(SAW, "wren")].sum_y == pytest.approx(math.log(10))


def test_a_step_without_a_set_up_or_a_family_teaches_its_piece_from_the_first() -> None:
    for fields in ({"family": "saws"}, {"set_up_minutes": 4.0}):
        state = happen(working(), finished("FB-NR", active_s=300.0, each_minutes=2.0, **fields))
        assert set(state.times) == {PieceTime(SAW, "wren"), PACE}
    out = working()
    assert out.sitting is not None
    out.sitting = replace(out.sitting, took_out=(TookOut("event 0", "saws", 0.0),))
    body = finished("FB-NR", family="saws", set_up_minutes=4.0, each_minutes=2.0)
    assert not sets_up(out, body) and sets_up(working(), body) and sets_up(State(), body)
    assert not sets_up(State(), finished("FB-NR", set_up_minutes=4.0))
    assert planned_minutes(out, body) == 2.0 and planned_minutes(State(), body) == 6.0


@pytest.mark.parametrize(
    ("active_s", "exact", "learnt"),
    [(60.0, True, 2), (8.0, True, 0), (4.99, True, 0), (300.0, False, 0), (0.0, True, 0)],
)
def test_a_tap_through_and_a_broken_time_teach_nothing(active_s: float, exact: bool, learnt: int) -> None:
    state = happen(working(), finished("FB-NR", active_s=active_s, exact=exact, each_minutes=2.0))
    assert len(state.times) == learnt


@pytest.mark.parametrize(
    ("run", "seconds", "minutes"),
    [("this run", 180, 3.0), ("this run", 4, None), ("another run", 180, None), ("this run", -60, None)],
)
def test_closing_up_teaches_how_long_it_took(run: str, seconds: int, minutes: float | None) -> None:
    state = State(sitting=Sitting(("wren",), NOW, "this run"), last_deed=(run, 1000.0 - seconds))
    times = happen(state, e.SittingClosed(closing_minutes=2.0)).times
    if minutes is None:
        assert times == {}
    else:
        seen = times[ClosingTime("wren")]
        assert seen.count == 1 and seen.sum_y == pytest.approx(seen.weight * math.log(minutes))


def test_closing_up_teaches_nothing_while_work_runs_or_where_nobody_noted_what_was_estimated() -> None:
    state = working()
    state.last_deed = ("this run", 820.0)
    assert happen(state, e.SittingClosed(closing_minutes=2.0)).times == {}
    state.works.clear()
    assert happen(state, e.SittingClosed()).times == {}
    assert set(happen(state, e.SittingClosed(closing_minutes=2.0)).times) == {ClosingTime("wren")}


def test_what_is_put_away_is_told_apart_from_closing_up() -> None:
    out = finished("FB-NR", active_s=600.0, family="saws", put_away_minutes=5.0)
    state = happen(working(Piece("FB-NR")), out)
    assert state.sitting is not None and state.sitting.put_aways == (("saws", 5.0),)
    times = happen(state, e.SittingClosed(closing_minutes=2.0), monotonic_s=1000.0 + 8 * 60).times
    away, closing = times[PutAwayTime("saws", "wren")], times[ClosingTime("wren", in_sum=True)]
    assert away.weight > closing.weight > 0
    alone = happen(state, e.SittingClosed(closing_minutes=0.0), monotonic_s=1000.0 + 8 * 60).times
    seen = alone[PutAwayTime("saws", "wren")]
    assert seen.sum_y == pytest.approx(seen.weight * math.log(8 / 5))


def test_the_time_from_a_pause_to_closing_up_counts_and_what_was_worked_before_does_not() -> None:
    state = working()
    state.last_deed = ("this run", 300.0)
    paused = happen(state, e.WorkPaused(work="w"), monotonic_s=820.0)
    seen = happen(paused, e.SittingClosed(closing_minutes=2.0)).times[ClosingTime("wren")]
    assert seen.sum_y == pytest.approx(seen.weight * math.log(3))


def test_an_interval_in_which_a_clock_was_marked_teaches_nothing() -> None:
    state = working()
    state.last_deed = ("this run", 820.0)
    for right in (True, False):
        after = happen(state, e.ClockMarked(boot="b", right=right, day="2027-05-08"))
        assert not after.works["w"].exact and after.last_deed is None


def test_a_closing_under_a_clock_that_is_not_believed_teaches_nothing() -> None:
    state = State(sitting=Sitting(("wren",), NOW, "this run"), last_deed=("this run", 820.0))
    state.run_clocks["this run"] = ClockReading("b", NOW, 1.0, believed=False)
    assert happen(state, e.SittingClosed(closing_minutes=2.0)).times == {}


def test_what_was_learnt_is_taken_out_with_its_own_value_and_no_more() -> None:
    of = PieceTime(SAW, "wren")
    first = happen(working(), finished("FB-NR", active_s=300.0, each_minutes=4.0))
    both = happen(first, finished("FB-MR", active_s=120.0, each_minutes=4.0))
    assert happen(both, e.Undone(event="event 2")).times == first.times  # to the last digit
    later = happen(both, e.Undone(event="event 1")).times[of]  # another was learnt since
    assert later.count == 1
    assert later.sum_y == pytest.approx(both.times[of].sum_y - first.times[of].sum_y)
    gone = happen(both, e.NoteWritten(text="a copy to take it out of"))
    gone.times.pop(of)
    assert of not in happen(gone, e.Undone(event="event 2")).times


def test_what_waits_from_a_procedure_that_is_gone_is_not_lost_when_a_step_is_opened_again() -> None:
    left = replace(clock("spray", procedure="old-paint"), set_by="mix")
    state = part(passes=done("a", "b"), clocks=(left,))
    placed = happen(
        state,
        e.PlaceAnswered(
            mark="FB-NR", procedure="form-block", revision="1", step="c", gone=("old-paint",), instead_of="x"
        ),
    )
    assert placed.parts["FB-NR"].clocks[0].step == "c"
    again = happen(placed, e.StepReopened(mark="FB-NR", procedure="form-block", step="b", reason="so"))
    assert [one.what for one in again.parts["FB-NR"].clocks] == [left.what]


def test_what_was_worked_the_days_before_counts_for_those_and_all_else_for_the_day_of_the_end() -> None:
    """Also what was left and taken up again on the day itself, and before the clock was set back to it."""
    before = (("2027-05-07", 60.0), ("2027-05-08", 120.0), ("2027-05-09", 60.0))
    state = happen(
        working(Piece("FB-NR"), before=before), finished("FB-NR", active_s=600.0, day="2027-05-08")
    )
    assert state.minutes_by_day == {"2027-05-07": 1.0, "2027-05-08": 9.0}
    nothing = working(Piece("FB-NR"), before=(("2027-05-07", 0.0),))
    state = happen(nothing, finished("FB-NR", active_s=0.0, day="2027-05-08"))
    assert sum(state.minutes_by_day.values()) == 0


@pytest.mark.parametrize("was", [0.4, 4.0])  # a short step as a long one
def test_minutes_that_are_corrected_teach_as_the_repeat_that_they_were(was: float) -> None:
    def sawn(first: float) -> State:
        state = State()
        for mark, minutes in (("FB-NR", first), *((mark, was) for mark in ("FB-MR", "FB-TR", "FB-TP"))):
            work = Work("w", "form-block", "1", "saw", "wren", (Piece(mark),), mark, NOW)
            state.works["w"], state.parts[mark] = work, PartState(mark, work="w")
            state = happen(state, finished(mark, active_s=minutes * 60, each_minutes=was, day="2027-05-08"))
        return state

    mistyped, right = sawn(was), sawn(was * 1.25)
    fields: dict[str, Any] = {
        "work": "w",
        "marks": ("FB-NR",),
        "given_on": "FB-NR",
        "procedure": "form-block",
        "step": "saw",
    }
    anew = e.Corrected(
        finished="event 1", what="minutes", text="", was="", reason="mistyped", value=was * 1.25, **fields
    )
    state = happen(mistyped, anew)
    assert PACE in right.times  # a piece of less than a minute says what somebody's pace is too
    assert state.times.keys() == right.times.keys()
    for of, wanted in right.times.items():
        found = state.times[of]
        assert found.count == wanted.count
        assert found.sum_x == pytest.approx(wanted.sum_x, rel=0.001)
        assert found.sum_y == pytest.approx(wanted.sum_y, rel=0.02)


def test_a_day_that_holds_less_than_was_counted_of_a_step_never_goes_below_nothing() -> None:
    """Its end was taken back, and the minutes of that day were corrected since; then it ended again."""
    state = working(Piece("FB-NR"), counted=(("2027-05-07", 5.0),))
    state.minutes_by_day["2027-05-07"] = 3.0
    after = happen(state, finished("FB-NR", active_s=300.0, day="2027-05-08"))
    assert after.minutes_by_day["2027-05-07"] == 0


def test_of_limits_that_ran_on_in_hand_the_very_one_is_answered() -> None:
    """An older entry says it by its words and its end."""
    one = replace(clock("saw", "within"), set_by="mix")
    twin = replace(one, set_by="stir")  # the same words and the same end
    again = replace(one, until=LATER + timedelta(minutes=30))
    state = working(Piece("FB-NR"), stopped=(("FB-NR", one), ("FB-NR", twin)))
    answer: dict[str, Any] = {
        "mark": "FB-NR",
        "procedure": "form-block",
        "step": "saw",
        "did": "mixed anew",
        "again": again,
    }
    exact = happen(state, e.ClockAnswered(asked=one, what="glue", until=NOW, **answer))
    assert exact.works["w"].stopped == (("FB-NR", again), ("FB-NR", twin))
    alone = working(Piece("FB-NR"), stopped=(("FB-NR", one), ("FB-MR", one)))
    older = happen(alone, e.ClockAnswered(what="glue", until=NOW, **answer))
    assert older.works["w"].stopped == (("FB-NR", again), ("FB-MR", one))


def test_what_is_left_of_times_by_rounding_alone_is_nothing() -> None:
    of = PieceTime(SAW, "wren")
    lesson = Learnt(of, 2.0, 1, Times(), weight=0.5)
    state = State(times={of: Times(2, 1.0, 1.0, weight=0.5 + 1e-9, taken=5)})
    unlearn(state, (lesson,))
    assert state.times == {}


def test_the_times_of_the_last_steps_are_kept_for_a_correction_and_the_oldest_go() -> None:
    state = State()
    for _ in range(KEPT_FINISHES + 1):
        state = happen(state, finished("FB-NR"))
    assert list(state.finishes) == [f"event {number}" for number in range(2, KEPT_FINISHES + 2)]
