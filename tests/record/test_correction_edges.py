"""The edges of what is corrected or answered afterwards: a figure, minutes, a day, a strip, a clock."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from kiosk.errors import KioskError
from kiosk.record import events as e
from kiosk.record.belief import EARLIEST, Doubt
from kiosk.record.context import Context
from kiosk.record.events import ClockSet, TrialBent
from kiosk.record.past_step import PastFigure, PastStep
from kiosk.record.rules import NotAllowed, Refused, clocks, corrections, things, trials
from kiosk.record.state import ClockReading, Draft, PartState, Piece, State, StepDone, Trial, Work
from kiosk.shop.procedure import CheckRef, StepRef
from tests.record.moments import NOW, brambling, builder, helper, moment, step, with_steps

TRY = StepRef("form-block", "try")
GAP = {"kind": "measure", "id": "gap", "ask": "Gap?", "unit": "in", "low": ".010", "high": ".020"}
COUNT = {"kind": "count", "id": "holes", "ask": "Holes?", "want": "3"}
SEEN = {"kind": "yes_no", "id": "seen", "ask": "Seen?"}


def done_on(*marks: str, **fields: Any) -> Context:
    """The step done on these blocks, and the builder with the screen."""
    shop, _ = with_steps(
        brambling(), "form-block", step(id="before"), step(checks=[GAP, COUNT, SEEN]), step(id="after")
    )
    done = StepDone(NOW, "wren", "1", **fields)
    parts = {mark: PartState(mark, {"form-block": {"try": done}}) for mark in marks}
    return moment(builder(), helper(), state=State(parts=parts), shop=shop)


def figure(check: str = "gap", text: str = "0.015", **fields: Any) -> PastFigure:
    given: dict[str, Any] = {
        "value": 0.015, "passed": True, "wanted": "", "lot": "", "unit": "in", "low": 0.01, "high": 0.02,
        "by": "wren", "given_on": "FB-NR", "marks": ("FB-NR",), **fields,
    }  # fmt: skip
    return PastFigure(check, "Gap?", text, **given)


def past(
    *figures: PastFigure, marks: tuple[str, ...] = ("FB-NR",), ref: StepRef = TRY, **fields: Any
) -> PastStep:
    given: dict[str, Any] = {"at": NOW, "by": "wren", "day": "2027-05-08", "minutes": 10.0, **fields}
    return PastStep("the end", "w", marks, ref, ref, exact=True, figures=figures, **given)


def corrected(
    now: Context, of: PastStep, what: corrections.Corrects, text: str, check: str = "", mark: str = "FB-NR"
) -> e.Corrected:
    body = corrections.correct(now, of, mark, what, text, "slipped a digit", check)[-1]
    assert isinstance(body, e.Corrected)
    return body


# A figure


def test_a_corrected_figure_is_judged_by_the_limits_of_then_at_their_very_ends() -> None:
    now = done_on("FB-NR")
    for text, passed in ((".010", True), (".020", True), (".0099", False), (".0201", False)):
        body = corrected(now, past(figure()), "figure", text, "gap")
        assert (body.value, body.passed, body.was) == (float(text), passed, "0.015")
        assert (body.unit, body.low, body.high, body.marks) == ("in", 0.01, 0.02, ("FB-NR",))
    kinds = [
        body.kind
        for body in corrections.correct(now, past(figure()), "FB-NR", "figure", ".3", "a burr", "gap")
    ]
    assert kinds == ["snag_raised", "corrected"]  # the snag first, so that an undo takes back the correction


def test_a_figure_that_an_older_kiosk_recorded_without_limits_is_judged_by_those_of_today() -> None:
    now = done_on("FB-NR")
    old = figure("holes", "2", unit="", low=None, high=None, value=2.0, passed=False)
    body = corrected(now, past(old), "figure", "3", "holes")
    assert (body.value, body.passed, body.unit, body.low, body.high) == (3.0, True, "count", 3.0, 3.0)
    seen = figure("seen", "yes", unit="", low=None, high=None, value=None)
    with pytest.raises(Refused, match="yes and no are no figures"):
        corrected(now, past(seen), "figure", "no", "seen")
    gone = replace(past(old), ref=StepRef("form-block", "gone"))
    now.state.parts["FB-NR"].passes["form-block"]["gone"] = StepDone(NOW, "wren", "1")
    with pytest.raises(Refused, match="its step is no longer in the procedure"):
        corrected(now, gone, "figure", "3", "holes")


@pytest.mark.parametrize(("recorded", "told"), [("", "3"), ("4 of them", "4 of them")])
def test_what_was_wanted_of_an_older_figure_is_told_as_recorded_or_as_it_is_today(
    recorded: str, told: str
) -> None:
    old = figure("holes", "3", unit="", low=None, high=None, value=3.0, wanted=recorded)
    snag, _ = corrections.correct(done_on("FB-NR"), past(old), "FB-NR", "figure", "2", "miscounted", "holes")
    assert isinstance(snag, e.SnagRaised)
    assert snag.text == f"Corrected to 2, not as wanted ({told}): Gap?"


@pytest.mark.parametrize(
    ("text", "check", "why"),
    [
        ("", "gap", "nothing is typed yet"),
        ("0.015", "gap", "0.015 is on record already"),
        ("wide", "gap", "wide"),
        ("0.016", "width", "not on record"),
    ],
)
def test_what_corrects_nothing_is_refused(text: str, check: str, why: str) -> None:
    with pytest.raises(KioskError, match=why):
        corrected(done_on("FB-NR"), past(figure()), "figure", text, check)


def test_only_what_stands_on_a_part_is_corrected_and_on_those_parts_alone() -> None:
    both = past(figure(marks=("FB-NR", "FB-MR")), marks=("FB-NR", "FB-MR"))
    assert corrected(done_on("FB-NR", "FB-MR"), both, "figure", ".016", "gap").marks == ("FB-NR", "FB-MR")
    for now in (
        done_on("FB-NR"),  # FB-MR is to do again
        done_on("FB-NR", "FB-MR"),  # and here was done anew
    ):
        other = now.state.part("FB-MR")
        if other.passes:
            other.passes["form-block"]["try"] = StepDone(NOW + timedelta(hours=1), "wren", "1")
        assert corrected(now, both, "figure", ".016", "gap").marks == ("FB-NR",)
        assert corrected(now, both, "minutes", "12").marks == ("FB-NR",)
        with pytest.raises(Refused, match="does not stand on FB-MR any more"):
            corrected(now, both, "minutes", "12", mark="FB-MR")


# Minutes and days


@pytest.mark.parametrize(("text", "minutes"), [("0.1", 0.1), ("1440", 1440.0), ("10.1", 10.1)])
def test_minutes_are_from_a_tenth_to_a_day(text: str, minutes: float) -> None:
    assert corrected(done_on("FB-NR"), past(), "minutes", text).value == pytest.approx(minutes)


def test_minutes_and_days_of_a_batch_are_said_of_all_and_given_on_the_first() -> None:
    now, both = done_on("FB-NR", "FB-MR"), past(marks=("FB-NR", "FB-MR"))
    for what, text in (("minutes", "12"), ("day", "2027-05-07")):
        for mark in both.marks:
            body = corrected(now, both, what, text, mark=mark)  # type: ignore[arg-type]
            assert (body.given_on, body.marks) == ("FB-NR", ("FB-NR", "FB-MR"))


@pytest.mark.parametrize("text", ["0.04", "1440.1", "10", "10.04"])
def test_minutes_that_change_nothing_or_cannot_be_are_refused(text: str) -> None:
    with pytest.raises(Refused):
        corrected(done_on("FB-NR"), past(), "minutes", text)


def test_a_day_lies_between_those_of_what_was_done_before_and_after() -> None:
    now = done_on("FB-NR")
    steps = now.state.parts["FB-NR"].passes["form-block"]

    def day(of: str, at: datetime, on: str, skipped: str = "") -> None:
        steps[of] = StepDone(at, "wren", "1", skipped=skipped, day=on)

    day("before", NOW - timedelta(days=9), "2027-04-30")
    day("after", NOW + timedelta(minutes=1), "2027-05-06")
    for text in ("2027-04-30", "2027-05-06"):
        assert corrected(now, past(), "day", text).text == text
    with pytest.raises(Refused, match="stood at the step before until 2027-04-30"):
        corrected(now, past(), "day", "2027-04-29")
    with pytest.raises(Refused, match="the step after it was done on FB-NR on 2027-05-06"):
        corrected(now, past(), "day", "2027-05-07")
    with pytest.raises(Refused, match="still to come"):
        corrected(now, past(), "day", "2027-05-09")
    with pytest.raises(Refused, match="on record for 2027-05-08 already"):
        corrected(now, past(), "day", "2027-05-08")
    with pytest.raises(Refused, match="is not a date"):
        corrected(now, past(), "day", "May 5")
    day("before", NOW - timedelta(days=9), "2027-04-30", skipped="not needed")
    day("after", NOW + timedelta(minutes=1), "2027-05-06", skipped="not needed")
    assert corrected(now, past(), "day", "2027-04-29").text == "2027-04-29"  # what was skipped has no day
    assert corrected(now, past(), "day", "2027-05-07").text == "2027-05-07"


def test_a_helper_is_offered_what_was_theirs_and_is_still_to_be_looked_over() -> None:
    part = done_on("FB-NR").state.part("FB-NR")
    waiting = replace(part, wants_look=(TRY,))
    wren, pip = builder(), helper()
    own = replace(waiting, passes={"form-block": {"try": StepDone(NOW, "pip", "1")}})
    assert corrections.may_correct_step(wren, part, TRY)
    assert corrections.may_correct_step(pip, own, TRY)
    for other in (waiting, replace(own, wants_look=()), PartState("FB-NR")):
        assert not corrections.may_correct_step(pip, other, TRY)
    now = replace(done_on("FB-NR"), doer=pip)
    now.state.parts["FB-NR"] = own
    assert corrected(now, past(figure(by="pip"), by="pip"), "figure", ".016", "gap").text == ".016"
    with pytest.raises(NotAllowed, match="not you who did it"):  # another answered this check
        corrected(now, past(figure(by="wren"), by="pip"), "figure", ".016", "gap")


# Strips

STRIP = TrialBent(
    alloy="2024-T3", thickness_in=0.025, inside_radius_in=0.125, flat_length_in=4.0, leg_a_in=2.05,
    leg_b_in=2.04, angle_deg=90, set_angle_deg=95, grain="along",
)  # fmt: skip


def with_strips(*strips: Trial) -> Context:
    return moment(builder(), state=State(trials=strips))


def test_a_strip_is_corrected_and_retracted_by_its_number_while_it_counts() -> None:
    now = with_strips(Trial(1, "e1", STRIP), Trial(2, "e2", STRIP, retracted_by="e3", why="bent twice"))
    (gone,) = trials.retract_trial(now, 1, " of another sheet ")
    assert gone == e.TrialRetracted(trial="e1", number=1, why="of another sheet")
    for number, why in ((0, "no trial strip 0"), (3, "no trial strip 3"), (2, "bent twice")):
        with pytest.raises(Refused, match=why):
            trials.retract_trial(now, number, "of another sheet")
    with pytest.raises(Refused, match="no reason is given"):
        trials.retract_trial(now, 1, "  ")
    with pytest.raises(Refused, match="there is no trial strip 1; none is recorded"):
        trials.retract_trial(with_strips(), 1, "of another sheet")


def test_a_strip_with_the_figures_of_its_step_is_corrected_there() -> None:
    last = replace(STRIP, step="bend", procedure="spar-channel", mark="FS-01")
    with pytest.raises(Refused, match="strip 1 has the figures of its step"):
        trials.correct_trial(with_strips(Trial(1, "e1", last)), 1, "angle", "91", "read wrong")


@pytest.mark.parametrize(
    ("name", "text", "why", "said"),
    [
        ("colour", "1", "read wrong", "'colour' was not measured of strip 1"),
        ("leg_a", "2.05", "read wrong", "2.05 is on record already"),
        ("leg_a", "2.06", "x", "a correction needs its reason"),
    ],
)
def test_a_strip_is_not_corrected_by_nothing(name: str, text: str, why: str, said: str) -> None:
    with pytest.raises(Refused, match=said):
        trials.correct_trial(with_strips(Trial(1, "e1", STRIP)), 1, name, text, why)


def test_of_a_strip_whose_step_is_gone_nothing_is_corrected() -> None:
    strip = replace(STRIP, procedure="spar-channel", step="no-such", again=True)
    with pytest.raises(Refused, match="'leg_a' was not measured of strip 1; give none"):
        trials.correct_trial(with_strips(Trial(1, "e1", strip)), 1, "leg_a", "2.06", "read wrong")


def test_a_corrected_strip_has_the_new_figure_and_belongs_to_no_step_in_hand() -> None:
    worked = Trial(1, "e1", replace(STRIP, work="w"))
    (body,) = trials.correct_trial(with_strips(worked), 1, "leg_a", "2.06", "read wrong")
    assert isinstance(body, e.TrialRetracted) and body.corrected is not None
    assert (body.corrected.leg_a_in, body.corrected.leg_b_in, body.corrected.work) == (2.06, 2.04, "")


def test_strips_follow_a_figure_though_the_step_of_one_before_them_is_gone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of the first nothing is known any more, so it has no other figure; the second has."""
    fields = {1: "", 2: "leg_a_in"}
    monkeypatch.setattr(corrections, "_field_of", lambda _, trial, check: fields[trial.number])
    both = [Trial(1, "e1", STRIP), Trial(2, "e2", STRIP)]
    found = list(corrections._strips(moment(builder()), both, CheckRef("try", "leg"), 2.06))
    assert found == [replace(STRIP, leg_a_in=2.06)]


