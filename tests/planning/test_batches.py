"""A batch that walks together is taken up as a whole, or by those of it that fit; no outside source."""

from dataclasses import replace

import pytest

from kiosk.bench import Bench
from kiosk.planning.spare import spare
from kiosk.planning.work.batches import batches_in_order, untorn_counts
from kiosk.planning.work.find_work import find_work
from tests.conftest import SteadyClocks
from tests.planning.test_spare import leave_only
from tests.record.moments import step, with_steps

RIBS = ["NR-01", "NR-02", "NR-03"]


@pytest.mark.parametrize(
    ("batches", "from_end", "whole"),
    [
        (["", "", ""], False, {1, 2, 3}),
        (["a", "a", "", "b", "b"], False, {2, 3, 5}),
        (["a", "a", "", "b", "b"], True, {2, 3, 5}),
        (["a", "a", "a", "", ""], True, {1, 2, 5}),
        (["a", "b", "a", "", "b"], False, {5}),
    ],
)
def test_only_whole_batches_go_along(batches: list[str], from_end: bool, whole: set[int]) -> None:
    assert untorn_counts(batches, from_end=from_end) == whole


def test_a_batch_stands_together_among_its_like() -> None:
    assert batches_in_order(["1", "2", "3", "4"], ["a", "", "a", ""]) == ["1", "3", "2", "4"]


def counts(bench: Bench, minutes: int) -> set[int]:
    """How many of the ribs the options cover that are no beginnings."""
    (one,) = find_work(bench.context, minutes).candidates
    return {option.pieces for option in one.options if not option.minutes_left}


def test_of_a_batch_that_fits_no_less_is_offered(bench: Bench, clocks: SteadyClocks) -> None:
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="flute", stop="between pieces", batch="in turn", minutes={"each": "8"}),
        step(id="file", stop="between pieces", batch="in turn", minutes={"each": "5"}),
    )
    leave_only(bench, set(RIBS) | {"NR-04"})
    assert counts(bench, 60) >= {1, 2, 3, 4}  # nobody has taken them up yet
    bench.join_batch(RIBS)
    assert counts(bench, 60) == {3, 4}
    assert counts(bench, 32) == {1, 2}  # all of it does not fit: some of it does
    work = bench.start(RIBS, "rib-blank", "flute")
    bench.pause(work)
    (in_hand, other) = find_work(bench.context, 60).candidates
    assert {option.pieces for option in in_hand.options} == {3}
    assert other.marks == ("NR-04",)


def test_of_a_batch_that_fits_all_is_begun(bench: Bench) -> None:
    """With what another leaves of the slot, one of the batch was once begun alone, and went its own way."""
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="file", stop="anywhere", batch="in turn", minutes={"each": "20"}),
    )
    leave_only(bench, set(RIBS))
    bench.join_batch(RIBS)
    for minutes, begun in ((100, {3}), (50, {1})):
        for from_end in (False, True):  # the builder's, and a helper's
            (one,) = find_work(bench.context, minutes, from_end=from_end).candidates
            beginnings = [option for option in one.options if option.minutes_left]
            assert {option.pieces for option in beginnings} == begun, (minutes, from_end)
    longest = max(beginnings, key=lambda option: option.minutes)
    assert longest.minutes_left <= 20  # of the one that is begun


@pytest.mark.parametrize("people", [("wren",), ("wren", "odile")])
def test_what_is_begun_beside_another_thing_is_the_whole_batch(bench: Bench, people: tuple[str, ...]) -> None:
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="file", stop="anywhere", batch="in turn", minutes={"each": "20"}),
        step(id="saw", stop="only when finished", batch="in turn", minutes={"each": "40"}),
    )
    leave_only(bench, set(RIBS) | {"NR-04"})
    bench.finish(bench.start(["NR-04"], "rib-blank", "file"), "NR-04")
    bench.pause(bench.start(["NR-04"], "rib-blank", "saw"))
    bench.join_batch(RIBS)
    here = [bench.shop.people[one] for one in people]
    answer = spare(replace(bench.context, people=here, doer=here[0]), 105)
    begun = [one.marks for one in (*answer.suggestions, *answer.helper_does) if set(one.marks) & set(RIBS)]
    assert begun
    assert all(set(marks) >= set(RIBS) for marks in begun), begun


def test_a_batch_that_fits_without_its_set_up_only_is_torn(bench: Bench) -> None:
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="wash", stop="between pieces", batch="in turn", minutes={"each": "8", "set_up": 20}),
    )
    leave_only(bench, set(RIBS))
    bench.join_batch(RIBS)
    assert counts(bench, 80) == {3}
    assert counts(bench, 60) == {1, 2, 3}  # three are planned with 46 minutes, 66 with what is set up
    assert len(bench.spare(60).suggestions[0].marks) == 2


