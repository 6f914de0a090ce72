"""A count whose number is the most: it may end sooner, truthfully, and the record says how."""

from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.logbook.entries import read
from kiosk.record.apply import fold
from kiosk.record.events import Counted, StepFinished
from kiosk.record.rules import Refused
from tests.driver import undo_newest
from tests.planning.test_spare import take_to
from tests.record.moments import step, with_steps

FLAT = "the web lies flat"


@pytest.fixture
def fluting(demo_shop: Path) -> tuple[Bench, str]:
    """NR-03 at its fluting with 5 of at most 9 flutes, the cautions read."""
    bench = Bench(demo_shop)
    work = bench.state.part("NR-03").work
    assert work is not None
    bench.take_up(work)
    bench.acknowledge(work)
    return bench, work


def finish(bench: Bench, work: str) -> StepFinished:
    bench.answer(work, "NR-03", "web", "1/64")
    bench.finish(work, "NR-03")
    done = bench.record.journal.after(0)[-1].body
    assert isinstance(done, StepFinished)
    return done


def printed(bench: Bench) -> list[str]:
    index = read(bench.shop, bench.record.journal.after(0))
    facts = [fact for entry in index.entries() for fact in entry.facts]
    index.close()
    return facts


def test_flat_at_7_of_11_opens_the_checks_and_is_told_so(fluting: tuple[Bench, str]) -> None:
    bench, work = fluting
    bench.count(work, "NR-03", 7)
    with pytest.raises(Refused, match="7 of at most 9 flutes"):
        bench.finish(work, "NR-03")
    bench.say_enough(work, "NR-03", 7)
    view = bench.step_view(work)
    assert not view.counting and view.count == 7
    assert view.count_words == f"7 of at most 9 flutes, enough: {FLAT}"
    assert bench.place_card().count is not None
    assert [text for text in bench.close_up_view().may if FLAT in text]
    done = finish(bench, work).counts
    assert [(one.mark, one.count, one.most, one.of, one.enough) for one in done] == [
        ("NR-03", 7, 9, "flutes", FLAT)
    ]
    assert f"7 of at most 9 flutes, enough: {FLAT}" in printed(bench)
    assert fold(bench.record.journal.after(0)) == bench.state
    bench.close()


def test_all_of_them_may_be_needed(fluting: tuple[Bench, str]) -> None:
    bench, work = fluting
    bench.count(work, "NR-03", 9)
    done = finish(bench, work).counts
    assert [(one.count, one.enough) for one in done] == [(9, "")]
    assert "9 of at most 9 flutes" in printed(bench)
    bench.close()


def test_a_web_that_lies_flat_needs_no_flute(fluting: tuple[Bench, str]) -> None:
    bench, work = fluting
    bench.count(work, "NR-03", 0)
    bench.say_enough(work, "NR-03", 0)
    assert bench.state.works[work].pieces[0].touched  # it was said: it is not put back as not begun
    assert [one.count for one in finish(bench, work).counts] == [0]
    bench.close()


def test_what_was_said_to_be_enough_is_taken_back(fluting: tuple[Bench, str]) -> None:
    bench, work = fluting
    bench.say_enough(work, "NR-03", 5)
    undo_newest(bench)
    assert bench.step_view(work).counting
    bench.say_enough(work, "NR-03", 5)
    bench.count(work, "NR-03", 5)  # counted on
    assert bench.step_view(work).counting
    bench.count(work, "NR-03", 6)
    assert bench.state.works[work].pieces[0].enough == ""
    bench.close()


def test_a_count_that_went_on_meanwhile_is_not_ended(fluting: tuple[Bench, str]) -> None:
    """Two screens: one presses enough at 5 while the other has counted a sixth."""
    bench, work = fluting
    folder = bench.shop.folder
    bench.close()
    one, other = (Bench(folder, watch=True) for _ in range(2))
    one.looked(work, as_shown=True)
    one.acknowledge(work)
    other.refresh()
    other.count(work, "NR-03", 6)
    with pytest.raises(Refused, match="a count of 6 was recorded at another screen meanwhile"):
        one.say_enough(work, "NR-03", 5)
    one.say_enough(work, "NR-03", 6)
    other.refresh()
    assert other.state.works[work].pieces[0].enough == FLAT
    other.close()
    one.close()


def test_it_is_kept_when_the_power_goes(fluting: tuple[Bench, str]) -> None:
    bench, work = fluting
    bench.say_enough(work, "NR-03", 5, tap="one")
    bench.say_enough(work, "NR-03", 5, tap="one")  # sent again: recorded once
    said = [one for one in bench.record.journal.after(0) if isinstance(one.body, Counted) and one.body.enough]
    assert len(said) == 1
    folder = bench.shop.folder
    bench.record.close()
    again = Bench(folder)
    assert again.state.works[work].pieces[0].enough == FLAT
    again.close()


def test_a_count_with_no_sooner_end_has_none(bench: Bench) -> None:
    """Tooling holes are not a matter of enough."""
    take_to(bench, ["FB-NR"], "form-block/pin-holes")
    work = bench.start(["FB-NR"], "form-block", "pin-holes")
    bench.acknowledge(work)
    with pytest.raises(Refused, match="no sooner end"):
        bench.say_enough(work, "FB-NR", 0)


def test_of_parts_that_go_together_the_count_is_that_of_the_first(new_shop: Path) -> None:
    """Whichever of them the end is said of."""
    bench = Bench(new_shop)
    press = step(id="press", batch="together", repeat={"times": "9", "of": "presses", "enough": FLAT})
    bench.shop, _ = with_steps(bench.shop, "rib-blank", press)
    work = bench.start(["NR-01", "NR-02"], "rib-blank", "press")
    bench.count(work, "NR-01", 2)
    bench.say_enough(work, "NR-01", 2)
    bench.finish(work, "NR-02")
    done = bench.record.journal.after(0)[-1].body
    assert isinstance(done, StepFinished) and done.marks == ("NR-01", "NR-02")
    assert [(one.mark, one.count, one.enough) for one in done.counts] == [("NR-01", 2, FLAT)]
    bench.close()
