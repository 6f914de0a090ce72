"""Two screens at one step: each has its own half-typed figure, and neither replaces what it has not seen."""

from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.half_typed import (
    HalfTypedWords,
    half_typed_elsewhere,
    half_typed_here,
    half_typed_words,
    left_half_typed,
)
from kiosk.record.rules.door import Refused
from kiosk.record.state import KEPT_RUNS, Draft, Piece, State
from kiosk.views.step import CheckView
from tests.conftest import SteadyClocks
from tests.driver import undo_newest
from tests.record.moments import builder, moment
from tests.screens.moment import NOW

MARK, CHECK = "NR-03", "web"


def at_the_web(bench: Bench, work: str) -> CheckView:
    bench.refresh()
    return next(one for one in bench.step_view(work).checks if one.id == CHECK)


@pytest.fixture
def two(demo_shop: Path) -> Iterator[tuple[Bench, Bench, str]]:
    """Two screens at the flutes of NR-03, whose web is to be measured; and the work."""
    clocks = SteadyClocks(NOW)
    with (
        closing(Bench(demo_shop, clocks, watch=True)) as wall,
        closing(Bench(demo_shop, clocks, watch=True)) as tablet,
    ):
        work = wall.state.part(MARK).work
        assert work is not None
        wall.take_up(work)
        wall.acknowledge(work)
        tablet.refresh()
        yield wall, tablet, work


def test_what_is_half_typed_is_nobody_elses_to_record(two: tuple[Bench, Bench, str]) -> None:
    wall, tablet, work = two
    wall.type_draft(work, MARK, CHECK, ".0")
    theirs = at_the_web(tablet, work)
    assert (theirs.draft, theirs.elsewhere, theirs.state_word) == ("", ".0", "OPEN")
    tablet.type_draft(work, MARK, CHECK, "1")  # begun anew, not `.01`
    assert (at_the_web(tablet, work).draft, at_the_web(wall, work).draft) == ("1", ".0")
    assert at_the_web(wall, work).elsewhere == "1"
    tablet.type_draft(work, MARK, CHECK, "")
    assert (at_the_web(tablet, work).elsewhere, at_the_web(wall, work).draft) == (".0", ".0")
    card = tablet.place_card()
    assert [one.words for one in card.half_typed] == [f"{theirs.ask}: .0 half typed at another screen"]


def test_what_a_screen_that_was_killed_left_half_typed_is_gone_on_with(two: tuple[Bench, Bench, str]) -> None:
    wall, tablet, work = two
    wall.type_draft(work, MARK, CHECK, ".0")
    assert wall.presence is not None
    wall.presence._handle.close()  # as a kill does
    assert (at_the_web(tablet, work).draft, at_the_web(tablet, work).elsewhere) == (".0", "")
    tablet.looked(work, as_shown=True)
    tablet.type_draft(work, MARK, CHECK, ".01")
    tablet.type_draft(work, MARK, CHECK, "")  # taken back, and what was gone on with does not come back
    assert at_the_web(tablet, work).draft == ""
    assert not tablet.state.works[work].pieces[0].drafts


def test_an_answer_that_came_meanwhile_is_not_replaced_unseen(two: tuple[Bench, Bench, str]) -> None:
    wall, tablet, work = two
    seen = at_the_web(wall, work).answer
    assert seen == ""
    tablet.answer(work, MARK, CHECK, ".01", in_place_of="")
    with pytest.raises(Refused, match="\\.01 was recorded at another screen meanwhile"):
        wall.answer(work, MARK, CHECK, ".02", in_place_of=seen)
    assert at_the_web(wall, work).answer == ".01"
    wall.answer(work, MARK, CHECK, ".02", in_place_of=".01")  # once it was seen
    assert at_the_web(tablet, work).answer == ".02"


def test_nor_one_that_was_taken_back(two: tuple[Bench, Bench, str]) -> None:
    wall, tablet, work = two
    wall.answer(work, MARK, CHECK, ".01")
    tablet.refresh()
    undo_newest(wall)
    with pytest.raises(Refused, match="\\.01 was taken back at another screen meanwhile"):
        tablet.answer(work, MARK, CHECK, ".02", in_place_of=".01")


def test_the_same_tap_sent_again_is_recorded_once_and_not_refused(two: tuple[Bench, Bench, str]) -> None:
    wall, _, work = two
    for _ in range(2):
        wall.answer(work, MARK, CHECK, ".01", tap="one", in_place_of="")
    assert at_the_web(wall, work).answer == ".01"


