"""LIFT acts: two lift a long part, who are at the bench and old enough (common practice, no source)."""

from kiosk.bench import Bench
from kiosk.record.authority import lends_a_hand, may_not_do, takes_two
from kiosk.shop.hazards import HAZARDS
from kiosk.shop.procedure import StepRef
from tests.record.moments import born, builder, helper, moment, step


def barred(bench: Bench, ref: StepRef) -> str:
    step = bench.shop.procedures[ref.procedure].step(ref.step)
    assert step is not None
    return may_not_do(bench.context, step)


def test_one_person_does_not_bend_a_spar(bench: Bench) -> None:
    bend = StepRef("spar-channel", "bend-first")
    assert barred(bench, bend) == "lifting long parts takes 2 people of 16 and over at the bench"
    bench.come("pip")  # thirteen
    assert "lifting long parts takes 2" in barred(bench, bend)
    bench.come("odile")
    assert barred(bench, bend) == ""
    bench.leave("odile")
    assert "lifting long parts takes 2" in barred(bench, bend)


def test_every_long_piece_is_carried_clamped_and_bent_by_two() -> None:
    assert {tag for tag, row in HAZARDS.items() if row.people > 1} == {"LIFT"}


def test_no_part_is_offered_that_takes_two(bench: Bench) -> None:
    """The planner asks the same door."""
    for one in (*bench.spare(240).suggestions, *bench.spare(240).instead):
        step = bench.shop.procedures[one.procedure].step(one.step)
        assert step is not None and "LIFT" not in step.hazards


def test_who_lends_a_hand_is_old_enough_does_it_by_now_and_does_all_of_the_steps() -> None:
    lift, plain = step(hazards=("LIFT",)), step(hazards=("EYES",))
    assert takes_two(moment(builder()), lift) and not takes_two(moment(builder()), plain)
    assert not takes_two(moment(builder()), step())
    odile = helper(id="odile", name="Odile")
    for others, lends in (
        ((), None),
        ((helper(),), "pip"),
        ((helper(born=born(15)), odile), "odile"),
        ((helper(not_yet=("LIFT",)), odile), "odile"),
        ((helper(born=born(15)),), None),
        ((helper(born=born(16)),), "pip"),  # sixteen today
    ):
        found = lends_a_hand(moment(builder(), *others), [plain, lift, lift])
        assert (found.id if found is not None else None) == lends
    assert lends_a_hand(moment(builder(), odile), [plain]) is None
