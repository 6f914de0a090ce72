"""A batch holds together until it is split: through steps in turn, one at a time and together."""

from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.batch import members
from kiosk.record.rules import Refused
from tests.conftest import SteadyClocks
from tests.driver import do_step, finish_piece, next_step, undo_newest

RIBS = ["NR-01", "NR-02", "NR-03"]


@pytest.fixture
def bench(new_shop: Path, clocks: SteadyClocks) -> Bench:
    """The nose block is complete; nothing of any rib is done."""
    bench = Bench(new_shop, clocks)
    while not bench.position("FB-NR").all_done:
        do_step(bench, ["FB-NR"])
        clocks.go(24 * 60)
    bench.complete("FB-NR")
    return bench


def begin_as_the_card_says(bench: Bench) -> tuple[str, tuple[str, ...]]:
    """Press the yellow key of the place card."""
    card = bench.place_card()
    assert card.action == "begin", card
    work = bench.begin_batch(card.marks, card.procedure, card.step)
    bench.acknowledge(work)
    return work, bench.work(work).marks


def through_a_step(bench: Bench) -> tuple[str, tuple[str, ...]]:
    """What the card offers next, done on all its parts; gives the step and the parts."""
    step = bench.place_card().step
    work, marks = begin_as_the_card_says(bench)
    together = next_step(bench, marks[0]).batch == "together"
    for mark in marks[:1] if together else marks:
        finish_piece(bench, work, mark)
    return step, marks


def to_the_step(bench: Bench, step: str) -> None:
    """The batch up to a step, by the yellow key alone."""
    while bench.place_card().step != step:
        through_a_step(bench)


def begun(bench: Bench, marks: list[str] = RIBS) -> None:
    """The first step done on a batch."""
    work = bench.begin_batch(marks, "rib-blank", "choose-sheet")
    bench.acknowledge(work)
    finish_piece(bench, work, marks[0])


def test_the_whole_batch_is_the_yellow_key_after_every_step_in_turn(bench: Bench) -> None:
    begun(bench)
    done = [through_a_step(bench) for _ in range(8)]
    assert [marks for _, marks in done] == [tuple(RIBS)] * 8
    assert len({step for step, _ in done}) == 8


def test_nothing_paused_comes_between_two_steps_of_a_batch(bench: Bench) -> None:
    other = bench.start(["NR-13"], "rib-blank", "choose-sheet")
    bench.pause(other)
    begun(bench)
    card = bench.place_card()
    assert card.marks == tuple(RIBS) and card.action == "begin"
    assert any("NR-13" in line for line in card.paused)


def test_one_block_holds_one_rib_at_a_time_and_each_goes_straight_on(bench: Bench) -> None:
    begun(bench)
    to_the_step(bench, "pin-blank")
    found = [through_a_step(bench) for _ in range(15)]
    each = ["pin-blank", "first-pass", "second-pass", "drive-home", "unpin"]
    assert [step for step, _ in found] == each * 3
    assert [marks for _, marks in found] == [(mark,) for mark in RIBS for _ in each]
    assert through_a_step(bench)[1] == tuple(RIBS)  # and all of it goes on together


def test_the_card_says_which_of_the_batch_it_is(bench: Bench) -> None:
    begun(bench)
    to_the_step(bench, "trace-blank")
    work, _ = begin_as_the_card_says(bench)
    seen = []
    for mark in RIBS:
        view = bench.step_view(work)
        seen.append((view.mark, str(view.in_batch), view.then, view.then_mark))
        finish_piece(bench, work, mark)
    assert seen == [
        ("NR-01", "1 of 3", "next piece", "NR-02"),
        ("NR-02", "2 of 3", "next piece", "NR-03"),
        ("NR-03", "3 of 3", "last", ""),
    ]


