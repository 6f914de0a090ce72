"""Benchmark, run by hand: what a tap costs until it is on the disk, and what a long record costs.

    python -m tests.benchmarks.tap [TAPS]            # a note after a note, each on the disk before the next
    python -m tests.benchmarks.tap long EVENTS       # a copy, a check, a start without a snapshot

Given are medians, 99th percentiles and the longest, in milliseconds. Beside a tap stands what the disk alone
takes to put as much in its place. The record lies in the folder of temporary files, TMPDIR.
"""

import os
import resource
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from kiosk.bench import Bench
from kiosk.commands.make_shop import make_shop
from kiosk.record.checking import check_record
from kiosk.record.copies import make_copy
from kiosk.record.events import NoteWritten
from kiosk.record.journal import Record

TAPS = 1000
ROW_BYTES = 4096  # a page of the WAL, which is what a tap writes at least


def _times(count: int, deed: Callable[[int], object]) -> list[float]:
    taken = []
    for number in range(count):
        began = time.perf_counter()
        deed(number)
        taken.append((time.perf_counter() - began) * 1000)
    return taken


def _say(what: str, taken: list[float]) -> None:
    ordered = sorted(taken)
    print(
        f"{what:<34} p50 {statistics.median(ordered):7.3f}  p99 {ordered[int(len(ordered) * 0.99)]:7.3f}"
        f"  longest {ordered[-1]:7.3f} ms"
    )


def taps(count: int) -> None:
    """Notes at a bench, one after the other as fast as they go."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "shop"
        make_shop(folder, "brambling", with_history=True)
        disk = os.open(Path(name) / "disk", os.O_WRONLY | os.O_CREAT)

        def write(_: int) -> None:
            os.write(disk, b"x" * ROW_BYTES)
            os.fdatasync(disk)

        _say("the disk alone, 4 KiB", _times(count, write))
        bench = Bench(folder)
        _say("a tap, one after the other", _times(count, lambda number: bench.note(f"note {number}")))

        def rested(number: int) -> None:
            bench.note(f"rested {number}")

        taken = []
        for number in range(min(count, 200)):
            time.sleep(0.02)  # as a person taps: what follows a tap has ended before the next
            taken += _times(1, lambda _, number=number: rested(number))  # type: ignore[misc]
        _say("a tap, after a rest", taken)
        bench.close()


def long(count: int) -> None:
    """A record of so many events: what is done beside the screen, and a start with nothing kept."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "record.db"
        record = Record(path)
        bodies = [NoteWritten(text=f"a note of usual length, number {number}") for number in range(10_000)]
        for _ in range(max(1, count // len(bodies))):
            record.transact(lambda _: bodies, by="wren", tap=None)
        record.close()
        print(f"{record.state.seq:,} events, {path.stat().st_size / 1e6:.0f} MB")
        for what, deed in (
            ("a copy, checked", lambda: make_copy(path, Path(name), datetime.now(UTC))),
            ("the whole chain checked", lambda: check_record(path)),
            ("a start with a snapshot", lambda: Record(path, reading=True).close()),
        ):
            began = time.perf_counter()
            deed()
            print(f"{what:<34} {(time.perf_counter() - began) * 1000:9.1f} ms")
        whole = Record(path)
        whole.journal.drop_snapshot()
        whole.journal.close()
        first: list[float] = []
        began = time.perf_counter()
        again = Record(path, progress=lambda *_: first.append(time.perf_counter()) if not first else None)
        print(f"{'a start without one':<34} {(time.perf_counter() - began) * 1000:9.1f} ms")
        print(f"{'until it says how far it is':<34} {(first[0] - began) * 1000:9.1f} ms")
        again.close()
        shutil.rmtree(name, ignore_errors=True)
        Path(name).mkdir()
        print(f"most memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    if sys.argv[1:2] == ["long"]:
        long(int(sys.argv[2]))
    else:
        taps(int(sys.argv[1]) if len(sys.argv) > 1 else TAPS)
