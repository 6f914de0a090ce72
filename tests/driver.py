"""Drives the bench or the app as a person would: shared by several tests."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Hashable, Iterator
from contextlib import asynccontextmanager, contextmanager
from pathlib import Path
from typing import Any

import pytest
from rich.console import RenderableType
from textual import events
from textual._compositor import Compositor
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.message_pump import MessagePump
from textual.pilot import Pilot
from textual.screen import Screen

from kiosk.bench import Bench
from kiosk.record.at_hand import at_hand
from kiosk.record.journal import Clocks
from kiosk.record.rules.snags import Accepted
from kiosk.record.state import Piece
from kiosk.screens.app import KioskApp
from kiosk.screens.keys import Key, Keys
from kiosk.screens.large import scale_of
from kiosk.screens.load_ahead import LoadAhead
from kiosk.screens.page_text import LONGEST_LINE
from kiosk.screens.scans import GAP_S
from kiosk.screens.target import Target
from kiosk.shop.procedure import CountCheck, LotCheck, MeasureCheck, Step, YesNoCheck

# What a decision on a snag needs besides its reason, whatever is decided.
ACCEPTED = Accepted(
    by="wren",
    role="builder",
    plans_allow=True,
    answer="It may be used as it is",
    answered_by="Ada Quill",
    answered_role="designer",
)
LONGEST_WAIT_S = 60.0  # for what takes milliseconds: only a fault takes as long, however busy the machine


def set_pins(folder: Path, **pins: str) -> None:
    """Set the PINs of these people, as ``kiosk pin`` does; the builder's last, who would be asked for it."""
    bench = Bench(folder)
    for person in sorted(pins, key=lambda one: bench.shop.people[one].role == "builder"):
        bench.set_pin(person, "", pins[person])
    bench.close()


def good_answer(bench: Bench, check: Any, mark: str) -> str:
    """An answer within limits for a check on a part."""
    kind = bench.shop.kind_of(mark)
    if isinstance(check, YesNoCheck):
        return check.want
    if isinstance(check, CountCheck):
        return str(bench.shop.figures.count(kind, check))
    if isinstance(check, LotCheck):
        return next(
            lot.mark
            for lot in bench.shop.lots.values()
            if lot.of == check.of and lot.thickness in (None, kind.material.thickness)
        )
    assert isinstance(check, MeasureCheck)
    work = bench.state.works.get(bench.state.part(mark).work or "")
    step = bench.shop.find_step(work.procedure, work.step, mark)[1] if work else None
    things = at_hand(bench.context, work, step) if work and step else {}
    limits = bench.shop.figures.limits(kind, check, things)
    ends = [end for end in (limits.low, limits.high) if end is not None]
    return f"{sum(ends) / len(ends):.5f}"


def next_step(bench: Bench, mark: str) -> Step:
    """The step at which a part stands."""
    step = bench.position(mark).step
    assert step is not None, f"{mark} stands at no step"
    return step


def piece_of(bench: Bench, work: str, mark: str) -> Piece:
    """A part in work that is in hand."""
    piece = bench.state.works[work].piece(mark)
    assert piece is not None, f"{mark} is not in this work"
    return piece


def undo_newest(bench: Bench) -> None:
    """Take back what can be taken back first."""
    newest = bench.latest_undoable()
    assert newest is not None, "nothing can be taken back"
    bench.undo(newest.event)


def finish_piece(bench: Bench, work: str, mark: str) -> None:
    """Give everything that is wanted of one piece and say that it is done."""
    step = next_step(bench, mark)
    if step.repeat is not None:
        bench.count(work, mark, bench.shop.figures.count(bench.shop.kind_of(mark), step.repeat))
    for check in step.checks:
        bench.answer(work, mark, check.id, good_answer(bench, check, mark))
    bench.finish(work, mark)


def do_step(bench: Bench, marks: list[str]) -> None:
    """Take parts through their next step, everything in order.

    Odile comes for what takes two people or a second look, and goes again.
    """
    where = bench.position(marks[0])
    assert where.procedure is not None and where.step is not None
    two = any(bench.shop.hazards[tag].people > 1 for tag in where.step.hazards)
    ref = where.procedure.ref(where.step)
    unseen = [mark for mark in marks if where.step.hold_point and ref not in bench.state.part(mark).looked]
    helps = (two or bool(unseen)) and "odile" not in {person.id for person in bench.people}
    if helps:
        bench.come("odile")
    if unseen:
        bench.hold_look(unseen, "odile", "as the plans show")
    if where.step.conditions.temperature_f is not None:
        bench.note_conditions(68, 55)
    work = bench.start(marks, where.procedure.id, where.step.id)
    bench.acknowledge(work)
    pieces = marks[:1] if where.step.batch == "together" else marks
    for mark in pieces:
        finish_piece(bench, work, mark)
    if helps:
        bench.leave("odile")


