"""How far like parts can go on in one stretch: which steps follow one another, and the waits among them."""

from collections.abc import Callable, Iterator, Mapping, Sequence

from kiosk.record.context import Context
from kiosk.record.events import ClockSet
from kiosk.record.holding import HeldTools
from kiosk.record.readiness import LONG_LIMIT, Block
from kiosk.record.state import Piece, State
from kiosk.record.waits import clocks_on, holds, seconds_left, wait_minutes
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.shop import Shop

LONGEST_CHAIN = 6  # steps ahead that one suggestion may cover, and on to where the work can be left
LONGEST_DRYING = 300  # minutes of a wait that count
LEAST_FILLED = 10  # minutes of a wait for which something else is taken up; a shorter one is sat out

Steps = Sequence[tuple[Procedure, Step]]
Running = Mapping[tuple[str, str], float]  # minutes, by the procedure and the step before which they pass


class Chains:
    """Follows the steps of a part as far as they can be done one after the other."""

    def __init__(
        self, shop: Shop, state: State, stops_of: Callable[[Step], list[Block]], tools: HeldTools
    ) -> None:
        self.shop = shop
        self.tools = tools
        self.state = state
        self.stops_of = stops_of

    def following(
        self, mark: str, left: Steps, *, may_wait: bool, running: Running | None = None
    ) -> tuple[list[tuple[Procedure, Step]], int]:
        """The steps that can follow one another, and after how many of them a wait has to pass (0: none).

        It may be one in which the work can't be left, as of primer that stands: other things fill it too.
        ``running`` are the waits that run already and don't hold the first step.
        """
        chain: list[tuple[Procedure, Step]] = []
        gap = 0
        for procedure, step in left:
            if self.stops_of(step) or (
                chain
                and (
                    (len(chain) >= LONGEST_CHAIN and chain[-1][1].stop != "go straight on")
                    or step.hold_point
                    or (chain[-1][1].stop != "go straight on" and self.tools.taken(procedure, step))
                    or (procedure is not chain[-1][0] and self._needs_something(mark, procedure))
                )
            ):
                break
            if chain and _must_stop_for(chain, procedure, step):
                if gap or not may_wait:
                    break
                gap = len(chain)
            elif not gap and may_wait and chain and self._stands(mark, chain, procedure, step, running):
                gap = len(chain)
            chain.append((procedure, step))
        return chain, gap

    def _stands(
        self, mark: str, chain: Steps, procedure: Procedure, step: Step, running: Running | None
    ) -> bool:
        """True where a wait within what can't be left is long enough for something else."""
        return self.wait_before(mark, [*chain, (procedure, step)], len(chain), running) >= LEAST_FILLED

    def wait_before(self, mark: str, chain: Steps, number: int, running: Running | None = None) -> float:
        """Minutes that have to pass before the step at a place of the chain, beside those that pass before
        the steps ahead of it."""
        return waits_along(self.state, mark, chain[: number + 1], running)[number]

    def along(self, mark: str, chain: Steps, running: Running | None = None) -> list[float]:
        """Minutes that have to pass before each step of a chain (:func:`waits_along`)."""
        return waits_along(self.state, mark, chain, running)

    def short_limits(self, mark: str, procedure: Procedure, step: Step) -> Iterator[str]:
        """The steps that a step's limits wait for, where nobody can be taken to be back in time."""
        for wait in step.waits:
            if wait.within is not None:
                minutes = wait_minutes(self.state, procedure.id, step, wait, Piece(mark))
                if minutes < LONG_LIMIT.total_seconds() / 60:
                    yield wait.step

    def drying(self, mark: str, procedure: Procedure, step: Step) -> float:
        """Minutes of the longest wait that a step starts, as far as they count."""
        waits = [wait for wait in step.waits if wait.must_pass]
        minutes = (wait_minutes(self.state, procedure.id, step, wait, Piece(mark)) for wait in waits)
        return min(LONGEST_DRYING, max(minutes, default=0.0))

    def _needs_something(self, mark: str, procedure: Procedure) -> bool:
        kind = self.shop.kind_of(mark)
        return any(stage.procedure == procedure.id and stage.needs for stage in kind.route)


