"""What has to pass between steps lies along one line of time, for the advice and for putting away."""

from dataclasses import replace

import pytest

from kiosk.bench import Bench
from kiosk.planning.choose.exact import Chosen
from kiosk.planning.choose.option import set_up_of
from kiosk.planning.likely_plan import likely_plan
from kiosk.planning.plan import Plan
from kiosk.planning.put_away import minutes_to_leave
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.chain import (
    Chains,
    before_what_waits,
    running_waits,
    running_within,
    sat_out,
    waits_along,
)
from kiosk.planning.work.find_work import find_work
from kiosk.planning.work.limits import can_be_kept, own_limits, start_by
from kiosk.planning.work.reaches import STEADY_CHANCE
from kiosk.record.holding import HeldTools
from tests.driver import do_step
from tests.record.moments import step, with_steps


def passes(minutes: int, before: str) -> dict[str, str]:
    """A wait of so many minutes before a step."""
    return {"what": "coat drying", "must_pass": f"{minutes} min", "before": before}


@pytest.fixture
def coats(bench: Bench) -> Bench:
    """Two coats: one wait runs from the first, one from the second, and both end before the look."""
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(
            id="first-coat",
            stop="go straight on",
            minutes={"each": "1"},
            waits=[
                passes(20, "second-coat"),
                passes(60, "look"),
                {"what": "coat open", "within": "70 min", "begin": "look", "if_missed": "Sand it."},
            ],
        ),
        step(id="second-coat", stop="go straight on", minutes={"each": "1"}, waits=[passes(30, "look")]),
        step(id="look", stop="go straight on", minutes={"each": "1"}, waits=[passes(5, "hang")]),
        step(id="hang", stop="only when finished", minutes={"each": "1"}),
    )
    return bench


def test_waits_that_run_at_once_are_not_added_up(coats: Bench) -> None:
    procedure = coats.shop.procedures["rib-blank"]
    chain = [(procedure, one) for one in procedure.steps]
    context = coats.context
    # 20 before the second coat; 60 from the first are the longer, of which 20 are over by then; then 5.
    assert waits_along(context.state, "NR-01", chain) == [0, 20, 40, 5]
    chains = Chains(context.shop, context.state, lambda _: [], HeldTools(context))
    assert sat_out(waits_along(context.state, "NR-01", chain), 0) == 65
    # Other things fill the one before the look.
    assert sat_out(waits_along(context.state, "NR-01", chain), 2) == 25
    assert chains.wait_before("NR-01", chain, 2) == 40


def test_the_bench_is_left_when_the_advice_says(coats: Bench) -> None:
    procedure = coats.shop.procedures["rib-blank"]
    predictor = Predictor(coats.context)
    for number, waits in ((0, 65), (1, 35), (2, 5), (3, 0)):
        chain = [(procedure, one) for one in procedure.steps[number:]]
        assert sum(waits_along(coats.state, "NR-01", chain)) == waits
        found = minutes_to_leave(coats.context, predictor, procedure, procedure.steps[number], "NR-01")
        assert waits < found < waits + 4 * len(chain)  # a minute each, as nine times in ten it is enough


def test_a_limit_that_both_waits_leave_time_for_is_begun(coats: Bench) -> None:
    procedure = coats.shop.procedures["rib-blank"]
    chain = [(procedure, one) for one in procedure.steps]
    context = coats.context
    chains = Chains(context.shop, context.state, lambda _: [], HeldTools(context))
    # 60 minutes pass before the look, and not 80: within 70 it can begin.
    for minutes, kept in ((1.0, True), (10.0, True), (11.0, False)):
        limits = own_limits(chains, "NR-01", 1, chain, len(chain), lambda *_, of=minutes: of, lambda *_: 0.0)
        assert can_be_kept(limits, len(chain)) is kept


