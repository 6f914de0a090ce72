"""Words half typed in a dialog survive a kill as half-typed figures do, and no note is lost on closing up."""

import asyncio
from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record import events as e
from kiosk.record.apply import fold
from kiosk.record.rows import row_of
from kiosk.record.state import State
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.close_up import CloseUpScreen
from kiosk.screens.pin import PinScreen
from kiosk.screens.walk import WalkScreen
from tests.conftest import SteadyClocks
from tests.driver import ACCEPTED, TapsClock, foot_text, press, running, screen_text, set_pins, tap, type_fast
from tests.screens.moment import NOW, open_bench, with_app
from tests.screens.scenes import ALL_FLUTES, CARRY_ON, _spread_glue


def killed(folder: Path, *keys: str) -> None:
    """Press keys on a screen that is then killed: nothing is closed in order."""

    async def go() -> None:
        bench = Bench(folder, SteadyClocks(NOW), watch=True)
        app = KioskApp(bench, taps_clock=TapsClock())
        async with running(app, (80, 24)) as pilot:
            await press(app, pilot, *keys)
        bench.record.journal._connection.close()
        assert bench.presence is not None
        bench.presence._handle.close()

    asyncio.run(go())


def _reason_of_skip(state: State, mark: str) -> str:
    (reason,) = [
        one.skipped for done in state.part(mark).passes.values() for one in done.values() if one.skipped
    ]
    return reason


NOTE = (*"NR-07", "enter", "f7", "down", "down", "enter")
SKIP = (*"NR-07", "enter", "f7", "down", "down", "down", "enter")


@pytest.mark.parametrize(
    ("keys", "where", "used"),
    [
        (("f5",), "snag/NR-03", lambda state: state.open_snags("NR-03")[0].text),
        (NOTE, "note/NR-07", None),
        (SKIP, "skip/NR-07", lambda state: _reason_of_skip(state, "NR-07")),
    ],
)  # fmt: skip
def test_typed_words_survive_a_kill_and_are_dropped_when_used(
    demo_shop: Path, keys: tuple[str, ...], where: str, used: Callable[[State], str] | None
) -> None:
    killed(demo_shop, *keys, *"Dent, ol")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        (key,) = (key for key in app.bench.state.words if key.startswith(where))
        assert [one.text for one in app.bench.state.words[key]] == ["Dent, ol"]
        await press(app, pilot, *keys)
        assert isinstance(app.screen, ChoiceScreen)
        assert "You had typed: Dent, ol▌" in "\n".join(screen_text(app))
        await press(app, pilot, "d")
        assert "You had typed" not in "\n".join(screen_text(app))
        before = app.bench.state.seq
        await press(app, pilot, "enter")
        assert not app.bench.state.words
        events = app.bench.record.journal.after(before)
        if used is None:
            assert [one.body.text for one in events if isinstance(one.body, e.NoteWritten)] == ["Dent, old"]
        else:
            assert used(app.bench.state) == "Dent, old"
        assert fold(app.bench.record.journal.after(0)) == app.bench.state

    with_app(demo_shop, walk)


