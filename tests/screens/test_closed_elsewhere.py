"""What another screen does to the step in hand is seen here: closed up, paused, or held by a snag."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from functools import partial
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.events import Answered
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.close_up import CloseUpScreen
from kiosk.screens.place import PlaceScreen
from kiosk.screens.walk import WalkScreen
from tests.conftest import SteadyClocks
from tests.driver import foot_text, pass_time, press, screen_text, set_pins, settled, undo_newest
from tests.record.moments import step, with_steps
from tests.screens.moment import NOW, with_app
from tests.screens.scenes import ALL_FLUTES, CARRY_ON

FIRST = "form-block", "measure-pattern"


@contextmanager
def other_screen(shop: Path) -> Iterator[Bench]:
    """Another screen of the same shop."""
    with closing(Bench(shop, SteadyClocks(NOW), watch=True)) as bench:
        yield bench


def shown(app: KioskApp) -> str:
    return "\n".join(screen_text(app))


async def looks(app: KioskApp, pilot: Pilot[None]) -> None:
    """The screen's next look for what others wrote."""
    assert isinstance(app.screen, WalkScreen | CloseUpScreen | PlaceScreen)
    app.screen._poll()
    await settled(app, pilot)


@pytest.mark.parametrize("size", [(73, 20), (120, 36)])
def test_a_sitting_closed_elsewhere_leaves_nobody_on_its_step(demo_shop: Path, size: tuple[int, int]) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        assert isinstance(app.screen, WalkScreen)
        with other_screen(demo_shop) as tablet:
            tablet.close_sitting("")
        await looks(app, pilot)
        assert isinstance(app.screen, PlaceScreen)
        assert "The sitting was closed on another screen." in foot_text(app)
        assert "PAUSED" in shown(app) and "CARRY ON" in shown(app)

    with_app(demo_shop, walk, size=size)


def test_nor_on_the_page_that_closes_it(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON, "f10")
        assert isinstance(app.screen, CloseUpScreen)
        with other_screen(demo_shop) as tablet:
            tablet.close_sitting("")
            tablet.note("back again")  # and opened it anew
        await looks(app, pilot)
        assert isinstance(app.screen, PlaceScreen)
        assert "The sitting was closed on another screen." in foot_text(app)

    with_app(demo_shop, walk)


@pytest.mark.parametrize("size", [(73, 20), (120, 36)])
def test_a_step_paused_elsewhere_is_carried_on_by_one_press(demo_shop: Path, size: tuple[int, int]) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        with other_screen(demo_shop) as tablet:
            other = tablet.start(["MR-01"], *next_of(tablet, "MR-01"))
            await looks(app, pilot)
            assert isinstance(app.screen, WalkScreen) and "PAUSED" in shown(app)
            assert "ONE MO" not in shown(app), "nothing is counted while its clock stands still"
            await press(app, pilot, "enter")
            assert app.bench.work(screen.work).status == "running"
            assert app.bench.work(other).status == "paused"
            assert "ONE MORE" in shown(app)
            await press(app, pilot, *"MR-02", "enter", "enter")
            assert "Paused meanwhile: " in foot_text(app)
            await press(app, pilot, *"NR-03", "enter", "enter")  # the way by a part's page to what was paused
            assert isinstance(app.screen, WalkScreen) and "Paused meanwhile: MR-02" in foot_text(app)

    with_app(demo_shop, walk, size=size)


def next_of(bench: Bench, mark: str) -> tuple[str, str]:
    where = bench.position(mark)
    assert where.procedure is not None and where.step is not None
    return where.procedure.id, where.step.id


