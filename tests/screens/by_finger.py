"""Every act of the record's rules by finger: the screen on which it is done, and the tap that does it.

    .venv/bin/python -m tests.screens.by_finger            # all of them, at the smallest screen

:data:`WAYS` has a row for each act of ``kiosk.record.rules.ACTS``; ``test_by_finger.py`` fails for an act
without one. Each row is part of a walk: taps on what stands on the screen, and now and then a label that is
scanned to open a part's page, which the board does by finger too. What was pressed when an act was recorded
is compared with the row.
"""

import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.rules import ACTS
from kiosk.screens.app import KioskApp
from kiosk.shop.data import data_folder
from tests.conftest import SteadyClocks
from tests.driver import (
    TapsClock,
    do_step,
    good_answer,
    is_on_top,
    pass_time,
    running,
    screen_text,
    settled,
    target,
    target_or_key,
    touch,
)
from tests.record.test_trials import go_to_trial, measure
from tests.screens import scenes
from tests.screens.moment import NOW, fixed_zone, make_played_shop

SMALLEST = (64, 20)
SPAR = "FS-01"
# What opens no sitting is recorded without its act's name: the bench's method says which it is.
BESIDES = {
    "mark_clock": "mark_clock",
    "add_trial": "record_trial",
    "correct_trial": "correct_trial",
    "retract_trial": "retract_trial",
}


@dataclass(frozen=True)
class Way:
    """The screen, and the words on the target that does it there."""

    screen: str
    tap: str


WAYS: dict[str, Way] = {
    "begin": Way("PartScreen", "BEGIN"),
    "read_cautions": Way("WalkScreen", "I HAVE READ THESE"),
    "turn_to": Way("ChoiceScreen", "NR-05"),
    "count": Way("WalkScreen", "ONE MORE"),
    "say_enough": Way("WalkScreen", "ENOUGH AT"),
    "type_draft": Way("KeypadScreen", "."),
    "answer": Way("KeypadScreen", "OK"),
    "finish": Way("WalkScreen", "DONE"),
    "pause": Way("ChoiceScreen", "Pause"),
    "take_up": Way("PlaceScreen", "CARRY ON"),
    "put_back": Way("WalkScreen", "Put back"),
    "set_aside": Way("ChoiceScreen", "Set the step aside"),
    "say_how_it_stands": Way("ChoiceScreen", "It stands as the screen shows"),
    "begin_batch": Way("PartScreen", "BEGIN"),
    "join": Way("PlaceScreen", "Take"),
    "split": Way("MarksScreen", "SPLIT OFF"),
    "answer_limit": Way("ChoiceScreen", "Wipe it again"),
    "look_at_clock": Way("ChoiceScreen", "It is over"),
    "mark_clock": Way("ChoiceScreen", "It is right"),
    "correct": Way("ChoiceScreen", "The clock was not stopped"),
    "skip": Way("ChoiceScreen", "Not needed here"),
    "reopen": Way("ChoiceScreen", "It is not so"),
    "go_on_at": Way("ChoiceScreen", "Most likely"),
    "complete": Way("PartScreen", "IT IS COMPLETE"),
    "look_over": Way("ChoiceScreen", "It is good"),
    "second_look": Way("ChoiceScreen", "Lines and sizes agree"),
    "undo": Way("ChoiceScreen", "Take back"),
    "read_room": Way("KeypadScreen", "OK"),
    "begin_slot": Way("SpareScreen", "15 min"),
    "set_up": Way("ChoiceScreen", "It is set up"),
    "count_stock": Way("KeypadScreen", "OK"),
    "type_words": Way("ChoiceScreen", "H"),
    "write_note": Way("ChoiceScreen", "TAKE IT"),
    "come": Way("PeopleScreen", "Pip IS HERE"),
    "leave": Way("PeopleScreen", "Goes"),
    "hand_over": Way("PeopleScreen", "Takes over"),
    "set_pin": Way("PinScreen", "OK"),
    "clear_room": Way("ChoiceScreen", "Out of the room"),
    "close_up": Way("CloseUpScreen", "CLOSE UP"),
    "raise_snag": Way("ChoiceScreen", "Crack"),
    "decide_snag": Way("ChoiceScreen", "Record this decision"),
    "record_trial": Way("ChoiceScreen", "TAKE IT"),
    "another_trial": Way("WalkScreen", "ANOTHER"),
    "retract_trial": Way("ChoiceScreen", "Measured wrong"),
    "correct_trial": Way("ChoiceScreen", "Mistyped"),
    "ask_first": Way("ChoiceScreen", "Every nose rib first"),
    "ask_not_today": Way("ChoiceScreen", "Every nose rib not today"),
    "take_back_wish": Way("ChoiceScreen", "Take back"),
}


