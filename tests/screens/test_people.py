"""Who comes and goes, and what the screen offers to whom."""

from pathlib import Path

from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.context import NOBODY
from kiosk.record.readiness import next_blocks
from kiosk.screens.app import KioskApp
from kiosk.screens.people import PeopleScreen
from kiosk.screens.place import PlaceScreen
from kiosk.screens.target import Target
from kiosk.screens.walk import WalkScreen
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks
from tests.driver import do_step, foot_text, next_step, press, screen_text, set_pins, tap, type_fast
from tests.record.moments import step, with_steps
from tests.screens.moment import with_app


def text_of(app: KioskApp) -> str:
    """The screen as one line."""
    return " ".join(" ".join(screen_text(app)).split())


def begin(bench: Bench, mark: str, step: str) -> str:
    """Take a part to a step and begin it."""
    while next_step(bench, mark).id != step:
        do_step(bench, [mark])
        clocks = bench.record.clocks
        assert isinstance(clocks, SteadyClocks)
        clocks.go(31)  # the glue has dried
    where = bench.position(mark)
    assert where.procedure is not None
    return bench.start([mark], where.procedure.id, step)


def test_somebody_too_young_who_comes_stops_the_step_in_hand(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = begin(app.bench, "FB-NR", "saw-outline")
        app.walk(work)
        await press(app, pilot, "f4", "down", "enter")
        assert "Stop: Pip is in the room. F1 when they are out." in foot_text(app)
        app.walk(work)
        await press(app, pilot, "f12")
        await press(app, pilot, "f1")
        text = text_of(app)
        assert "NOT NOW: Pip must be out of the room" in text and "CARRY ON" not in text
        await tap(app, pilot, "LOOK ROUND")
        await tap(app, pilot, "Still in the room: Pip")
        assert app.bench.place_card().action == "room"
        await tap(app, pilot, "LOOK ROUND")
        await tap(app, pilot, "Out of the room: Pip")
        assert isinstance(app.screen, PlaceScreen)
        assert "NOT NOW" not in text_of(app)
        await tap(app, pilot, "CARRY ON")
        assert isinstance(app.screen, WalkScreen)

    with_app(new_shop, walk)


def test_a_step_that_somebody_too_young_came_to_says_so_on_its_page(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = begin(app.bench, "FB-NR", "saw-outline")
        app.bench.come("pip")
        app.walk(work)
        await press(app, pilot, "f8")
        text = text_of(app)
        assert "STOP: Pip must be out of the room." in text and "I HAVE READ THESE" not in text
        await tap(app, pilot, "TO THE PLACE")
        assert isinstance(app.screen, PlaceScreen)

    with_app(new_shop, walk)


def test_whoever_holds_a_step_that_must_be_finished_is_asked_before_they_go(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        begin(app.bench, "FB-NR", "glue-pattern")
        app.bench.come("pip")
        await press(app, pilot, "f4", "f8")
        text = text_of(app)
        assert "Wren goes? This must not be left so" in text
        assert "Glue the pattern on the block face" in text
        await press(app, pilot, "enter")  # takes nothing
        assert "Wren goes?" in text_of(app)
        await press(app, pilot, "down", "enter")
        assert [person.id for person in app.bench.people] == ["wren", "pip"]
        await press(app, pilot, "down", "f8")  # who holds nothing goes without a question
        assert [person.id for person in app.bench.people] == ["wren"]
        app.bench.come("pip")
        await press(app, pilot, "up", "f8", "down", "down", "enter")
        assert [person.id for person in app.bench.people] == ["pip"]

    with_app(new_shop, walk)


def test_a_helper_is_not_offered_what_only_the_builder_does(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        assert "Not so" in text_of(app)
        app.bench.hand_over("odile")
        waiting = next(
            mark
            for mark in app.bench.shop.parts
            if app.bench.position(mark).step is not None and not next_blocks(app.bench.context, mark)
        )
        do_step(app.bench, [waiting])
        assert [mark for mark, _ in app.bench.wants_look()] == [waiting]
        app.bench.hand_over("pip")
        await press(app, pilot, "f1")
        assert "Not so" not in text_of(app)
        await press(app, pilot, "f6")
        assert isinstance(app.screen, PlaceScreen)  # no dialog
        assert "Only whoever did it, or the builder, takes back:" in foot_text(app)
        assert "by Odile" in foot_text(app)
        await type_fast(app, pilot, waiting)
        text = text_of(app)
        assert "FOR THE BUILDER TO LOOK OVER" in text and "LOOK IT OVER" not in text
        await press(app, pilot, "f7")
        text = text_of(app)
        assert "Write a note" in text and "Skip" not in text and "is not so" not in text
        await press(app, pilot, "escape", "f5", "down", "enter")
        assert f"{waiting} is held until the builder decides." in foot_text(app)
        assert "DECIDE THE SNAG" not in text_of(app)

    with_app(demo_shop, walk)


def test_the_first_pin_is_offered_to_the_builder_alone(new_shop: Path) -> None:
    """Pip was led through two PINs, and refused after them."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.come("pip")
        await press(app, pilot, "f4")
        assert "'s PIN" in foot_text(app)
        app.bench.hand_over("pip")
        await press(app, pilot, "f1", "f4")
        assert "'s PIN" not in foot_text(app)
        await press(app, pilot, "f12")
        assert isinstance(app.screen, PeopleScreen)
        app.bench.hand_over("wren")
        app.bench.set_pin("wren", "", "4711")
        app.bench.hand_over("pip")
        await press(app, pilot, "f1", "f4")
        assert "'s PIN" in foot_text(app), "with the builder's one"

    with_app(new_shop, walk)


def test_a_helper_sees_why_they_may_not_carry_on(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        begin(app.bench, "FB-NR", "saw-outline")
        await press(app, pilot, "f1")
        assert "CARRY ON" in text_of(app)
        app.bench.hand_over("odile")
        await press(app, pilot, "f1")
        text = text_of(app)
        assert "NOT NOW: only the builder does this step" in text and "CARRY ON" not in text

    with_app(new_shop, walk)


def test_while_nobody_has_the_screen_minutes_and_the_place_say_how_to_take_it(demo_shop: Path) -> None:
    set_pins(demo_shop, wren="1234")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f2")
        text = text_of(app)
        assert "F4: choose your name, then F7" in text and "Nothing can be finished" not in text
        await tap(app, pilot, "SAY WHO YOU ARE")
        assert isinstance(app.screen, PeopleScreen)
        await press(app, pilot, "f1")
        await tap(app, pilot, "SAY WHO YOU ARE")
        assert isinstance(app.screen, PeopleScreen)

    with_app(demo_shop, walk)


def test_what_is_taken_back_is_said_in_the_words_of_the_step(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        begin(app.bench, "FB-NR", "glue-pattern")
        await press(app, pilot, "f6")
        text = text_of(app)
        assert "Take back: FB-NR: start of \u2018Glue the pattern" in text and "glue-pattern" not in text

    with_app(new_shop, walk)


def test_long_names_at_the_head_are_cut_with_a_sign_and_whose_hands_they_are_last(new_shop: Path) -> None:
    """ "Wrenhilda Bartholomea Feath" was nobody's name, and whose hands were on the screen stood nowhere."""
    written = (new_shop / "shop.yaml").read_text()
    for short, long in (("Wren", "Wrenhilda Featherstone"), ("Pip", "Philippa"), ("Odile", "Odile Maria")):
        assert f"name: {short}," in written
        written = written.replace(f"name: {short},", f"name: {long},")
    (new_shop / "shop.yaml").write_text(written)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f4")
        assert "at the bench: Wrenhilda Featherstone" in screen_text(app)[0]
        for person in ("pip", "odile"):
            app.bench.come(person)
        app.bench.hand_over("odile")
        await press(app, pilot, "f1")
        head = screen_text(app)[0].strip()
        assert head.startswith("hands: Odile Maria  here: Wrenhilda") and " … " in head

    with_app(new_shop, walk, size=(64, 20))


def test_undo_is_of_whoever_has_this_screen(new_shop: Path) -> None:
    """It went to the shop's last act, whoever's it was: here a helper's, at another screen."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        begin(app.bench, "FB-NR", "saw-outline")
        app.bench.come("odile")
        app.bench.hand_over("odile")
        do_step(app.bench, ["FB-TR"])
        app.bench.hand_over("wren")
        await press(app, pilot, "f1", "f6")
        text = " ".join(text_of(app).split())
        assert "acts since on other parts, and they stay. The last:" in text
        first, second, *_ = [
            one.action.label for one in app.screen.query("#options Target").results(Target) if one.action
        ]
        assert "FB-NR: start of" in first and "by Odile" in second
        await tap(app, pilot, first.strip("» "))
        assert app.bench.state.part("FB-NR").work is None and app.bench.wants_look()
        assert "Taken back: FB-NR: start of" in foot_text(app)

    with_app(new_shop, walk)


def test_a_pin_typed_where_none_is_asked_for_is_not_shown(new_shop: Path) -> None:
    set_pins(new_shop, wren="2468")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f4", *"24")
        assert isinstance(app.screen, PeopleScreen)
        assert "Find:" not in text_of(app) and app.typed == ""
        assert foot_text(app).startswith("A PIN is asked for: choose your name, then F7.")
        await press(app, pilot, *"NR-01")
        assert "Find: NR-01" in text_of(app)

    with_app(new_shop, walk)


def test_without_pins_digits_begin_a_mark(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f4", *"24")
        assert "Find: 24" in text_of(app)

    with_app(new_shop, walk)


def test_the_head_says_that_nobody_has_the_screen(new_shop: Path) -> None:
    """It named Wren, who had taken it at the wall before."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.come("wren")
        app.bench.note("begun")
        assert "hands: Nobody" not in text_of(app)
        app.bench.doer_id = NOBODY
        await press(app, pilot, "f4")
        assert "hands: Nobody" in screen_text(app)[0]

    with_app(new_shop, walk)


def test_who_was_said_to_be_out_of_the_room_is_not_at_the_bench(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        turning = step(id="turn", hazards=["LATHE"])
        bench.shop, _ = with_steps(bench.shop, "rib-blank", turning)
        bench.come("pip")
        await press(app, pilot, "f4")
        assert "(helper, 13): AT THE BENCH" in " ".join(screen_text(app))
        bench.clear_room(StepRef("rib-blank", "turn"))
        await press(app, pilot, "f1", "f4")
        assert "(helper, 13): OUT OF THE ROOM for now" in " ".join(screen_text(app))

    with_app(new_shop, walk)
