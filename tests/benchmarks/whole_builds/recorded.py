"""Whole builds recorded once: how the record stood in their middle, and what came of it in the end."""

import pickle
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from kiosk.record.state import State
from tests.benchmarks.whole_builds.build import Build
from tests.benchmarks.whole_builds.evenings import Slot
from tests.benchmarks.whole_builds.policies import policy
from tests.benchmarks.whole_builds.rhythms import RHYTHMS, break_of
from tests.benchmarks.whole_builds.worlds import WORLDS, shop_folder_of

SHARES = (0.08, 0.2, 0.4, 0.6, 0.8)  # of the planned minutes done
IN_BREAK = timedelta(weeks=4)
AFTER_BREAK = timedelta(weeks=2)


@dataclass(frozen=True)
class Moment:
    """How the record stood at one moment, and how many minutes had been spent by then."""

    name: str  # "0.2" of the planned minutes; "in the break", "after the break"
    at: datetime
    minutes: float
    state: bytes = field(repr=False)

    def unpacked(self) -> State:
        """The state as it was."""
        state = pickle.loads(zlib.decompress(self.state))
        assert isinstance(state, State)
        return state


@dataclass(frozen=True)
class RecordedBuild:
    """One build: its moments, when it and each of its kinds was finished, and all minutes spent."""

    world: str
    policy: str
    rhythm: str
    seed: int
    moments: tuple[Moment, ...]
    finished: datetime
    kinds_finished: dict[str, datetime]
    minutes: float


class _Recording(Build):
    """A build that keeps moments of its record."""

    moments: list[Moment]
    wanted: list[tuple[str, datetime]]
    kinds_finished: dict[str, datetime]

    def begin(self, rhythm: str) -> None:
        """Say what is to be kept."""
        self.moments, self.kinds_finished = [], {}
        self.shares = list(SHARES)
        self.wanted = []
        if rhythm == "one break":
            begins, ends = break_of(self.seed)
            self.wanted = [("in the break", begins + IN_BREAK), ("after the break", ends + AFTER_BREAK)]
        self.whole = sum(self.shop.route_of(self.shop.kind_of(mark)).minutes_each for mark in self.shop.parts)

    @property
    def minutes_spent(self) -> float:
        """Minutes spent on work, setting up and putting away."""
        figures = self.figures
        return figures.work_minutes + figures.set_up_minutes + figures.put_away_minutes

    def _sit(self, number: int, slot: Slot) -> None:
        while self.wanted and self.wanted[0][1] < slot.start:
            name, at = self.wanted.pop(0)
            self._keep(name, at)
        super()._sit(number, slot)
        done = 1 - self._minutes_left() / self.whole
        while self.shares and done >= self.shares[0] and not self.figures.finished:
            self._keep(f"{self.shares.pop(0):g}", self.clocks.now())

    def _work(self, slot_minutes: int) -> None:
        if self.seed % 2:  # half of the builders say how many minutes they have
            self.bench.begin_slot(max(1, slot_minutes))
        super()._work(slot_minutes)

    def _completed(self, mark: str) -> None:
        super()._completed(mark)
        kind = self.shop.parts[mark].kind
        if self.bench.context.positions.open_parts(kind) == 0:
            self.kinds_finished[kind] = self.clocks.now()

    def _minutes_left(self) -> float:
        left = 0.0
        positions = self.bench.context.positions
        for mark in self.shop.parts:
            where = positions.of(mark)
            if where.step is not None:
                route = self.shop.route_of(self.shop.kind_of(mark))
                steps = route.steps_from(where.stage, where.number - 1)
                left += sum(step.minutes.each for _, step in steps)
        return left

    def _keep(self, name: str, at: datetime) -> None:
        packed = zlib.compress(pickle.dumps(self.bench.state), 6)
        self.moments.append(Moment(name, at, self.minutes_spent, packed))


def recorded(folder: Path, world: str, policy_name: str, rhythm: str, seed: int) -> RecordedBuild | None:
    """One build, read from the folder where it was recorded before, else simulated and kept there.

    None where it came to no end within the world's sittings.
    """
    path = folder / f"{world}-{policy_name}-{rhythm.replace(' ', '-')}-{seed}.pickle"
    if path.exists():
        kept = pickle.loads(path.read_bytes())
        assert kept is None or isinstance(kept, RecordedBuild)
        return kept
    found = _simulated(world, policy_name, seed, rhythm, RHYTHMS[rhythm])
    folder.mkdir(parents=True, exist_ok=True)
    path.write_bytes(pickle.dumps(found))
    return found


def _simulated(
    world: str, policy_name: str, seed: int, rhythm: str, evenings: Callable[[int], Iterator[Slot]]
) -> RecordedBuild | None:
    with shop_folder_of(WORLDS[world]) as shop_folder:
        build = _Recording(
            shop_folder, WORLDS[world], seed, policy_name, policy(policy_name, seed), evenings=evenings
        )
        build.begin(rhythm)
        figures = build.run()
        if not figures.finished:
            return None
        return RecordedBuild(
            world,
            policy_name,
            rhythm,
            seed,
            tuple(build.moments),
            build.clocks.now(),
            build.kinds_finished,
            build.minutes_spent,
        )
