"""A note at closing up is never lost: with nothing begun, and when two screens close at once."""

from pathlib import Path

from kiosk.bench import Bench
from kiosk.record.events import RunStarted, SittingClosed, SittingOpened
from tests.conftest import SteadyClocks


def kinds(bench: Bench) -> list[type]:
    return [type(event.body) for event in bench.record.journal.after(0)]


def test_a_note_is_kept_when_nothing_was_begun(bench: Bench) -> None:
    bench.close_sitting("  order rivets ")
    assert bench.state.left is not None and bench.state.left.note == "order rivets"
    assert kinds(bench) == [RunStarted, SittingClosed]  # nobody came: no sitting was opened
    assert bench.place_card().note == "Your note: order rivets"


def test_closing_up_again_without_a_word_records_nothing(bench: Bench) -> None:
    bench.note("glue")
    bench.close_sitting("the block is clamped")
    before = bench.state.seq
    bench.close_sitting("")
    assert bench.state.seq == before and bench.place_card().note == "Your note: the block is clamped"


def test_two_screens_that_close_within_a_poll_keep_both_notes(new_shop: Path, clocks: SteadyClocks) -> None:
    wall, tablet = (Bench(new_shop, clocks, watch=True) for _ in range(2))
    wall.note("glue")
    tablet.refresh()
    wall.close_sitting("the block is clamped")
    tablet.close_sitting("primer is low")  # has not seen that it is closed
    assert tablet.state.sitting is None and tablet.state.sittings == 1
    assert tablet.place_card().note == "Your note: the block is clamped; primer is low"
    assert kinds(tablet).count(SittingOpened) == 1
    wall.refresh()
    assert wall.state == tablet.state
    for screen in (wall, tablet):
        screen.close()


def test_a_second_screen_that_closes_without_a_word_takes_no_note_away(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    wall, tablet = (Bench(new_shop, clocks) for _ in range(2))
    wall.note("glue")
    tablet.refresh()
    wall.close_sitting("the block is clamped")
    before = wall.state.seq
    tablet.close_sitting("")
    assert tablet.state.seq == before and tablet.place_card().note == "Your note: the block is clamped"
    wall.close()
    tablet.close()


def test_a_helper_is_told_whose_note_it_is(bench: Bench) -> None:
    bench.note_conditions(68, 50)
    bench.close_sitting("order rivets")
    assert bench.place_card().when.startswith("You left")
    bench.doer_id = "pip"
    card = bench.place_card()
    assert card.note == "Wren's note: order rivets" and card.when.startswith("Wren left")
