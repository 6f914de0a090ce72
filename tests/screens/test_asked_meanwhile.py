"""What a press means changes while it is on its way: by another screen's act, by its end, or by time."""

import asyncio
from collections.abc import Awaitable, Callable, Mapping
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import Choice, ChoiceScreen
from tests.conftest import SteadyClocks
from tests.driver import ACCEPTED, TapsClock, foot_text, pass_time, press, running, send, settled
from tests.record.moments import step, with_steps
from tests.record.test_trials import go_to_trial, measure
from tests.screens.moment import NOW

Walk = Callable[[KioskApp, Pilot[None], Bench, SteadyClocks], Awaitable[None]]
LOOK_AGAIN = "Another screen changed what is asked: look again."
MARK = "NR-20"


def with_another(folder: Path, walk: Walk, *steps: Mapping[str, object]) -> None:
    """Walk on one screen, with another open on the same shop, whose blanks go through these steps."""

    async def go() -> None:
        clocks = SteadyClocks(NOW)
        here, there = (Bench(folder, clocks, watch=True) for _ in range(2))
        here.shop, _ = with_steps(here.shop, "rib-blank", *(step(**one) for one in steps))
        there.shop = here.shop
        app = KioskApp(here, taps_clock=TapsClock())
        async with running(app, (80, 24)) as pilot:
            await walk(app, pilot, there, clocks)
        there.close()
        here.close()

    asyncio.run(go())


async def begun(app: KioskApp, pilot: Pilot[None], there: Bench, procedure_step: str = "try") -> str:
    """The step in hand at this screen, known at the other; nothing is polled for from now on."""
    work = app.bench.start([MARK], "rib-blank", procedure_step)
    app.walk(work)
    await settled(app, pilot)
    app.screen._polling.pause()  # type: ignore[attr-defined]
    there.refresh()
    pass_time(app, 5)
    return work


def yellow(app: KioskApp) -> str:
    """What stands on the yellow target."""
    return str(app.screen._actions[0].label)  # type: ignore[attr-defined]


def answers(app: KioskApp, work: str) -> dict[str, str]:
    """What is answered on the piece in hand."""
    piece = app.bench.work(work).piece(MARK)
    assert piece is not None
    return {check: given.text for check, given in piece.answers.items()}


def poll(app: KioskApp) -> None:
    """The screen looks for what another did."""
    app.screen._poll()  # type: ignore[attr-defined]


TWO_GAPS = {
    "checks": [
        {"id": one, "ask": f"Gap {one}", "kind": "measure", "unit": "in", "low": "0", "high": "1"}
        for one in ("a", "b")
    ]
}
TWO_LOOKS = {
    "checks": [
        {"id": "a", "kind": "yes_no", "ask": "Is the clamp tight"},
        {"id": "b", "kind": "yes_no", "ask": "Is the guard closed"},
    ]
}


def test_an_answer_that_comes_in_with_a_digit_typed_here_is_looked_at_first(new_shop: Path) -> None:
    """The digit's own act took the other's answer in, and the next poll saw no change: Enter replaced it."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        work = await begun(app, pilot, there)
        await press(app, pilot, ".", "4")
        there.refresh()
        there.answer(work, MARK, "a", ".25", in_place_of="")
        await press(app, pilot, "6")
        assert yellow(app) == "I HAVE LOOKED" and foot_text(app) == LOOK_AGAIN
        pass_time(app, 0.3)
        send(app, "enter")
        await settled(app, pilot)
        assert yellow(app) == "I HAVE LOOKED", "the press was on its way"
        await press(app, pilot, "enter", "enter")
        assert answers(app, work) == {"a": ".25"}

    with_another(new_shop, walk, TWO_GAPS)


def test_what_came_in_under_a_dialog_is_no_answer_to_what_is_asked_then(new_shop: Path) -> None:
    """The press that was meant for the first question answered the second."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        work = await begun(app, pilot, there)
        await press(app, pilot, "f5", "d")
        there.refresh()
        there.answer(work, MARK, "a", "yes", in_place_of="")
        await press(app, pilot, "e", "escape")
        pass_time(app, 0.45)
        send(app, "enter")
        await settled(app, pilot)
        assert answers(app, work) == {"a": "yes"}
        await press(app, pilot, "enter")
        assert answers(app, work) == {"a": "yes", "b": "yes"}

    with_another(new_shop, walk, TWO_LOOKS)


