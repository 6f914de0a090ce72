"""What is decided about a part on the screen: snags, second looks, steps that are not so, lots."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.record.events import NoteWritten
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.part import PartScreen
from kiosk.screens.place import PlaceScreen
from kiosk.screens.walk import WalkScreen
from kiosk.shop.data import data_folder
from kiosk.shop.procedure import StepRef
from tests.driver import do_step, foot_text, press, screen_text, tap, type_fast
from tests.record.moments import step, with_steps
from tests.screens.moment import open_bench, with_app


def test_a_snag_is_reworked_from_a_step_that_is_chosen(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await type_fast(app, pilot, "NR-06")
        await tap(app, pilot, "DECIDE THE SNAG")
        await tap(app, pilot, "Rework")
        await press(app, pilot, *"Stop-drill it", "enter")
        await tap(app, pilot, "Yes, the plans give this repair")
        await tap(app, pilot, "Wren, builder")
        assert "Rework from which step?" in screen_text(app)[0]
        newest = list(app.bench.state.part("NR-06").passes["rib-forming"])[-2:]
        await press(app, pilot, "down", "down", "enter")  # the last but one that was done
        assert app.bench.state.open_snags("NR-06")  # not before it was all shown once more
        assert newest[0] == "drive-home", "the rib is on its block no more: it is pinned again first"
        assert "Rework from: Pin the blank" in " ".join(" ".join(screen_text(app)).split())
        await tap(app, pilot, "Record this decision")
        assert not app.bench.state.open_snags("NR-06")
        where = app.bench.position("NR-06")
        assert where.procedure is not None and where.step is not None
        assert (where.procedure.id, where.step.id) == ("rib-forming", "pin-blank")
        assert not app.bench.close_up_view().must_not, "it lies on the bench, not half formed on the block"
        (snag,) = [one for one in app.bench.state.snags.values() if one.mark == "NR-06"]
        assert snag.decision == "rework"

    with_app(demo_shop, walk)


def test_words_of_one_decision_are_not_offered_at_another(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await type_fast(app, pilot, "NR-06")
        await tap(app, pilot, "DECIDE THE SNAG")
        await tap(app, pilot, "Use as is")
        await press(app, pilot, *"It is sm", "escape")
        await tap(app, pilot, "DECIDE THE SNAG")
        await tap(app, pilot, "Begin again")
        await tap(app, pilot, "Rework")
        assert "Why rework?" in " ".join(screen_text(app))
        assert "You had typed" not in " ".join(screen_text(app))

    with_app(demo_shop, walk)


def test_what_went_wrong_at_a_step_may_be_worked_again_from_it(new_shop: Path) -> None:
    """Only the steps before it were offered, which are then to do again though nothing is wrong with them."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.shop, _ = with_steps(bench.shop, "rib-blank", step(id="cut"), step(id="file", do="File it."))
        do_step(bench, ["NR-01"])
        bench.start(["NR-01"], "rib-blank", "file")
        bench.raise_snag("NR-01", "filed askew")
        await type_fast(app, pilot, "NR-01")
        await tap(app, pilot, "DECIDE THE SNAG")
        await tap(app, pilot, "Rework")
        await press(app, pilot, *"Dress it", "enter")
        await tap(app, pilot, "Yes, the plans give this repair")
        await tap(app, pilot, "Wren, builder")
        await tap(app, pilot, "In hand: File it.")
        await tap(app, pilot, "Record this decision")
        where = bench.position("NR-01")
        assert where.step is not None and where.step.id == "file"
        assert "cut" in bench.state.part("NR-01").passes["rib-blank"]

    with_app(new_shop, walk)


