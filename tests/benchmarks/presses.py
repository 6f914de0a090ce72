"""How many presses it takes to bring nose ribs from the blank to primed, as a batch.

    .venv/bin/python -m tests.benchmarks.presses            # six ribs
    .venv/bin/python -m tests.benchmarks.presses 1          # one, alone

Walks the app by its keys, as a builder would: every check is answered for every part, every figure is typed,
every caution is acknowledged. Prints the presses by what they were for. Digits of figures are apart.
"""

import math
import sys
import tempfile
from collections import Counter
from pathlib import Path

from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.commands.make_shop import make_shop
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.keypad import KeypadScreen
from kiosk.screens.part import PartScreen
from kiosk.screens.place import PlaceScreen
from kiosk.screens.walk import WalkScreen
from kiosk.shop.procedure import Check, MeasureCheck
from tests.conftest import SteadyClocks
from tests.driver import do_step, good_answer, press
from tests.screens.moment import NOW, fixed_zone, with_app

MOST_PRESSES = 3000
MOST_WAITS = 1000  # of five minutes
Presses = Counter[str]


def typed_figure(bench: Bench, check: Check, mark: str) -> str:
    """The figure as a person reads it off: as few decimals as are within the limits."""
    text = good_answer(bench, check, mark)
    if not isinstance(check, MeasureCheck):
        return text
    value = float(text)
    work = bench.state.works[bench.state.part(mark).work or ""]
    from kiosk.record.at_hand import at_hand

    _, step = bench.shop.find_step(work.procedure, work.step, mark)
    assert step is not None
    limits = bench.shop.figures.limits(bench.shop.kind_of(mark), check, at_hand(bench.context, work, step))
    for decimals in range(6):
        scale = 10**decimals
        for near in (math.floor(value * scale) / scale, math.ceil(value * scale) / scale):
            if limits.within(near):
                shown = f"{near:.{decimals}f}"
                return shown.removeprefix("0") if decimals else shown
    return text


def ready_shop(folder: Path, clocks: SteadyClocks) -> None:
    """The example shop with its nose block complete."""
    make_shop(folder, "brambling", with_history=False)
    bench = Bench(folder, clocks)
    while not bench.position("FB-NR").all_done:
        do_step(bench, ["FB-NR"])
        clocks.go(60 * 24)
    bench.complete("FB-NR")
    bench.close_sitting("")
    bench.close()


async def walk_to_primed(
    app: KioskApp, pilot: Pilot[None], clocks: SteadyClocks, marks: list[str], until: str = ""
) -> Presses:
    """Walk these parts, from where they stand, until every step is done; gives the presses by their kind.

    ``until`` names a procedure before which it ends.
    """
    bench, presses = app.bench, Presses()

    async def pressed(kind: str, *keys: str) -> None:
        presses[kind] += len(keys)
        assert presses.total() < MOST_PRESSES, "it comes to no end"
        await press(app, pilot, *keys)

    def done(mark: str) -> bool:
        where = bench.position(mark)
        return where.all_done or (where.procedure is not None and where.procedure.id == until)

    app.open_part(marks[0])
    await press(app, pilot)
    for _ in marks[1:]:
        await pressed("choosing the batch", "right")
    while not all(done(mark) for mark in marks):
        screen = app.screen
        if isinstance(screen, WalkScreen):
            await _one_press_of_a_step(screen, pressed)
        elif isinstance(screen, ChoiceScreen):
            await pressed("lots", "down", "enter")
        elif isinstance(screen, KeypadScreen):
            figure = "70" if "Temperature" in screen.title_text else "50"
            await pressed("digits of figures", *figure)
            await pressed("figures", "enter")
        elif isinstance(screen, PlaceScreen):
            card = bench.place_card()
            if card.action == "choose":
                for _ in range(MOST_WAITS):  # it dries, or the quiet hours end
                    clocks.go(5)
                    if bench.place_card().action != "choose":
                        break
                screen.show()
                continue
            assert set(card.marks) <= set(marks), card
            await pressed("beginning a step", "enter")
        else:
            assert isinstance(screen, PartScreen), (screen, bench.place_card())
            await pressed("beginning a step", "enter")
    return presses


async def _one_press_of_a_step(screen: WalkScreen, pressed) -> None:  # type: ignore[no-untyped-def]
    bench = screen.bench
    view = bench.step_view(screen.work)
    assert not view.barred, view.barred
    if view.cautions:
        await pressed("cautions", "enter")
        return
    labels = {action.key: action.label for action in screen._actions}
    if view.counting:
        all_at_once = labels.get("up", "").startswith("ALL")
        await pressed("counting", *(("up", "up", "enter") if all_at_once else ("enter",)))
        return
    check = view.active_check
    if check is None:
        await pressed("DONE", "enter")
    elif check.kind == "yes_no":
        await pressed("answers", *(("right", "up", "enter") if "right" in labels else ("enter",)))
    elif check.kind == "lot":
        await pressed("lots", "enter")
    else:
        work = bench.work(screen.work)
        _, step = bench.shop.find_step(work.procedure, work.step, view.mark)
        assert step is not None
        asked = next(one for one in step.checks if one.id == check.id)
        await pressed("digits of figures", *typed_figure(bench, asked, view.mark))
        await pressed("figures", "enter")


def count_presses(parts: int, until: str = "") -> Presses:
    """Presses for so many nose ribs, from the blank until all steps are done."""
    found: list[Presses] = []
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        marks = [f"NR-{number:02}" for number in range(1, parts + 1)]
        found.append(await walk_to_primed(app, pilot, clocks, marks, until))

    with fixed_zone(), tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "shop"
        ready_shop(folder, clocks)
        with_app(folder, walk, clocks=clocks)
    return found[0]


def main() -> None:
    """Print the table."""
    parts = int(sys.argv[1]) if len(sys.argv) > 1 else 6
    presses = count_presses(parts)
    print(f"{'presses for':<24}{'all':>6}{'a rib':>8}")
    for kind, count in presses.most_common():
        print(f"{kind:<24}{count:>6}{count / parts:>8.1f}")
    total, digits = presses.total(), presses["digits of figures"]
    print(f"{'all':<24}{total:>6}{total / parts:>8.1f}")
    print(f"{'all but digits':<24}{total - digits:>6}{(total - digits) / parts:>8.1f}")


if __name__ == "__main__":
    main()