def test_a_figure_that_a_closed_screen_left_is_looked_at_before_it_is_recorded(new_shop: Path) -> None:
    """It came under the yellow key without a word, ten seconds after a tablet's page was closed."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        work = await begun(app, pilot, there)
        there.type_draft(work, MARK, "a", ".0")
        poll(app)
        await press(app, pilot, "1", "backspace")  # the step lives with this screen
        there.refresh()
        assert yellow(app) == "TYPE THE FIGURE"
        there.close()
        poll(app)
        await settled(app, pilot)
        assert yellow(app) == "I HAVE LOOKED" and foot_text(app) == LOOK_AGAIN
        await press(app, pilot, "enter")
        assert yellow(app) == "RECORD .0"

    with_another(new_shop, walk, TWO_GAPS)


@pytest.mark.parametrize("keys", [(".", "5", "f1", "enter"), ("f8", ".", "5", "escape")])
def test_a_figure_that_was_gone_on_with_is_guarded_as_one_that_is_typed(
    new_shop: Path, keys: tuple[str, ...]
) -> None:
    """Back on the page, or from the keypad, the Enter meant to record it answered what was asked then."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        work = await begun(app, pilot, there)
        await press(app, pilot, *keys)
        assert yellow(app) == "RECORD .5"
        there.refresh()
        there.answer(work, MARK, "a", ".25", in_place_of="")
        poll(app)
        await settled(app, pilot)
        assert yellow(app) == "I HAVE LOOKED"

    with_another(new_shop, walk, TWO_GAPS)


def test_a_wait_that_ends_turns_no_press_into_another(new_shop: Path) -> None:
    """At the second a wait was over the yellow key of the place began a step that may not be left."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        work = app.bench.start([MARK], "rib-blank", "glue")
        app.bench.finish(work, MARK)
        await press(app, pilot, "f3", "f1")
        before = yellow(app)
        clocks.go(2.1)
        pass_time(app, 126)
        poll(app)
        await settled(app, pilot)
        assert yellow(app) != before
        send(app, "enter")
        await settled(app, pilot)
        assert not app.bench.state.works
        await press(app, pilot, "enter")
        assert app.bench.state.works

    wait = {"what": "glue drying", "must_pass": "2 min", "before": "saw"}
    saw = {"id": "saw", "stop": "only when finished"}
    with_another(new_shop, walk, {"id": "glue", "waits": [wait]}, saw)


def test_what_another_does_elsewhere_takes_no_digit_and_no_letter_away(new_shop: Path) -> None:
    """125 was recorded as 5, and a mark that was typed on a step's page lost its letters."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        work = await begun(app, pilot, there)
        there.come("odile")
        there.hand_over("odile")
        other = there.start(["NR-12"], "rib-blank", "try")
        for at, key in enumerate((".", "1", "2", "5")):
            (there.take_up if at % 2 else there.pause)(other)
            await press(app, pilot, key)
            poll(app)
        assert yellow(app) == "RECORD .125"
        await press(app, pilot, "enter")
        for key in "nr-04":
            pass_time(app, 0.35)
            send(app, key)
            await settled(app, pilot)
            poll(app)
        assert yellow(app) == "GO TO NR-04"
        assert answers(app, work) == {"a": ".125"}

    with_another(new_shop, walk, TWO_GAPS)


def test_a_lost_digit_leaves_no_figure_to_record(new_shop: Path) -> None:
    """What another answered moved the question on; the rest of the figure stood at the next one."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        work = await begun(app, pilot, there)
        there.answer(work, MARK, "a", ".25", in_place_of="")
        poll(app)
        await settled(app, pilot)
        for key in "125":
            pass_time(app, 0.35)
            send(app, key)
            await settled(app, pilot)
        assert yellow(app) == "I HAVE LOOKED" and foot_text(app) == LOOK_AGAIN

    with_another(new_shop, walk, TWO_GAPS)


def test_what_was_asked_of_something_else_is_not_recorded(new_shop: Path) -> None:
    """A second look asked for one step was recorded as that at the next, and another's step was put back."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        work = await begun(app, pilot, there)
        clocks.go(2)
        await press(app, pilot, "f7")
        there.come("odile")
        there.hand_over("odile")
        there.pause(work)
        there.take_up(work)
        await press(app, pilot, "down", "down", "enter")
        assert app.bench.work(work).worker == "odile"
        assert foot_text(app).startswith("NOT DONE: another screen changed this meanwhile; look")
        await press(app, pilot, "f7")
        there.come("pip")  # which is about no part
        await press(app, pilot, "down", "down", "enter")
        assert work not in app.bench.state.works
        app.open_part(MARK)
        await settled(app, pilot)
        app.screen._polling.pause()  # type: ignore[attr-defined]
        app.ask(ChoiceScreen("Sure?", [Choice("No", False), Choice("Yes", True)]), lambda _: None)
        await settled(app, pilot)
        there.hand_over("wren")
        there.skip(MARK, "not wanted")
        await press(app, pilot, "down", "enter")
        assert f"meanwhile: \u2018Try it\u2019 skipped on {MARK}" in foot_text(app), foot_text(app)

    with_another(new_shop, walk, {})


