"""A scan is told from keys by its speed, never presses and is never typed, on every screen and dialog.

That one records nothing in any scene is tried where its picture is: ``test_pictures.py``.
"""

import asyncio
import random
from collections.abc import Sequence
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from kiosk.screens.app import KioskApp
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.dialog import Dialog
from kiosk.screens.keypad import KeypadScreen
from kiosk.screens.page import PageScreen
from kiosk.screens.part import PartScreen
from kiosk.screens.scans import GAP_S, Scan, Scans
from kiosk.screens.walk import WalkScreen
from tests.driver import (
    burst,
    foot_text,
    pass_time,
    press,
    send,
    send_scan,
    settled,
    tap,
    target,
    touch,
    type_fast,
)
from tests.screens.moment import with_app
from tests.screens.scenes import ALL_FLUTES, CARRY_ON, Scene

KEYS = {"\r": "enter", "\t": "tab", "\n": "ctrl+j", "←": "left", "⌫": "backspace", "⑤": "f5", "§": "pagedown"}


def read(timed: Sequence[tuple[str, float]], scans: Scans[str] | None = None) -> list[str | Scan]:
    """What is handed on of characters read so many milliseconds after one another, and then nothing more."""
    scans = scans or Scans()
    found: list[str | Scan] = []
    at = 10.0
    for text, after_ms in timed:
        for character in text:
            at += after_ms / 1000
            key = KEYS.get(character, character)
            found += scans.key(key, None if character in KEYS else character, at, key)
    return found + scans.quiet(at + 1)


@pytest.mark.parametrize("apart_ms", [0, 1, 5, 10, 20, 30, 45, 59])
@pytest.mark.parametrize("ends", ["\r", "\t", "\r\n", ""])
def test_a_scanner_of_any_speed_and_ending_is_one_scan_and_no_key(apart_ms: float, ends: str) -> None:
    assert read([("NR-04" + ends, apart_ms)]) == [Scan("NR-04")]


def test_speeds_that_vary_within_what_scanners_do_are_one_scan() -> None:
    random_numbers = random.Random(4)
    for _ in range(200):
        timed = [(one, random_numbers.uniform(0, 59)) for one in "RT-12B\r"]
        assert read(timed) == [Scan("RT-12B")]


@pytest.mark.parametrize("prefix", ["\r", "§", "⑤", "\x02", "]C1"])
def test_a_prefix_goes_with_its_scan(prefix: str) -> None:
    assert read([(prefix + "NR-04\r", 10)]) == [Scan("NR-04")]


def test_a_short_label_is_a_scan_by_its_enter_alone() -> None:
    assert read([("A1\r", 5)]) == [Scan("A1")]
    assert read([("A1", 5)]) == ["A", "1"]


@pytest.mark.parametrize("apart_ms", [61, 80, 120, 300, 2000])
def test_a_typist_of_any_speed_is_no_scanner(apart_ms: float) -> None:
    assert read([("Dent 12\r", apart_ms)]) == [*"Dent 12", "enter"]


def test_letters_that_roll_over_the_keys_are_typed() -> None:
    assert read([("t", 200), ("he", 20), (" ", 90), ("in", 30), ("g", 49), ("\r", 90)]) == [
        *"the ing",
        "enter",
    ]


def test_a_character_waits_for_the_gap_and_no_longer() -> None:
    scans: Scans[str] = Scans()
    assert scans.due is None
    assert scans.key("n", "n", 10.0, "n") == []
    assert scans.due == 10.0 + GAP_S
    assert scans.quiet(10.0 + GAP_S - 0.001) == [] and scans.quiet(10.0 + GAP_S) == ["n"]
    assert scans.due is None


def test_an_arrow_and_backspace_never_wait_and_a_held_one_goes_on() -> None:
    scans: Scans[str] = Scans()
    assert [scans.key("down", None, 10 + tick * 0.033, "down") for tick in range(5)] == [["down"]] * 5
    assert read([("←" * 4, 33)]) == ["left"]  # it does things of its own: held down it is one press
    assert read([("ab⌫", 20)]) == ["a", "b", "backspace"]


def test_a_held_pedal_is_one_press_while_it_is_held() -> None:
    scans: Scans[str] = Scans()
    found = [scans.key("pagedown", None, 10 + tick * 0.033, "pedal") for tick in range(30)]
    assert [one for ones in found for one in ones] == ["pedal"] and found[2] == ["pedal"]