# Clocks


def test_a_corrected_figure_moves_the_clock_that_took_its_minutes_and_no_other() -> None:
    """Of two waits of one name, as before and after a coat, only one took them from the data sheet."""
    pot = {"what": "pot", "within": "30 min", "if_missed": "mix anew"}
    mix = step(
        id="mix",
        checks=[
            {"kind": "measure", "id": "life", "ask": "Pot life?", "unit": "min", "low": "-5", "high": "90"}
        ],
        waits=[{**pot, "begin": "try", "from_check": "mix/life"}, {**pot, "begin": "last"}],
    )
    shop, _ = with_steps(brambling(), "form-block", mix, step(), step(id="last"))
    moved = clock(set_by="mix")
    others = (
        clock(procedure="rib-blank", set_by="mix"),
        clock(set_by="gone"),
        clock(set_by="mix", step="last"),
    )
    done = {"form-block": {"mix": StepDone(NOW, "wren", "1")}}
    of = past(
        figure("life", "30", value=30.0, unit="min", low=-5.0, high=90.0), ref=StepRef("form-block", "mix")
    )
    for text, until in (
        ("45", NOW + timedelta(minutes=15)),
        ("0.5", NOW - timedelta(minutes=29.5)),
        ("-1", None),  # no time at all: the clock stays as it was set
    ):
        state = State(parts={"FB-NR": PartState("FB-NR", done, clocks=(*others, moved))})
        found = corrected(moment(builder(), state=state, shop=shop), of, "figure", text, "life").clocks
        again = (replace(moved, minutes=float(text), until=until),) if until is not None else ()
        assert found == again


