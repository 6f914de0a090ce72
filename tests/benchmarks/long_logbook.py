"""Benchmark, run by hand: the logbook of a long record, its time and its memory in a process of its own.

    python -m tests.benchmarks.long_logbook [EVENTS]

The record is made first; then ``kiosk logbook`` is run twice, first without a snapshot, which folds the whole
record before it prints it, then with the one that the first run kept. Given are times, the largest memory
that was resident (``ru_maxrss`` of the child, which counts the interpreter and its libraries) and what was
written.
"""

import os
import resource
import sys
import tempfile
import time
from pathlib import Path

from kiosk.commands.make_shop import make_shop
from kiosk.shop.kept import open_shop
from tests.logbook.long_record import write_long_record

EVENTS = 1_000_000


def run(shop: Path) -> tuple[float, float, float, int]:
    """Seconds on the wall and of the processor, peak memory in megabytes and exit code of a printing."""
    began = time.perf_counter()
    child = os.posix_spawn(
        sys.executable,
        [sys.executable, "-m", "kiosk", "logbook", str(shop)],
        dict(os.environ),
        file_actions=[(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)],
    )
    _, status, used = os.wait4(child, 0)
    wall_s, processor_s = time.perf_counter() - began, used.ru_utime + used.ru_stime
    return wall_s, processor_s, peak_mb(used), os.waitstatus_to_exitcode(status)


def peak_mb(used: resource.struct_rusage) -> float:
    """``ru_maxrss`` is in kilobytes on Linux and in bytes on macOS."""
    return used.ru_maxrss / (1e6 if sys.platform == "darwin" else 1e3)


def main() -> None:
    events = int(sys.argv[1]) if len(sys.argv) > 1 else EVENTS
    with tempfile.TemporaryDirectory() as name:
        shop = Path(name) / "shop"
        make_shop(shop, "brambling", with_history=False)
        write_long_record(open_shop(shop), shop / "record.db", events)
        print(f"{events:,} events, {(shop / 'record.db').stat().st_size / 1e6:.0f} MB of record")
        for about in ("without a snapshot", "with a snapshot"):
            wall_s, processor_s, mb, code = run(shop)
            print(
                f"{about:20s} {wall_s:7.1f} s, {processor_s:7.1f} s of the processor,"
                f" {mb:6.1f} MB at most, exit {code}"
            )
        for path in sorted((shop / "logbook").iterdir()):
            files = sorted(path.iterdir()) if path.is_dir() else [path]
            size = sum(one.stat().st_size for one in files) / 1e6
            largest = max(one.stat().st_size for one in files) / 1e6
            print(f"{path.name:20s} {len(files):5d} files {size:8.1f} MB, the largest {largest:.1f} MB")


if __name__ == "__main__":
    main()
