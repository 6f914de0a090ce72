"""What comes in otherwise than by a finger: a pedal's one key, and a scanner that the terminal pastes."""

from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from kiosk.screens.action import BIG
from kiosk.screens.app import KioskApp
from kiosk.screens.keypad import KeypadScreen
from kiosk.screens.part import PartScreen
from kiosk.screens.pin import PinScreen
from kiosk.screens.target import Target
from kiosk.screens.walk import WalkScreen
from tests.driver import foot_text, press, settled, tap
from tests.screens.moment import with_app


@pytest.mark.parametrize("text", ["MR-02", "mr-02\r\n", "  MR-02  \n"])
def test_a_scanner_that_pastes_opens_the_part_and_presses_nothing_else(demo_shop: Path, text: str) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        before = app.bench.state.seq
        app.post_message(events.Paste(text))
        await pilot.pause(0.1)
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "MR-02"
        assert app.bench.state.seq == before and not app.typed

    with_app(demo_shop, walk)


def test_a_pasted_mark_that_is_on_no_part_is_said(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.post_message(events.Paste("NR-99"))
        await pilot.pause(0.1)
        assert "No part is marked 'NR-99'" in foot_text(app)

    with_app(demo_shop, walk)


def test_the_pedal_does_the_big_action_of_every_screen(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        pedal = app.bench.shop.file.screen.pedal
        await press(app, pilot, pedal)  # carry on
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        await press(app, pilot, pedal)  # the cautions are read
        await press(app, pilot, pedal, pedal)
        assert app.bench.step_view(screen.work).count == 7

    with_app(demo_shop, walk)


@pytest.mark.parametrize("by", ["finger", "pedal", "enter"])
def test_while_a_mark_is_typed_the_yellow_key_says_and_does_what_enter_does(demo_shop: Path, by: str) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        before = app.bench.state.seq
        await press(app, pilot, *"MR-02")
        assert yellow(app) == "GO TO MR-02"
        if by == "finger":
            await tap(app, pilot, "GO TO MR-02")
        else:
            await press(app, pilot, app.bench.shop.file.screen.pedal if by == "pedal" else "enter")
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "MR-02"
        assert app.bench.state.seq == before and not app.typed
        assert yellow(app).startswith("BEGIN")

    with_app(demo_shop, walk)


@pytest.mark.parametrize("keys", [["backspace"] * 2, ["escape"], ["enter"]])
def test_the_yellow_key_is_its_own_again_when_no_mark_is_typed_any_more(
    demo_shop: Path, keys: list[str]
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"ZZ")
        assert yellow(app) == "GO TO THE MARK"
        await press(app, pilot, *keys)
        assert yellow(app) == "CARRY ON" and not app.typed

    with_app(demo_shop, walk)


def _pedal_sends_a_blank(folder: Path) -> None:
    file = folder / "shop.yaml"
    file.write_text(file.read_text() + "\nscreen: {pedal: space}\n")


def test_a_pedal_that_sends_a_blank_answers_nothing_while_words_are_typed(new_shop: Path) -> None:
    _pedal_sends_a_blank(new_shop)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.open_part("NR-01")
        await settled(app, pilot)
        await press(app, pilot, "f5", "space")
        assert "Nothing is taken" in foot_text(app)
        await press(app, pilot, *"hole", "space", *"out")
        assert not app.bench.state.open_snags("NR-01")
        await press(app, pilot, "enter")
        assert [snag.text for snag in app.bench.state.open_snags("NR-01")] == ["hole out"]
        await press(app, pilot, "f5", *"bent", "down", "space")  # highlighted after the words: it is pressed
        assert [snag.text for snag in app.bench.state.open_snags("NR-01")][1:] == ["Crack"]

    with_app(new_shop, walk)


def test_a_pedal_that_sends_a_blank_closes_nothing_up_while_a_note_is_typed(new_shop: Path) -> None:
    _pedal_sends_a_blank(new_shop)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.note("begun")
        await press(app, pilot, "f10", *"block", "space", *"loose", "space")
        assert app.bench.state.sitting is not None
        await press(app, pilot, *["backspace"] * len("block loose "), "space")
        assert app.bench.state.sitting is None and app.bench.state.left is not None
        assert not app.bench.state.left.note

    with_app(new_shop, walk, wall=True)


def test_a_pedal_that_sends_a_blank_records_no_figure_and_finds_no_minutes_half_typed(
    demo_shop: Path,
) -> None:
    _pedal_sends_a_blank(demo_shop)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f2", "1", "2", "space")
        assert yellow(app).startswith("FIND 12")
        await press(app, pilot, "escape", *"nr", "space", "0")
        assert app.typed == "nr 0"
        await press(app, pilot, "escape", "space", "space", "space")  # carry on, the cautions, one flute
        assert isinstance(app.screen, WalkScreen)
        assert app.bench.step_view(app.screen.work).count == 6

    with_app(demo_shop, walk)


def test_a_pedal_that_sends_a_blank_leaves_a_figure_of_the_keypad_and_presses_a_pin() -> None:
    figure = KeypadScreen("How high?", str)
    assert not figure.has_text
    figure.text = "8 ft"
    assert figure.has_text
    pin = PinScreen("PIN?")
    pin.text = "1234"
    assert not pin.has_text


def yellow(app: KioskApp) -> str:
    """What stands on the yellow key."""
    (found,) = (one.action.label for one in app.screen.query(Target) if one.action and one.action.key == BIG)
    return found
