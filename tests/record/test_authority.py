"""Who may do a step and who may be in the room: ages to the day, rights, presence, PINs, second looks."""

from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.authority import is_adult, may_not_do, must_leave_room, runs_in_room, still_in_room
from kiosk.record.context import nobody
from kiosk.record.events import HoldLooked
from kiosk.record.rules import NotAllowed, Refused, parts
from kiosk.record.state import PartState, Piece, State, StepDone, Work, WorkStatus
from kiosk.shop.hazards import HAZARDS, Hazard
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks
from tests.driver import set_pins
from tests.planning.test_spare import complete, take_to
from tests.record.moments import NOW, born, brambling, builder, helper, moment, step, with_steps

# What takes two people is in test_two_people.py.
AGED = [row for row in HAZARDS.values() if 0 < row.min_age_operate <= 18 and row.people == 1]
FOR_A_TRAINED_ADULT = [row.tag for row in HAZARDS.values() if row.min_age_operate > 18]


@pytest.mark.parametrize("hazard", AGED, ids=lambda hazard: hazard.tag)
def test_a_hazard_is_for_those_old_enough_and_for_nobody_younger(hazard: Hazard) -> None:
    age, tagged = hazard.min_age_operate, step(hazards=("EYES", hazard.tag))
    shop = replace(brambling(), hazards=HAZARDS)
    assert may_not_do(moment(helper(born=born(age)), shop=shop), tagged) == ""
    bar = may_not_do(moment(helper(born=born(age, -1)), shop=shop), tagged)  # birthday tomorrow
    assert bar == f"Pip is too young for {hazard.work} ({age} and over)"
    assert may_not_do(moment(builder(born=born(age, -1)), shop=shop), tagged) == bar.replace("Pip", "Wren")


@pytest.mark.parametrize("tag", FOR_A_TRAINED_ADULT)
def test_what_a_trained_adult_does_alone_is_for_a_builder_of_age(tag: str) -> None:
    tagged = step(hazards=(tag,))
    assert may_not_do(moment(builder()), tagged) == ""
    assert may_not_do(moment(builder(born=born(18))), tagged) == ""
    for other in (builder(born=born(18, -1)), helper(born=born(70))):
        # No age is told that nobody has.
        assert (
            may_not_do(moment(other), tagged) == f"{HAZARDS[tag].work} is for a trained adult builder alone"
        )
    onlooker = helper(born=born(70))
    assert must_leave_room(moment(builder(), onlooker), tagged) == [onlooker]


def test_nobody_reads_a_tag_where_words_are_meant() -> None:
    """NOT NOW said "LIFT takes 2 people"."""
    wary = helper(born=born(40), not_yet=tuple(HAZARDS))
    bars = [may_not_do(moment(wary), step(hazards=(tag,))) for tag in HAZARDS]
    bars += [may_not_do(moment(builder()), step(hazards=(tag,))) for tag in HAZARDS]
    bars += [may_not_do(moment(helper(born=born(3))), step(hazards=(tag,))) for tag in HAZARDS]
    assert any("takes 2 people" in bar for bar in bars)
    assert not [bar for bar in bars if any(tag in bar for tag in HAZARDS)]


def test_a_raised_age_is_the_one_that_counts() -> None:
    # The example shop raises SHEAR_HAND from 16 to 18.
    shear = step(hazards=("SHEAR_HAND",))
    assert (
        may_not_do(moment(helper(born=born(17))), shear)
        == "Pip is too young for work at the hand shear (18 and over)"
    )
    assert may_not_do(moment(helper(born=born(18))), shear) == ""


def test_what_somebody_does_not_do_yet_is_barred_at_any_age() -> None:
    wary = helper(born=born(40), not_yet=("PRESS",))
    assert (
        may_not_do(moment(wary), step(hazards=("EYES", "PRESS"))) == "Pip does not do work at the press yet"
    )
    assert may_not_do(moment(wary), step(hazards=("EYES", "DRILL"))) == ""
    assert may_not_do(moment(builder(not_yet=("PRESS",))), step(hazards=("PRESS",)))


def test_a_helper_with_the_builder_needs_the_builder_at_the_bench() -> None:
    together = step(who="helper with the builder")
    alone = moment(helper(), helper(id="odile", name="Odile"))
    assert may_not_do(alone, together) == "the builder must be at the bench for this step"
    assert may_not_do(moment(helper(), builder()), together) == ""
    assert may_not_do(moment(builder()), together) == ""


