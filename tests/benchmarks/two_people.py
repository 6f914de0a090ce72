"""Benchmark, run by hand: the choice for two and for three at the bench against one mixed-integer program.

States are taken from the middle of builds (:mod:`tests.benchmarks.mid_build`). For each, the choice for the
builder with a child of 13, with an adult, and with both is compared with HiGHS on the same options; what has
a limit or holds a wait is left out of both. Where the solver has not proved the best in some seconds, the
loss is told against what no set can pass, and is no more than that. Beside it: how many sets the kiosk itself
calls exact with all options, how likely each person's set is to fit, and how much of the helper's time is
used.

    python -m tests.benchmarks.two_people 40 3      # how many states, and a seed
"""

import statistics
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from unittest.mock import patch

from kiosk.planning.choose.together import Hands, Together, choose_together
from kiosk.planning.plan import WANTED_CHANCE
from kiosk.planning.spare import spare
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from tests.benchmarks.mid_build import MidBuild, at_the_bench, middles_of_build
from tests.benchmarks.spare_minutes import BEGUN
from tests.planning.joint_milp import joint_bound, usual_only

SHARES = (0.1, 0.2, 0.3, 0.4, 0.5)
SLOTS = (12, 20, 30, 45, 60)
MOST_SECONDS = 5.0  # for the solver, so that no state holds up the table; each took less than one so far
HELPERS = (("pip",), ("odile",), ("pip", "odile"))


@dataclass
class Tally:
    """What was seen with one set of helpers."""

    states: int = 0
    best: int = 0
    not_proved: int = 0
    losses: list[float] = field(default_factory=list)
    called_exact: int = 0
    unlikely: int = 0  # sets that fit less often than wanted
    sets: int = 0
    used: list[float] = field(default_factory=list)  # of a helper's minutes

    def row(self, names: Sequence[str]) -> str:
        """One line of the table."""
        loss, worst = statistics.mean(self.losses), max(self.losses)
        return (
            f"{'+'.join(names):12s} {self.states:6d} {self.best:6d} {self.not_proved:10d}"
            f" {loss:8.2%} {worst:8.2%}"
            f" {self.called_exact:6d} {self.unlikely:5d} of {self.sets:4d} {statistics.mean(self.used):8.2f}"
        )


class Asked:
    """Stands in for the choice and keeps what it was asked first."""

    def __init__(self) -> None:
        self.first: tuple[Sequence[Hands], Mapping[str, int], Together] | None = None

    def choose(
        self, people: Sequence[Hands], there_are: Mapping[str, int], *, most_branches: int
    ) -> Together:
        """Choose, and keep the question."""
        found = choose_together(people, there_are, most_branches=most_branches)
        if self.first is None:
            self.first = (people, there_are, found)
        return found


def look(build: MidBuild, names: Sequence[str], minutes: int, tally: Tally) -> None:
    """Compare one answer with the solver's."""
    people = [build.shop.people[name] for name in ("wren", *names)]
    asked = Asked()
    with patch("kiosk.planning.with_helpers.choose_together", asked.choose):
        answer = spare(replace(build.context, people=people, doer=people[0]), minutes)
    assert asked.first is not None
    hands, there_are, whole = asked.first
    usual = [usual_only(one) for one in hands]
    found = choose_together(usual, there_are)
    best, is_best = joint_bound(usual, there_are, MOST_SECONDS)
    assert found.worth <= best + 0.5, "better than the best: a tie is broken"
    tally.states += 1
    tally.best += found.worth >= best - 0.5
    tally.not_proved += not is_best
    tally.losses.append((best - found.worth) / best if best else 0.0)
    tally.called_exact += whole.exact
    if answer.suggestions:
        tally.sets += 1
        tally.unlikely += answer.chance < WANTED_CHANCE - 0.02
    for name in names:
        theirs = [one for one in answer.helper_does if one.by == name]
        lent = sum(one.minutes for one in answer.suggestions if one.beside == name)
        tally.used.append(min(1.0, (sum(one.minutes for one in theirs) + lent) / minutes))
        if theirs:
            tally.sets += 1
            tally.unlikely += theirs[0].chance < WANTED_CHANCE - 0.02


def main() -> None:
    """Print the table."""
    wanted, seed = int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 3
    shop = load_shop(data_folder("scenarios") / "brambling")
    tallies = {names: Tally() for names in HELPERS}
    states = 0
    while states < wanted:
        for build in middles_of_build(shop, BEGUN, seed, SHARES):
            at_the_bench(build, 18)
            for minutes in SLOTS:
                build.act()
                build.go(1)
                if states < wanted:
                    states += 1
                    for names in HELPERS:
                        look(build, names, minutes, tallies[names])
            if states == wanted:
                break  # another middle of a build takes seconds to make
        seed += 1
    print(f"{'helpers':12s} states   best not proved     loss    worst  exact  unlikely sets  time used")
    for names, tally in tallies.items():
        print(tally.row(names))


if __name__ == "__main__":
    main()
