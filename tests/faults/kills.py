"""SIGKILL at random moments of a walk over all acts: nothing acknowledged is lost, doubled or half there.

By hand, so often and by this seed:

    .venv/bin/python -m tests.faults.kills 1000 1
"""

import multiprocessing
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from kiosk.record.apply import fold
from kiosk.record.events import Event
from kiosk.record.state import State
from tests.faults.deeds import DRIVERS, PROCEDURE
from tests.faults.jumping_clocks import JumpingClocks
from tests.faults.oracle import Read, read_copy, what_is_wrong
from tests.faults.walker import UNASKED, Said, Walk, make_small_shop, shop_of_trials, walk

MOST_TAPS = 16  # answered before the kill, however long a busy machine takes over them
LONGEST_S = 0.004  # after the last of them: a few taps, so that the kill comes in every part of one
OPENING_S = 0.06  # a walker that is killed while it opens, or closes, lives so long at most
BOOTS = 0.3  # share of the kills after which the machine is booted, as when the power goes
SHOPS = 2  # killed side by side, each with a record of its own

# Walkers are forked from a server that has loaded the kiosk, so a kill costs no start of Python.
PROCESSES = multiprocessing.get_context("forkserver")
PROCESSES.set_forkserver_preload(["tests.faults.walker"])


@dataclass
class Kills:
    """What became of a shop that was killed again and again."""

    kills: int = 0
    opening: int = 0  # of them, while it opened
    closing: int = 0  # of them, while it let go
    acknowledged: int = 0
    refused: int = 0
    kept: int = 0  # taps under way that were recorded whole
    gone: int = 0  # taps under way that were not recorded
    events: int = 0
    acts: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)

    def plus(self, other: "Kills") -> "Kills":
        """Both together."""
        return Kills(
            kills=self.kills + other.kills,
            opening=self.opening + other.opening,
            closing=self.closing + other.closing,
            acknowledged=self.acknowledged + other.acknowledged,
            refused=self.refused + other.refused,
            kept=self.kept + other.kept,
            gone=self.gone + other.gone,
            events=self.events + other.events,
            acts=self.acts + other.acts,
            wrong=self.wrong + other.wrong,
        )

    def table(self) -> str:
        """The figures, a line each."""
        lines = [
            f"kills                          {self.kills:7d}",
            f"  while opening, letting go    {self.opening:7d} {self.closing:7d}",
            f"taps acknowledged, refused     {self.acknowledged:7d} {self.refused:7d}",
            f"under way: whole, not there    {self.kept:7d} {self.gone:7d}",
            f"events                         {self.events:7d}",
            f"acts acknowledged              {len(self.acts):7d} of {len(DRIVERS)}",
            f"wrong                          {len(self.wrong):7d}",
        ]
        return "\n".join([*lines, *self.wrong[:20]])


