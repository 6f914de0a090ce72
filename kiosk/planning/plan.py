"""One person's plan for a slot: the options chosen, in the order to do them, and the chance that they fit."""

import heapq
from collections.abc import Callable, Container, Iterable, Iterator
from dataclasses import replace
from functools import cached_property

from kiosk.dataclass import dataclass
from kiosk.planning.choose.exact import Choice, Chosen, choose
from kiosk.planning.choose.option import SetUp, set_up_of
from kiosk.planning.times.chance import QUICK_TRIALS, TRIALS, PredictedPieces, chance_of_fitting
from kiosk.planning.times.durations import Duration
from kiosk.planning.told_order import Told, in_told_order
from kiosk.planning.work.candidate import Candidate, Stretch
from kiosk.planning.work.found_work import FoundWork
from kiosk.planning.work.in_reserve import FEWEST_AT_ONCE, could_be_chosen
from kiosk.planning.work.options import CHANGE_OVER_MINUTES
from kiosk.planning.work.reaches import STEADY_CHANCE
from kiosk.shop.procedure import Family, Procedure, Step

# That the whole fits. What must come to an end is planned with a higher chance by itself (work/reaches.py)
# and done first; what is done last can be left, and loses little by running over.
WANTED_CHANCE = 0.55
# Of several parts that start a limit, as washed ones, those are too many that could not end it.
LIMIT_CHANCE = 0.75
# What fills the slot may make it so much less likely that what would go to waste is saved.
COST_OF_FILLING = 0.05
MOST_LEFT_OUT = 24  # ways to leave something out so that limits are met
TIGHTENINGS = 3  # how often a plan is made smaller to reach it
FINE_TIGHTENINGS, FINE_MINUTES = 12, 2  # and where more than usual is wanted, by so little each time


