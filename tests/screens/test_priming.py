"""Priming walked on the screen: with the sheet entered, with none of it, and with isocyanate in it."""

import re
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.record.readiness import next_blocks
from kiosk.screens.app import KioskApp
from kiosk.shop.finish import NOT_ENTERED
from kiosk.shop.procedure import LotCheck, YesNoCheck
from kiosk.shop.shop import SHOP_FILE
from tests.conftest import SteadyClocks
from tests.driver import foot_text, good_answer, piece_of, press, screen_text, settled, tap
from tests.screens.moment import NOW, with_app

MARK = "NR-01"  # deburred, and next at priming
LAST = "rewrite-mark"


def change_shop(folder: Path, old: str, new: str) -> None:
    """Change what stands in the shop file, wherever it stands."""
    path = folder / SHOP_FILE
    text = path.read_text()
    assert re.search(old, text)
    path.write_text(re.sub(old, new, text))


def without_a_sheet(folder: Path) -> None:
    """Take every figure of the finish out of the shop file; its name stays."""
    change_shop(folder, r"    sheet: issue 3\n(    (?!- ).*\n)+?(?=\npart_kinds)", "")


async def walk_to(
    app: KioskApp, pilot: Pilot[None], clocks: SteadyClocks, last: str
) -> dict[str, tuple[str, tuple[str, ...]]]:
    """Take the part through its steps up to and with ``last``, by keys: what stood on each step's screen.

    With each is what its checks wanted, as the record keeps it.
    """
    found: dict[str, tuple[str, tuple[str, ...]]] = {}
    bench = app.bench
    while last not in found:
        for clock in bench.state.part(MARK).clocks:
            if clock.kind == "must_pass":
                clocks.go_to(max(bench.now, clock.until))
        where = bench.position(MARK)
        assert where.procedure is not None and where.step is not None
        step = where.step
        if step.conditions.temperature_f is not None:
            bench.note_conditions(68, 50)
        under_way = bench.state.part(MARK).work  # a batch goes on by itself
        work = under_way or bench.start([MARK], where.procedure.id, step.id)
        app.walk(work)
        await settled(app, pilot)
        while bench.step_view(work).cautions:
            await press(app, pilot, "enter")
        text = "\n".join(screen_text(app))
        assert " ".join(step.do.split()[:4]) in text
        wanted = tuple(check.wanted for check in bench.step_view(work).checks)
        for check in step.checks:
            if isinstance(check, YesNoCheck):
                await press(app, pilot, "enter")
            elif isinstance(check, LotCheck):
                await press(app, pilot, "enter", "down", "enter")
            else:
                await press(app, pilot, *f"{float(good_answer(bench, check, MARK)):g}", "enter")
        if work in bench.state.works:  # in a batch the last answer of a part is also its DONE
            assert bench.step_view(work).can_finish, (step.id, bench.step_view(work).still_open)
            await press(app, pilot, "enter")
        assert work not in bench.state.works
        found[step.id] = (text, wanted)
    return found


def test_priming_by_the_products_own_sheet(demo_shop: Path) -> None:
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        found = await walk_to(app, pilot, clocks, LAST)
        assert len(found) == 20
        everything = "\n".join(text for text, _ in found.values())
        assert (
            NOT_ENTERED not in everything and "Typical," not in everything and "(typical)" not in everything
        )
        assert "Pot life: 6 h, product's sheet" in found["read-data-sheet"][0]
        # 68 F and 50 %: tables print 49 F (from memory), and 5 F more is 54; this product wants 55.
        assert "Dew point: 48.66 F" in found["read-surface"][0]
        assert found["read-surface"][1] == ("55 to 90 F",)
        assert found["film"][1] == ("0.0008 to 0.0012 in",)
        assert re.search(r"Base to pour: [0-9.]+ ml", found["mix"][0]), found["mix"][0]
        part = app.bench.state.part(MARK)
        assert part.clocks == () and app.bench.position(MARK).all_done

    with_app(demo_shop, walk, clocks=clocks)


