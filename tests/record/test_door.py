"""Ways round the door that were found open: each is shut, and stays so."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.context import NOBODY
from kiosk.record.readiness import next_blocks
from kiosk.record.rules import NotAllowed, Refused, clocks, parts, steps
from kiosk.record.stopped import TapUsed
from kiosk.shop.hazards import HAZARDS
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks
from tests.driver import do_step, set_pins
from tests.planning.test_spare import complete, take_to
from tests.record.moments import born, brambling, builder, helper, moment, step, with_steps

LOOKED_AT = StepRef("spar-channel", "bend-first")


@pytest.fixture
def two_screens(new_shop: Path) -> Iterator[tuple[Bench, Bench]]:
    """Two screens of a shop whose builder has a PIN, both in the builder's hands."""
    set_pins(new_shop, wren="2468")
    clocks = SteadyClocks()
    one, other = Bench(new_shop, clocks), Bench(new_shop, clocks)
    one.hand_over("wren", "2468")
    one.note("begun")
    other.refresh()
    other.hand_over("wren", "2468")
    yield one, other
    one.close()
    other.close()


def test_who_went_at_one_screen_needs_the_pin_at_the_other(two_screens: tuple[Bench, Bench]) -> None:
    one, other = two_screens
    one.come("odile")
    one.leave("wren")
    other.refresh()
    for back in (other.hand_over, other.come):
        with pytest.raises(NotAllowed, match="PIN"):
            back("wren")
    with pytest.raises(NotAllowed):
        other.skip("NR-01", "no reason")
    other.hand_over("wren", "2468")
    other.skip("NR-01", "made by hand")


def test_closing_up_takes_every_screen_out_of_its_hands(two_screens: tuple[Bench, Bench]) -> None:
    one, other = two_screens
    one.close_sitting("so far")
    with pytest.raises(Refused, match="closed on another screen"):
        other.skip("NR-01", "no reason")  # before it has seen that
    assert other.doer_id == NOBODY
    with pytest.raises(NotAllowed, match="nobody has the screen"):
        other.skip("NR-01", "no reason")
    one.hand_over("wren", "2468")
    one.note("another evening")
    other.refresh()
    with pytest.raises(NotAllowed, match="nobody has the screen"):
        other.skip("NR-01", "no reason")


def test_a_tap_that_was_recorded_stands_for_no_pin(two_screens: tuple[Bench, Bench]) -> None:
    one, _ = two_screens
    one.hand_over("odile")
    one.note("a tap", tap="1" * 32)
    with pytest.raises(TapUsed, match="recorded already, as write note"):
        one.hand_over("wren", "0000", tap="1" * 32)
    assert one.doer_id == "odile"


def at_the_second_look(bench: Bench) -> None:
    complete(bench, "BR-01")
    take_to(bench, ["FS-01"], str(LOOKED_AT))
    bench.come("odile")


def test_a_second_look_does_not_outlive_what_it_looked_at(bench: Bench) -> None:
    at_the_second_look(bench)
    bench.hold_look(["FS-01"], "odile", "lines agree")
    bench.reopen("FS-01", StepRef("spar-channel", "sight-lines"), "rubbed out")
    take_to(bench, ["FS-01"], str(LOOKED_AT))
    with pytest.raises(Refused, match="a second person looks"):
        bench.start(["FS-01"], LOOKED_AT.procedure, LOOKED_AT.step)


def test_who_gave_the_second_look_does_not_do_the_step(bench: Bench) -> None:
    at_the_second_look(bench)
    people = dict(bench.shop.people)
    people["odile"] = people["odile"].model_copy(update={"role": "builder"})
    object.__setattr__(bench.shop, "people", people)
    bench.hold_look(["FS-01"], "odile", "lines agree")
    bench.hand_over("odile")
    with pytest.raises(Refused, match="gave FS-01 the second look"):
        bench.start(["FS-01"], LOOKED_AT.procedure, LOOKED_AT.step)
    bench.hand_over("wren")
    work = bench.start(["FS-01"], LOOKED_AT.procedure, LOOKED_AT.step)
    bench.hand_over("odile")
    with pytest.raises(NotAllowed, match="second look"):
        bench.acknowledge(work)


