"""How far parts can go on from each place of their route: worked out once a place, and then only looked up.

What can follow what from a place, the minutes that are left and the work that lies behind follow from the
route of the kind alone, and that never changes: a changed file makes another. Only what stops a step is of
the moment, and how long a step takes, and both are the same for many: so each step is told here by a number
for what it asks of the bench, and by one for what its times are learnt as.
"""

from collections.abc import Callable

from kiosk.dataclass import dataclass
from kiosk.planning.choose.option import NOTHING
from kiosk.planning.work.chain import Chains, Steps
from kiosk.record.context import Context
from kiosk.record.holding import HeldTools
from kiosk.record.lessons import times_follow_kind
from kiosk.record.position import Position
from kiosk.record.readiness import Block
from kiosk.shop.procedure import Family, Procedure, Step
from kiosk.shop.route import Route

StopsOf = Callable[[Step], list[Block]]


@dataclass(frozen=True, slots=True)
class TimedAs:
    """What the time of a step on a part kind is told apart by, with one step that has it."""

    number: int
    procedure: Procedure
    step: Step
    kind: str
    follows_kind: bool  # it takes other times on other kinds
    alike: int  # the same number for all kinds on which as much is expected, while nobody did it on them
    family: Family  # that it is set up with; ``NOTHING`` where nothing is


@dataclass(frozen=True, slots=True)
class WayAhead:
    """What lies before a part at one place of its route, and what lies behind it."""

    left: Steps
    minutes_left: float  # of one part, by the estimates
    steps_done: int
    minutes_done: float
    chain: tuple[tuple[Procedure, Step], ...]  # that follow one another where nothing stops any of them
    gap_after: int  # steps of the chain before a wait that other things fill; 0: none
    asks: tuple[Step, ...]  # for each step of the chain, the one that stands for all that ask for the same
    times: tuple[TimedAs, ...]  # of each step of the chain
    ids: tuple[tuple[str, str], ...]  # of the procedure and the step, along the chain
    alike: frozenset[int]  # the same number for steps of which as much is expected: ``TimedAs.alike``
    waits: bool  # a step of the chain starts a wait or a limit
    takes: bool  # its first step takes a tool through a wait

    def now(self, stops_of: StopsOf) -> tuple[tuple[tuple[Procedure, Step], ...], int]:
        """The steps that can follow one another at this moment, and after how many of them a wait is."""
        for number, step in enumerate(self.asks):
            if stops_of(step):
                return self.chain[:number], self.gap_after if self.gap_after < number else 0
        return self.chain, self.gap_after


class WaysAhead:
    """The ways ahead from all places of all routes that were asked for."""

    def __init__(self) -> None:
        self._of: dict[str, tuple[Route, dict[tuple[int, int], WayAhead | None]]] = {}
        self._timed: dict[tuple[object, ...], TimedAs] = {}
        self._alike: dict[tuple[object, ...], int] = {}

    def at(self, context: Context, route: Route, where: Position) -> WayAhead | None:
        """The way ahead of a part that stands there; None where it hangs on more than the route: on what was
        repaired, or on minutes that are read at the bench."""
        if where.step is None:
            return None
        known = self._of.get(route.kind.id)
        if known is None or known[0] is not route:
            known = self._of[route.kind.id] = (route, {})
        ways = known[1]
        place = (where.stage, where.number)
        if place not in ways:
            ways[place] = self._worked_out(context, route, where)
        return ways[place]

    def _worked_out(self, context: Context, route: Route, where: Position) -> WayAhead | None:
        if route.repairs:
            return None
        left = route.steps_from(where.stage, where.number - 1)
        tools = HeldTools(context)
        chains = Chains(context.shop, context.state, _nothing_stops, tools)
        chain, gap = chains.following(where.mark, left, may_wait=True)
        if any(wait.from_check is not None for _, step in chain for wait in step.waits):
            return None
        times = tuple(self.timed_as(route.kind.id, procedure, step) for procedure, step in chain)
        done = route.steps_before(where.stage, where.number - 1)
        return WayAhead(
            left=left,
            minutes_left=route.minutes_from(where.stage, where.number - 1),
            steps_done=done,
            minutes_done=route.minutes_to[done - 1] if done else 0.0,
            chain=tuple(chain),
            gap_after=gap,
            asks=tuple(context.kept.positions.asking(step) for _, step in chain),
            times=times,
            alike=frozenset(one.alike for one in times),
            ids=tuple((procedure.id, step.id) for procedure, step in chain),
            waits=any(step.waits for _, step in chain),
            takes=bool(chain and tools.taken(*chain[0])),
        )

    def timed_as(self, kind_id: str, procedure: Procedure, step: Step) -> TimedAs:
        """What the time of a step on a kind is told apart by."""
        minutes, follows = step.minutes, times_follow_kind(procedure, step)
        same = (procedure.id, step.id, follows, minutes.each, minutes.set_up, minutes.put_away)
        known = (*same, kind_id if follows else "")
        found = self._timed.get(known)
        if found is None:
            alike = self._alike.setdefault(same, len(self._alike))
            family = procedure.family_of(step) if step.is_set_up_for else NOTHING
            found = TimedAs(len(self._timed), procedure, step, kind_id, follows, alike, family)
            self._timed[known] = found
        return found


def _nothing_stops(step: Step) -> list[Block]:
    """As if any step could begin."""
    return []