def test_words_that_were_left_are_offered_again_and_an_option_still_goes_by_the_arrows(
    demo_shop: Path,
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f5", *"Den", "escape", "f5")
        assert "You had typed: Den▌" in "\n".join(screen_text(app))
        await press(app, pilot, "down", "down", "enter")
        assert [snag.text for snag in app.bench.state.open_snags("NR-03")] == ["Wrong size"]
        assert not app.bench.state.words

    with_app(demo_shop, walk)


def test_words_that_were_left_on_a_part_are_not_offered_on_the_one_made_in_its_place(
    demo_shop: Path,
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        await press(app, pilot, *"NR-07", "enter", "f5", *"Den", "escape")
        bench.raise_snag("NR-07", "a crack")
        snag = bench.state.open_snags("NR-07")[-1]
        bench.decide_snag(snag.id, "scrap and remake", "cracked through", None, ACCEPTED)
        await press(app, pilot, *"NR-07", "enter", "f5")
        assert "You had typed" not in "\n".join(screen_text(app))

    with_app(demo_shop, walk)


def test_words_that_were_rubbed_out_are_not_offered_again(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f5", *"De", "backspace", "backspace")
        assert not app.bench.state.words
        before = app.bench.state.seq
        await press(app, pilot, "backspace", "escape", "f5")
        assert app.bench.state.seq == before
        assert "You had typed" not in "\n".join(screen_text(app))

    with_app(demo_shop, walk)


def test_half_typed_words_begin_no_sitting_and_are_nothing_to_take_back(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"NR-01", "enter", "f5", *"Dent", "escape")
        kinds = [event.body.kind for event in app.bench.record.journal.after(0)]
        assert kinds == ["run_started", *["words_typed"] * 4]
        assert app.bench.state.sitting is None and app.bench.latest_undoable() is None

    with_app(new_shop, walk)


def test_a_reason_is_kept_until_the_last_question_is_answered(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"NR-06", "enter", "enter", "down", "enter", *"bent edge", "enter")
        assert isinstance(app.screen, ChoiceScreen) and "answer" in app.screen.title_text
        ((kept,),) = app.bench.state.words.values()
        assert kept.text == "bent edge"
        await press(app, pilot, *"yes, use it", "enter", *"Ada Quill", "enter", "down", "enter")
        await press(app, pilot, "down", "enter")
        for _ in range(3):
            if isinstance(app.screen, ChoiceScreen):
                await press(app, pilot, "down", "enter")
        assert not app.bench.state.open_snags("NR-06") and not app.bench.state.words

    with_app(demo_shop, walk)


def test_a_pin_is_never_kept(demo_shop: Path) -> None:
    set_pins(demo_shop, wren="2468")
    killed(demo_shop, "f4", "f7", *"246")
    bench = open_bench(demo_shop)
    recorded = [row_of(event)[-1] for event in bench.record.journal.after(0)]
    bench.close()
    assert recorded and not any("246" in text and "words" in text for text in recorded)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f4", "f7")
        dialog = app.screen
        assert isinstance(dialog, PinScreen) and dialog.SECRET and not dialog.text
        await type_fast(app, pilot, "2468")
        assert not dialog.text and "2468" not in "\n".join(screen_text(app))
        await press(app, pilot, *"2468", "enter")
        assert app.bench.doer_id == "wren" and not app.bench.state.words

    with_app(demo_shop, walk)


def test_a_comma_in_a_figure_is_said_and_begins_no_mark(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *ALL_FLUTES, "0", ",")
        screen = app.screen
        assert isinstance(screen, WalkScreen) and not app.typed
        assert foot_text(app) == "A point stands before the decimals: 0.5"
        await press(app, pilot, ".", "0", "1")
        assert app.bench.step_view(screen.work).checks[0].draft == "0.01"

    with_app(demo_shop, walk)


# The note at closing up

LEAVE = ("f10", *"Two clamps", "enter")


def left_note(folder: Path) -> str:
    """The note that the place card shows to whoever comes next."""
    bench = open_bench(folder)
    note = bench.place_card().note.removeprefix("Your note: ")
    assert bench.state.sitting is None
    bench.close()
    return note


def test_a_note_left_when_nothing_was_begun_is_there_on_return(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *LEAVE)
        assert not app.is_running

    with_app(new_shop, walk)
    assert left_note(new_shop) == "Two clamps"


def test_it_stands_beside_the_note_that_was_there(demo_shop: Path) -> None:
    before = left_note(demo_shop)
    assert before

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *LEAVE)

    with_app(demo_shop, walk)
    assert left_note(demo_shop) == f"{before}; Two clamps"


def test_two_screens_that_close_within_a_poll_lose_neither_note(demo_shop: Path) -> None:
    for notes, found in ((("glue dry", ""), "glue dry"), (("", "nose up"), "nose up"),
                         (("glue dry", "nose up"), "glue dry; nose up")):  # fmt: skip
        first, second = open_bench(demo_shop), open_bench(demo_shop)
        work = next(iter(first.state.works))
        first.take_up(work)
        second.refresh()
        first.close_sitting(notes[0])
        second.close_sitting(notes[1])  # has not looked since
        sittings = second.state.sittings
        assert first.state.sittings == sittings
        first.close()
        second.close()
        assert left_note(demo_shop) == found


def test_a_note_typed_beside_what_must_not_be_left_is_kept_either_way(demo_shop: Path) -> None:
    bench = open_bench(demo_shop)
    _spread_glue(bench)
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "f10", *"glue on it")
        assert "MUST NOT BE LEFT SO" in "\n".join(screen_text(app))
        await tap(app, pilot, "GO BACK AND FINISH")
        await press(app, pilot, "f10")
        assert isinstance(app.screen, CloseUpScreen)
        shown = "\n".join(screen_text(app))
        assert "You had typed:" in shown and "glue on it▌" in shown
        await press(app, pilot, "f9", "down", "down", "enter")
        assert not app.is_running and not app.bench.state.words

    with_app(demo_shop, walk)
    assert left_note(demo_shop) == "glue on it"


def test_a_half_typed_note_survives_a_kill(demo_shop: Path) -> None:
    killed(demo_shop, *CARRY_ON, "f10", *"Two cla")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f10")
        assert "Two cla▌" in "\n".join(screen_text(app))
        assert "Look how it stands" in "\n".join(screen_text(app)), "nobody has since the kill"
        await press(app, pilot, *"mps", "f9", "down", "down", "enter")

    with_app(demo_shop, walk)
    assert left_note(demo_shop) == "Two clamps"
