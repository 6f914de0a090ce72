"""The power goes at any moment of a recorded run: what the disk may then hold is opened by the kiosk.

By hand, so often and by this seed:

    .venv/bin/python -m tests.faults.power_cuts 1000 1
"""

import random
import shutil
import sys
import tempfile
from bisect import bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from kiosk.bench import RECORD_FILE
from kiosk.record.context import NOBODY
from kiosk.record.events import Event
from tests.faults.not_yet import LYING_DISK, NOT_YET
from tests.faults.oracle import in_one_line, read, what_is_wrong
from tests.faults.recorded_writes import (
    HAVE_STRACE,
    Cut,
    Disk,
    Entry,
    Op,
    Sync,
    Told,
    Trace,
    lay_out,
    record_run,
)
from tests.faults.walker import UNASKED, make_small_shop, open_bench

SECTOR, PAGE = 512, 4096  # bytes: what older and newer disks write whole
SHARES = (0.0, 0.1, 0.5, 0.9, 1.0)
GOES_ON = 5  # every so manieth image is tapped on, let go of and opened again
# What a disk that lies about its synchronising can lose: not what is kept beside the record.
RECORD_FILES = (RECORD_FILE, f"{RECORD_FILE}-wal")
MOST_LIES = 6  # synchronisings that such a disk has not done yet when the power goes


@dataclass
class Cuts:
    """What became of the images of one run."""

    images: int = 0
    waiting: int = 0  # of them, with something that was not synchronised
    opened: int = 0
    under_way: int = 0  # of them, with the tap that nobody had been told of yet
    refused: int = 0  # said in one line that it cannot be opened
    went_on: int = 0
    events: int = 0
    wrong: list[str] = field(default_factory=list)

    def table(self) -> str:
        """The figures, a line each."""
        lines = [
            f"images                         {self.images:7d}",
            f"  with a write not on disk     {self.waiting:7d}",
            f"opened                         {self.opened:7d}",
            f"  with the tap under way       {self.under_way:7d}",
            f"refused in one line            {self.refused:7d}",
            f"tapped on and opened again     {self.went_on:7d}",
            f"events in the whole run        {self.events:7d}",
            f"wrong                          {len(self.wrong):7d}",
        ]
        return "\n".join([*lines, *self.wrong[:20]])


@dataclass(frozen=True)
class Run:
    """A recorded run: what was done to its folder, and the events that it recorded in all."""

    folder: Path
    ops: tuple[Op, ...]
    events: tuple[Event, ...]

    @property
    def anywhere(self) -> range:
        """After how many of the things that were done the power can go."""
        return range(1, len(self.ops))

    @cached_property
    def waiting(self) -> list[int]:
        """Those after which something of a file is not on the disk."""
        disk, found = Disk(), []
        for number, op in enumerate(self.ops, 1):
            disk.do(op)
            if disk.waits:
                found.append(number)
        return found


def recorded(folder: Path, seed: int, taps: int, sittings: int) -> Run:
    """Tap at a new shop, and record every write."""
    shop, trace = folder / "shop", folder / "trace"
    make_small_shop(shop)
    record_run(shop, trace, seed, taps, sittings)
    ops = tuple(Trace(shop).ops(trace))
    trace.unlink()
    disk = Disk()
    for op in ops:
        disk.do(op)
    whole = folder / "whole"
    lay_out(disk.image(random.Random(0), Cut(PAGE, 1.0, 0.0, 1.0)), shop, whole)
    return Run(shop, ops, read(whole).events)