def test_a_held_letter_is_no_scan() -> None:
    assert read([("a" * 30, 33)]) == ["a"] * 30


def test_presses_read_together_are_the_first_of_them() -> None:
    assert read([("\r\r", 0)]) == ["enter"]
    assert read([("⑤\r\r", 0)]) == ["f5"]
    assert read([("\r", 0), ("\r", 61)]) == ["enter", "enter"]


def test_a_finger_and_a_key_read_together_are_the_first_of_them() -> None:
    scans: Scans[str] = Scans()
    assert scans.finger(10.0)
    assert scans.key("enter", "\r", 10.01, "enter") == [] == scans.quiet(11)
    assert scans.key("enter", "\r", 12.0, "enter") == []
    assert not scans.finger(12.01)
    assert scans.quiet(13) == ["enter"]
    assert scans.finger(14.0) and not scans.finger(14.01) and scans.finger(14.2)


def test_a_late_enter_is_still_the_scanners() -> None:
    assert read([("NR-04", 10), ("\r", 200)]) == [Scan("NR-04")]
    assert read([("NR-04\r", 10), ("\r", 450)]) == [Scan("NR-04"), "enter"]


def test_a_space_is_a_press_until_something_is_typed() -> None:
    assert read([(" ", 0), ("⑤", 0)]) == [" "]
    assert read([("⑤ ", 10)]) == ["f5"]
    assert read([("a", 70), (" ", 70), ("b", 70)]) == ["a", " ", "b"]
    assert read([("NR 04\r", 10)]) == [Scan("NR 04")]


def test_two_scans_are_two() -> None:
    assert read([("NR-04\r", 5), ("NR-05\r", 5)]) == [Scan("NR-04"), Scan("NR-05")]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("NR-04", "NR-04"),
        ("  NR-04 \r\n", "NR-04"),
        ("one\ntwo\n", "two"),
        ("\x02NR-04\x03", "NR-04"),
        ("x" * 5000, "x" * 200),
    ],
)
def test_a_paste_is_a_scan(text: str, found: str) -> None:
    scans: Scans[str] = Scans()
    assert scans.paste(text, 10.0) == [Scan(found)]
    assert scans.paste(" \r\n", 11.0) == []


# On the screens

DIALOGS = [
    Scene("snag words", ("f5",)),
    Scene("snag words half typed", ("f5", *"Den")),
    Scene("keypad", (*ALL_FLUTES, "f8", "1", "/")),
    Scene("undo", (*CARRY_ON, "enter", "f6")),
    Scene("a decision", (*"NR-06", "enter", "enter")),
    Scene("its reason", (*"NR-06", "enter", "enter", "down", "enter")),
    Scene("a note", (*"NR-07", "enter", "f7", "down", "down", "down", "enter")),
    Scene("a skip", (*"NR-07", "enter", "f7", "down", "enter")),
    Scene("a stock count", ("f11", "enter")),
    Scene("an input", ("f9", *["down"] * 3, "enter")),
    Scene("a page", (*CARRY_ON, "f9")),
]


@pytest.mark.parametrize("how", ["enter", "nothing", "paste"])
@pytest.mark.parametrize("scene", DIALOGS, ids=lambda scene: scene.name)
def test_a_scan_in_a_dialog_is_told_kept_and_opened_after_it(demo_shop: Path, scene: Scene, how: str) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *scene.keys)
        dialog, before = app.screen, app.bench.state.seq
        assert isinstance(dialog, Dialog)
        typed = getattr(dialog, "typed", None), getattr(dialog, "text", None)
        await send_scan(app, pilot, "NR-04", how)
        assert app.screen is dialog
        assert "Scanned NR-04: kept, opened when this is" in foot_text(app)
        assert (getattr(dialog, "typed", None), getattr(dialog, "text", None)) == typed
        assert app.bench.state.seq == before
        await press(app, pilot, "escape")
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "NR-04"
        assert app.bench.state.seq == before

    with_app(demo_shop, walk)


