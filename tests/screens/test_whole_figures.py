"""The yellow key offers to record a figure once it is whole, and never half of one."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.screens.action import BIG
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.keypad import KeypadScreen, why_not_whole
from kiosk.shop.measures import read_number
from tests.conftest import SteadyClocks
from tests.driver import foot_text, press, tap, targets_and_keys
from tests.screens.moment import NOW, with_app
from tests.screens.scenes import ALL_FLUTES

# As lengths are written in the trade: decimals, fractions, feet and inches, millimetres, number drills.
FIGURES: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "in": (
        (".", "-", "--5", "1/", "/8", "1 1/", "1-", "1-1", "1/0", "#", "12.5 m", "8 ft 2-", "1 1", "-."),
        (".5", "5.", "0.5", "1/8", "1 1/8", "1-1/4", "#30", "12.5 mm", "8 ft", "8 ft 2-1/4", "-1/16"),
    ),
    "deg": ((".", "-", "9 d", "--5", "1/"), ("90", "90.5", "-2", ".5", "5.")),
    "F": ((".", "-", "17 c c", "C", "6 3"), ("63", "63 F", "17C", "-4", "17.5 C")),
    "count": ((".", "-", "1/2", "1 1"), ("9", "12", "0")),
    "min": ((".", "-", "1 h h"), ("45", "2.5", "4 h", "30 min")),
}


@pytest.mark.parametrize("unit", FIGURES)
def test_what_is_a_whole_figure(unit: str) -> None:
    def reads(text: str) -> float:
        return read_number(text, unit)

    half, whole = FIGURES[unit]
    assert {text for text in half if not why_not_whole(reads, text)} == set()
    assert {text for text in whole if why_not_whole(reads, text)} == set()


def big(app: KioskApp) -> str:
    """What stands on the yellow target."""
    (found,) = (one.action.label for one in targets_and_keys(app) if one.action and one.action.key == BIG)
    return found


@pytest.mark.parametrize("text", [".", "-", "1/", "1 1/", "#", "1-"])
def test_half_a_figure_is_not_offered_to_be_recorded(demo_shop: Path, text: str) -> None:
    """``RECORD .`` stood on the yellow key, and ``OK`` on the keypad's, which then went and kept nothing."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *ALL_FLUTES, *("space" if one == " " else one for one in text))
        assert big(app) == "NOT WHOLE YET"
        before = app.bench.state.seq
        await press(app, pilot, "enter")
        assert "NOT DONE" in foot_text(app) and app.bench.state.seq == before
        await press(app, pilot, "f8")
        assert isinstance(app.screen, KeypadScreen)
        assert app.screen.text == text and big(app) == "NOT WHOLE YET"
        await press(app, pilot, "enter")
        assert isinstance(app.screen, KeypadScreen) and app.bench.state.seq == before
        for _ in text:
            await tap(app, pilot, "⌫")
        assert big(app) == "TYPE FIRST"
        for one in "1/16":
            await tap(app, pilot, one)
        assert big(app) == "OK"
        await tap(app, pilot, "OK")
        answers = [one.answers for work in app.bench.state.works.values() for one in work.pieces]
        assert any("1/16" in str(one) for one in answers)

    with_app(demo_shop, walk, clocks=SteadyClocks(NOW))


def test_nor_in_the_bench_numbers_and_minutes(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f9", *["down"] * 3, "enter", ".")
        dialog = app.screen
        assert isinstance(dialog, ChoiceScreen) and big(app) == "NOT WHOLE YET"
        await press(app, pilot, "enter")
        assert app.screen is dialog and "NOT DONE" in foot_text(app)
        await press(app, pilot, *"064")
        assert big(app) == "TAKE IT"
        await press(app, pilot, "escape", "f2", "0")
        assert big(app) == "NOT WHOLE YET"
        await press(app, pilot, "backspace", *"15")
        assert big(app) == "FIND 15 MIN"

    with_app(demo_shop, walk)
