"""The disk is full, at every size: each tap is recorded or refused in words, and with room again it goes on.

    .venv/bin/python -m tests.faults.full_disks 500 1

The disk is a file system in memory of its own, mounted where nobody else sees it (``unshare``, which needs
the right to make such a place). What this system does not let one do is said, and left out.
"""

import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass, field
from functools import partial
from pathlib import Path

from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.errors import KioskError
from kiosk.record.state import State
from kiosk.screens.app import KioskApp
from kiosk.shop.kept import open_shop
from tests.driver import press, screen_text, settled, with_app
from tests.faults.deeds import Deed
from tests.faults.jumping_clocks import JumpingClocks
from tests.faults.oracle import in_one_line, read, what_is_wrong
from tests.faults.walker import make_small_shop, open_bench

DISK_BYTES = 6_000_000
MOST_FREE = 2_000_000  # bytes: the sizes that are tried go from none to this
SCREENS_FREE = 500_000  # the same for the whole screen, which taps larger things
TAPS = 60
_PRIVATE = ("unshare", "--mount", "--map-root-user")
BALLAST = "ballast"
# The kind of event that each act here records, always.
RECORDED = {
    "write_note": "note_written",
    "count_stock": "stock_counted",
    "raise_snag": "snag_raised",
    "read_room": "conditions_noted",
}
FULL_WORDS = ("full", "no space", "no room")  # of which one has to be said


@dataclass
class Disks:
    """What became of the shops on full disks."""

    disks: int = 0
    not_opened: int = 0  # refused in words until there was room
    filled: int = 0  # of them, where a tap was refused
    acknowledged: int = 0
    refused: int = 0
    not_told_full: list[str] = field(default_factory=list)  # refusals that do not say that the disk is full
    screens: int = 0  # walks of the whole screen on a disk that fills
    wrong: list[str] = field(default_factory=list)

    def table(self) -> str:
        """The figures, a line each."""
        lines = [
            f"disks                          {self.disks:7d}",
            f"  not opened until room        {self.not_opened:7d}",
            f"  full in the middle           {self.filled:7d}",
            f"taps acknowledged, refused     {self.acknowledged:7d} {self.refused:7d}",
            f"  not told as a full disk      {len(self.not_told_full):15d}",
            f"screens that lived on          {self.screens:7d}",
            f"wrong                          {len(self.wrong):7d}",
        ]
        return "\n".join([*lines, *sorted(set(self.not_told_full)), *self.wrong[:20]])


def can_mount() -> bool:
    """True where a disk of its own can be made."""
    if shutil.which("unshare") is None:
        return False
    with tempfile.TemporaryDirectory() as name:
        mount = ["mount", "-t", "tmpfs", "-o", f"size={DISK_BYTES}", "tmpfs", name]
        return subprocess.run([*_PRIVATE, *mount], capture_output=True, check=False).returncode == 0


def run(sizes: int, seed: int, screens: int) -> Disks:
    """Try so many sizes, and the screen so often, on a disk of its own. Raises RuntimeError when it falls."""
    with tempfile.TemporaryDirectory() as name:
        inside = [
            sys.executable,
            "-m",
            "tests.faults.full_disks",
            "inside",
            name,
            *map(str, (sizes, seed, screens)),
        ]
        mount = 'mount -t tmpfs -o size="$0" tmpfs "$1" && shift && exec "$@"'
        done = subprocess.run(
            [*_PRIVATE, "sh", "-c", mount, str(DISK_BYTES), name, *inside],
            capture_output=True,
            text=True,
            check=False,
            cwd=Path(__file__).parents[2],
        )
    if done.returncode:
        raise RuntimeError(f"ended with {done.returncode}: {done.stderr}")
    return Disks(**json.loads(done.stdout.splitlines()[-1]))


def free_bytes(sizes: int) -> list[int]:
    """So many sizes from nothing to the most, close together where a page more or less decides."""
    return [round(MOST_FREE * (number / max(1, sizes - 1)) ** 2) for number in range(sizes)]


class Disk:
    """A shop on a disk on which nothing but it and some ballast is."""

    def __init__(self, disk: Path, base: Path) -> None:
        self.shop = disk / "shop"
        self._ballast = disk / BALLAST
        self.make_room()
        shutil.rmtree(self.shop, ignore_errors=True)
        shutil.copytree(base, self.shop)

    def leave(self, free: int) -> None:
        """Leave so many bytes free, to a page."""
        found = os.statvfs(self.shop)
        size = found.f_bavail * found.f_frsize - free
        with self._ballast.open("wb") as ballast:
            if size > 0:
                os.posix_fallocate(ballast.fileno(), 0, size)

    def make_room(self) -> None:
        """Take the ballast away."""
        self._ballast.unlink(missing_ok=True)


def _deeds(luck: random.Random) -> Iterator[Deed]:
    """Taps that always record something, small and large."""
    for number in range(TAPS):
        words = f"note {number} " + "of much to say " * luck.choice((0, 1, 50, 2500))
        yield luck.choice(
            (
                Deed("write_note", "note", (words,)),
                Deed("count_stock", "count_stock", ("glue", float(number))),
                Deed("raise_snag", "raise_snag", ("LA-01", f"scratch {number}")),
                Deed("read_room", "note_conditions", (60.0 + number / 10, 50.0)),
            )
        )


class Wrong(Exception):
    """Something that must not be."""


