"""The figures of many builds as tables in Markdown."""

import math
import statistics
from collections.abc import Callable, Iterator, Sequence

from tests.benchmarks.whole_builds.figures import LENGTHS, Figures

BINS = 5  # of stated chances, each with as many plans


def _mean(value: Callable[[Figures], float | None]) -> Callable[[Sequence[Figures]], str]:
    def shown(builds: Sequence[Figures]) -> str:
        found = [one for build in builds if (one := value(build)) is not None]
        if not found:
            return "–"
        mean = statistics.fmean(found)
        return f"{mean:,.2f}" if abs(mean) < 10 else f"{mean:,.0f}"

    return shown


COLUMNS: dict[str, Callable[[Sequence[Figures]], str]] = {
    "builds": lambda builds: str(len(builds)),
    "not finished": lambda builds: str(sum(not one.finished for one in builds)),
    "sittings": _mean(lambda one: one.sittings),
    "hours": _mean(lambda one: one.hours),
    "set-up min": _mean(lambda one: one.set_up_minutes),
    "left over min": _mean(lambda one: one.left_over_minutes),
    "idle sittings": _mean(lambda one: one.idle_sittings),
    "overruns": _mean(lambda one: one.overruns),
    "by choice": _mean(lambda one: one.overruns_by_choice),
    "half-done days": _mean(lambda one: one.half_done_days),
    "first day to be proud of": _mean(lambda one: one.first_proud_day),
    "spoiled": _mean(lambda one: one.spoiled),
    "bought again": _mean(lambda one: one.bought_again),
    "jig taken": _mean(lambda one: one.jig_taken),
    "refused": _mean(lambda one: one.refused),
    "use of slot": _mean(lambda one: one.use_of_slot if one.slots_with_work else None),
    "ms a plan": _mean(lambda one: one.plan_ms),
}


def policy_table(builds: Sequence[Figures], before: Sequence[Figures]) -> Iterator[str]:
    """A row for each way of choosing, and how its sittings compare with the kiosk's, build by build."""
    table = _by_policy(builds)
    table |= {f"{name} of e4a1dcc": rows for name, rows in _by_policy(before).items()}
    others = ("kiosk", "kiosk of e4a1dcc")
    head = ["policy", *COLUMNS, *(f"against the {name}" for name in others)]
    yield f"| {' | '.join(head)} |"
    yield f"|{'---|' * len(head)}"
    seeds = {one.seed for one in builds}
    for name, rows in table.items():
        same = [one for one in rows if one.seed in seeds]
        cells = [shown(same) for shown in COLUMNS.values()]
        cells += ["–" if name == other else paired(same, table.get(other, ())) for other in others]
        if same:
            yield f"| {' | '.join([name, *cells])} |"


def _by_policy(builds: Sequence[Figures]) -> dict[str, list[Figures]]:
    found: dict[str, list[Figures]] = {}
    for one in builds:
        found.setdefault(one.policy, []).append(one)
    return found


def paired(builds: Sequence[Figures], others: Sequence[Figures]) -> str:
    """How many more sittings than the others on the same seeds, its standard error, and how often fewer."""
    sittings = {one.seed: one.sittings for one in others}
    shares = [one.sittings / sittings[one.seed] - 1 for one in builds if one.seed in sittings]
    if not shares:
        return "–"
    mean = f"{statistics.fmean(shares) * 100:+.1f}"
    if len(shares) > 1:
        mean += f" ± {statistics.stdev(shares) / math.sqrt(len(shares)) * 100:.1f}"
    return f"{mean} %, fewer in {sum(share < 0 for share in shares)} of {len(shares)}"


def chance_table(builds: Sequence[Figures]) -> Iterator[str]:
    """Stated chance against what came, in bins of as many plans each, and by the length of the slot."""
    plans = sorted((plan for one in builds for plan in one.plans), key=lambda plan: (plan[1], plan[0]))
    if not plans:
        return
    yield "| plans | stated | came | planned share of the slot |"
    yield "|---|---|---|---|"
    for number in range(BINS):
        some = plans[number * len(plans) // BINS : (number + 1) * len(plans) // BINS]
        if some:
            yield f"| {len(some)} by chance {some[0][1]:.2f} to {some[-1][1]:.2f} {_chances(some)}"
    for low, high in LENGTHS:
        some = [plan for plan in plans if low <= plan[0] < high]
        if some:
            yield f"| {len(some)} in slots of {low:.0f} to {high:.0f} min {_chances(some)}"
    yield f"| {len(plans)} in all {_chances(plans)}"


def _chances(plans: Sequence[tuple[int, float, bool, int]]) -> str:
    stated = statistics.fmean(plan[1] for plan in plans)
    came = statistics.fmean(plan[2] for plan in plans)
    used = statistics.fmean(plan[3] / plan[0] for plan in plans)
    return f"| {stated:.3f} | {came:.3f} | {used:.2f} |"


def use_table(builds: Sequence[Figures]) -> Iterator[str]:
    """The share used of slots in which something could be begun, by their length, and how many there are;
    then of those at whose end work that can be left at any moment was still there, with no set-up."""
    yield f"| policy | {' | '.join(f'{low:.0f} to {high:.0f} min' for low, high in LENGTHS)} |"
    yield f"|{'---|' * (len(LENGTHS) + 1)}"
    for name, rows in _by_policy(builds).items():
        yield _use(name, [one.used_by_length for one in rows])
        yield _use(f"{name}, work there to the end", [one.used_to_the_end for one in rows])


def _use(name: str, builds: Sequence[Sequence[tuple[int, float]]]) -> str:
    cells = []
    for of_length in zip(*builds, strict=True):
        count, total = (sum(column) for column in zip(*of_length, strict=True))
        cells.append(f"{total / count:.2f} ({count:.0f})" if count else "–")
    return f"| {name} | {' | '.join(cells)} |"
