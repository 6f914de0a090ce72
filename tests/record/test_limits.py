"""A limit that was missed: told where it is met, answered by what was done, asked again from its step."""

from datetime import timedelta

import pytest

from kiosk.bench import Bench
from kiosk.record.events import ClockAnswered
from kiosk.record.readiness import next_blocks
from kiosk.record.rules import NotAllowed, Refused
from kiosk.record.rules.clocks import IN_TIME
from tests.conftest import SteadyClocks
from tests.driver import do_step, undo_newest
from tests.planning.test_spare import complete, take_to
from tests.record.finishes import replace_finish, with_finish
from tests.record.moments import step, with_steps

POT = {"what": "pot", "within": "60", "finish": "use", "if_missed": "Throw it away.", "back_to": "mix"}
LOT = {"kind": "yes_no", "id": "lot", "ask": "Is the tin in date?"}


def begun(bench: Bench, clocks: SteadyClocks, **changed: str | None) -> Bench:
    """Two parts mixed for, the pot's time running, the step that uses it next."""
    wait = {name: value for name, value in {**POT, **changed}.items() if value is not None}
    steps = (
        step(id="ready"),
        step(id="mix", batch="together", waits=[wait], checks=[LOT]),
        step(id="use", batch="together"),
        step(id="clean"),
    )
    bench.shop, _ = with_steps(bench.shop, "form-block", *steps)
    for mark in ("FB-NR", "FB-MR"):
        do_step(bench, [mark])
    clocks.go(1)
    do_step(bench, ["FB-NR"])
    return bench


def answered(bench: Bench) -> ClockAnswered:
    body = bench.record.journal.after(0)[-1].body
    assert isinstance(body, ClockAnswered)
    return body


def at(bench: Bench, mark: str) -> str:
    where = bench.position(mark).step
    return where.id if where is not None else ""


def test_beginning_in_time_is_not_enough_where_it_must_be_finished(
    bench: Bench, clocks: SteadyClocks
) -> None:
    begun(bench, clocks)
    clocks.go(59)
    work = bench.start(["FB-NR"], "form-block", "use")
    assert bench.step_view(work).limits[0].startswith("FINISH WITHIN 60 s: FB-NR, pot")
    clocks.go(2)
    assert bench.step_view(work).too_late == "FB-NR"
    with pytest.raises(Refused, match="pot ran out on FB-NR"):
        bench.finish(work, "FB-NR")
    bench.answer_clock(["FB-NR"], "Thrown away")
    assert at(bench, "FB-NR") == "mix" and not bench.state.works
    assert bench.state.part("FB-NR").clocks == ()
    with pytest.raises(Refused, match="still open: Is the tin in date"):
        again = bench.start(["FB-NR"], "form-block", "mix")
        bench.finish(again, "FB-NR")
    bench.answer(again, "FB-NR", "lot", "yes")
    bench.finish(again, "FB-NR")
    (clock,) = bench.state.part("FB-NR").clocks
    assert clock.set_s == clocks.monotonic_s() and next_blocks(bench.context, "FB-NR") == []


def test_finished_in_time_the_clock_is_done_with(bench: Bench, clocks: SteadyClocks) -> None:
    begun(bench, clocks)
    clocks.go(50)
    do_step(bench, ["FB-NR"])
    assert bench.state.part("FB-NR").clocks == ()
    clocks.go(50)
    assert next_blocks(bench.context, "FB-NR") == []


def test_a_tap_that_came_late_is_the_builders_word_and_stands_in_the_record(
    bench: Bench, clocks: SteadyClocks
) -> None:
    begun(bench, clocks)
    clocks.go(61)
    with pytest.raises(Refused, match="was not in hand at that step"):
        bench.answer_clock(["FB-NR"], IN_TIME, in_time=True)
    clocks.go(-10)
    work = bench.start(["FB-NR"], "form-block", "use")
    clocks.go(10)
    bench.answer_clock(["FB-NR"], IN_TIME, in_time=True)
    assert answered(bench).did == IN_TIME and answered(bench).back_to_step == ""
    bench.finish(work, "FB-NR")
    assert at(bench, "FB-NR") == "clean"


def test_what_was_missed_stands_in_the_record(bench: Bench, clocks: SteadyClocks) -> None:
    begun(bench, clocks)
    (clock,) = bench.state.part("FB-NR").clocks
    clocks.go(61)
    bench.answer_clock(["FB-NR"], "Thrown away")
    found = answered(bench)
    assert (found.what, found.until, found.did) == ("pot", clock.until, "Thrown away")
    assert (found.back_to_procedure, found.back_to_step) == ("form-block", "mix")
    undo_newest(bench)
    assert at(bench, "FB-NR") == "use" and bench.state.part("FB-NR").clocks == (clock,)


def test_only_the_builder_answers_it_and_only_with_words(bench: Bench, clocks: SteadyClocks) -> None:
    begun(bench, clocks)
    clocks.go(61)
    for nothing in ("", "   ", "1", "ok"):
        with pytest.raises(Refused, match="nothing says what was done"):
            bench.answer_clock(["FB-NR"], nothing)
    bench.hand_over("odile")
    with pytest.raises(NotAllowed, match="only the builder"):
        bench.answer_clock(["FB-NR"], "Thrown away")


