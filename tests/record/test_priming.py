"""Priming by the rules: the dew point of the day, parts of an older revision, a long stretch offered."""

import pytest

from kiosk.bench import Bench
from kiosk.record.events import Answered
from kiosk.record.readiness import next_blocks
from kiosk.record.rules import Refused
from kiosk.shop.finish import NOT_ENTERED
from tests.conftest import SteadyClocks
from tests.driver import do_step, next_step
from tests.planning.test_spare import complete, leave_only, take_to
from tests.record.finishes import bare_finish, with_finish
from tests.record.moments import step, with_steps

CLIP = "CA-01"
# The steps of revision 3 in order, and where a part stands in this one that had each done last.
WENT_ON = {
    "read-data-sheet": "degrease",
    "scuff": "wash",
    "wash": "water-test",
    "dry": "start-extraction",
    "mix": "strain",
    "spray": "clean-gun",
    "clean-gun": "leftovers",
    "film": "rewrite-mark",
}


@pytest.fixture
def at_surface(bench: Bench) -> Bench:
    """A clip whose surface is to be measured."""
    complete(bench, "BR-01")
    take_to(bench, [CLIP], "clean-and-prime/read-surface")
    return bench


def answers(bench: Bench) -> list[Answered]:
    return [one.body for one in bench.record.journal.after(0) if isinstance(one.body, Answered)]


def test_the_surface_is_held_to_the_dew_point_of_the_room(at_surface: Bench) -> None:
    """75 F and 80 % have their dew point at 68.4 F: with this product's 5 F the metal has to have 73.4 F.

    By the Magnus form of WMO-No. 8; psychrometric tables print 68 F (from memory).
    """
    bench = at_surface
    (first, *_) = [one.text for one in next_blocks(bench.context, CLIP) if one.kind == "room air"]
    assert first == "read the temperature first: 55 to 90 F is needed"
    bench.note_conditions(75, 80)
    work = bench.start([CLIP], "clean-and-prime", "read-surface")
    bench.answer(work, CLIP, "surface", "72")
    assert not answers(bench)[-1].passed
    least, _, highest = answers(bench)[-1].wanted.partition(" to ")
    assert float(least) == pytest.approx(73.4 + 0.1, abs=0.05) and highest == "90 F"
    with pytest.raises(Refused, match="not as wanted"):
        bench.finish(work, CLIP)
    bench.answer(work, CLIP, "surface", "74")
    bench.note_conditions(75, 85)  # damper since: the same metal is too cold now
    with pytest.raises(Refused, match="not as wanted"):
        bench.finish(work, CLIP)
    bench.note_conditions(75, 80)
    bench.finish(work, CLIP)
    assert next_step(bench, CLIP).id == "suit-up"


def test_a_reading_of_yesterday_gives_no_limit(at_surface: Bench, clocks: SteadyClocks) -> None:
    bench = at_surface
    bench.note_conditions(68, 50)
    work = bench.start([CLIP], "clean-and-prime", "read-surface")
    clocks.go(60 * 5)
    (check,) = bench.step_view(work).checks
    assert check.wanted == "read the room first"
    with pytest.raises(Exception, match="read the room first"):
        bench.answer(work, CLIP, "surface", "70")


def test_what_is_typical_is_said_in_the_record(at_surface: Bench) -> None:
    bench = at_surface
    with_finish(bench, bare_finish())
    (first, *_) = [one.text for one in next_blocks(bench.context, CLIP) if one.kind == "room air"]
    assert first == f"read the temperature first: 50 to 90 F is needed, {NOT_ENTERED}"
    bench.note_conditions(68, 50)
    work = bench.start([CLIP], "clean-and-prime", "read-surface")
    bench.answer(work, CLIP, "surface", "70")
    assert answers(bench)[-1].wanted == f"60 to 90 F, {NOT_ENTERED}"


@pytest.mark.parametrize(("last", "goes_on"), WENT_ON.items())
def test_a_part_of_the_last_revision_finds_its_place(bench: Bench, last: str, goes_on: str) -> None:
    now = bench.shop
    complete(bench, "BR-01")
    take_to(bench, [CLIP], "clean-and-prime/tag-part")
    old = tuple(step(id=name) for name in (*WENT_ON, "rewrite-mark"))
    bench.shop, _ = with_steps(now, "clean-and-prime", *old)
    while next_step(bench, CLIP).id != last:
        do_step(bench, [CLIP])
    do_step(bench, [CLIP])
    bench.shop = now
    assert bench.position(CLIP).question is None
    assert next_step(bench, CLIP).id == goes_on


def test_a_stretch_as_long_as_a_checklist_may_be_is_offered(bench: Bench) -> None:
    """Nine steps that go straight on, the most that `kiosk check` takes, are one thing to do."""
    steps = [step(id=f"step-{number}", stop="go straight on") for number in range(8)]
    last = step(id="last", stop="only when finished")
    bench.shop, _ = with_steps(bench.shop, "form-block", *steps, last)
    leave_only(bench, {"FB-NR"})
    (found,) = bench.spare(60).suggestions
    assert len(found.stretch.steps) == 9