def test_what_is_half_typed_since_is_kept_where_another_piece_is_taken_back(
    two: tuple[Bench, Bench, str],
) -> None:
    """The end of one piece was taken back, and what was typed on the next became what it had been then."""
    wall, tablet, work = two
    wall.count(work, MARK, 9)
    wall.answer(work, MARK, CHECK, "0")
    tablet.refresh()
    tablet.type_draft(work, "NR-04", CHECK, ".0")
    wall.finish(work, MARK)
    tablet.refresh()
    tablet.type_draft(work, "NR-04", CHECK, ".012")
    undo_newest(wall)
    piece = wall.state.works[work].piece("NR-04")
    assert piece is not None and [one.text for one in piece.drafts[CHECK]] == [".012"]


def test_a_step_lives_with_the_screen_at_which_it_is_gone_on_with(two: tuple[Bench, Bench, str]) -> None:
    """Its tablet was put away, and the wall at which it went on asked how it stood."""
    wall, tablet, work = two
    tablet.count(work, MARK, 6)
    wall.close()
    tablet.refresh()
    assert tablet.state.works[work].status == "running"


def test_how_long_a_step_has_run_is_known_however_many_screens_came_since(
    demo_shop: Path, two: tuple[Bench, Bench, str]
) -> None:
    """Of the clocks of eight runs the oldest was forgotten, and twelve minutes became none."""
    wall, _, work = two
    clocks = wall.record.clocks
    assert isinstance(clocks, SteadyClocks)
    clocks.go(12)
    began = wall.step_view(work).elapsed_s
    for number in range(2 * KEPT_RUNS):
        with closing(Bench(demo_shop, clocks, watch=True)) as page:
            page.note(f"page {number}")
    wall.refresh()
    assert wall.step_view(work).elapsed_s == began >= 720
    with closing(Bench(demo_shop, clocks, watch=True)) as page:
        page.refresh()
        page.note("the last")
        assert page.step_view(work).elapsed_s == began
    assert len(wall.state.run_clocks) <= KEPT_RUNS + 1


def words_at(*drafts: Draft, lives: Sequence[str] = ()) -> HalfTypedWords:
    """What is half typed at this screen, of a run called "here", in one dialog."""
    now = moment(builder(), state=State(words={"note/NR-01": drafts} if drafts else {}))
    return half_typed_words(replace(now, run="here", lives=lambda run: run in lives), "note/NR-01")


def test_words_are_offered_of_this_screen_first_then_of_the_last_that_lives_no_more() -> None:
    own, dead, older, there = (
        Draft("here", "mine"),
        Draft("dead", "left"),
        Draft("old", "older"),
        Draft("b", "theirs"),
    )
    assert words_at() == HalfTypedWords("", None, "") and words_at().text == "" and words_at().left_by == ()
    left = words_at(Draft("first", "oldest"), older, dead)
    assert (left.own, left.left, left.text, left.left_by) == ("", dead, "left", ("dead",))
    both = words_at(dead, own)
    assert (both.own, both.left, both.text, both.left_by) == ("mine", None, "mine", ())
    beside = words_at(older, own, there, lives=["b"])
    assert (beside.text, beside.left, beside.elsewhere) == ("mine", None, "theirs")
    theirs = words_at(there, lives=["b"])
    assert (theirs.text, theirs.left, theirs.elsewhere) == ("", None, "theirs")
    assert words_at(there, Draft("c", "newer"), lives=["b", "c"]).elsewhere == "newer"


def test_of_figures_that_were_left_the_newest_is_offered() -> None:
    now = replace(moment(builder()), run="here", lives=lambda run: run == "b")
    left = Draft("first", ".1"), Draft("old", ".2"), Draft("dead", ".3")
    there, own = Draft("b", ".4"), Draft("here", ".5")
    assert half_typed_here(now, Piece(MARK, drafts={CHECK: (*left, there)}), CHECK) == ".3"
    assert left_half_typed(now, Piece(MARK, drafts={CHECK: (*left, there)}), CHECK) == left
    assert half_typed_here(now, Piece(MARK, drafts={CHECK: (own, *left)}), CHECK) == ".5"
    assert half_typed_here(now, Piece(MARK, drafts={CHECK: (there,)}), CHECK) == ""
    assert half_typed_elsewhere(now, Piece(MARK, drafts={CHECK: (*left, there)}), CHECK) == ".4"