def test_done_rests_on_the_figure_that_stands_there(new_shop: Path) -> None:
    """A step was said to be done on a figure that another screen had just put in place of the one read."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        work = await begun(app, pilot, there)
        for check in "ab":
            there.answer(work, MARK, check, ".25", in_place_of="")
        poll(app)
        await settled(app, pilot)
        assert yellow(app).startswith("DONE")
        there.answer(work, MARK, "a", ".75", in_place_of=".25")
        await press(app, pilot, "enter")
        assert foot_text(app).startswith("NOT DONE: another screen changed this meanwhile")
        assert work in app.bench.state.works and answers(app, work)["a"] == ".75"
        await press(app, pilot, "enter")
        assert work not in app.bench.state.works

    with_another(new_shop, walk, TWO_GAPS)


def test_a_note_on_leaving_loses_no_letter_to_what_another_does(new_shop: Path) -> None:
    """It lost what was typed within the second, and what was taken in whole was told as not done."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        await begun(app, pilot, there)
        app.go("close-up")
        await settled(app, pilot)
        app.screen._polling.pause()  # type: ignore[attr-defined]
        there.come("odile")
        there.hand_over("odile")
        other = there.start(["NR-12"], "rib-blank", "try")
        for at, key in enumerate("block 3"):
            (there.take_up if at % 2 else there.pause)(other)
            poll(app)
            pass_time(app, 0.35)
            send(app, "space" if key == " " else key)
            await settled(app, pilot)
        assert app.screen.note == "block 3"  # type: ignore[attr-defined]
        await press(app, pilot, "f7", ".")
        there.take_up(other)
        there.finish(other, "NR-12")
        await press(app, pilot, "enter")
        assert app.screen.note == "block 3." and "NOT DONE" not in foot_text(app)  # type: ignore[attr-defined]

    with_another(new_shop, walk, {})


def test_an_undo_and_a_decision_elsewhere_take_no_answer_away(new_shop: Path) -> None:
    """Every open question about parts was refused, whatever another took back."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        work = await begun(app, pilot, there)
        there.come("odile")
        there.hand_over("odile")
        there.raise_snag("NR-12", "bent")
        there.finish(there.start(["NR-13"], "rib-blank", "try"), "NR-13")
        clocks.go(2)
        poll(app)
        await settled(app, pilot)
        pass_time(app, 5)
        await press(app, pilot, "f7")
        there.undo(there.undo_offer().entries[0].event)
        there.hand_over("wren")
        there.decide_snag(there.state.open_snags("NR-12")[0].id, "use as is", "plans", None, ACCEPTED)
        await press(app, pilot, "down", "down", "enter")
        assert work not in app.bench.state.works

    with_another(new_shop, walk, {})


@pytest.mark.parametrize("by", ["its page", "one of several", "any"])
def test_a_snag_is_not_recorded_on_the_part_that_is_made_anew(new_shop: Path, by: str) -> None:
    """What was typed while another decided on the part held the one that is to be made in its place."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        there.raise_snag(MARK, "cracked")
        app.bench.refresh()
        if by == "its page":
            app.raise_snag(MARK)
        elif by == "one of several":
            app.ask_snag([MARK, "NR-19"])
        else:
            await press(app, pilot, "f4", "f5")  # of people, no part
        await settled(app, pilot)
        there.decide_snag(there.state.open_snags(MARK)[0].id, "scrap and remake", "cracked", None, ACCEPTED)
        if by == "one of several":
            await press(app, pilot, "down", "enter")
        elif by == "any":
            await press(app, pilot, *MARK.lower(), "enter")
        await press(app, pilot, "down", "enter")
        assert foot_text(app).startswith(f"NOT DONE: {MARK} is to be made anew by now"), foot_text(app)
        assert not app.bench.state.open_snags(MARK)

    with_another(new_shop, walk, {})


