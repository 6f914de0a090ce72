"""Benchmark, run by hand: from a key or a tap until the screen is painted, beside a bare Textual app.

    python -m tests.benchmarks.repaint [SCENE …] [--size 80x24] [--samples 24]

Every scene of the screens' pictures stands in a shop of 500 parts, of which most are begun, in a process of
its own, as the kiosk is the only app of one: what was loaded is not looked through for garbage, and what
another scene left is not there. It begins when a kiosk that was started has loaded what it loads while nobody
presses anything. What is measured
is the time from the moment at which an event is given to the app until nothing is left to do for it and all
that is painted was given to the driver, as bytes for a terminal, however many paintings that takes. Left out
is what is waited for on purpose: the 60 ms in which a scan may follow a key, and Textual's own wait for the
next sixtieth of a second. A press that paints nothing is not counted.

After each press of the kiosk the bare app is pressed in the same loop, with the same kind of event. It is
what anybody would write: the same size, a head, a page of text that is another after each press, seven
targets and a foot. Where a press opens another screen, its pair is one that opens such a screen in the bare
app; where it leaves one, one that leaves it. So rows come in three kinds: "stays" repaints what stands there,
"opens" leads to another screen or dialog, "leaves" back to the one that lay beneath.

Given are medians and 95th percentiles of wall time, their ratios, and the ratio of processor time, which says
more on a machine that others use too; the worst first.
"""

from __future__ import annotations

import argparse
import asyncio
import multiprocessing
import shutil
import statistics
import tempfile
import time
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from textual import events
from textual.app import App, ComposeResult
from textual.containers import Horizontal
from textual.driver import Driver
from textual.drivers.headless_driver import HeadlessDriver
from textual.message import Message
from textual.screen import ModalScreen, Screen
from textual.widgets import Static

from kiosk.bench import Bench
from kiosk.demo_player import play
from kiosk.errors import KioskError
from kiosk.screens import app as screens_app
from kiosk.screens.app import KioskApp
from kiosk.screens.base import KioskScreen
from kiosk.screens.calm import CalmScreen
from kiosk.screens.dialog import Dialog
from kiosk.screens.keys import Key
from kiosk.screens.scans import GAP_S
from kiosk.screens.target import Target
from kiosk.shop.data import HISTORY_FILE
from tests.benchmarks.spare_minutes import grown_shop
from tests.conftest import SteadyClocks
from tests.driver import TapsClock, load_all_ahead, pass_time, targets_and_keys
from tests.screens.moment import NOW, fixed_zone
from tests.screens.scenes import SCENES, Scene, do_before

PARTS = 500
SIZES = ((80, 24), (120, 36))
SAMPLES = 24
LEADS_AND_BACK = 3  # pairs of presses that open something over a scene, and leave it
MOST_SKIPPED = 12  # steps of each part that is begun
TARGETS = 7
Way = Literal["stays", "opens", "leaves"]
WAYS: tuple[Way, ...] = ("stays", "opens", "leaves")


class ToMemory(HeadlessDriver):
    """A terminal that takes everything at once; what is written to it is counted."""

    def __init__(self, app: App[Any], **given: Any) -> None:
        super().__init__(app, **given)
        self.paintings = 0

    @property
    def is_headless(self) -> bool:
        """Paint in full, as for a terminal."""
        return False

    def write(self, data: str) -> None:
        """As many bytes as a terminal would be sent."""
        self.paintings += bool(data.encode("utf-8"))


class MeasuredKiosk(KioskApp):
    """The kiosk itself, on such a terminal."""

    CSS_PATH = str(Path(screens_app.__file__).with_name("kiosk.tcss"))

    def get_driver_class(self) -> type[Driver]:
        """The terminal in memory."""
        return ToMemory


class Touched(Static):
    """Something for a finger."""

    class Tapped(Message):
        """A tap."""

    def on_click(self) -> None:
        """A finger or the mouse."""
        self.post_message(self.Tapped())


