"""A batch at the wall: one press a check, what DONE does in words, and how many presses it all takes."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.marks import MarksScreen
from kiosk.screens.place import PlaceScreen
from kiosk.screens.spare import SpareScreen
from kiosk.screens.walk import WalkScreen
from tests.benchmarks.presses import ready_shop, walk_to_primed
from tests.conftest import SteadyClocks
from tests.driver import do_step, first_column, foot_text, next_step, press, screen_text, shown, tap, target
from tests.record.primed_alone import primed_alone
from tests.screens.moment import NOW, with_app
from tests.screens.scenes import CARRY_ON

RIBS = ["NR-01", "NR-02", "NR-03"]


def shop_at_the_block(folder: Path, clocks: SteadyClocks) -> None:
    """Three ribs cut out, before the form block."""
    ready_shop(folder, clocks)
    bench = Bench(folder, clocks)
    while (where := bench.position("NR-01")).procedure is not None and where.procedure.id == "rib-blank":
        do_step(bench, RIBS)
    bench.close_sitting("")
    bench.close()


def test_three_ribs_over_the_block_take_so_many_presses(tmp_path: Path) -> None:
    """6 steps a rib with 6 yes-or-no checks and 2 counts, each answered for each."""
    clocks = SteadyClocks(NOW)
    shop_at_the_block(tmp_path / "shop", clocks)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        presses = await walk_to_primed(app, pilot, clocks, RIBS, until="rib-straighten")
        assert presses == {
            "choosing the batch": 0,
            "beginning a step": 2,  # clean, pin: each rib then goes straight on until it is off the block
            "cautions": 2,
            "answers": 3 * 7,
            "figures": 3 * 2,
            "digits of figures": 3 * 2,
        } | {"choosing the batch": presses["choosing the batch"]}
        assert all(app.bench.position(mark).procedure.id == "rib-straighten" for mark in RIBS)  # type: ignore[union-attr]

    with_app(tmp_path / "shop", walk, clocks=clocks)


@pytest.mark.parametrize("size", [(73, 20), (80, 24), (120, 36)])
def test_what_done_does_stands_in_words(tmp_path: Path, size: tuple[int, int]) -> None:
    clocks = SteadyClocks(NOW)
    shop_at_the_block(tmp_path / "shop", clocks)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        assert isinstance(app.screen, PlaceScreen)
        text = "\n".join(screen_text(app))
        assert "BATCH OF 3" in text and target(app, "BEGIN THIS STEP") and target(app, "Split")
        await tap(app, pilot, "BEGIN THIS STEP")
        await tap(app, pilot, "I HAVE READ THESE")
        assert "NR-01 · 1 of 3" in "\n".join(screen_text(app))
        await tap(app, pilot, "YES, DONE, THEN NR-02")
        assert "NR-02 · 2 of 3" in "\n".join(screen_text(app))
        await tap(app, pilot, "YES, DONE, THEN NR-03")
        await tap(app, pilot, "YES, DONE, THE LAST")
        assert isinstance(app.screen, PlaceScreen)
        await tap(app, pilot, "BEGIN THIS STEP")
        assert isinstance(app.screen, WalkScreen)
        assert app.bench.work(app.screen.work).marks == ("NR-01",)  # there is one block
        await tap(app, pilot, "YES, SEEN SO")
        await tap(app, pilot, "YES, SEEN SO")
        await press(app, pilot, "3")
        await tap(app, pilot, "RECORD 3, DONE, STRAIGHT ON")
        assert app.bench.work(app.screen.work).step == "first-pass"

    with_app(tmp_path / "shop", walk, size=size, clocks=clocks)


def test_one_is_split_off_by_one_key_and_taken_along_by_one(tmp_path: Path) -> None:
    clocks = SteadyClocks(NOW)
    shop_at_the_block(tmp_path / "shop", clocks)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await tap(app, pilot, "Split")
        assert isinstance(app.screen, MarksScreen)
        await tap(app, pilot, "[ ] NR-02")
        await tap(app, pilot, "SPLIT OFF 1")
        assert app.bench.batch_of("NR-01") == ("NR-01", "NR-03")
        await tap(app, pilot, "Take NR-02")
        assert app.bench.batch_of("NR-01") == tuple(RIBS)

    with_app(tmp_path / "shop", walk, clocks=clocks)


def test_ribs_and_clips_are_taken_under_one_mixture_on_the_page_of_one(new_shop: Path) -> None:
    marks = ("NR-01", "NR-02", "CA-01", "CA-02")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        primed_alone(app.bench, marks)
        for mark in marks:
            do_step(app.bench, [mark])
        app.open_part("NR-01")
        await shown(app, pilot, "2 of other kinds may go along")
        await tap(app, pilot, "Which…")
        await tap(app, pilot, "All")  # of its own kind first
        assert target(app, "TAKE 2")
        await tap(app, pilot, "[ ] CA-02")
        await tap(app, pilot, "TAKE 3")
        await shown(app, pilot, "Goes along: NR-01, NR-02, CA-02")
        await tap(app, pilot, "Which…")
        await tap(app, pilot, "All kinds")
        await tap(app, pilot, "TAKE 4")
        await tap(app, pilot, "BEGIN (4 parts)")
        (work,) = app.bench.state.works.values()
        assert set(work.marks) == set(marks)

    with_app(new_shop, walk)


@pytest.mark.parametrize("typed", ["999", "0", "-5", "12.5", "3x"])
def test_minutes_that_cannot_be_are_refused_with_the_limits(demo_shop: Path, typed: str) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f2")
        screen = app.screen
        assert isinstance(screen, SpareScreen)
        await press(app, pilot, *typed, "enter")
        assert foot_text(app) == f"NOT DONE: '{typed}' is not minutes; give a whole number, 3 to 120"
        assert screen.minutes == 15

    with_app(demo_shop, walk)


def test_the_sum_on_minutes_is_that_of_its_lines(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f2")
        screen = app.screen
        assert isinstance(screen, SpareScreen)
        for minutes in ("15", "45", "120"):
            await press(app, pilot, *minutes, "enter")
            answer = screen.answer()
            assert answer is not None
            text = first_column(app)
            assert answer.suggestions, minutes
            work = sum(one.minutes for one in answer.suggestions)
            assert f"about {answer.total_minutes} min = {work} work" in text
            assert f"{answer.leaving_minutes} putting away" in text
            set_ups = answer.set_up_minutes - answer.leaving_minutes
            assert not set_ups or f"+ {set_ups} for set-ups" in text
            more = answer.suggestions[3:]
            assert not more or f"and {len(more)} more that fit {sum(one.minutes for one in more)} min" in text

    with_app(demo_shop, walk, size=(120, 36))


def test_put_away_stands_over_a_dialog_and_rings(demo_shop: Path) -> None:
    clocks = SteadyClocks(NOW)
    rung: list[bool] = []

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bell = lambda: rung.append(True)  # type: ignore[method-assign]
        app.bench.begin_slot(20)
        await press(app, pilot, "enter", "f5")
        assert isinstance(app.screen, ChoiceScreen)
        before = len(rung)
        found = app.bench.put_away()
        assert found is not None
        clocks.go(20 - found.needed)
        app.screen.query_one("#strip").look()  # type: ignore[attr-defined]
        await shown(app, pilot, f"PUT AWAY NOW, {found.needed} min left")
        assert len(rung) == before + 1

    with_app(demo_shop, walk, clocks=clocks)


@pytest.mark.parametrize("how", ["key", "finger"])
def test_all_at_once_is_asked_once_more_in_words(demo_shop: Path, how: str) -> None:
    """One key, or one tap behind More…, stood for four flutes that nobody had pressed."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        screen = app.screen
        assert isinstance(screen, WalkScreen)

        async def all_of_them() -> None:
            if how == "key":
                await press(app, pilot, "up")
                return
            await tap(app, pilot, "More…")
            await tap(app, pilot, "ALL 9")

        before = app.bench.state.seq
        await all_of_them()
        text = " ".join(" ".join(screen_text(app)).split())
        assert isinstance(app.screen, ChoiceScreen) and "So far: 5 of at most 9 flutes." in text
        await press(app, pilot, "enter")  # nothing is chosen: the yellow key is harmless
        assert isinstance(app.screen, ChoiceScreen) and app.bench.state.seq == before
        await tap(app, pilot, "Not yet")
        assert not isinstance(app.screen, ChoiceScreen) and app.bench.state.seq == before
        await all_of_them()
        await tap(app, pilot, "All 9 are done")
        assert app.bench.step_view(screen.work).count == 9
        await press(app, pilot, "f6", "down", "enter")  # and it is taken back as any count
        assert app.bench.step_view(screen.work).count == 5

    with_app(demo_shop, walk)