@dataclass(frozen=True)
class Walk:
    """Taps in a row, on a shop in mid-work on which something is done ``before``.

    A step is the words on a target, ``scan:`` and a mark, or ``wait:`` and minutes. A target that is not on
    this page of choices is turned to.
    """

    name: str
    taps: Sequence[str]
    before: Callable[[Bench], None] | None = None
    after: Callable[[Path], None] | None = None  # to the files, before the kiosk is opened


def _looks(bench: Bench) -> None:
    """A part whose next step wants the room cleared, a second look and the room's readings, all at once."""
    own = "    hold_point: yes\n    hazards: [ROUTER]\n    conditions: {temperature_f: {low: 55, high: 95}}\n"
    scenes._own_step(bench, own)


def _all_done(bench: Bench) -> None:
    """A die is ready but for its completion, a helper did a step, and a limit runs on a rib."""
    while not bench.position("DS-10").all_done:
        do_step(bench, ["DS-10"])
        bench.record.clocks.go(60 * 24)  # type: ignore[attr-defined]
    scenes._helper_comes(bench)
    scenes._limit_runs(20)(bench)


def _batch(bench: Bench) -> None:
    """A batch is through its first step."""
    marks = ["NR-07", "NR-08", "NR-09"]
    where = bench.position(marks[0])
    assert where.procedure is not None and where.step is not None
    work = bench.begin_batch(marks, where.procedure.id, where.step.id)
    bench.acknowledge(work)
    for mark in marks[:1] if where.step.batch == "together" else marks:
        for check in where.step.checks:
            bench.answer(work, mark, check.id, good_answer(bench, check, mark))
        bench.finish(work, mark)
    bench.close_sitting("")


def _strips(bench: Bench) -> None:
    bench.mark_clock(right=True)
    work = go_to_trial(bench, SPAR)
    measure(bench, work, SPAR, 1.89, leg="1.0077")
    bench.another_trial(work, SPAR)
    measure(bench, work, SPAR, 1.90)
    bench.another_trial(work, SPAR)
    measure(bench, work, SPAR, 1.91)
    bench.close_sitting("")


def _glue_dries_and_the_clock_jumps(bench: Bench) -> None:
    scenes._glue_dries(bench)
    clocks = bench.record.clocks
    assert isinstance(clocks, SteadyClocks)
    clocks.boot_id, clocks.count_s = "another boot", 5.0
    clocks.at += timedelta(days=3653)


def _in_hand(bench: Bench) -> None:
    bench.start(["FB-TR"], "form-block", "measure-pattern")
    bench.close_sitting("")


def _step_gone(folder: Path, step: str = "measure-pattern") -> None:
    """A step of form blocks has another name in the file."""
    text = (data_folder("procedures") / "tooling" / "form-block.yaml").read_text(encoding="utf-8")
    changed = text.replace(f"  - id: {step}\n", f"  - id: {step}-well\n", 1)
    (folder / "procedures" / "form-block.yaml").write_text(changed, encoding="utf-8")


def _third_step(bench: Bench) -> None:
    for _ in range(3):
        do_step(bench, ["FB-TR"])
    bench.close_sitting("")


def _third_gone(folder: Path) -> None:
    """The last step that was done has another name in the file."""
    _step_gone(folder, "measure-across")