def images(
    run: Run, count: int, seed: int, lies: int = 0
) -> Iterator[tuple[int, int, bool, Mapping[Path, bytes]]]:
    """Images of a run, with how many events had been told of, and how many are told of next.

    ``lies`` is how many of the last synchronisings of the database and its log the disk had not done, though
    it said so.
    """
    luck = random.Random(seed)
    cuts = sorted(luck.choice(run.waiting if luck.random() < 0.75 else run.anywhere) for _ in range(count))
    of_record = {op.file for op in run.ops if isinstance(op, Entry) and op.path.name in RECORD_FILES}
    synced = [number for number, op in enumerate(run.ops) if isinstance(op, Sync) and op.file in of_record]
    disk, done = Disk(), 0
    told = [(number, op.seq) for number, op in enumerate(run.ops) if isinstance(op, Told)]
    for cut in cuts:
        ops = run.ops[done:cut]
        if lies:
            # A disk that lies is simulated from the beginning each time: what it left out reaches back.
            last = synced[: bisect_right(synced, cut - 1)][-luck.randint(1, lies) :]
            disk, ops = Disk(), tuple(op for number, op in enumerate(run.ops[:cut]) if number not in last)
        for op in ops:
            disk.do(op)
        done = cut
        how = Cut(
            block=luck.choice((SECTOR, PAGE)),
            arrive=luck.choice(SHARES) if not lies else luck.choice((0.0, 0.5)),
            rubbish=luck.choice((0.0, 0.0, 0.3)),
            names=luck.choice((0.0, luck.random(), 1.0)) if not lies else 1.0,
        )
        before = max((seq for number, seq in told if number < cut), default=0)
        after = next((seq for number, seq in told if number >= cut), len(run.events))
        yield before, after, disk.waits, disk.image(luck, how)


def judge(run: Run, count: int, seed: int, folder: Path, lies: int = 0) -> Cuts:
    """Open so many images of a run, and hold each to what had been acknowledged."""
    found = Cuts(events=len(run.events))
    place = folder / "image"
    for number, (before, after, waits, image) in enumerate(images(run, count, seed, lies)):
        found.images += 1
        found.waiting += waits
        lay_out(image, run.folder, place)
        where = f"image {number}, {before} to {after} events"
        try:
            opened = read(place)
        except Exception as error:
            found.refused += in_one_line(error)
            if not in_one_line(error):
                found.wrong.append(f"{where}: {error!r}")
            elif not lies:
                found.wrong.append(f"{where}: nothing is damaged, and it says: {error}")
            continue
        found.opened += 1
        seq = len(opened.events)
        found.under_way += seq > before
        found.wrong += [f"{where}: {fault}" for fault in what_is_wrong(opened)]
        if opened.events != run.events[:seq]:
            found.wrong.append(f"{where}: other events than were recorded")
        elif seq < before:
            found.wrong.append(f"{where}: {before - seq} acknowledged events are lost, and nothing is said")
        elif seq not in (before, after) and any(
            event.body.kind not in UNASKED for event in run.events[before:seq]
        ):
            found.wrong.append(f"{where}: a tap is there half, up to event {seq}")
        if number % GOES_ON == 0 and not lies:
            found.went_on += 1
            found.wrong += [f"{where}: {fault}" for fault in _go_on(place, opened.events)]
    return found


def _go_on(folder: Path, events: tuple[Event, ...]) -> list[str]:
    """Tap on where the power went, let go and open again: what is wrong then."""
    bench = open_bench(folder)
    if bench.doer_id == NOBODY:  # the builder had gone, and others were still here
        bench.hand_over(bench.builder.id)
    bench.note("the power is back")
    shown = bench.state
    bench.close()
    again = read(folder)
    wrong = what_is_wrong(again)
    if again.events[: len(events)] != events or again.state != shown:
        wrong.append("after a tap it is not what it was")
    return wrong


def main(count: int, seed: int) -> int:
    """Run it by hand; gives the exit code. Several runs, so that the writes are not always the same."""
    folder = Path(tempfile.mkdtemp(prefix="power-cuts-"))
    wrong = 0
    if not HAVE_STRACE:
        print("strace is needed to record a run: install it (apt install strace)", file=sys.stderr)
        return 2
    for number, (taps, sittings) in enumerate(((40, 2), (120, 4), (900, 3))):
        here = folder / str(number)
        here.mkdir()
        run = recorded(here, seed + number, taps, sittings)
        found = judge(run, -(-count // 3), seed + number, here)
        print(f"{taps} taps in {sittings} sittings, {len(run.ops)} writes and other calls")
        print(found.table(), flush=True)
        wrong += len(found.wrong)
        lying = judge(run, -(-count // 12), seed + number, here, MOST_LIES)
        print("the same on a disk that says it has synchronised and has not")
        print(lying.table(), flush=True)
        wrong += len(lying.wrong) if LYING_DISK not in NOT_YET else 0
    shutil.rmtree(folder)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2])))