def test_a_room_is_cleared_of_one_after_another(bench: Bench) -> None:
    """A step from 16 in the room, then one from 18: who was sent out for the first is still out."""
    ages = sorted({row.min_age_present for row in HAZARDS.values() if row.min_age_present})
    assert ages[0] < ages[-1], "the hazards no longer differ in who may be in the room"
    by_age = {row.min_age_present: row.tag for row in HAZARDS.values()}
    young, old = by_age[ages[0]], by_age[ages[-1]]
    shop, _ = with_steps(brambling(), "form-block", step(hazards=(young,)), step(id="later", hazards=(old,)))
    people = {
        **shop.people,
        "wren": builder(),
        "pip": helper(born=born(ages[0] - 1)),
        "kit": helper(id="kit", name="Kit", born=born(ages[-1] - 1)),
    }  # fmt: skip
    object.__setattr__(bench, "shop", replace(shop, people=people))
    bench.come("pip")
    bench.come("kit")
    bench.clear_room(StepRef("form-block", "try"))
    bench.clear_room(StepRef("form-block", "later"))
    sitting = bench.state.sitting
    assert sitting is not None and set(sitting.cleared) == {"pip", "kit"}
    bench.hand_over("pip")  # who has a screen is seen to be in the room
    bench.hand_over("wren")
    sitting = bench.state.sitting
    assert sitting is not None and sitting.cleared == ("kit",)


def test_a_step_that_vanished_is_the_builders(bench: Bench) -> None:
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    bench.pause(work)
    shop, _ = with_steps(bench.shop, "form-block", step(id="another"))
    bench.shop = shop
    bench.come("pip")
    bench.hand_over("pip")
    for act in (bench.take_up, bench.put_back):
        with pytest.raises(NotAllowed, match="no longer in its procedure"):
            act(work)
    bench.hand_over("wren")
    bench.put_back(work)


def test_an_answer_is_held_to_todays_figures(bench: Bench) -> None:
    """A pass given before the figure was corrected does not finish the step after it."""
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    bench.acknowledge(work)
    bench.answer(work, "FB-NR", "bar", "254 mm")
    assert bench.step_view(work).checks[0].passed
    procedure = bench.shop.procedures["form-block"]
    old = procedure.step("measure-pattern")
    assert old is not None
    checks = tuple(
        check.model_copy(update={"nominal": "11"}) if check.id == "bar" else check for check in old.checks
    )
    changed = old.model_copy(update={"checks": checks})
    rest = tuple(changed if one.id == old.id else one for one in procedure.steps)
    bench.shop = replace(
        bench.shop,
        procedures={**bench.shop.procedures, procedure.id: procedure.model_copy(update={"steps": rest})},
    )
    assert not bench.step_view(work).checks[0].passed
    with pytest.raises(Refused, match="not as wanted"):
        bench.finish(work, "FB-NR")


def test_after_a_cut_put_back_is_undone_before_what_came_before_it(new_shop: Path) -> None:
    """Undoing an earlier answer must not bring back a work whose parts are free again."""
    clocks = SteadyClocks()
    bench = Bench(new_shop, clocks, watch=True)
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    bench.acknowledge(work)
    bench.answer(work, "FB-NR", "bar", "254 mm")
    answered = bench.record.journal.after(0)[-1].id
    bench.close()  # no close-up: as a power cut
    again = Bench(new_shop, clocks, watch=True)
    again.looked(work, as_shown=False)
    with pytest.raises(Refused, match="came after it"):
        again.undo(answered)
    newest = again.latest_undoable()
    assert newest is not None
    again.undo(newest.event)  # not so after all: the step is in hand again, to be looked at
    assert again.state.works[work].status == "unknown"
    assert again.state.part("FB-NR").work == work
    again.close()


