"""What is kept of the ways ahead is what a bench that was just opened finds, whatever happened meanwhile."""

from dataclasses import replace

import pytest

from kiosk.planning.spare import spare
from kiosk.planning.work.chain import Chains
from kiosk.planning.work.ways_ahead import WaysAhead
from kiosk.record.context import Context, Kept
from kiosk.record.holding import HeldTools
from kiosk.record.position import minutes_left_from, steps_left_from
from kiosk.record.readiness import Block
from kiosk.record.state import PieceTime
from kiosk.shop.procedure import Step
from tests.benchmarks.mid_build import MidBuild, at_the_bench, middles_of_build
from tests.conftest import local_time
from tests.record.moments import brambling


@pytest.fixture(scope="module")
def build() -> MidBuild:
    found = next(middles_of_build(brambling(), local_time(2026, 12, 1, 18), 5, (0.06,)))
    at_the_bench(found, 18)
    return found


def afresh(context: Context) -> Context:
    """The same moment with nothing kept."""
    return replace(context, kept=Kept())


def test_a_way_ahead_is_what_follows_step_by_step_whatever_stops(build: MidBuild) -> None:
    context = build.alone()
    shop, state, positions = context.shop, context.state, context.positions
    ways = context.kept.of(WaysAhead)
    known = cut = 0
    for every in (0, 5, 9):  # of so many steps one is stopped; 0: none

        def stops_of(step: Step, every: int = every) -> list[Block]:
            stopped = every and sum(map(ord, step.id)) % every == 0
            return [Block("tool", "not there")] if stopped else []

        chains = Chains(shop, state, stops_of, HeldTools(context))
        for at in positions.at_steps():
            mark = (*at.alike, *at.own)[0]
            where = positions.of(mark)
            left = steps_left_from(shop, state, where)
            chain, gap = chains.following(mark, left, may_wait=True)
            way = ways.at(context, positions.route(shop.parts[mark].kind), where)
            if way is None:
                continue
            known += 1
            cut += len(chain) < len(way.chain)
            assert way.now(stops_of) == (tuple(chain), gap), (mark, every)
            assert tuple(way.left) == tuple(left)
            assert way.minutes_left == minutes_left_from(shop, state, where)
    assert known > 60
    assert cut > 5


def test_a_bench_that_lived_answers_as_one_opened_anew(build: MidBuild) -> None:
    for minutes in (12, 45, 90):
        for _ in range(2):
            build.act()
            build.go(1)
            lived = build.alone()
            assert told(lived, minutes) == told(afresh(lived), minutes)


def told(context: Context, minutes: int) -> tuple[object, ...]:
    """All that an answer says of what to do."""
    answer = spare(context, minutes)
    return answer.suggestions, answer.instead, answer.total_minutes, answer.chance, answer.exact


def test_times_of_a_kind_are_its_own_once_they_are_on_record(build: MidBuild) -> None:
    context = build.alone()
    done = {(of.step, of.of_kind) for of in context.state.times if isinstance(of, PieceTime)}
    assert done
    for ref, kind in done:
        assert kind in context.paces.kinds_done(ref.procedure, ref.step)
    assert not context.paces.kinds_done("no procedure", "no step")


def test_another_route_has_ways_of_its_own(build: MidBuild) -> None:
    context = build.alone()
    ways = context.kept.of(WaysAhead)
    where = context.positions.of("NR-01")
    kind = context.shop.kind_of("NR-01")
    before = ways.at(context, context.shop.route_of(kind), where)
    other = replace(context.shop, kinds={**context.shop.kinds, kind.id: kind.model_copy()})
    after = ways.at(replace(context, shop=other), other.route_of(other.kinds[kind.id]), where)
    assert after is not before
    assert ways.at(replace(context, shop=other), other.route_of(other.kinds[kind.id]), where) is after