def test_without_a_step_to_go_back_to_the_clock_runs_anew(bench: Bench, clocks: SteadyClocks) -> None:
    begun(bench, clocks, back_to=None)
    clocks.go(61)
    bench.answer_clock(["FB-NR"], "New glue from the second tube")
    assert at(bench, "FB-NR") == "use" and answered(bench).did == "New glue from the second tube"
    clocks.go(59)
    assert next_blocks(bench.context, "FB-NR") == []
    clocks.go(2)
    assert [block.kind for block in next_blocks(bench.context, "FB-NR")] == ["late"]


def test_a_step_begun_and_put_back_lets_no_clock_go(bench: Bench, clocks: SteadyClocks) -> None:
    """The limit ended with the beginning, and was gone when it was put back as not begun."""
    begun(bench, clocks, finish=None, begin="use")
    before = bench.state.part("FB-NR").clocks
    work = bench.start(["FB-NR"], "form-block", "use")
    assert bench.state.part("FB-NR").clocks == ()
    bench.put_back(work)
    assert bench.state.part("FB-NR").clocks == before
    clocks.go(61)
    with pytest.raises(Refused, match="ran out"):
        bench.start(["FB-NR"], "form-block", "use")


def test_a_limit_whose_step_was_renamed_without_a_word_is_a_question(
    bench: Bench, clocks: SteadyClocks
) -> None:
    begun(bench, clocks)
    steps = tuple(
        one if one.id != "use" else one.model_copy(update={"id": "apply"})
        for one in bench.shop.procedures["form-block"].steps
    )
    bench.shop, _ = with_steps(bench.shop, "form-block", *steps)
    for minutes in (0, 61):  # also once it ran out: it is never let go in silence
        clocks.go(minutes)
        question = bench.position("FB-NR").question
        assert question is not None and question.about == "use"


def test_priming_waits_for_the_gun_and_the_pot_is_sprayed_out_in_time(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """The shipped procedure: the clean surface ends with the beginning of spraying, the pot with its end."""
    complete(bench, "BR-01")
    clips = ["CA-01", "CA-02"]
    with_finish(bench, replace_finish(stand_time="15 min", pot_life="60 min"))
    take_to(bench, clips, "clean-and-prime/mix")
    bench.note_conditions(68, 55)
    do_step(bench, clips)
    running = {clock.what: clock for clock in bench.state.part("CA-01").clocks}
    assert running["clean bare aluminium"].step == "spray"
    assert running["clean bare aluminium"].ends == "begin"
    assert running["mixed primer"].ends == "finish" and running["mixed primer"].minutes == 60
    clocks.go(16)
    take_to(bench, clips, "clean-and-prime/spray")
    bench.start(clips, "clean-and-prime", "spray")
    assert [clock.what for clock in bench.state.part("CA-01").clocks] == ["mixed primer"]
    clocks.go(45)
    asked = bench.missed_limit("CA-01")
    assert asked is not None and asked.marks == ("CA-01", "CA-02")
    assert asked.back_to.startswith("Mix hardener into base") and asked.may_be_in_time
    bench.answer_clock(asked.marks, asked.if_missed)
    assert [at(bench, mark) for mark in clips] == ["mix", "mix"]


def test_clean_metal_that_waited_too_long_goes_back_to_the_water_test(
    bench: Bench, clocks: SteadyClocks
) -> None:
    complete(bench, "BR-01")
    take_to(bench, ["CA-01"], "clean-and-prime/mix")
    clocks.go(241)
    (block,) = [one for one in next_blocks(bench.context, "CA-01") if one.kind == "late"]
    assert "Scuff lightly" in block.text
    bench.answer_clock(["CA-01"], "Scuffed and washed")
    assert at(bench, "CA-01") == "scuff"
    for _ in ("scuff", "wash"):
        do_step(bench, ["CA-01"])
    work = bench.start(["CA-01"], "clean-and-prime", "water-test")
    bench.acknowledge(work)
    with pytest.raises(Refused, match="Does water stand in one unbroken film"):
        bench.finish(work, "CA-01")


def test_an_older_kiosks_answer_ends_every_limit_of_its_step(bench: Bench, clocks: SteadyClocks) -> None:
    begun(bench, clocks)
    clocks.go(61)
    old = ClockAnswered(mark="FB-NR", procedure="form-block", step="use", did="mixed anew")
    bench.record.transact(lambda _: [old], by="wren", tap=None)
    assert bench.state.part("FB-NR").clocks == () and at(bench, "FB-NR") == "use"


def test_time_left_is_rounded_to_the_safe_side(bench: Bench, clocks: SteadyClocks) -> None:
    begun(bench, clocks, within="1.5")
    assert bench.place_card().clocks == ("FINISH WITHIN 90 s: FB-NR, pot",)
    clocks.at += timedelta(seconds=0.4)
    clocks.count_s += 0.4
    assert bench.place_card().clocks == ("FINISH WITHIN 89 s: FB-NR, pot",)
