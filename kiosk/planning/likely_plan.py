"""The plan of a slot that is as likely to fit as wanted: the best of all that was found, made smaller until
it is, its limits kept, what would go to waste saved, and what may not be left as it is in it."""

from dataclasses import replace

from kiosk.dataclass import dataclass
from kiosk.planning.as_told import as_told
from kiosk.planning.choose.exact import Choice, choose
from kiosk.planning.choose.option import Option
from kiosk.planning.keep_limits import LeftOut, as_it_was, made_too_long, that_keeps_its_limits
from kiosk.planning.plan import WANTED_CHANCE, Plan
from kiosk.planning.times.chance import QUICK_TRIALS
from kiosk.planning.work.found_work import FoundWork
from kiosk.planning.work.in_reserve import FEWEST_AT_ONCE, could_be_chosen
from kiosk.planning.work.reaches import STEADY_CHANCE

# What fills the slot may make it so much less likely that what would go to waste is saved.
COST_OF_FILLING = 0.05
TIGHTENINGS = 3  # how often a plan is made smaller to reach it
FINE_TIGHTENINGS, FINE_MINUTES = 12, 2  # and where more than usual is wanted, by so little each time


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
    return _with_what_stands(plan.found, minutes) if plan.leaves_in_a_run() else plan


def _with_what_stands(found: FoundWork, minutes: int) -> Plan:
    """All parts that may not be left as they are, where no set that keeps every rule has room for them, such
    as a coat that ends as quiet hours begin; and what has room in the rest of the slot."""
    found = found.with_made(found.reserve)
    stands = Plan.of_what_stands(found)
    late = as_told(stands.stretches, stands.set_up_minutes_of).late
    out = found.free.union(stands.chosen.families)
    takes = stands.minutes + stands.idle_minutes
    # In a wait of its own there is room for what has limits too; else they are nearer by what it takes.
    for spent in (0, takes) if stands.idle_minutes else (takes,):
        limit = minutes - stands.minutes
        beside = _later_on(found, stands, spent)
        while limit > 0:
            others = choose(beside, found.set_up, limit, out, order=found.families)
            if not others.options:
                break
            families = tuple(dict.fromkeys((*stands.chosen.families, *others.families)))
            both = replace(
                others,
                options={**stands.chosen.options, **others.options},
                worth=stands.chosen.worth + others.worth,
                minutes=stands.chosen.minutes + others.minutes,
                families=families,
            )
            plan = Plan(found, both)
            in_time = not plan.told.late and as_told(plan.stretches, plan.set_up_minutes_of).late <= late
            if in_time and is_enough(plan, plan.chance(minutes, QUICK_TRIALS), None):
                return plan
            limit = others.minutes - FINE_MINUTES
    return stands


def _later_on(found: FoundWork, stands: Plan, spent: int) -> list[tuple[Option, ...]]:
    """The options of what is not in a plan, as they are once so many minutes of the slot are over. Options
    keep their places: what cannot be done any more, is loud, or keeps a tool, is made too long."""

    def later(option: Option) -> Option:
        begin, waits = option.start_by, option.waits
        begin = None if begin is None else begin - spent
        after = option.after
        if option.waits_already:
            waits = max(0, waits - spent)
            after = after if waits else 0
        if option.end_by is not None or option.hold is not None or (begin is not None and begin < 0):
            return found.too_long(option)
        return option._replace(start_by=begin, waits=waits, after=after)

    return [
        () if number in stands.chosen.options else tuple(map(later, candidate.options))
        for number, candidate in enumerate(found.candidates)
    ]


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


def _that_keeps_its_limits(found: FoundWork, minutes: int) -> Plan:
    """The best plan in which no limit is missed beside a wait that it begins itself."""

    def without(left_out: LeftOut) -> Plan:
        nonlocal found
        if not left_out:
            plan = best_plan(found, minutes)
        else:
            best = best_plan(replace(found, candidates=made_too_long(found, left_out)), minutes)
            plan = Plan(as_it_was(best.found, found), best.chosen)
        found = plan.found  # what was made once stays made
        return plan

    return that_keeps_its_limits(without, lambda plan: plan, lambda plan: plan.chosen.worth)


def _likeliest(found: FoundWork, minutes: int) -> Plan:
    best: tuple[Plan, float] | None = None
    saved: Saved | None = None
    limit = minutes
    for tried in range(1, FINE_TIGHTENINGS + 1):
        plan = _that_keeps_its_limits(found, limit)
        found = plan.found  # what was made once stays made
        stands = best is not None and plan.leaves_in_a_run()  # so small a plan has no room for it
        if stands:
            plan = _with_what_stands(found, minutes)
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
