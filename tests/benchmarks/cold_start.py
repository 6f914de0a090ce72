"""Benchmark, run by hand: cold start of the kiosk to its first painted frame against a bare Textual app,
with 100,000 events in the record."""

import os
import pty
import select
import signal
import statistics
import sys
import tempfile
import time
from pathlib import Path

from kiosk.bench import Bench
from kiosk.commands.make_shop import make_shop

EVENTS = 100_000
ROUNDS = 11

_BARE = """
from textual.app import App
from textual.widgets import Static
class Bare(App):
    def compose(self):
        yield Static("CARRY ON")
Bare().run()
"""


def first_frame_s(command: list[str], text: bytes) -> float:
    """Seconds from fork to the first bytes that carry the text."""
    began = time.perf_counter()
    pid, terminal = pty.fork()
    if pid == 0:
        os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", COLUMNS="80", LINES="24")
        os.execv(command[0], command)
    seen = b""
    while text not in seen:
        if not select.select([terminal], [], [], 20)[0]:
            raise RuntimeError("no frame within 20 s")
        seen += os.read(terminal, 65536)
    taken = time.perf_counter() - began
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    os.close(terminal)
    return taken


def fill(folder: Path) -> None:
    """A long history: figures typed and counts made, as the years would bring them."""
    bench = Bench(folder)
    run = bench.record.journal._connection.execute
    run("PRAGMA synchronous=OFF")  # only here, to make the record quickly
    card = bench.place_card()
    assert card.work is not None
    bench.take_up(card.work)
    number = 0
    while bench.state.seq < EVENTS:
        number += 1
        bench.type_draft(card.work, card.marks[0], "web", f"0.{number}")
    bench.close()


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "shop"
        make_shop(folder, "brambling", with_history=True)
        fill(folder)
        bare = Path(name) / "bare.py"
        bare.write_text(_BARE)
        rows = {
            "bare Textual app": ([sys.executable, str(bare)], b"CARRY ON"),
            f"kiosk open, {EVENTS:,} events": (
                [sys.executable, "-m", "kiosk", "open", str(folder)],
                b"Brambling",
            ),
        }
        medians = []
        for label, (command, text) in rows.items():
            taken = [first_frame_s(command, text) for _ in range(ROUNDS)]
            medians.append(statistics.median(taken))
            print(f"{label:34s} median {medians[-1] * 1e3:6.0f} ms, worst {max(taken) * 1e3:6.0f} ms")
        print(f"ratio {medians[1] / medians[0]:.2f}")


if __name__ == "__main__":
    main()
