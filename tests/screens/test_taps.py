"""Presses: the same one twice counts once, and one that is repeated after a failure is recorded once."""

from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.pilot import Pilot

from kiosk.record.stopped import RecordingStopped
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.keypad import KeypadScreen
from kiosk.screens.place import PlaceScreen
from kiosk.screens.spare import SpareScreen
from kiosk.screens.taps import Taps
from kiosk.screens.target import Target
from kiosk.screens.walk import WalkScreen
from tests.driver import (
    TapsClock,
    finger,
    foot_text,
    pass_time,
    press,
    screen_text,
    send,
    settled,
    tap,
    target,
    touch,
)
from tests.screens.moment import with_app
from tests.screens.scenes import ALL_FLUTES, CARRY_ON
from tests.screens.test_closed_elsewhere import asked


def test_the_same_press_counts_again_after_four_tenths() -> None:
    clock = TapsClock()
    taps = Taps("pagedown", clock)
    assert taps.accept("enter")
    clock.go(0.39)
    assert not taps.accept("enter")
    clock.go(0.39)
    assert not taps.accept("enter")  # held: counted from its last repeat
    clock.go(0.41)
    assert taps.accept("enter")
    assert taps.accept("f7")  # another key is another press
    assert taps.accept("up", repeats=True) and taps.accept("up", repeats=True)


def test_while_deaf_nothing_counts_and_a_key_held_through_it_still_does_not() -> None:
    clock = TapsClock()
    taps = Taps("pagedown", clock)
    taps.deafen(0.4)
    assert not taps.accept("enter") and not taps.accept("up", repeats=True)
    assert taps.hears_text()
    clock.go(0.3)
    assert not taps.accept("enter")
    clock.go(0.2)
    assert not taps.accept("enter")
    taps.deafen(0.4, text=True)
    assert not taps.hears_text()
    clock.go(0.4)
    assert taps.hears_text()


def _stopped(taps: Taps, what: str) -> str:
    """The id of a press in which recording stops."""
    with pytest.raises(RecordingStopped), taps.press(what):
        found = taps.id
        raise RecordingStopped("the disk is full", "make room")
    return found


def _done(taps: Taps, what: str) -> str:
    """The id of a press that goes well."""
    with taps.press(what):
        return taps.id


def test_a_press_repeated_after_recording_stopped_keeps_its_id_until_it_goes_well() -> None:
    taps = Taps("pagedown", TapsClock())
    first = _stopped(taps, "walk/work/enter")
    assert first and _stopped(taps, "walk/work/enter") == first
    assert _done(taps, "walk/work/enter") == first
    assert _done(taps, "walk/work/enter") != first
    assert taps.id == ""  # outside a press there is none


def test_presses_that_record_nothing_may_come_between() -> None:
    taps = Taps("pagedown", TapsClock())
    first = _stopped(taps, "What is not right?/Crack")
    with taps.press("place//f5"):
        pass  # opens the dialog again
    assert _done(taps, "What is not right?/Crack") == first


def test_another_press_in_between_makes_it_a_new_one() -> None:
    taps = Taps("pagedown", TapsClock())
    first = _stopped(taps, "walk/work/enter")
    assert _done(taps, "walk/work/f8") != first
    assert _done(taps, "walk/work/enter") != first


def _tell_late(app: KioskApp, patched: pytest.MonkeyPatch) -> None:
    """The record is written, and then the disk fails before anybody is told."""
    record = app.bench.record
    real = record.transact

    def transact(*given: Any, **named: Any) -> None:
        real(*given, **named)
        raise RecordingStopped("the disk is full", "make room")

    patched.setattr(record, "transact", transact)