class BarePage(Screen[None]):
    """A page of text and some targets."""

    AUTO_FOCUS = None

    def __init__(self) -> None:
        super().__init__()
        self.presses = 0

    def compose(self) -> ComposeResult:
        """A head, a page, targets and a foot."""
        yield Static("Bare", id="head")
        yield Static(id="page")
        with Horizontal():
            for number in range(TARGETS):
                yield Touched(f"\nTarget {number}")
        yield Static("Foot", id="foot")

    def on_mount(self) -> None:
        """The first page."""
        self.another_page()

    def another_page(self) -> None:
        """A page of which every row is another than before."""
        self.presses += 1
        rows = [f"{self.presses + row} words on a row of the page that is read" for row in range(14)]
        self.query_one("#page", Static).update("\n".join(rows))
        self.query_one("#foot", Static).update(f"Page {self.presses}")

    def on_key(self, event: events.Key) -> None:
        """Another page, or another screen over this one."""
        if event.key == "f5":
            self.app.push_screen(BareOver())
        else:
            self.another_page()

    def on_touched_tapped(self) -> None:
        """The same by finger."""
        self.another_page()


class BareOver(BarePage, ModalScreen[None]):
    """The same over another; any key leaves it."""

    def on_key(self, event: events.Key) -> None:
        """Back."""
        self.dismiss(None)


class BareApp(App[None]):
    """What Textual alone takes."""

    CSS = """
    #head, #foot { height: 1; }
    #page { height: 1fr; }
    Horizontal { height: 3; }
    Touched { width: 1fr; background: #333333; }
    """
    ENABLE_COMMAND_PALETTE = False

    def get_default_screen(self) -> Screen[None]:
        """The page."""
        return BarePage()

    def get_driver_class(self) -> type[Driver]:
        """The terminal in memory."""
        return ToMemory


@dataclass(frozen=True)
class Taken:
    """One press: milliseconds on the wall and of the processor."""

    wall_ms: float
    processor_ms: float


@dataclass(frozen=True)
class Pair:
    """A press of the kiosk, and the press of the bare app that followed it."""

    kiosk: Taken
    bare: Taken


async def at_rest(app: App[Any]) -> None:
    """Until nothing is left to do but what waits for time; what is to be painted is painted at once."""
    loop: Any = asyncio.get_running_loop()
    while app.is_running:
        await asyncio.sleep(0)
        if loop._ready:
            continue
        with app._context():
            app.screen._on_timer_update()
        if loop._ready:
            continue
        if isinstance(app, KioskApp):
            if app.scans.due is not None:
                pass_time(app, GAP_S)
                await app.hand_on_what_is_due()
                continue
            if getattr(app.screen, "working", False):  # worked out beside the screen, which is painted
                return
        return


async def press(app: App[Any], *given: events.Event) -> Taken | None:
    """Give these events to the app; None where nothing was painted."""
    driver = app._driver
    assert isinstance(driver, ToMemory)
    paintings = driver.paintings
    wall, processor = time.perf_counter(), time.process_time()
    for event in given:
        with app._context():
            app.post_message(event)
        await at_rest(app)
    taken = Taken((time.perf_counter() - wall) * 1e3, (time.process_time() - processor) * 1e3)
    return taken if driver.paintings > paintings else None


async def quiet(app: App[Any]) -> None:
    """Wait for what is worked out beside the screen."""
    for _ in range(3000):
        await at_rest(app)
        if not getattr(app.screen, "working", False):
            return
        await asyncio.sleep(0.01)


def key_event(key: str, at: float | None = None) -> events.Key:
    """A key as a terminal tells it."""
    character = {"enter": "\r", "space": " "}.get(key, key if len(key) == 1 else None)
    event = events.Key(key.lower() if len(key) == 1 else key, character)
    if at is not None:
        event.time = at
    return event


def touch_events(x: int, y: int) -> list[events.Event]:
    """A finger down and up."""
    return [
        kind(None, x, y, 0, 0, 1, False, False, False, x, y) for kind in (events.MouseDown, events.MouseUp)
    ]


Pairs = dict[tuple[str, Way], list[Pair]]  # by key or tap


