"""A run at a bench whose writes are recorded from outside: taps, and says after each how far the record is.

    python -m tests.faults.recorded_run FOLDER SEED TAPS SITTINGS

A second screen is open on the same shop and taps now and then. After each tap a line with the number of
events goes to standard output: it stands in the trace where it was said, which is what "acknowledged" means.
"""

import contextlib
import os
import random
import sys
from pathlib import Path

from kiosk.errors import KioskError
from tests.faults.deeds import Moment, next_deed
from tests.faults.jumping_clocks import JumpingClocks
from tests.faults.walker import open_bench

SECOND_SCREEN = 0.25  # share of its taps


def say(seq: int) -> None:
    """Tell it in one write, as a screen shows it: after it is recorded."""
    os.write(1, f"recorded {seq}\n".encode())


def main(folder: Path, seed: int, taps: int, sittings: int) -> None:
    """Open, tap and let go, again and again; the last time it does not let go."""
    clocks, luck, asked = JumpingClocks(), random.Random(seed), dict[str, int]()
    for sitting in range(sittings):
        wall, tablet = open_bench(folder, clocks), open_bench(folder, clocks)
        say(wall.state.seq)
        for _ in range(taps // sittings):
            clocks.move(luck)
            bench = tablet if luck.random() < SECOND_SCREEN else wall
            bench.refresh()
            say(bench.state.seq)  # what a look records is no part of the tap
            with contextlib.suppress(KioskError):
                next_deed(Moment(bench, luck), asked).do(bench)
            say(bench.state.seq)
        if sitting < sittings - 1:
            tablet.close()
            wall.close()
    os._exit(0)  # as if the plug was pulled


if __name__ == "__main__":
    main(Path(sys.argv[1]), *(int(text) for text in sys.argv[2:5]))
