"""What is kept of everybody's times, and of what stops a step, is what is worked out afresh."""

import math
from dataclasses import replace

from kiosk.record.apply import copied
from kiosk.record.context import Context, Kept
from kiosk.record.holding import HeldTools, taken_through_a_wait
from kiosk.record.learning import USUAL_SLOPE, of_sums
from kiosk.record.out_on_bench import out_on_bench
from kiosk.record.paces import Paces
from kiosk.record.readiness import StepStops, step_blocks
from kiosk.record.state import PieceTime, State, Times
from kiosk.record.usual_times import EverybodysTimes, UsualTimes
from kiosk.shop.procedure import StepRef
from kiosk.shop.shop import Shop
from tests.benchmarks.mid_build import MidBuild
from tests.conftest import local_time
from tests.record.moments import brambling, worked_steps

BEGUN = local_time(2026, 12, 1, 18)


def plain_pace(shop: Shop, state: State, person: str | None) -> tuple[float, float]:
    """How far log minutes lie over the estimates', and over how many kinds of step, time by time."""
    sums: dict[object, tuple[float, float]] = {}
    for of, times in state.times.items():
        if not isinstance(of, PieceTime) or person not in (None, of.person):
            continue
        written = next(one for one in shop.procedures[of.step.procedure].steps if one.id == of.step.step)
        assert written.times_are_worked == (of.of_kind is not None)
        minutes = written
        if of.of_kind is not None:
            steps = shop.steps_for(shop.kinds[of.of_kind], shop.procedures[of.step.procedure])
            minutes = next(one for one in steps if one.id == of.step.step)
        counted = of_sums(times) if of.in_sum else times
        if minutes.minutes.each > 0 and counted.weight > 0:
            weight, over = sums.get(of.step, (0.0, 0.0))
            of_first = counted.sum_y - USUAL_SLOPE * counted.sum_x
            sums[of.step] = (
                weight + counted.weight,
                over + (of_first - counted.weight * math.log(minutes.minutes.each)),
            )
    shares = [(weight / (weight + 2.0), over / weight) for weight, over in sums.values()]
    return sum(share * over for share, over in shares), sum(share for share, _ in shares)


def test_after_each_event_of_some_sittings_kept_paces_are_those_worked_out_afresh() -> None:
    build = MidBuild(brambling(), BEGUN, 7)
    build.quicker = 5
    kept = Paces()
    seen = 0

    def look() -> None:
        nonlocal seen
        seen += 1
        if seen % 5 == 0:
            kept.follow(build.shop, build.state)
            for person in ("wren", None):
                pace = kept.of(person)
                assert (pace.over, pace.weight) == plain_pace(build.shop, build.state, person)  # to the bit

    build.heard.append(look)
    for mark in ("FB-NR", "FB-MR", "FB-TP"):
        while build.step([mark]):
            pass
    for _ in range(2):
        build.sitting()
    assert seen > 200 and kept.of("wren").weight > 1
    # Another state, one with fewer times, and other files.
    for state in (copied(build.state), State(), build.state):
        assert kept.follow(build.shop, state).of("wren") == Paces().follow(build.shop, state).of("wren")
    fewer = copied(build.state)
    first = next(iter(fewer.times))
    fewer.times[first] = fewer.times.pop(first)  # taken out and learnt again: it stands last
    assert kept.follow(build.shop, fewer).of("wren") == Paces().follow(build.shop, fewer).of("wren")
    name = next(of.step.procedure for of in build.state.times if isinstance(of, PieceTime))
    procedures = {one: procedure for one, procedure in build.shop.procedures.items() if one != name}
    other = replace(build.shop, procedures=procedures)
    assert kept.follow(other, build.state).of("wren") == Paces().follow(other, build.state).of("wren")
    assert kept.of("wren") != Paces().follow(build.shop, build.state).of("wren")


def all_usual_times(times: UsualTimes, shop: Shop) -> list[object]:
    """What one piece, a set-up and putting away of every step is expected to take on every kind."""
    return [
        (times.piece(of, step, kind.id), times.set_up(of, step), times.put_away(of, step))
        for kind in shop.kinds.values()
        for of, step in shop.route_of(kind).all_steps
    ]