def test_a_snag_takes_one_out_and_the_others_go_on(bench: Bench) -> None:
    begun(bench)
    to_the_step(bench, "trace-blank")
    work, _ = begin_as_the_card_says(bench)
    bench.answer(work, "NR-01", "along", "yes")
    bench.raise_snag("NR-01", "a crack")
    assert bench.step_view(work).mark == "NR-02"
    finish_piece(bench, work, "NR-02")
    finish_piece(bench, work, "NR-03")
    card = bench.place_card()
    assert (card.marks, card.action) == (("NR-02", "NR-03"), "begin")
    assert card.batch is not None and card.batch.behind == ("NR-01 left the batch, held: a crack",)
    through_a_step(bench)
    assert bench.place_card().marks == ("NR-02", "NR-03")


def test_the_undo_of_a_snag_gives_the_part_back_to_its_batch(bench: Bench) -> None:
    begun(bench)
    bench.raise_snag("NR-02", "a crack")
    assert members(bench.shop, bench.state, "NR-01") == ("NR-01", "NR-03")
    undo_newest(bench)
    assert bench.batch_of("NR-01") == tuple(RIBS)


def test_one_that_left_is_taken_along_again_by_one_act(bench: Bench) -> None:
    begun(bench)
    bench.split_batch(["NR-02"])
    card = bench.place_card()
    assert card.marks == ("NR-01", "NR-03") and card.batch is not None and card.batch.may_join == ("NR-02",)
    bench.join_batch([card.marks[0], *card.batch.may_join])
    assert bench.place_card().marks == tuple(RIBS)
    undo_newest(bench)
    assert bench.place_card().marks == ("NR-01", "NR-03")
    undo_newest(bench)
    assert bench.batch_of("NR-02") == tuple(RIBS)


def test_what_is_not_at_the_step_does_not_join(bench: Bench) -> None:
    begun(bench)
    with pytest.raises(Refused, match="NR-13 is not at this step"):
        bench.join_batch(["NR-01", "NR-13"])
    with pytest.raises(Refused, match="walks alone"):
        bench.split_batch(["NR-13"])


def test_of_what_goes_through_together_one_is_left_out_by_one_act(bench: Bench) -> None:
    work = bench.begin_batch(RIBS, "rib-blank", "choose-sheet")
    bench.acknowledge(work)
    bench.raise_snag("NR-03", "a scratch")
    assert bench.step_view(work).held == "NR-03, a scratch"
    with pytest.raises(Refused, match="held"):  # it was under the same spray gun: nothing goes on unseen
        finish_piece(bench, work, "NR-01")
    bench.split_batch(["NR-03"])
    assert bench.work(work).marks == ("NR-01", "NR-02")
    finish_piece(bench, work, "NR-01")
    assert bench.place_card().marks == ("NR-01", "NR-02")
    assert next_step(bench, "NR-03").id == "choose-sheet"


def test_it_is_the_same_after_a_kill_and_on_a_second_screen(bench: Bench, clocks: SteadyClocks) -> None:
    begun(bench)
    through_a_step(bench)
    second = Bench(bench.shop.folder, clocks)
    assert second.place_card().marks == tuple(RIBS)
    bench.split_batch(["NR-03"])
    second.refresh()
    assert second.place_card().marks == ("NR-01", "NR-02")
    second.close()
    bench.record.close()  # killed: nothing is closed up
    again = Bench(bench.shop.folder, clocks)
    assert again.place_card().marks == ("NR-01", "NR-02")
    again.close()


def test_a_batch_goes_through_priming_together(bench: Bench) -> None:
    """Bare metal ages on each rib from its own minute: the earliest does not run ahead of the others."""
    begun(bench)
    to_the_step(bench, "wash")
    steps = []
    while (step := bench.place_card().step) != "read-surface":
        assert through_a_step(bench)[1][0] in RIBS
        steps.append(step)
    assert steps == ["wash", "water-test", "dry"] * 3 + ["start-extraction"]
    assert bench.place_card().marks == tuple(RIBS)


