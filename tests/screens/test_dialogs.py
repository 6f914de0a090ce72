"""Dialogs: each is left once, whatever comes in after, and gives what was chosen or typed."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.screens.app import KioskApp
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.dialog import Dialog
from kiosk.screens.keypad import KeypadScreen
from kiosk.screens.page import PageScreen
from kiosk.screens.part import PartScreen
from kiosk.screens.place import PlaceScreen
from kiosk.screens.walk import WalkScreen
from tests.driver import burst, pass_time, press, screen_text, send, settled, tap, target, touch
from tests.screens.moment import with_app

WORKING = ("f9", *["down"] * 3, "enter", *".064", "enter", *"1/4", "enter", *"45", "enter", "enter")


@pytest.mark.parametrize(
    "keys",
    [("enter", "enter"), ("escape", "escape"), (" ", " "), ("f6", "enter"), ("enter",) * 5],
)
def test_a_burst_on_a_page_closes_it_and_does_no_more(demo_shop: Path, keys: tuple[str, ...]) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *WORKING)
        assert isinstance(app.screen, PageScreen)
        below = app.screen_stack[-2]
        await burst(app, pilot, *keys)
        assert app.screen is below
        assert "Bench numbers" in "\n".join(screen_text(app))
        assert not app.typed
        await press(app, pilot, "f1")  # and it takes keys
        assert isinstance(app.screen, PlaceScreen)

    with_app(demo_shop, walk)


@pytest.mark.parametrize("over", ["working", "drawing", "life"])
def test_a_mark_that_is_typed_on_a_page_is_whole_and_presses_nothing_below(
    demo_shop: Path, over: str
) -> None:
    """The first letter left the page, the next were lost, and Enter pressed the yellow key of the step."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        if over == "life":
            app.open_part("NR-02")
            await settled(app, pilot)
            await press(app, pilot, "f8")
        else:
            await press(app, pilot, "enter")
            assert isinstance(app.screen, WalkScreen)
            bench.acknowledge(app.screen.work)
            app.screen.show()
            await press(app, pilot, "f9" if over == "working" else "left")
        assert isinstance(app.screen, Dialog)
        before = bench.state.seq
        app.say("Saved.")
        for key in "mr1":
            pass_time(app, 0.12)
            send(app, key)
            await settled(app, pilot)
        assert app.typed == "mr1" and "GO TO MR-01" in "\n".join(screen_text(app))
        pass_time(app, 0.12)
        send(app, "enter")
        await settled(app, pilot)
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "MR-01"
        assert bench.state.seq == before
        assert "Saved." not in "\n".join(screen_text(app)), "it was of the page before"

    with_app(demo_shop, walk)


def test_a_burst_on_the_undo_dialog_takes_back_once(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter", "enter", "enter", "f6")
        screen = app.screen_stack[-2]
        assert isinstance(screen, WalkScreen) and isinstance(app.screen, ChoiceScreen)
        work = screen.work
        await burst(app, pilot, "enter", "enter", "enter")
        assert app.bench.step_view(work).count == 7  # nothing is chosen beforehand
        await burst(app, pilot, "down", "enter", "enter", "enter")
        assert app.screen_stack[-1] is screen
        assert app.bench.step_view(work).count == 6

    with_app(demo_shop, walk)


def test_the_second_half_of_a_double_tap_is_not_for_the_screen_below(demo_shop: Path) -> None:
    """The dialog's targets lie where the row of places is on the screen below."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter", "f6")
        await press(app, pilot, "down")
        region = target(app, "TAKE IT").region
        for seconds, screen in ((1.0, WalkScreen), (0.2, WalkScreen), (1.0, PlaceScreen)):
            pass_time(app, seconds)
            await touch(app, pilot, (region.x + 2, region.y + 1))
            assert isinstance(app.screen, screen)

    with_app(demo_shop, walk)


def test_the_press_that_opens_a_dialog_takes_nothing_in_it(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        before = app.bench.state.seq
        await burst(app, pilot, "f5", "enter", "enter")
        assert isinstance(app.screen, ChoiceScreen)
        assert app.bench.state.seq == before

    with_app(demo_shop, walk)


def test_leaving_a_dialog_does_nothing(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        before = app.bench.state.seq
        await press(app, pilot, "f5", "escape")
        assert isinstance(app.screen, PlaceScreen)
        await tap(app, pilot, "Snag")
        await tap(app, pilot, "Leave")
        assert isinstance(app.screen, PlaceScreen)
        assert app.bench.state.seq == before

    with_app(demo_shop, walk)


def test_own_words_go_before_the_highlighted_choice(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f5", *"Dentt", "backspace", "enter")
        assert [snag.text for snag in app.bench.state.open_snags("NR-03")] == ["Dent"]

    with_app(demo_shop, walk)


def test_two_choices_with_the_same_words_stay_two(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        taken: list[int] = []
        choices = [Choice("the same", 1), Choice("the same", 2)]
        app.ask(ChoiceScreen("Which?", choices), taken.append)
        await settled(app, pilot)
        await press(app, pilot, "down", "down", "enter")
        assert taken == [2]

    with_app(demo_shop, walk)


def test_a_long_text_goes_on_over_two_pages(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        lines = [(f"Line {number} of a long text", "") for number in range(1, 31)]
        app.read("A long text", [lines])
        await settled(app, pilot)
        first = screen_text(app)
        assert "Line 1 of" in first[1] and first[-1].strip() == "Page 1 of 2"
        await tap(app, pilot, "NEXT PAGE")
        second = screen_text(app)
        assert "Line 30 of" in "\n".join(second) and second[-1].strip() == "Page 2 of 2"
        seen = [row.strip() for row in first + second if row.strip().startswith("Line ")]
        assert seen == [text for text, _ in lines]  # nothing is lost between them
        await press(app, pilot, "down")
        assert screen_text(app) == first
        await tap(app, pilot, "Back")
        assert isinstance(app.screen, PlaceScreen)

    with_app(demo_shop, walk)


def test_a_figure_is_typed_by_finger_and_recorded(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter", *["enter"] * 4)
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        await tap(app, pilot, "Keypad")
        assert isinstance(app.screen, KeypadScreen)
        for face in ("1", "/", "5", "⌫", "6", "4"):
            await tap(app, pilot, face, apart_s=0.1)  # as quickly as a finger can: each counts
        assert app.bench.step_view(screen.work).checks[0].draft == "1/64"  # kept at once
        await press(app, pilot, "escape")
        assert "half typed" in "\n".join(screen_text(app))
        await tap(app, pilot, "Keypad")
        await tap(app, pilot, "OK")
        view = app.bench.step_view(screen.work)
        assert (view.checks[0].answer, view.checks[0].passed) == ("1/64", True)
        assert app.screen_stack[-1] is screen and view.can_finish

    with_app(demo_shop, walk)
