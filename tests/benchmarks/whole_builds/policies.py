"""Ways of choosing what to do next: the kiosk's, and simple ones that it has to be better than.

The simple ones carry on with what is in hand, then take what fits by what their builder guesses; a step that
can be left anywhere they also begin when it does not fit, but for the strict one.
"""

import math
from collections.abc import Callable, Mapping
from functools import partial

from kiosk.record.quiet_hours import minutes_until_quiet
from kiosk.record.readiness import step_blocks
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.shop import Shop
from tests.benchmarks.whole_builds.build import Build, Chain, Choice, Policy
from tests.benchmarks.whole_builds.random_numbers import random_of
from tests.benchmarks.whole_builds.set_up import more_than_out, with_more

BEGIN_ANYWHERE_MINUTES = 6.0  # the least for which something is begun that can't be finished
UNHEARD_OF_MINUTES = 1e9  # it would be heard in quiet hours
WAIT_STRAIGHT_ON_MINUTES = 30.0  # reckoned for a wait within what can't be left
A_FEW_MINUTES = 5.0


def kiosk(build: Build, left: float) -> Choice | None:
    """The first thing that the kiosk says can be begun now; what may not be left waits for its turn.

    What waits is set up for first. Where all that is left of its plan waits, as washed parts that dry, the
    wait is sat out, as the plan says.
    """
    answer = build.answer = build.bench.spare(int(build.left_minutes))
    if (ahead := answer.set_up_ahead) is not None:
        return Choice(ahead.marks, [(ahead.procedure, ahead.step)], set_up=True)
    stands = [one for one in answer.suggestions if build.may_not_be_left(one.marks[0])]
    waits = [one.ready_in for one in answer.suggestions if one.ready_in]
    for suggestion in (*answer.suggestions, *(() if stands or waits else answer.instead)):
        if suggestion.ready_in:
            break  # its wait still runs, and what is told after it comes after it
        if suggestion.work is None and not build.can_take(suggestion.marks, suggestion.stretch.steps):
            build.figures.jig_taken += 1
            continue
        stretch = suggestion.stretch
        keep_back = sum(one.minutes for one in stands if one is not suggestion)
        return Choice(
            suggestion.marks,
            stretch.steps,
            suggestion.work,
            told=True,
            gap_after=stretch.gap_after,
            must=suggestion in stands,
            keep_back=keep_back,
            called_in=min(waits, default=math.inf),
        )
    if stands:
        return Choice(stands[0].marks, stands[0].stretch.steps, must=True, told=True)
    return Choice((), (), sat_out=min(waits)) if waits else None


# What the simple ones are made of


def in_hand(build: Build) -> Choice | None:
    """The step in hand that can go on."""
    bench = build.bench
    for work in bench.state.works.values():
        procedure, step = build.shop.find_step(work.procedure, work.step, work.turned_to)
        if work.status == "unknown" or procedure is None or step is None:
            continue
        if not step_blocks(bench.context, step):
            return Choice(work.marks, [(procedure, step)], work.id)
    return None


def need(build: Build, chain: Chain, count: int) -> float:
    """Minutes that so many parts are guessed to need, set-ups and closing up included."""
    guess, families, minutes = build.guess, dict(build.families), 0.0
    quiet_in: float | None = None
    if any(step.conditions.loud for _, step in chain):
        quiet_in = minutes_until_quiet(build.shop, build.clocks.now())
    for number, (procedure, step) in enumerate(chain):
        minutes += guess.planned(procedure, step) * count
        family = procedure.family_of(step)
        more = more_than_out(families, procedure, step)
        families[family] = with_more(families, family, more)
        minutes += guess.set_up_and_away(more)
        if number and chain[number - 1][1].stop == "go straight on":
            waits = [wait for wait in chain[number - 1][1].waits if wait.must_pass and wait.before == step.id]
            minutes += WAIT_STRAIGHT_ON_MINUTES * len(waits)
        if step.conditions.loud and quiet_in is not None and minutes > quiet_in:
            return UNHEARD_OF_MINUTES
    return minutes + 1 + guess.closing()


def fits(build: Build, chain: Chain, left: float, *, strict: bool) -> bool:
    """True when one part through the chain is guessed to fit, or may be begun all the same."""
    minutes = need(build, chain, 1)
    if minutes <= left:
        return True
    anywhere = chain[0][1].stop == "anywhere"
    return not strict and anywhere and left >= BEGIN_ANYWHERE_MINUTES and minutes < UNHEARD_OF_MINUTES


# The simple ones


class RosterOrder:
    """The part that was worked at last, then the first of the roster that can go on."""

    def __init__(self) -> None:
        self.mark: str | None = None

    def __call__(self, build: Build, left: float) -> Choice | None:
        """Choose."""
        going_on = in_hand(build)
        if going_on is not None:
            return going_on
        ready = build.ready()
        last = [one for one in ready if one[0] == self.mark]
        for mark, procedure, step in (*last, *ready):
            chain = build.stretch(mark, procedure, step)
            if fits(build, chain, left, strict=False):
                self.mark = mark
                return Choice((mark,), chain)
        return None


