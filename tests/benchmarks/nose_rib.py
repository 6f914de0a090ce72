"""A nose rib from its blank to primed, by one kind of press alone; counts the presses.

    .venv/bin/python -m tests.benchmarks.nose_rib fingers 73x20
    .venv/bin/python -m tests.benchmarks.nose_rib keys 80x24
    .venv/bin/python -m tests.benchmarks.nose_rib pedal 80x24

``fingers`` taps what is on the screen and presses no key; ``keys`` presses keys and taps nothing. ``pedal``
is for both hands in gloves: the pedal does all that the big target does, and fingers do what it cannot; its
table says how much that is. What is read off the work (a figure on the gauge, which sheet lies on the bench)
is taken from the limits of the step; everything else is read off the screen.
"""

import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Literal

from textual.pilot import Pilot

from kiosk.screens.action import BIG
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.keypad import KeypadScreen
from kiosk.screens.keys import Key
from kiosk.screens.target import Target
from kiosk.screens.walk import WalkScreen
from kiosk.shop.procedure import LotCheck
from tests.benchmarks.presses import ready_shop, typed_figure
from tests.conftest import SteadyClocks
from tests.driver import good_answer, pass_time, press, screen_text, tap, targets_and_keys, touch
from tests.screens.moment import NOW, fixed_zone, with_app

Hands = Literal["fingers", "keys", "pedal"]
MARK = "NR-01"
MOST_PRESSES = 1500
STEP_OF_WAITING_MINUTES = 5
WAITS = "SEE WHAT FITS NOW"  # the place card has nothing to begin: it dries, or the quiet hours are on
FIRST_ROW = 1  # of the text, under the header


class Walker:
    """One who stands at the screen. ``presses`` counts what was pressed, by what for."""

    def __init__(self, app: KioskApp, pilot: Pilot[None], clocks: SteadyClocks, hands: Hands) -> None:
        self.app, self.pilot, self.clocks, self.hands = app, pilot, clocks, hands
        self.presses: Counter[str] = Counter()
        self.pedalled = 0

    # What is seen

    def targets(self) -> list[Target | Key]:
        """The targets that stand on the screen."""
        return targets_and_keys(self.app)

    def big(self) -> str:
        """The words of the yellow target."""
        return next(one.action.label for one in self.targets() if one.action and one.action.key == BIG)

    def labels(self) -> list[str]:
        """The words of all of them."""
        return [one.action.label.strip("» ") for one in self.targets() if one.action]

    # What is pressed

    async def on_label(self, what: str, label: str) -> None:
        """Press what has this label, by a finger or by the key that stands on it."""
        self._count(what)
        if self.hands == "keys":
            found = next(one for one in self.targets() if one.action and one.action.label.startswith(label))
            assert found.action is not None and found.action.key, f"{label} has no key"
            await press(self.app, self.pilot, found.action.key)
        else:
            await tap(self.app, self.pilot, label)

    async def on_big(self, what: str) -> None:
        """Do the yellow thing."""
        if self.hands == "fingers":
            await self.on_label(what, self.big())
            return
        self._count(what)
        self.pedalled += self.hands == "pedal"
        await press(self.app, self.pilot, self.app.taps.pedal if self.hands == "pedal" else "enter")

    async def figure(self, text: str) -> None:
        """Type a figure: digits, then the yellow target."""
        for character in text:
            self._count("digits of figures")
            if self.hands == "keys":
                await press(self.app, self.pilot, character)
            else:
                await tap(self.app, self.pilot, character)
        await self.on_big("figures")

    async def choice(self, label: str) -> None:
        """Choose in a dialog what is, or else begins with, these words."""
        self._count("choices")
        if self.hands != "keys":
            while label not in self.labels() and not any(
                one.startswith(f"{label}  ") for one in self.labels()
            ):
                await self.on_label("choices", "Page on")
            await self._touch(label)
            return
        screen = self.app.screen
        assert isinstance(screen, ChoiceScreen)
        at = next(at for at, one in enumerate(screen.choices) if f"{one.label}  ".startswith(f"{label}  "))
        while screen.at != at:
            self._count("choices")
            await press(self.app, self.pilot, "down")
        await press(self.app, self.pilot, "enter")

    async def _touch(self, label: str) -> None:
        for one in self.targets():
            if one.action is not None and f"{one.action.label.strip('» ')}  ".startswith(f"{label}  "):
                pass_time(self.app)
                await touch(self.app, self.pilot, (one.region.x + 2, one.region.y + 1))
                return
        raise AssertionError(f"{label!r} is not on the screen")

    def _count(self, what: str) -> None:
        self.presses[what] += 1
        assert self.presses.total() < MOST_PRESSES, "it comes to no end"

    # The walk

    async def open_the_rib(self) -> None:
        """From the place card to the rib's page."""
        if self.hands == "keys":
            for key in (*MARK, "enter"):
                self._count("finding the rib")
                await press(self.app, self.pilot, key)
            return
        await self.on_label("finding the rib", "Board")
        await self.on_label("finding the rib", "Show…")
        await self.choice("nose rib")
        rows = self.app.screen.query_one("#body").region
        self._count("finding the rib")
        await touch(self.app, self.pilot, (rows.x + 3, rows.y + FIRST_ROW))  # the first line points there
        assert f"»{MARK}" in "\n".join(screen_text(self.app))
        await self.on_big("finding the rib")

    async def walk(self, until: str = "") -> None:
        """From where the rib stands until all its steps are done, or a procedure begins."""
        bench = self.app.bench
        await self.open_the_rib()
        while not (where := bench.position(MARK)).all_done:
            if where.procedure is not None and where.procedure.id == until and where.number == 1:
                return
            await self.one()

    async def one(self) -> None:
        """The next press, or the next figure."""
        screen, big = self.app.screen, self.big()
        if isinstance(screen, KeypadScreen):
            await self.figure(self._read_off(screen))
        elif isinstance(screen, ChoiceScreen):
            await self.choice(self._lying_there() or screen.choices[0].label)
        elif big == WAITS:
            self.clocks.go(STEP_OF_WAITING_MINUTES)
            self.app.screen.refresh()
            await self.on_label("waiting", "Place")
        elif isinstance(screen, WalkScreen) and any(one.startswith("ALL ") for one in self.labels()):
            await self.on_label("counting", "ALL ")
            dialog = self.app.screen
            assert isinstance(dialog, ChoiceScreen)
            await self.choice(dialog.choices[-1].label)
        elif big == "TYPE THE FIGURE" and self.hands == "keys":
            await self.figure(self._read_off(None))
        else:
            await self.on_big(_what_for(big))

    def _read_off(self, pad: KeypadScreen | None) -> str:
        if pad is not None and "Temperature" in pad.title_text:
            return "70"
        if pad is not None and "Humidity" in pad.title_text:
            return "50"
        bench = self.app.bench
        work = bench.work(bench.state.part(MARK).work or "")
        view = bench.step_view(work.id)
        assert view.active_check is not None
        _, step = bench.shop.find_step(work.procedure, work.step, MARK)
        assert step is not None
        return typed_figure(bench, next(one for one in step.checks if one.id == view.active_check.id), MARK)

    def _lying_there(self) -> str:
        """The mark on the sheet or the tin that is asked for."""
        bench = self.app.bench
        work = bench.state.works.get(bench.state.part(MARK).work or "")
        if work is None:
            return ""
        view = bench.step_view(work.id)
        _, step = bench.shop.find_step(work.procedure, work.step, MARK)
        asked = next(
            (
                one
                for one in (step.checks if step else ())
                if view.active_check and one.id == view.active_check.id
            ),
            None,
        )
        return good_answer(bench, asked, MARK) if isinstance(asked, LotCheck) else ""


