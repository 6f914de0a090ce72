"""A kept position is what one worked out afresh is, whatever happened to part, record or files."""

import random
from dataclasses import replace

import pytest

from kiosk.record.apply import copied
from kiosk.record.events import Renamed, StepRenamed
from kiosk.record.position import left_in_a_run, position, steps_left
from kiosk.record.positions import Positions
from kiosk.record.readiness import blocks, step_blocks
from kiosk.record.rename import rename
from kiosk.record.snapshot import packed, unpacked
from kiosk.record.state import PartState, State
from kiosk.shop.procedure import StepRef
from kiosk.shop.shop import Shop
from tests.benchmarks.mid_build import MidBuild, at_the_bench, middles_of_build
from tests.conftest import local_time
from tests.record.moments import brambling
from tests.record.plain_positions import compare

BEGUN = local_time(2026, 12, 1, 18)


def differing(kept: Positions, shop: Shop, state: State) -> list[str]:
    """The marks whose kept position is not the one worked out afresh, or of which it is not kept whether they
    may be left and have something running on them."""
    kept.follow(shop, state)
    found = []
    for mark in shop.parts:
        part = state.part(mark)
        where, last = position(shop, state, mark), left_in_a_run(shop, part)
        is_kept = kept.of(mark), kept.in_runs.get(mark), mark in kept.busy
        if is_kept != (where, last, bool(part.clocks or part.work)):
            found.append(mark)
    return found


def test_after_each_of_thousands_of_events_kept_positions_are_those_worked_out_afresh() -> None:
    shop = brambling()
    build = MidBuild(shop, BEGUN, 25)
    kept = Positions()
    seen: set[str] = set()
    looked = 0

    def look() -> None:
        nonlocal looked
        looked += 1
        state = build.state
        if looked % 8 and looked > 200:  # those that changed, and some others: all of them every eighth time
            kept.follow(shop, state)
            newest = state.undoables[-1].parts if state.undoables else {}
            marks = [*newest, *random.Random(looked).sample(sorted(shop.parts), 3)]
            assert all(kept.of(mark) == position(shop, state, mark) for mark in marks)
        else:
            assert not differing(kept, shop, state)

    build.heard.append(look)
    for mark in ("FB-NR", "FB-MR", "FB-TP"):
        while build.step([mark]):
            pass
    while looked < 2500:
        before = build.state.seq
        build.sitting()
        seen |= {snag.decision for snag in build.state.snags.values()}
        assert build.state.seq > before
    assert any(part.remade for part in build.state.parts.values()), "a part was scrapped and remade"
    assert {"rework", "scrap and remake", "use as is"} <= seen


@pytest.fixture(scope="module")
def half_built() -> MidBuild:
    build = next(middles_of_build(brambling(), BEGUN, 5, (0.12,)))
    at_the_bench(build, 18)
    return build


def test_a_state_read_from_a_snapshot_or_copied_stands_alike(half_built: MidBuild) -> None:
    kept = Positions().follow(half_built.shop, half_built.state)
    read = unpacked(packed(half_built.state))
    for state in (read, copied(half_built.state), State(), half_built.state):
        assert not differing(kept, half_built.shop, state)


def test_a_part_that_an_undo_takes_out_of_the_record_stands_at_its_beginning() -> None:
    shop, state, kept = brambling(), State(), Positions()
    beginning = kept.follow(shop, state).of("NR-01")
    state.parts["NR-01"] = PartState("NR-01", completed_at=BEGUN)
    assert kept.follow(shop, state).of("NR-01").completed
    assert kept.open_parts("nose-rib") == len(shop.marks_of("nose-rib")) - 1
    del state.parts["NR-01"]
    assert kept.follow(shop, state).of("NR-01") == beginning
    assert kept.open_parts("nose-rib") == len(shop.marks_of("nose-rib"))


def test_other_files_are_another_route(half_built: MidBuild) -> None:
    shop, state = half_built.shop, half_built.state
    kept = Positions().follow(shop, state)
    ids = list(shop.procedures)
    for name in ids:
        procedure = shop.procedures[name]
        for steps in (procedure.steps[1:], procedure.steps[:-1], procedure.steps[::-1]):
            if steps:
                changed = procedure.model_copy(update={"steps": steps})
                other = replace(shop, procedures={**shop.procedures, name: changed})
                assert not differing(kept, other, state), name
    assert not differing(kept, shop, state)
    fewer = replace(
        shop, parts={mark: part for mark, part in shop.parts.items() if mark != "NR-01"}, _marks={}
    )
    assert not differing(kept, fewer, state)
    with pytest.raises(KeyError):
        kept.of("NR-01")


def test_a_procedure_changed_in_place_is_another_route_too(half_built: MidBuild) -> None:
    """Nothing but a test does this; a key that misses it would miss a file loaded anew as well."""
    shop = replace(half_built.shop, procedures=dict(half_built.shop.procedures))
    kept = Positions().follow(shop, half_built.state)
    name = shop.kinds["nose-rib"].procedures[0]
    assert isinstance(shop.procedures, dict)
    shop.procedures[name] = shop.procedures[name].model_copy(
        update={"steps": shop.procedures[name].steps[2:]}
    )
    assert not differing(kept, shop, half_built.state)


def test_renamed_marks_and_steps(half_built: MidBuild) -> None:
    shop, state = half_built.shop, copied(half_built.state)
    kept = Positions().follow(shop, state)
    begun = sorted(
        mark for mark in state.parts if state.parts[mark].passes and not shop.kind_of(mark).tooling
    )
    untouched = sorted(mark for mark in shop.parts if mark not in state.parts)
    name = shop.kinds["nose-rib"].procedures[0]
    step = shop.procedures[name].steps[0].id
    steps = (StepRenamed(procedure=name, former=step, step="called-otherwise"),)
    rename(state, Renamed(marks=dict(zip(begun[:5], untouched, strict=False)), steps=steps))
    assert not differing(kept, shop, state)


def test_what_is_found_and_shown_is_as_without_anything_kept() -> None:
    """The groups that the planner is given, the board, and the whole answer."""
    assert compare(30, 50) == 30


def test_steps_left_is_the_route_from_the_next_step_on(half_built: MidBuild) -> None:
    shop, state = half_built.shop, half_built.state
    for mark in shop.parts:
        where = position(shop, state, mark)
        kind = shop.kind_of(mark)
        route = [
            (name, step)
            for name in kind.procedures
            if name not in kind.repairs
            for step in shop.steps_for(kind, shop.procedures[name])
        ]
        left = steps_left(shop, state, mark)
        done = len(route) - len(left)
        assert [(procedure.id, step) for procedure, step in left] == route[done:]
        if where.step is not None and where.procedure is not None:
            assert route[done] == (where.procedure.id, where.step)
            whole_route = shop.route_of(kind).all_steps
            number = shop.route_of(kind).numbers[StepRef(where.procedure.id, where.step.id)]
            assert whole_route[number] == (where.procedure, where.step)
            whole = blocks(half_built.context, mark, where.procedure, where.step)
            assert whole[-1:] == (step_blocks(half_built.context, where.step) or whole)[-1:]
