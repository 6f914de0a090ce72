"""Words half typed at a screen that lives are that screen's; what one that died left is offered, and never
taken by a press that was meant for something else."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.events import HoldLooked, NoteWritten, SittingClosed
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.correct import Correcting
from kiosk.screens.walk import WalkScreen
from tests.conftest import SteadyClocks
from tests.driver import foot_text, pass_time, press, screen_text, settled, tap
from tests.record.moments import step, with_steps
from tests.screens.moment import NOW, with_app

NOTE = (*"NR-07", "enter", "f7", "down", "down", "enter")
SIZES = pytest.mark.parametrize("size", [(64, 20), (80, 24), (120, 36)])


def shown(app: KioskApp) -> str:
    return " ".join(" ".join(screen_text(app)).split())


def asked(app: KioskApp) -> ChoiceScreen[object]:
    assert isinstance(app.screen, ChoiceScreen)
    return app.screen


@contextmanager
def tablet_of(app: KioskApp, folder: Path, key: str, text: str) -> Iterator[Bench]:
    """Another screen of the same shop, at which these words are half typed."""
    with closing(Bench(folder, SteadyClocks(NOW), watch=True)) as tablet:
        tablet.shop = app.bench.shop
        tablet.refresh()
        tablet.type_words(key, text)
        app.bench.refresh()
        yield tablet


def left_half_typed(app: KioskApp, folder: Path, key: str, text: str) -> None:
    """Words of a screen that is then killed."""
    with tablet_of(app, folder, key, text) as tablet:
        pass
    assert tablet.record.run != app.bench.record.run


def notes(app: KioskApp) -> list[str]:
    bodies = [one.body for one in app.bench.record.journal.after(0)]
    return [one.text for one in bodies if isinstance(one, NoteWritten)]


@SIZES
def test_half_a_note_at_another_screen_is_nobody_elses(demo_shop: Path, size: tuple[int, int]) -> None:
    """Wren's Enter recorded what Odile was typing, as his, and hers were dropped."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        with tablet_of(app, demo_shop, "note/NR-07", "do not use") as tablet:
            before = notes(app)
            await press(app, pilot, *NOTE)
            assert "You had typed" not in shown(app)
            assert "Half typed at another screen: do not use" in shown(app)
            await press(app, pilot, "enter")
            assert "Nothing is typed yet." in foot_text(app) and notes(app) == before
            await press(app, pilot, *"ours", "enter")
            assert notes(app) == [*before, "ours"]
            tablet.refresh()
            assert tablet.half_typed_words("note/NR-07").own == "do not use"

    with_app(demo_shop, walk, size=size)