@dataclass(frozen=True)
class Plan:
    """What one person does in the slot."""

    found: FoundWork
    chosen: Chosen
    from_end: bool = False  # the helper takes the last of like parts, the builder the first

    @classmethod
    def alone(cls, found: FoundWork, number: int, place: int, *, from_end: bool = False) -> "Plan":
        """A plan of one option and nothing else."""
        option = found.candidates[number].options[place]
        minutes = found.minutes_alone(option)
        return cls(found, Chosen({number: place}, option.worth, minutes, option.families), from_end)

    @classmethod
    def of_what_stands(cls, found: FoundWork) -> "Plan":
        """All parts that may not be left as they are, to where they may, and nothing else."""
        picked = {}
        for number in _in_a_run(found):
            options = found.candidates[number].options
            picked[number] = max(range(len(options)), key=lambda at: (options[at].pieces, -options[at].steps))
        stands = [found.candidates[number].options[place] for number, place in picked.items()]
        families = tuple(dict.fromkeys(name for option in stands for name in option.families))
        minutes = sum(option.minutes for option in stands) + set_up_of(families, found.set_up, found.free)
        return cls(found, Chosen(picked, sum(option.worth for option in stands), minutes, families))

    @property
    def saves(self) -> int:
        """Parts in it that would go to waste before anybody is back."""
        return sum(
            self.found.candidates[number].options[at].saves for number, at in self.chosen.options.items()
        )

    @cached_property
    def told(self) -> Told:
        """What is done, in order, and what becomes of it."""
        picked = [(self.found.candidates[number], place) for number, place in self.chosen.options.items()]
        last_parts = sum(candidate.options[place].after for candidate, place in picked)
        found = [
            candidate.stretch(
                place, from_end=self.from_end, last_parts=last_parts - candidate.options[place].after
            )
            for candidate, place in picked
        ]
        return in_told_order(found, self._set_up_minutes, self.found.minutes - self.minutes)

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """What is done, in order."""
        return self.told.stretches

    def _set_up_minutes(self, families: Iterable[SetUp], out: Iterable[SetUp]) -> int:
        """Of so many set-ups, without putting away, those that are not out."""
        up = frozenset((*self.found.free, *out))
        return set_up_of(families, self.found.set_up, up) - set_up_of(families, self.found.away, up)

    @property
    def minutes(self) -> int:
        """Of work and set-ups, as they are expected: more than there are where what may not be left does not
        fit."""
        options = (self.found.candidates[number].options[at] for number, at in self.chosen.options.items())
        return self.chosen.minutes + sum(option.past_slot for option in options)

    @property
    def set_up_minutes(self) -> int:
        """Of its minutes, those for setting up and putting away."""
        return self.minutes - sum(stretch.minutes for stretch in self.stretches)

    @property
    def idle_minutes(self) -> int:
        """Of waits that nothing else in the plan fills.

        What has a limit or a wait in it is begun first, with what it sets up before its wait; all that comes
        after waits is done at the end, in the order in which the waits end, and set up for meanwhile. Putting
        away fills no wait: it is done when the bench is left. Where something is told after what waited, all
        is done as it is told.
        """
        if self.told.idle_minutes is not None:
            return self.told.idle_minutes
        clock, out = 0, set(self.found.free)
        away = set_up_of(self.chosen.families, self.found.away, self.found.free)
        ends: list[tuple[int, int]] = []  # of each wait, and the minutes of what comes after it
        for stretch in self.stretches:
            if stretch.ready_in:
                ends.append((stretch.ready_in, stretch.last_minutes))
            elif stretch.gap_minutes or stretch.limit is not None:
                clock += set_up_of(stretch.set_ups, self.found.set_up, frozenset(out))
                clock -= set_up_of(stretch.set_ups, self.found.away, frozenset(out))
                clock += stretch.minutes - stretch.last_minutes
                out.update(stretch.set_ups)
                if stretch.gap_minutes:
                    ends.append((clock + stretch.gap_minutes, stretch.last_minutes))
        clock = self.minutes - away - sum(last for _, last in ends)
        idle = 0
        for ready, last in sorted(ends):
            idle += max(0, ready - clock)
            clock = max(clock, ready) + last
        return idle

    def leaves_in_a_run(self, others: Container[str] = ()) -> bool:
        """True where parts may not be left as they are, and some of them neither the plan nor ``others``, who
        have parts of their own, go on with."""
        return any(
            number not in self.chosen.options
            and not all(mark in others for mark in self.found.candidates[number].marks)
            for number in _in_a_run(self.found)
        )

    @property
    def wanted_chance(self) -> float:
        """The chance that it has to have: more where what was asked for, and can be left at any moment, comes
        before what has to come to an end, and where something that stands and can't be left comes last: what
        fills its wait is not worth being late. Several parts that start a limit are no more than end it."""
        asked = False
        for stretch in self.stretches:
            if (asked and stretch.has_to_end) or (stretch.in_a_run and stretch.ready_in):
                return STEADY_CHANCE
            asked = asked or (stretch.wanted == "first" and not stretch.has_to_end)
        return LIMIT_CHANCE if any(stretch.starts_limit for stretch in self.stretches) else WANTED_CHANCE

    @property
    def is_made_smaller_by_parts(self) -> bool:
        """True where it wants more than usual: then it loses as little as it can to be as likely as that."""
        return self.wanted_chance > WANTED_CHANCE

    def _dearest(self, time_of: Callable[[Procedure, Step], Duration | None]) -> dict[Family, Duration]:
        """What setting up, or putting away, takes of each family that is not out: that of the step which
        wants most of it, as in the minutes of the plan."""
        found: dict[Family, Duration] = {}
        for stretch in self.stretches:
            for procedure, step in stretch.steps:
                family, time = procedure.family_of(step), time_of(procedure, step)
                if time is None or family in self.found.free:
                    continue
                if family not in found or time.median_minutes > found[family].median_minutes:
                    found[family] = time
        return found

    def chance(self, minutes: int, trials: int = TRIALS) -> float:
        """The chance that the whole of it fits in the minutes, with what is kept back to leave the bench.

        All that is done has to fit, and so does each wait with what comes before and after it, however quick
        the hands are that fill it. Both are late on the same evenings: the less likely one is given.
        """
        predictor = self.found.predictor
        leaving: list[PredictedPieces] = list(self.found.leaving)
        # What follows the last thing is learnt as a part of closing up.
        fixed = float(CHANGE_OVER_MINUTES * (len(self.stretches) - (1 if self.found.leaving else 0)))
        minutes += self.found.leaving_minutes
        set_ups = self._dearest(predictor.set_up)
        leaving += [PredictedPieces(one, of_bench=True) for one in self._dearest(predictor.put_away).values()]
        done: list[PredictedPieces] = []
        around: list[tuple[list[PredictedPieces], int]] = []  # what lies around a wait, and its minutes
        stood: list[list[PredictedPieces]] = []  # of those waits that run already
        for stretch in self.stretches:
            fixed += stretch.waiting_minutes
            work: list[PredictedPieces] = []
            for number, (procedure, step) in enumerate(stretch.steps):
                duration = predictor.piece(procedure, step, stretch.kind)
                if stretch.minutes_left:
                    fixed += stretch.minutes - CHANGE_OVER_MINUTES
                elif stretch.done and not number and step.batch == "together":
                    left = 1 - stretch.done / len(stretch.marks)
                    work.append(PredictedPieces(duration, len(stretch.marks), left))
                elif stretch.done and not number:
                    work.append(PredictedPieces(duration, 1, 1 - stretch.done))
                    work.append(PredictedPieces(duration, len(stretch.marks) - 1))
                else:
                    work.append(PredictedPieces(duration, len(stretch.marks)))
                set_up = set_ups.pop(procedure.family_of(step), None)
                if set_up is not None and stretch.gap_minutes and number >= stretch.gap_after:
                    # It is set up while it waits (set_up_ahead.py).
                    done.append(PredictedPieces(set_up, of_bench=True))
                elif set_up is not None:
                    work.append(PredictedPieces(set_up, of_bench=True))
            done += work
            if not stretch.ready_in:
                for before in stood:
                    before += work  # it comes after what waited
            if stretch.gap_minutes:
                before_it = work if self.told.idle_minutes is None else done  # all that is told before
                around.append(([*before_it], stretch.gap_minutes + stretch.waiting_minutes))
                if stretch.ready_in:
                    stood.append(around[-1][0])
        fits = chance_of_fitting([*leaving, *done], fixed, minutes, trials=trials)
        waited = (chance_of_fitting([*leaving, *work], wait, minutes, trials=trials) for work, wait in around)
        return min(fits, *waited) if around else fits