class Killed:
    """One shop that is killed again and again, and what is known of it so far."""

    def __init__(self, folder: Path, seed: int) -> None:
        self.folder = folder
        self.luck = random.Random(seed)
        self.found = Kills()
        self._known = Read((), State())
        self._how = Walk(seed)

    def kill_often(self, kills: int) -> Kills:
        """Kill so often; gives what became of it."""
        for _ in range(kills):
            self._walk_and_kill()
        self.found.events = len(self._known.events)
        self.found.wrong += what_is_wrong(self._known)
        return self.found

    def _walk_and_kill(self) -> None:
        luck = self.luck
        steps = [step.id for step in shop_of_trials().procedures[PROCEDURE].steps]
        taps, hands = luck.choice((0, 1, 2, luck.randint(3, MOST_TAPS))), self._how.hands
        how = Walk(
            seed=luck.randrange(1 << 30),
            hands=JumpingClocks(hands).boot_again() if luck.random() < BOOTS else hands,
            asked=self._how.asked,
            again=self._how.again,
            without=luck.choice(steps) if luck.random() < 0.25 else "",
            closes_after=taps if luck.random() < 0.1 else -1,
        )
        opening = luck.random() < 0.1
        said = self._said(how, taps, opening)
        self._hold(said, opening)

    def _said(self, how: Walk, taps: int, opening: bool) -> list[Said]:
        """Everything that a walker said until it was killed."""
        hears, says = PROCESSES.Pipe(duplex=False)
        walker = PROCESSES.Process(target=walk, args=(str(self.folder), says, how))
        walker.start()
        says.close()
        said: list[Said] = []
        answered, killed = 0, False

        def kill(longest_s: float) -> None:
            time.sleep(self.luck.uniform(0.0, longest_s))
            walker.kill()

        if opening:
            kill(OPENING_S)
            killed = True
        while True:
            let_go = bool(said) and said[-1].word == "closing"
            if not killed and (let_go or (answered >= taps and how.closes_after < 0 and said)):
                kill(LONGEST_S)
                killed = True
            try:
                said.append(hears.recv())
            except (EOFError, OSError):  # it may fall in the middle of a message
                break
            answered += said[-1].word in ("did", "refused")
        walker.join()
        hears.close()
        return said

    def _hold(self, said: list[Said], opening: bool) -> None:
        """What is in the record is what was acknowledged, and what was under way whole or not at all."""
        found, wrong, before = self.found, self.found.wrong, self._known
        found.kills += 1
        found.opening += opening
        found.closing += bool(said) and said[-1].word in ("closing", "closed")
        where = f"kill {found.kills}"
        wrong += [f"{where}: {one.why}" for one in said if one.word == "fell"]
        after = read_copy(self.folder, self.folder.with_name(f"{self.folder.name}-copy"))
        if after.events[: len(before.events)] != before.events:
            wrong.append(f"{where}: what was recorded before is not what it was")
        new = after.events[len(before.events) :]
        left = [event for event in new if event.body.kind not in UNASKED]
        taps = _taps(said)
        for will, *told in taps:
            assert will.deed is not None
            word = told[0].word if told else "under way"
            # A tap that comes again and is recorded already has no events to come.
            recorded = _taken(left, will.kinds) if word != "refused" else []
            found.acknowledged += word == "did"
            found.refused += word == "refused"
            found.kept += word == "under way" and bool(will.kinds and recorded)
            found.gone += word == "under way" and bool(will.kinds and not recorded)
            if word == "did":
                found.acts[will.deed.act] += 1
                if len(recorded) < len(will.kinds):
                    wrong.append(f"{where}: {will.deed.act} was acknowledged and is lost: {will.kinds}")
            del left[: len(recorded)]
        if left:
            wrong.append(f"{where}: half or twice there: {[event.body.kind for event in left]}")
        wrong += [f"{where}: {fault}" for fault in _other_than_shown(before, after, said)]
        wills = [will for will, *_ in taps]
        under_way = [will.deed for will, *told in taps if not told]
        if wills:
            self._how = Walk(0, wills[-1].hands, wills[-1].asked, under_way[0] if under_way else None)
        self._known = after


def _other_than_shown(before: Read, after: Read, said: list[Said]) -> list[str]:
    """The state on the screen at the last answer, and the state now, each against the fold of its events."""
    wrong: list[str] = []
    shown = next((one.state for one in reversed(said) if one.state is not None), None)
    first, then = len(before.events), len(after.events)
    if shown is not None:
        if shown.seq > then:
            return [f"{shown.seq - then} events are lost"]
        if fold(after.events[first : shown.seq], before.state) != shown:
            wrong.append("the screen showed another state than its events say")
    if fold(after.events[first:], before.state) != after.state:
        wrong.append("it opens in another state than its events say")
    return wrong


def _taps(said: list[Said]) -> list[list[Said]]:
    """What was said of each tap: before it, and after it where that was still said."""
    taps: list[list[Said]] = []
    for one in said:
        if one.word == "will":
            taps.append([one])
        elif one.word in ("did", "refused"):
            taps[-1].append(one)
    return taps


def _taken(left: list[Event], kinds: tuple[str, ...]) -> list[Event]:
    """The events of one tap, if they stand first among those that are left: all of them, or none."""
    first = left[: len(kinds)]
    return first if tuple(event.body.kind for event in first) == kinds else []


def run(kills: int, seed: int, folder: Path) -> Kills:
    """Kill walkers in shops side by side."""
    shops = [folder / f"shop-{number}" for number in range(SHOPS)]
    for shop in shops:
        make_small_shop(shop)
    killed = [Killed(shop, seed * SHOPS + number) for number, shop in enumerate(shops)]
    found = Kills()
    with ThreadPoolExecutor(SHOPS) as pool:  # the walkers are processes; the threads only wait for them
        for one in pool.map(Killed.kill_often, killed, [-(-kills // SHOPS)] * SHOPS):
            found = found.plus(one)
    return found


def main(count: int, seed: int) -> int:
    """Run it by hand; gives the exit code."""
    folder = Path(tempfile.mkdtemp(prefix="kills-"))
    found = run(count, seed, folder)
    print(found.table())
    shutil.rmtree(folder)
    return 1 if found.wrong else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2])))
