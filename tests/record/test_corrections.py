"""What was mistyped on a finished step: it counts as corrected from then on, and the old one is kept."""

import math
import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.errors import KioskError
from kiosk.record.apply import fold
from kiosk.record.events import Answered, Corrected
from kiosk.record.lessons import learn, retimed, taught_by_minutes, taught_last, unlearn
from kiosk.record.rules import NotAllowed, Refused, corrections
from kiosk.record.state import NOTHING_SEEN, Learnt, PaceTime, PieceTime, SetUpTime, State, TimedThing
from kiosk.record.waits import clocks_on
from kiosk.shop.procedure import MeasureCheck, Step, StepRef
from tests.conftest import SteadyClocks
from tests.driver import do_step, good_answer, undo_newest
from tests.record.test_trials import bend_three, width_of

FIRST = StepRef("form-block", "measure-pattern")
SECOND = StepRef("form-block", "check-inset")


@pytest.fixture
def bench(new_shop: Path, clocks: SteadyClocks) -> Iterator[Bench]:
    bench = Bench(new_shop, clocks)
    yield bench
    bench.close()


def measured(bench: Bench, minutes: float = 5) -> tuple[str, MeasureCheck]:
    """The first step that measures something, done on a part in so many minutes: its check."""
    while True:
        where = bench.position("FB-NR")
        assert where.step is not None and where.procedure is not None
        checks = [one for one in where.step.checks if isinstance(one, MeasureCheck)]
        if not checks:
            do_step(bench, ["FB-NR"])
            continue
        ref = where.procedure.ref(where.step)
        work = bench.start(["FB-NR"], ref.procedure, ref.step)
        bench.acknowledge(work)
        bench.record.clocks.go(minutes)  # type: ignore[attr-defined]
        for check in where.step.checks:
            bench.answer(work, "FB-NR", check.id, good_answer(bench, check, "FB-NR"))
        bench.finish(work, "FB-NR")
        return ref.step, checks[0]


def same_as_from_the_journal(bench: Bench) -> None:
    """The state is the fold of what is on the disk."""
    assert fold(bench.record.journal.after(0)) == bench.state


def test_a_corrected_figure_is_what_the_step_counts_with(bench: Bench) -> None:
    step, check = measured(bench)
    ref = StepRef("form-block", step)
    before = bench.past_step("FB-NR", ref).figure(check.id)
    assert before is not None and before.value is not None and before.unit == check.unit
    assert before.low is not None or before.high is not None  # the limits of then are in the record
    better = f"{before.value + 0.0005:.4f}"
    bench.correct("FB-NR", ref, "figure", better, "read over a burr", check.id)
    assert bench.state.part("FB-NR").measured[ref][check.id] == float(better)
    now = bench.past_step("FB-NR", ref).figure(check.id)
    assert now is not None and (now.text, now.was, now.passed) == (better, before.text, True)
    assert any(("FB-NR", check.id, better) in one.values for one in bench.state.confirmations)
    # The answer itself stands in the journal as it was typed.
    texts = [
        one.body.text for one in bench.record.journal.of_kind("answered") if isinstance(one.body, Answered)
    ]
    assert before.text in texts and better not in texts
    same_as_from_the_journal(bench)
    undo_newest(bench)
    assert bench.state.part("FB-NR").measured[ref][check.id] == before.value
    assert bench.past_step("FB-NR", ref).figure(check.id) == before
    assert not any(("FB-NR", check.id, better) in one.values for one in bench.state.confirmations)
    same_as_from_the_journal(bench)