def best_plan(found: FoundWork, minutes: int) -> Plan:
    """The plan of greatest worth, no longer than ``minutes``.

    Of the reserve only those are made that could be in it; all, where there are too many ways to look at.
    """
    limit = min(minutes, found.minutes)
    at_once = FEWEST_AT_ONCE
    while found.reserve:
        # What no set can pass is known at the first look; what the best is worth may take many.
        choice = Choice(found.options, found.set_up, limit, found.free, order=found.families)
        chosen = choice.best_of(2)
        better = could_be_chosen(found.reserve, chosen.bounds[limit], chosen.bounds, limit)[:at_once]
        if chosen.branches > 1 and not better:
            chosen = choice.best_of()
            better = could_be_chosen(found.reserve, chosen.worth, chosen.bounds, limit)
            better = better[:at_once] if chosen.exact else better
        if not better:
            return Plan(found, chosen)
        found = found.with_made(better)
        at_once *= 2
    return Plan(found, choose(found.options, found.set_up, limit, found.free, order=found.families))


def likely_plan(found: FoundWork, minutes: int) -> Plan:
    """The best plan whose chance of fitting is as wanted; the likeliest seen when none reaches it.

    What may not be left as it is, is in it whatever its chance: all of it, where another pot was mixed beside
    the first too.
    """
    plan = _likeliest(found, minutes)
    return Plan.of_what_stands(plan.found) if plan.leaves_in_a_run() else plan


def _in_a_run(found: FoundWork) -> list[int]:
    """The candidates whose parts may not be left as they are."""
    return [number for number, one in enumerate(found.candidates) if one.like.in_a_run and one.options]


@dataclass(frozen=True)
class Saved:
    """As much as can be done, and nothing beside it, of what would go to waste before anybody is back."""

    plan: Plan
    chance: float
    limit: int  # minutes in which it is what can be done


def is_enough(plan: Plan, chance: float, saved: Saved | None) -> bool:
    """True where a plan is as likely as wanted. Beside what it saves it may only hold what leaves that nearly
    as likely as it is by itself."""
    if saved is None:
        return chance >= plan.wanted_chance
    beside = min(STEADY_CHANCE, saved.chance - COST_OF_FILLING)
    return chance >= max(plan.wanted_chance, beside) and plan.saves >= saved.plan.saves


def smaller(plan: Plan, limit: int, step: int) -> int:
    """The minutes in which to look for a plan that is smaller by ``step``, after one that is too unlikely in
    ``limit``."""
    # With the waits that nothing fills: without those a coat was out at the first step.
    return min(limit, plan.chosen.minutes + plan.idle_minutes) - step


LeftOut = frozenset[tuple[int, int]]  # options by the place of their candidate among all, and their own


def _that_keeps_its_limits(found: FoundWork, minutes: int) -> Plan:
    """The best plan in which no limit is missed beside a wait that it begins itself.

    Where one is missed in whatever order it is done, something of it has to be left out: one of those waits,
    or something that has to end. All ways are looked at, the worthiest first, as long as they are not too
    many; then all of those waits are left out.
    """
    plan = best_plan(found, minutes)
    if not plan.told.late:
        return plan
    ways = [(-plan.chosen.worth, 0, frozenset[tuple[int, int]](), plan)]
    seen = {ways[0][2]}
    while ways and len(seen) <= MOST_LEFT_OUT:
        _, _, left_out, plan = heapq.heappop(ways)
        if not plan.told.late:
            return plan
        for more in _one_less(plan):
            if (fewer := left_out | more) not in seen:
                seen.add(fewer)
                other = _best_without(plan.found, minutes, fewer)
                heapq.heappush(ways, (-other.chosen.worth, len(seen), fewer, other))
    while plan.told.late:
        left_out |= _all_waits(plan)
        plan = _best_without(plan.found, minutes, left_out)
    return max([plan, *(way for *_, way in ways if not way.told.late)], key=lambda one: one.chosen.worth)


