"""Parts of two kinds go all at once where nothing tells them apart: ribs and clips under one mixed primer."""

from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.batch import InBatch, place_in_batch
from kiosk.record.rules import Refused
from kiosk.record.together import go_together
from kiosk.shop.at_hand import ORDINARY_DAY
from kiosk.shop.figures import Figures
from kiosk.shop.parts import PartKind, RouteStage
from kiosk.shop.procedure import NumberWanted, StepRef
from tests.conftest import SteadyClocks
from tests.driver import do_step, good_answer, next_step

RIBS, CLIPS = ("NR-01", "NR-02"), ("CA-01", "CA-02", "CA-03")
ALL = (*RIBS, *CLIPS)
MIX = StepRef("clean-and-prime", "mix")


@pytest.fixture
def bench(new_shop: Path, clocks: SteadyClocks) -> Bench:
    """Ribs and clips that are primed and nothing else."""
    bench = Bench(new_shop, clocks)
    primed = RouteStage(procedure="clean-and-prime")
    kinds: dict[str, PartKind] = {}
    for name, kind in bench.shop.kinds.items():
        kinds[name] = kind
        if name in {bench.shop.parts[mark].kind for mark in ALL}:
            kinds[name] = kind.model_copy(update={"route": (primed,)})
            kinds[name].gets(kind.its_finish)
    bench.shop = replace(bench.shop, kinds=kinds, _steps={})
    return bench


def to_step(bench: Bench, step: str, clocks: SteadyClocks) -> None:
    """All of them as one batch up to a step, as the place card says."""
    bench.join_batch(ALL)
    do_step(bench, list(ALL))
    for _ in range(120):
        card = bench.place_card()
        if card.action == "begin" and card.step == step:
            return
        if card.action == "begin":
            do_step(bench, list(card.marks))
        else:
            clocks.go(5)  # it dries
            bench.note_conditions(68, 55)
    raise AssertionError(bench.place_card())


def test_ribs_and_clips_go_under_one_mixture(bench: Bench, clocks: SteadyClocks) -> None:
    to_step(bench, "mix", clocks)
    card = bench.place_card()
    assert card.action == "begin" and card.step == "mix", card.blocked
    assert set(card.marks) == set(ALL)
    work = bench.begin_batch(card.marks, card.procedure, card.step)
    bench.acknowledge(work)
    base, hardener = bench.step_view(work).numbers[:2]
    alone = {
        kind: bench.shop.figures.step_number(bench.shop.kind_of(mark), number_of(bench, "base"), ORDINARY_DAY)
        for kind, mark in (("rib", RIBS[0]), ("clip", CLIPS[0]))
    }
    # One rest in strainer, cup and test panel, and each blank by itself: it adds up.
    shop = bench.shop
    parts = shop.figures.number(shop.kind_of(RIBS[0]), "base_parts", "")
    of_base = parts / (parts + shop.figures.number(shop.kind_of(RIBS[0]), "hardener_parts", ""))
    rest = shop.figures.number(shop.kind_of(RIBS[0]), "gun_rest", "ml") * of_base
    rib, clip = (one.value or 0.0 for one in alone.values())
    assert base.value == pytest.approx(2 * (rib - rest) + 3 * (clip - rest) + rest)
    assert hardener.value == pytest.approx((base.value or 0.0) * (1 - of_base) / of_base)
    for check in next_step(bench, card.marks[0]).checks:
        bench.answer(work, card.marks[0], check.id, good_answer(bench, check, card.marks[0]))
    bench.finish(work, card.marks[0])
    assert {next_step(bench, mark).id for mark in ALL} == {"strain"}
    assert set(bench.place_card().marks) == set(ALL)


def number_of(bench: Bench, figure: str) -> NumberWanted:
    """The number of the mixture that is shown under this name."""
    _, step = bench.shop.find_step(MIX.procedure, MIX.step)
    assert step is not None
    return next(one for one in step.numbers if isinstance(one, NumberWanted) and one.figure == figure)


def test_what_is_told_apart_does_not_go_together(bench: Bench) -> None:
    shop = bench.shop
    assert go_together(shop, ALL, MIX)
    assert go_together(shop, RIBS, StepRef("rib-blank", "choose-sheet"))  # one kind
    assert not go_together(shop, ("NR-01", "MR-01"), StepRef("rib-forming", "no such step"))
    other = shop.kind_of("CA-01").model_copy(update={"finish": None})
    kinds = {**shop.kinds, other.id: other}
    assert not go_together(replace(shop, kinds=kinds, _steps={}), ALL, MIX)


def test_one_micrometer_reading_holds_for_one_thickness_only(new_shop: Path, clocks: SteadyClocks) -> None:
    bench = Bench(new_shop, clocks)
    ref, marks = StepRef("rib-blank", "choose-sheet"), ["NR-01", "MR-01"]
    assert go_together(bench.shop, marks, ref)  # both of .025
    main = bench.shop.kind_of("MR-01")
    material = main.material.model_copy(update={"thickness": 0.032})
    kinds = {**bench.shop.kinds, main.id: main.model_copy(update={"material": material})}
    bench.shop = replace(bench.shop, kinds=kinds, _steps={}, figures=Figures(kinds, new_shop))
    assert not go_together(bench.shop, marks, ref)
    with pytest.raises(Refused, match="do not go through together"):
        bench.start(marks, ref.procedure, ref.step)


def test_of_two_kinds_each_part_is_behind_or_ahead_by_its_step(bench: Bench, clocks: SteadyClocks) -> None:
    to_step(bench, "scuff", clocks)
    assert set(bench.place_card().marks) in (set(RIBS), set(CLIPS))  # it is looked at one by one
    do_step(bench, ["CA-02"])
    assert place_in_batch(bench.context, "CA-01") == InBatch(2, 5)
    assert place_in_batch(bench.context, "NR-01") == InBatch(2, 5)
    assert place_in_batch(bench.context, "CA-02") == InBatch(1, 5)


def test_the_answer_offers_one_mixture_for_both(bench: Bench, clocks: SteadyClocks) -> None:
    to_step(bench, "mix", clocks)
    answer = bench.spare(110)
    mixed = [one for one in answer.suggestions if one.step == "mix"]
    assert len(mixed) == 1 and set(mixed[0].marks) == set(ALL)
    stated = sum(one.minutes for one in answer.suggestions) + answer.set_up_minutes
    assert stated <= answer.total_minutes <= 110
    work = bench.begin_batch(mixed[0].marks, mixed[0].procedure, mixed[0].step)
    assert set(bench.work(work).marks) == set(ALL)