@pytest.mark.parametrize("recorded_before", ["last", "try"])
def test_it_moves_one_that_is_before_a_step_which_the_kind_leaves_out(recorded_before: str) -> None:
    """It waits before the next step that the kind has, or was recorded when the kind had them all."""
    mix = step(
        id="mix",
        checks=[{"kind": "measure", "id": "dry", "ask": "Dry in?", "unit": "min", "low": "0", "high": "900"}],
        waits=[{"what": "glue", "must_pass": "10 min", "before": "try", "from_check": "mix/dry"}],
    )
    shop, _ = with_steps(
        brambling(), "form-block", mix, step(id="try", only_if="no_such_dimension"), step(id="last")
    )
    running = clock(what="glue", kind="must_pass", minutes=10, set_by="mix", step=recorded_before)
    done = {"form-block": {"mix": StepDone(NOW, "wren", "1")}}
    state = State(parts={"FB-NR": PartState("FB-NR", done, clocks=(running,))})
    of = past(
        figure("dry", "10", value=10.0, unit="min", low=0.0, high=900.0), ref=StepRef("form-block", "mix")
    )
    found = corrected(moment(builder(), state=state, shop=shop), of, "figure", "300", "dry").clocks
    assert [(one.minutes, one.until) for one in found] == [(300, NOW + timedelta(minutes=290))]


