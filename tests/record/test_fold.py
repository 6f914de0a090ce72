"""The state is a pure fold of the events: any walk, any prefix, any restart gives the same state."""

import random
import shutil
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from unittest.mock import patch

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kiosk.bench import Bench
from kiosk.commands.make_shop import make_shop
from kiosk.errors import KioskError
from kiosk.record.apply import apply, copied, fold
from kiosk.record.snapshot import packed, unpacked
from kiosk.record.state import State
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.procedure import StepRef
from kiosk.shop.shop import Shop
from tests.conftest import SteadyClocks
from tests.driver import ACCEPTED, good_answer
from tests.planning.test_spare import take_to
from tests.record.make_stored_record import every_kind

# Marks that can be taken through a step together.
KINDS = (["FB-NR", "FB-MR"], ["NR-01", "NR-02", "NR-03"], ["CA-01", "CA-02"], ["BR-01"])


@cache
def brambling() -> Shop:
    """The example shop, read once: it is not what is tried here."""
    return load_shop(data_folder("scenarios") / "brambling")


def opened(folder: Path, clocks: SteadyClocks) -> Bench:
    """A bench on the record in a folder."""
    with patch("kiosk.bench.open_shop", lambda *_: brambling()):
        return Bench(folder, clocks)


@pytest.fixture(scope="module")
def begun_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example shop with two blocks about to be drilled, so that a walk meets every kind of step."""
    folder = tmp_path_factory.mktemp("begun") / "shop"
    make_shop(folder, "brambling", with_history=False)
    bench = opened(folder, SteadyClocks())
    take_to(bench, ["FB-NR", "FB-MR"], "form-block/pin-holes")
    bench.close()
    return folder


def random_walk(bench: Bench, clocks: SteadyClocks, seed: int, taps: int) -> None:
    """Taps as a careless person makes them; refusals are part of the walk."""
    random_numbers = random.Random(seed)

    def begin() -> None:
        kind = random_numbers.choice(KINDS)
        marks = random_numbers.sample(kind, random_numbers.randint(1, len(kind)))
        where = bench.position(marks[0])
        if where.procedure is not None and where.step is not None:
            bench.start(marks, where.procedure.id, where.step.id)

    def on_work() -> None:
        if not bench.state.works:
            return
        work = random_numbers.choice(sorted(bench.state.works.values(), key=lambda one: one.id))
        procedure = bench.shop.procedures[work.procedure]
        step = procedure.step(work.step)
        assert step is not None
        mark = random_numbers.choice(work.marks)
        deed = random_numbers.randrange(9)
        if random_numbers.random() < 0.5:
            bench.acknowledge(work.id)
        if deed == 0:
            bench.pause(work.id)
        elif deed == 1:
            bench.take_up(work.id)
        elif deed == 2:
            bench.acknowledge(work.id)
        elif deed == 3:
            bench.count(work.id, mark, random_numbers.randint(0, 4))
        elif deed == 4:
            bench.turn_to(work.id, mark)
        elif deed == 5 and step.checks:
            bench.type_draft(
                work.id, mark, random_numbers.choice(step.checks).id, str(random_numbers.random())[:4]
            )
        elif deed in (6, 7):
            bench.acknowledge(work.id)
            if step.repeat is not None:
                bench.count(work.id, mark, 3)
            for check in step.checks:
                bench.answer(work.id, mark, check.id, good_answer(bench, check, mark))
            bench.finish(work.id, mark)
        else:
            bench.put_back(work.id)

    def other() -> None:
        deed = random_numbers.randrange(12)
        mark = random_numbers.choice(random_numbers.choice(KINDS))
        person = random_numbers.choice(["wren", "pip", "odile"])
        if deed == 0:
            bench.raise_snag(mark, "bent")
        elif deed == 1 and bench.state.open_snags():
            snag = random_numbers.choice(bench.state.open_snags())
            bench.decide_snag(
                snag.id,
                random_numbers.choice(["use as is", "rework", "scrap and remake"]),
                "so it is",
                None,
                ACCEPTED,
            )
        elif deed in (2, 3) and bench.state.undoables:
            bench.undo(random_numbers.choice(bench.state.undoables[-3:]).event)
        elif deed == 4:
            bench.close_sitting("so far")
        elif deed == 5:
            passes: tuple[Callable[[str], None], ...] = (bench.come, bench.leave, bench.hand_over)
            random_numbers.choice(passes)(person)
        elif deed == 6:
            bench.skip(mark, "not needed")
        elif deed == 7:
            bench.note_conditions(random_numbers.uniform(50, 90), random_numbers.uniform(20, 80))
        elif deed == 8:
            bench.count_stock("primer-base", random_numbers.random())
        elif deed == 9:
            bench.note("pencil blunt", mark)
        elif deed == 10 and bench.wants_look():
            looked_at, ref = random_numbers.choice(bench.wants_look())
            bench.look_over(looked_at, ref, good=random_numbers.random() < 0.5)
        else:
            done = [
                StepRef(procedure, step)
                for procedure, steps in bench.state.part(mark).passes.items()
                for step in steps
            ]
            if done:
                bench.reopen(mark, random_numbers.choice(done), "not so")

    for _ in range(taps):
        clocks.go(random_numbers.choice([0.1, 2, 15]))
        if random_numbers.random() < 0.02:
            clocks.at = clocks.at.replace(year=1970)  # a small computer booted with the wrong clock
        try:
            random_numbers.choice([begin, on_work, on_work, on_work, other])()
        except KioskError:
            continue


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 10**6))
def test_fold_of_any_prefix_equals_the_state_then_and_the_snapshot(begun_shop: Path, seed: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "shop"
        shutil.copytree(begun_shop, folder)
        clocks = SteadyClocks()
        bench = opened(folder, clocks)
        random_walk(bench, clocks, seed, 60)
        events = bench.record.journal.after(0)
        live = bench.state
        assert fold(events) == live
        # Any prefix, kept as a snapshot and folded on, gives the same.
        state = State()
        for number, event in enumerate(events):
            if number % 7 == 0:
                through_it = unpacked(packed(state))
                assert through_it == state
                assert fold(events[number:], through_it) == live
            apply(state, event)
        assert all(work.active_s >= 0 for work in live.works.values())
        bench.close()
        # Opened again, with the snapshot and without it.
        again = opened(folder, clocks)
        assert again.state == live
        again.record.journal.drop_snapshot()
        again.record.journal.close()
        fresh = opened(folder, clocks)
        assert fresh.state == live
        fresh.close()


def test_the_walks_make_most_kinds_of_events(begun_shop: Path, tmp_path: Path) -> None:
    """The property above is about walks that come far enough."""
    made: list[str] = []
    for seed in range(8):
        folder = tmp_path / str(seed)
        shutil.copytree(begun_shop, folder)
        clocks = SteadyClocks()
        bench = opened(folder, clocks)
        before = bench.state.seq
        random_walk(bench, clocks, seed, 60)
        made += [event.body.kind for event in bench.record.journal.after(before)]
        bench.close()
    assert len(made) > 8 * 15
    assert len(set(made)) >= 20, sorted(every_kind() - set(made))
    assert {"counted", "turned_to", "undone", "step_reopened", "step_finished"} <= set(made)


def test_folding_on_leaves_the_start_as_it_was(demo_bench: Bench) -> None:
    events = demo_bench.record.journal.after(0)
    half = fold(events[: len(events) // 2])
    before = packed(half)
    fold(events[len(events) // 2 :], half)
    assert packed(half) == before
    assert copied(half) == half