@pytest.fixture
def sealed(bench: Bench) -> Bench:
    """Sealed a while ago: four hours pass before the ring, and none before what comes between."""
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="seal", stop="anywhere", minutes={"each": "1"}, waits=[passes(240, "ring")]),
        step(id="scrap", stop="anywhere", minutes={"each": "2"}),
        step(id="ring", stop="anywhere", minutes={"each": "5"}),
        step(id="file", stop="anywhere", minutes={"each": "5"}),
    )
    do_step(bench, ["NR-01", "NR-02"])
    return bench


def test_no_step_is_offered_for_which_a_wait_runs_already(sealed: Bench) -> None:
    procedure = sealed.shop.procedures["rib-blank"]
    chain = [(procedure, one) for one in procedure.steps[1:]]
    assert running_waits(sealed.context, "NR-01") == {("rib-blank", "ring"): pytest.approx(240, abs=1)}
    assert before_what_waits(sealed.context, ["NR-01", "NR-02"], chain) == 1
    assert before_what_waits(sealed.context, ["NR-03"], chain) == 3  # it was not sealed
    for minutes in (30, 60, 120):
        answer = sealed.spare(minutes)
        for one in (*answer.suggestions, *answer.instead):
            if {"NR-01", "NR-02"} & set(one.marks):
                assert [step.id for _, step in one.stretch.steps] == ["scrap"]


def test_what_leads_on_without_a_stop_to_what_waits_is_not_begun(coats: Bench) -> None:
    """The second coat would start a limit that ends before the first one's wait does."""
    procedure = coats.shop.procedures["rib-blank"]
    do_step(coats, ["NR-01"])
    chain = [(procedure, one) for one in procedure.steps]
    assert before_what_waits(coats.context, ["NR-01"], chain[:1] + chain[2:]) == 0
    # The wait that holds the first of them is over when that begins.
    assert before_what_waits(coats.context, ["NR-01"], chain[2:]) == 2


def test_a_limit_leaves_time_for_what_has_to_stand_before_its_end(bench: Bench) -> None:
    """Clean bare metal within 30 minutes: mixed primer stands for 20 of them before it is sprayed."""
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(
            id="wash",
            minutes={"each": "1"},
            waits=[{"what": "clean", "within": "30 min", "begin": "spray", "if_missed": "Wash it again."}],
        ),
        step(id="mix", stop="go straight on", minutes={"each": "1"}, waits=[passes(20, "spray")]),
        step(id="spray", stop="only when finished", minutes={"each": "1"}),
    )
    do_step(bench, ["NR-01", "NR-02"])
    procedure = bench.shop.procedures["rib-blank"]
    chain = [(procedure, one) for one in procedure.steps[1:]]
    latest = start_by(bench.context, ["NR-01", "NR-02"], chain, lambda *_: 3.0, 0.0)
    # Both are mixed, and the second is sprayed after the first.
    assert latest is not None and 30 - 20 - 3 * 3.0 - 1 <= latest <= 30 - 20 - 3 * 3.0


@pytest.fixture
def in_a_run(bench: Bench) -> Bench:
    """Parts that can't be left: sealed a while ago, an hour passes before the last step of their run."""
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="seal", stop="go straight on", minutes={"each": "1"}, waits=[passes(60, "close")]),
        step(id="scrape", stop="go straight on", minutes={"each": "2"}),
        step(id="close", stop="only when finished", minutes={"each": "3"}),
        step(id="file", stop="anywhere", minutes={"each": "5"}),
    )
    do_step(bench, ["NR-01", "NR-02"])
    return bench


@pytest.mark.parametrize("slot", [90, 120])
def test_what_cannot_be_left_is_given_the_wait_that_runs_on_it(in_a_run: Bench, slot: int) -> None:
    """The wait is filled by other things, and both ends of the stretch lie around it."""
    answer = in_a_run.spare(slot)
    parts = next(one for one in answer.suggestions if "NR-01" in one.marks)
    assert [step.id for _, step in parts.stretch.steps][:2] == ["scrape", "close"]
    assert parts.stretch.gap_after == 1 and 58 <= parts.stretch.gap_minutes <= 60
    assert parts.stretch.minutes < 20