@pytest.fixture
def at_the_ribs(tmp_path: Path) -> tuple[Path, SteadyClocks]:
    """A shop whose nose ribs come next, and its clocks."""
    clocks = SteadyClocks(NOW)
    ready_shop(tmp_path / "shop", clocks)
    return tmp_path / "shop", clocks


def ribs_at(bench: Bench, step: str) -> str:
    """Three ribs walk together up to a step, which is in hand; gives the work."""
    for _ in range(12):
        if next_step(bench, RIBS[0]).id == step:
            break
        do_step(bench, list(RIBS))
    where = bench.position(RIBS[0])
    assert where.procedure is not None
    work = bench.begin_batch(RIBS, where.procedure.id, step)
    bench.acknowledge(work)
    return work


@pytest.mark.parametrize("how", ["key", "finger"])
def test_what_was_looked_at_on_all_is_said_once_and_asked_once_more(
    at_the_ribs: tuple[Path, SteadyClocks], how: str
) -> None:
    """Who files six edges and then goes to the screen pressed YES for each of six ribs, at every question."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        work = ribs_at(bench, "cut-blank")
        app.walk(work)
        await shown(app, pilot, "Is the line still to be seen")

        async def on_all() -> None:
            await (press(app, pilot, "right") if how == "key" else tap(app, pilot, "ALL 3: YES"))

        before = bench.state.seq
        await on_all()
        text = " ".join(" ".join(screen_text(app)).split())
        assert isinstance(app.screen, ChoiceScreen)
        assert "YES on each of NR-01, NR-02, NR-03?" in text or "YES on each of NR-01 to NR-03?" in text
        await press(app, pilot, "enter")  # nothing is chosen
        await press(app, pilot, "right", "escape")
        assert not isinstance(app.screen, ChoiceScreen) and bench.state.seq == before
        await on_all()
        await tap(app, pilot, "YES on each of the 3, and the step is done")
        assert work not in bench.state.works
        assert "all 3" in " ".join(screen_text(app))
        assert bench.place_card().marks == tuple(RIBS) and bench.place_card().step != "cut-blank"
        await press(app, pilot, "f6", "down", "enter")
        assert [one.mark for one in bench.work(work).pieces] == list(RIBS)  # all three, by one undo

    with_app(at_the_ribs[0], walk, clocks=at_the_ribs[1])


def test_a_part_that_is_not_so_is_told_by_itself(at_the_ribs: tuple[Path, SteadyClocks]) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        work = ribs_at(bench, "cut-blank")
        bench.raise_snag("NR-02", "nicked")
        app.walk(work)
        await press(app, pilot, "right")
        assert "YES on each of NR-01, NR-03?" in " ".join(" ".join(screen_text(app)).split())
        await press(app, pilot, "up", "enter")
        assert bench.work(work).marks == ("NR-02",) and bench.work(work).status == "paused"

    with_app(at_the_ribs[0], walk, clocks=at_the_ribs[1])


def test_holes_in_all_of_them_are_counted_at_once(at_the_ribs: tuple[Path, SteadyClocks]) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        work = ribs_at(bench, "tooling-holes")
        app.walk(work)
        view = bench.step_view(work)
        await press(app, pilot, "up")
        await tap(app, pilot, f"All {view.count_wanted} are done, on each of")
        assert [one.count for one in bench.work(work).pieces] == [view.count_wanted] * 3
        assert "Saved on each of" in " ".join(screen_text(app))

    with_app(at_the_ribs[0], walk, clocks=at_the_ribs[1])
