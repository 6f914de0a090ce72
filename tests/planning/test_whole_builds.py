"""The instrument that measures whole builds: the same luck for all, worlds that load, a build that ends."""

import itertools
from pathlib import Path

import pytest

from kiosk.record.position import steps_left
from kiosk.record.readiness import next_blocks
from kiosk.shop.load import load_shop
from tests.benchmarks.whole_builds.before import builds_before
from tests.benchmarks.whole_builds.build import Build, Choice
from tests.benchmarks.whole_builds.evenings import slots
from tests.benchmarks.whole_builds.figures import from_plain
from tests.benchmarks.whole_builds.policies import policy
from tests.benchmarks.whole_builds.table import paired
from tests.benchmarks.whole_builds.truth import Truth
from tests.benchmarks.whole_builds.worlds import WORLDS, World, shop_folder_of
from tests.conftest import SteadyClocks

SHOP = """
aeroplane: {name: Tiny, plans: none}
people:
  - {id: mara, name: Mara, role: builder}
  - {id: jon, name: Jon, role: helper}
tools:
  - {id: jig, name: jig}
part_kinds:
  - id: block
    name: block
    drawing: T-1
    tooling: yes
    material: {other: oak}
    dimensions: {edges: 2}
    route: [{procedure: shape}]
    marks: [{first: BL-1}]
  - id: frame
    name: frame
    drawing: T-2
    material: {other: ash}
    dimensions: {edges: 2}
    route: [{procedure: glue, needs: {block: 1}}]
    marks: [{first: FR-1, last: FR-3}]
"""
HEAD = """
id: %s
title: %s
revision: "1"
revised: 2026-11-26
reason: first issue
sources: ["invented for a test, no source"]
steps:
"""
SHAPE = """
  - id: plane
    do: Plane it to the line.
    minutes: {set_up: 2, each: 50, put_away: 1}
    family: bench
    stop: anywhere
    checks: [{id: seen, kind: yes_no, ask: "Is it square?"}]
"""
GLUE = """
  - id: clamp
    do: Clamp it on the jig.
    tools: [jig]
    minutes: {set_up: 2, each: 6, put_away: 1}
    stop: only when finished
    waits: [{what: glue, must_pass: 14 h, before: release}]
    checks: [{id: seen, kind: yes_no, ask: "Is it tight?"}]
  - id: release
    do: Take it off the jig.
    tools: [jig]
    minutes: {each: 2}
    stop: only when finished
    checks: [{id: seen, kind: yes_no, ask: "Is it whole?"}]
"""
TINY = World("tiny", (), ("frame",))


@pytest.fixture
def tiny(tmp_path: Path) -> Path:
    folder = tmp_path / "tiny"
    (folder / "procedures").mkdir(parents=True)
    (folder / "shop.yaml").write_text(SHOP)
    for name, steps in (("shape", SHAPE), ("glue", GLUE)):
        (folder / "procedures" / f"{name}.yaml").write_text(HEAD % (name, name) + steps)
    return folder


def test_the_frozen_worlds_are_as_they_were() -> None:
    parts, limits = {}, {}
    for name, world in WORLDS.items():
        with shop_folder_of(world) as folder:
            shop = load_shop(folder)
        assert set(world.proud_of) <= set(shop.kinds)
        parts[name] = len(shop.parts)
        used = {procedure for kind in shop.kinds.values() for procedure in kind.procedures}
        waits = (wait for one in used for step in shop.procedures[one].steps for wait in step.waits)
        limits[name] = {wait.what: wait.minutes for wait in waits if wait.within is not None}
    assert parts == {"a": 111, "b": 111, "c": 93}
    pot_life = {"mixed primer (typical pot life)": 240}
    assert limits["a"] == {"clean bare aluminium": 240, **pot_life} and limits["b"] == pot_life


