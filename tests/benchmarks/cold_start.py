"""Benchmark, run by hand: from process start to the first painted frame, beside what Textual alone costs.

    python -m tests.benchmarks.cold_start [ROUNDS]

Each round runs every program once, every other round in the opposite order, so that what else the machine
does falls on all alike. Given are medians and 95th percentiles of wall time and of processor time (user and
system), and the median over the rounds of each ratio to the two baselines. Compiled modules are kept
between the runs as on any installed kiosk; one round before counting warms them and what is kept of a shop.
"""

import asyncio
import json
import os
import pty
import select
import signal
import statistics
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from textual.widgets import Static

from kiosk.bench import Bench
from kiosk.commands.make_shop import make_shop
from kiosk.screens import app as screens_app
from kiosk.screens.app import KioskApp
from kiosk.screens.rows import Rows
from kiosk.screens.target import Target

EVENTS = 100_000
ROUNDS = 21

_BARE = """
from textual.app import App
from textual.widgets import Static
class Bare(App):
    def compose(self):
        yield Static("Brambling")
Bare().run()
"""

# What pydantic costs before the shop has one model of its own: no start that reads models is quicker.
_ONE_MODEL = """
import pydantic
class One(pydantic.BaseModel):
    figure: float = 0.0
One.model_validate({})
"""


@dataclass(frozen=True)
class Taken:
    """Seconds on the wall and of the processor."""

    wall_s: float
    processor_s: float


def first_frame(command: Sequence[str], text: bytes = b"Brambling") -> Taken:
    """From fork to the first bytes on the terminal that carry the text."""
    began = time.perf_counter()
    pid, terminal = pty.fork()
    if pid == 0:
        size = {"TERM": "xterm-256color", "COLORTERM": "truecolor", "COLUMNS": "80", "LINES": "24"}
        os.execve(command[0], list(command), {**_environment(), **size})
    seen = b""
    while text not in seen:
        if not select.select([terminal], [], [], 20)[0]:
            raise RuntimeError("no frame within 20 s")
        seen += os.read(terminal, 65536)
    wall_s = time.perf_counter() - began
    os.kill(pid, signal.SIGKILL)
    used = os.wait4(pid, 0)[2]
    os.close(terminal)
    return Taken(wall_s, used.ru_utime + used.ru_stime)


def whole_run(command: Sequence[str]) -> Taken:
    """From fork to exit, with the output thrown away."""
    began = time.perf_counter()
    nothing = (os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)
    pid = os.posix_spawn(command[0], list(command), _environment(), file_actions=[nothing])
    _, status, used = os.wait4(pid, 0)
    if status != 0:
        raise RuntimeError(f"{' '.join(command)} failed")
    return Taken(time.perf_counter() - began, used.ru_utime + used.ru_stime)


def _environment() -> dict[str, str]:
    """Without the setting that would compile the kiosk anew at every start."""
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def fill(folder: Path) -> None:
    """A long history: figures typed and counts made, as the years would bring them."""
    bench = Bench(folder)
    run = bench.record.journal._connection.execute
    run("PRAGMA synchronous=OFF")  # only here, to make the record quickly
    card = bench.place_card()
    assert card.work is not None
    bench.take_up(card.work)
    bench.acknowledge(card.work)
    number = 0
    while bench.state.seq < EVENTS:
        number += 1
        bench.type_draft(card.work, card.marks[0], "web", f"0.{number}")
    bench.close_sitting("")
    bench.close()


def cut_off(folder: Path) -> None:
    """A sitting that nobody closed: the next start writes that it was cut short, and each later one reads it
    until a snapshot is made."""
    bench = Bench(folder)
    bench.note("the compressor hums")
    bench.close()


async def shown_by(shop: Path) -> dict[str, object]:
    """The texts of the place card, for the same screen without a shop."""
    bench = Bench(shop)
    app = KioskApp(bench)
    try:
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            query = app.screen.query_one

            def targets(row: str) -> list[tuple[str, str, str, bool]]:
                """Label, key, where it is shown, and whether it is this screen's own."""
                actions = [target.action for target in query(row).query(Target)]
                return [(one.label, one.key, one.shown, one.here) for one in actions if one is not None]

            body = query("#body", Rows).text
            return {
                "stylesheet": str(Path(screens_app.__file__).with_name("kiosk.tcss")),
                "head": str(query("#head", Static).content),
                "body": [(line + "\n", "bold #ffffff") for line in body.splitlines()],
                "foot": str(query("#foot", Static).content),
                "actions": targets("#actions"),
                "places": targets("#places"),
            }
    finally:
        bench.close()


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    with tempfile.TemporaryDirectory() as name:
        shop, long, cut = (Path(name) / one for one in ("shop", "long", "cut"))
        make_shop(shop, "brambling", with_history=True)
        make_shop(long, "brambling", with_history=True)
        fill(long)
        make_shop(cut, "brambling", with_history=True)
        cut_off(cut)
        bare, texts = Path(name) / "bare.py", Path(name) / "texts.json"
        bare.write_text(_BARE)
        texts.write_text(json.dumps(asyncio.run(shown_by(shop))))
        same = Path(__file__).with_name("same_screen.py")
        modelled = Path(name) / "modelled.py"
        modelled.write_text(_ONE_MODEL + same.read_text(encoding="utf-8"))
        kiosk = [sys.executable, "-m", "kiosk"]
        programs = {
            "bare Textual app": lambda: first_frame([sys.executable, str(bare)]),
            "same screen, no shop": lambda: first_frame([sys.executable, str(same), str(texts)]),
            "same screen, one model": lambda: first_frame([sys.executable, str(modelled), str(texts)]),
            "kiosk open": lambda: first_frame([*kiosk, "open", str(shop)]),
            f"kiosk open, {EVENTS:,} events": lambda: first_frame([*kiosk, "open", str(long)]),
            "kiosk open, after a power cut": lambda: first_frame([*kiosk, "open", str(cut)]),
            "kiosk spare 12": lambda: whole_run([*kiosk, "spare", "12", str(shop)]),
        }
        taken: dict[str, list[Taken]] = {label: [] for label in programs}
        for number in range(rounds + 1):
            for label in list(programs)[:: 1 if number % 2 else -1]:
                one = programs[label]()
                if number:
                    taken[label].append(one)
    bases = list(taken.values())[:2]
    print(f"{'':29s} wall ms: median  p95   processor ms: median  p95   to bare   to same screen")
    for label, found in taken.items():
        wall, processor = [one.wall_s for one in found], [one.processor_s for one in found]
        ratios = [
            statistics.median(one.wall_s / other.wall_s for one, other in zip(found, base, strict=True))
            for base in bases
        ]
        print(
            f"{label:29s} {statistics.median(wall) * 1e3:15.0f} {_p95(wall) * 1e3:4.0f}"
            f" {statistics.median(processor) * 1e3:21.0f} {_p95(processor) * 1e3:4.0f}"
            f" {ratios[0]:9.2f} {ratios[1]:16.2f}"
        )


def _p95(values: Sequence[float]) -> float:
    return statistics.quantiles(values, n=20, method="inclusive")[-1]


if __name__ == "__main__":
    main()