def test_a_builders_step_is_no_helpers_though_the_builder_looks_on() -> None:
    assert may_not_do(moment(helper(), builder()), step(who="builder")) == "only the builder does this step"
    assert may_not_do(moment(builder(), helper()), step(who="builder")) == ""
    assert may_not_do(moment(helper()), step(who="anyone")) == ""


def test_whoever_is_not_at_the_bench_does_nothing_there() -> None:
    here = moment(builder())
    assert may_not_do(here.seen_by(helper()), step()) == "Pip is not at the bench"
    assert may_not_do(here.seen_by(nobody()), step()).startswith("nobody has the screen yet")


def test_one_is_an_adult_from_the_eighteenth_birthday() -> None:
    now = moment(builder())
    assert is_adult(now, builder())
    assert is_adult(now, helper(born=born(18)))
    assert not is_adult(now, helper(born=born(18, -1)))
    assert not is_adult(now, nobody())


def test_the_room_is_left_by_those_too_young_and_never_by_the_doer() -> None:
    router = step(hazards=("EYES", "ROUTER"))  # 16 to be in the room
    young, old = helper(born=born(16, -1)), helper(id="odile", name="Odile", born=born(16))
    assert must_leave_room(moment(builder(), young, old), router) == [young]
    assert must_leave_room(moment(young, old), router) == []
    assert still_in_room(moment(builder(), young, cleared=["odile"]), router) == [young]
    assert still_in_room(moment(builder(), young, old, cleared=["pip"]), router) == []
    assert must_leave_room(moment(builder(), young), step(hazards=("DRILL",))) == []


def test_who_has_the_screen_is_out_of_the_room_of_each_other_step_that_runs() -> None:
    """Of all that is in hand, whatever comes first: not of what stands still, of their own nor of a part that
    is gone, and only where they are too young for it."""
    shop, _ = with_steps(brambling(), "rib-blank", step(id="mark"), step(id="rout", hazards=("ROUTER",)))

    def at(step_id: str, mark: str, *, by: str = "wren", status: WorkStatus = "running") -> Work:
        return Work(mark, "rib-blank", "1", step_id, by, (Piece(mark),), mark, NOW, status, hands=by)

    def said(*works: Work, years: int = 12) -> str:
        state = State(works={work.id: work for work in works})
        return runs_in_room(moment(helper(born=born(years)), builder(), state=state, shop=shop))

    harmless = at("mark", "NR-01")
    still, own, gone = (
        at("rout", "NR-02", status="paused"),
        at("rout", "NR-02", by="pip"),
        at("rout", "NR-99"),
    )
    barred = "NR-03 is under way: Pip must be out of the room"
    for before in (harmless, still, own, gone):
        assert said(before) == ""
        assert said(before, at("rout", "NR-03")) == barred
        assert said(before, at("rout", "NR-03"), years=18) == ""


def test_before_the_sitting_opens_nobody_has_been_said_to_be_out() -> None:
    now = moment(builder(), helper(born=born(12)))
    now.state.sitting = None
    assert [one.id for one in still_in_room(now, step(hazards=("ROUTER",)))] == ["pip"]


def test_a_room_is_to_be_cleared_again_when_somebody_comes(bench: Bench) -> None:
    take_to(bench, ["FB-NR"], "form-block/saw-outline")
    saw = StepRef("form-block", "saw-outline")
    bench.come("pip")
    bench.clear_room(saw)
    bench.come("odile")
    with pytest.raises(NotAllowed, match="Pip must be out of the room"):
        bench.start(["FB-NR"], "form-block", "saw-outline")
    bench.clear_room(saw)
    bench.leave("odile")  # who goes lets nobody in
    bench.start(["FB-NR"], "form-block", "saw-outline")


def _with_pins(shop: Path) -> Path:
    set_pins(shop, wren="4711", odile="2906")
    return shop