WALKS = (
    Walk(
        "an evening",
        (
            "CARRY ON", "I HAVE READ THESE", "ONE MORE", "ENOUGH AT", "TYPE THE FIGURE", ".", "0", "1", "OK",
            "DONE", "Other piece", "NR-05", "More…", "Pause",
            "Snag", "Crack", "Undo", "Take back",
            "Ask for…", "Every nose rib first", "Ask for…", "Take back",
            "Ask for…", "Every nose rib not today", "Ask for…", "Take back",
            "Minutes", "15 min",
            "More…", "People", "Down", "Pip IS HERE", "Takes over", "Goes",
            "More…", "Pip's PIN", "Set a new PIN", "2", "4", "6", "8", "OK", "2", "4", "6", "8", "OK",
            "More…", "Stock", "COUNT", "4", "OK",
            "More…", "Close up", "Write", "ABC", "H", "TAKE IT", "CLOSE UP",
        ),
    ),
    Walk(
        "on parts' pages",
        (
            "scan:NR-01", "Other…", "Write a note", "ABC", "H", "i", "TAKE IT",
            "Other…", "Skip the next step", "Not needed here",
            "Other…", "A recorded step is not so", "#1", "It is not so",
            "Other…", "Correct what was mistyped", "#1", "How long it took", "5", "OK", "The clock was not",
            "scan:NR-07", "BEGIN", "I HAVE READ THESE", "Put back",
            "scan:NR-07", "Which…", "All", "TAKE", "BEGIN", "Put back",
            "scan:NR-06", "DECIDE THE SNAG", "Scrap and remake", "It cannot be mended", "Wren, builder",
            "Record this decision",
        ),
    ),
    Walk(
        "what waits for the builder",
        (
            "scan:FB-TR", "LOOK IT OVER", "It is good",
            "scan:NR-07", "SAY WHAT WAS DONE", "Wipe it again",
            "scan:DS-10", "IT IS COMPLETE",
        ),
        _all_done,
    ),
    Walk(
        "before a step",
        (
            "More…", "People", "Down", "Pip IS HERE", "Down", "Odile IS HERE",
            "scan:FB-TR", "LOOK ROUND", "Out of the room: Pip",
            "SECOND LOOK", "Odile", "Lines and sizes agree",
            "READ THE ROOM", "7", "0", "OK", "5", "0", "OK",
        ),
        _looks,
    ),
    Walk(
        "while it waits",
        ("Minutes", "60 min", "SET UP FIRST…", "It is set up"),
        scenes._waits_to_be_set_up_for,
    ),
    Walk("a batch", ("Split", "[ ] NR-08", "SPLIT OFF", "Take NR-08"), _batch),
    Walk(
        "trial strips",
        (
            "CARRY ON", "I HAVE READ THESE",
            f"scan:{SPAR}", "Other…", "Correct what was mistyped", "In hand", "Strip 2",
            "Take the strip back", "Measured wrong",
            "Other…", "Correct what was mistyped", "In hand", "Strip 3", "#1", "1", ".", "9", "0", "1", "OK",
            "Mistyped", "GO TO THE STEP", "ANOTHER",
            "More…", "Numbers", "Down", "Down", "WORK IT OUT", "2024-T3", "along",
            "1", ".", "9", "TAKE", *"1.0027", "TAKE", *"1.0027", "TAKE", *"90", "TAKE", *"93", "TAKE",
            *".032", "TAKE", *".125", "TAKE",
        ),
        _strips,
    ),
    Walk("a step that is gone", ("SAY WHERE", "Set the step aside"), _in_hand, _step_gone),
    Walk("a place that is gone", ("SAY WHERE", "Most likely"), _third_step, _third_gone),
    Walk("after a power cut", ("LOOK AT THE PART", "It stands as the screen shows"), scenes._leave_running),
    Walk("the clock was changed", ("It is right",), scenes._clock_is_set),
    Walk(
        "the clock was changed while glue dried",
        ("It is wrong", "scan:FB-TR", "SAY HOW IT STANDS", "It is over"),
        _glue_dries_and_the_clock_jumps,
    ),
)  # fmt: skip


