"""A shop's file that was changed under a step in hand: it is said, nothing is lost, and the keys work."""

from dataclasses import replace
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.errors import KioskError
from kiosk.record.rules import Refused
from kiosk.screens.app import KioskApp
from kiosk.screens.base import KioskScreen
from kiosk.screens.board import BoardScreen
from kiosk.screens.close_up import CloseUpScreen
from kiosk.screens.pictures import save_pictures
from kiosk.screens.place import PlaceScreen
from kiosk.screens.spare import SpareScreen
from kiosk.views.close_up import close_up
from tests.driver import do_step, foot_text, next_step, press, screen_text
from tests.planning.test_spare import complete, take_to
from tests.screens.moment import open_bench, with_app

WRONG = "the rib is 0.207 in high here, too thin for its two flanges"


def change(shop: Path, before: str, after: str) -> None:
    """Write something else in the shop's file, where it stands first."""
    file = shop / "shop.yaml"
    text = file.read_text(encoding="utf-8")
    assert before in text
    file.write_text(text.replace(before, after, 1), encoding="utf-8")


@pytest.fixture
def chord_mistyped(new_shop: Path) -> Path:
    """A rib is in hand, its tooling holes counted to one, and then its chord is mistyped."""
    bench = open_bench(new_shop)
    while next_step(bench, "NR-01").id != "tooling-holes":
        do_step(bench, ["NR-01"])
    work = bench.start(["NR-01"], "rib-blank", "tooling-holes")
    bench.acknowledge(work)
    bench.count(work, "NR-01", 1)
    bench.close_sitting("")
    bench.close()
    change(new_shop, "chord: 50", "chord: 5")
    return new_shop


def test_a_rib_that_cannot_be_laid_out_is_said_on_the_place_card(chord_mistyped: Path) -> None:
    lines = (chord_mistyped / "shop.yaml").read_text(encoding="utf-8").splitlines()
    line = lines.index("      front_station: .025") + 1

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        text = " ".join(" ".join(screen_text(app)).split()).replace("cut- outs", "cut-outs")
        assert "IN HAND" in text and "NR-01" in text
        assert f"NOT NOW: new/shop.yaml:{line}:22: {WRONG}; check chord, or move the station" in text
        assert "CARRY ON" not in text
        await press(app, pilot, "f3")
        assert isinstance(app.screen, BoardScreen)
        await press(app, pilot, "f2")
        assert isinstance(app.screen, SpareScreen)
        await press(app, pilot, "f1", "f10")
        assert isinstance(app.screen, CloseUpScreen)
        await press(app, pilot, "f9", "down", "down", "enter")
        assert not app.is_running

    with_app(chord_mistyped, walk)


def test_what_fits_and_the_pictures_do_without_a_rib_that_cannot_be_laid_out(
    chord_mistyped: Path, tmp_path: Path
) -> None:
    bench = open_bench(chord_mistyped)
    assert "NR-01" not in [mark for one in bench.spare(15).suggestions for mark in one.marks]
    bench.close()
    assert save_pictures(chord_mistyped, tmp_path / "pictures", 80, 24)


def test_a_count_without_its_end_is_kept_at_closing_up(demo_shop: Path) -> None:
    change(demo_shop, "chord: 50", "chord: 5")
    bench = open_bench(demo_shop)
    assert any(text.endswith("5 flutes are kept.") for text in bench.close_up_view().may)
    bench.close()


@pytest.fixture
def mark_gone(demo_shop: Path) -> Path:
    """A clip angle is in hand, and then its mark is taken out of the shop's file."""
    bench = open_bench(demo_shop)
    where = bench.position("CA-32")
    assert where.procedure is not None and where.step is not None
    bench.start(["CA-31", "CA-32"], where.procedure.id, where.step.id)
    bench.close_sitting("")
    bench.close()
    change(demo_shop, "last: CA-32", "last: CA-31")
    change(demo_shop, "[MR-16, CA-32]", "[MR-16, CA-31]")
    return demo_shop