def best_one(worth: Callable[[float], float], build: Build, left: float) -> Choice | None:
    """One part: the one of greatest worth by the minutes that it needs."""
    going_on = in_hand(build)
    if going_on is not None:
        return going_on
    seen: set[tuple[str, str, str]] = set()
    best: tuple[float, Choice] | None = None
    for mark, procedure, step in build.ready():
        key = (build.shop.parts[mark].kind, procedure.id, step.id)
        if key in seen:
            continue
        seen.add(key)
        chain = build.stretch(mark, procedure, step)
        if fits(build, chain, left, strict=False):
            value = worth(need(build, chain, 1))
            if best is None or value > best[0]:
                best = (value, Choice((mark,), chain))
    return best[1] if best is not None else None


Rank = Callable[[Build, str, Chain, int], tuple[float, ...]]


def best_batch(rank: Rank, build: Build, left: float, *, strict: bool = False) -> Choice | None:
    """As many like parts as fit, of the kind and step that ranks highest."""
    going_on = in_hand(build)
    if going_on is not None:
        return going_on
    groups: dict[tuple[str, str, str], tuple[Chain, list[str]]] = {}
    for mark, procedure, step in build.ready():
        key = (build.shop.parts[mark].kind, procedure.id, step.id)
        groups.setdefault(key, (build.stretch(mark, procedure, step), []))[1].append(mark)
    best: tuple[tuple[float, ...], Choice] | None = None
    for (kind, _, _), (chain, marks) in groups.items():
        count = 0
        most = build.can_take(marks, chain)
        while count < most and need(build, chain, count + 1) <= left:
            count += 1
        if count == 0:
            if not fits(build, chain, left, strict=strict):
                continue
            count = 1
        value = rank(build, kind, chain, count)
        if best is None or value > best[0]:
            best = (value, Choice(tuple(marks[:count]), chain))
    return best[1] if best is not None else None


def most_parts(build: Build, kind: str, chain: Chain, count: int) -> tuple[float, ...]:
    """The biggest batch."""
    return (count,)


class Thumb:
    """The rule of thumb: tooling first, then no trifles, the biggest batch, the longest road."""

    def __init__(self) -> None:
        self.road: Road | None = None

    def __call__(self, build: Build, kind: str, chain: Chain, count: int) -> tuple[float, ...]:
        """Rank one kind at one step."""
        self.road = self.road or Road(build.shop)
        shop = build.shop
        minutes = count * sum(step.minutes.each for _, step in chain)
        road = self.road.behind(kind) + self.road.from_step(kind, *chain[0])
        return (shop.kinds[kind].tooling, minutes >= A_FEW_MINUTES, count, road)


class Road:
    """The longest chain of work behind each kind, in the minutes of the procedures."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self._users: dict[str, set[str]] = {}
        for kind in shop.kinds.values():
            for stage in kind.route:
                for needed in stage.needs:
                    self._users.setdefault(needed, set()).add(kind.id)
        for part in shop.parts.values():
            for other in part.made_from:
                self._users.setdefault(shop.parts[other].kind, set()).add(part.kind)
        self._behind: dict[str, float] = {}

    def behind(self, kind: str) -> float:
        """Minutes of the longest chain of kinds that need this one."""
        if kind not in self._behind:
            users = self._users.get(kind, set())
            self._behind[kind] = max((self._route(user) + self.behind(user) for user in users), default=0.0)
        return self._behind[kind]

    def _route(self, kind: str) -> float:
        return sum(step.minutes.each for _, step in self.shop.route_steps(self.shop.kinds[kind]))

    def from_step(self, kind: str, procedure: Procedure, step: Step) -> float:
        """Minutes of a kind's own route from a step on."""
        route = self.shop.route_steps(self.shop.kinds[kind])
        refs = [of.ref(one) for of, one in route]
        return sum(one.minutes.each for _, one in route[refs.index(procedure.ref(step)) :])


def policy(name: str, seed: int) -> Policy:
    """A way of choosing by its name, made anew for one build."""
    return POLICIES[name](seed)


def _random(seed: int) -> Policy:
    numbers = random_of("pol", seed)
    return partial(best_one, lambda minutes: numbers.random())


POLICIES: Mapping[str, Callable[[int], Policy]] = {
    "kiosk": lambda seed: kiosk,
    "roster": lambda seed: RosterOrder(),
    "shortest": lambda seed: partial(best_one, lambda minutes: -minutes),
    "longest": lambda seed: partial(best_one, lambda minutes: minutes),
    "batch": lambda seed: partial(best_batch, most_parts),
    "random": _random,
    "thumb": lambda seed: partial(best_batch, Thumb()),
    "thumb-strict": lambda seed: partial(best_batch, Thumb(), strict=True),
}
