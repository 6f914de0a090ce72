"""Two and three screens tap at random on one shop, each press now and then sent again under its own id.

By hand, so often and by this seed:

    .venv/bin/python -m tests.faults.races 100 1
"""

import random
import shutil
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path

from kiosk.bench import Bench
from kiosk.errors import KioskError
from kiosk.record.apply import apply
from kiosk.record.events import Event, SittingOpened, WorkStarted
from kiosk.record.state import State
from kiosk.record.stopped import RecordingStopped
from tests.faults.deeds import PROCEDURE, Deed, Moment, next_deed
from tests.faults.jumping_clocks import Hands, JumpingClocks
from tests.faults.kills import PROCESSES
from tests.faults.oracle import read, what_is_wrong
from tests.faults.walker import UNASKED, make_small_shop, open_bench

TAPS = 25  # of each screen in one race
AGAIN = 0.2  # share of the taps that are sent a second time, as by a screen that was not sure
MARKS = ("LA-01", "LA-02", "LA-03", "LA-04", "LA-05", "LA-06")


@dataclass(frozen=True)
class Tapped:
    """One tap of a screen, and what came of it."""

    deed: Deed
    refused: str = ""


@dataclass(frozen=True)
class Seen:
    """All that one screen did, and the state that it shows in the end."""

    tapped: tuple[Tapped, ...] = ()
    state: State | None = None
    fell: str = ""


@dataclass
class Races:
    """What became of all races."""

    races: int = 0
    screens: int = 0
    acknowledged: int = 0
    refused: int = 0
    again: int = 0  # taps that were sent twice
    double_starts: int = 0  # of one part on all screens at once
    events: int = 0
    wrong: list[str] = field(default_factory=list)

    def table(self) -> str:
        """The figures, a line each."""
        lines = [
            f"races                          {self.races:7d}",
            f"screens                        {self.screens:7d}",
            f"taps acknowledged, refused     {self.acknowledged:7d} {self.refused:7d}",
            f"  sent twice                   {self.again:7d}",
            f"one part begun on all at once  {self.double_starts:7d}",
            f"events                         {self.events:7d}",
            f"wrong                          {len(self.wrong):7d}",
        ]
        return "\n".join([*lines, *self.wrong[:20]])


def race(folder: str, pipe: Connection, seed: int, hands: Hands) -> None:
    """One screen: open, say so, wait for the word, tap, and wait again until all have done."""
    try:
        _race(Path(folder), pipe, seed, hands)
    except Exception:
        pipe.send(Seen(fell=traceback.format_exc()))


def _race(folder: Path, pipe: Connection, seed: int, hands: Hands) -> None:
    clocks = JumpingClocks(hands)
    luck, asked = random.Random(seed), dict[str, int]()
    bench = open_bench(folder, clocks)
    tapped: list[Tapped] = []
    for mark in MARKS:  # all at once: one of them begins it, the others are told
        _wait(pipe)
        tapped.append(_tap(bench, Deed("begin", "start", ([mark], PROCEDURE, "mark-out"))))
    _wait(pipe)  # or the first would put the last part back before another had tried to begin it
    for _ in range(TAPS):
        clocks.move(luck)
        if luck.random() < 0.7:
            bench.refresh()  # else it taps on what it saw before
        deed = next_deed(Moment(bench, luck), asked)
        tapped.append(_tap(bench, deed))
        if luck.random() < AGAIN:
            tapped.append(_tap(bench, deed))
    _wait(pipe)
    bench.refresh()
    pipe.send(Seen(tuple(tapped), bench.state))
    pipe.recv()  # a screen that goes is one lost to those that still look, and they record it
    bench.close()


def _wait(pipe: Connection) -> None:
    """Until all screens have come so far."""
    pipe.send("ready")
    pipe.recv()


def _tap(bench: Bench, deed: Deed) -> Tapped:
    try:
        deed.do(bench)
    except RecordingStopped:
        raise  # no disk is at fault here
    except KioskError as error:
        return Tapped(deed, str(error))
    return Tapped(deed)


