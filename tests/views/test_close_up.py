"""Closing up: what may not be left as it is stands first, with its reason; what may is said too."""

from dataclasses import replace
from datetime import timedelta

import pytest

from kiosk.bench import Bench
from kiosk.record.events import ClockSet
from kiosk.record.state import Answer, PartState, Piece, State, StepDone, Work
from kiosk.shop.procedure import Step
from kiosk.views.close_up import CloseUp, close_up
from kiosk.views.in_hand import in_hand
from tests.driver import next_step
from tests.record.moments import NOW, brambling, builder, moment, step, with_steps


def leaving(one: Step, *pieces: Piece) -> CloseUp:
    """What closing up says with this step in hand."""
    shop, _ = with_steps(brambling(), "form-block", one, step(id="last", do="Look it over"))
    work = Work("w", "form-block", "1", one.id, "wren", pieces, pieces[0].mark, NOW)
    state = State(works={"w": work}, parts={piece.mark: PartState(piece.mark, work="w") for piece in pieces})
    return close_up(moment(builder(), state=state, shop=shop))


def test_each_part_keeps_its_own_count() -> None:
    flute = step(id="flute", do="Flute it.", stop="anywhere", repeat={"times": "3", "of": "flutes"})
    left = leaving(flute, Piece("FB-NR", count=2), Piece("FB-MR", count=1), Piece("FB-TR"))
    assert left.may == (
        "FB-NR: Flute it. 2 of 3 flutes are kept.",
        "FB-MR: Flute it. 1 of 3 flutes are kept.",
        "FB-TR: Flute it.",
    )


CLEAN, COUNTED = Piece("FB-NR"), Piece("FB-MR", count=2)
ANSWERED = Piece("FB-TR", answers={"seen": Answer("yes", None, True)})


@pytest.mark.parametrize(
    ("stop", "pieces", "must_not", "may"),
    [
        ("between pieces", (CLEAN, COUNTED), ("FB-MR is half done: Drill it",), ()),
        ("between pieces", (CLEAN, COUNTED, ANSWERED), ("FB-MR, FB-TR are half done: Drill it",), ()),
        ("between pieces", (CLEAN,), (), ("FB-NR: Drill it",)),
        ("anywhere", (CLEAN,), (), ("FB-NR: Drill it",)),
        ("anywhere", (COUNTED,), (), ("FB-MR: Drill it 2 of 3 holes are kept.",)),
        ("only when finished", (CLEAN,), ("FB-NR: Drill it Finish it, or put it back as not begun.",), ()),
        ("only when finished", (ANSWERED,), ("FB-TR: Drill it Finish it.",), ()),
        ("go straight on", (CLEAN,), ("FB-NR: Drill it The next step must follow at once.",), ()),
    ],
)
def test_a_step_in_hand_may_be_left_as_its_procedure_says(
    stop: str, pieces: tuple[Piece, ...], must_not: tuple[str, ...], may: tuple[str, ...]
) -> None:
    view = leaving(step(do="Drill it", stop=stop, repeat={"of": "holes", "times": "3"}), *pieces)
    assert (view.must_not, view.may) == (must_not, may)


def test_the_tools_in_hand_are_to_be_put_away_and_the_next_sitting_begins_with_the_step() -> None:
    view = leaving(step(do="Drill it", tools=("micrometer", "no-such")), CLEAN)
    assert view.put_away == ("micrometer",)
    assert "FB-NR" in view.next_step and "drill it" in view.next_step.lower()


def test_a_part_whose_next_step_must_follow_at_once_is_not_left() -> None:
    shop, _ = with_steps(
        brambling(), "form-block", step(id="glue", stop="go straight on"), step(id="press", do="Press it")
    )
    passes = {"form-block": {"glue": StepDone(NOW, "wren", "1")}}
    state = State(parts={mark: PartState(mark, passes=passes) for mark in ("FB-NR", "FB-MR")})
    view = close_up(moment(builder(), state=state, shop=shop))
    assert len(view.must_not) == 1
    assert "FB-MR" in view.must_not[0] and view.must_not[0].endswith("cannot wait. Next: Press it")
    done = State(parts={"FB-NR": PartState("FB-NR", passes=passes, completed_at=NOW)})
    assert close_up(moment(builder(), state=done, shop=shop)).must_not == ()


def test_the_next_sitting_begins_with_what_must_not_be_left(bench: Bench) -> None:
    """It named a step that stood paused, under the parts that had to go straight on."""
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="clamp", stop="go straight on"),
        step(id="bend", do="Bend it.", stop="anywhere"),
    )
    bench.finish(bench.start(["NR-01"], "rib-blank", "clamp"), "NR-01")
    other = bench.start(["FB-NR"], "form-block", next_step(bench, "FB-NR").id)
    bench.pause(other)
    view = bench.close_up_view()
    assert view.must_not[-1] == "NR-01 cannot wait. Next: Bend it."
    assert view.next_step.startswith("NR-01: Bend it")


