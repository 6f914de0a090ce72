"""The edges of what later kinds of events change: lost screens, batches, PINs, wishes, corrections."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from kiosk.record import events as e
from kiosk.record.events import Event, TrialBent
from kiosk.record.learning import PRIOR_SPREAD, of_sums
from kiosk.record.lessons import retimed
from kiosk.record.rows import made
from kiosk.record.sittings import sitting_seen
from kiosk.record.state import (
    ClockReading,
    LastTap,
    Learnt,
    PartState,
    PinTries,
    SetUpTime,
    Sitting,
    Slot,
    State,
    Times,
    Trial,
    Undoable,
    Wish,
)
from kiosk.record.worked import cut_short, lost
from tests.conftest import local_time
from tests.record.moments import NOW
from tests.record.test_fold_edges import LATER, SAW, clock, done, finished, happen, started, working

STRIP = TrialBent(
    alloy="2024-T3",
    thickness_in=0.025,
    inside_radius_in=0.125,
    flat_length_in=4.0,
    leg_a_in=2.05,
    leg_b_in=2.04,
    angle_deg=90,
    set_angle_deg=95,
)


# Screens and sittings


def test_what_a_lost_screen_had_in_hand_is_unknown_and_what_others_have_is_not() -> None:
    state = working()
    state.works["v"] = replace(state.works["w"], id="v", run="another run")
    state.works["p"] = replace(state.works["w"], id="p", status="paused", running_since_s=None)
    after = happen(state, e.ScreenLost(run="this run"))
    assert [(one.id, one.status, one.exact) for one in after.works.values()] == [
        ("w", "unknown", False),
        ("v", "running", True),
        ("p", "paused", True),
    ]
    assert after.works["w"].running_since_s is None


def _seen(minutes: float, **state: Any) -> tuple[str, float, bool] | None:
    """The day, the minutes and whether there was work, of a sitting from noon closed so much later."""
    given: dict[str, Any] = {"sitting": Sitting(("wren",), NOW, "this run"), **state}
    closed = NOW + timedelta(minutes=minutes)
    body = e.SittingClosed(note="", left=())
    event = Event(seq=9, id="e", body=body, at=closed, monotonic_s=6000.0, run="this run", by="wren")
    found = sitting_seen(State(**given), event)
    return None if found is None else (found[0], found[1].minutes, found[1].worked)


@pytest.mark.parametrize("set_minutes", [-90, 0, 90])
def test_a_wall_clock_that_was_set_gives_a_step_at_another_screen_no_seconds_and_takes_none(
    set_minutes: int,
) -> None:
    """It counted by the wall clock there: 81 minutes for one."""
    at = NOW + timedelta(minutes=set_minutes)
    state = working(run="another run", active_s=5.0, touched=ClockReading("boot", at, 460.0))
    state.run_clocks = {"another run": ClockReading("boot", NOW, 0.0)}
    state.last_tap = LastTap("this run", ClockReading("boot", at, 1000.0))
    assert cut_short(state, left_alone=True).worked == (("w", 65.0),)
    # The clock of another boot, or of an older kiosk's run, says nothing; nor a step that nobody touched.
    for touched in (ClockReading("boot 2", at, 460.0), ClockReading("", at, 460.0), None):
        state.works["w"] = replace(state.works["w"], touched=touched)
        assert cut_short(state, left_alone=True).worked == (("w", 5.0),)


def test_what_a_lost_screen_had_in_hand_keeps_what_was_worked_there() -> None:
    state = working(touched=ClockReading("boot", NOW, 460.0))
    state.run_clocks = {run: ClockReading("boot", NOW, 0.0) for run in ("this run", "another run")}
    state.works["v"] = replace(state.works["w"], id="v", run="another run")
    state.last_tap = LastTap("another run", ClockReading("boot", NOW, 1000.0))
    [body] = lost(state, lambda run: run == "another run")
    assert body == e.ScreenLost(run="this run", worked=(("w", 60.0),))
    assert list(lost(state, lambda run: True)) == []
    after = happen(state, body)
    assert (after.works["w"].active_s, after.works["w"].status) == (60.0, "unknown")
    assert after.works["v"] == state.works["v"]
    state.works["w"] = replace(state.works["w"], active_s=90.0)
    assert happen(state, e.ScreenLost(run="this run")).works["w"].active_s == 90.0


@pytest.mark.parametrize(
    ("since_deed_s", "minutes"),
    [(0, 60), (14 * 60, 60), (15 * 60, 60), (20 * 60, 55), (45 * 60, 30), (59 * 60, 16), (3 * 3600, 15)],
)
def test_a_bench_left_open_counts_a_quarter_of_an_hour_after_the_last_work(
    since_deed_s: float, minutes: float
) -> None:
    assert _seen(60, last_deed=("this run", 6000.0 - since_deed_s)) == ("2027-05-08", minutes, True)


def test_a_sitting_without_work_or_with_work_that_runs_on() -> None:
    assert _seen(60) == ("2027-05-08", 15, False)
    assert _seen(10) == ("2027-05-08", 10, False)
    assert _seen(60, works=working().works) == ("2027-05-08", 60, True)
    assert _seen(60, last_deed=("an older run", 0.0)) == ("2027-05-08", 60, True)
    assert _seen(60, sitting=None) is None and _seen(-1) is None
    assert _seen(0, last_deed=("this run", 6000.0)) == ("2027-05-08", 0, True)
    assert _seen(3000, last_deed=("this run", 6000.0)) == ("2027-05-08", 1440, True)


def test_the_minutes_that_somebody_had_count_from_when_they_said_so() -> None:
    def slot(minutes: float) -> Slot:
        return Slot(30, ClockReading("boot", NOW + timedelta(minutes=minutes), 0.0, True))

    worked = ("this run", 6000.0)
    assert _seen(20, last_deed=worked, slots={"wren": slot(5)}) == ("2027-05-08", 35, True)
    assert _seen(50, last_deed=worked, slots={"wren": slot(5)}) == ("2027-05-08", 50, True)
    assert _seen(20, last_deed=worked, slots={"wren": slot(0)}) == ("2027-05-08", 30, True)
    assert _seen(20, last_deed=worked, slots={"wren": slot(-1)}) == (
        "2027-05-08",
        20,
        True,
    )  # of a sitting before


def test_a_sitting_begins_at_its_minute_of_the_day_by_the_house_clock() -> None:
    def began(at: datetime) -> float:
        event = Event(
            seq=9,
            id="e",
            body=e.SittingCut(),
            at=at + timedelta(minutes=5),
            monotonic_s=0,
            run="r",
            by="wren",
        )
        found = sitting_seen(State(sitting=Sitting(("wren",), at, "r")), event)
        assert found is not None
        return found[1].began_minute

    assert began(local_time(2027, 5, 8, 19, 30)) == 1170
    assert began(local_time(2026, 1, 1, 0, 0)) == 0  # the first day that there was a kiosk
    assert began(local_time(2027, 5, 8, 0, 0) + timedelta(seconds=30)) == 0.5


# Batches


def test_parts_that_begin_together_are_a_batch_and_one_alone_is_none() -> None:
    both = happen(State(), started("FB-NR", "FB-MR"), id="begun")
    assert [one.batch for one in both.parts.values()] == ["begun", "begun"]
    assert happen(State(), started("FB-NR"), id="begun").parts["FB-NR"].batch == ""
    again = State(parts={mark: PartState(mark, batch="begun") for mark in ("FB-NR", "FB-MR", "FB-TR")})
    some = happen(again, started("FB-NR", "FB-MR"), id="later")
    assert {one.batch for one in some.parts.values()} == {"begun"}  # two of three that walk together already
    again.parts["FB-MR"] = PartState("FB-MR", left_batch="begun")
    joined = happen(again, e.BatchJoined(marks=("FB-NR", "FB-MR")), id="joined")
    assert [(one.batch, one.left_batch) for one in joined.parts.values()] == [
        ("joined", ""),
        ("joined", ""),
        ("begun", ""),
    ]


def test_who_is_split_off_is_out_of_hand_where_it_is_put_back_and_its_clocks_run_on() -> None:
    ended = clock("saw")
    state = working(stopped=(("FB-MR", ended), ("FB-NR", ended)))
    for mark in ("FB-NR", "FB-MR"):
        state.parts[mark] = replace(state.parts[mark], batch="begun")
    after = happen(state, e.BatchSplit(marks=("FB-MR",), put_back=("FB-MR",)))
    assert after.works["w"].marks == ("FB-NR",)
    gone = after.parts["FB-MR"]
    assert (gone.work, gone.clocks, gone.batch, gone.left_batch) == (None, (ended,), "", "begun")
    assert after.parts["FB-NR"].work == "w" and after.parts["FB-NR"].batch == "begun"
    kept = happen(state, e.BatchSplit(marks=("FB-MR",)))
    assert kept.works["w"].marks == ("FB-NR", "FB-MR") and kept.parts["FB-MR"].batch == ""
    back = happen(after, e.Undone(event=after.undoables[-1].event))
    assert back.works["w"].marks == ("FB-NR", "FB-MR") and back.parts["FB-MR"].batch == "begun"


# PINs and wishes


def test_wrong_tries_are_counted_kept_with_their_clock_and_told_until_the_right_one() -> None:
    def tried(state: State, *, right: bool) -> State:
        return happen(state, e.PinTried(person="wren", right=right))

    once = tried(State(pins={"wren": PinTries(secret="s")}), right=False)
    assert once.pins["wren"] == PinTries("s", 1, "this run", 1000.0, 1, LATER, False)
    twice = happen(once, e.PinTried(person="wren", right=False), at=LATER + timedelta(hours=1), run="another")
    assert twice.pins["wren"] == PinTries("s", 2, "another", 1000.0, 2, LATER, False)
    right = tried(twice, right=True)
    assert (right.pins["wren"].wrong, right.pins["wren"].untold, right.pins["wren"].told) == (0, 2, True)
    assert not tried(State(), right=True).pins["wren"].told  # there was nothing to tell
    anew = happen(twice, e.PinSet(person="wren", secret="t"))
    assert (anew.pins["wren"].secret, anew.pins["wren"].wrong, anew.pins["wren"].untold) == ("t", 0, 2)
    closed = happen(right, e.SittingClosed(note="", left=()))
    assert (closed.pins["wren"].untold, closed.pins["wren"].since, closed.pins["wren"].told) == (
        0,
        None,
        False,
    )
    assert happen(twice, e.SittingClosed(note="", left=())).pins["wren"] == twice.pins["wren"]


def test_a_wish_takes_the_place_of_one_about_the_same_and_what_is_past_goes() -> None:
    def wished(*before: Wish, day: str = "", wish: str = "first") -> list[tuple[str, str, str]]:
        body = made(e.Wished, {"wish": wish, "mark": "NR-04", "day": day})
        return [(one.wish, one.mark, one.day) for one in happen(State(wishes=before), body).wishes]

    lasting, today = Wish("wren", "first", "NR-04"), Wish("wren", "not today", "NR-04", day="2027-05-08")
    assert wished(lasting) == [("first", "NR-04", "")]
    both = [("first", "NR-04", ""), ("not today", "NR-04", "2027-05-08")]
    assert wished(lasting, day="2027-05-08", wish="not today") == both
    assert wished(today) == [("first", "NR-04", "")]
    assert wished(today, day="2027-05-08") == [("first", "NR-04", "2027-05-08")]
    other = Wish("wren", "not today", "NR-05", day="2027-05-07")
    assert wished(other, day="2027-05-08") == [("first", "NR-04", "2027-05-08")]  # yesterday is over
    assert wished(other, day="2027-05-07")[0] == ("not today", "NR-05", "2027-05-07")
    state = State(wishes=(lasting, today))
    gone = happen(state, e.WishTakenBack(person="wren", wish="first", mark="NR-04"))
    assert [one.wish for one in gone.wishes] == ["not today"]


# Corrections


def _correct(**fields: Any) -> e.Corrected:
    given: dict[str, Any] = {
        "finished": "the end",
        "work": "w",
        "marks": ("FB-NR",),
        "given_on": "FB-NR",
        "procedure": "form-block",
        "step": "saw",
        "what": "figure",
        "check": "gap",
        "text": ".2",
        "was": ".1",
        "value": 0.2,
        "reason": "a burr",
        **fields,
    }
    return e.Corrected(**given)


def test_a_corrected_figure_changes_this_check_of_this_step_alone_and_the_clock_it_set() -> None:
    other = clock("file")
    part = PartState(
        "FB-NR", done("saw"), measured={SAW: {"gap": 0.1, "width": 0.7}}, clocks=(clock("saw"), other)
    )
    longer = replace(clock("saw"), minutes=45)
    after = happen(State(parts={"FB-NR": part}), _correct(clocks=(longer,))).parts["FB-NR"]
    assert after.measured == {SAW: {"gap": 0.2, "width": 0.7}} and after.clocks == (longer, other)
    assert happen(State(parts={"FB-NR": part}), _correct(value=None)).parts["FB-NR"] == part


def test_a_corrected_day_is_the_days_of_that_step_alone() -> None:
    part = PartState("FB-NR", done("saw", "file"))
    after = happen(State(parts={"FB-NR": part}), _correct(what="day", text="2027-05-01")).parts["FB-NR"]
    assert {name: one.day for name, one in after.passes["form-block"].items()} == {
        "saw": "2027-05-01",
        "file": part.passes["form-block"]["file"].day,
    }
    fields = {"active_s": 600.0, "each_minutes": 7.0, "day": "2027-05-08"}
    worked = happen(working(), finished("FB-NR", **fields))
    moved = happen(worked, _correct(finished="event 1", what="day", text="2026-01-01"))
    assert moved.minutes_by_day == {"2027-05-08": 0.0, "2026-01-01": 10.0}
    assert moved.planned_by_day == {"2027-05-08": 0.0, "2026-01-01": 7.0}
    bare = happen(State(), _correct(what="day", text="2027-05-01", step="no-such"))
    assert bare.parts["FB-NR"].passes == {"form-block": {}}


def test_strips_that_rested_on_a_figure_count_anew_under_the_next_numbers() -> None:
    state = State(trials=tuple(Trial(number, f"e{number}", STRIP) for number in (1, 2, 3)))
    anew = replace(STRIP, leg_a_in=2.06)
    after = happen(state, _correct(retracts=((2, "e2"), (3, "e3")), strips=(anew, anew)), id="c")
    assert [(one.number, one.event, one.retracted_by) for one in after.trials] == [
        (1, "e1", ""),
        (2, "e2", "c"),
        (3, "e3", "c"),
        (4, "c", ""),
        (5, "c", ""),
    ]
    assert after.trials[1].why == "a burr" and after.trials[0].why == ""
    back = happen(after, e.Undone(event="c"))
    assert [one.number for one in back.trials if not one.retracted_by] == [1, 2, 3]


def test_a_strip_is_retracted_by_event_and_number_and_its_correction_comes_after_all() -> None:
    state = State(trials=(Trial(1, "e1", STRIP), Trial(2, "e1", STRIP), Trial(3, "e3", STRIP)))
    after = happen(state, e.TrialRetracted(trial="e1", number=2, why="bent twice"), id="r")
    assert [one.retracted_by for one in after.trials] == ["", "r", ""]
    body = e.TrialRetracted(trial="e3", number=3, why="a burr", corrected=STRIP)
    anew = happen(after, body, id="s")
    assert [(one.number, one.event, one.retracted_by) for one in anew.trials][2:] == [
        (3, "e3", "s"),
        (4, "s", ""),
    ]


def test_a_time_that_was_corrected_to_five_seconds_teaches_and_a_shorter_one_does_not() -> None:
    lesson = Learnt(SetUpTime("saws", "wren"), 1.0, 1, Times())
    assert len(retimed(State(), [], [lesson], 1.0, 5 / 60)) == 1
    assert retimed(State(), [], [lesson], 1.0, 4.9 / 60) == ()


def test_a_set_up_of_half_a_minute_is_learnt_too() -> None:
    body = finished("FB-NR", active_s=150.0, each_minutes=2.0, set_up_minutes=0.5, family="saws")
    assert SetUpTime("saws", "wren") in happen(working(), body).times


@pytest.mark.parametrize(("weight", "shared"), [(4.0, 0.0), (4.0, 2.0), (0.5, 0.25)])
def test_values_told_apart_from_sums_say_of_the_mean_what_their_common_error_leaves(
    weight: float, shared: float
) -> None:
    """The variance of their mean is 1/w + (shared/w)^2 of one value's; they lie about it as is usual."""
    found = of_sums(Times(count=3, weight=weight, sum_y=2 * weight, sum_yy=99.0, shared=shared))
    assert 1 / found.weight == pytest.approx(1 / weight + (shared / weight) ** 2)
    assert found.sum_y / found.weight == pytest.approx(2) and found.shared == 0
    about = found.sum_yy - found.sum_y**2 / found.weight
    assert about / found.weight == pytest.approx(PRIOR_SPREAD**2)
    assert of_sums(Times()) == Times()