def test_a_decision_that_was_left_half_way_is_not_gone_on_with_unasked(demo_shop: Path) -> None:
    """It went on at the next question, whose answers stood where those of the first had been."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await type_fast(app, pilot, "NR-06")
        await tap(app, pilot, "DECIDE THE SNAG")
        await tap(app, pilot, "Use as is")
        await press(app, pilot, "escape")
        await tap(app, pilot, "DECIDE THE SNAG")
        assert "Half decided before. Does it stand?" in " ".join(screen_text(app))
        await tap(app, pilot, "Go on with it")
        assert "Why use as is?" in " ".join(screen_text(app))
        await press(app, pilot, "escape")
        await tap(app, pilot, "DECIDE THE SNAG")
        await tap(app, pilot, "Begin again")
        assert "Rework" in " ".join(screen_text(app)) and "Scrap and remake" in " ".join(screen_text(app))

    with_app(demo_shop, walk)


def test_what_is_not_so_on_return_is_opened_again_on_that_part_alone(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        looked_back = app.bench.place_card().look_back
        assert looked_back[0].marks[:2] == ("MR-01", "MR-02")
        await tap(app, pilot, "Not so")
        assert "What is not so?" in screen_text(app)[0]
        newer = sum(len(back.marks) for back in looked_back[1:])  # they stand above
        await press(app, pilot, *["down"] * (newer + 1))
        before = app.bench.position("MR-02").number
        await tap(app, pilot, "MR-02:")
        assert "MR-02: is this step not done?" in screen_text(app)[0]  # asked once more, in words
        assert app.bench.position("MR-02").number == before
        await tap(app, pilot, "Leave it as it is")
        assert app.bench.position("MR-02").number == before
        await tap(app, pilot, "Not so")
        await press(app, pilot, *["down"] * (newer + 1))
        await tap(app, pilot, "MR-02:")
        await tap(app, pilot, "It is not so")
        assert isinstance(app.screen, PlaceScreen)
        opened, other = app.bench.position("MR-02"), app.bench.position("MR-01")
        assert opened.step is not None and opened.step.id == looked_back[0].step
        assert other.step is not None and other.number == opened.number + 1

    with_app(demo_shop, walk)


def test_a_recorded_step_is_opened_again_from_the_page_of_its_part(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await type_fast(app, pilot, "MR-01")
        await press(app, pilot, "f7")
        await tap(app, pilot, "A recorded step is not so")
        done = list(app.bench.state.part("MR-01").passes["rib-blank"])
        await press(app, pilot, "down", "down", "enter")
        assert "The step done since is to do again with it." in "\n".join(screen_text(app))
        await tap(app, pilot, "It is not so")
        where = app.bench.position("MR-01")
        assert where.step is not None and where.step.id == done[-2]

    with_app(demo_shop, walk)


def test_a_step_is_skipped_with_a_reason_and_a_note_is_written(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await type_fast(app, pilot, "MR-01")
        number = app.bench.position("MR-01").number
        await press(app, pilot, "f7")
        await tap(app, pilot, "Skip the next step")
        await tap(app, pilot, "Not needed here")
        assert app.bench.position("MR-01").number == number + 1
        assert "skipped, Not needed here" in "\n".join(screen_text(app))
        before = app.bench.state.seq
        await press(app, pilot, "f7")
        await tap(app, pilot, "Write a note on it")
        await press(app, pilot, *"Good grain", "enter")
        events = app.bench.record.journal.after(before)
        assert [event.body.text for event in events if isinstance(event.body, NoteWritten)] == ["Good grain"]

    with_app(demo_shop, walk)


def _with_hold_point(shop: Path) -> None:
    """The first step of a form block waits for a second look, in this shop's own procedure."""
    shipped = data_folder("procedures") / "tooling" / "form-block.yaml"
    text = shipped.read_text(encoding="utf-8")
    assert "  - id: check-inset\n" in text
    own = text.replace("  - id: check-inset\n", "  - id: check-inset\n    hold_point: yes\n")
    (shop / "procedures" / "form-block.yaml").write_text(own, encoding="utf-8")


def test_a_second_look_is_given_by_somebody_else(new_shop: Path) -> None:
    _with_hold_point(new_shop)
    bench = open_bench(new_shop)
    do_step(bench, ["FB-NR"])
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await type_fast(app, pilot, "FB-NR")
        app.bench.come("pip")
        await tap(app, pilot, "SECOND LOOK")
        text = " ".join(" ".join(screen_text(app)).split())
        assert "has to be here to look: F4" in text and "Or an inspector's name" in text
        assert not app.screen.query_one("#options").query(".here")
        await press(app, pilot, "enter")
        assert isinstance(app.screen, ChoiceScreen)  # nobody is entered by a press
        await press(app, pilot, "escape")
        app.bench.come("odile")
        await tap(app, pilot, "SECOND LOOK")
        assert isinstance(app.screen, ChoiceScreen)
        # Never the doer, nobody who is away, and no child.
        assert [choice.label for choice in app.screen.choices] == ["Odile"]
        await tap(app, pilot, "Odile")
        await tap(app, pilot, "Lines and sizes agree")
        assert app.bench.state.part("FB-NR").looked == {StepRef("form-block", "check-inset"): "odile"}
        await tap(app, pilot, "BEGIN")
        assert isinstance(app.screen, WalkScreen)

    with_app(new_shop, walk)


