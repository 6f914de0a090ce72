"""Mixed primer stands its own time: the place card names its parts, and Minutes offers nothing instead."""

from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.shop.procedure import StepRef
from kiosk.views.place_card import PlaceCard, place_card
from tests.conftest import SteadyClocks, local_time
from tests.driver import ACCEPTED, do_step
from tests.record.moments import step, with_steps


@pytest.fixture
def ribs(bench: Bench) -> Bench:
    """Ribs that are washed, and primed with what has to stand for half an hour and is used within two."""
    standing = {"what": "mixed primer standing", "must_pass": "30 min", "before": "coat"}
    pot_life = {"what": "pot life", "within": "120 min", "finish": "coat", "if_missed": "Mix anew."}
    clean = {"what": "clean metal", "within": "60 min", "begin": "mix", "if_missed": "Wash it again."}
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="wash", batch="together", minutes={"each": "1"}, waits=[clean]),
        step(
            id="mix",
            batch="together",
            stop="go straight on",
            minutes={"each": "1"},
            waits=[standing, pot_life],
        ),
        step(id="coat", batch="together", stop="only when finished", minutes={"each": "2"}),
        step(id="tag", stop="anywhere", minutes={"each": "5"}),
    )
    return bench


def place(bench: Bench) -> tuple[tuple[str, ...], str, str]:
    card: PlaceCard = bench.place_card()
    return card.marks, card.step, card.action


def test_what_stands_paused_is_told_beside_what_is_in_hand(new_shop: Path) -> None:
    """A row of rivets half driven was on no card until the bench was closed."""
    bench = Bench(new_shop, SteadyClocks())
    first = bench.start(["FB-TR"], "form-block", "measure-pattern")
    bench.start(["FB-NR"], "form-block", "measure-pattern")
    card = place_card(bench.context)
    assert card.work != first and bench.work(first).status == "paused"
    [told] = card.paused
    assert told.startswith("FB-TR: ")
    bench.close()


def test_what_stands_comes_before_the_rest_of_its_batch(ribs: Bench) -> None:
    marks = ["NR-01", "NR-02", "NR-03"]
    ribs.join_batch(marks)
    do_step(ribs, marks[:2])
    do_step(ribs, marks[:2])  # mixed, while the third was not washed yet
    assert place(ribs) == (("NR-01", "NR-02"), "coat", "choose")
    assert "mixed primer standing until" in ribs.place_card().blocked


def test_and_before_what_stands_paused(ribs: Bench, clocks: SteadyClocks) -> None:
    work = ribs.start(["FB-NR"], "form-block", "measure-pattern")
    ribs.pause(work)
    do_step(ribs, ["NR-01"])
    do_step(ribs, ["NR-01"])
    assert place(ribs) == (("NR-01",), "coat", "choose")
    ribs.take_up(work)
    assert ribs.place_card().work == work, "what is worked at meanwhile is the place"
    ribs.pause(work)
    clocks.go(31)
    assert place(ribs) == (("NR-01",), "coat", "begin")


def test_nor_does_what_is_washed_come_before_it_while_there_is_time(ribs: Bench) -> None:
    do_step(ribs, ["NR-04"])  # within an hour, which is less than the pot life
    do_step(ribs, ["NR-01"])
    do_step(ribs, ["NR-01"])
    assert place(ribs)[0] == ("NR-01",)


def test_nothing_is_offered_instead_of_what_stands(ribs: Bench) -> None:
    assert ribs.spare(30).instead
    do_step(ribs, ["NR-01"])
    do_step(ribs, ["NR-01"])
    for slot in (5, 15, 30, 60):
        answer = ribs.spare(slot)
        assert not answer.instead
        assert any("NR-01" in one.marks for one in answer.suggestions)


def test_a_tool_that_is_missing_is_said_while_the_primer_stands(ribs: Bench, clocks: SteadyClocks) -> None:
    gun = ribs.shop.tools["spray-gun"]
    ribs.shop, _ = with_steps(
        replace(ribs.shop, tools={**ribs.shop.tools, gun.id: gun.model_copy(update={"have": 0})}),
        "rib-blank",
        step(id="mix", waits=[{"what": "mixed primer standing", "must_pass": "30 min", "before": "coat"}]),
        step(id="coat", tools=[gun.id]),
    )
    do_step(ribs, ["NR-01"])
    assert ribs.place_card().blocked == f"mixed primer standing until Sat 12:30; tool missing: {gun.name}"
    clocks.go(31)
    assert ribs.place_card().blocked == f"tool missing: {gun.name}"