def clock(**fields: Any) -> ClockSet:
    given: dict[str, Any] = {"what": "pot", "kind": "within", "minutes": 30, "until": NOW, **fields}
    return ClockSet(**{"procedure": "form-block", "step": "try", **given})


def doubted(**fields: Any) -> Context:
    """The next boot, whose wall clock is not believed, with a clock of the boot before on a block."""
    shop, _ = with_steps(brambling(), "form-block", step())
    state = State(parts={"FB-NR": PartState("FB-NR", clocks=(clock(boot="before", set_s=1.0, **fields),))})
    now = moment(builder(), state=state, shop=shop)
    return replace(now, boot="now", doubt=Doubt("changed", NOW, None))


def test_who_looked_at_a_clock_says_how_much_is_left_of_it_and_no_more() -> None:
    def left(minutes: float, **fields: Any) -> ClockSet | None:
        (body,) = clocks.look_at_clock(doubted(**fields), ["FB-NR"], minutes)
        assert isinstance(body, e.ClockAnswered)
        return body.again

    again = left(30)
    assert again is not None and (again.minutes, again.until, again.boot) == (
        30,
        NOW + timedelta(minutes=30),
        "now",
    )
    assert (again.set_s, again.believed) == (1000.0, False)
    missed = left(0)
    assert missed is not None and (missed.minutes, missed.set_s) == (
        0,
        999.0,
    )  # it is over, and not just ending
    assert left(0, kind="must_pass") is None
    for minutes in (-1, 30.1):
        with pytest.raises(Refused, match="of 30 cannot be left"):
            left(minutes)
    sure = replace(doubted(), doubt=None, boot="before")
    with pytest.raises(Refused, match="no clock of FB-NR is in doubt"):
        clocks.look_at_clock(sure, ["FB-NR"], 1)


