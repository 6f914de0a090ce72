"""What becomes of a plan where all of it is done in the order in which it is told: the minutes in which there
is only waiting, and the limits that are missed."""

import math
from collections.abc import Callable, Iterable
from dataclasses import field

from kiosk.dataclass import dataclass
from kiosk.planning.choose.option import SetUp
from kiosk.planning.work.candidate import Stretch

# Minutes to set up, of those that are not out, without putting away.
SetUpMinutes = Callable[[Iterable[SetUp], Iterable[SetUp]], int]


@dataclass(frozen=True)
class AsTold:
    """What becomes of it; parts by their marks."""

    idle_minutes: int  # of waits that nothing fills
    late: frozenset[tuple[str, ...]]  # for a limit that runs already
    late_after_wait: frozenset[tuple[str, ...]]  # for one that they start themselves, before a wait

    @property
    def in_time(self) -> bool:
        """True where no limit is missed."""
        return not (self.late or self.late_after_wait)


def as_told(told: Iterable[Stretch], set_up_minutes: SetUpMinutes, pace: float = 1.0) -> AsTold:
    """What becomes of it, each thing begun when the one before it ends.

    ``pace`` is the minutes that the work takes against those that it is planned with, as on a good evening.
    What can be left, and has no limit itself, is left for what has one once the wait of that is over, after
    the piece in hand; the rest of it is done later.
    """
    evening = _Evening(set_up_minutes, pace)
    for one in told:
        evening.do(one)
    evening.end()
    return AsTold(evening.idle, frozenset(evening.late), frozenset(evening.late_after_wait))


@dataclass(frozen=True)
class _Wait:
    """That of parts whose first steps are done: minutes into the slot."""

    ready: int
    begin_by: int | None
    of: Stretch


@dataclass
class _Evening:
    set_up_minutes: SetUpMinutes
    pace: float
    clock: int = 0
    idle: int = 0
    rest: int = 0  # minutes of what was left for a wait that was over
    out: set[SetUp] = field(default_factory=set)
    waits: list[_Wait] = field(default_factory=list)  # that were begun, soonest over first
    late: set[tuple[str, ...]] = field(default_factory=set)
    late_after_wait: set[tuple[str, ...]] = field(default_factory=set)

    def do(self, one: Stretch) -> None:
        """Do one thing, up to its wait where it holds one."""
        while (wait := self._presses()) is not None and wait.ready <= max(self.clock, one.ready_in):
            self._go_on(wait)
        set_up = self.set_up_minutes(one.set_ups, self.out)
        self.out.update(one.set_ups)
        if one.ready_in:
            ahead = min(self.idle, set_up)  # it was set up for while another waited
            self.idle, set_up = self.idle - ahead, set_up - ahead
        self.clock += set_up
        self._wait_until(one.ready_in)
        if one.begin_by is not None and self.clock > one.begin_by:
            self.late.add(one.marks)
        minutes = self._takes(one.minutes - (0 if one.ready_in else one.last_minutes))
        if not one.ready_in and one.limit is not None and self.clock + minutes > one.limit:
            self.late.add(one.marks)
        self._work(one, minutes)
        if one.gap_after:
            begin_by = None if one.waits_at_most is None else self.clock + one.waits_at_most
            wait = _Wait(self.clock + one.gap_minutes, begin_by, one)
            self.waits = sorted([*self.waits, wait], key=lambda one: one.ready)

    def end(self) -> None:
        """Do what still waits, in the order in which it is ready."""
        while self.waits:
            self._go_on(self.waits[0])

    def _work(self, one: Stretch, minutes: int) -> None:
        piece = 0 if one.steps[0][1].stop == "anywhere" else math.ceil(minutes / len(one.marks))
        if one.meanwhile is not None and one.meanwhile.leave:
            does = min(minutes, max(0, one.meanwhile.minutes - self.clock) + piece)
            self.clock, self.rest = self.clock + does, self.rest + minutes - does
            return
        gives_way = one.can_be_left and one.limit is None and not (one.gap_minutes or one.in_a_run)
        while gives_way and (wait := self._presses()) is not None:
            does = max(0, wait.ready - self.clock) + piece
            if does >= minutes:
                break
            self.clock, minutes = self.clock + does, minutes - does
            self._go_on(wait)
        self.clock += minutes

    def _takes(self, minutes: int) -> int:
        return math.ceil(minutes * self.pace - 1e-9)

    def _presses(self) -> _Wait | None:
        """The wait that is over first, of those after which something has to begin by a limit."""
        return next((wait for wait in self.waits if wait.begin_by is not None), None)

    def _go_on(self, wait: _Wait) -> None:
        self.waits.remove(wait)
        if wait.begin_by is not None:  # it is set up for in the wait, as far as that holds
            set_up = self.set_up_minutes(wait.of.in_wait, self.out)
            self.out.update(wait.of.in_wait)
            self.clock += min(set_up, wait.of.gap_minutes)
        self._wait_until(wait.ready)
        if wait.begin_by is not None and self.clock > wait.begin_by:
            self.late_after_wait.add(wait.of.marks)
        self.clock += self._takes(wait.of.last_minutes)

    def _wait_until(self, ready: int) -> None:
        filled = min(self.rest, max(0, ready - self.clock))
        self.clock, self.rest = self.clock + filled, self.rest - filled
        self.idle += max(0, ready - self.clock)
        self.clock = max(self.clock, ready)
