"""Parts of two kinds go all at once where nothing tells them apart: ribs and clips under one mixed primer."""

from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.planning.work.to_put_away import LATE_MINUTES
from kiosk.record.batch import InBatch, place_in_batch
from kiosk.record.events import StepFinished
from kiosk.record.rules import Refused
from kiosk.record.together import blank_in2, go_together
from kiosk.shop.at_hand import ORDINARY_DAY
from kiosk.shop.figures import Figures
from kiosk.shop.procedure import NumberWanted, StepRef
from tests.conftest import SteadyClocks
from tests.driver import do_step, finish_piece, good_answer, next_step
from tests.logbook.reading import write_record
from tests.record.primed_alone import primed_alone

RIBS, CLIPS = ("NR-01", "NR-02"), ("CA-01", "CA-02", "CA-03")
ALL = (*RIBS, *CLIPS)
MIX = StepRef("clean-and-prime", "mix")


@pytest.fixture
def bench(new_shop: Path, clocks: SteadyClocks) -> Bench:
    """Ribs and clips that are primed and nothing else."""
    bench = Bench(new_shop, clocks)
    primed_alone(bench, ALL)
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
    exact = number_of(bench, "pour_base").model_copy(update={"figure": "base"})
    alone = {
        kind: bench.shop.figures.step_number(bench.shop.kind_of(mark), exact, ORDINARY_DAY)
        for kind, mark in (("rib", RIBS[0]), ("clip", CLIPS[0]))
    }
    # One rest in strainer, cup and test panel, and each blank by itself: it adds up.
    shop = bench.shop
    parts = shop.figures.number(shop.kind_of(RIBS[0]), "base_parts", "")
    of_base = parts / (parts + shop.figures.number(shop.kind_of(RIBS[0]), "hardener_parts", ""))
    rest = shop.figures.number(shop.kind_of(RIBS[0]), "gun_rest", "ml") * of_base
    rib, clip = (one.value or 0.0 for one in alone.values())
    worked_out = 2 * (rib - rest) + 3 * (clip - rest) + rest
    assert base.value is not None and worked_out <= base.value <= worked_out + 2  # in whole millilitres
    assert hardener.value == pytest.approx((base.value or 0.0) * (1 - of_base) / of_base)
    finish_piece(bench, work, card.marks[0])
    assert {next_step(bench, mark).id for mark in ALL} == {"strain"}
    assert set(bench.place_card().marks) == set(ALL)
    (mixed,) = (
        event.body
        for event in bench.record.journal.of_kind("step_finished")
        if isinstance(event.body, StepFinished) and event.body.step == "mix"
    )
    assert [(one.name, one.shown) for one in mixed.figures] == [
        (base.title, base.shown),
        (hardener.title, hardener.shown),
    ]
    bench.close_sitting("")
    write_record(bench)
    logbook = "".join(path.read_text() for path in bench.shop.folder.rglob("*.html"))
    assert f"Worked out: {base.title}, {base.shown}" in logbook


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


def test_two_finishes_are_never_one_mixture(bench: Bench) -> None:
    """Whatever their sheets say alike: what one product asks for in this room the other may not."""
    clip = bench.shop.kind_of("CA-01")
    assert clip.its_finish is not None
    other = clip.model_copy(update={"finish": "other-grey"})
    other.gets(clip.its_finish.model_copy(update={"id": "other-grey", "name": "Other Grey"}))
    kinds = {**bench.shop.kinds, clip.id: other}
    shop = replace(bench.shop, kinds=kinds, _steps={}, figures=Figures(kinds, bench.shop.folder))
    assert go_together(shop, RIBS, MIX) and go_together(shop, CLIPS, MIX)
    assert not go_together(shop, ALL, MIX)


def test_a_tab_of_less_than_a_square_inch_goes_under_the_mixture_too(bench: Bench) -> None:
    clip = bench.shop.kind_of("CA-01")
    small = clip.model_copy(
        update={"dimensions": {**clip.dimensions, "blank_length": "0.9", "blank_width": "0.9"}}
    )
    small.gets(clip.its_finish)
    kinds = {**bench.shop.kinds, clip.id: small}
    shop = replace(bench.shop, kinds=kinds, _steps={}, figures=Figures(kinds, bench.shop.folder))
    assert blank_in2(shop, small) == pytest.approx(0.81)
    assert go_together(shop, ALL, MIX)


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
    assert stated <= answer.total_minutes <= 110 + LATE_MINUTES  # what would spoil may be that late
    work = bench.begin_batch(mixed[0].marks, mixed[0].procedure, mixed[0].step)
    assert set(bench.work(work).marks) == set(ALL)
    bench.acknowledge(work)
    finish_piece(bench, work, bench.work(work).marks[0])
    (strain,) = (one for one in bench.spare(110).suggestions if one.step == "strain")
    assert strain.ready_in and set(strain.marks) == set(ALL)  # one pot stands there for all
    lines = [line for line in bench.place_card().clocks if "mixed primer" in line]
    assert len(lines) == 2 and all("5 parts" in line for line in lines)  # it stands, and its pot life
    clocks.go(40)
    for minutes in (15, 110):  # whether there is time for it or not
        assert set(bench.spare(minutes).suggestions[0].marks) == set(ALL)