def test_after_each_event_usual_times_and_what_is_out_are_what_nothing_kept_gives() -> None:
    build = MidBuild(brambling(), BEGUN, 7)
    build.quicker = 5
    seen: list[UsualTimes] = []  # each kept, so that none is taken for another
    most_out = 0

    def same(context: Context) -> None:
        nonlocal most_out
        plain = replace(context, kept=Kept())
        assert list(out_on_bench(context).items()) == list(out_on_bench(plain).items())
        most_out = max(most_out, len(out_on_bench(plain)))
        kept = context.kept.of(EverybodysTimes).of(context, "wren", context.today)
        if not seen or seen[-1] is not kept:
            seen.append(kept)
        fresh = UsualTimes(context.shop, context.state, plain.paces, "wren", context.today)
        assert all_usual_times(kept, context.shop) == all_usual_times(fresh, context.shop)

    for mark in ("FB-NR", "FB-MR", "FB-TP"):
        while build.step([mark]):
            same(build.context)
    build.sitting()
    build.heard.append(lambda: same(build.context) if build.events % 10 == 0 else None)
    build.sitting()
    assert len(seen) > 3 and most_out > 3
    # Another day, and other files of the same record.
    build.go(20 * 24 * 60)
    same(build.context)
    name = next(of.step.procedure for of in build.state.times if isinstance(of, PieceTime))
    first, *others = build.shop.procedures[name].steps
    other = build.shop.procedures[name].model_copy(
        update={"steps": (first.model_copy(update={"family": "another bench"}), *others)}
    )
    shop = replace(build.shop, procedures={**build.shop.procedures, name: other})
    same(replace(build.context, shop=shop))


def test_steps_of_one_family_are_each_set_up_in_their_own_time() -> None:
    build = MidBuild(brambling(), BEGUN, 7)
    build.quicker = 5
    times = build.context.kept.of(EverybodysTimes).of(build.context, "wren", None)
    minutes: dict[object, dict[float, float]] = {}
    for kind in build.shop.kinds.values():
        for procedure, step in build.shop.route_of(kind).all_steps:
            if (usual := times.set_up(procedure, step)) is not None:
                found = minutes.setdefault(procedure.family_of(step), {})
                found[step.minutes.set_up] = usual.median_minutes
    several = [found for found in minutes.values() if len(found) > 1]
    assert several
    for found in several:
        assert sorted(found.values()) == [found[estimate] for estimate in sorted(found)]
        assert len(set(found.values())) == len(found)


def test_what_stops_a_step_and_what_it_takes_is_the_same_for_all_its_versions_that_ask_the_same() -> None:
    build = MidBuild(brambling(), BEGUN, 7)
    build.quicker = 5
    for context in (build.context, build.alone()):
        stops, tools = StepStops(context), HeldTools(context)
        versions = 0
        for kind in build.shop.kinds.values():
            for procedure, step in build.shop.route_of(kind).all_steps:
                versions += 1
                assert stops.of(step) == step_blocks(context, step)
                assert tools.taken(procedure, step) == taken_through_a_wait(procedure, step)
        assert versions > 100
    # A kind's own version that asks for something else is another step.
    step = next(one for one in build.shop.procedures["deburr"].steps if not one.conditions.loud)
    stops = StepStops(build.context)
    changed = step.model_copy(update={"tools": (*step.tools, "no such tool")})
    assert stops.of(step) != stops.of(changed) == step_blocks(build.context, changed)


def test_a_time_at_a_step_that_its_kind_no_longer_goes_through_says_nothing_of_pace() -> None:
    shop = brambling()
    procedure, worked = next(worked_steps(shop))
    goes = next(kind.id for kind in shop.kinds.values() if procedure.id in kind.procedures)
    no_more = next(kind.id for kind in shop.kinds.values() if procedure.id not in kind.procedures)

    def weight(of_kind: str) -> float:
        of = PieceTime(StepRef(procedure.id, worked.id), "wren", of_kind)
        kept = Paces()
        kept.follow(shop, State(times={of: Times(count=3, weight=3.0, sum_y=9.0)}))
        return kept.of("wren").weight

    assert weight(goes) == 3 / (3 + 2)  # of three times; of very many it is all of a step
    assert weight(no_more) == 0 and weight("no such kind") == 0