def test_a_held_piece_is_neither_offered_nor_counted_on(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        marks = app.bench.work(screen.work).marks
        assert len(marks) == 3
        view = app.bench.step_view(screen.work)
        app.bench.raise_snag(marks[1], "Crack")
        now = app.bench.step_view(screen.work)
        assert (view.batch_left, now.batch_left) == (3, 2)
        assert now.other_pieces == (marks[2],)
        await press(app, pilot, "f7")
        dialog = app.screen
        assert isinstance(dialog, ChoiceScreen)
        assert marks[2] in shown(app) and marks[1] not in shown(app)
        await press(app, pilot, "escape")
        app.bench.raise_snag(marks[2], "Crack")
        await looks(app, pilot)
        assert "Other piece" not in shown(app)

    with_app(demo_shop, walk)


def test_one_piece_is_put_back_by_finger_and_the_others_go_on(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        first, second, third = app.bench.work(screen.work).marks
        await press(app, pilot, "f7")
        assert "as not begun" not in shown(app), "five flutes are counted on it"
        await press(app, pilot, "enter")
        assert app.bench.step_view(screen.work).mark == second
        await press(app, pilot, "f7", "down", "down", "down")
        assert f"Put {second} back as not begun" in shown(app)
        await press(app, pilot, "enter")
        assert app.bench.work(screen.work).marks == (first, third)
        assert app.screen is screen and f"Put back {second} as not begun" in foot_text(app)

    with_app(demo_shop, walk)


@pytest.mark.parametrize("opened", [("f5",), ("f7",), ("f6",)])
def test_what_is_answered_under_a_dialog_after_a_closing_elsewhere_is_not_taken(
    demo_shop: Path, opened: tuple[str, ...]
) -> None:
    """It was asked of whoever had the screen; a new sitting would record it as the builder's."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON, *opened)
        assert not isinstance(app.screen, WalkScreen)
        with other_screen(demo_shop) as tablet:
            tablet.close_sitting("")
            before = tablet.state.seq
            await press(app, pilot, "down", "enter")
            await settled(app, pilot)
            tablet.refresh()
            assert tablet.state.seq == before and tablet.state.sitting is None
        assert isinstance(app.screen, PlaceScreen)
        assert "The sitting was closed on another screen." in foot_text(app)

    with_app(demo_shop, walk)


@pytest.mark.parametrize("size", [(73, 20), (120, 36)])
def test_what_is_taken_back_here_was_not_done_on_another_screen(
    demo_shop: Path, size: tuple[int, int]
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.walk(app.bench.start(["FB-TR"], *FIRST))
        await settled(app, pilot)
        assert isinstance(app.screen, WalkScreen)
        await press(app, pilot, "f6")
        assert "FB-TR: start of" in shown(app), "it says of which part"
        await press(app, pilot, "down", "enter")
        await settled(app, pilot)
        assert isinstance(app.screen, PlaceScreen)
        assert foot_text(app).startswith("Taken back: FB-TR: start of") and "another" not in foot_text(app)

    with_app(demo_shop, walk, size=size)


def test_that_it_was_closed_elsewhere_stays_until_somebody_presses(demo_shop: Path) -> None:
    """On the place nothing was said; on a wall with a PIN it was written over before anybody had read it."""
    set_pins(demo_shop, wren="2468")
    told = "The sitting was closed on another screen."

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.hand_over("wren", pin="2468")
        app.bench.note("begun")
        assert isinstance(app.screen, PlaceScreen)
        app.screen.show()
        assert told not in foot_text(app)
        with other_screen(demo_shop) as tablet:
            tablet.hand_over("wren", pin="2468")
            tablet.close_sitting("")
        for _ in range(3):
            pass_time(app, 30)
            await looks(app, pilot)
            assert told in foot_text(app)
        app._say_that_it_rests(60)
        if app.message[0] != app._rest_said:  # nobody is shut out: the message stands
            assert told in app.message[0]
        pass_time(app, 3600)
        app.look_whether_quiet()
        assert told in app.message[0]
        await press(app, pilot, "f3", "f3")
        assert told not in foot_text(app)

    with_app(demo_shop, walk, wall=True)


MARK, WEB = "NR-03", "web"


@pytest.mark.parametrize("size", [(73, 20), (120, 36)])
def test_what_another_screen_has_half_typed_is_not_on_the_yellow_key(
    demo_shop: Path, size: tuple[int, int]
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *ALL_FLUTES)
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        with other_screen(demo_shop) as tablet:
            tablet.type_draft(screen.work, MARK, WEB, "1/6")
            await looks(app, pilot)
            assert "RECORD" not in shown(app) and "TYPE THE FIGURE" in shown(app)
            assert "1/6 is half typed at another screen." in shown(app)
            await press(app, pilot, *"1/64", "enter")
            answers = [one.body for one in tablet.record.journal.after(0) if isinstance(one.body, Answered)]
            assert answers[-1].text == "1/64"

    with_app(demo_shop, walk, size=size)


def test_a_keypad_left_open_does_not_replace_what_came_meanwhile(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *ALL_FLUTES, "f8", *"1/16")
        work = app.bench.state.part(MARK).work
        assert work is not None
        with other_screen(demo_shop) as tablet:
            tablet.answer(work, MARK, WEB, "1/64")
        await press(app, pilot, "enter")
        assert "NOT DONE: 1/64 was recorded at another screen meanwhile" in shown(app)
        assert app.bench.state.works[work].pieces[0].answers[WEB].text == "1/64"

    with_app(demo_shop, walk)


async def asked(app: KioskApp, pilot: Pilot[None], *checks: str) -> str:
    """A step that asks these, on the screen; and its work."""
    asks = [{"kind": "yes_no", "id": one, "ask": f"Is {one} clear?"} for one in checks]
    app.bench.shop, _ = with_steps(app.bench.shop, "form-block", step(id="look", checks=asks))
    work = app.bench.start(["FB-TR"], "form-block", "look")
    app.walk(work)
    await settled(app, pilot)
    return work


def test_a_press_that_was_on_its_way_answers_nothing_that_came_meanwhile(demo_shop: Path) -> None:
    """Both had seen the same, and pressed at once: the second answered the next question unread."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = await asked(app, pilot, "one", "two")
        assert "YES, SEEN SO" in shown(app)
        with other_screen(demo_shop) as tablet:
            tablet.shop = app.bench.shop
            tablet.answer(work, "FB-TR", "one", "yes")
        await looks(app, pilot)
        assert "YES, SEEN SO" in shown(app)
        await press(app, pilot, "enter", apart_s=0.05)
        assert set(app.bench.work(work).pieces[0].answers) == {"one"}
        await press(app, pilot, "enter")
        assert set(app.bench.work(work).pieces[0].answers) == {"one", "two"}

    with_app(demo_shop, walk)


def test_two_presses_before_the_page_is_drawn_anew_are_no_other_screens(demo_shop: Path) -> None:
    """NO and at once YES: "no was recorded at another screen meanwhile"."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = await asked(app, pilot, "one")
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        view = screen._view()
        [check] = view.checks
        for text in ("no", "yes"):
            app.attempt(text, partial(screen._answer, view, check, text))
        assert app.bench.work(work).pieces[0].answers["one"].text == "yes"

    with_app(demo_shop, walk)


def test_what_was_said_of_an_answer_goes_with_it(demo_shop: Path) -> None:
    """It was undone at the tablet, and "Saved." stood under an empty box."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = await asked(app, pilot, "one")
        await press(app, pilot, "enter")
        assert foot_text(app).startswith("Saved.")
        with other_screen(demo_shop) as tablet:
            tablet.shop = app.bench.shop
            undo_newest(tablet)
        await looks(app, pilot)
        assert not app.bench.work(work).pieces[0].answers and "Saved." not in foot_text(app)

    with_app(demo_shop, walk)


@pytest.mark.parametrize("how", ["undone", "answered"])
def test_a_figure_half_typed_is_not_gone_on_with_at_another_check(demo_shop: Path, how: str) -> None:
    """The pointer went to what another screen had opened or left, and the next digits with it: an angle of 46
    that nobody had measured."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        asks = [
            {"kind": "measure", "id": one, "ask": f"The {one}", "unit": "in", "low": "0", "high": "9"}
            for one in ("width", "height")
        ]
        bench = app.bench
        bench.shop, _ = with_steps(bench.shop, "form-block", step(id="look", checks=asks))
        work = bench.start(["FB-TR"], "form-block", "look")
        if how == "undone":
            bench.answer(work, "FB-TR", "width", "1")
        app.walk(work)
        await settled(app, pilot)
        await press(app, pilot, "2")
        with other_screen(demo_shop) as tablet:
            tablet.shop = bench.shop
            if how == "undone":
                undo_newest(tablet)
            else:
                tablet.type_draft(work, "FB-TR", "height", "1.5")
                tablet.answer(work, "FB-TR", "width", "1")
        await looks(app, pilot)
        await press(app, pilot, "3", apart_s=0.3)
        answers = bench.work(work).pieces[0].answers
        if how == "undone":
            assert "I HAVE LOOKED" in shown(app), "a digit was lost: what is left of it is no figure"
            await press(app, pilot, "4", "enter", "4", "enter")
            answers = bench.work(work).pieces[0].answers
            assert {check: one.text for check, one in answers.items()} == {"width": "4"}, "as it points"
            return
        await press(app, pilot, "4", apart_s=1)  # whoever only types on
        assert set(answers) == {"width"} and "look again" in foot_text(app)
        await press(app, pilot, "enter")
        assert set(bench.work(work).pieces[0].answers) == {"width"}, "that it was looked at"
        assert "1.5" in shown(app), "the tablet has gone, and what it left half typed is shown"
        await press(app, pilot, "7", "enter")
        assert bench.work(work).pieces[0].answers["height"].text == "1.57"

    with_app(demo_shop, walk)