def waits_along(state: State, mark: str, chain: Steps, running: Running | None = None) -> list[float]:
    """Minutes that have to pass before each step of a chain, beside those before the steps ahead of it.

    They lie along one line of time, on which no step takes any: where a wait from the first coat and one from
    the second run at once, what passes for one passes for the other. ``running`` are the minutes that must
    still pass before a step (:func:`running_waits`).
    """
    found: list[float] = []
    over_at = dict(running or {})  # each step that has to wait, in minutes from the first
    now = 0.0
    for procedure, step in chain:
        begins = max(now, over_at.get((procedure.id, step.id), 0.0))
        found.append(round(begins - now, 6))  # two sums, of which no minute is rounded up for a last digit
        now = begins
        for wait in step.waits:
            if wait.must_pass and wait.before is not None:
                over = now + wait_minutes(state, procedure.id, step, wait, Piece(mark))
                to = (procedure.id, wait.before)
                over_at[to] = max(over_at.get(to, 0.0), over)
    return found


def sat_out(passes: Sequence[float], gap_after: int) -> float:
    """Minutes of waiting within a chain, of those that have to pass before its steps: mixed primer stands.
    That before the step after the gap is not sat out, but filled."""
    return sum(minutes for number, minutes in enumerate(passes) if not gap_after or number != gap_after)


def running_waits(context: Context, mark: str) -> dict[tuple[str, str], float]:
    """Minutes that must still pass on a part, by the procedure and the step before which they must."""
    found: dict[tuple[str, str], float] = {}
    for clock, left in _still_passing(context, mark):
        if left is not None:
            to = (clock.procedure, clock.step)
            found[to] = max(found.get(to, 0.0), left / 60)
    return found


def running_within(context: Context, marks: Sequence[str], chain: Steps) -> dict[tuple[str, str], float]:
    """The longest of those waits on parts that go along a chain together. What holds its first step is over
    when that begins."""
    found: dict[tuple[str, str], float] = {}
    for mark in marks if chain else ():
        for to, minutes in running_waits(context, mark).items():
            found[to] = max(found.get(to, 0.0), minutes)
    first = {(procedure.id, step.id) for procedure, step in chain[:1]}
    return {to: minutes for to, minutes in found.items() if to not in first}


def _still_passing(context: Context, mark: str) -> Iterator[tuple[ClockSet, float | None]]:
    """The waits on a part that are not over, with their seconds; None where nobody knows how many."""
    part = context.state.parts.get(mark)
    if part is None or not (part.clocks or part.work):  # most have none
        return
    for clock in clocks_on(context.shop, context.state, mark):
        left = seconds_left(context, clock) if clock.kind == "must_pass" else 0.0
        if left is None or left > 0:
            yield clock, left


def before_what_waits(context: Context, marks: Sequence[str], chain: Steps) -> int:
    """How many steps of a chain can be done, and left after, before one for which a wait runs already on one
    of the parts: 0 where the first of them leads to it without a stop.

    What holds the first of them is over when that begins. Where nobody knows how long a wait still runs, it
    is taken to last.
    """
    goes = len(chain)
    for mark in marks if chain else ():
        for clock, _ in _still_passing(context, mark):
            if not holds(context.shop, clock, mark, *chain[0]):
                held = (at for at in range(1, goes) if holds(context.shop, clock, mark, *chain[at]))
                goes = next(held, goes)
    if goes < len(chain):
        while goes and chain[goes - 1][1].stop == "go straight on":
            goes -= 1
    return goes


def _must_stop_for(chain: Steps, procedure: Procedure, step: Step) -> bool:
    """True when the step has to wait and the work can be left meanwhile; else the wait is sat out."""
    if chain[-1][1].stop == "go straight on":
        return False
    return any(
        wait.must_pass and wait.before == step.id
        for earlier_in, earlier in chain
        if earlier_in is procedure
        for wait in earlier.waits
    )
