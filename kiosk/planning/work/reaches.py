"""How far along their chain like parts may be taken: to each place where the work can be left."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from kiosk.planning.choose.option import NOTHING, SetUp
from kiosk.planning.times.sum_of_pieces import TimeOfPiece
from kiosk.planning.work.candidate import LikeParts
from kiosk.planning.work.chain import Chains, sat_out
from kiosk.planning.work.step_times import StepTimes

EASY_CHANCE = 0.55  # that work which can be left at any moment fits in what is planned for it
STEADY_CHANCE = 0.9  # and work that has to come to an end first


class Reach(NamedTuple):
    """How far along its chain a candidate may be taken: to one place where it can be left.

    A tuple, since an answer makes thousands of them.
    """

    steps: int
    time: TimeOfPiece  # up to here
    steady: TimeOfPiece | None  # up to the end of the last step that cannot be left at any moment
    before_gap: TimeOfPiece  # up to the wait that other things fill
    unbroken: float  # minutes of the longest stretch of one piece that has to come to an end
    unbroken_all: float  # the same of what all the parts go through before it can be left
    # Of what holds a wait and can't be left, or only until a short limit runs out, for one piece:
    at_once: float  # minutes in all
    beside: float  # and those of them that are waits and set-ups
    families: tuple[SetUp, ...]
    end_by: int | None  # when quiet hours begin, for what is loud
    over_gap: bool
    waiting: float  # minutes sat out
    drying: float  # minutes of the wait that it starts
    waits: bool  # one of its steps starts a wait
    known: dict[float, float]  # minutes by pieces

    def minutes(self, pieces: float) -> float:
        """Minutes that so many pieces are planned with, from the distribution of their sum."""
        found = self.known.get(pieces)
        if found is None:
            easy = self.time.quantile_minutes(EASY_CHANCE, pieces)
            hard = self.steady.quantile_minutes(STEADY_CHANCE, pieces) if self.steady is not None else 0.0
            found = self.known[pieces] = max(easy, hard)
        return found

    def minutes_to_save(self, pieces: float) -> float:
        """The same for pieces that go to waste where they are left: some minutes late sometimes cost less."""
        return self.time.quantile_minutes(EASY_CHANCE, pieces)


class Reaches:
    """The reaches of candidates in one slot, of so many minutes."""

    def __init__(self, times: StepTimes, chains: Chains, minutes: int, quiet_in: int | None) -> None:
        self._times = times
        self._chains = chains
        self._minutes = minutes
        self._quiet_in = quiet_in
        self._found: dict[tuple[int, int, int], list[Reach]] = {}

    def of(self, like: LikeParts) -> Sequence[Reach]:
        """Every place along the chain where the work can be left, up to the first that the slot is too short
        for: once for all that take as long."""
        if like.runs or like.waits:
            return list(self._along(like))
        key = self._alike(like)
        if key not in self._found:
            self._found[key] = list(self._along(like))
        return self._found[key]

    def _alike(self, like: LikeParts) -> tuple[int, int, int]:
        """The same for all that go as far in as long, with the same set-ups."""
        return self._times.same_times(like), len(like.chain), like.gap_after

    def _along(self, like: LikeParts) -> Iterator[Reach]:
        mark = like.marks[0]
        waits_within = like.waits
        time = before_gap = TimeOfPiece()
        steady: TimeOfPiece | None = None
        run = unbroken = unbroken_all = 0.0
        run_from = held_from = 0
        loud = starts_wait = False
        limits: set[str] = set()  # steps that short limits wait for: till then it is no more than put down
        passes = self._chains.along(mark, like.chain, like.running) if waits_within else ()
        stands = stands_longest = held = at_once = beside = 0.0
        held_families: set[SetUp] = set()
        families: tuple[SetUp, ...] = ()
        for length, (procedure, step) in enumerate(like.chain, 1):
            of_step = self._times.time_at(like, length - 1)
            time = time.and_then(of_step.moments)
            if step.stop != "anywhere":
                steady = time
                run += of_step.median_minutes
            if waits_within:
                stands += passes[length - 1] if length - 1 > held_from else 0.0
                held += of_step.median_minutes
                limits.discard(step.id)
                limits.update(self._chains.short_limits(mark, procedure, step))
            if length <= like.gap_after:
                before_gap = time
            loud = loud or step.conditions.loud
            starts_wait = starts_wait or bool(step.waits)
            end_by = self._quiet_in if loud else None
            for name in self._times.set_ups_at(like, length - 1):
                if name not in families and (name != NOTHING or not families):
                    families = (*families, name)
                held_families.add(name)
            if step.stop == "go straight on":
                continue  # this is no place to leave it
            if length - run_from > 1 or step.batch == "together":
                unbroken_all = max(unbroken_all, run)
            unbroken, run, run_from = max(unbroken, run), 0.0, length
            if stands > stands_longest:
                stands_longest = stands
                beside = stands + sum(self._times.set_up[one] for one in held_families)
                at_once = held + beside
            if not limits:
                stands, held, held_from = 0.0, 0.0, length
                held_families.clear()
            over_gap = 0 < like.gap_after < length
            if end_by is not None and (over_gap or like.runs):
                continue  # loud after a wait, with quiet hours ahead, is for another evening
            waiting = sat_out(passes[:length], like.gap_after) if waits_within else 0.0
            drying = self._chains.drying(mark, procedure, step) if step.waits else 0.0
            reach = Reach(
                steps=length,
                time=time,
                steady=steady,
                before_gap=before_gap,
                unbroken=unbroken,
                unbroken_all=unbroken_all,
                at_once=at_once,
                beside=beside,
                families=families,
                end_by=end_by,
                over_gap=over_gap,
                waiting=waiting,
                drying=drying,
                waits=starts_wait,
                known={},
            )
            yield reach
            if reach.minutes(1 - like.done) + waiting > self._minutes:
                return  # further along it takes longer still