def test_a_figure_is_judged_by_the_limits_of_then(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    step, check = measured(bench)
    ref = StepRef("form-block", step)
    past = bench.past_step("FB-NR", ref).figure(check.id)
    assert past is not None and past.value is not None
    assert past.high is not None
    # Today's procedure would take nothing at all: it is not asked.
    monkeypatch.setattr("kiosk.shop.figures.Figures.limits", lambda *_: pytest.fail("asked of today"))
    inside, outside = f"{past.high - 0.0001:.4f}", f"{past.high + 0.01:.4f}"
    bench.correct("FB-NR", ref, "figure", inside, "slipped a digit", check.id)
    assert not bench.state.open_snags("FB-NR")
    bench.correct("FB-NR", ref, "figure", outside, "slipped a digit", check.id)
    now = bench.past_step("FB-NR", ref).figure(check.id)
    assert now is not None and not now.passed and now.was == past.text
    (snag,) = bench.state.open_snags("FB-NR")  # the part is held until the builder decides
    assert outside in snag.text and past.wanted in snag.text
    same_as_from_the_journal(bench)


def test_learnt_times_and_days_follow_a_corrected_time(bench: Bench) -> None:
    do_step(bench, ["FB-MR"])  # the set-up is out: the next piece is learnt from
    step, _ = measured(bench, minutes=95)
    ref = StepRef("form-block", step)
    learnt = {of: times for of, times in bench.state.times.items() if times.count}
    day = bench.past_step("FB-NR", ref).day
    minutes = bench.state.minutes_by_day[day]
    # A clock that was surely forgotten counted as long as usual only.
    counted = next(one.counted for one in bench.state.finishes.values() if one.minutes > 90)
    bench.correct("FB-NR", ref, "minutes", "12", "the clock was not stopped")
    assert bench.state.minutes_by_day[day] == pytest.approx(minutes - counted + 12)
    past = bench.past_step("FB-NR", ref)
    assert past.minutes == 12 and past.minutes_was == pytest.approx(95)
    assert bench.state.times != learnt and set(bench.state.times) == set(learnt)
    same_as_from_the_journal(bench)
    undo_newest(bench)
    assert bench.state.minutes_by_day[day] == pytest.approx(minutes)
    for of, times in learnt.items():
        now = bench.state.times[of]
        assert (now.count, now.sum_y, now.sum_xy) == pytest.approx((times.count, times.sum_y, times.sum_xy))
    same_as_from_the_journal(bench)


def test_a_day_of_a_clock_that_was_wrong_does_not_come_back_with_a_correction(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    bench = Bench(new_shop, clocks)
    do_step(bench, ["FB-MR"])
    bench.close_sitting("")
    right = clocks.at
    for ahead, is_right in ((timedelta(days=1461), True), (timedelta(days=1), True)):
        clocks.at = right + ahead
        bench.close()
        bench = Bench(new_shop, clocks)
        bench.mark_clock(right=is_right)
        if ahead.days > 1:
            step, _ = measured(bench, minutes=7)
            assert any(day > "2030" for day in bench.state.minutes_by_day)
            bench.mark_clock(right=False)
    days = dict(bench.state.minutes_by_day)
    assert not any(day > "2030" for day in days)
    bench.correct("FB-NR", StepRef("form-block", step), "minutes", "9", "the timer ran short")
    assert bench.state.minutes_by_day == days
    assert not any(day > "2030" for day in bench.state.planned_by_day)
    same_as_from_the_journal(bench)
    bench.close()


def test_two_steps_at_one_time_have_each_its_own_figures(bench: Bench) -> None:
    """A clock that stood still: the other step's figures were given, or none."""
    do_step(bench, ["FB-NR"])
    do_step(bench, ["FB-NR"])  # the clock did not move
    past = bench.past_step("FB-NR", StepRef("form-block", "measure-pattern"))
    assert [one.check for one in past.figures] == ["bar"]


def test_a_corrected_time_teaches_what_the_true_one_would_have(new_shop: Path, tmp_path: Path) -> None:
    """Two benches: one typed it right, the other ran on for an hour and corrected it."""
    found = []
    for number, minutes in enumerate((7.0, 67.0)):
        folder = tmp_path / f"shop {number}"
        shutil.copytree(new_shop, folder)
        bench = Bench(folder, SteadyClocks())
        do_step(bench, ["FB-MR"])
        for mark in ("FB-MR", "FB-NR"):
            where = bench.position(mark)
            assert where.procedure is not None and where.step is not None
            work = bench.start([mark], where.procedure.id, where.step.id)
            bench.acknowledge(work)
            bench.record.clocks.go(minutes if mark == "FB-NR" else 4)  # type: ignore[attr-defined]
            for check in where.step.checks:
                bench.answer(work, mark, check.id, good_answer(bench, check, mark))
            bench.finish(work, mark)
        if minutes > 60:
            ref = next(iter(bench.state.part("FB-NR").passes["form-block"]))
            bench.correct("FB-NR", StepRef("form-block", ref), "minutes", "7", "the clock ran on")
        found.append(bench.state.times)
        bench.close()
    right, corrected = found
    assert set(right) == set(corrected)
    for of, times in right.items():
        assert corrected[of].sum_y == pytest.approx(times.sum_y)
        assert corrected[of].sum_yy == pytest.approx(times.sum_yy)


def test_a_date_is_not_to_come_nor_before_the_step_could_be_done(bench: Bench) -> None:
    clocks = bench.record.clocks
    assert isinstance(clocks, SteadyClocks)
    do_step(bench, ["FB-NR"])
    clocks.go(3 * 24 * 60)
    do_step(bench, ["FB-NR"])
    first, second = bench.past_step("FB-NR", FIRST).day, bench.past_step("FB-NR", SECOND).day
    assert (first, second) == ("2027-05-08", "2027-05-11")
    for text, wrong in (
        ("2027-05-12", "still to come"),
        ("2027-05-07", "could not be done yet"),
        ("2027-05-11", "on record for 2027-05-11 already"),
        ("last Monday", "date"),
    ):
        with pytest.raises(Refused, match=wrong):
            bench.correct("FB-NR", SECOND, "day", text, "written up later")
    clocks.go(24 * 60)
    with pytest.raises(Refused, match="the step after it"):
        bench.correct("FB-NR", FIRST, "day", "2027-05-12", "written up later")
    minutes = dict(bench.state.minutes_by_day)
    bench.correct("FB-NR", SECOND, "day", "2027-05-10", "written up a day later")
    past = bench.past_step("FB-NR", SECOND)
    assert (past.day, past.day_was) == ("2027-05-10", "2027-05-11")
    moved = minutes.get("2027-05-11", 0.0)
    assert bench.state.minutes_by_day["2027-05-10"] == pytest.approx(moved)
    assert bench.state.minutes_by_day["2027-05-11"] == pytest.approx(0)
    # What stands before it now is held to the corrected day too.
    with pytest.raises(Refused, match="the step after it was done on FB-NR on 2027-05-10"):
        bench.correct("FB-NR", FIRST, "day", "2027-05-11", "written up later")
    same_as_from_the_journal(bench)
    undo_newest(bench)
    assert bench.past_step("FB-NR", SECOND).day == "2027-05-11"
    same_as_from_the_journal(bench)


@pytest.mark.parametrize("text", ["0", "-3", "1441", "nan", "soon", ""])
def test_a_time_that_no_step_takes_is_refused(bench: Bench, text: str) -> None:
    do_step(bench, ["FB-NR"])
    seq = bench.state.seq
    with pytest.raises(KioskError):
        bench.correct("FB-NR", FIRST, "minutes", text, "the clock ran on")
    assert bench.state.seq == seq


@pytest.mark.parametrize("reason", ["", "  ", "x", "FB-NR", "123"])
def test_a_correction_has_its_reason_in_words(bench: Bench, reason: str) -> None:
    do_step(bench, ["FB-NR"])
    with pytest.raises(Refused, match="a correction needs its reason"):
        bench.correct("FB-NR", FIRST, "minutes", "12", reason)


def test_a_child_corrects_their_own_until_it_is_looked_over_and_never_the_builders(bench: Bench) -> None:
    do_step(bench, ["FB-MR"])
    bench.come("pip")
    bench.hand_over("pip")
    do_step(bench, ["FB-NR"])
    with pytest.raises(NotAllowed, match="it was not you"):
        bench.correct("FB-MR", FIRST, "minutes", "12", "the clock ran on")
    bench.correct("FB-NR", FIRST, "minutes", "12", "the clock ran on")
    bench.hand_over("wren")
    bench.look_over("FB-NR", FIRST, good=True)
    bench.hand_over("pip")
    with pytest.raises(NotAllowed, match="looked it over"):
        bench.correct("FB-NR", FIRST, "minutes", "14", "the clock ran on")
    bench.hand_over("wren")
    bench.correct("FB-NR", FIRST, "minutes", "14", "the clock ran on")
    assert bench.past_step("FB-NR", FIRST).minutes == 14


def test_what_is_to_do_again_is_corrected_no_more(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    bench.reopen("FB-NR", FIRST, "read the wrong bar")
    with pytest.raises(Refused, match="not done"):
        bench.correct("FB-NR", FIRST, "minutes", "12", "the clock ran on")
    do_step(bench, ["FB-NR"])
    bench.correct("FB-NR", FIRST, "minutes", "12", "the clock ran on")
    assert bench.past_step("FB-NR", FIRST).minutes == 12


def test_a_step_is_corrected_years_of_steps_later(bench: Bench) -> None:
    """Long after it can be undone or taken out of the learnt times, the record still follows."""
    do_step(bench, ["FB-NR"])
    state = bench.state
    state.finishes.clear()
    times = dict(state.times)
    bench.correct("FB-NR", FIRST, "minutes", "33", "the clock ran on")
    assert bench.past_step("FB-NR", FIRST).minutes == 33
    assert state.times == times


def test_strips_follow_a_corrected_figure(demo_shop: Path) -> None:
    bench = Bench(demo_shop, SteadyClocks())
    bench.mark_clock(right=True)
    before = len(bench.state.trials)
    bend_three(bench)
    ref = StepRef("spar-channel", "trial-strip")
    strips = bench.state.strips()
    assert len(bench.state.trials) == before + 3
    width = width_of(bench, "front-spar")
    leg = f"{strips[-1].leg_a_in + 0.004:.4f}"
    bench.correct("FS-01", ref, "figure", leg, "read over a burr", "leg")
    now = bench.state.strips()
    assert [one.leg_a_in for one in now[:-1]] == [one.leg_a_in for one in strips[:-1]]
    assert (now[-1].leg_a_in, now[-1].leg_b_in) == (float(leg), strips[-1].leg_b_in)
    old = bench.state.trials[before + 2]
    assert old.retracted_by and old.why == "read over a burr"
    assert width_of(bench, "front-spar") != width
    assert fold(bench.record.journal.after(0)) == bench.state
    undo_newest(bench)
    assert bench.state.strips() == strips
    assert width_of(bench, "front-spar") == pytest.approx(width)
    assert fold(bench.record.journal.after(0)) == bench.state
    bench.close()


def test_a_strip_corrected_twice_and_retracted_leaves_the_corrections_standing(demo_shop: Path) -> None:
    bench = Bench(demo_shop, SteadyClocks())
    bench.mark_clock(right=True)
    bend_three(bench)
    strips = bench.state.strips()
    ref = StepRef("spar-channel", "trial-strip")
    for more in (0.003, 0.004):
        bench.correct("FS-01", ref, "figure", f"{strips[-1].leg_a_in + more:.4f}", "read over a burr", "leg")
    bench.correct("FS-01", ref, "figure", "92.5", "read the wrong mark", "set")
    now = bench.state.strips()
    assert len(now) == len(strips)
    assert (now[-1].leg_a_in, now[-1].set_angle_deg) == (round(strips[-1].leg_a_in + 0.004, 4), 92.5)
    number = next(one.number for one in bench.state.trials if one.strip is now[-1])
    bench.retract_trial(number, "of another sheet")
    assert bench.state.strips() == strips[:-1]
    step = next(one for one in bench.life("FS-01") if "  step" in one.head)
    said = [
        (line.text, line.struck) for line in step.lines if "burr" in line.text or "wrong mark" in line.text
    ]
    assert [struck for _, struck in said] == [True, False, False]
    assert not any("taken back" in text for text, _ in said)
    corrected = [one for one in bench.life("FS-01") if one.head.endswith("corrected")]
    assert len(corrected) == 3 and not any(one.what.struck for one in corrected)
    assert fold(bench.record.journal.after(0)) == bench.state
    bench.close()


def test_a_strip_that_cannot_be_with_the_corrected_figure_counts_no_more(demo_shop: Path) -> None:
    bench = Bench(demo_shop, SteadyClocks())
    bench.mark_clock(right=True)
    bend_three(bench)
    strips = bench.state.strips()
    bench.correct("FS-01", StepRef("spar-channel", "trial-strip"), "figure", "3.9", "slipped a digit", "leg")
    assert bench.state.strips() == strips[:-1]
    bench.close()


def test_an_older_kiosks_answer_is_judged_by_what_is_known_today(bench: Bench) -> None:
    """It recorded no limits as numbers: today's are asked, and stand in the correction."""
    step, check = measured(bench)
    past = bench.past_step("FB-NR", StepRef("form-block", step))
    figures = tuple(replace(one, unit="", low=None, high=None) for one in past.figures)
    older = replace(past, figures=figures)
    figure = past.figure(check.id)
    assert figure is not None and figure.value is not None
    text = f"{figure.value + 0.0005:.4f}"
    body, *_ = corrections.correct(bench.context, older, "FB-NR", "figure", text, "read wrong", check.id)
    assert isinstance(body, Corrected)
    assert (body.unit, body.low, body.high, body.passed) == (figure.unit, figure.low, figure.high, True)


def mixed_with_400_minutes(bench: Bench) -> None:
    """Minutes read off a tin were typed ten times too long; they limit when the next step begins."""
    procedures = bench.shop.procedures
    assert isinstance(procedures, dict)
    before = procedures["form-block"]
    life = {"kind": "measure", "id": "life", "ask": "Pot life?", "unit": "min", "low": "1"}
    wait = {"what": "pot life", "within": "120", "begin": SECOND.step, "if_missed": "mix anew"}
    mixing = Step.model_validate(
        {
            "id": FIRST.step,
            "do": "Mix it.",
            "minutes": {"each": "3"},
            "checks": [life],
            "waits": [{**wait, "from_check": f"{FIRST.step}/life"}],
        }
    )
    procedures["form-block"] = before.model_copy(update={"steps": (mixing, *before.steps[1:])})
    work = bench.start(["FB-NR"], "form-block", FIRST.step)
    bench.answer(work, "FB-NR", "life", "400")
    bench.finish(work, "FB-NR")


def test_a_running_clock_follows_the_figure_that_it_was_taken_from(bench: Bench) -> None:
    mixed_with_400_minutes(bench)
    (clock,) = bench.state.part("FB-NR").clocks
    bench.correct("FB-NR", FIRST, "figure", "40", "a nought too many", "life")
    (now,) = bench.state.part("FB-NR").clocks
    assert now == replace(clock, minutes=40.0, until=clock.until - timedelta(minutes=360))
    same_as_from_the_journal(bench)
    undo_newest(bench)
    assert bench.state.part("FB-NR").clocks == (clock,)


def test_a_clock_that_runs_on_while_its_step_is_left_follows_the_figure(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """The pot life ended with the beginning of the next step, which was left with nothing done."""
    mixed_with_400_minutes(bench)
    (clock,) = bench.state.part("FB-NR").clocks
    work = bench.start(["FB-NR"], SECOND.procedure, SECOND.step)
    bench.pause(work)
    assert clocks_on(bench.shop, bench.state, "FB-NR") == (clock,)
    bench.correct("FB-NR", FIRST, "figure", "40", "a nought too many", "life")
    (now,) = clocks_on(bench.shop, bench.state, "FB-NR")
    assert now == replace(clock, minutes=40.0, until=clock.until - timedelta(minutes=360))
    same_as_from_the_journal(bench)
    undo_newest(bench)
    assert clocks_on(bench.shop, bench.state, "FB-NR") == (clock,)
    bench.correct("FB-NR", FIRST, "figure", "40", "a nought too many", "life")
    clocks.go(41)
    assert bench.place_card().action == "late"
    bench.put_back(work)
    assert bench.state.part("FB-NR").clocks == (now,)


PACE = PaceTime("wren")
SAWN = TimedThing(PieceTime(StepRef("form-block", "saw-outline"), "wren"), 10.0)


def took(state: State, minutes: float) -> tuple[Learnt, ...]:
    """One piece more that took so long: what it taught."""
    lessons = taught_by_minutes(state, [SAWN], minutes).lessons
    learn(state, lessons)
    return lessons


def usual(state: State) -> float:
    """What one piece takes in the middle, by all that was learnt."""
    seen = state.times[SAWN.of]
    return math.exp(seen.sum_y / seen.weight)


def test_times_corrected_after_a_change_of_pace_do_not_undo_it() -> None:
    """Older values count for little by then, so correcting them moves little: nothing goes below nothing."""
    state = State()
    old = [took(state, 10) for _ in range(20)]
    for _ in range(4):
        took(state, 45)  # from the third on it is the pace of now
    before = usual(state)
    for lessons in old:
        assert not unlearn(state, lessons)
        learn(state, retimed(state, [SAWN], lessons, 10, 12))
        assert state.times[SAWN.of].weight > 0
    assert usual(state) == pytest.approx(before, rel=0.08)
    assert state.times[SAWN.of].count == 24


def corrected(state: State, lessons: tuple[Learnt, ...], was: float, minutes: float) -> tuple[Learnt, ...]:
    unlearn(state, lessons)
    anew = retimed(state, [SAWN], lessons, was, minutes)
    learn(state, anew)
    return anew


@pytest.mark.parametrize("minutes", [120, 600, 999])
def test_minutes_typed_with_a_nought_too_many_are_not_learnt_from(minutes: float) -> None:
    state = State()
    first, *_ = [took(state, 12) for _ in range(7)]
    before = usual(state)
    mistyped = corrected(state, first, 12, minutes)
    assert usual(state) == pytest.approx(before, rel=0.01)
    again = corrected(state, mistyped, minutes, minutes - 1)
    assert usual(state) == pytest.approx(before, rel=0.01)
    corrected(state, again, minutes - 1, 12)  # and typed right it counts as if it had been so at first
    assert usual(state) == pytest.approx(before, rel=0.001)
    assert state.times[SAWN.of].weight == pytest.approx(7, abs=0.3)


def test_a_first_piece_that_is_corrected_within_what_firsts_take_counts() -> None:
    """By the usual learning curve the first takes half as long again as one takes after seven."""
    state = State()
    first, *_ = [took(state, minutes) for minutes in (20, 18, 17, 16, 15, 15, 14)]
    (lesson, *_) = corrected(state, first, 20, 24)
    assert lesson.weight > 0.9


def test_what_was_timed_with_its_setting_up_still_counts_once_it_is_corrected_by_a_minute() -> None:
    """It is told apart from a sum, and no lesson says which repeat the piece was."""
    state = State()
    for _ in range(7):
        took(state, 12)
    both = [SAWN, TimedThing(SetUpTime("saws", "wren"), 5.0)]
    for _ in range(7):
        lessons = taught_by_minutes(state, both, 17).lessons
        learn(state, lessons)
    assert SAWN.of not in [one.of for one in lessons]
    unlearn(state, lessons)
    anew = retimed(state, both, lessons, 17, 18)
    assert [one.of for one in anew] == [one.of for one in lessons]
    for now, before in zip(anew, lessons, strict=True):
        assert now.weight > 0.9 * before.weight


def test_a_change_of_pace_is_learnt_from_pieces_that_are_timed_with_their_setting_up() -> None:
    """One piece a sitting: three in a row far from the usual are the pace of now, as of pieces alone."""
    state = State()
    both = [SAWN, TimedThing(SetUpTime("saws", "wren"), 5.0)]

    def sittings(minutes: float, count: int) -> float:
        for _ in range(count):
            learn(state, taught_by_minutes(state, both, minutes).lessons)
        return sum(math.exp(seen.sum_y / seen.weight) for of, seen in state.times.items() if of != PACE)

    before = sittings(17, 8)
    assert sittings(68, 2) < 1.2 * before, "two may be slips"
    assert sittings(68, 2) > 2 * before


def test_slips_that_were_corrected_are_no_run_of_a_new_pace() -> None:
    state = State()
    for _ in range(5):
        took(state, 12)
    slips = [took(state, 170), took(state, 110)]
    assert state.times[SAWN.of].doubted == 2
    for lessons, minutes in zip(slips, (170, 110), strict=True):
        corrected(state, lessons, minutes, 12)
    assert state.times[SAWN.of].doubted == 0
    took(state, 150)
    assert usual(state) == pytest.approx(12, rel=0.02)


def test_a_correction_of_an_earlier_piece_is_none_of_a_run_of_a_new_pace() -> None:
    """What it taught can be taken out whole after one correction, and is judged as an early piece still."""
    state = State()
    first, *_ = [took(state, 12) for _ in range(5)]
    took(state, 170), took(state, 110)
    mistyped = corrected(state, first, 12, 1000)
    unlearn(state, mistyped)
    assert not taught_last(state, mistyped)


def test_what_is_taken_out_in_any_order_leaves_what_stays() -> None:
    state, only = State(), State()
    first, second = took(state, 10), took(state, 14)
    third = took(state, 12)
    learn(only, [replace(one, before=NOTHING_SEEN) for one in second])
    unlearn(state, first)
    unlearn(state, third)  # once it put the first back, whose absence it had never seen
    left, alone = state.times[SAWN.of], only.times[SAWN.of]
    assert left.count == 1 and left.weight == pytest.approx(alone.weight)
    assert left.sum_y == pytest.approx(alone.sum_y)


def test_a_correction_leaves_alone_a_part_on_which_the_step_was_done_anew(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """Three blanks chosen together; one was sent back and done anew the next day."""
    ribs = ["NR-01", "NR-02", "NR-03"]
    do_step(bench, ribs)
    ref = StepRef("rib-blank", "choose-sheet")
    figure = next(one.check for one in bench.past_step("NR-02", ref).figures if one.unit)
    bench.reopen("NR-01", ref, "another sheet")
    clocks.go(24 * 60)
    do_step(bench, ["NR-01"])
    own = bench.past_step("NR-01", ref)
    measured_anew = bench.state.part("NR-01").measured[ref][figure]
    bench.correct("NR-02", ref, "figure", "9.9", "read wrong", figure)
    assert bench.state.part("NR-02").measured[ref][figure] == 9.9
    assert bench.state.part("NR-01").measured[ref][figure] == measured_anew
    assert bench.past_step("NR-01", ref) == own and not bench.state.open_snags("NR-01")
    assert {snag.mark for snag in bench.state.open_snags()} == {"NR-02", "NR-03"}
    # The correction is taken back before any of its snags: a figure out of limits is never left unheld.
    undo_newest(bench)
    assert bench.state.part("NR-02").measured[ref][figure] == measured_anew
    assert {snag.mark for snag in bench.state.open_snags()} == {"NR-02", "NR-03"}


@pytest.mark.parametrize("far", [2.0, 50.0])  # too quick, and too long
def test_of_two_in_a_row_that_were_far_from_the_usual_one_is_left_when_one_is_corrected(far: float) -> None:
    state = State()
    for _ in range(20):
        took(state, 10)
    first, _ = took(state, far), took(state, far)
    side = 1 if far > 10 else -1
    assert state.times[SAWN.of].doubted == 2 * side
    corrected(state, first, far, 10)
    assert state.times[SAWN.of].doubted == side


def test_a_step_took_no_longer_than_its_sitting_and_a_slot_before_the_first_tap(bench: Bench) -> None:
    step, _ = measured(bench, minutes=2)
    ref = StepRef("form-block", step)
    sat = bench.past_step("FB-NR", ref).sat_minutes
    assert sat is not None and sat < 60
    with pytest.raises(Refused, match=f"up to {math.floor(sat + 120)} minutes"):
        bench.correct("FB-NR", ref, "minutes", "999", "the timer ran short")
    bench.correct("FB-NR", ref, "minutes", "90", "tapped late")
    assert bench.past_step("FB-NR", ref).minutes == 90


def test_where_the_clocks_cannot_tell_any_time_can_be_true(new_shop: Path, clocks: SteadyClocks) -> None:
    bench = Bench(new_shop, clocks)
    step, _ = measured(bench, minutes=2)
    past = bench.past_step("FB-NR", StepRef("form-block", step))
    for unknown in (
        replace(past, sat_minutes=None),
        replace(past, exact=False),
        replace(past, day=""),
        replace(past, day_was="2027-05-07"),
    ):
        found = corrections.correct(bench.context, unknown, "FB-NR", "minutes", "999", "it was glued all day")
        assert len(list(found)) == 1
    bench.close()