def run_one(found: Races, folder: Path, screens: int, seed: int) -> None:
    """One race of so many screens on a new shop."""
    make_small_shop(folder)
    luck = random.Random(seed)
    hands = JumpingClocks().hands
    pipes: list[Connection] = []
    runners = []
    for _ in range(screens):
        here, there = PROCESSES.Pipe()
        runner = PROCESSES.Process(target=race, args=(str(folder), there, luck.randrange(1 << 30), hands))
        runner.start()
        there.close()
        pipes.append(here)
        runners.append(runner)
    try:
        seen = [_heard(one) for one in _led(pipes)]
        for pipe in pipes:
            with suppress(BrokenPipeError):  # one that fell waits for no word
                pipe.send("go")
            pipe.close()
        for runner in runners:
            runner.join()
    finally:
        for runner in runners:
            runner.kill()  # one that waits for the others, when one of them fell
    found.races += 1
    found.screens += screens
    found.wrong += [f"race {found.races}: {fault}" for fault in _faults(found, folder, seen)]


def _led(pipes: Sequence[Connection]) -> Sequence[Connection]:
    """Give the word to all at once, each time that all are ready, until each has shown what it saw."""
    for _ in range(len(MARKS) + 2):  # see _race: before each part, after them, and in the end
        said = [pipe.recv() for pipe in pipes]
        if any(isinstance(one, Seen) for one in said):
            raise RuntimeError("; ".join(one.fell for one in said if isinstance(one, Seen)))
        for pipe in pipes:
            pipe.send("go")
    return pipes


def _heard(pipe: Connection) -> Seen:
    seen = pipe.recv()
    assert isinstance(seen, Seen)
    return seen


def _faults(found: Races, folder: Path, seen: Sequence[Seen]) -> list[str]:
    wrong = [one.fell for one in seen if one.fell]
    if wrong:
        return wrong
    after = read(folder)
    found.events += len(after.events)
    wrong += what_is_wrong(after)
    wrong += ["a screen shows another state than is recorded" for one in seen if one.state != after.state]
    taps = [tapped for one in seen for tapped in one.tapped]
    found.refused += sum(bool(tapped.refused) for tapped in taps)
    found.acknowledged += sum(not tapped.refused for tapped in taps)
    found.again += len(taps) - len({tapped.deed.tap for tapped in taps})
    return wrong + _tap_faults(taps, after.events) + _start_faults(found, seen, after.events)


def _tap_faults(taps: Sequence[Tapped], events: Sequence[Event]) -> list[str]:
    """Every acknowledged tap exactly once, and nothing that was only refused."""
    # That a PIN was tried is recorded under the tap that is refused for it.
    ids = Counter(event.id for event in events if event.body.kind not in UNASKED)
    acknowledged = {tapped.deed.tap for tapped in taps if not tapped.refused}
    wrong = [
        f"{tapped.deed.act} was refused and is recorded: {tapped.refused}"
        for tapped in taps
        if tapped.refused and tapped.deed.tap not in acknowledged and ids[tapped.deed.tap]
    ]
    always = {"write_note": "note_written", "count_stock": "stock_counted", "raise_snag": "snag_raised"}
    for act, kind in always.items():
        asked = {tapped.deed.tap for tapped in taps if not tapped.refused and tapped.deed.act == act}
        wrong += [f"{act} was acknowledged and is there {ids[tap]} times" for tap in asked if ids[tap] != 1]
        there = sum(event.body.kind == kind for event in events)
        if there != len(asked):
            wrong.append(f"{there} {kind} for {len(asked)} taps")
    return wrong


def _start_faults(found: Races, seen: Sequence[Seen], events: Sequence[Event]) -> list[str]:
    """Of the screens that began one part at once, one did and the others were told."""
    wrong: list[str] = []
    for number, mark in enumerate(MARKS):
        found.double_starts += 1
        begun = sum(not one.tapped[number].refused for one in seen)
        if begun != 1:
            wrong.append(
                f"{mark} was begun on {len(seen)} screens at once, and {begun} were told that they did"
            )
    state = State()
    for event in events:
        if isinstance(event.body, WorkStarted):
            held = [mark for mark in event.body.marks if state.part(mark).work in state.works]
            wrong += [f"{mark} is in hand twice, from event {event.seq}" for mark in held]
        if isinstance(event.body, SittingOpened) and state.sitting is not None:
            wrong.append(f"two sittings are open, from event {event.seq}")
        apply(state, event)
    return wrong


def run(races: int, seed: int, folder: Path) -> Races:
    """So many races, of two and of three screens in turn."""
    found = Races()
    for number in range(races):
        run_one(found, folder / f"race-{number}", 2 + number % 2, seed + number)
    return found


def main(count: int, seed: int) -> int:
    """Run it by hand; gives the exit code."""
    folder = Path(tempfile.mkdtemp(prefix="races-"))
    found = run(count, seed, folder)
    print(found.table())
    shutil.rmtree(folder)
    return 1 if found.wrong else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2])))
