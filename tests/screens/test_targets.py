"""Every kind of target does by finger what its key does."""

from pathlib import Path

from textual.pilot import Pilot

from kiosk.screens.app import KioskApp
from kiosk.screens.board import BoardScreen
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.close_up import CloseUpScreen
from kiosk.screens.numbers import NumbersScreen
from kiosk.screens.part import PartScreen
from kiosk.screens.people import PeopleScreen
from kiosk.screens.place import PlaceScreen
from kiosk.screens.spare import SpareScreen
from kiosk.screens.stock import StockScreen
from kiosk.screens.target import Target
from kiosk.screens.walk import WalkScreen
from tests.driver import foot_text, press, screen_text, tap, target
from tests.screens.moment import with_app


def test_the_row_of_places_leads_everywhere(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        for label, screen in (
            ("Minutes", SpareScreen),
            ("Board", BoardScreen),
            ("Close up", CloseUpScreen),
            ("Place", PlaceScreen),
            ("Numbers", NumbersScreen),
            ("People", PeopleScreen),
            ("Stock", StockScreen),
        ):
            if label in ("People", "Stock"):
                await tap(app, pilot, "More…")
            await tap(app, pilot, label)
            assert isinstance(app.screen, screen), label

    with_app(demo_shop, walk)


def test_a_step_is_walked_by_finger(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await tap(app, pilot, "CARRY ON")
        screen = app.screen
        assert isinstance(screen, WalkScreen)

        def count() -> int:
            return app.bench.step_view(screen.work).count

        await tap(app, pilot, "I HAVE READ THESE")
        await tap(app, pilot, "ONE MORE")
        assert count() == 6
        await tap(app, pilot, "One less")
        assert count() == 5
        await tap(app, pilot, "Other piece")
        await tap(app, pilot, "NR-05")
        assert app.bench.step_view(screen.work).mark == "NR-05"
        await tap(app, pilot, "Pause")
        assert isinstance(app.screen, PlaceScreen)
        assert app.bench.state.works[screen.work].status == "paused"

    with_app(demo_shop, walk)


def test_yes_and_no_are_two_targets(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"MR-01", "enter", "enter", "enter")  # the last: its cautions were read
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        check = app.bench.step_view(screen.work).active_check
        assert check is not None and check.kind == "yes_no"
        wanted = check.wanted == "yes"
        await tap(app, pilot, "NO" if wanted else "YES")
        assert "[!]" in "\n".join(screen_text(app))
        await tap(app, pilot, "YES, SEEN SO" if wanted else "NO, AS WANTED")
        view = app.bench.step_view(screen.work)
        assert next(one for one in view.checks if one.id == check.id).passed

    with_app(demo_shop, walk)


def test_those_that_go_along_are_ticked(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"NR-07", "enter")
        screen = app.screen
        assert isinstance(screen, PartScreen)
        for label in ("Which…", "[ ] NR-08", "[ ] NR-09", "[x] NR-08", "TAKE 2"):
            await tap(app, pilot, label)
        assert target(app, "BEGIN (2 parts)")
        await tap(app, pilot, "BEGIN (2 parts)")
        assert isinstance(app.screen, WalkScreen)
        assert app.bench.work(app.screen.work).marks == ("NR-07", "NR-09")

    with_app(demo_shop, walk)


def test_minutes_are_tapped_and_the_big_target_says_what_a_typed_number_does(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await tap(app, pilot, "Minutes")
        screen = app.screen
        assert isinstance(screen, SpareScreen)
        await tap(app, pilot, "30 min")
        assert screen.minutes == 30 and target(app, "30 min").has_class("here")
        await press(app, pilot, "2", "5")
        await tap(app, pilot, "FIND 25 MIN")
        assert screen.minutes == 25 and isinstance(app.screen, SpareScreen)
        await tap(app, pilot, "BEGIN THIS")
        assert isinstance(app.screen, WalkScreen)

    with_app(demo_shop, walk)


def test_the_board_is_paged_filtered_and_opened_by_finger(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await tap(app, pilot, "Board")
        screen = app.screen
        assert isinstance(screen, BoardScreen)
        await tap(app, pilot, "Page on")
        assert "page 2 of" in "\n".join(screen_text(app))
        await tap(app, pilot, "Show…")
        await tap(app, pilot, "Waiting")
        text = "\n".join(screen_text(app))
        assert "Waiting: " in text and "page 1 of" in text and " READY " not in text
        await tap(app, pilot, "Held only")
        assert "Held or in question: 1" in "\n".join(screen_text(app))
        await tap(app, pilot, "OPEN THE PART")
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "NR-06"

    with_app(demo_shop, walk)


def test_people_come_go_and_take_over_by_finger(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await tap(app, pilot, "More…")
        await tap(app, pilot, "People")
        await tap(app, pilot, "Down")
        await tap(app, pilot, "Pip IS HERE")
        assert [person.id for person in app.bench.people] == ["wren", "pip"]
        await tap(app, pilot, "Takes over")
        assert app.bench.doer_id == "pip"
        await tap(app, pilot, "Goes")
        assert [person.id for person in app.bench.people] == ["wren"] and app.bench.doer_id == "wren"

    with_app(demo_shop, walk)


def test_closing_up_by_finger_leaves(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await tap(app, pilot, "Close up")
        await tap(app, pilot, "Back")
        assert isinstance(app.screen, PlaceScreen)
        await tap(app, pilot, "Close up")
        await tap(app, pilot, "CLOSE UP")
        assert not app.is_running

    with_app(demo_shop, walk)


def test_undo_is_offered_everywhere_and_can_be_left(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter", "enter")
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        await tap(app, pilot, "Undo")
        assert isinstance(app.screen, ChoiceScreen)
        await tap(app, pilot, "Leave it")
        assert app.bench.step_view(screen.work).count == 6
        await tap(app, pilot, "Undo")
        await tap(app, pilot, "Take back")
        assert app.bench.step_view(screen.work).count == 5
        assert "Both stay in the record" in foot_text(app)

    with_app(demo_shop, walk)


def test_a_message_is_read_to_its_end(new_shop: Path) -> None:
    """What is wrong stands first in it and how to mend it last: neither may be cut off."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        before = [target.region for target in app.screen.query("#actions Target").results(Target)]
        message = (
            "Pip is too young for work with the router (18 and over); hand the screen over, or choose this"
        )
        app.say(message, trouble=True)
        assert isinstance(app.screen, PlaceScreen)
        app.screen.show()
        await pilot.pause()
        assert message in " ".join("\n".join(screen_text(app)).split())
        after = [target.region for target in app.screen.query("#actions Target").results(Target)]
        assert before == after  # nothing that a finger is on its way to has moved

    with_app(new_shop, walk, size=(73, 20))
