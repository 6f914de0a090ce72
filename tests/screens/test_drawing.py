"""The drawing of a step: on the step where there is room, one key or tap away where there is none."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.drawing.sketch import IN_HAND
from kiosk.screens.app import KioskApp
from kiosk.screens.drawing import DRAWING_KEY, DrawingScreen
from kiosk.screens.walk import WalkScreen
from tests.conftest import SteadyClocks
from tests.drawing.one_step import make_shop_at
from tests.driver import foot_text, pass_time, press, screen_text, tap, touch
from tests.screens.moment import NOW, with_app

STEPS = {
    "rib": ("nose-rib", "rib-fluting", "flute", "NR-03", ("FORWARD ►   LEFT HAND", "1 of 9")),
    "bend": (
        "front-spar",
        "spar-channel",
        "bend-first",
        "FS-01",
        ("SIGHT LINE 0.734", "upper flange under nose", "84°"),
    ),
    "die_stack": (
        "dies-3in",
        "hole-dies",
        "read-sizes",
        "DS-30",
        ("PRESS ▼", "pilot 2.844", "opening 3.354"),
    ),
    "rivet_row": (
        "nose-joint",
        "rib-to-spar",
        "drill-pilot",
        "NJ-01",
        ("pitch 1.188", "end 0.312", "1 of 5"),
    ),
}


def text(app: KioskApp) -> str:
    return "\n".join(screen_text(app))


async def walk_to(app: KioskApp, pilot: Pilot[None], name: str) -> WalkScreen:
    _, procedure, step, mark, _ = STEPS[name]
    app.walk(app.bench.start([mark], procedure, step))
    await press(app, pilot, "f24")  # a key that does nothing: the screen comes to rest
    screen = app.screen
    assert isinstance(screen, WalkScreen)
    return screen


@pytest.mark.parametrize("name", STEPS)
@pytest.mark.parametrize("size", [(64, 20), (73, 20), (80, 24), (120, 36)])
def test_the_drawing_is_there_or_a_key_away(tmp_path: Path, name: str, size: tuple[int, int]) -> None:
    kind, procedure, step, _, labels = STEPS[name]
    make_shop_at(tmp_path / "shop", kind, procedure, step)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        screen = await walk_to(app, pilot, name)
        assert "← Drawing." in foot_text(app)
        on_the_step = text(app)
        there = all(label in on_the_step for label in labels)
        assert "Drawing: tap here." in on_the_step or size == (
            64,
            20,
        )  # there the key alone is told
        assert there or size != (120, 36)
        await press(app, pilot, DRAWING_KEY)
        assert isinstance(app.screen, DrawingScreen)
        for label in labels:
            assert label in text(app)
        await press(app, pilot, DRAWING_KEY)
        assert app.screen_stack[-1] is screen
        assert text(app) == on_the_step

    with_app(tmp_path / "shop", walk, size, SteadyClocks(NOW))


@pytest.mark.parametrize("size", [(73, 20), (80, 24)])
def test_nothing_that_is_needed_gives_way_to_it(tmp_path: Path, size: tuple[int, int]) -> None:
    """The step with and without its drawing says the same, but for what tells of the drawing."""
    shown: list[list[str]] = []
    for more in ({}, {"drawing": None}):
        folder = tmp_path / str(len(shown))
        make_shop_at(folder, "nose-rib", "rib-fluting", "flute", **more)

        async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
            await walk_to(app, pilot, "rib")
            body = app.screen.query_one("#body").region
            rows = [row.rstrip() for row in screen_text(app)[body.y : body.bottom]]
            shown.append([row.replace("  Drawing: tap here.", "") for row in rows if row])

        with_app(folder, walk, size, SteadyClocks(NOW))
    assert shown[0] == shown[1]


def test_a_finger_on_the_page_opens_it_and_on_back_closes_it(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await tap(app, pilot, "CARRY ON")
        body = app.screen.query_one("#body").region
        middle = (body.x + body.width // 2, body.y + body.height // 2)
        await touch(app, pilot, middle)  # the cautions: a tap on them is nothing
        assert isinstance(app.screen, WalkScreen)
        await tap(app, pilot, "I HAVE READ THESE")
        screen = app.screen
        pass_time(app)
        await touch(app, pilot, middle)
        assert isinstance(app.screen, DrawingScreen)
        await tap(app, pilot, "BACK")
        assert app.screen is screen

    with_app(demo_shop, walk)


def test_the_mark_goes_on_with_the_count(demo_shop: Path) -> None:
    """5 of 9 are done in the example: the sixth is in hand, then the seventh, and none when all are done."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter")
        seen = []
        for _ in range(5):
            drawn = [row[74:] for row in screen_text(app)[11:26]]  # beside the text, under the action
            seen.append([f"{n} of 9" for n in range(1, 10) if f"{n} of 9" in "\n".join(drawn)])
            assert any(IN_HAND in row for row in drawn) == bool(seen[-1])
            if seen[-1]:
                await press(app, pilot, "enter")
        assert seen == [["6 of 9"], ["7 of 9"], ["8 of 9"], ["9 of 9"], []]

    with_app(demo_shop, walk, (120, 36))


@pytest.mark.parametrize(
    ("keys", "this_one"),
    [
        ((), "flute 6 of 9, 0.079 deep"),
        ((*"NR-03", "enter"), "flute 6 of 9, 0.079 deep"),
        ((*"NR-04", "enter"), "flute 1 of 9, 0.130 deep"),
    ],
    ids=["place", "part in hand", "part not begun"],
)
def test_place_and_part_draw_the_one_in_hand_and_say_which(
    demo_shop: Path, keys: tuple[str, ...], this_one: str
) -> None:
    """The page of NR-03, of which five flutes are done, drew the first, and said how deep that one is."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *keys)
        rows = screen_text(app)
        shown = "\n".join(rows)
        assert this_one in shown and shown.count(" of 9, ") == 1
        if keys:
            mark = "".join(keys[:-1])
            others = ", ".join(one for one in ("NR-03", "NR-04", "NR-05") if one != mark)
            assert f"IN HAND with {others}, PAUSED" in [row[:60].strip() for row in rows]
            assert ("5 of at most 9 flutes" in shown) == (mark == "NR-03")

    with_app(demo_shop, walk, (160, 50))


def test_what_cannot_be_drawn_says_why_and_the_step_goes_on(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    make_shop_at(folder, "nose-rib", "rib-fluting", "flute", drawing="die_stack")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await walk_to(app, pilot, "rib")
        assert "The drawing cannot be shown" in text(app)
        await press(app, pilot, DRAWING_KEY)
        assert "THIS DRAWING CANNOT BE SHOWN" in text(app)
        assert "shop.yaml:" in text(app) and "cut_out" in text(app)
        await press(app, pilot, "tab")
        assert isinstance(app.screen, WalkScreen)
        await press(app, pilot, "enter")
        assert app.bench.step_view(app.screen.work).count == 1

    with_app(folder, walk, (120, 36), SteadyClocks(NOW))