def test_a_pin_guards_the_hands_and_the_coming_of_a_builder(new_shop: Path, clocks: SteadyClocks) -> None:
    bench = Bench(_with_pins(new_shop), clocks)
    assert bench.doer is nobody()  # until somebody says who they are
    with pytest.raises(NotAllowed, match="nobody has the screen yet"):
        bench.start(["FB-NR"], "form-block", "measure-pattern")
    for wrong in ("", "4712", "2906", "47110"):
        with pytest.raises(NotAllowed, match="Wren's PIN is not right"):
            bench.hand_over("wren", wrong)
    with pytest.raises(NotAllowed, match="Wren's PIN was wrong 3 times; wait 5 s"):
        bench.hand_over("wren", "4711")
    clocks.go(0.1)
    bench.hand_over("wren", "4711")
    assert bench.doer_id == "wren"
    bench.hand_over("wren")  # whose hands are on the screen already
    bench.start(["FB-NR"], "form-block", "measure-pattern")
    bench.hand_over("pip")  # without a PIN of their own
    with pytest.raises(NotAllowed, match="PIN"):
        bench.hand_over("odile")
    with pytest.raises(NotAllowed, match="PIN"):
        bench.come("odile")  # an adult's presence lets others do more
    bench.leave("pip")
    bench.close()


def test_a_builder_who_comes_to_helpers_gives_the_pin(new_shop: Path, clocks: SteadyClocks) -> None:
    bench = Bench(_with_pins(new_shop), clocks)
    bench.hand_over("wren", "4711")
    bench.start(["FB-NR"], "form-block", "measure-pattern")
    bench.hand_over("pip")
    bench.hand_over("wren", "4711")
    bench.come("pip")
    bench.hand_over("odile", "2906")
    bench.leave("wren")
    with pytest.raises(NotAllowed, match="Wren's PIN"):
        bench.come("wren")
    bench.come("wren", "4711")
    assert "wren" in [one.id for one in bench.people]
    bench.close()


def test_a_second_look_is_an_adults_who_is_here_and_says_what_was_seen(bench: Bench) -> None:
    complete(bench, "BR-01")
    take_to(bench, ["FS-01"], "spar-channel/bend-first")
    bench.come("odile")
    bench.come("pip")
    assert [one.id for one in bench.who_may_look("FS-01")] == ["odile"]
    before = dict(bench.state.part("FS-01").looked)
    for looker, finding, why in (
        ("odile", "  ", "a look ends in what was seen"),
        ("pip", "straight", "Pip is too young"),
        ("wren", "straight", "the same person cannot give both"),
        ("nobody at all", "straight", "nobody by that name"),
    ):
        with pytest.raises(Refused, match=why):
            bench.hold_look(["FS-01"], looker, finding)
        assert bench.state.part("FS-01").looked == before
    bench.hold_look(["FS-01"], "odile", "  sight lines agree ")
    event = bench.record.journal.after(0)[-1]
    assert (event.body.looker, event.body.finding) == ("odile", "sight lines agree")  # type: ignore[union-attr]
    assert bench.state.part("FS-01").looked == {**before, StepRef("spar-channel", "bend-first"): "odile"}


def test_a_second_look_is_given_where_one_is_asked_for() -> None:
    held = step(id="held", hold_point=True)
    plain = step(id="plain")
    shop, _ = with_steps(brambling(), "form-block", plain, held)
    odile = helper(id="odile", name="Odile")
    now = moment(builder(), odile, shop=shop)
    with pytest.raises(Refused, match="no second look is asked for here"):
        parts.second_look(now, ["FB-NR"], "odile", "good")
    shop, _ = with_steps(brambling(), "form-block", held, plain)
    bodies = parts.second_look(moment(builder(), odile, shop=shop), ["FB-NR"], "odile", "good")
    assert [body.kind for body in bodies] == ["procedure_kept", "hold_looked"]
    batch = moment(builder(), odile, shop=shop)
    (_, looked) = parts.second_look(batch, ["FB-NR", "FB-MR"], "odile", "good")
    assert isinstance(looked, HoldLooked) and looked.marks == ("FB-NR", "FB-MR")
    done = PartState("FB-MR", passes={"form-block": {"held": StepDone(NOW, "wren", "1")}})
    ahead = moment(builder(), odile, shop=shop, state=State(parts={"FB-MR": done}))
    for marks, why in (
        (["FB-NR", "FB-MR"], "FB-MR is not at this step"),
        (["FB-MR", "FB-NR"], "no second look"),
    ):
        with pytest.raises(Refused, match=why):
            parts.second_look(ahead, marks, "odile", "good")
    with pytest.raises(Refused, match="NR-01 is not at this step"):
        parts.second_look(batch, ["FB-NR", "NR-01"], "odile", "good")
    with pytest.raises(NotAllowed, match="only the builder"):  # who may not do the step shows it to nobody
        shop, _ = with_steps(
            brambling(), "form-block", step(id="held", hold_point=True, who="builder"), plain
        )
        parts.second_look(moment(helper(), odile, shop=shop), ["FB-NR"], "odile", "good")