class Seen:
    """Which act was recorded by which tap on which screen."""

    def __init__(self, app: KioskApp) -> None:
        self.acts: dict[str, set[Way]] = {}
        self._way = Way("", "")
        self._method = ""
        real = app.bench.record.transact

        def transact(*given: Any, act: str = "", **named: Any) -> Any:
            events = real(*given, act=act, **named)
            if events:
                self.acts.setdefault(act or self._method, set()).add(self._way)
            return events

        app.bench.record.transact = transact  # type: ignore[method-assign]
        for method, act in BESIDES.items():
            setattr(app.bench, method, self._named(act, getattr(app.bench, method)))

    def _named(self, act: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def method(*given: Any, **named: Any) -> Any:
            self._method = act
            return real(*given, **named)

        return method

    def pressing(self, way: Way) -> None:
        """This is pressed now."""
        self._way = way


async def take(app: KioskApp, pilot: Pilot[None], walk: Walk) -> Seen:
    """Take a walk by finger."""
    seen = Seen(app)
    for step in walk.taps:
        if step.startswith("scan:"):
            pass_time(app)
            app.post_message(_pasted(step.removeprefix("scan:")))
            await settled(app, pilot)
            continue
        await _turn_to(app, pilot, step)
        found = target_or_key(app, step) if step != "#1" else _first_choice(app)
        assert found.action is not None
        seen.pressing(Way(type(app.screen).__name__, found.action.label.strip("» ")))
        pass_time(app)
        at = (found.region.x + found.region.width // 2, found.region.y + found.region.height // 2)
        assert is_on_top(app, found, at), f"{step!r} is covered"
        await touch(app, pilot, at)
    return seen


async def _turn_to(app: KioskApp, pilot: Pilot[None], step: str) -> None:
    """Turn the pages of choices until it stands there."""
    for _ in range(20):
        try:
            if step != "#1":
                target_or_key(app, step)
            return
        except AssertionError:
            labels = [one.action.label for one in app.screen.query("#actions Target") if one.action]  # type: ignore[attr-defined]
            if "Page on" not in labels:
                raise AssertionError(f"{step!r} is not here:\n" + "\n".join(screen_text(app))) from None
            page_on = target(app, "Page on")
            pass_time(app)
            await touch(app, pilot, (page_on.region.x + 1, page_on.region.y + 1))


def _first_choice(app: KioskApp) -> Any:
    return next(one for one in app.screen.query("#options Target") if one.region.area)


def _pasted(text: str) -> Any:
    from textual import events

    return events.Paste(text)


def seen_in(walk: Walk, shop: Path, size: tuple[int, int] = SMALLEST) -> dict[str, set[Way]]:
    """What a walk does, in a shop folder of its own."""
    import asyncio

    clocks = SteadyClocks(NOW)
    scenes.do_before(walk.before, shop, clocks)
    if walk.after is not None:
        walk.after(shop)

    async def go() -> dict[str, set[Way]]:
        bench = Bench(shop, clocks, watch=True)
        app = KioskApp(bench, taps_clock=TapsClock())
        try:
            async with running(app, size) as pilot:
                return (await take(app, pilot, walk)).acts
        finally:
            bench.close()

    return asyncio.run(go())


def wrong_rows(seen: dict[str, set[Way]]) -> list[str]:
    """The acts that were done otherwise than their rows say."""
    return [
        f"{act}: {sorted((one.screen, one.tap) for one in ways)}"
        for act, ways in seen.items()
        if not any(one.screen == WAYS[act].screen and one.tap.startswith(WAYS[act].tap) for one in ways)
    ]


def main() -> int:
    """Take all walks, and say which act was not seen and which otherwise than its row says."""
    seen: dict[str, set[Way]] = {}
    with fixed_zone(), tempfile.TemporaryDirectory() as name:
        made = Path(name) / "made"
        make_played_shop(made)
        for number, walk in enumerate(WALKS):
            if len(sys.argv) > 1 and sys.argv[1] not in walk.name:
                continue
            begun = time.process_time()
            folder = Path(name) / str(number)
            shutil.copytree(made, folder)
            try:
                found = seen_in(walk, folder)
            except AssertionError as error:
                print(f"{walk.name}: {error}")
                continue
            print(f"{walk.name}: {len(found)} acts in {time.process_time() - begun:.1f} s")
            for act, ways in found.items():
                seen.setdefault(act, set()).update(ways)
    wrong = wrong_rows(seen)
    missing = sorted(set(ACTS) - set(seen))
    print(f"{len(seen)} of {len(ACTS)} acts seen; not: {', '.join(missing) or 'none'}")
    print("\n".join(wrong))
    return 1 if wrong or missing else 0


if __name__ == "__main__":
    sys.exit(main())