def test_the_card_names_a_part_that_is_behind_once_and_the_batch_of_one_in_hand(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """It said "NR-03 NR-03 is in hand", and of a part in hand alone it did not say who walks with it."""
    bench.join_batch(RIBS)
    where = bench.position("NR-03")
    assert where.procedure is not None and where.step is not None
    work = bench.start(["NR-03"], where.procedure.id, where.step.id)
    card = bench.place_card()
    assert card.batch is not None and card.batch.words == "BATCH OF 3: NR-01, NR-02, NR-03"
    bench.pause(work)
    do_step(bench, ["NR-01", "NR-02"])
    card = bench.place_card()
    assert card.batch is not None and card.marks == ("NR-01", "NR-02")
    (behind,) = card.batch.behind
    assert behind.startswith("NR-03 is in hand: ") and behind.count("NR-03") == 1


def test_those_that_are_behind_for_one_reason_are_told_in_one_line(bench: Bench) -> None:
    """Three lines that said the same pushed a mix that still stands off the card."""
    bench.join_batch(RIBS)
    where = bench.position("NR-03")
    assert where.procedure is not None and where.step is not None
    bench.pause(bench.start(["NR-02", "NR-03"], where.procedure.id, where.step.id))
    do_step(bench, ["NR-01"])
    card = bench.place_card()
    assert card.batch is not None
    (behind,) = card.batch.behind
    assert behind.startswith("NR-02, NR-03: in hand: ")


def test_what_a_helper_did_meanwhile_does_not_move_the_builders_place(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    bench = Bench(new_shop, clocks)
    work = bench.start(["NR-01"], "rib-blank", "choose-sheet")
    bench.acknowledge(work)
    bench.pause(work)
    clocks.go(1)
    bench.come("odile")
    bench.hand_over("odile")
    do_step(bench, ["NR-02"])
    bench.hand_over("wren")
    assert bench.place_card().work == work
    do_step(bench, ["MR-01"])  # what the builder did since comes before what stands paused
    assert bench.place_card().work is None
    bench.close()


def test_the_step_says_how_many_were_chosen_of_an_old_batch(bench: Bench) -> None:
    begun(bench)
    to_the_step(bench, "trace-blank")
    card = bench.place_card()
    work = bench.begin_batch(["NR-01", "NR-03"], card.procedure, card.step)
    bench.acknowledge(work)
    seen = []
    for mark in ("NR-01", "NR-03"):
        seen.append((str(bench.step_view(work).in_batch), bench.place_card().title.split("  ")[0]))
        finish_piece(bench, work, mark)
    assert seen == [("1 of 2", "NR-01 · 1 of 2"), ("2 of 2", "NR-03 · 2 of 2")]

    work, marks = begin_as_the_card_says(bench)
    assert marks == ("NR-02",), "the one that was left out comes after them"
    assert str(bench.step_view(work).in_batch) == "3 of 3"


def test_one_alone_of_a_batch_is_not_called_one_of_one(bench: Bench) -> None:
    begun(bench)
    to_the_step(bench, "trace-blank")
    card = bench.place_card()
    work = bench.start(["NR-02"], card.procedure, card.step)
    found = bench.step_view(work).in_batch
    assert found is not None and found.is_alone
    assert bench.place_card().title.startswith("NR-02  nose rib")


def test_the_one_done_by_itself_is_not_called_the_last_while_others_stand_there(bench: Bench) -> None:
    begun(bench)
    to_the_step(bench, "trace-blank")
    card = bench.place_card()
    work = bench.start(["NR-02"], card.procedure, card.step)
    bench.acknowledge(work)
    assert bench.step_view(work).then == ""
    finish_piece(bench, work, "NR-02")
    rest = [mark for mark in bench.batch_of("NR-02") if mark != "NR-02"]
    work = bench.begin_batch(rest, card.procedure, card.step)
    bench.acknowledge(work)
    assert bench.step_view(work).then == "next piece"
    for mark in rest[:-1]:
        finish_piece(bench, work, mark)
    assert bench.step_view(work).then == "last"


def test_nor_while_another_of_them_is_paused_at_that_step(bench: Bench) -> None:
    begun(bench)
    to_the_step(bench, "trace-blank")
    card = bench.place_card()
    first, *rest = bench.batch_of("NR-02")
    bench.pause(bench.start([first], card.procedure, card.step))
    work = bench.start(rest, card.procedure, card.step)
    bench.acknowledge(work)
    for mark in rest[:-1]:
        finish_piece(bench, work, mark)
    assert bench.step_view(work).then == ""