class Measuring:
    """One scene at one size beside the bare app."""

    def __init__(self, app: MeasuredKiosk, bare: BareApp) -> None:
        self.app, self.bare = app, bare
        self.pairs: Pairs = defaultdict(list)

    async def both(self, how: str, *given: events.Event) -> bool:
        """Press the kiosk, then the bare app in the same way; True when it led to another screen."""
        before, beneath = self.app.screen, self.app.screen_stack[:-1]
        pass_time(self.app)
        for event in given:
            event.time = self.app.taps.clock()
        taken = await press(self.app, *given)
        await quiet(self.app)
        way: Way = "stays"
        if self.app.screen is not before:
            way = "leaves" if self.app.screen in beneath else "opens"
        bare = await self._bare(how, way)
        if taken is not None:
            self.pairs[how, way].append(Pair(taken, bare))
        return way != "stays"

    async def _bare(self, how: str, way: Way) -> Taken:
        over = isinstance(self.bare.screen, BareOver)
        if over != (way == "leaves"):  # an even pair: it stands where it has to, and that counts for nothing
            await press(self.bare, key_event("escape" if over else "f5"))
        if way == "leaves":
            found = await press(self.bare, key_event("escape"))
        elif way == "opens":
            found = await press(self.bare, key_event("f5"))
        else:
            if how == "key":
                found = await press(self.bare, key_event("x"))
            else:
                target = self.bare.screen.query(Touched).first().region
                found = await press(self.bare, *touch_events(target.x + 3, target.y + 1))
        assert found is not None
        return found

    async def key(self, key: str) -> bool:
        """A key on both."""
        return await self.both("key", key_event(key))

    async def tap(self, target: Target | Key) -> bool:
        """A finger on a target."""
        at = target.region
        return await self.both("tap", *touch_events(at.x + at.width // 2, at.y + at.height // 2))

    def moves(self) -> list[str]:
        """Keys that stay on this screen: its moves, and what is typed and taken back."""
        actions = getattr(self.app.screen, "_actions", ())
        moves = [one.key for one in actions if one.repeats and one.key]
        figure = "1" if type(self.app.screen).__name__ in ("WalkScreen", "KeypadScreen") else "x"
        # A whole new look at the state, and a message.
        says = ["ctrl+c"] if isinstance(self.app.screen, KioskScreen) else []
        return [*moves, *says, figure, "backspace"]

    def move_targets(self) -> list[Target | Key]:
        """Targets that stay on this screen."""
        seen = targets_and_keys(self.app)
        return [one for one in seen if one.action is not None and one.action.repeats]


def full_shop(folder: Path) -> None:
    """The example shop at the moment of its pictures, with 500 parts of which most have been begun."""
    grown_shop(folder, PARTS)
    play(folder, now=NOW)
    (folder / HISTORY_FILE).unlink()
    clocks = SteadyClocks(NOW)
    bench = Bench(folder, clocks)
    for number, mark in enumerate(one for one in bench.shop.parts if one.startswith("X")):
        for _ in range(number % MOST_SKIPPED):
            try:
                bench.skip(mark, "made before the kiosk came")
            except KioskError:
                break
    bench.close_sitting("")
    bench.close()


async def measure(scene: Scene, shop: Path, size: tuple[int, int], samples: int) -> Measuring:
    """Walk to a scene by its keys, and press what is there."""
    clocks = SteadyClocks(NOW)
    do_before(scene.before, shop, clocks)
    bench = Bench(shop, clocks, watch=True)
    app = MeasuredKiosk(bench, taps_clock=TapsClock(), wall=scene.wall, alone=True)
    bare = BareApp()
    found: list[Measuring] = []

    async def walk(_: object) -> None:
        while not bare.is_running or bare._driver is None or not bare.screen.query("#page"):
            await asyncio.sleep(0.01)
        await quiet(app)
        load_all_ahead()
        found.append(Measuring(app, bare))
        await _walk(found[0], scene, samples)
        app.exit()

    async def run_kiosk() -> None:
        try:
            await app.run_async(size=size, auto_pilot=walk)
        finally:
            bare.exit()

    try:
        await asyncio.gather(bare.run_async(size=size), run_kiosk())
        if app.crashed is not None:
            raise app.crashed
    finally:
        bench.close()
    return found[0]


def measured(name: str, shop: Path, size: tuple[int, int], samples: int) -> Pairs:
    """The pairs of one scene, in a process that has seen no other."""
    (scene,) = (one for one in SCENES if one.name == name)
    with fixed_zone():
        return dict(asyncio.run(measure(scene, shop, size, samples)).pairs)


async def _walk(on: Measuring, scene: Scene, samples: int) -> None:
    app = on.app
    for key in scene.keys:
        await on.key(key)
    if scene.then is not None:
        scene.then(app)
        await quiet(app)
    here = app.screen
    if isinstance(here, CalmScreen):
        for _ in range(samples // 2):
            await on.key("x")
            app.rest()
            await quiet(app)
        return
    keys = on.moves()
    for number in range(samples):
        if await on.key(keys[number % len(keys)]):
            break  # what was typed stands for something here
    if app.screen is not here:
        return
    for number in range(samples):
        targets = on.move_targets()
        if not targets or await on.tap(targets[number % len(targets)]):
            break
    if app.screen is here and isinstance(here, KioskScreen):
        for _ in range(LEADS_AND_BACK):
            if await on.key("f5") and isinstance(app.screen, Dialog):
                await on.key("escape")
            more = [one for one in app.screen.query(Target) if one.region.area and one.action is not None]
            if app.screen is here and await on.tap(more[-1]) and isinstance(app.screen, Dialog):
                await on.key("escape")
            if app.screen is not here:
                break


def p95(values: Sequence[float]) -> float:
    """The 95th percentile."""
    if len(values) < 2:
        return values[0]
    return statistics.quantiles(values, n=20, method="inclusive")[-1]


@dataclass(frozen=True)
class Row:
    """What is said of some pairs."""

    name: str
    pairs: list[Pair]

    @property
    def ratio(self) -> float:
        """Of the medians of wall time."""
        return self._ratio(statistics.median, "wall_ms")

    def _ratio(self, of: Any, what: str) -> float:
        kiosk = of([getattr(one.kiosk, what) for one in self.pairs])
        return float(kiosk / of([getattr(one.bare, what) for one in self.pairs]))

    def __str__(self) -> str:
        kiosk, bare = [one.kiosk.wall_ms for one in self.pairs], [one.bare.wall_ms for one in self.pairs]
        return (
            f"{self.name:46s} {len(kiosk):5d} {statistics.median(kiosk):7.1f} {p95(kiosk):7.1f}"
            f" {statistics.median(bare):7.1f} {p95(bare):7.1f}"
            f" {self.ratio:7.2f} {self._ratio(p95, 'wall_ms'):6.2f}"
            f" {self._ratio(statistics.median, 'processor_ms'):8.2f} {self._ratio(p95, 'processor_ms'):6.2f}"
        )


def main() -> None:
    """Measure, and print the table."""
    given = argparse.ArgumentParser()
    given.add_argument("scenes", nargs="*")
    given.add_argument("--size", action="append")
    given.add_argument("--samples", type=int, default=SAMPLES)
    given.add_argument("--shop", type=Path, help="a shop made before, kept here when it is not there")
    asked = given.parse_args()
    sizes = [tuple(int(one) for one in size.split("x")) for size in asked.size or []] or list(SIZES)
    rows: dict[tuple[str, Way], list[Row]] = defaultdict(list)
    everything: Pairs = defaultdict(list)
    own_process = multiprocessing.get_context("spawn").Pool
    with fixed_zone(), tempfile.TemporaryDirectory() as name, own_process(1, maxtasksperchild=1) as pool:
        shop = asked.shop or Path(name) / "shop"
        if not shop.exists():
            full_shop(shop)
        for scene in SCENES:
            if asked.scenes and scene.name not in asked.scenes:
                continue
            for number, size in enumerate(sizes):
                folder = Path(name) / f"{scene.name}-{number}"
                shutil.copytree(shop, folder)
                found = pool.apply(measured, (scene.name, folder, (size[0], size[1]), asked.samples))
                shutil.rmtree(folder)
                for (how, way), pairs in found.items():
                    shown = f"{size[0]}x{size[1]}"
                    rows[how, way].append(Row(f"{scene.name} {shown} {how} {way}", pairs))
                    everything[how, way] += pairs
    print(
        f"{'':46s} {'n':>5s} {'kiosk ms':>7s} {'p95':>7s} {'bare':>7s} {'p95':>7s} {'ratio':>7s} {'p95':>6s}"
        f" {'processor':>8s} {'p95':>6s}"
    )
    for kind in sorted(rows):
        print(Row(f"ALL: {' '.join(kind)}", everything[kind]))
    for way in WAYS:
        for how in ("key", "tap"):
            for row in sorted(rows[how, way], key=lambda one: -one.ratio):
                print(row)


if __name__ == "__main__":
    main()
