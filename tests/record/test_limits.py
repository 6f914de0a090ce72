"""A limit that was missed: told where it is met, answered by what was done, asked again from its step."""

from datetime import timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.events import ClockAnswered, ClockSet, SittingCut
from kiosk.record.readiness import next_blocks
from kiosk.record.rules import NotAllowed, Refused
from kiosk.record.rules.clocks import BEGUN_IN_TIME, IN_TIME
from kiosk.record.waits import waits_of
from kiosk.shop.procedure import StepRef
from kiosk.views.alarms import alarms
from tests.conftest import SteadyClocks
from tests.driver import do_step, undo_newest
from tests.planning.test_spare import complete, take_to
from tests.record.finishes import replace_finish, with_finish
from tests.record.moments import NOW, step, with_steps

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


def left_in_hand(bench: Bench, clocks: SteadyClocks, **changed: str | None) -> str:
    """A step that ended a limit by its beginning, paused before anything came of it."""
    begun(bench, clocks, **{"finish": None, "begin": "use", **changed})
    work = bench.start(["FB-NR"], "form-block", "use")
    assert bench.place_card().clocks == (), "a step that runs is begun"
    bench.pause(work)
    return work


def whats(bench: Bench) -> list[str]:
    return [one.split(":")[0].partition(" WITHIN")[0] for one in bench.place_card().clocks]