def _what_for(big: str) -> str:
    words = (
        ("I HAVE READ", "cautions"), ("NEXT PAGE", "cautions"), ("YES", "answers"), ("NO", "answers"),
        ("DONE", "DONE"), ("ONE MORE", "counting"), ("TYPE", "figures"), ("CHOOSE", "choices"),
    )  # fmt: skip
    return next((what for begins, what in words if big.startswith(begins)), "beginning a step")


def walk_by(hands: Hands, size: tuple[int, int], until: str = "") -> Walker:
    """Walk the rib in a shop of its own whose nose block is complete."""
    found: list[Walker] = []
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        walker = Walker(app, pilot, clocks, hands)
        found.append(walker)
        await walker.walk(until)
        where = app.bench.position(MARK)
        assert where.all_done or until

    with fixed_zone(), tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "shop"
        ready_shop(folder, clocks)
        with_app(folder, walk, size=size, clocks=clocks)
    return found[0]


def main() -> None:
    """Walk, and print the table."""
    hands: Hands = sys.argv[1] if len(sys.argv) > 1 else "fingers"  # type: ignore[assignment]
    columns, _, rows = (sys.argv[2] if len(sys.argv) > 2 else "73x20").partition("x")
    begun = time.process_time()
    walker = walk_by(hands, (int(columns), int(rows)))
    for kind, count in walker.presses.most_common():
        print(f"{kind:<24}{count:>6}")
    print(f"{'all':<24}{walker.presses.total():>6}")
    if hands == "pedal":
        share = walker.pedalled / walker.presses.total()
        print(f"{'of them by the pedal':<24}{walker.pedalled:>6}  ({share:.0%})")
    print(f"{time.process_time() - begun:.1f} s of processor time")


if __name__ == "__main__":
    main()