def _one_less(plan: Plan) -> Iterator[LeftOut]:
    """What to leave out so that one thing of a plan is not in it: one that begins a wait with a limit after
    it, as it is or any such way, or one that has to end."""
    for number, at in plan.chosen.options.items():
        place, candidate = plan.found.places[number], plan.found.candidates[number]
        if candidate.options[at].waits_at_most is not None:
            yield frozenset({(place, at)})
            yield _waits_of(place, candidate)
        elif not candidate.like.in_a_run and not candidate.options[at].saves:
            stretch = candidate.stretch(at)
            if stretch.has_to_end and not stretch.gap_minutes:
                yield frozenset({(place, at)})


def _all_waits(plan: Plan) -> LeftOut:
    """Every way to begin one of the waits in a plan that have a limit after them."""
    found = plan.found
    return frozenset[tuple[int, int]]().union(
        *(
            _waits_of(found.places[number], found.candidates[number])
            for number, at in plan.chosen.options.items()
            if found.candidates[number].options[at].waits_at_most is not None
        )
    )


def _waits_of(place: int, candidate: Candidate) -> LeftOut:
    options = enumerate(candidate.options)
    return frozenset((place, at) for at, option in options if option.waits_at_most is not None)


def _best_without(found: FoundWork, minutes: int, left_out: LeftOut) -> Plan:
    """The best plan without some of the options: they are made too long for it, so that the others keep their
    places."""
    left = [
        replace(
            one,
            options=tuple(
                option._replace(minutes=found.minutes + 1) if (place, at) in left_out else option
                for at, option in enumerate(one.options)
            ),
        )
        for place, one in zip(found.places, found.candidates, strict=True)
    ]
    best = best_plan(replace(found, candidates=tuple(left)), minutes)
    as_found = dict(zip(found.places, found.candidates, strict=True))
    candidates = (
        as_found.get(place, one) for place, one in zip(best.found.places, best.found.candidates, strict=True)
    )
    return Plan(replace(best.found, candidates=tuple(candidates)), best.chosen)


def _likeliest(found: FoundWork, minutes: int) -> Plan:
    best: tuple[Plan, float] | None = None
    saved: Saved | None = None
    limit = minutes
    for tried in range(1, FINE_TIGHTENINGS + 1):
        plan = _that_keeps_its_limits(found, limit)
        found = plan.found  # what was made once stays made
        stands = best is not None and plan.leaves_in_a_run()  # so small a plan has no room for it
        if stands:
            plan = Plan.of_what_stands(found)
        chance = plan.chance(minutes, QUICK_TRIALS)
        if best is None and plan.saves:
            saved = what_is_saved(found, minutes)
            if saved is None:  # none of it is likely enough, whatever there is beside it
                found = _saving_nothing(found)
                continue
        if is_enough(plan, chance, saved) or not plan.chosen.options:
            if plan.chosen.options or best is None:
                return plan
            break
        if best is None or chance >= best[1]:  # of equals the one that is over sooner
            best = (plan, chance)
        if stands or (tried >= TIGHTENINGS and not plan.is_made_smaller_by_parts):
            break
        limit = smaller(plan, limit, FINE_MINUTES if plan.is_made_smaller_by_parts else max(1, minutes // 8))
        if limit <= 0:
            break
    assert best is not None
    return best[0] if saved is None else saved.plan


def what_is_saved(found: FoundWork, minutes: int) -> Saved | None:
    """What can be saved in the minutes, each plan the next smaller than the one before; None where none of it
    is likely enough. Where both are too much, it comes before what only fills the slot."""
    saving = only_saving(found)
    limit = minutes
    while limit > 0 and (plan := Plan(found, _that_keeps_its_limits(saving, limit).chosen)).saves:
        chance = plan.chance(minutes, QUICK_TRIALS)
        if chance >= WANTED_CHANCE:
            return Saved(plan, chance, limit)
        limit = smaller(plan, limit, 1)
    return None


def only_saving(found: FoundWork) -> FoundWork:
    """The same, without options for what saves nothing."""
    saving = tuple(
        one if any(option.saves for option in one.options) else replace(one, options=())
        for one in found.candidates
    )
    return replace(found, candidates=saving, reserve=())


def _saving_nothing(found: FoundWork) -> FoundWork:
    """The same, without the options that save something."""
    left = tuple(
        replace(one, options=tuple(option for option in one.options if not option.saves))
        for one in found.candidates
    )
    return replace(found, candidates=left)