@pytest.mark.parametrize("stop", ["anywhere", "between pieces"])
def test_what_follows_at_once_may_not_be_left_once_it_is_in_hand_either(bench: Bench, stop: str) -> None:
    """A clip clamped in the brake could be left, all of it, once its bend was in hand and paused."""
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="clamp", stop="go straight on"),
        step(id="bend", do="Bend it.", stop=stop),
        step(id="look", do="Look at it.", stop="anywhere"),
    )
    bench.finish(bench.start(["NR-01"], "rib-blank", "clamp"), "NR-01")
    work = bench.start(["NR-01"], "rib-blank", "bend")
    assert bench.not_to_be_left(work), "whoever pauses it is asked"
    under_way = in_hand(bench.context)
    assert under_way is not None and under_way.comes_first
    bench.pause(work)
    view = bench.close_up_view()
    assert view.must_not == ("NR-01: Bend it. It follows at once: finish it.",) and not view.may
    assert view.next_step.startswith("NR-01: Bend it")
    assert bench.place_card().not_to_be_left
    bench.take_up(work)
    bench.finish(work, "NR-01")
    work = bench.start(["NR-01"], "rib-blank", "look")
    assert not bench.not_to_be_left(work) and not bench.close_up_view().must_not


def test_a_helper_is_told_in_plain_words_and_the_record_keeps_the_builders(bench: Bench) -> None:
    bench.come("odile")
    bench.hand_over("odile")
    work = bench.start(["FB-TR"], "form-block", "measure-pattern")
    _, step_in_hand = bench.shop.find_step("form-block", "measure-pattern")
    assert step_in_hand is not None and step_in_hand.plain
    said = " ".join((*bench.close_up_view().may, *bench.close_up_view().must_not))
    assert step_in_hand.plain in said and step_in_hand.do not in said
    assert step_in_hand.plain in bench.close_up_view().next_step
    kept = close_up(bench.context, as_recorded=True)
    assert step_in_hand.do in kept.next_step and step_in_hand.do in " ".join((*kept.may, *kept.must_not))
    bench.acknowledge(work)
    bench.answer(work, "FB-TR", "bar", "10")
    entry = bench.latest_undoable()
    asked = step_in_hand.checks[0].ask
    assert entry is not None
    assert bench.undo_words(entry) == f"answer '10' to \u2018{asked}\u2019 on FB-TR"
    bench.finish(work, "FB-TR")
    entry = bench.latest_undoable()
    assert entry is not None and step_in_hand.plain.rstrip(".") in bench.undo_words(entry)
    bench.hand_over("wren")
    assert bench.undo_words(entry).endswith("done on FB-TR, by Odile")


def test_whose_step_closing_up_would_stop_is_said(bench: Bench) -> None:
    bench.come("odile")
    bench.start(["NR-01"], "rib-blank", next_step(bench, "NR-01").id)
    bench.hand_over("odile")
    bench.start(["NR-02"], "rib-blank", next_step(bench, "NR-02").id)
    bench.hand_over("wren")
    view = bench.close_up_view()
    told = [*view.must_not, *view.may]
    assert view.others == ("Odile",)
    assert [one.endswith("Odile is at it.") for one in told if one.startswith("NR-02")] == [True]
    assert not any("is at it" in one for one in told if one.startswith("NR-01"))


def test_the_next_sitting_begins_with_nothing_that_a_snag_holds(bench: Bench) -> None:
    bench.join_batch(["NR-01", "NR-02"])
    work = bench.start(["NR-01", "NR-02"], "rib-blank", next_step(bench, "NR-01").id)
    bench.raise_snag("NR-01", "Crack")
    assert bench.close_up_view().next_step.startswith("NR-02: ")
    bench.raise_snag("NR-02", "Crack")
    assert not bench.close_up_view().next_step.startswith("NR-0"), work


def limit(what: str, minutes_left: float, *, step: str = "press") -> ClockSet:
    """A limit of 20 minutes on a step."""
    return ClockSet(
        what=what,
        kind="within",
        minutes=20,
        until=NOW + timedelta(minutes=minutes_left),
        procedure="form-block",
        step=step,
        if_missed="Throw the mix away.",
        ends="finish",
    )


def glued(*clocks: ClockSet, in_hand: bool = False) -> CloseUp:
    """What closing up says of a block that was glued and is to be pressed at once."""
    shop, _ = with_steps(
        brambling(),
        "form-block",
        step(id="glue", stop="go straight on"),
        step(id="press", do="Press it", stop="only when finished"),
    )
    part = PartState("FB-NR", passes={"form-block": {"glue": StepDone(NOW, "wren", "1")}}, clocks=clocks)
    state = State(parts={"FB-NR": replace(part, work="w" if in_hand else None)})
    if in_hand:
        state.works["w"] = Work("w", "form-block", "1", "press", "wren", (Piece("FB-NR"),), "FB-NR", NOW)
    return close_up(moment(builder(), state=state, shop=shop))


@pytest.mark.parametrize("in_hand", [False, True])
def test_what_it_is_too_late_for_is_not_said_to_be_saved_by_staying(in_hand: bool) -> None:
    in_time, late = glued(limit("glue", 5), in_hand=in_hand), glued(limit("glue", -1), in_hand=in_hand)
    assert len(in_time.must_not) == 1 and in_time.too_late == () and "WITHIN" in in_time.clocks[0]
    assert late.must_not == () and late.clocks == ()
    assert [text.startswith("TOO LATE since") for text in late.too_late] == [True]
    assert "FB-NR, glue. Throw the mix away." in late.too_late[0]


@pytest.mark.parametrize("in_hand", [False, True])
def test_what_is_still_wet_is_not_left_though_another_time_ran_out(in_hand: bool) -> None:
    both = glued(limit("last wipe", -1), limit("glue", 5), in_hand=in_hand)
    assert len(both.must_not) == 1 and len(both.too_late) == 1 and len(both.clocks) == 1