def test_a_part_held_by_a_snag_does_not_hide_the_others_on_the_card(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """The four with primer in the gun stood nowhere: the held one's limit came first."""
    to_step(bench, "strain", clocks)
    work = bench.begin_batch(bench.place_card().marks, "clean-and-prime", "strain")
    bench.acknowledge(work)
    bench.raise_snag("NR-01", "a scratch")
    bench.split_batch(["NR-01"])
    finish_piece(bench, work, "NR-02")
    card = bench.place_card()
    assert set(card.marks) == set(ALL) - {"NR-01"} and card.action == "begin"


def test_what_is_told_apart_while_it_is_in_hand_is_not_finished_together(
    bench: Bench, clocks: SteadyClocks
) -> None:
    to_step(bench, "mix", clocks)
    work = bench.begin_batch(bench.place_card().marks, "clean-and-prime", "mix")
    bench.acknowledge(work)
    first = bench.work(work).marks[0]
    for check in next_step(bench, first).checks:
        bench.answer(work, first, check.id, good_answer(bench, check, first))
    clip = bench.shop.kind_of("CA-01")
    other = clip.model_copy(update={"finish": None})
    bench.shop = replace(bench.shop, kinds={**bench.shop.kinds, clip.id: other}, _steps={})
    with pytest.raises(Refused, match="no longer go together"):
        bench.finish(work, first)
    bench.split_batch(CLIPS)
    bench.finish(work, first)
    assert {next_step(bench, mark).id for mark in RIBS} == {"strain"}
    assert {next_step(bench, mark).id for mark in CLIPS} == {"mix"}


def test_what_to_pour_is_not_told_where_a_blank_has_no_size(bench: Bench, clocks: SteadyClocks) -> None:
    """31 ml had become 19, without a word: the clips counted for nothing."""
    to_step(bench, "mix", clocks)
    work = bench.begin_batch(bench.place_card().marks, "clean-and-prime", "mix")
    bench.acknowledge(work)
    clip = bench.shop.kind_of("CA-01")
    given = {name: value for name, value in clip.dimensions.items() if name != "blank_width"}
    kinds = {**bench.shop.kinds, clip.id: clip.model_copy(update={"dimensions": given})}
    kinds[clip.id].gets(clip.its_finish)
    bench.shop = replace(bench.shop, kinds=kinds, _steps={}, figures=Figures(kinds, bench.shop.folder))
    shown = {number.title for number in bench.step_view(work).numbers}
    assert not {title for title in shown if "to pour" in title}, shown


def test_nothing_is_mixed_that_the_slot_cannot_end(bench: Bench, clocks: SteadyClocks) -> None:
    """Suited up is not mixed: with too little time for the coat, the mixture is left for another evening."""
    to_step(bench, "mix", clocks)
    for minutes in (5, 15, 30):
        answer = bench.spare(minutes)
        assert not answer.suggestions or answer.total_minutes <= minutes
        offered = [one.stretch for one in (*answer.suggestions, *answer.instead)]
        assert not {mark for one in offered for mark in one.marks} & set(ALL), minutes
    assert set(bench.spare(75).suggestions[0].stretch.marks) == set(ALL)


def test_the_surface_is_read_again_before_the_coat(bench: Bench, clocks: SteadyClocks) -> None:
    to_step(bench, "final-wipe", clocks)
    work = bench.start(bench.place_card().marks, "clean-and-prime", "final-wipe")
    bench.acknowledge(work)
    for check in bench.step_view(work).checks:
        if check.id != "surface":
            bench.answer(work, ALL[0], check.id, "yes")
    with pytest.raises(Refused, match="Surface temperature"):
        bench.finish(work, ALL[0])
    bench.answer(work, ALL[0], "surface", "50")  # F: colder than the finish and the dew point allow
    with pytest.raises(Refused, match="not as wanted"):
        bench.finish(work, ALL[0])


def test_each_limit_that_was_missed_is_answered_and_by_the_answer_to_it(
    bench: Bench, clocks: SteadyClocks
) -> None:
    to_step(bench, "spray", clocks)
    clocks.go(20)
    wiped = bench.missed_limit("NR-01")
    assert wiped is not None and wiped.what == "last wipe" and "Wipe every face" in wiped.if_missed
    clocks.go(8 * 60)  # pot and bare metal ran out too, while the question stood
    bench.answer_clock(["NR-01"], wiped.if_missed, asked=wiped.clock)
    assert next_step(bench, "NR-01").id == "final-wipe"
    with pytest.raises(Refused, match="no time limit was missed"):
        bench.answer_clock(["NR-01"], wiped.if_missed, asked=wiped.clock)
    asked = []
    while (missed := bench.missed_limit("NR-02")) is not None:
        bench.answer_clock(["NR-02"], missed.if_missed, asked=missed.clock)
        asked.append((missed.what, next_step(bench, "NR-02").id))
    # The mix is discarded, whatever else has to be done again.
    assert asked == [("last wipe", "final-wipe"), ("mixed primer", "mix"), ("clean bare aluminium", "scuff")]


@pytest.mark.parametrize("left", ["paused", "running"])
def test_after_the_coat_the_gun_comes_before_what_was_left(
    bench: Bench, clocks: SteadyClocks, left: str
) -> None:
    to_step(bench, "spray", clocks)
    filler = bench.start(["CA-04"], "clean-and-prime", next_step(bench, "CA-04").id)
    bench.acknowledge(filler)
    if left == "paused":
        bench.pause(filler)
    assert bench.place_card().marks == ("CA-04",) or left == "paused"
    clocks.go(1)
    work = bench.begin_batch(ALL, "clean-and-prime", "spray")
    bench.acknowledge(work)
    finish_piece(bench, work, ALL[0])
    card = bench.place_card()
    assert card.action == "begin" and card.step == "clean-gun" and set(card.marks) == set(ALL)
    assert any("CA-04" in one for one in card.paused)
