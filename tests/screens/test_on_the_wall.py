"""A wall screen: nothing leaves it by accident, it rests when nobody is there, any press only wakes it."""

import asyncio
import re
import signal
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.context import NOBODY
from kiosk.screens.app import LEAVING_KEYS, KioskApp
from kiosk.screens.calm import CALM, CALM_BOLD, CALM_DIGITS, CalmScreen
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.keypad import KeypadScreen
from kiosk.screens.quiet import AFTER_WAKING_S, Quiet, quiet_before_calm_s
from kiosk.screens.strip import Strip
from kiosk.screens.terminal import TerminalDriver
from tests.conftest import SteadyClocks
from tests.driver import (
    TapsClock,
    foot_text,
    pass_time,
    press,
    running,
    screen_text,
    send,
    settled,
    tap,
    target,
    touch,
)
from tests.screens.moment import NOW, with_app
from tests.screens.scenes import ALL_FLUTES, CARRY_ON, _limit_runs, _spread_glue

Walk = Callable[[KioskApp, Pilot[None]], Awaitable[None]]


def on_wall(
    shop: Path, walk: Walk, clocks: SteadyClocks | None = None, size: tuple[int, int] = (80, 24)
) -> None:
    """Walk through the app as it hangs on the wall."""
    with_app(shop, walk, size, clocks, wall=True)


async def left_alone(app: KioskApp, pilot: Pilot[None], minutes: float, *, clocks_go: bool = True) -> None:
    """Nobody presses anything for so long; with ``clocks_go`` the clocks on the card show it."""
    pass_time(app, minutes * 60)
    assert isinstance(app.bench.record.clocks, SteadyClocks)
    app.bench.record.clocks.go(minutes if clocks_go else 0)
    app.look_whether_quiet()
    await settled(app, pilot)


def rests(app: KioskApp) -> bool:
    return isinstance(app.screen, CalmScreen)


def shown(app: KioskApp) -> str:
    return "\n".join(screen_text(app))


# It rests