def test_a_clock_is_not_said_to_be_right_that_shows_a_day_before_the_kiosk() -> None:
    now = doubted()
    assert clocks.mark_clock(replace(now, doubt=None), right=True) == []
    assert [body.kind for body in clocks.mark_clock(now, right=True)] == ["clock_marked"]
    assert [body.kind for body in clocks.mark_clock(replace(now, doubt=None), right=False)] == [
        "clock_marked"
    ]
    early = replace(now, now=EARLIEST - timedelta(seconds=1))
    with pytest.raises(Refused, match="is not right"):
        clocks.mark_clock(early, right=True)
    assert clocks.mark_clock(replace(now, now=EARLIEST), right=True)


@pytest.mark.parametrize("right", [True, False])
def test_what_is_said_of_one_time_is_not_said_of_another_that_the_clock_was_set_to(right: bool) -> None:
    now = doubted()
    shown = ClockReading(now.boot, now.now, now.monotonic_s)
    later = replace(now, now=now.now + timedelta(hours=9), monotonic_s=now.monotonic_s + 9 * 3600)
    assert clocks.mark_clock(later, right=right, shown=shown)
    for other in (
        replace(later, now=later.now - timedelta(days=400)),
        replace(later, now=later.now + timedelta(minutes=3)),
        replace(later, boot="another"),
    ):
        with pytest.raises(Refused, match="set to another time meanwhile"):
            clocks.mark_clock(other, right=right, shown=shown)


def test_of_two_missed_limits_the_one_that_ran_out_first_is_answered_first() -> None:
    shop, _ = with_steps(brambling(), "form-block", step(id="mix"), step(), step(id="last"))
    early = clock(what="pot", until=NOW - timedelta(minutes=9))
    late = clock(what="recoat", until=NOW - timedelta(minutes=1))
    part = PartState("FB-NR", {"form-block": {"mix": StepDone(NOW, "wren", "1")}}, clocks=(late, early))
    now = moment(builder(), state=State(parts={"FB-NR": part}), shop=shop)
    (body,) = clocks.answer_limit(now, ["FB-NR"], "Mixed anew")
    assert isinstance(body, e.ClockAnswered) and body.what == "pot" and body.again is not None
    with pytest.raises(Refused, match="was not in hand at that step"):
        clocks.answer_limit(now, ["FB-NR"], "Mixed anew", in_time=True)
    for did in ("", "ok", "12"):
        with pytest.raises(Refused, match="nothing says what was done"):
            clocks.answer_limit(now, ["FB-NR"], did)
    back = replace(part, clocks=(replace(early, back_to="mix"),))
    now.state.parts["FB-NR"] = back
    (body,) = clocks.answer_limit(now, ["FB-NR"], "Mixed anew")
    assert isinstance(body, e.ClockAnswered)
    assert (body.back_to_procedure, body.back_to_step, body.again) == ("form-block", "mix", None)