class TapsClock:
    """Seconds between presses, moved by the test."""

    def __init__(self) -> None:
        self.at = 100.0

    def __call__(self) -> float:
        return self.at

    def go(self, seconds: float) -> None:
        self.at += seconds


@asynccontextmanager
async def running(app: KioskApp, size: tuple[int, int]) -> AsyncIterator[Pilot[None]]:
    """The app without a terminal, drawn and at rest."""
    async with app.run_test(size=size) as pilot:
        await settled(app, pilot)
        yield pilot


@contextmanager
def painted_when_asked() -> Iterator[None]:
    """Nothing is painted but what is asked for whole, as a picture or ``screen_text``. Without a terminal
    nobody sees the rest, and it was a quarter of what an app takes here."""
    was = Compositor.render_update

    def render_update(
        compositor: Compositor,
        full: bool = False,
        screen_stack: list[Screen[Any]] | None = None,
        simplify: bool = False,
    ) -> RenderableType | None:
        if full:
            return was(compositor, full, screen_stack, simplify)
        compositor._dirty_regions.clear()
        return None

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Compositor, "render_update", render_update)
        yield


@contextmanager
def stylesheets_parsed_once() -> Iterator[None]:
    """The same style sheet with the same variables is parsed once, and not by every app anew: nothing that
    was parsed changes, and Textual itself takes the same again when it parses all anew."""
    was = Stylesheet._parse_rules
    parsed: dict[Hashable, list[RuleSet]] = {}

    def parse_rules(sheet: Stylesheet, *args: Any, **more: Any) -> list[RuleSet]:
        of = (args, frozenset(more.items()), frozenset(sheet._variables.items()))
        if of not in parsed:
            parsed[of] = was(sheet, *args, **more)
        return parsed[of]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Stylesheet, "_parse_rules", parse_rules)
        yield


def _answer(answers: list[MessagePump], pump: MessagePump) -> None:
    """A function, because Textual counts the parameters of what is called, and of a builtin method anew each
    time, for longer than all else that is asked here."""
    answers.append(pump)


async def settled(app: KioskApp, pilot: Pilot[None]) -> None:
    """Wait until nothing happens any more: the keys are done, and what they led to is drawn.

    ``Pilot.pause`` asks every widget in turn, three times for each key, and that is then most of what the app
    does. Nothing waits for the others in a widget, so that only the app and the screen are asked.
    """
    deadline = time.monotonic() + LONGEST_WAIT_S
    loop: Any = asyncio.get_running_loop()
    asked: list[MessagePump] = []
    answers: list[MessagePump] = []
    while app.is_running:
        assert time.monotonic() < deadline, "the screen does not come to rest"
        await asyncio.sleep(0)
        if loop._ready:  # somebody has something to do that waits neither for time nor for a key
            continue
        app.screen._on_timer_update()  # what is to be drawn is drawn now, and not at the next sixtieth second
        if loop._ready:
            continue
        if not asked:
            for pump in (app, app.screen):
                if pump.call_later(_answer, answers, pump):
                    asked.append(pump)
        elif len(answers) < len(asked):  # what came before the question is not worked off
            await asyncio.sleep(0.002)
        elif getattr(app.screen, "working", False):  # something is worked out beside it
            await asyncio.sleep(0.02)
        elif app.scans.due is not None and isinstance(app.taps.clock, TapsClock):
            pass_time(app, GAP_S)  # nothing follows what is held back, so it is handed on
            await app.hand_on_what_is_due()
            asked, answers = [], []
        else:
            return


async def shown(app: KioskApp, pilot: Pilot[None], words: str) -> None:
    """Wait until these words stand on the screen."""
    deadline = time.monotonic() + LONGEST_WAIT_S
    while words not in "\n".join(screen_text(app)):
        assert time.monotonic() < deadline, f"{words!r} was not shown"
        await pilot.pause(0.02)


def with_app(
    folder: Path,
    walk: Callable[[KioskApp, Pilot[None]], Awaitable[None]],
    size: tuple[int, int] = (80, 24),
    clocks: Clocks | None = None,
    *,
    wall: bool = False,
) -> None:
    """Run the app without a terminal and walk through it; with ``wall`` as it hangs there."""

    async def go() -> None:
        bench = Bench(folder, clocks, watch=True)
        app = KioskApp(bench, taps_clock=TapsClock(), wall=wall)
        try:
            async with running(app, size) as pilot:
                await walk(app, pilot)
        finally:
            bench.close()

    asyncio.run(go())


def pass_time(app: KioskApp, seconds: float = 1.0) -> None:
    """Let so much time pass between presses."""
    assert isinstance(app.taps.clock, TapsClock)
    app.taps.clock.go(seconds)


