"""Nothing that a person needs vanishes on a small screen: it is one tap further away."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.record.events import NoteWritten
from kiosk.screens.app import KioskApp
from kiosk.screens.board import BoardScreen
from kiosk.screens.numbers import NumbersScreen
from kiosk.screens.page import PageScreen
from kiosk.screens.part import PartScreen
from kiosk.screens.stock import StockScreen
from kiosk.screens.target import Target
from tests.driver import foot_text, pass_time, press, screen_text, tap, target, touch
from tests.screens.moment import with_app

SIZES = ((64, 20), (73, 20))


def text_of(app: KioskApp) -> str:
    return " ".join(" ".join(screen_text(app)).split())


async def touch_row(app: KioskApp, pilot: Pilot[None], row: int) -> None:
    body = app.screen.query_one("#body").region
    pass_time(app)
    await touch(app, pilot, (body.x + 4, body.y + row))


@pytest.mark.parametrize("size", SIZES)
def test_what_has_no_room_on_the_card_is_read_by_a_tap(demo_shop: Path, size: tuple[int, int]) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        assert "… more: tap this text, or Tab." in text_of(app)
        await touch_row(app, pilot, 2)
        assert isinstance(app.screen, PageScreen)
        read = text_of(app)
        for _ in range(app.screen.screens - 1):
            await tap(app, pilot, "NEXT PAGE")
            read += text_of(app)
        assert "Still true? If not, F7." in read and "HELD: NR-06: Crack" in read
        assert read.count("[x] ") == len(app.bench.place_card().look_back)
        await tap(app, pilot, "BACK")
        await tap(app, pilot, "More…")
        await tap(app, pilot, "Stock")
        assert isinstance(app.screen, StockScreen)

    with_app(demo_shop, walk, size)


@pytest.mark.parametrize("size", SIZES)
def test_a_message_too_long_for_the_foot_is_read_whole(demo_shop: Path, size: tuple[int, int]) -> None:
    message = " ".join(f"{number} is not as wanted" for number in range(11)) + "; do it again."

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.say(message, trouble=True)
        app.screen.show()  # type: ignore[attr-defined]
        await pilot.pause()
        assert message in text_of(app)

    with_app(demo_shop, walk, size)


@pytest.mark.parametrize("size", [(64, 20), (120, 36)])
def test_every_target_of_every_place_is_on_the_screen(demo_shop: Path, size: tuple[int, int]) -> None:
    """None is pushed over the edge, and each is large enough for a finger: twelve columns of three rows."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        for key in ("f1", "f2", "f3", "f4", "f9", "f11", "f10"):
            await press(app, pilot, key)
            row = app.screen.query("#actions Target, #places Target").results(Target)
            for one in row:
                if one.action is not None and one.region.area:
                    assert one.region.right <= size[0] and one.region.bottom <= size[1], (key, one.action)
                    assert one.region.width >= 12 and one.region.height == 3, (key, one.action.label)

    with_app(demo_shop, walk, size)


def test_a_line_is_pointed_at_by_a_tap(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await tap(app, pilot, "Board")
        board = app.screen
        assert isinstance(board, BoardScreen)
        assert board.part_shown == app.bench.place_card().marks[0] == "NR-03"  # where the work stands
        while board.at:
            await press(app, pilot, "up")
        await touch_row(app, pilot, 5)
        assert board.part_shown == "DS-30"
        await tap(app, pilot, "Up")
        assert board.part_shown == "FB-TP"
        await touch_row(app, pilot, 4)  # the line that is pointed at
        assert "FB-TP" in screen_text(app)[1] and "BEGIN" in text_of(app)

    with_app(demo_shop, walk, (64, 20))


def test_the_board_shows_what_is_in_work_what_waits_and_what_is_mine(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        assert {row.state_word for row in bench.board(to="in work")} == {"IN HAND"}
        assert {row.state_word for row in bench.board(to="waiting")} == {"WAITS"}
        builders = {row.mark for row in bench.board(to="mine")}
        assert {"NR-03", "NR-06"} <= builders and "FB-TR" not in builders  # in hand, and to decide
        bench.come("pip")
        bench.hand_over("pip")
        pips = bench.board(to="mine")
        assert {row.state_word for row in pips} == {"READY"} and "FB-TR" in {row.mark for row in pips}
        bench.ask_first("NR-06")
        assert "NR-06" in {row.mark for row in bench.board(to="mine")}

    with_app(demo_shop, walk)


def test_words_said_before_are_put_in_whole_by_one_tap(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.note("Good grain")
        app.bench.raise_snag("NR-01", "Nick in the edge")
        await press(app, pilot, *"NR-07", "enter")
        before = app.bench.state.seq
        await tap(app, pilot, "Other…")
        await tap(app, pilot, "Write a note on it")
        for label in ("Good grain", "ABC", "space", "x", "TAKE IT"):
            await tap(app, pilot, label)
        notes = [one.body for one in app.bench.record.journal.after(before)]
        assert [one.text for one in notes if isinstance(one, NoteWritten)] == ["Good grain x"]
        await tap(app, pilot, "Snag")
        for label in ("Letters", "N", "i", "Said before", "Nick in the edge", "TAKE IT"):
            await tap(app, pilot, label)
        assert [one.text for one in app.bench.state.open_snags("NR-07")] == ["Nick in the edge"]

    with_app(demo_shop, walk, (64, 20))


def test_a_calculator_keeps_what_was_given_and_says_which_input_is_wrong(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f9", *["down"] * 3, "enter")
        await press(app, pilot, *".064", "enter", *"1/4", "enter", *"450", "enter", "enter")
        text = text_of(app)  # the angle alone is asked for again, with what was typed and why it cannot be
        assert "NOT DONE: " in text and "angle" in text and "450▌" in text
        assert "thickness .064" in text and "inside radius 1/4" in text
        await press(app, pilot, "backspace", "enter")
        assert isinstance(app.screen, PageScreen) and "Bend allowance" in text_of(app)
        await press(app, pilot, "enter")
        assert isinstance(app.screen, NumbersScreen)
        await tap(app, pilot, "WORK IT OUT")
        assert "As before: .064" in text_of(app)
        assert "NOT DONE" not in foot_text(app)

    with_app(demo_shop, walk)


def test_a_helper_reads_a_part_in_their_words_and_is_led_to_nothing_that_is_refused(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.come("pip")
        app.bench.hand_over("pip")
        step = app.bench.position("FB-TR").step
        assert step is not None and step.plain
        await press(app, pilot, *"FB-TR", "enter")
        assert step.plain in text_of(app) and step.do not in text_of(app)
        await press(app, pilot, *"NR-03", "enter")  # in the builder's hands
        assert "only the builder does this step" in text_of(app)
        assert "GO TO THE STEP" not in text_of(app)
        assert text_of(app).count("Squeeze the flutes") + text_of(app).count("in hand:") <= 1

    with_app(demo_shop, walk)


def test_a_space_in_a_half_typed_mark_goes_where_the_yellow_key_says(demo_shop: Path) -> None:
    """It was typed into the mark, which then was none; between letters and number it is a blank still."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"nr", "space", "4")
        assert target(app, "GO TO NR-04")
        await press(app, pilot, "space")
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "NR-04" and app.typed == ""

    with_app(demo_shop, walk)