def test_the_same_label_for_another_step_is_another_press(new_shop: Path) -> None:
    """BEGIN (1 part) began the step after the one that it had stood for."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        app.open_part(MARK)
        await settled(app, pilot)
        app.screen._polling.pause()  # type: ignore[attr-defined]
        label = yellow(app)
        there.finish(there.start([MARK], "rib-blank", "drill"), MARK)
        pass_time(app, 5)
        poll(app)
        await settled(app, pilot)
        assert yellow(app) == label
        send(app, "enter")
        await settled(app, pilot)
        assert not app.bench.state.works
        await press(app, pilot, "enter")
        assert [work.step for work in app.bench.state.works.values()] == ["rivet"]

    with_another(new_shop, walk, {"id": "drill"}, {"id": "rivet"})


HOLES = {"repeat": {"of": "holes", "times": "6", "enough": "the web lies flat"}}


def counted(app: KioskApp, work: str) -> tuple[int, str]:
    """How many are counted on the piece in hand, and what is enough of them."""
    piece = app.bench.work(work).piece(MARK)
    assert piece is not None
    return piece.count, piece.enough


@pytest.mark.parametrize(
    ("keys", "theirs"),
    [
        (("f8",), (5, "")),  # one less
        (("enter",), (5, "")),  # one more
        (("enter",), (1, "")),
        (("enter",), (3, "the web lies flat")),
        (("f8",), (3, "the web lies flat")),
        (("right",), (5, "")),  # enough
        (("up", "down", "down", "enter"), (1, "")),  # are all 6 done?
    ],
)
def test_a_count_that_came_meanwhile_is_not_replaced_unseen(
    new_shop: Path, keys: tuple[str, ...], theirs: tuple[int, str]
) -> None:
    """A page at 3 with "One less" made 2 of the 5 that another screen had counted by then."""

    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        app.bench.begin_batch([MARK, "NR-19"], "rib-blank", "try")
        work = app.bench.state.part(MARK).work or ""
        app.walk(work)
        await settled(app, pilot)
        app.screen._polling.pause()  # type: ignore[attr-defined]
        await press(app, pilot, "enter", "enter", "enter", *keys[:-1])
        there.refresh()
        if theirs[1]:
            there.say_enough(work, MARK, theirs[0])
        else:
            there.count(work, MARK, theirs[0])
        await press(app, pilot, keys[-1])
        assert counted(app, work) == theirs
        assert foot_text(app).startswith("NOT DONE: "), foot_text(app)
        assert f"count of {theirs[0]}" in foot_text(app) or f"count {theirs[0]}" in foot_text(app)

    with_another(new_shop, walk, HOLES)


def test_two_presses_before_the_page_is_drawn_anew_both_count(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None], there: Bench, clocks: SteadyClocks) -> None:
        work = await begun(app, pilot, there)
        more = app.screen._actions[0]  # type: ignore[attr-defined]
        for number in (1, 2):
            app.attempt(f"one more {number}", more.deed)
        assert counted(app, work) == (2, "")
        there.refresh()
        there.count(work, MARK, 1)
        assert not app.attempt("one more 3", more.deed)
        assert counted(app, work) == (1, "")

    with_another(new_shop, walk, HOLES)


@pytest.mark.parametrize("typed", ["1.05", "1.0"])
def test_a_figure_of_one_trial_strip_is_not_recorded_of_the_next(demo_shop: Path, typed: str) -> None:
    """The keypad stood open for a leg of the first: its figure stood on the second, "Saved."."""

    async def go() -> None:
        clocks = SteadyClocks(NOW)
        here, there = (Bench(demo_shop, clocks, watch=True) for _ in range(2))
        here.mark_clock(right=True)
        work = go_to_trial(here)
        app = KioskApp(here, taps_clock=TapsClock())
        async with running(app, (80, 24)) as pilot:
            for check, text in {"flat": "1.89", "set": "93", "angle": "90"}.items():
                here.answer(work, "FS-01", check, text)
            app.walk(work)
            await settled(app, pilot)
            app.screen._polling.pause()  # type: ignore[attr-defined]
            await press(app, pilot, "f8", *typed)
            there.refresh()
            there.acknowledge(work)
            measure(there, work, flat=1.89)
            there.another_trial(work, "FS-01")
            second = {"flat": "1.70", "set": "93", "angle": "90"}
            for check, text in second.items():
                there.answer(work, "FS-01", check, text)
            await press(app, pilot, *"1.05"[len(typed) :], "enter")
            [piece] = here.work(work).pieces
            assert {check: given.text for check, given in piece.answers.items()} == second
            assert not piece.drafts
        there.close()
        here.close()

    asyncio.run(go())