# Trial strips


def strip(number: int, *, finished_by: str = "", retracted_by: str = "", **fields: Any) -> Trial:
    given: dict[str, Any] = {"work": "w", "mark": "FB-NR", "procedure": "form-block", "step": "saw", **fields}
    return Trial(number, f"strip {number}", replace(STRIP, **given), finished_by, retracted_by)


@pytest.mark.parametrize(
    ("taken", "ends"),
    [
        (strip(1), True),
        (strip(1, mark="FB-MR"), True),  # of the batch that goes through together
        (strip(1, mark="FB-TR"), False),
        (strip(1, work="v"), False),
        (strip(1, work="", mark=""), False),  # typed by itself
        (strip(1, work="", mark="FB-NR"), False),
        (strip(1, again=True), False),  # another followed on it
        (strip(1, finished_by="before"), False),
    ],
)
def test_a_strip_is_taken_back_with_the_end_of_the_step_that_it_was_the_last_of(
    taken: Trial, ends: bool
) -> None:
    state = working()
    state.trials = (strip(0, work="v"), taken)
    after = happen(state, finished("FB-NR", "FB-MR"), id="the end")
    assert [one.finished_by for one in after.trials] == ["", "the end" if ends else taken.finished_by]
    assert [(one.number, one.strip, one.retracted_by) for one in after.trials] == [
        (one.number, one.strip, one.retracted_by) for one in state.trials
    ]


@pytest.mark.parametrize(
    ("taken", "retracted_by", "why"),
    [
        (strip(1), "taking back", "taken back"),  # the event that recorded it
        (replace(strip(1), event="another"), "", ""),
        (replace(strip(1, finished_by="strip 1"), event="another"), "taking back", "taken back"),
        (replace(strip(1, retracted_by="before"), why="a burr"), "before", "a burr"),  # and it stays so
        (replace(strip(1, retracted_by="strip 1"), event="another", why="a burr"), "", ""),  # counts again
    ],
)
def test_what_is_taken_back_takes_its_strips_with_it_and_gives_those_it_retracted(
    taken: Trial, retracted_by: str, why: str
) -> None:
    state = working()
    state.trials = (strip(0), taken)
    state.undoables = (Undoable("strip 1", "a strip", "wren", NOW, {}, {}, {}),)
    after = happen(state, e.Undone(event="strip 1"), id="taking back")
    assert [(one.retracted_by, one.why) for one in after.trials] == [("", ""), (retracted_by, why)]