def to_wash_and_spray(bench: Bench) -> None:
    """Three ribs that walk together are washed one after the other, and sprayed from one mixture."""
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="wash", stop="go straight on", batch="in turn", minutes={"each": "3"}),
        step(
            id="dry",
            stop="only when finished",
            minutes={"each": "1"},
            waits=[
                {"what": "part drying", "must_pass": "20 min", "before": "mix"},
                {"what": "clean metal", "within": "4 h", "begin": "mix", "if_missed": "Wash again."},
            ],
        ),
        step(id="mix", stop="go straight on", batch="together", minutes={"each": "1"}),
        step(id="spray", stop="only when finished", batch="together", minutes={"each": "8"}),
    )
    leave_only(bench, set(RIBS))
    bench.join_batch(RIBS)


def test_one_mixture_waits_for_the_last_of_its_batch(bench: Bench, clocks: SteadyClocks) -> None:
    """The first of three washed ribs is dry a few minutes before the last: mixed for alone, it left the
    others no minutes for a mixture of their own."""
    to_wash_and_spray(bench)
    for mark in RIBS:
        for name in ("wash", "dry"):
            clocks.go(1)
            bench.finish(bench.start([mark], "rib-blank", name), mark)
    for minutes in (10, 6.5, 2.5):  # after 16 minutes the first is dry, after 20 the last
        clocks.go(minutes)
        (coat,) = bench.spare(60).suggestions
        assert (set(coat.marks), coat.step, coat.ready_in > 0) == (set(RIBS), "mix", True), minutes
    clocks.go(1.5)
    (coat,) = bench.spare(60).suggestions
    assert (set(coat.marks), coat.ready_in) == (set(RIBS), 0)


@pytest.mark.parametrize("from_end", [False, True])
def test_who_takes_the_last_of_like_parts_is_given_nothing_that_is_wet(
    from_end: bool, bench: Bench, clocks: SteadyClocks
) -> None:
    """A helper was given the part that was washed last, as if it were dry with the first."""
    dries = [{"what": "drying", "must_pass": "12 min", "before": "bake"}]
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="wash", stop="between pieces", minutes={"each": "3"}, waits=dries),
        step(id="bake", stop="only when finished", batch="together", minutes={"each": "9"}),
    )
    leave_only(bench, set(RIBS))
    bench.join_batch(RIBS)
    dry_in = {}
    for number, mark in enumerate(RIBS):
        clocks.go(3)
        bench.finish(bench.start([mark], "rib-blank", "wash"), mark)
        dry_in[mark] = 3 * number
    clocks.go(6.5)  # the first is dry
    (found,) = find_work(bench.context, 44, from_end=from_end).candidates
    given = [found.stretch(place, from_end=from_end) for place in range(len(found.options))]
    assert {len(one.marks) for one in given} == {1, 2}  # all three do not fit: the batch is torn
    for one in given:
        assert one.ready_in == max(dry_in[mark] for mark in one.marks)


def test_a_longer_slot_saves_no_fewer_of_a_washed_batch(bench: Bench) -> None:
    """A plan that was too unlikely was made smaller by the coat, and not by what filled its wait: in 109
    minutes one of three ribs was saved, with some filing, where 108 saved all."""
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(
            id="file",
            stop="anywhere",
            batch="in turn",
            minutes={"each": "4", "set_up": 4, "put_away": 2},
            family="filing",
        ),
        step(
            id="dry",
            stop="only when finished",
            minutes={"each": "1"},
            family="washing",
            waits=[{"what": "clean metal", "within": "4 h", "begin": "mix", "if_missed": "Wash again."}],
        ),
        step(
            id="mix",
            stop="go straight on",
            batch="together",
            minutes={"each": "1", "set_up": 20, "put_away": 10},
            family="spray",
            waits=[{"what": "standing", "must_pass": "45 min", "before": "spray"}],
        ),
        step(id="spray", stop="only when finished", batch="together", minutes={"each": "2"}, family="spray"),
    )
    leave_only(bench, {*RIBS, "NR-04", "NR-05"})
    bench.join_batch(RIBS)
    for name in ("file", "dry"):
        for mark in RIBS:
            bench.finish(bench.start([mark], "rib-blank", name), mark)
    saved = [
        sum(len(one.marks) for one in bench.spare(minutes).suggestions if one.step == "mix")
        for minutes in range(80, 121)
    ]
    assert saved[-1] == len(RIBS) and saved == sorted(saved)


def test_a_batch_that_fits_without_its_wait_only_is_torn(bench: Bench) -> None:
    to_wash_and_spray(bench)
    assert list(bench.spare(90).suggestions[0].marks) == RIBS
    fewer = bench.spare(72).suggestions  # 67 minutes of work for all three, and 20 in which nothing is done
    assert fewer
    assert set(fewer[0].marks) < set(RIBS)


def test_of_a_batch_in_a_run_no_part_is_left_out(bench: Bench, clocks: SteadyClocks) -> None:
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="pin", stop="go straight on", batch="in turn", minutes={"each": "2"}),
        step(id="drive", stop="between pieces", batch="in turn", minutes={"each": "5"}),
    )
    leave_only(bench, set(RIBS))
    bench.join_batch(RIBS)
    for mark in RIBS:
        work = bench.start([mark], "rib-blank", "pin")
        bench.finish(work, mark)
    for minutes in (3, 10, 60):  # none of them may be left as it is
        assert counts(bench, minutes) == {3}
        assert set(bench.spare(minutes).suggestions[0].marks) == set(RIBS)