def test_no_clock_is_answered_on_a_part_whose_place_is_asked_for() -> None:
    shop, _ = with_steps(brambling(), "form-block", step(), step(id="last"))
    gone = {"form-block": {"no-such": StepDone(NOW, "wren", "1")}}
    missed = clock(until=NOW - timedelta(minutes=1))
    unknown = clock(boot="before", set_s=1.0)
    for one in (missed, unknown):
        part = PartState("FB-NR", gone, clocks=(one,))
        now = moment(builder(), state=State(parts={"FB-NR": part}), shop=shop)
        now = replace(now, boot="now", doubt=Doubt("changed", NOW, None) if one is unknown else None)
        with pytest.raises(Refused, match="no time limit was missed on FB-NR"):
            clocks.answer_limit(now, ["FB-NR"], "Mixed anew")
        with pytest.raises(Refused, match="no clock of FB-NR is in doubt"):
            clocks.look_at_clock(now, ["FB-NR"], 1)


def test_a_step_in_hand_may_have_been_finished_before_its_limit() -> None:
    shop, _ = with_steps(brambling(), "form-block", step(), step(id="last"))
    missed = clock(ends="finish", until=NOW - timedelta(minutes=1))
    state = State(parts={"FB-NR": PartState("FB-NR", work="w", clocks=(missed,))})
    state.works["w"] = Work("w", "form-block", "1", "try", "wren", (Piece("FB-NR"),), "FB-NR", NOW)
    now = moment(builder(), state=state, shop=shop)
    assert clocks.may_be_in_time(now, "FB-NR", missed)
    for other in (replace(missed, ends="begin"), replace(missed, step="last")):
        assert not clocks.may_be_in_time(now, "FB-NR", other)
    (body,) = clocks.answer_limit(now, ["FB-NR"], "In time", in_time=True)
    assert isinstance(body, e.ClockAnswered) and body.did == clocks.IN_TIME and body.again is None


# Slots


@pytest.mark.parametrize(("text", "minutes"), [("3", 3), (" 45 ", 45), ("120", 120)])
def test_a_slot_is_whole_minutes_from_three_to_two_hours(text: str, minutes: int) -> None:
    assert things.slot_minutes(text) == minutes


def test_what_is_no_slot_is_shown_by_its_beginning() -> None:
    with pytest.raises(Refused, match="'12 oclock to' is not minutes"):
        things.slot_minutes("12 oclock tomorrow")


@pytest.mark.parametrize("text", ["2", "121", "", "4.5", "ten", "-5", "１２"])
def test_what_is_no_slot_is_refused(text: str) -> None:
    with pytest.raises(Refused, match="is not minutes; give a whole number, 3 to 120"):
        things.slot_minutes(text)


@pytest.mark.parametrize(("text", "value"), [("68", 68.0), ("20 C", 68.0)])
def test_the_rooms_temperature_is_typed_in_either_unit(text: str, value: float) -> None:
    assert things.room_temperature_f(text) == pytest.approx(value)
    assert things.room_humidity_percent("55") == 55.0
    for wrong in ("warm", "900"):
        with pytest.raises(Refused):
            things.room_temperature_f(wrong)
    with pytest.raises(Refused):
        things.room_humidity_percent("101")


# Words


def test_a_character_that_does_not_show_is_refused_wherever_it_is_typed() -> None:
    now = moment(builder())
    for text in ("dry\u202e", "d\u200bry"):
        with pytest.raises(Refused, match="holds a character that does not show"):
            things.write_note(now, text)
        with pytest.raises(Refused, match="does not show"):
            things.type_words(now, "note", text)
    assert things.write_note(now, "trocken: über 5 µm")


def test_half_typed_words_are_kept_once_and_dropped_when_they_are_used() -> None:
    now = moment(builder())
    assert things.type_words(now, "note", "") == [] and things.words_used(now, "note") == []
    assert things.type_words(now, "note", "dr") == [e.WordsTyped(where="note", text="dr", goes_on_with=())]
    now.state.words = {"note": (Draft(now.run, "dr"),)}
    assert things.type_words(now, "note", "dr") == []
    assert things.type_words(now, "note", "") == things.words_used(now, "note")
    assert things.words_used(now, "note") == [e.WordsTyped(where="note", text="", goes_on_with=())]