def test_a_limit_in_a_run_counts_the_wait_that_runs(in_a_run: Bench) -> None:
    procedure = in_a_run.shop.procedures["rib-blank"]
    chain = [(procedure, one) for one in procedure.steps[1:]]
    running = running_within(in_a_run.context, ["NR-01", "NR-02"], chain)
    assert running == {("rib-blank", "close"): pytest.approx(60, abs=1)}
    assert running_within(in_a_run.context, ["NR-01"], chain[1:]) == {}  # over when that begins
    chains = Chains(in_a_run.shop, in_a_run.state, lambda _: [], HeldTools(in_a_run.context))
    assert chains.wait_before("NR-01", chain, 1, running) == pytest.approx(60, abs=1)
    assert sat_out(chains.along("NR-01", chain, running), 0) == pytest.approx(60, abs=1)
    assert chains.following("NR-01", chain, may_wait=True, running=running)[1] == 1
    assert chains.following("NR-01", chain, may_wait=True)[1] == 0


@pytest.mark.parametrize("slot", [3, 8, 15, 30, 60])
def test_what_cannot_be_left_is_told_however_long_it_still_waits(in_a_run: Bench, slot: int) -> None:
    """An hour passes before it can be closed: nobody is told to fill a quarter of one and go."""
    do_step(in_a_run, ["NR-01", "NR-02"])
    answer = in_a_run.spare(slot)
    stands = next(one for one in answer.suggestions if "NR-01" in one.marks)
    assert set(stands.marks) == {"NR-01", "NR-02"} and stands.ready_in >= 58
    assert 60 <= answer.total_minutes <= 85
    # The same, however few there are, but for putting away what fills the wait.
    assert answer.total_minutes == pytest.approx(in_a_run.spare(45).total_minutes, abs=1)


@pytest.mark.parametrize("slot", [5, 10, 30, 60])
def test_what_comes_after_a_wait_is_shown_whole_in_any_slot(in_a_run: Bench, slot: int) -> None:
    def told(slot: int) -> set[tuple[int, int, int]]:
        found = find_work(in_a_run.context, slot).candidates
        stands = next(one for one in found if one.like.in_a_run)
        places = [place for place, one in enumerate(stands.options) if one.gap_after and one.steps == 2]
        stretches = [stands.stretch(place) for place in places]
        return {(one.minutes, one.gap_minutes, one.last_minutes) for one in stretches}

    assert told(slot) == told(120)
    ((minutes, gap, last),) = told(slot)
    assert 58 <= gap <= 60 and 0 < last < minutes


def with_a_drill(bench: Bench, slot: int) -> Plan:
    """What can't be left, with a wait that other things fill, and drilling beside it, that is put away."""
    minutes = {"each": "20", "set_up": "5", "put_away": "15"}
    bench.shop, _ = with_steps(
        bench.shop, "practice-panel", step(id="drill", stop="anywhere", family="drill", minutes=minutes)
    )
    found = find_work(bench.context, slot)
    chosen: dict[int, int] = {}
    for number, candidate in enumerate(found.candidates):
        for place, option in enumerate(candidate.options):
            stands = candidate.like.in_a_run and option.gap_after
            if stands or (candidate.step.id == "drill" and not option.minutes_left):
                chosen.setdefault(number, place)
    picked = [found.candidates[number].options[place] for number, place in chosen.items()]
    families = tuple(dict.fromkeys(name for option in picked for name in option.families))
    minutes_in_all = sum(option.minutes for option in picked) + set_up_of(families, found.set_up, found.free)
    assert len(picked) == 2
    return Plan(found, Chosen(chosen, 0, minutes_in_all, families))


def test_putting_away_fills_no_wait(in_a_run: Bench) -> None:
    """What is put away when the bench is left is not done while something stands."""
    plan = with_a_drill(in_a_run, 120)
    stands = next(one for one in plan.stretches if one.gap_minutes)
    drilled = next(one for one in plan.stretches if one is not stands)
    away = plan.found.away[drilled.family]
    assert away >= 15
    set_up = plan.found.set_up[drilled.family] - away
    assert plan.idle_minutes == stands.gap_minutes - drilled.minutes - set_up > 0


