"""The edges of a batch: which of its parts go next, what follows on which, and who is let go from it."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from kiosk.record.batch import GoesOn, InBatch, follows, goes_on, may_join_again, place_in_batch, who_left
from kiosk.record.context import Context
from kiosk.record.events import BatchSplit, ClockSet, WorkStarted
from kiosk.record.rules import Refused, batches
from kiosk.record.state import PartState, Piece, Snag, State, StepDone, Work
from kiosk.shop.procedure import Step, StepRef
from tests.record.moments import NOW, brambling, builder, helper, moment, step, with_steps

RIBS = ("NR-01", "NR-02", "NR-03")
BATCH = "the event of their beginning"
YES = {"kind": "yes_no", "id": "seen", "ask": "Seen?"}


def walking(*steps: Step, done: dict[str, tuple[str, ...]] | None = None, **state: Any) -> Context:
    """Three ribs in one batch, with the steps that were done on each."""
    shop, _ = with_steps(brambling(), "rib-blank", *steps)
    parts = {
        mark: PartState(
            mark,
            {"rib-blank": {id: StepDone(NOW, "wren", "1") for id in (done or {}).get(mark, ())}},
            batch=BATCH,
        )
        for mark in RIBS
    }
    return moment(builder(), helper(), state=State(parts=parts, **state), shop=shop)


def in_hand(now: Context, step_id: str, *pieces: Piece) -> Work:
    """A step of the ribs in hand."""
    work = Work("w", "rib-blank", "1", step_id, "wren", pieces, pieces[0].mark, NOW)
    now.state.works["w"] = work
    for piece in pieces:
        part = now.state.part(piece.mark)
        now.state.parts[piece.mark] = PartState(piece.mark, part.passes, "w", batch=part.batch)
    return work


def held(*marks: str) -> dict[str, Snag]:
    return {mark: Snag(mark, mark, "a crack", NOW, "wren", "", "") for mark in marks}


def goes(now: Context) -> GoesOn:
    going = goes_on(now, "NR-01")
    assert going is not None
    return going


def test_a_batch_goes_to_the_earliest_step_that_one_of_it_stands_at() -> None:
    one, other, last = step(id="cut"), step(id="file"), step(id="last")
    going = goes(walking(one, other, last, done={"NR-02": ("cut",)}))
    assert (going.step.id, going.marks, going.one_by_one, going.at_once) == (
        "cut", ("NR-01", "NR-03"), False, False
    )  # fmt: skip
    assert going.batch == RIBS and going.behind == () and going.stops == ()
    going = goes(walking(one, other, last, done=dict.fromkeys(RIBS, ("cut",))))
    assert (going.step.id, going.marks) == ("file", RIBS)


def test_what_takes_one_at_a_time_takes_one_and_each_goes_straight_on_alone() -> None:
    alone = step(id="press", batch="no")
    going = goes(walking(alone, step(id="last")))
    assert (going.marks, going.one_by_one, going.at_once) == (("NR-01",), True, False)
    going = goes(walking(alone, step(id="last"), done={"NR-01": ("press",)}))
    assert (going.marks, going.one_by_one, going.at_once) == (("NR-02",), True, True)
    run = (step(id="heat", stop="go straight on"), step(id="bend"), step(id="last"))
    going = goes(walking(*run))
    assert (going.step.id, going.marks, going.one_by_one) == ("heat", ("NR-01",), True)
    going = goes(walking(*run, done={"NR-02": ("heat",)}))  # NR-02 is hot: nothing else is begun
    assert (going.step.id, going.marks, going.at_once) == ("bend", ("NR-02",), True)
    assert [one.mark for one in going.behind] == ["NR-01", "NR-03"]


def test_where_the_next_step_takes_all_at_once_nobody_goes_on_alone() -> None:
    run = (step(id="heat", stop="go straight on"), step(id="dip", batch="together"), step(id="last"))
    going = goes(walking(*run, done={"NR-02": ("heat",)}))
    assert (going.step.id, going.marks, going.one_by_one) == ("heat", ("NR-01", "NR-03"), False)
    wait = {"what": "soaking", "must_pass": "30", "before": "bend"}
    soak = (step(id="heat", stop="go straight on", waits=[wait]), step(id="bend"), step(id="last"))
    assert goes(walking(*soak)).marks == RIBS  # while one soaks the others are heated


def test_all_at_once_goes_nobody_before_all_can() -> None:
    dip, last = step(id="dip", batch="together"), step(id="last")
    dry = ClockSet(
        what="drying", kind="must_pass", minutes=30, until=NOW, procedure="rib-blank", step="dip",
        set_s=1000.0, boot="",
    )  # fmt: skip
    now = walking(dip, last)
    assert goes(now).marks == RIBS and goes(now).stops == ()
    late = replace(dry, until=NOW + timedelta(hours=9), minutes=24 * 60.0)
    now.state.parts["NR-02"] = PartState("NR-02", {}, clocks=(late,), batch=BATCH)
    going = goes(now)
    assert going.marks == RIBS and "drying" in str(going.stops[0])
    assert [one.mark for one in going.behind] == ["NR-02"]
    now = walking(step(id="dip"), last)
    now.state.parts["NR-02"] = PartState("NR-02", {}, clocks=(late,), batch=BATCH)
    going = goes(now)  # one by one the others need not wait for it
    assert (going.marks, going.stops) == (("NR-01", "NR-03"), ())
    assert [(one.mark, one.why is not None) for one in going.behind] == [("NR-02", True)]


def test_where_nothing_can_begin_the_first_part_says_why() -> None:
    now = walking(step(id="cut"), step(id="last"))
    for mark, what in (("NR-01", "drying"), ("NR-02", "cooling"), ("NR-03", "cooling")):
        clock = ClockSet(
            what=what,
            kind="must_pass",
            minutes=60,
            until=NOW + timedelta(hours=9),
            procedure="rib-blank",
            step="cut",
            set_s=1000.0,
        )
        now.state.parts[mark] = PartState(mark, clocks=(clock,), batch=BATCH)
    going = goes(now)
    assert going.marks == RIBS and "drying" in str(going.stops[0]) and going.behind == ()


def test_nothing_goes_on_where_all_are_in_hand_or_through() -> None:
    now = walking(step(id="cut"), step(id="last"))
    in_hand(now, "cut", *(Piece(mark) for mark in RIBS))
    assert goes_on(now, "NR-01") is None
    both = walking(step(id="cut"), step(id="last"))
    in_hand(both, "cut", Piece("NR-02"), Piece("NR-03"))
    both.state.works["alone"] = Work("alone", "rib-blank", "1", "cut", "pip", (Piece("NR-01"),), "NR-01", NOW)
    both.state.parts["NR-01"] = PartState("NR-01", {}, "alone", batch=BATCH)
    assert batches.split(both, ["NR-01", "NR-02"]) == [
        BatchSplit(marks=("NR-01", "NR-02"), put_back=("NR-02",))
    ]
    alone = walking(step(id="cut"), step(id="last"))
    alone.state.parts = {"NR-01": PartState("NR-01", batch=BATCH)}
    assert goes_on(alone, "NR-01") is None and place_in_batch(alone, "NR-01") is None


def test_a_part_is_the_next_after_those_that_are_ahead_of_it() -> None:
    steps = (step(id="cut"), step(id="file"), step(id="last"))
    now = walking(*steps, done={"NR-01": ("cut",), "NR-02": ("cut", "file")})
    assert place_in_batch(now, "NR-03") == InBatch(3, 3)
    assert place_in_batch(now, "NR-01") == InBatch(2, 3)
    assert place_in_batch(now, "NR-02") == InBatch(1, 3)


@pytest.mark.parametrize(
    ("steps", "pieces", "done", "then"),
    [
        ((step(id="cut"), step(id="last")), RIBS, {}, ("next piece", "NR-02")),
        ((step(id="cut"), step(id="last")), ("NR-01",), {}, ("", "")),  # others stand there
        ((step(id="cut", batch="no"), step(id="last")), ("NR-01",), {}, ("next part", "NR-02")),
        ((step(id="cut", batch="together"), step(id="last")), RIBS, {}, ("last", "")),
        ((step(id="cut", stop="go straight on"), step(id="last")), ("NR-01",), {}, ("straight on", "NR-01")),
        (
            (step(id="heat", stop="go straight on"), step(id="cut"), step(id="last")),
            ("NR-01",),
            {"NR-01": ("heat",)},
            ("next part", "NR-02"),  # it is heated next
        ),
        (
            (step(id="heat", stop="go straight on"), step(id="cut"), step(id="last")),
            ("NR-01",),
            {"NR-01": ("heat",), "NR-02": ("heat", "cut"), "NR-03": ("heat", "cut")},
            ("last", ""),
        ),
        (
            (step(id="heat", stop="go straight on"), step(id="cut"), step(id="last")),
            ("NR-01",),
            {"NR-01": ("heat",), "NR-02": ("heat",), "NR-03": ("heat", "cut")},
            ("next part", "NR-02"),
        ),
    ],
)  # fmt: skip
def test_what_follows_when_the_piece_in_hand_is_done(
    steps: tuple[Step, ...], pieces: tuple[str, ...], done: dict[str, tuple[str, ...]], then: tuple[str, str]
) -> None:
    now = walking(*steps, done=done)
    work = in_hand(now, "cut", *(Piece(mark) for mark in pieces))
    assert follows(now, work, "NR-01") == then


def test_a_held_piece_does_not_follow() -> None:
    now = walking(step(id="cut"), step(id="last"), snags=held("NR-02"))
    work = in_hand(now, "cut", *(Piece(mark) for mark in RIBS))
    assert follows(now, work, "NR-01") == ("next piece", "NR-03")


def test_who_left_is_named_and_may_join_again_where_it_stands_at_the_step() -> None:
    now = walking(step(id="cut"), step(id="last"))
    parts = now.state.parts
    parts["NR-02"] = PartState("NR-02", {}, left_batch=BATCH)
    parts["NR-03"] = PartState("NR-03", {"rib-blank": {"cut": StepDone(NOW, "wren", "1")}}, left_batch=BATCH)
    parts["NR-04"] = PartState("NR-04", {}, left_batch=BATCH, completed_at=NOW)
    parts["NR-05"] = PartState("NR-05", {}, left_batch="another")
    assert may_join_again(now, "NR-01") == ("NR-02",)
    assert who_left(now, "NR-01") == ("NR-02", "NR-03")
    now.state.snags = held("NR-02")
    assert may_join_again(now, "NR-01") == ()


# Split and join


def test_one_in_hand_is_put_back_by_a_split_while_nothing_is_done_on_it() -> None:
    def split(*marks: str) -> BatchSplit:
        now = walking(step(id="cut", checks=[YES]), step(id="last"))
        in_hand(now, "cut", Piece("NR-02"), Piece("NR-03", count=1))
        (body,) = batches.split(now, marks)
        assert isinstance(body, BatchSplit) and body.marks == marks
        return body

    assert split("NR-02").put_back == ("NR-02",)
    assert split("NR-03").put_back == ()  # half done: it keeps its place in hand
    assert split("NR-01", "NR-02").put_back == ("NR-02",)  # the first is not in hand at all


def test_who_is_in_hand_alone_stays_in_hand_at_a_split() -> None:
    now = walking(step(id="cut"), step(id="last"))
    in_hand(now, "cut", Piece("NR-01"))
    assert batches.split(now, ["NR-01"]) == [BatchSplit(marks=("NR-01",))]
    now = walking(step(id="cut"), step(id="last"))
    in_hand(now, "cut", Piece("NR-01"), Piece("NR-02"))
    assert batches.split(now, ["NR-01"]) == [BatchSplit(marks=("NR-01",), put_back=("NR-01",))]
    alone = walking(step(id="cut"), step(id="last"))
    in_hand(alone, "cut", Piece("NR-04"))
    with pytest.raises(Refused, match="NR-04 walks alone"):
        batches.split(alone, ["NR-04"])
    with pytest.raises(Refused, match="nothing would be left in hand"):
        batches.split(now, ["NR-01", "NR-02"])


def test_parts_of_one_batch_already_are_joined_by_nothing_new() -> None:
    now = walking(step(id="cut"), step(id="last"))
    assert batches.join(now, ["NR-01", "NR-02"]) == []
    (joined,) = batches.join(now, ["NR-01", "NR-04"])
    assert getattr(joined, "marks", ()) == ("NR-01", "NR-04", "NR-02", "NR-03")  # with all of the first's
    for marks, why in ((["NR-01"], "one part alone"), (["NR-01", "NR-01"], "there twice"), ([], "no part")):
        with pytest.raises(Refused, match=why):
            batches.join(now, marks)
    now.state.snags = {**held("NR-04"), "later": Snag("later", "NR-04", "a bend", NOW, "wren", "", "")}
    with pytest.raises(Refused, match="NR-04 is held: a crack"):
        batches.join(now, ["NR-01", "NR-04"])


def test_a_part_whose_place_is_asked_for_joins_nothing() -> None:
    now = walking(step(id="cut"), step(id="last"))
    gone = {"rib-blank": {"no-such": StepDone(NOW, "wren", "1")}}
    now.state.parts["NR-04"] = PartState("NR-04", gone, left_batch=BATCH)
    for marks in (["NR-01", "NR-04"], ["NR-04", "NR-01"]):
        with pytest.raises(Refused, match="is not at this step"):
            batches.join(now, marks)
    assert may_join_again(now, "NR-01") == ()


def test_a_step_that_takes_one_at_a_time_is_begun_on_the_first_and_the_others_come_along() -> None:
    def begun(one: Step, *marks: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        now = walking(one, step(id="last"))
        kept, found = batches.begin_batch(now, marks, StepRef("rib-blank", "cut"))
        assert kept.kind == "procedure_kept" and isinstance(found, WorkStarted)
        return found.marks, found.walks_with

    both, alone = ("NR-04", "NR-05"), step(id="cut", batch="no")
    assert begun(alone, *both) == (both[:1], both[1:])
    assert begun(alone, "NR-04") == (("NR-04",), ())
    assert begun(step(id="cut"), *both) == (both, ())


def test_a_part_that_is_in_the_next_procedure_already_counts_as_past_the_step() -> None:
    """Steps of one procedure have their order from it, those of several from the route of the kind."""
    now = walking(step(id="cut"), step(id="file"), done={"NR-01": ("cut", "file"), "NR-02": ("cut",)})
    assert place_in_batch(now, "NR-03") == InBatch(3, 3)
    assert place_in_batch(now, "NR-02") == InBatch(2, 3)
    assert place_in_batch(now, "NR-01") == InBatch(1, 3)