def test_a_limit_runs_on_while_its_step_stands_still_with_nothing_done(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """The metal ages on; it was gone with BEGIN, and what went past it was recorded without a word."""
    work = left_in_hand(bench, clocks)
    card = bench.place_card()
    assert whats(bench) == ["USE"] and card.action == "resume" and not card.blocked
    clocks.go(50)
    assert [one.level for one in alarms(bench.context)] == ["near"]
    bench.take_up(work)
    assert bench.place_card().clocks == () and not alarms(bench.context)
    bench.pause(work)
    clocks.go(11)
    card = bench.place_card()
    assert whats(bench)[0].startswith("TOO LATE")
    assert (card.action, card.marks, card.standing) == ("late", ("FB-NR",), "IN HAND, PAUSED")
    assert "pot ran out" in card.blocked and bench.step_view(work).too_late == "FB-NR"
    assert [one.level for one in alarms(bench.context)] == ["missed"]
    assert "late" in [stop.kind for stop in next_blocks(bench.context, "FB-NR")], "its page says so"
    with pytest.raises(Refused, match="pot ran out"):
        bench.take_up(work)
    with pytest.raises(Refused, match="pot ran out"):
        bench.finish(work, "FB-NR")
    bench.begin_slot(60)
    assert all(work != one.stretch.work for one in bench.spare(60).suggestions)
    asked = bench.missed_limit("FB-NR")
    assert asked is not None and asked.may_be_in_time and asked.in_time == BEGUN_IN_TIME
    bench.answer_clock(asked.marks, asked.if_missed, asked=asked.clock)
    part = bench.state.part("FB-NR")
    assert at(bench, "FB-NR") == "mix" and part.work is None and not part.clocks and not bench.state.works
    undo_newest(bench)
    assert bench.place_card().action == "late" and work in bench.state.works


def test_what_was_left_past_its_limit_is_not_now_and_says_why(bench: Bench, clocks: SteadyClocks) -> None:
    """It was in no plan and in no list: the answer said nothing of it."""
    left_in_hand(bench, clocks)
    clocks.go(61)
    late = bench.spare(30).not_now[0]  # before what only waits
    assert late.marks == ("FB-NR",) and late.step.id == "use"
    assert late.block.kind == "late" and late.block.text.startswith("pot ran out")
    bench.ask_not_today("FB-NR")
    assert bench.spare(30).not_now[0].marks == ("FB-NR",)


def test_what_nobody_knows_the_stand_of_ages_too(bench: Bench, clocks: SteadyClocks) -> None:
    begun(bench, clocks, finish=None, begin="use")
    work = bench.start(["FB-NR"], "form-block", "use")
    bench.record.transact(lambda _: [SittingCut()], by="wren", tap=None)
    assert (bench.place_card().action, whats(bench)) == ("look", ["USE"])
    clocks.go(61)
    card = bench.place_card()
    assert (card.action, card.standing) == ("late", "STARTED, UNKNOWN")
    with pytest.raises(Refused, match="pot ran out"):
        bench.looked(work, as_shown=True)
    bench.looked(work, as_shown=False)
    assert bench.place_card().action == "late" and not bench.state.works


def test_what_was_put_back_past_its_limit_is_too_late(bench: Bench, clocks: SteadyClocks) -> None:
    work = left_in_hand(bench, clocks)
    clocks.go(61)
    bench.put_back(work)
    with pytest.raises(Refused, match="ran out"):
        bench.start(["FB-NR"], "form-block", "use")


def test_a_step_put_back_is_not_taken_up_again_by_an_undo_past_its_limit(
    bench: Bench, clocks: SteadyClocks
) -> None:
    begun(bench, clocks, finish=None, begin="use")
    bench.put_back(bench.start(["FB-NR"], "form-block", "use"))
    undo_newest(bench)
    (work,) = bench.state.works
    bench.put_back(work)
    clocks.go(61)
    with pytest.raises(Refused, match="pot ran out on FB-NR since"):
        undo_newest(bench)


def test_the_end_of_a_step_is_taken_back_whenever(bench: Bench, clocks: SteadyClocks) -> None:
    begun(bench, clocks, finish=None, begin="use")
    do_step(bench, ["FB-NR"])
    clocks.go(61)
    undo_newest(bench)
    assert bench.place_card().action == "resume" and at(bench, "FB-NR") == "use"


def test_a_builder_may_say_that_it_was_begun_in_time(bench: Bench, clocks: SteadyClocks) -> None:
    """The hands went on and no key was pressed, as with the gun in them."""
    work = left_in_hand(bench, clocks)
    with pytest.raises(Refused, match="no time limit was missed"):
        bench.answer_clock(["FB-NR"], BEGUN_IN_TIME, in_time=True)
    clocks.go(61)
    bench.answer_clock(["FB-NR"], BEGUN_IN_TIME, in_time=True)
    assert answered(bench).did == BEGUN_IN_TIME and bench.place_card().action == "resume"
    bench.take_up(work)
    bench.put_back(work)
    assert bench.place_card().action == "late", "as not begun it is too late all the same"


def test_a_limit_that_runs_anew_does_so_for_what_is_in_hand(bench: Bench, clocks: SteadyClocks) -> None:
    work = left_in_hand(bench, clocks, back_to=None)
    clocks.go(61)
    bench.answer_clock(["FB-NR"], "New glue from the second tube")
    clocks.go(59)
    assert whats(bench) == ["USE"]
    clocks.go(2)
    assert bench.place_card().action == "late"
    bench.answer_clock(["FB-NR"], "New glue from the third tube")
    bench.take_up(work)


def test_the_limits_that_were_not_answered_run_on(bench: Bench, clocks: SteadyClocks) -> None:
    steps = (
        step(id="wash", waits=[{"what": "bare", "within": "120", "begin": "coat", "if_missed": "Scuff it."}]),
        step(id="wipe", waits=[{**POT, "finish": None, "begin": "coat", "back_to": "wipe"}]),
        step(id="coat", checks=[LOT]),
    )
    bench.shop, _ = with_steps(bench.shop, "form-block", *steps)
    do_step(bench, ["FB-NR"])
    do_step(bench, ["FB-NR"])
    work = bench.start(["FB-NR"], "form-block", "coat")
    bench.pause(work)
    clocks.go(61)
    bench.answer_clock(["FB-NR"], "Wiped again")
    assert at(bench, "FB-NR") == "wipe" and [one.what for one in bench.state.part("FB-NR").clocks] == ["bare"]


@pytest.mark.parametrize("batch", ["in turn", "together"])
def test_a_limit_is_over_where_something_was_answered(bench: Bench, clocks: SteadyClocks, batch: str) -> None:
    """On each part alone where each is answered for; on all of those that go through together."""
    mix = step(id="mix", batch="together", waits=[{**POT, "finish": None, "begin": "use"}])
    use = step(id="use", batch=batch, checks=[LOT])
    bench.shop, _ = with_steps(bench.shop, "form-block", mix, use)
    both = ["FB-NR", "FB-MR"]
    do_step(bench, both)
    work = bench.start(both, "form-block", "use")
    bench.answer(work, "FB-NR", "lot", "yes")
    bench.pause(work)
    clocks.go(61)
    card = bench.place_card()
    if batch == "together":
        assert card.action == "resume" and not card.clocks
        return
    assert card.action == "late" and card.marks == ("FB-MR", "FB-NR"), "the page that asks about it"
    with pytest.raises(Refused, match="pot ran out"):
        bench.take_up(work)
    bench.answer_clock(["FB-MR"], "Mixed anew")
    assert bench.state.works[work].marks == ("FB-NR",) and at(bench, "FB-MR") == "mix"
    bench.take_up(work)
    bench.finish(work, "FB-NR")


def test_nobody_knows_a_limit_that_ran_on_while_the_clock_was_changed(
    bench: Bench, new_shop: Path, clocks: SteadyClocks
) -> None:
    work = left_in_hand(bench, clocks)
    clocks.boot_id, clocks.count_s = "another", 5.0
    again = Bench(new_shop, clocks)
    again.shop = bench.shop
    clocks.at -= timedelta(hours=30)
    card = again.place_card()
    assert card.action == "look at clock" and again.unknown_clock("FB-NR") is not None
    with pytest.raises(Refused, match="look whether pot ran out"):
        again.take_up(work)
    again.look_at_clock(["FB-NR"], 10)
    again.take_up(work)
    again.pause(work)
    clocks.go(11)
    assert again.place_card().action == "late"
    again.close()


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


def test_a_mix_that_stands_while_the_metal_goes_back_is_told_with_what_is_done_with_it(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """Once the part had gone back to the scuffing nothing said that there was primer in the cup."""
    complete(bench, "BR-01")
    take_to(bench, ["CA-01"], "clean-and-prime/mix")
    clean = next(one for one in bench.state.part("CA-01").clocks if one.what == "clean bare aluminium")
    clocks.go_to(clean.until - timedelta(minutes=5))
    do_step(bench, ["CA-01"])
    clocks.go(6)
    asked = bench.missed_limit("CA-01")
    assert asked is not None and asked.what == "clean bare aluminium"
    (told,) = asked.stands_too
    assert told.startswith("STANDS TOO, until ") and "mixed primer. Spread the mix thin" in told
    bench.answer_clock(asked.marks, asked.if_missed)
    assert at(bench, "CA-01") == "scuff"
    line = bench.place_card().clocks[0]
    assert line.startswith("STILL STANDS, ") and "CA-01, mixed primer. Spread the mix thin" in line
    assert line in bench.close_up_view().clocks
    (mix,) = bench.state.part("CA-01").mixes_left
    clocks.go_to(mix.until + timedelta(minutes=1))
    assert not any("STILL STANDS" in one for one in bench.place_card().clocks)  # it has set


def test_metal_that_is_washed_again_is_no_mix(bench: Bench, clocks: SteadyClocks) -> None:
    complete(bench, "BR-01")
    take_to(bench, ["CA-01"], "clean-and-prime/mix")
    bench.reopen("CA-01", StepRef("clean-and-prime", "scuff"), "a fingerprint")
    assert at(bench, "CA-01") == "scuff" and bench.state.part("CA-01").mixes_left == ()


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


def two_cures(**last: str) -> tuple[dict[str, str], dict[str, str]]:
    """Two waits of one step that are called alike: the tape may come off long before it may be primed."""
    return (
        {"what": "cure", "must_pass": "10", "before": "untape"},
        {"what": "cure", "must_pass": "60", "before": "prime", **last},
    )


def test_each_of_two_waits_with_the_same_words_holds_its_own_step(bench: Bench, clocks: SteadyClocks) -> None:
    steps = (step(id="glue", waits=[*two_cures()]), step(id="untape"), step(id="sand"), step(id="prime"))
    bench.shop, _ = with_steps(bench.shop, "form-block", *steps)
    do_step(bench, ["FB-NR"])
    clocks.go(9)
    assert [one.kind for one in next_blocks(bench.context, "FB-NR")] == ["wait"]
    clocks.go(2)
    assert next_blocks(bench.context, "FB-NR") == []
    do_step(bench, ["FB-NR"])
    do_step(bench, ["FB-NR"])
    assert at(bench, "FB-NR") == "prime"
    assert [one.kind for one in next_blocks(bench.context, "FB-NR")] == ["wait"]


def test_of_two_limits_with_the_same_words_the_one_that_was_asked_about_is_answered(
    bench: Bench, clocks: SteadyClocks
) -> None:
    limits = [{**POT, "within": minutes, "back_to": None} for minutes in ("5", "60")]
    waits = [{name: value for name, value in one.items() if value} for one in limits]
    bench.shop, _ = with_steps(bench.shop, "form-block", step(id="mix", waits=waits), step(id="use"))
    do_step(bench, ["FB-NR"])
    short, long = bench.state.part("FB-NR").clocks
    assert (short.number, long.number) == (1, 2)
    clocks.go(6)
    bench.answer_clock(["FB-NR"], "Stirred again")
    (body,) = [answered(bench)]
    assert body.asked == short
    assert bench.state.part("FB-NR").clocks == (long, body.again)


def test_clocks_of_two_waits_with_the_same_words_ring_apart(bench: Bench, clocks: SteadyClocks) -> None:
    waits = [{**POT, "if_missed": words} for words in ("Throw it away.", "Wash the gun.")]
    bench.shop, _ = with_steps(
        bench.shop, "form-block", step(id="mix", waits=waits), step(id="use"), step(id="clean")
    )
    do_step(bench, ["FB-NR"])
    clocks.go(59)
    rung = [one.about for one in alarms(bench.context)]
    assert len(rung) == len(set(rung)) == 2


CURE_OF_TODAY = [
    # what the step's waits are today, what the clock says, the numbers of those that may have set it
    (two_cures(), ("cure", "untape", 1), [1]),
    (two_cures(), ("cure", "prime", 2), [2]),
    (two_cures(), ("cure", "prime", None), [2]),  # an older kiosk's
    (two_cures(), ("cure (typical)", "prime", 2), [2]),
    (two_cures(before="sand"), ("cure", "prime", 2), [2]),  # a new revision has it hold an earlier step
    (two_cures(before="sand"), ("cure", "prime", None), [1, 2]),  # which it is, nobody can tell: both
    (two_cures(before="untape"), ("cure", "untape", 2), [2]),
    (two_cures(before="untape"), ("cure", "untape", None), [1, 2]),
    (two_cures(what="set"), ("cure", "prime", 2), [1]),  # called otherwise: the one with the words
    (two_cures(what="set")[1:], ("cure", "prime", 1), [1]),  # else the one in its place
    (two_cures(what="set")[1:], ("cure", "prime", None), []),
    (two_cures(what="set")[1:], ("cure", "prime", 3), []),
    ((POT, *two_cures()), ("cure", "prime", 2), [3]),  # another was put in before it
    ((POT, *two_cures()), ("pot", "use", 1), []),  # of the other kind
    ((), ("cure", "prime", 1), []),
]


@pytest.mark.parametrize(("today", "said", "numbers"), CURE_OF_TODAY)
def test_which_wait_of_today_set_a_clock(
    today: tuple[dict[str, str], ...], said: tuple[str, str, int | None], numbers: list[int]
) -> None:
    what, held, number = said
    clock = ClockSet(
        what=what, kind="must_pass", minutes=60, until=NOW, procedure="p", step=held, number=number
    )
    waits = step(id="glue", waits=[*today]).waits
    assert [waits.index(one) + 1 for one in waits_of(step(waits=[*today]), clock)] == numbers


def test_a_limit_that_a_batch_missed_one_by_one_is_asked_of_all_of_it(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """Dried in a minute of its own each, five ribs were asked for one after the other, and after the first
    the others stood apart from it."""
    complete(bench, "BR-01")
    clips = ["CA-01", "CA-02", "CA-03"]
    for mark in clips:
        take_to(bench, [mark], "clean-and-prime/dry")
    bench.join_batch(clips)
    for mark in clips:
        clocks.go(2)
        do_step(bench, [mark])
    untils = {one.until for mark in clips for one in bench.state.part(mark).clocks if one.kind == "within"}
    assert len(untils) == 3
    clocks.go_to(max(untils) + timedelta(minutes=1))
    asked = bench.missed_limit("CA-02")
    assert asked is not None and sorted(asked.marks) == clips
    bench.answer_clock(asked.marks, asked.if_missed, asked=asked.clock)
    assert {at(bench, mark) for mark in clips} == {"scuff"}
    assert all(bench.missed_limit(mark) is None for mark in clips)