def test_what_fills_a_wait_of_what_stands_ends_in_time_nine_times_in_ten(in_a_run: Bench) -> None:
    """It comes last and cannot be left: nothing is begun meanwhile at worse odds than what cannot be left."""
    assert with_a_drill(in_a_run, 120).wanted_chance < STEADY_CHANCE  # it can be put off
    do_step(in_a_run, ["NR-01", "NR-02"])
    plan = likely_plan(find_work(in_a_run.context, 100), 100)
    assert any(one.ready_in for one in plan.stretches) and plan.wanted_chance == STEADY_CHANCE


@pytest.mark.parametrize("slot", [3, 15, 45, 120])
def test_all_that_is_wet_is_told_and_no_further_than_it_must(in_a_run: Bench, slot: int) -> None:
    answer = in_a_run.spare(slot)
    wet = next(one for one in answer.suggestions if "NR-01" in one.marks)
    assert set(wet.marks) == {"NR-01", "NR-02"}
    if slot < 60:
        assert [step.id for _, step in wet.stretch.steps] == ["scrape", "close"]


def test_what_stands_and_cannot_go_on_is_said_first(bench: Bench) -> None:
    """Washed, and the room was not read, which the end of the run asks for: nothing may hide that."""
    room = {"temperature_f": {"low": "50", "high": "90"}}
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="wash", stop="go straight on", minutes={"each": "1"}),
        step(id="rinse", stop="go straight on", minutes={"each": "1"}),
        step(id="coat", stop="only when finished", minutes={"each": "1"}, conditions=room),
    )
    do_step(bench, ["NR-01", "NR-02"])
    for slot in (5, 20, 60):
        answer = bench.spare(slot)
        first = answer.not_now[0]
        assert set(first.marks) == {"NR-01", "NR-02"} and (first.step.id, first.block.kind) == (
            "coat",
            "room air",
        )
        assert answer.read_room is not None


@pytest.mark.parametrize(("limit", "first"), [("4 h", True), ("20 days", False)])
def test_what_goes_to_waste_before_anybody_is_back_leaves_other_work_for_later(
    bench: Bench, limit: str, first: bool
) -> None:
    """Setting up for the next step takes most of the slot, which other work would fill."""
    clean = {"what": "clean", "within": limit, "begin": "coat", "if_missed": "Wash it again."}
    minutes = {"each": "1", "set_up": "25", "put_away": "10"}
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="wash", minutes={"each": "1"}, waits=[clean]),
        step(id="coat", stop="only when finished", family="spray", minutes=minutes),
    )
    do_step(bench, ["NR-01", "NR-02"])
    plan = likely_plan(find_work(bench.context, 90), 90)
    assert any("NR-01" in one.marks for one in plan.stretches) is first


@pytest.mark.parametrize("minutes", [50, 60, 70])
def test_quick_hands_at_what_fills_a_wait_make_it_no_shorter(in_a_run: Bench, minutes: int) -> None:
    """A plan of 79 minutes had one chance in three in 60: what filled its hour was planned for the slow."""
    do_step(in_a_run, ["NR-01", "NR-02"])
    found = find_work(in_a_run.context, 120)
    alone = Plan.of_what_stands(found)
    tried = 0
    for number, one in enumerate(found.candidates):
        for place, option in enumerate(one.options):
            if number not in alone.chosen.options and 20 <= option.minutes <= 60:
                options = {**alone.chosen.options, number: place}
                families = (*alone.chosen.families, *option.families)
                whole = alone.chosen.minutes + found.minutes_alone(option)
                both = Plan(found, replace(alone.chosen, options=options, families=families, minutes=whole))
                assert both.chance(minutes) <= alone.chance(minutes) + 0.03
                tried += 1
    assert tried