def test_the_luck_is_the_same_whatever_was_done_before(tiny: Path) -> None:
    assert list(itertools.islice(slots(3), 40)) == list(itertools.islice(slots(3), 40))
    assert next(slots(3)) != next(slots(4))
    build = Build(tiny, TINY, 1, "thumb", policy("thumb", 1))
    procedure = build.shop.procedures["glue"]
    clamp, release = procedure.steps
    one, other = Truth(1), Truth(1)
    for _ in range(5):
        other.piece(procedure, release, "FR-3", 0)
    assert one.piece(procedure, clamp, "FR-1", 0) == other.piece(procedure, clamp, "FR-1", 0)
    assert one.would_take(procedure, clamp, "FR-2", 0) == one.piece(procedure, clamp, "FR-2", 0)
    assert one.would_take(procedure, clamp, "FR-2", 1) != one.would_take(procedure, clamp, "FR-2", 0)


@pytest.mark.parametrize("name", ["thumb", "kiosk", "roster"])
def test_a_tiny_world_is_built_to_its_end(tiny: Path, name: str) -> None:
    figures = Build(tiny, TINY, 1, name, policy(name, 1)).run(most_sittings=60)
    assert figures.finished and figures.parts_done == 4
    assert figures.first_proud_day is not None and figures.first_proud_day > 14 / 24
    spent = figures.work_minutes + figures.set_up_minutes + figures.put_away_minutes + figures.closing_minutes
    worked = figures.hours * 60 - figures.left_over_minutes
    assert worked <= spent + figures.waited_minutes + figures.asks  # a minute to change over for each
    assert spent <= worked + figures.worst_overrun_minutes * figures.sittings + 2 * figures.sittings
    assert from_plain(figures.plain()) == figures


def test_what_is_glued_on_the_only_jig_keeps_it(tiny: Path) -> None:
    seen: list[int] = []

    def greedy(build: Build, left: float) -> Choice | None:
        """All frames at once, whatever is on the jig."""
        shop, state = build.shop, build.bench.state
        gluing = [part.passes.get("glue", {}) for part in state.parts.values()]
        seen.append(sum("clamp" in done and "release" not in done for done in gluing))
        for work in state.works.values():
            procedure, step = shop.find_step(work.procedure, work.step)
            assert procedure is not None and step is not None
            return Choice(work.marks, [(procedure, step)], work.id)
        standing = [
            mark
            for mark in shop.parts
            if steps_left(shop, state, mark) and not next_blocks(build.bench.context, mark)
        ]
        if not standing:
            return None
        left_of_first = steps_left(shop, state, standing[0])
        alike = [mark for mark in standing if steps_left(shop, state, mark) == left_of_first]
        return Choice(tuple(alike), left_of_first[:1])

    figures = Build(tiny, TINY, 2, "greedy", greedy).run(most_sittings=60)
    assert figures.finished and max(seen) == 1


def test_a_wait_that_is_all_that_is_left_of_the_plan_is_sat_out(tiny: Path) -> None:
    glue = tiny / "procedures" / "glue.yaml"
    glue.write_text(glue.read_text().replace("14 h", "12 min"))
    figures = Build(tiny, TINY, 1, "kiosk", policy("kiosk", 1)).run(most_sittings=60)
    assert figures.finished and 3 * 12 > figures.waited_minutes > 6


def test_figures_of_before_are_compared_seed_by_seed() -> None:
    before = [one for one in builds_before("b") if one.policy == "kiosk"]
    assert {one.seed for one in before} == set(range(1, 21))
    assert builds_before("c") == []
    fewer = [from_plain({**one.plain(), "sittings": one.sittings // 2}) for one in before]
    assert paired(fewer, before).endswith("fewer in 20 of 20")
    assert paired(fewer[:1], []) == "–"


def test_clocks_of_a_build_are_steady(tiny: Path) -> None:
    build = Build(tiny, TINY, 1, "thumb", policy("thumb", 1))
    assert isinstance(build.clocks, SteadyClocks) and build.bench.context.doubt is None
    build.run(most_sittings=2)
    assert not (tiny / "record.db").exists()
