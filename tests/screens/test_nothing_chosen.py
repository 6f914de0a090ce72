"""Nothing that matters is chosen beforehand: Enter on an untouched dialog takes nothing."""

import ast
import shutil
from pathlib import Path

import pytest
from textual.pilot import Pilot

import kiosk.screens
from kiosk.bench import Bench
from kiosk.record.events import RunStarted, SnagDecided, WordsTyped
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.keypad import KeypadScreen
from tests.conftest import SteadyClocks
from tests.driver import foot_text, press, settled, tap
from tests.screens.moment import NOW, with_app
from tests.screens.scenes import SCENES, Scene

# The two of clocks need a clock of their own: tests/screens/test_clocks_on_the_wall.py presses Enter on them.
OF_CLOCKS = {"limit-dialog", "clock-dialog"}
DIALOGS = [scene for scene in SCENES if scene.name.endswith("-dialog") and scene.name not in OF_CLOCKS]
# Lists of ways to go, where the first does no harm, by the function that opens them.
GO = {
    ("app", "_ask_part"),
    ("app", "part_meant"),  # where it only opens the part
    ("asking", "_ask_kind"),
    ("board", "_ask_what"),
    ("numbers", "_ask"),
    ("part", "_other"),
    ("walk", "_ask_check"),
    ("walk", "_other_piece"),
}


def test_only_lists_of_ways_to_go_offer_their_first() -> None:
    found = set()
    for path in Path(str(kiosk.screens.__file__)).parent.glob("*.py"):
        for function in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(function, ast.FunctionDef):
                continue
            for call in ast.walk(function):
                is_choice = isinstance(call, ast.Call) and "ChoiceScreen" in ast.unparse(call.func)
                if is_choice and any(word.arg == "goes" for word in call.keywords):  # type: ignore[attr-defined]
                    found.add((path.stem, function.name))
    assert found == GO


@pytest.mark.parametrize("scene", DIALOGS, ids=lambda scene: scene.name)
def test_enter_on_an_untouched_dialog_takes_nothing(scene: Scene, demo_shop: Path) -> None:
    if scene.before is not None:
        bench = Bench(demo_shop, SteadyClocks(NOW))
        scene.before(bench)
        bench.close()
    typed = [key for key in scene.keys[-4:] if key in (*"Den", *"1.2", *"24")]
    keys = scene.keys[: len(scene.keys) - len(typed)] if scene.name != "number-dialog" else scene.keys

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *keys)
        dialog, before = app.screen, app.bench.state.seq
        assert isinstance(dialog, ChoiceScreen | KeypadScreen), scene.name
        if isinstance(dialog, ChoiceScreen) and dialog.at is not None:
            assert scene.name in ("piece-dialog", "other-dialog", "number-dialog")
            return
        await press(app, pilot, "enter", app.taps.pedal, "space", "enter")
        written = app.bench.record.journal.after(before)
        assert app.screen is dialog and all(isinstance(one.body, RunStarted | WordsTyped) for one in written)
        said = foot_text(app)
        assert any(word in said for word in ("Nothing is", "Choose one", "Type it first")), said

    with_app(demo_shop, walk, wall=scene.wall)


def test_a_choice_is_taken_once_it_was_moved_to_or_touched(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        taken: list[int] = []
        choices = [Choice("one", 1), Choice("two", 2)]
        app.ask(ChoiceScreen("Which?", choices), taken.append)
        await settled(app, pilot)
        await tap(app, pilot, "CHOOSE ONE ABOVE")
        assert taken == [] and "Nothing is taken" in foot_text(app)
        await press(app, pilot, "down", "enter")
        assert taken == [1]
        app.ask(ChoiceScreen("Which?", choices), taken.append)
        await settled(app, pilot)
        await tap(app, pilot, "two")
        assert taken == [1, 2]

    with_app(demo_shop, walk)


def test_what_was_typed_stays_when_it_is_no_reason_or_the_dialog_was_left(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"NR-06", "enter", "enter")
        await tap(app, pilot, "Use as is")
        await press(app, pilot, *"ok", "enter")
        dialog = app.screen
        assert isinstance(dialog, ChoiceScreen)
        assert dialog.refused == "a decision needs its reason; say why, in words" and dialog.typed == "ok"
        await press(app, pilot, *" away from the edge", "enter")
        await press(app, pilot, "escape")  # the designer has to be asked first
        assert app.bench.state.open_snags("NR-06")
        await tap(app, pilot, "DECIDE THE SNAG")
        await tap(app, pilot, "Go on with it")
        assert isinstance(app.screen, ChoiceScreen)
        assert app.screen.title_text == "What did the designer or an inspector answer?"
        await press(app, pilot, *"May stay, stop-drill it", "enter", *"Ada Quill", "enter")
        await tap(app, pilot, "designer")
        await tap(app, pilot, "Ada Quill, designer")
        await tap(app, pilot, "Record this decision")
        assert not app.bench.state.open_snags("NR-06")
        (body,) = [one.body for one in app.bench.record.journal.after(0) if isinstance(one.body, SnagDecided)]
        assert (body.reason, body.answer) == (
            "ok away from the edge",
            "May stay, stop-drill it",
        )

    with_app(demo_shop, walk)


def test_a_decision_is_made_by_finger_where_the_shop_names_whom_it_asks(demo_shop: Path) -> None:
    file = demo_shop / "shop.yaml"
    text = file.read_text(encoding="utf-8")
    own = text.replace("\npeople:\n", "\noutside:\n  - {name: Ada Quill, role: designer}\npeople:\n", 1)
    assert own != text
    file.write_text(own, encoding="utf-8")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"NR-06", "enter")
        for label in (
            "DECIDE THE SNAG",
            "Use as is",
            "The designer or an inspector says so",
            "It may be used as it is",
            "Ada Quill, designer",
            "Wren, builder",
            "Record this decision",
        ):
            await tap(app, pilot, label)
        assert not app.bench.state.open_snags("NR-06")

    with_app(demo_shop, walk)


def test_f5_raises_the_snag_on_the_part_that_is_shown(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f3", "down", "down", "f5")
        assert isinstance(app.screen, ChoiceScreen)
        marks = list(app.bench.shop.parts)
        below = marks[marks.index("NR-03") + 2]  # it opens at the part of the place
        assert app.screen.title_text == f"What is not right on {below}?"
        await press(app, pilot, "escape")
        for key in ("f4", "f11", "f10"):
            await press(app, pilot, key, "f5")
            assert isinstance(app.screen, ChoiceScreen)
            assert app.screen.title_text == "Which part is not right?" and app.screen.at is None
            await press(app, pilot, "escape")
        await press(app, pilot, "escape", *"NR-07", "enter", "f5")
        assert isinstance(app.screen, ChoiceScreen) and "NR-07" in app.screen.title_text

    with_app(demo_shop, walk)
    shutil.rmtree(demo_shop)