def test_a_part_in_hand_that_is_gone_is_said_and_can_be_set_aside(mark_gone: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = app.bench.state.last_work
        text = " ".join(" ".join(screen_text(app)).split())
        assert "QUESTION" in text and "CA-32 is in hand and no longer in shop.yaml" in text
        await press(app, pilot, "enter", "down", "down", "enter")
        assert work in app.bench.state.works
        assert "put CA-32 back into shop.yaml" in foot_text(app)
        await press(app, pilot, "enter", "down", "enter")
        assert work not in app.bench.state.works
        assert "CA-32" not in app.bench.place_card().title

    with_app(mark_gone, walk)


def test_the_planner_and_closing_up_do_without_a_part_that_is_gone(mark_gone: Path) -> None:
    bench = open_bench(mark_gone)
    assert "CA-32" not in [mark for one in bench.spare(15).suggestions for mark in one.marks]
    assert any("CA-32" in text for text in bench.close_up_view().may)
    assert bench.momentum_words(bench.place_card()) is not None
    with pytest.raises(KioskError, match=r"CA-32 is no longer in shop\.yaml"):
        bench.step_view(bench.state.last_work or "")
    bench.close()


def test_closing_up_keeps_the_count_on_a_part_that_is_gone(demo_shop: Path) -> None:
    bench = open_bench(demo_shop)
    parts = {mark: part for mark, part in bench.shop.parts.items() if mark != "NR-03"}
    without = replace(bench.context, shop=replace(bench.shop, parts=parts))
    assert any(text.endswith("5 flutes are kept.") for text in close_up(without).may)
    bench.close()


def refuse(_: KioskScreen) -> None:
    """What a screen may meet when it is drawn."""
    raise KioskError("the line is wrong", "write another")


@pytest.mark.parametrize(("key", "screen"), [("f1", PlaceScreen), ("f2", SpareScreen)])
def test_a_screen_that_cannot_be_drawn_shows_why_and_can_be_left(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch, key: str, screen: type[KioskScreen]
) -> None:
    monkeypatch.setattr(screen, "draw", refuse)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, key)
        assert isinstance(app.screen, screen)
        assert "the line is wrong; write another" in "\n".join(screen_text(app))
        await press(app, pilot, "f3")
        assert isinstance(app.screen, BoardScreen)
        await press(app, pilot, key, "f10")
        assert isinstance(app.screen, CloseUpScreen)

    with_app(demo_shop, walk)


def test_a_thicker_spar_without_a_sheet_says_which_one_to_add(new_shop: Path) -> None:
    named = "drawing: BLG-W-201\n    material: {alloy: 2024-T3, thickness: "
    change(new_shop, f"{named}.032", f"{named}.040")
    bench = open_bench(new_shop)
    complete(bench, "BR-01")
    take_to(bench, ["FS-01"], "spar-channel/choose-sheet")
    work = bench.start(["FS-01"], "spar-channel", "choose-sheet")
    bench.acknowledge(work)
    check = bench.step_view(work).checks[0]
    assert (check.wanted, check.choices) == ("a 2024-T3 0.040 sheet", ())
    with pytest.raises(Refused, match=r"add the 2024-T3 0\.040 sheet to the lots in shop\.yaml"):
        bench.answer(work, "FS-01", check.id, "SH-99")
    bench.close_sitting("")
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.take_up(work)
        app.bench.acknowledge(work)
        app.walk(work)
        await pilot.pause()
        shown = " ".join("\n".join(screen_text(app)).split())
        assert "No lot of the stock is a 2024-T3 0.040 sheet. Take no other." in shown
        await press(app, pilot, "enter")
        shown = " ".join("\n".join(screen_text(app)).split())
        assert "Nothing in shop.yaml fits: a 2024-T3 0.040 sheet. Add what you have to its lots." in shown

    with_app(new_shop, walk)