@pytest.mark.parametrize("typed", ["NR-07", "nr7", "nr 7"])
def test_a_mark_in_place_of_what_is_not_right_says_which_part_is_meant(demo_shop: Path, typed: str) -> None:
    """The dialog closed, and said that a snag needs a few words; or its words were the mark."""
    keys = ["space" if one == " " else one for one in typed]

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"NR-06", "enter", "f5", *"NR-06", "enter")
        assert "What is not right on NR-06?" in "\n".join(screen_text(app))
        await press(app, pilot, *keys, "enter", "escape", "f5")
        assert "You had typed" not in "\n".join(screen_text(app)), "a mark is no half of them"
        await press(app, pilot, *keys, "enter")
        assert "What is not right on NR-07?" in "\n".join(screen_text(app))
        await press(app, pilot, *"bent", "enter")
        assert [one.text for one in app.bench.state.open_snags("NR-07")] == ["bent"]
        assert "bent" not in [one.text for one in app.bench.state.open_snags("NR-06")]

    with_app(demo_shop, walk)


def test_a_second_look_that_finds_something_raises_a_snag(new_shop: Path) -> None:
    _with_hold_point(new_shop)
    bench = open_bench(new_shop)
    do_step(bench, ["FB-NR"])
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await type_fast(app, pilot, "FB-NR")
        app.bench.come("odile")
        await tap(app, pilot, "SECOND LOOK")
        await tap(app, pilot, "Odile")
        await tap(app, pilot, "Not right")
        await tap(app, pilot, "Wrong size")
        assert [snag.text for snag in app.bench.state.open_snags("FB-NR")] == ["Wrong size"]
        assert not app.bench.state.part("FB-NR").looked
        assert "DECIDE THE SNAG" in "\n".join(screen_text(app))

    with_app(new_shop, walk)


def test_what_a_helper_did_is_looked_over(new_shop: Path) -> None:
    bench = open_bench(new_shop)
    bench.hand_over("odile")
    do_step(bench, ["FB-NR"])
    bench.hand_over("wren")
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await type_fast(app, pilot, "FB-NR")
        await tap(app, pilot, "LOOK IT OVER")
        await tap(app, pilot, "It is to do again")
        await tap(app, pilot, "It is to do again")  # asked once more
        assert isinstance(app.screen, PartScreen)
        assert app.bench.position("FB-NR").number == 1
        assert not app.bench.state.part("FB-NR").wants_look

    with_app(new_shop, walk)


def test_a_lot_is_chosen_by_finger_or_scanned(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await type_fast(app, pilot, "NR-07")
        await tap(app, pilot, "BEGIN")
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        await tap(app, pilot, "I HAVE READ THESE")
        await tap(app, pilot, "CHOOSE THE MARK")
        choices = app.screen
        assert isinstance(choices, ChoiceScreen)
        mark = choices.choices[0].value
        await tap(app, pilot, f"{mark}  ")
        assert app.bench.step_view(screen.work).checks[0].answer == mark

    with_app(demo_shop, walk)


def _without_step(shop: Path, first: str, following: str) -> None:
    """This shop's own form-block procedure, with a step taken out, as a later revision."""
    shipped = data_folder("procedures") / "tooling" / "form-block.yaml"
    text = shipped.read_text(encoding="utf-8")
    begin, end = text.index(f"  - id: {first}\n"), text.index(f"  - id: {following}\n")
    own = (text[:begin] + text[end:]).replace('revision: "1"', 'revision: "2"')
    (shop / "procedures" / "form-block.yaml").write_text(own, encoding="utf-8")


def test_where_to_go_on_is_asked_when_the_step_has_vanished(new_shop: Path) -> None:
    bench = open_bench(new_shop)
    do_step(bench, ["FB-NR"])
    bench.close_sitting("")
    bench.close()
    _without_step(new_shop, "measure-pattern", "check-inset")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        assert app.bench.place_card().action == "question"
        await press(app, pilot, "enter")
        assert "FB-NR: which step comes next?" in screen_text(app)[0]
        assert "no longer has the step 'measure-pattern'" in "\n".join(screen_text(app))
        await press(app, pilot, "down", "enter")  # nothing is likelier than another: the first moves nothing
        assert app.bench.position("FB-NR").vanished == "measure-pattern"
        await press(app, pilot, "enter", "down", "down", "down", "enter")
        where = app.bench.position("FB-NR")
        assert where.step is not None and where.step.id == "measure-across"

    with_app(new_shop, walk)


def test_a_step_in_hand_that_has_vanished_is_set_aside(new_shop: Path) -> None:
    bench = open_bench(new_shop)
    bench.start(["FB-NR"], "form-block", "measure-pattern")
    bench.close_sitting("")
    bench.close()
    _without_step(new_shop, "measure-pattern", "check-inset")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        assert app.bench.place_card().action == "question"
        await press(app, pilot, "enter", "down", "enter")
        assert app.bench.state.works and "renamed_from" in foot_text(app)
        await press(app, pilot, "enter", "down", "down", "enter")
        assert not app.bench.state.works
        where = app.bench.position("FB-NR")
        assert where.step is not None and where.step.id == "check-inset"

    with_app(new_shop, walk)