def test_what_could_not_follow_is_told_inside_a_run_too(ribs: Bench, clocks: SteadyClocks) -> None:
    ribs.shop, _ = with_steps(
        ribs.shop,
        "rib-blank",
        step(id="mix", stop="go straight on"),
        step(id="strain", stop="go straight on", minutes={"each": "10"}),
        step(id="spray", stop="only when finished", minutes={"each": "4"}, conditions={"loud": True}),
    )
    clocks.go_to(local_time(2027, 5, 6, 20, 0))  # quiet from 20:30
    do_step(ribs, ["NR-01"])
    assert (ribs.place_card().step, ribs.place_card().could_not_follow) == ("strain", "")
    clocks.go_to(local_time(2027, 5, 6, 20, 25))
    card = ribs.place_card()
    assert (card.step, card.action) == ("strain", "begin"), "it goes on as far as it can"
    assert card.could_not_follow == (
        "AHEAD: quiet hours from Thu 20:30 until Fri 08:00: spray could not follow in time"
    )


def test_last_touched_is_said_of_the_parts_of_the_card(new_shop: Path) -> None:
    """It was the last entry of the shop: "just now" of ribs that had lain for three days."""
    clocks = SteadyClocks(local_time(2027, 5, 5, 12))
    bench = Bench(new_shop, clocks)
    bench.note("the roof is tight")
    assert bench.place_card().when == "", "nothing was done on them yet"
    do_step(bench, ["FB-TR"])
    bench.close_sitting("")
    clocks.go(3 * 24 * 60)
    bench.note("clamps lent out")
    card = bench.place_card()
    assert card.marks == ("FB-TR",) and card.when == "Last touched 3 days ago, Wed 05 May 12:00."
    work = bench.start(["FB-TR"], card.procedure, card.step)
    assert bench.place_card().when == "Last touched just now."
    bench.put_back(work)
    bench.raise_snag("FB-TR", "the pattern is torn")
    (snag,) = bench.state.open_snags("FB-TR")
    first = StepRef("form-block", "measure-pattern")
    bench.decide_snag(snag.id, "rework", "print it again", first, ACCEPTED)
    assert bench.place_card().when == "Last touched just now.", "what was done does not stand any more"
    bench.close()


def test_washed_parts_that_were_gone_on_with_are_not_left_for_the_rest_of_their_batch(bench: Bench) -> None:
    """The extraction ran for two washed ribs, and the card began with the three that were left behind."""
    clean = {"what": "clean metal", "within": "240 min", "begin": "coat", "if_missed": "Wash it again."}
    steps = [
        step(id="wash", minutes={"each": "1"}, waits=[clean]),
        step(id="draw", batch="together", minutes={"each": "1"}),
        step(id="measure", batch="together", minutes={"each": "1"}),
        step(id="coat", batch="together", minutes={"each": "1"}),
    ]
    bench.shop, _ = with_steps(bench.shop, "rib-blank", *steps)
    bench.join_batch(["NR-01", "NR-02", "NR-03"])
    do_step(bench, ["NR-01"])
    do_step(bench, ["NR-02"])
    assert place(bench) == (("NR-03",), "wash", "begin")  # there is time for it to come up with them
    do_step(bench, ["NR-01", "NR-02"])
    assert place(bench) == (("NR-01", "NR-02"), "measure", "begin")


def test_a_step_of_another_names_whose_it_is(bench: Bench) -> None:
    """Once Pip had the screen, the card said IN HAND of what Wren was at."""
    work = bench.start(["FB-TR"], "form-block", "measure-pattern")
    assert bench.place_card().standing == "IN HAND"
    bench.come("pip")
    bench.hand_over("pip")
    assert bench.place_card().standing == "IN HAND WITH Wren"
    bench.hand_over("wren")
    bench.pause(work)
    bench.hand_over("pip")
    assert bench.place_card().standing == "IN HAND WITH Wren, PAUSED"
    bench.start(["NR-02"], "rib-blank", "choose-sheet")
    [told] = bench.place_card().paused
    assert told.startswith("FB-TR, with Wren: ") and bench.place_card().standing == "IN HAND"