@SIZES
def test_what_a_screen_that_died_left_is_taken_in_by_a_key_of_its_own(
    demo_shop: Path, size: tuple[int, int]
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        left_half_typed(app, demo_shop, "note/NR-07", "one dent")
        before = notes(app)
        await press(app, pilot, *NOTE)
        assert "You had typed: one dent▌" in shown(app) and "TAKE IT" not in shown(app)
        await press(app, pilot, "space", "enter")
        assert notes(app) == before and "F7 uses the words typed before" in foot_text(app)
        await tap(app, pilot, "Use these words")
        assert "TAKE IT" in shown(app) and "You had typed" not in shown(app)
        assert app.bench.half_typed_words("note/NR-07").own == "one dent"
        await press(app, pilot, "enter")
        assert notes(app) == [*before, "one dent"] and not app.bench.state.words

    with_app(demo_shop, walk, size=size)


def test_it_is_offered_until_somebody_goes_on_with_it(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        with tablet_of(app, demo_shop, "note/NR-07", "one dent"):
            left_half_typed(app, demo_shop, "note/NR-07", "ask Ada")
        await press(app, pilot, *NOTE)
        assert "You had typed: ask Ada▌" in shown(app)
        await press(app, pilot, "escape", "f1", *NOTE, "f7", "enter")
        assert notes(app)[-1] == "ask Ada"
        await press(app, pilot, "f1", *NOTE)
        assert "You had typed: one dent▌" in shown(app)
        await press(app, pilot, *["backspace"] * 8)
        assert not app.bench.state.words

    with_app(demo_shop, walk)


def test_what_stood_there_is_dropped_where_something_else_was_chosen(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        left_half_typed(app, demo_shop, "snag/NR-03", "a den")
        await press(app, pilot, "f5", "down", "down", "space")
        assert not app.bench.state.open_snags("NR-03")
        await press(app, pilot, "enter")
        assert [snag.text for snag in app.bench.state.open_snags("NR-03")] == ["Wrong size"]
        assert not app.bench.state.words

    with_app(demo_shop, walk)


def test_what_is_left_since_the_question_opened_is_not_dropped_unseen(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        with tablet_of(app, demo_shop, "snag/NR-03", "a den"):
            await press(app, pilot, "f5", "down", "down")
        await press(app, pilot, "enter")
        assert [snag.text for snag in app.bench.state.open_snags("NR-03")] == ["Wrong size"]
        assert app.bench.half_typed_words("snag/NR-03").text == "a den"

    with_app(demo_shop, walk)


def test_a_lot_half_typed_at_another_screen_is_not_taken(demo_shop: Path) -> None:
    """Two Enters recorded the sheet that the other was typing."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        work = bench.start(["NR-07"], "rib-blank", "choose-sheet")
        bench.acknowledge(work)
        (check,) = (one for one in bench.step_view(work).checks if one.kind == "lot")
        app.walk(work)
        await settled(app, pilot)
        assert isinstance(app.screen, WalkScreen)
        pass_time(app)
        await press(app, pilot, "enter")
        key = asked(app).kept_as
        await press(app, pilot, "escape")
        with tablet_of(app, demo_shop, key, check.choices[0].lower()):
            await press(app, pilot, "enter")
            assert "TAKE IT" not in shown(app)
            await press(app, pilot, "enter", "enter")
            assert not bench.work(work).pieces[0].answers
        await press(app, pilot, "escape", "enter")
        assert f"You had typed: {check.choices[0].lower()}▌" in shown(app)  # of a screen that died
        await press(app, pilot, "enter", "enter")
        assert not bench.work(work).pieces[0].answers

    with_app(demo_shop, walk)


@pytest.mark.parametrize("lives", [True, False])
def test_a_finding_half_typed_opens_no_hold_point(demo_shop: Path, lives: bool) -> None:
    """One Enter made of another's half finding a second look, and the step could be begun."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        seen = {"id": "seen", "kind": "yes_no", "ask": "Closed"}
        look = step(id="look", do="Close it.", hold_point=True, checks=[seen])
        bench.shop, _ = with_steps(bench.shop, "rib-blank", look)
        bench.come("odile")
        app.open_part("NR-20")
        await settled(app, pilot)
        to_the_finding = ("enter", "down", "enter")
        await press(app, pilot, *to_the_finding)
        key = asked(app).kept_as
        assert key == "look/NR-20/rib-blank/look/odile"
        await press(app, pilot, "escape")
        with tablet_of(app, demo_shop, key, "two rivets are not"):
            if lives:
                await press(app, pilot, *to_the_finding, "enter", "enter")
        if not lives:
            await press(app, pilot, *to_the_finding)
            assert "You had typed: two rivets are not▌" in shown(app)
            await press(app, pilot, "enter", "enter")
        assert asked(app).kept_as == key
        assert not [one for one in bench.record.journal.after(0) if isinstance(one.body, HoldLooked)]

    with_app(demo_shop, walk)


def test_words_of_one_correction_are_not_offered_at_another(demo_shop: Path) -> None:
    """One key held the reasons of all corrections on a part."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        keys = []
        for what in (1, 3):  # how many lines are marked, and how long it took
            app.attempt("correct", Correcting(app, "NR-03").ask)
            await settled(app, pilot)
            await press(app, pilot, "down", "enter", *["down"] * what, "enter", "8", "enter")
            dialog = asked(app)
            assert dialog.title_text.startswith("Why is it 8")
            keys.append(dialog.kept_as)
            await press(app, pilot, *"no", "escape")
            await settled(app, pilot)
        assert len(set(keys)) == 2 and all(key.startswith("correct/NR-03/") for key in keys)

    with_app(demo_shop, walk)


# The note at closing up


def note_left(app: KioskApp) -> str:
    bodies = [one.body for one in app.bench.record.journal.after(0)]
    return [one.note for one in bodies if isinstance(one, SittingClosed)][-1]


@SIZES
def test_closing_up_writes_no_note_that_is_half_typed_elsewhere(
    demo_shop: Path, size: tuple[int, int]
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.note("opened")
        with tablet_of(app, demo_shop, "close-up", "NR-04 is no") as tablet:
            await press(app, pilot, "f10")
            assert "NR-04 is no" not in shown(app)
            assert "A note is half typed at another screen; it stays there." in shown(app)
            await press(app, pilot, *"glue dry", "enter")
            assert note_left(app) == "glue dry"
            tablet.refresh()
            assert tablet.half_typed_words("close-up").own == "NR-04 is no"

    with_app(demo_shop, walk, size=size, wall=True)


@SIZES
def test_nor_what_a_screen_that_died_left_before_it_is_taken_in(
    demo_shop: Path, size: tuple[int, int]
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.note("opened")
        left_half_typed(app, demo_shop, "close-up", "NR-04 is no")
        await press(app, pilot, "f10")
        assert "not in the note yet" in shown(app) and "NR-04 is no▌" in shown(app)
        await press(app, pilot, "space", "enter")
        assert note_left(app) == ""
        assert app.bench.half_typed_words("close-up").text == "NR-04 is no"  # and is not lost
        app.bench.note("opened again")
        await press(app, pilot, "f1", "f10")  # the first one wakes the screen
        await tap(app, pilot, "Use these words")
        assert "not in the note yet" not in shown(app)
        await press(app, pilot, *"t dry", "enter")
        assert note_left(app) == "NR-04 is not dry" and not app.bench.state.words

    with_app(demo_shop, walk, size=size, wall=True)
