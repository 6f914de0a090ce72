"""The choice for several people at once as one mixed-integer program, solved by scipy's HiGHS: the reference.

It shares nothing with the kiosk's search. What has a limit or holds a wait has no place in it.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from kiosk.planning.choose.option import SetUp
from kiosk.planning.choose.together import Hands

TIME_IS_UP = 1  # scipy.optimize.milp's status


def usual_only(hands: Hands) -> Hands:
    """The same without the options that have a limit or hold a wait."""
    kept = [[place for place, one in enumerate(of) if one.usual] for of in hands.options]
    return replace(
        hands,
        options=[[of[place] for place in places] for of, places in zip(hands.options, kept, strict=True)],
        uses=[[of[place] for place in places] for of, places in zip(hands.uses, kept, strict=True)],
    )


def joint_worth(people: Sequence[Hands], there_are: Mapping[str, int]) -> float:
    """The greatest worth of all sets together, less one for each family that somebody sets up."""
    worth, is_greatest = joint_bound(people, there_are)
    assert is_greatest
    return worth


def joint_bound(
    people: Sequence[Hands], there_are: Mapping[str, int], seconds: float = math.inf
) -> tuple[float, bool]:
    """The greatest worth, where so many seconds are enough to prove it, and True; else what it cannot pass,
    and False."""
    taken = [
        (person, number, option, hands.uses[number][place])
        for person, hands in enumerate(people)
        for number, of in enumerate(hands.options)
        for place, option in enumerate(of)
    ]
    if not taken:
        return 0.0, True
    named: dict[tuple[str, int, SetUp], int] = {}  # what, whose, and which family or thing
    rows: list[tuple[dict[int, float], float]] = []

    def column(what: str, person: int, which: SetUp) -> int:
        return named.setdefault((what, person, which), len(taken) + len(named))

    # Of a candidate at most one option is taken, so one row for all of them that use a family or a thing: a
    # row for each would leave much more room between the whole numbers.
    using: dict[tuple[int, int, int], dict[int, float]] = {}
    for place, (person, number, option, use) in enumerate(taken):
        for family in option.families:
            if family not in people[person].free:
                of_family = column("family", person, family)
                using.setdefault((person, number, of_family), {of_family: -1.0})[place] = 1.0
        for thing, amount in use.things.items():
            of_thing = column("thing", person, thing)
            using.setdefault((person, number, of_thing), {of_thing: -1.0})[place] = float(amount)
    rows += [(row, 0.0) for row in using.values()]
    for person, hands in enumerate(people):
        minutes = {
            place: float(option.minutes) for place, (of, _, option, _) in enumerate(taken) if of == person
        }
        for place, (of, _, _, use) in enumerate(taken):
            if of != person and use.minutes and use.whose == person:
                minutes[place] = float(use.minutes)
        for name, at in named.items():
            if name[:2] == ("family", person):
                minutes[at] = float(hands.set_up.get(name[2], 0))
        rows.append((minutes, float(hands.minutes)))
        for number in range(len(hands.options)):
            of_one = {
                place: 1.0
                for place, (of, candidate, _, _) in enumerate(taken)
                if (of, candidate) == (person, number)
            }
            rows.append((of_one, 1.0))
    for thing in {str(name[2]) for name in named if name[0] == "thing"}:
        users = {at: 1.0 for name, at in named.items() if name[0] == "thing" and name[2] == thing}
        rows.append((users, float(there_are[thing])))
    size = len(taken) + len(named)
    worth = numpy.zeros(size)
    worth[: len(taken)] = [-option.worth for _, _, option, _ in taken]
    for name, at in named.items():
        worth[at] = 1.0 if name[0] == "family" else 0.0
    most = numpy.ones(size)
    for name, at in named.items():
        most[at] = 1.0 if name[0] == "family" else float(there_are[str(name[2])])
    entries = [(number, at, value) for number, (row, _) in enumerate(rows) for at, value in row.items()]
    of_rows, of_columns, values = zip(*entries, strict=True)
    matrix = csr_array((values, (of_rows, of_columns)), shape=(len(rows), size))
    solved = milp(
        worth,
        constraints=LinearConstraint(matrix, -numpy.inf, numpy.array([limit for _, limit in rows])),
        integrality=numpy.ones(size),
        bounds=Bounds(0, most),
        options={"mip_rel_gap": 0, "time_limit": seconds},
    )
    if solved.success:
        return round(-float(solved.fun)), True
    assert solved.status == TIME_IS_UP and solved.mip_dual_bound is not None, solved.message
    return math.floor(-float(solved.mip_dual_bound) + 1e-6), False