def test_a_scan_that_a_slow_machine_reads_late_is_one_all_the_same(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its characters came together; that each takes long to be worked off does not pull them apart."""
    read = KioskApp._read

    async def slowly(self: KioskApp, event: events.Key) -> None:
        await asyncio.sleep(0.01)
        await read(self, event)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *ALL_FLUTES, "f8")
        keypad, before = app.screen, app.bench.state.seq
        assert isinstance(keypad, KeypadScreen)
        monkeypatch.setattr(KioskApp, "_read", slowly)
        pass_time(app)
        send(app, *"12-34", "enter", apart_s=0.02)
        await settled(app, pilot)
        assert keypad.text == "" and app.bench.state.seq == before
        assert app.screen is keypad

    with_app(demo_shop, walk)


def test_a_scan_of_what_is_on_no_part_is_said_in_a_dialog_and_not_kept(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f5")
        await type_fast(app, pilot, "NR-99")
        assert foot_text(app) == "Scanned NR-99: no part is marked so."
        await press(app, pilot, "down")
        assert "Scanned" not in foot_text(app)
        below = app.screen_stack[-2]
        await press(app, pilot, "escape")
        assert app.screen is below

    with_app(demo_shop, walk)


def test_a_scan_is_kept_over_a_second_question(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"NR-06", "enter", "enter")
        await type_fast(app, pilot, "NR-04")
        await press(app, pilot, "down", "enter")
        assert isinstance(app.screen, ChoiceScreen) and "Why" in app.screen.title_text
        await press(app, pilot, "escape")
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "NR-04"

    with_app(demo_shop, walk)


def test_a_scanned_lot_is_pointed_at_and_taken_by_a_press(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"NR-07", "enter", "enter", "enter")
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        check = app.bench.step_view(screen.work).active_check
        assert check is not None and check.kind == "lot" and len(check.choices) > 1
        lot, before = check.choices[1], app.bench.state.seq
        await type_fast(app, pilot, lot)
        dialog = app.screen
        assert isinstance(dialog, ChoiceScreen) and dialog.at == 1
        await type_fast(app, pilot, check.choices[0])
        assert dialog.at == 0 and app.screen is dialog
        assert foot_text(app) == f"Scanned {check.choices[0]}: Enter takes it."
        await type_fast(app, pilot, lot)
        assert app.bench.state.seq == before
        await press(app, pilot, "enter")
        assert app.bench.step_view(screen.work).checks[0].answer == lot

    with_app(demo_shop, walk)


def test_a_scan_leaves_what_is_half_typed_alone_and_is_no_part_of_it(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *ALL_FLUTES, *"1/6")
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        await type_fast(app, pilot, "NR-04")
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "NR-04"
        assert app.bench.step_view(screen.work).checks[0].draft == "1/6"
        await press(app, pilot, *"MR-0")
        assert app.typed == "MR-0"
        await type_fast(app, pilot, "NR-05")
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "NR-05" and not app.typed

    with_app(demo_shop, walk)


def test_a_slow_typist_types_and_enters_as_ever(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"nr-04", "enter", apart_s=0.07)
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "NR-04"
        await press(app, pilot, "f5")
        await press(app, pilot, *"Dent by hand", "enter", apart_s=0.07)
        assert [snag.text for snag in app.bench.state.open_snags("NR-04")] == ["Dent by hand"]

    with_app(demo_shop, walk)


@pytest.mark.parametrize("keys", [("enter", "enter"), ("enter", "f6"), ("f6", "enter"), ("enter",) * 6])
@pytest.mark.parametrize(
    "scene",
    [
        Scene("counting", CARRY_ON),
        Scene("a page", ("f9", *["down"], "enter")),
        Scene("undo", (*CARRY_ON, "enter", "f6")),
        Scene("close-up", ("enter", "f10")),
    ],
    ids=lambda scene: scene.name,
)
def test_presses_read_together_act_once(demo_shop: Path, scene: Scene, keys: tuple[str, ...]) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *scene.keys)
        before, stack = app.bench.state.seq, list(app.screen_stack)
        await burst(app, pilot, *keys)
        assert app.bench.state.seq - before <= 1
        if app.is_running:
            assert abs(len(app.screen_stack) - len(stack)) <= 1
            await press(app, pilot, "escape", "f1")
            assert app.screen is app.screen_stack[0]

    with_app(demo_shop, walk)


@pytest.mark.parametrize("finger_first", [True, False])
def test_a_tap_and_a_key_in_one_read_act_once(demo_shop: Path, finger_first: bool) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        region = target(app, "ONE MORE").region
        at = (region.x + 2, region.y + 1)
        pass_time(app)
        finger = [kind(None, *at, 0, 0, 1, False, False, False, *at) for kind in FINGER]
        key = [events.Key("enter", "\r")]
        for event in [*finger, *key] if finger_first else [*key, *finger]:
            app.post_message(event)
        await settled(app, pilot)
        assert app.bench.step_view(screen.work).count == 6
        pass_time(app)
        await touch(app, pilot, at)
        assert app.bench.step_view(screen.work).count == 7

    with_app(demo_shop, walk)


FINGER = (events.MouseDown, events.MouseUp)


def test_a_press_that_waited_long_is_judged_by_when_it_was_read(demo_shop: Path) -> None:
    """A slow machine: the second half of a bounced key is done long after the first, and read with it."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        await press(app, pilot, "enter")
        late = events.Key("enter", "\r")
        late.time = app.taps.clock() + 0.1
        pass_time(app, 2.0)
        app.post_message(late)
        await settled(app, pilot)
        assert app.bench.step_view(screen.work).count == 6

    with_app(demo_shop, walk)


# The snag key

SHOWN = [
    (("f3", "down", "down"), None),
    ((*"NR-07", "enter"), "NR-07"),
    ((*CARRY_ON,), "NR-03"),
    (("f2",), None),
    (("f2", "down"), None),
    ((), "NR-03"),
]


@pytest.mark.parametrize(("keys", "mark"), SHOWN)
def test_the_snag_key_is_about_the_part_shown(
    demo_shop: Path, keys: tuple[str, ...], mark: str | None
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        from kiosk.screens.board import BoardScreen
        from kiosk.screens.spare import SpareScreen

        await press(app, pilot, *keys)
        screen = app.screen
        if isinstance(screen, BoardScreen):
            expected = screen._rows[screen.at].mark
            assert screen.at >= 2
        elif isinstance(screen, SpareScreen):
            marks = screen.choices()[1 if "down" in keys else 0].marks
            expected = marks[0] if len(marks) == 1 else ""
        else:
            assert mark is not None
            expected = mark
        await press(app, pilot, "f5")
        assert isinstance(app.screen, ChoiceScreen)
        asked = f"What is not right on {expected}?" if expected else "Which part is not right?"
        assert app.screen.title_text == asked

    with_app(demo_shop, walk)


@pytest.mark.parametrize("key", ["f4", "f9", "f10", "f11"])
def test_the_snag_key_asks_which_part_where_none_is_shown(demo_shop: Path, key: str) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, key, "f5")
        dialog, before = app.screen, app.bench.state.seq
        assert isinstance(dialog, ChoiceScreen) and dialog.title_text == "Which part is not right?"
        await press(app, pilot, "enter")
        assert app.screen is dialog  # nothing is chosen beforehand
        await type_fast(app, pilot, "MR-02")
        assert app.screen is dialog and foot_text(app) == "Scanned MR-02: Enter takes it."
        await press(app, pilot, "enter")
        assert isinstance(app.screen, ChoiceScreen)
        assert app.screen.title_text == "What is not right on MR-02?"
        await press(app, pilot, "escape", key, "f5", *"nr 5x", "enter")
        assert "No part is marked" in foot_text(app)
        await press(app, pilot, "f5", *"nr-05", "enter")
        assert app.screen.title_text == "What is not right on NR-05?"
        assert app.bench.state.seq == before

    with_app(demo_shop, walk)


def test_the_keypad_keeps_its_figure_and_no_scan(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *ALL_FLUTES, "f8", *"1/6")
        screen = app.screen_stack[-2]
        assert isinstance(screen, WalkScreen) and isinstance(app.screen, KeypadScreen)
        await type_fast(app, pilot, "123456")
        await tap(app, pilot, "4")
        assert app.screen.text == "1/64"
        await tap(app, pilot, "OK")
        assert app.bench.step_view(screen.work).checks[0].answer == "1/64"

    with_app(demo_shop, walk)


def test_a_page_is_left_by_a_key_and_not_by_a_scan(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON, "f9")
        assert isinstance(app.screen, PageScreen)
        await type_fast(app, pilot, "NR-04")
        assert isinstance(app.screen, PageScreen)
        await press(app, pilot, "x")
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "NR-04"

    with_app(demo_shop, walk)