def test_a_temperature_is_typed_in_celsius_too(demo_shop: Path) -> None:
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await walk_to(app, pilot, clocks, "start-extraction")
        app.bench.note_conditions(68, 50)
        work = app.bench.start([MARK], "clean-and-prime", "read-surface")
        app.walk(work)
        await settled(app, pilot)
        await press(app, pilot, *"10C")
        assert "is marked" not in foot_text(app) and "RECORD 10C" in "\n".join(screen_text(app))
        await press(app, pilot, "enter")
        assert not app.bench.step_view(work).checks[0].passed, "50 F, where 55 are wanted"
        await tap(app, pilot, "Keypad")
        await tap(app, pilot, "1")
        await tap(app, pilot, "8")
        await tap(app, pilot, "C")
        await tap(app, pilot, "OK")
        given = piece_of(app.bench, work, MARK).answers["surface"]
        assert given.passed and given.value == pytest.approx(64.4), given  # 18 C

    with_app(demo_shop, walk, clocks=clocks)


def test_a_figure_that_hangs_on_the_room_has_the_reading_on_the_step(demo_shop: Path) -> None:
    """A reading that grew old in mid-step left the step where it was: nothing in reach read the room."""
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await walk_to(app, pilot, clocks, "start-extraction")
        app.bench.note_conditions(68, 50)
        work = app.bench.start([MARK], "clean-and-prime", "read-surface")
        app.bench.state.conditions_at = app.bench.state.conditions_by = None  # nobody knows how old it is
        app.walk(work)
        await settled(app, pilot)
        assert "READ THE ROOM" in "\n".join(screen_text(app))
        await press(app, pilot, "enter", *"20C", "enter", *"50", "enter")
        assert app.bench.state.temperature_f == pytest.approx(68.0)
        assert "TYPE THE FIGURE" in "\n".join(screen_text(app)), "and it goes on at the step"

    with_app(demo_shop, walk, clocks=clocks)


def test_priming_without_a_sheet_value_is_held_until_it_was_read(demo_shop: Path) -> None:
    """Typical values stand, each said to be one; the stand time and the pot life are read at the bench."""
    without_a_sheet(demo_shop)
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        found = await walk_to(app, pilot, clocks, "mix")
        asked = [one.id for one in app.bench.shop.procedures["clean-and-prime"].steps[2].checks]
        assert asked == ["agrees", "ratio", "stand", "pot", "dry"]
        assert f"Stand time: 30 min, {NOT_ENTERED}" in found["read-data-sheet"][0]
        assert "Typical, not your product's sheet." in found["mix"][0]
        assert found["read-surface"][1] == (f"60 to 90 F, {NOT_ENTERED}",)
        answers = {clock.what: clock.minutes for clock in app.bench.state.part(MARK).clocks}
        assert answers["mixed primer standing"] == 90 and answers["mixed primer"] == 735  # as they were read
        assert answers["clean bare aluminium (typical)"] == 240

    with_app(demo_shop, walk, clocks=clocks)


def test_with_isocyanate_only_an_adult_alone_may_go_on(demo_shop: Path) -> None:
    """Pip is 13, Odile an adult: neither may be in the room, and Pip's hands are refused."""
    change_shop(demo_shop, "isocyanate: no", "isocyanate: yes")
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await walk_to(app, pilot, clocks, "read-surface")
        bench = app.bench
        bench.come("pip")
        bench.come("odile")
        (room,) = [one for one in next_blocks(bench.context, MARK) if one.kind == "room"]
        assert room.text == "Pip, Odile must be out of the room"
        app.open_part(MARK)
        await settled(app, pilot)
        assert "must be out of the room" in "\n".join(screen_text(app))
        bench.hand_over("pip")
        (person,) = [one for one in next_blocks(bench.context, MARK) if one.kind == "person"]
        assert "only the builder" in person.text
        bench.hand_over("wren")
        await press(app, pilot, "enter", "enter")  # LOOK ROUND…, and no choice
        assert next_blocks(bench.context, MARK) == [room]
        await press(app, pilot, "down", "down", "enter")
        assert next_blocks(bench.context, MARK) == []
        where = bench.position(MARK)
        assert where.step is not None and "ISO" in where.step.hazards
        work = bench.start([MARK], "clean-and-prime", where.step.id)
        app.walk(work)
        await settled(app, pilot)
        said = "\n".join(text for _, text in bench.step_view(work).cautions)
        assert "Air-fed breathing set, or do not spray" in said

    with_app(demo_shop, walk, clocks=clocks)
