"""Words, marks and figures by finger alone: a wall has no keyboard."""

from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from kiosk.screens.app import KioskApp
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.keypad import KeypadScreen
from kiosk.screens.letters import FACES, IN_A_ROW
from tests.conftest import SteadyClocks
from tests.driver import press, screen_text, settled, tap, target_or_key, targets_and_keys, with_app
from tests.screens.moment import NOW
from tests.screens.scenes import ALL_FLUTES

SIZES = ((64, 20), (73, 20), (80, 24), (120, 36))


@pytest.mark.parametrize("size", SIZES)
def test_a_snag_in_ones_own_words_is_raised_by_finger(demo_shop: Path, size: tuple[int, int]) -> None:
    async def play(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f5")
        for label in ("Letters", "D", "e", "n", "t", "space", "⇧", "A", "⌫", "123 #", "#", "3", "ABC", "x"):
            await tap(app, pilot, label)
        assert "Dent #3x" in "\n".join(screen_text(app))
        await tap(app, pilot, "TAKE IT")
        (snag,) = [one for one in app.bench.state.snags.values() if one.text == "Dent #3x"]
        assert snag.mark == "NR-03"

    with_app(demo_shop, play, size=size, clocks=SteadyClocks(NOW))


@pytest.mark.parametrize("size", SIZES)
def test_every_key_is_whole_and_stands_on_the_screen(demo_shop: Path, size: tuple[int, int]) -> None:
    """None is hidden behind another, and each shows its character."""

    async def play(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f5")
        await tap(app, pilot, "Letters")
        for face in FACES.values():
            keys = {
                one.action.label.lower(): one.region
                for one in targets_and_keys(app)
                if one.action is not None and app.screen.region.contains_region(one.region)
            }
            for row in face:
                for character in row:
                    region = keys[character]
                    assert region.height == 3 and region.width >= 5 and region.bottom < size[1]
            await tap(app, pilot, "123 #" if face is FACES["letters"] else "ABC")

    with_app(demo_shop, play, size=size, clocks=SteadyClocks(NOW))


def test_every_character_that_a_figure_or_a_mark_is_written_with_has_a_key() -> None:
    for face in FACES.values():
        assert all(len(row) == IN_A_ROW for row in face)
    for wanted in "abcdefghijklmnopqrstuvwxyz0123456789.,-/#\"'":
        assert any(wanted in row for face in FACES.values() for row in face), wanted


@pytest.mark.parametrize("size", SIZES)
def test_a_measurement_in_millimetres_is_typed_by_finger(demo_shop: Path, size: tuple[int, int]) -> None:
    async def play(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *ALL_FLUTES, "f8")
        assert isinstance(app.screen, KeypadScreen)
        for label in (".", "4", "mm"):
            await tap(app, pilot, label)
        assert app.screen.text == ".4mm"
        await tap(app, pilot, "OK")
        assert not isinstance(app.screen, KeypadScreen)
        work = next(iter(app.bench.state.works.values()))
        piece = work.pieces[0]
        assert piece.answers

    with_app(demo_shop, play, size=size, clocks=SteadyClocks(NOW))


def test_while_letters_are_up_no_choice_out_of_sight_is_taken(demo_shop: Path) -> None:
    async def play(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f5")
        await tap(app, pilot, "Letters")
        await press(app, pilot, *"Den", "down", "enter")
        assert [one.text for one in app.bench.state.open_snags("NR-03")] == ["Den"]

    with_app(demo_shop, play, clocks=SteadyClocks(NOW))


def test_a_finger_that_is_lifted_from_another_key_types_neither(demo_shop: Path) -> None:
    async def play(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f5")
        await tap(app, pilot, "Letters")
        down, up = (target_or_key(app, one).region.offset for one in "DF")
        for kind, at in ((events.MouseDown, down), (events.MouseUp, up)):
            event = kind(None, *at, 0, 0, 1, False, False, False, *at)
            event.time = app.taps.clock()
            app.post_message(event)
            await settled(app, pilot)
        assert isinstance(app.screen, ChoiceScreen) and app.screen.typed == ""

    with_app(demo_shop, play, clocks=SteadyClocks(NOW))


def test_what_was_said_before_and_has_no_room_on_its_key_ends_in_a_mark(demo_shop: Path) -> None:
    long = "The edge was nicked " * 8

    async def play(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.raise_snag("NR-07", long.strip())
        app.raise_snag("NR-03")
        await settled(app, pilot)
        await tap(app, pilot, "Letters")
        await tap(app, pilot, "Said before")
        assert any("…" in row for row in screen_text(app)[-16:-4]), screen_text(app)
        await tap(app, pilot, "The edge was nicked")
        assert isinstance(app.screen, ChoiceScreen) and app.screen.typed == long.strip()

    with_app(demo_shop, play, size=(73, 20), clocks=SteadyClocks(NOW))