class Shop:
    """One shop on a disk that fills, and what was acknowledged of it."""

    def __init__(self, found: Disks, disk: Disk, luck: random.Random) -> None:
        self.found, self.disk, self.luck = found, disk, luck
        self.before = read(disk.shop).events
        self.done: list[Deed] = []

    def tried(self, free: int) -> None:
        """Tap with so much room until it is full, make room, and go on. Raises Wrong."""
        self.disk.leave(free)
        bench = self._opened()
        deeds = _deeds(self.luck)
        stopped = next((deed for deed in deeds if not self._tapped(bench, deed)), None)
        if stopped is not None:
            self.found.filled += 1
            bench.place_card()  # what is so can still be looked at
            recorded = self._tapped(bench, stopped)  # the same tap again, though there is no room yet
            closed = self.luck.random() < 0.5
            if closed:
                bench.close()
            self.disk.make_room()
            bench = open_bench(self.disk.shop, JumpingClocks()) if closed else bench
            if recorded:
                self.done.pop()  # it is tapped once more below, and still once in the record
            for deed in [stopped, *_deeds(self.luck)][:4]:
                if not self._tapped(bench, deed):
                    raise Wrong("it does not go on after room was made")
        shown = bench.state
        bench.close()
        self._hold(shown)

    def _opened(self) -> Bench:
        try:
            return open_bench(self.disk.shop, JumpingClocks())
        except KioskError as error:
            self._say(error)
            self.found.not_opened += 1
            self.disk.make_room()
            return open_bench(self.disk.shop, JumpingClocks())

    def _tapped(self, bench: Bench, deed: Deed) -> bool:
        """True when a tap was acknowledged, False when it was refused in words for the disk's sake."""
        clocks = bench.record.clocks
        assert isinstance(clocks, JumpingClocks)
        clocks.move(self.luck)
        try:
            deed.do(bench)
        except KioskError as error:
            self._say(error)
            self.found.refused += 1
            return False
        self.done.append(deed)
        self.found.acknowledged += 1
        return True

    def _say(self, error: KioskError) -> None:
        if not in_one_line(error):
            raise Wrong(f"told in no one line: {error}")
        if not any(word in str(error).lower() for word in FULL_WORDS):
            self.found.not_told_full.append(str(error).replace(str(self.disk.shop), "SHOP"))

    def _hold(self, shown: State) -> None:
        """Everything that was acknowledged is there once, and nothing else."""
        after = read(self.disk.shop)
        new = after.events[len(self.before) :]
        wrong = what_is_wrong(after)
        if after.events[: len(self.before)] != self.before or after.state != shown:
            wrong.append("it is not what the screen showed")
        ids = Counter(event.id for event in new)
        wrong += [f"{deed.act} is there {ids[deed.tap]} times" for deed in self.done if ids[deed.tap] != 1]
        kinds = Counter(event.body.kind for event in new if event.body.kind in RECORDED.values())
        if kinds != Counter(RECORDED[deed.act] for deed in self.done):
            wrong.append(f"{dict(kinds)} is recorded, which is not what was tapped")
        if wrong:
            raise Wrong("; ".join(wrong))


def walk_the_screen(found: Disks, disk: Disk, free: int) -> None:
    """Tap at the whole screen on a disk that is full, make room, and press the same again. Raises Wrong."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        seq = app.bench.state.seq
        disk.leave(free)
        for number in range(TAPS):
            if app.attempt(f"note {number}", lambda: app.bench.note("of much to say " * 400)):
                seq = app.bench.state.seq
            else:
                break
        else:
            raise Wrong("the disk was never full")
        await settled(app, pilot)
        if "RECORDING STOPPED" not in "\n".join(screen_text(app)):
            raise Wrong("the screen does not say that recording stopped")
        for key in ("enter", "f2", "f3", "escape", "f5", "escape", "f1"):
            await press(app, pilot, key)
        disk.make_room()
        await press(app, pilot, "escape", "escape", "f1")
        if not app.attempt("note", lambda: app.bench.note("there is room again")):
            raise Wrong("the screen does not go on after room was made")
        if app.bench.state.seq <= seq or not app.is_running:
            raise Wrong("the screen is gone")

    with_app(disk.shop, walk, clocks=JumpingClocks())
    found.screens += 1


def inside(folder: Path, sizes: int, seed: int, screens: int) -> Disks:
    """All of it, on the disk that was mounted at this folder."""
    found, luck = Disks(), random.Random(seed)
    with tempfile.TemporaryDirectory() as name:
        base = Path(name) / "base"
        make_small_shop(base)
        open_shop(base)
        bench = open_bench(base)
        bench.note("before the disk was full")
        bench.close()
        for free in free_bytes(sizes):
            disk = Disk(folder, base)
            found.disks += 1
            _held(found, f"{free} bytes free", partial(Shop(found, disk, luck).tried, free))
        for _ in range(screens):
            free = luck.randrange(SCREENS_FREE)
            disk = Disk(folder, base)
            _held(found, f"the screen, {free} bytes free", partial(walk_the_screen, found, disk, free))
    return found


def _held(found: Disks, where: str, trial: Callable[[], None]) -> None:
    try:
        trial()
    except Wrong as error:
        found.wrong.append(f"{where}: {error}")
    except Exception:
        found.wrong.append(f"{where}: {traceback.format_exc()}")


def main(count: int, seed: int) -> int:
    """Run it by hand; gives the exit code."""
    if not can_mount():
        print("a disk of its own cannot be made here: unshare and mount are needed", file=sys.stderr)
        return 2
    found = run(count, seed, screens=max(1, count // 25))
    print(found.table())
    return 1 if found.wrong else 0


if __name__ == "__main__":
    if sys.argv[1] == "inside":
        print(json.dumps(asdict(inside(Path(sys.argv[2]), *(int(text) for text in sys.argv[3:6])))))
        sys.exit(0)
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2])))