async def press(app: KioskApp, pilot: Pilot[None], *keys: str, apart_s: float = 1.0) -> None:
    """Press keys so long apart, each when what the one before led to is done."""
    for key in keys:
        pass_time(app, apart_s)
        send(app, key)
        await settled(app, pilot)


def load_all_ahead() -> None:
    """Load at once what a kiosk loads in the first ten seconds in which nobody presses anything."""
    ahead = LoadAhead()
    while ahead.load_one():
        time.sleep(0.001)  # what is loaded beside it gets the processor


async def tap(app: KioskApp, pilot: Pilot[None], label: str, apart_s: float = 1.0) -> None:
    """Tap the target on which these words stand."""
    pass_time(app, apart_s)
    found = target_or_key(app, label)
    at = (found.region.x + found.region.width // 2, found.region.y + found.region.height // 2)
    assert is_on_top(app, found, at), f"{label!r} is covered"
    await touch(app, pilot, at)


async def touch(app: KioskApp, pilot: Pilot[None], at: tuple[int, int]) -> None:
    """Put a finger down on a column and row and lift it, as a terminal tells it."""
    for kind in (events.MouseDown, events.MouseUp):
        await finger(app, pilot, at, kind)


async def finger(
    app: KioskApp, pilot: Pilot[None], at: tuple[int, int], kind: type[events.MouseDown | events.MouseUp]
) -> None:
    """Put a finger down on a column and row, or lift it."""
    event = kind(None, *at, 0, 0, 1, False, False, False, *at)
    event.time = app.taps.clock()  # not the machine's, which began anew with it
    app.post_message(event)
    await settled(app, pilot)


def targets_and_keys(app: KioskApp) -> list[Target | Key]:
    """All that a finger can press on the screen."""
    targets = [one for one in app.screen.query(Target) if one.region.area and one.action is not None]
    return [*targets, *(key for one in app.screen.query(Keys) for key in one.keys)]


def is_on_top(app: KioskApp, found: Target | Key, at: tuple[int, int]) -> bool:
    """Whether a finger that comes down there meets it."""
    widget = app.get_widget_at(*at)[0]
    return widget is found or (isinstance(found, Key) and isinstance(widget, Keys))


def target_or_key(app: KioskApp, label: str) -> Target | Key:
    """What can be pressed by finger and begins with these words."""
    seen = targets_and_keys(app)
    for one in seen:
        if one.action is not None and one.action.label.strip("» ").startswith(label):
            return one
    raise AssertionError(f"no target {label!r} in {[one.action and one.action.label for one in seen]}")


def target(app: KioskApp, label: str) -> Target:
    """The target that can be seen and begins with these words."""
    found = target_or_key(app, label)
    assert isinstance(found, Target), f"{label!r} is a key"
    return found


def send(app: KioskApp, *keys: str, apart_s: float = 0.0) -> None:
    """Keys that the terminal reads so soon after one another that none waits until the one before is done."""
    for key in keys:
        character = {"enter": "\r", "space": " "}.get(key, key if len(key) == 1 else None)
        event = events.Key(key.lower() if len(key) == 1 else key, character)
        event.time = app.taps.clock()
        app.post_message(event)
        pass_time(app, apart_s)


async def burst(app: KioskApp, pilot: Pilot[None], *keys: str) -> None:
    """A held or bouncing key, or a scanner: keys in one burst, a while after the last press."""
    pass_time(app)
    send(app, *keys)
    await settled(app, pilot)


async def type_fast(app: KioskApp, pilot: Pilot[None], text: str) -> None:
    """A scanner: characters in one burst, then Enter."""
    send(app, *text, "enter")
    await settled(app, pilot)


async def send_scan(app: KioskApp, pilot: Pilot[None], text: str, how: str) -> None:
    """A scanner that ends with ``enter``, ``tab`` or ``nothing``, or whose text comes as a ``paste``."""
    pass_time(app)
    if how == "paste":
        app.post_message(events.Paste(text))
    else:
        send(app, *text, *({"enter": ["enter"], "tab": ["tab"], "nothing": []}[how]))
    await settled(app, pilot)


def screen_text(app: KioskApp) -> list[str]:
    """The rows of the screen as text, without the spaces at their ends.

    They are read where they are painted from: the picture that Textual exports has the same rows, which
    ``tests.commands.test_picture`` reads, and took a fifth of the time of a test of screens.
    """
    return [strip.text.rstrip() for strip in app.screen._compositor.render_strips(app.size)]


def first_column(app: KioskApp) -> str:
    """What stands in the first column, and all of a smaller screen, as one line."""
    wide = LONGEST_LINE + 2 if scale_of(app.size) else app.size.width
    return " ".join(" ".join(row[:wide] for row in screen_text(app)).split())


def foot_text(app: KioskApp) -> str:
    """The foot of the screen as it is read, over however many lines it takes."""
    rows = app.screen.query_one("#foot").region.height
    return " ".join(row.strip() for row in screen_text(app)[-rows:])