def test_a_flute_counted_but_not_told_is_not_counted_twice(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter")
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        with monkeypatch.context() as patched:
            _tell_late(app, patched)
            await press(app, pilot, "enter")
        assert "RECORDING STOPPED" in "\n".join(screen_text(app))
        counts = []
        for _ in range(3):
            await press(app, pilot, "enter")  # the first closes the page, the second taps again
            counts.append(app.bench.step_view(screen.work).count)
        assert counts == [6, 6, 7]

    with_app(demo_shop, walk)


def test_an_answer_given_but_not_told_is_not_called_out_of_limits(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The press that was made again, by then at the next check: "yes is not as wanted (yes). Do it again"."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = await asked(app, pilot, "one", "two")
        pass_time(app)
        with monkeypatch.context() as patched:
            _tell_late(app, patched)
            await press(app, pilot, "enter")
        await press(app, pilot, "enter", "enter")  # the first closes the page, the second taps again
        assert set(app.bench.work(work).pieces[0].answers) == {"one"}
        assert foot_text(app).startswith("Recorded already. Look at what is asked now.")
        await press(app, pilot, "enter")
        assert set(app.bench.work(work).pieces[0].answers) == {"one", "two"}
        assert foot_text(app).startswith("Saved.")

    with_app(demo_shop, walk)


def test_a_snag_raised_but_not_told_is_not_raised_twice(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        before = len(app.bench.state.open_snags())
        await press(app, pilot, "enter", "f5")
        assert isinstance(app.screen, ChoiceScreen)
        with monkeypatch.context() as patched:
            _tell_late(app, patched)
            await press(app, pilot, "down", "enter")
        # It was recorded: its part is out of the batch, and the next one is on the screen.
        await press(app, pilot, "enter")
        assert "held by a snag: NR-03" in "\n".join(screen_text(app))
        assert len(app.bench.state.open_snags()) == before + 1
        await press(app, pilot, "f5")
        assert "What is not right on NR-04?" in "\n".join(screen_text(app))
        await press(app, pilot, "down", "enter")  # said of another on purpose
        assert [one.mark for one in app.bench.state.open_snags()][-2:] == ["NR-03", "NR-04"]

    with_app(demo_shop, walk)


@pytest.mark.parametrize("size", [(64, 20), (73, 20), (80, 24), (120, 36)])
def test_a_finger_that_bounces_raises_no_snag(demo_shop: Path, size: tuple[int, int]) -> None:
    """Six tenths after the first it came down on what the question had put there: "Crack" was recorded."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.open_part("NR-07")
        await press(app, pilot, "left")
        before = app.bench.state.seq
        snag = target(app, "Snag")
        for column in (2, snag.region.width // 2, snag.region.width - 2):
            at = (snag.region.x + column, snag.region.y + 1)
            pass_time(app)
            await touch(app, pilot, at)
            assert isinstance(app.screen, ChoiceScreen)
            pass_time(app, 0.6)
            await touch(app, pilot, at)
            assert isinstance(app.screen, ChoiceScreen) and app.bench.state.seq == before
            pass_time(app)
            await press(app, pilot, "escape")
            assert not isinstance(app.screen, ChoiceScreen)
        await press(app, pilot, "f5", "f5", apart_s=0.6)  # the key says nothing in the question
        assert isinstance(app.screen, ChoiceScreen) and app.bench.state.seq == before
        await tap(app, pilot, "Crack")
        assert [one.mark for one in app.bench.state.open_snags()][-1] == "NR-07"

    with_app(demo_shop, walk, size)


def test_a_finger_that_bounces_on_an_answer_does_nothing_on_the_screen_below(demo_shop: Path) -> None:
    """The question left, and the same finger was on the step: one flute more was counted."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter")
        more = target(app, "ONE MORE")
        at = (more.region.x + 4, more.region.y + 1)
        seq = app.bench.state.seq
        app.ask(ChoiceScreen("Which?", [Choice(text, text) for text in "abcd"]), lambda _: None)
        await settled(app, pilot)
        under = app.get_widget_at(*at)[0]
        assert isinstance(under, Target) and under.action is not None
        pass_time(app)
        await touch(app, pilot, at)
        assert isinstance(app.screen, WalkScreen), "it was an answer"
        pass_time(app, 0.6)
        await touch(app, pilot, at)
        assert app.bench.state.seq == seq
        pass_time(app)
        await touch(app, pilot, at)
        assert app.bench.state.seq == seq + 1

    with_app(demo_shop, walk)


@pytest.mark.parametrize("size", [(64, 20), (73, 20), (80, 24), (160, 50)])
@pytest.mark.parametrize("label", ["TYPE THE FIGURE", "Keypad"])
def test_a_finger_that_bounces_types_no_figure(demo_shop: Path, label: str, size: tuple[int, int]) -> None:
    """The keypad's own digit lay under it: a 5 was typed, and kept half typed."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *ALL_FLUTES)
        opens = target(app, label)
        for apart_s in (0.1, 0.3, 0.39):
            at = (opens.region.x + opens.region.width // 2, opens.region.y + 1)
            pass_time(app)
            await touch(app, pilot, at)
            assert isinstance(app.screen, KeypadScreen)
            seq = app.bench.state.seq
            pass_time(app, apart_s)
            await touch(app, pilot, at)
            assert isinstance(app.screen, KeypadScreen) and app.screen.text == ""
            assert app.bench.state.seq == seq
            pass_time(app)
            await press(app, pilot, "escape")

    with_app(demo_shop, walk, size)


@pytest.mark.parametrize("size", [(64, 20), (73, 20), (80, 24), (160, 50)])
@pytest.mark.parametrize("apart_s", [0.45, 0.6, 0.79])
def test_the_first_digit_counts_wherever_the_keypad_was_opened(
    demo_shop: Path, size: tuple[int, int], apart_s: float
) -> None:
    """It was taken for a bounce: of 45.2 the figure 5.2 was recorded."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *ALL_FLUTES)
        opens = target(app, "TYPE THE FIGURE")
        for column in range(2, opens.region.width, 6):
            pass_time(app, 3)
            await touch(app, pilot, (opens.region.x + column, opens.region.y + 1))
            assert isinstance(app.screen, KeypadScreen)
            for face in "45.2":
                await tap(app, pilot, face, apart_s=apart_s)
            assert app.screen.text == "45.2"
            for _ in "45.2":
                await tap(app, pilot, "⌫", apart_s=0.45)
            pass_time(app)
            await press(app, pilot, "escape")

    with_app(demo_shop, walk, size)


@pytest.mark.parametrize("size", [(73, 20), (80, 24), (160, 50)])
@pytest.mark.parametrize(("keys", "label"), [((), "Pause"), (("f10",), "Back")])
def test_a_finger_that_bounces_does_nothing_on_the_page_that_follows(
    demo_shop: Path, keys: tuple[str, ...], label: str, size: tuple[int, int]
) -> None:
    """Of two taps on Pause the second opened the bench numbers, of two on Back a snag's question."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON, *keys)
        found = [one for one in app.screen.query(Target) if one.action is not None and one.region.area]
        leads = next((one for one in found if one.action is not None and one.action.label == label), None)
        if leads is None:
            return  # by its key alone there
        at = (leads.region.x + leads.region.width // 2, leads.region.y + 1)
        pass_time(app)
        await touch(app, pilot, at)
        assert isinstance(app.screen, PlaceScreen)
        for apart_s in (0.3, 0.5, 0.7):
            pass_time(app, apart_s)
            await touch(app, pilot, at)
            assert isinstance(app.screen, PlaceScreen)

    with_app(demo_shop, walk, size)


def test_what_came_to_stand_under_a_finger_that_is_down_is_not_what_it_meant(demo_shop: Path) -> None:
    """At another screen the sixth flute was counted meanwhile: ENOUGH AT 5 would have said enough at 6."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        enough = target(app, "ENOUGH AT 5")
        at = (enough.region.x + enough.region.width // 2, enough.region.y + 1)
        pass_time(app)
        app.bench.count(screen.work, "NR-03", 6)
        await finger(app, pilot, at, events.MouseDown)
        screen.show()
        assert enough.action is not None and enough.action.label == "ENOUGH AT 6"
        await finger(app, pilot, at, events.MouseUp)
        assert app.bench.work(screen.work).pieces[0].enough == ""
        pass_time(app)
        await touch(app, pilot, at)
        assert app.bench.work(screen.work).pieces[0].enough != ""

    with_app(demo_shop, walk)


def test_a_finger_elsewhere_or_later_is_no_bounce() -> None:
    clock = TapsClock()
    taps = Taps("pagedown", clock)
    assert taps.finger(clock(), (50, 15))
    taps.finger_at = clock()
    for elsewhere in ((57, 15), (50, 18)):
        taps.deafen_to_bounces()
        assert taps.finger(clock(), elsewhere)
        assert taps.finger(clock(), (50, 15))  # and back, such as on a keypad that opened there
    taps.finger_at = clock()
    taps.deafen_to_bounces()
    clock.go(0.6)
    assert not taps.finger(clock(), (56, 17)) and not taps.finger(clock(), (44, 13))
    clock.go(0.7)
    assert not taps.finger(clock(), (50, 15))  # fingers that drum: each counts from the one before
    clock.go(0.81)
    assert taps.finger(clock(), (50, 15))
    clock.go(5)
    taps.deafen_to_bounces()  # by a key, long after
    assert taps.finger(clock(), (50, 15))


@pytest.mark.parametrize("by", ["key", "finger"])
def test_the_press_that_begins_a_step_reads_no_caution(demo_shop: Path, by: str) -> None:
    """Half a second later the same finger was on I HAVE READ THESE: cautions that nobody had read."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        async def again(apart_s: float) -> None:
            if by == "key":
                await press(app, pilot, "enter", apart_s=apart_s)
            else:
                pass_time(app, apart_s)
                await touch(app, pilot, (5, 17))

        await again(1)
        assert "I HAVE READ THESE" in "\n".join(screen_text(app))
        seq = app.bench.state.seq
        for _ in range(4):
            await again(0.5)
        assert app.bench.state.seq == seq
        await again(1)
        assert app.bench.state.seq > seq and "ONE MORE" in "\n".join(screen_text(app))

    with_app(demo_shop, walk)


def test_a_press_that_ends_a_count_answers_no_check(demo_shop: Path) -> None:
    """Whoever counts quickly comes to what is asked next with the same press."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter", *["enter"] * 3)
        seq = app.bench.state.seq
        await press(app, pilot, "enter", apart_s=0.5)  # the last of nine
        assert app.bench.state.seq == seq + 1
        assert isinstance(app.screen, WalkScreen) and "ONE MORE" not in "\n".join(screen_text(app))
        await press(app, pilot, "enter", apart_s=0.5)
        assert app.bench.state.seq == seq + 1 and isinstance(app.screen, WalkScreen)
        await press(app, pilot, "enter")
        assert not isinstance(app.screen, WalkScreen)  # the keypad for the figure

    with_app(demo_shop, walk)


def test_a_question_that_a_key_closed_hears_another_key_at_once(new_shop: Path) -> None:
    """F2 within half a second of Esc was lost without a word."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f5", "escape")
        pass_time(app, 0.1)
        send(app, "f2")
        await settled(app, pilot)
        assert isinstance(app.screen, SpareScreen)

    with_app(new_shop, walk)


@pytest.mark.parametrize(
    ("left_by", "key", "heard"),
    [("enter", "f2", True), ("enter", "enter", False), ("enter", None, False), (None, "f2", False)],
)
def test_what_a_key_left_is_deaf_to_it_and_to_fingers_and_what_a_finger_left_to_all(
    left_by: str | None, key: str | None, heard: bool
) -> None:
    clock = TapsClock()
    taps = Taps("f9", clock)
    taps.read(clock(), left_by)
    taps.deafen_to_second_half()
    clock.go(0.2)
    taps.read(clock(), key)
    assert taps.accept("another") == heard