def test_it_rests_after_ten_quiet_minutes_and_not_before(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await left_alone(app, pilot, 9.9)
        assert not rests(app)
        await press(app, pilot, "up")
        await left_alone(app, pilot, 9.9)
        assert not rests(app), "a press begins the quiet anew"
        await left_alone(app, pilot, 0.2)
        assert rests(app) and "The place is kept:" in shown(app)

    on_wall(demo_shop, walk)


def test_the_shop_says_after_how_many_minutes(demo_shop: Path) -> None:
    with (demo_shop / "shop.yaml").open("a", encoding="utf-8") as file:
        file.write("\nscreen: {calm_after: 3 min}\n")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await left_alone(app, pilot, 2.9)
        assert not rests(app)
        await left_alone(app, pilot, 0.2)
        assert rests(app)

    on_wall(demo_shop, walk)


def test_a_screen_that_hangs_on_no_wall_never_rests(demo_shop: Path) -> None:
    async def go() -> None:
        bench = Bench(demo_shop, SteadyClocks(NOW), watch=True)
        app = KioskApp(bench, taps_clock=TapsClock())
        async with running(app, (80, 24)) as pilot:
            assert app.screen.name is None and not app.on_wall
            await press(app, pilot, "ctrl+c")
            assert "F10 closes up and leaves" in foot_text(app)
        bench.close()

    asyncio.run(go())


def test_a_step_whose_clock_runs_stays_in_sight_for_an_hour(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        await left_alone(app, pilot, 59)
        assert not rests(app), "hands are full, and eyes are on the step"
        await left_alone(app, pilot, 2)
        assert rests(app) and "The clock of this step runs: NR-03," in shown(app)

    on_wall(demo_shop, walk)
    assert quiet_before_calm_s(90, step_runs=True) == 90 * 60  # a shop may say more


def test_who_has_no_pin_is_told_before_the_screen_is_nobodys(demo_shop: Path) -> None:
    """An adult who hammered for ten minutes stood before a screen that only the builder could give back."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.set_pin("wren", "", "2468")
        app.bench.hand_over("wren", "2468")
        await left_alone(app, pilot, 9)
        assert "Esc keeps" not in foot_text(app), "who has a PIN gets it back alone"
        await press(app, pilot, "f4", "down", "down", "f7")
        said = "After 10 quiet minutes somebody with a PIN has to give it back; F12 sets one of your own"
        assert said in " ".join(foot_text(app).split())
        name = app.bench.doer.name
        await left_alone(app, pilot, 7.9)
        assert "Esc keeps" not in foot_text(app)
        await left_alone(app, pilot, 0.2)
        said = (
            rf"{name}: Esc keeps this screen yours. In 1[01]\d s only somebody with a PIN can give it back."
        )
        assert re.search(said, " ".join(foot_text(app).split())), "never longer than is left"
        await press(app, pilot, "escape")
        assert "Esc keeps" not in foot_text(app)
        await left_alone(app, pilot, 9.5)
        assert re.search(r"In (30|2\d) s only", " ".join(foot_text(app).split()))
        assert app.bench.doer.name == name
        await left_alone(app, pilot, 1)
        assert rests(app) and app.bench.doer_id == NOBODY
        await press(app, pilot, "up")
        assert "Esc keeps" not in foot_text(app)

    on_wall(demo_shop, walk)


# Any press wakes, to exactly where it was, and does nothing else


async def _key(app: KioskApp, key: str) -> None:
    send(app, key)


async def _scan(app: KioskApp, text: str) -> None:
    send(app, *text, "enter", apart_s=0.02)


async def _paste(app: KioskApp, text: str) -> None:
    app.post_message(events.Paste(text))


WAKES = [
    pytest.param(_key, "space", id="space"),
    pytest.param(_key, "enter", id="enter"),
    pytest.param(_key, "pagedown", id="pedal"),
    pytest.param(_key, "f10", id="f10"),
    pytest.param(_key, "escape", id="escape"),
    pytest.param(_key, "7", id="digit"),
    pytest.param(_scan, "NR-07", id="scan"),
    pytest.param(_paste, "NR-07", id="scan as a paste"),
]


@pytest.mark.parametrize(("how", "what"), WAKES)
def test_what_wakes_does_nothing_else(
    how: Callable[[KioskApp, str], Awaitable[None]], what: str, demo_shop: Path
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        before, seq = shown(app), app.bench.state.seq
        step = app.screen
        await left_alone(app, pilot, 61, clocks_go=False)
        assert rests(app)
        await how(app, what)
        await settled(app, pilot)
        assert app.screen is step and app.bench.state.seq == seq
        assert shown(app) == before
        assert app.typed == "" and app.message == ("", False)
        await press(app, pilot, "enter")
        assert app.bench.state.seq == seq + 1, "the next press counts"

    on_wall(demo_shop, walk)


def test_a_tap_on_a_target_wakes_and_does_not_press_it(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        seq, big = app.bench.state.seq, target(app, "ONE MORE")
        at = (big.region.x + 2, big.region.y + 1)
        await left_alone(app, pilot, 61)
        await touch(app, pilot, at)
        assert not rests(app) and app.bench.state.seq == seq
        pass_time(app, 0.5)
        await touch(app, pilot, at)
        assert app.bench.state.seq == seq, "the second half of a double tap"
        pass_time(app, AFTER_WAKING_S)
        await touch(app, pilot, at)
        assert app.bench.state.seq == seq + 1

    on_wall(demo_shop, walk)


def test_a_held_pedal_wakes_and_counts_nothing_however_long_it_is_held(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        seq = app.bench.state.seq
        await left_alone(app, pilot, 61)
        send(app, "pagedown")
        pass_time(app, 0.6)  # until a terminal repeats it
        send(app, *["pagedown"] * 60, apart_s=0.04)
        await settled(app, pilot)
        assert not rests(app) and app.bench.state.seq == seq

    on_wall(demo_shop, walk)


def test_what_still_comes_of_the_waking_press_is_swallowed() -> None:
    quiet = Quiet(0.0)
    assert not quiet.pressed(5.0, calm=False)
    assert quiet.pressed(700.0, calm=True)
    assert quiet.pressed(700.9, calm=False)
    assert quiet.pressed(701.05, calm=False), "a repeat"
    assert not quiet.pressed(701.3, calm=False)
    assert quiet.lasted_s(711.3) == pytest.approx(10)


def test_a_half_typed_figure_is_still_half_typed(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *ALL_FLUTES, *"1/6")
        before = shown(app)
        await left_alone(app, pilot, 61, clocks_go=False)
        await press(app, pilot, "4")
        assert shown(app) == before and "1/6" in before

    on_wall(demo_shop, walk)


def test_a_half_typed_mark_is_still_half_typed(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"NR-0")
        await left_alone(app, pilot, 11)
        await press(app, pilot, "enter")
        assert app.typed == "NR-0" and "Find: NR-0" in foot_text(app)
        await press(app, pilot, "7", "enter")
        assert "NR-07" in shown(app)

    on_wall(demo_shop, walk)


def test_a_dialog_is_still_asked_with_what_was_typed(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *ALL_FLUTES, "f8", "1")
        keypad = app.screen
        assert isinstance(keypad, KeypadScreen)
        seq, before = app.bench.state.seq, shown(app)
        await left_alone(app, pilot, 61)
        await press(app, pilot, "escape")
        assert app.screen is keypad and app.bench.state.seq == seq and shown(app) == before
        await press(app, pilot, "escape")
        assert app.screen is not keypad

    on_wall(demo_shop, walk)


# What the card shows


def test_the_next_clock_stands_in_the_largest_digits_and_rings_as_ever(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rung: list[str] = []
    monkeypatch.setattr(KioskApp, "bell", lambda self: rung.append("ding"))
    clocks = SteadyClocks(NOW)
    bench = Bench(demo_shop, clocks)
    _limit_runs(60)(bench)
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await left_alone(app, pilot, 11)
        text = shown(app)
        assert "FINISH WITHIN: NR-07, degreased face" in text and "until 13:00" in text
        assert "min" in text and text.count("█") > 60 and not rung
        screen = app.screen
        assert isinstance(screen, CalmScreen)
        clocks.go(38)
        screen.look()
        screen.query_one(Strip).look()
        await settled(app, pilot)
        assert rests(app) and rung == ["ding"] and "FINISH NOW" in shown(app)
        clocks.go(20)
        screen.look()
        screen.query_one(Strip).look()
        await settled(app, pilot)
        assert rests(app) and rung == ["ding", "ding"] and "TOO LATE" in shown(app)

    on_wall(demo_shop, walk, clocks)


@pytest.mark.parametrize("size", [(64, 20), (73, 20), (80, 24), (160, 50)])
def test_the_card_is_whole_at_every_size(size: tuple[int, int], demo_shop: Path) -> None:
    clocks = SteadyClocks(NOW)
    bench = Bench(demo_shop, clocks)
    _limit_runs(400)(bench)
    _spread_glue(bench)
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await left_alone(app, pilot, 11)
        text = shown(app)
        assert "█" in text and "6.4" not in text and "  h" in text
        assert "The place is kept" in text and "brings it back" in text and "until 18:40" in text

    on_wall(demo_shop, walk, clocks, size)


def test_no_name_of_a_person_stands_on_the_card(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await left_alone(app, pilot, 11)
        names = [person.name for person in app.bench.shop.file.people]
        assert names and not [name for name in names if name in shown(app)]

    on_wall(demo_shop, walk)


def test_the_dim_colours_can_be_read() -> None:
    """Web Content Accessibility Guidelines 2.2, success criterion 1.4.3: at least 4.5 to 1."""
    for style in (CALM, CALM_BOLD, CALM_DIGITS):
        assert 4.5 < _contrast_on_black(style.split("#")[1]) < 12, style


def _contrast_on_black(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    linear = [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts]
    return (0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2] + 0.05) / 0.05


def test_what_another_screen_wrote_is_on_the_card(demo_shop: Path) -> None:
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await left_alone(app, pilot, 11)
        other = Bench(demo_shop, clocks)
        _limit_runs(45)(other)
        other.close()
        screen = app.screen
        assert isinstance(screen, CalmScreen)
        screen.look()
        await settled(app, pilot)
        assert "FINISH WITHIN: NR-07" in shown(app)

    on_wall(demo_shop, walk, clocks)


def test_a_record_that_stopped_wakes_the_screen_and_is_told(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from kiosk.record.stopped import RecordingStopped

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await left_alone(app, pilot, 11)
        screen = app.screen
        assert isinstance(screen, CalmScreen)

        def refused() -> bool:
            raise RecordingStopped("the disk is full", "make room on it")

        monkeypatch.setattr(app.bench, "refresh", refused)
        screen.look()
        await settled(app, pilot)
        assert not rests(app) and "RECORDING STOPPED" in shown(app)

    on_wall(demo_shop, walk)


# Leaving


@pytest.mark.parametrize("key", [*LEAVING_KEYS, "ctrl+p", "ctrl+w", "alt+f4"])
def test_no_key_that_leaves_other_programs_leaves_the_wall(key: str, demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        for keys in ((), ("f3",), ("f5",)):  # a screen, another, and a dialog
            await press(app, pilot, *keys, key)
            assert app.is_running and app.return_value is None and not app._exit
        await press(app, pilot, "escape", key)
        if key in LEAVING_KEYS:
            assert "stays on the wall" in foot_text(app) and "F10" in foot_text(app)

    on_wall(demo_shop, walk)


def test_closing_up_keeps_the_place_and_rests(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON, "f10", "enter")
        assert app.bench.state.sitting is None and not app._exit
        assert rests(app)
        await press(app, pilot, "enter")
        assert app.screen.NAME == "place" and "Closed up. The place is kept." in foot_text(app)  # type: ignore[attr-defined]
        assert not app.bench.copy_trouble() and list((demo_shop / "copies").glob("*.db"))

    on_wall(demo_shop, walk)


def test_that_no_copy_was_made_is_told_on_the_wall(demo_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (demo_shop / "copies").write_text("in the way", encoding="utf-8")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON, "f10", "enter")
        assert app.bench.copy_trouble()
        await press(app, pilot, "escape")
        assert "no copy was made" in shown(app)

    on_wall(demo_shop, walk)


def test_the_wall_is_left_by_one_act_that_is_asked_once_more(demo_shop: Path) -> None:
    async def by_keys(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f10", "f8")
        assert isinstance(app.screen, ChoiceScreen) and "Leave the wall screen?" in shown(app)
        await press(app, pilot, "enter", "space")
        assert not app._exit, "nothing is chosen beforehand"
        await press(app, pilot, "down", "enter")
        assert not app._exit and not isinstance(app.screen, ChoiceScreen), "stays"
        await press(app, pilot, "f8", "down", "down", "enter")
        assert app._exit and app.return_code == 0

    async def by_finger(app: KioskApp, pilot: Pilot[None]) -> None:
        await tap(app, pilot, "Close up")
        await tap(app, pilot, "Leave wall")
        await tap(app, pilot, "Leave: the wall goes dark")
        assert app._exit and app.return_code == 0

    on_wall(demo_shop, by_keys)
    on_wall(demo_shop, by_finger, size=(73, 20))


def test_a_window_that_is_too_small_is_not_left_by_a_key(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f10")
        assert not app._exit and "F10 leaves" not in shown(app)

    on_wall(demo_shop, walk, size=(50, 15))


def test_a_wall_screen_is_never_suspended(demo_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = [signal.getsignal(one) for one in (signal.SIGTSTP, signal.SIGCONT)]
    bench = Bench(demo_shop, SteadyClocks(NOW))
    try:

        async def made(*, wall: bool) -> TerminalDriver:
            return TerminalDriver(KioskApp(bench, wall=wall))

        assert not asyncio.run(made(wall=True)).can_suspend
        assert signal.getsignal(signal.SIGTSTP) is signal.SIG_IGN
        assert asyncio.run(made(wall=False)).can_suspend
        assert callable(signal.getsignal(signal.SIGTSTP))
    finally:
        bench.close()
        for one, was in zip((signal.SIGTSTP, signal.SIGCONT), before, strict=True):
            signal.signal(one, was)