def test_what_is_to_do_again_is_not_asked_in_the_look_back(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    do_step(bench, ["FB-MR"])
    do_step(bench, ["FB-NR"])
    bench.reopen("FB-NR", StepRef("form-block", "measure-pattern"), "not printed at full size")
    bench.close_sitting("")
    assert [back.marks for back in bench.place_card().look_back] == [("FB-MR",)]


def test_what_was_done_once_more_stands_in_the_look_back_once(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    do_step(bench, ["FB-MR"])
    done = bench.state.confirmations[0]
    bench.reopen("FB-NR", StepRef(done.procedure, done.step), "seen not done")
    do_step(bench, ["FB-NR"])
    bench.close_sitting("")
    found = [(mark, back.step) for back in bench.place_card().look_back for mark in back.marks]
    assert sorted(found) == [("FB-MR", done.step), ("FB-NR", done.step)]


def test_marks_are_of_the_shop_and_each_is_there_once(bench: Bench) -> None:
    for marks, why in ((["FB-NR", "FB-NR"], "twice"), (["NO-1"], "no part is marked"), ([], "no part")):
        with pytest.raises(Refused, match=why):
            steps.begin(bench.context, marks, StepRef("form-block", "measure-pattern"))
        with pytest.raises(Refused, match=why):
            parts.second_look(bench.context, marks, "odile", "good")
    with pytest.raises(Refused, match="no part is marked"):
        parts.complete(moment(builder()), "NO-1")
    with pytest.raises(Refused, match="no part is marked"):
        clocks.answer_limit(moment(builder()), ["NO-1"], "mixed anew")
    with pytest.raises(Refused, match="no part is marked"):
        parts.skip(moment(builder()), "NO-1", "not so")


def test_a_figure_is_half_typed_only_where_it_is_asked_and_after_the_cautions(bench: Bench) -> None:
    take_to(bench, ["FB-NR"], "form-block/saw-outline")
    work = bench.start(["FB-NR"], "form-block", "saw-outline")
    with pytest.raises(Refused, match="cautions come first"):
        bench.type_draft(work, "FB-NR", "outside", "1")
    bench.acknowledge(work)
    with pytest.raises(Refused, match="no longer on the step"):
        bench.type_draft(work, "FB-NR", "another", "1")


def test_what_only_has_to_be_declared_is_named(bench: Bench) -> None:
    while not bench.position("BR-01").all_done:
        where = bench.position("BR-01")
        assert where.procedure is not None and where.step is not None
        take_to(bench, ["BR-01"], f"{where.procedure.id}/{where.step.id}")
        do_step(bench, ["BR-01"])
    take_to(bench, ["FS-01"], "spar-channel/choose-sheet")
    said = [block.text for block in next_blocks(bench.context, "FS-01")]
    assert any("declare BR-01 complete first" in text for text in said), said
    bench.complete("BR-01")
    assert not any("BR-01" in block.text for block in next_blocks(bench.context, "FS-01"))


def test_what_is_gone_from_the_shop_file_is_set_aside_whatever_was_counted(bench: Bench) -> None:
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    bench.acknowledge(work)
    bench.answer(work, "FB-NR", "bar", "254 mm")
    with pytest.raises(Refused, match="already counted or measured"):
        bench.set_aside(work)
    left = {mark: part for mark, part in bench.shop.parts.items() if mark != "FB-NR"}
    bench.shop = replace(bench.shop, parts=left)
    bench.set_aside(work)
    assert not bench.state.works


def test_what_a_screen_offers_is_asked_at_the_same_door(bench: Bench) -> None:
    do_step(bench, ["FB-NR"])
    done = bench.state.undoables[-1].event
    assert [bench.may_not(act) for act in ("skip", "close_up", "raise_snag")] == [""] * 3
    bench.come("pip")
    bench.hand_over("pip")
    assert bench.may_not("skip") == "only the builder does this"
    assert bench.may_not("close_up") == "an adult does this"
    assert bench.may_not("undo", done) == "it was not you who did it"
    assert bench.may_not("raise_snag") == ""
    bench.note("pencil blunt", "FB-NR")
    bench.raise_snag("FB-NR", "split")
    # Who raised it by a slip asks the builder: else it would hold nothing.
    assert bench.may_not("undo", bench.state.undoables[-1].event) == "a snag holds until the builder decides"
