"""The slot chooser is exact: the same worth as brute force and as an independent solver (HiGHS)."""

import itertools
import random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from kiosk.planning.slot import Chosen, Option, choose

Shop = tuple[list[list[Option]], dict[str, int], int, frozenset[str]]


def random_shop(chance: random.Random, most: int, longest: int) -> Shop:
    families = "abcdef"[: chance.randint(1, 6)]
    candidates = []
    for _ in range(chance.randint(0, most)):
        names, minutes, worth, options = [chance.choice(families)], 0, 0, []
        for _ in range(chance.randint(1, 3)):
            minutes += chance.randint(0, 9)
            worth += chance.randint(0, 60)
            options.append(Option(minutes, worth, tuple(dict.fromkeys(names))))
            names.append(chance.choice(families))
        candidates.append(options)
    set_up = {family: chance.randint(0, 12) for family in families}
    free = frozenset(family for family in families if chance.random() < 0.2)
    return candidates, set_up, chance.randint(0, longest), free


def cost_and_worth(shop: Shop, taken: list[Option]) -> tuple[int, int]:
    _, set_up, _, free = shop
    used = {family for option in taken for family in option.families} - free
    minutes = sum(option.minutes for option in taken) + sum(set_up[family] for family in used)
    return minutes, sum(option.worth for option in taken) - len(used)


def brute_force(shop: Shop) -> int:
    candidates, _, limit, _ = shop
    best = 0
    for picks in itertools.product(*[[None, *options] for options in candidates]):
        minutes, worth = cost_and_worth(shop, [option for option in picks if option is not None])
        if minutes <= limit:
            best = max(best, worth)
    return best


def solver(shop: Shop) -> int:
    """The same problem as an integer programme, solved by scipy's milp."""
    candidates, set_up, limit, free = shop
    families = [family for family in set_up if family not in free]
    flat = [(number, option) for number, options in enumerate(candidates) for option in options]
    n, m = len(flat), len(families)
    if n == 0:
        return 0
    worth = np.array([option.worth for _, option in flat] + [-1] * m, dtype=float)
    rows, upper = [], []
    rows.append([option.minutes for _, option in flat] + [set_up[family] for family in families])
    upper.append(limit)
    for number in range(len(candidates)):
        rows.append([1 if owner == number else 0 for owner, _ in flat] + [0] * m)
        upper.append(1)
    for place, (_, option) in enumerate(flat):
        for which, family in enumerate(families):
            if family in option.families:
                row = [0] * (n + m)
                row[place], row[n + which] = 1, -1
                rows.append(row)
                upper.append(0)
    result = milp(
        -worth,
        constraints=LinearConstraint(np.array(rows, dtype=float), -np.inf, np.array(upper, dtype=float)),
        integrality=np.ones(n + m),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0},
    )
    return round(-result.fun)


def check_feasible(shop: Shop, chosen: Chosen) -> None:
    taken = [shop[0][number][place] for number, place in chosen.options.items()]
    minutes, worth = cost_and_worth(shop, taken)
    assert (minutes, worth) == (chosen.minutes, chosen.worth)
    assert minutes <= shop[2]


def test_equals_brute_force_on_two_thousand_random_shops() -> None:
    chance = random.Random(11)
    for _ in range(2000):
        shop = random_shop(chance, 5, 40)
        chosen = choose(*shop)
        check_feasible(shop, chosen)
        assert chosen.worth == brute_force(shop)


def test_equals_an_independent_solver_on_two_hundred_larger_shops() -> None:
    chance = random.Random(12)
    for _ in range(200):
        shop = random_shop(chance, 30, 120)
        chosen = choose(*shop)
        check_feasible(shop, chosen)
        assert chosen.worth == solver(shop)


@pytest.mark.parametrize("seed", range(30))
def test_more_minutes_or_more_to_do_are_never_worth_less(seed: int) -> None:
    chance = random.Random(seed)
    candidates, set_up, limit, free = random_shop(chance, 20, 60)
    worth = choose(candidates, set_up, limit, free).worth
    assert choose(candidates, set_up, limit + 5, free).worth >= worth
    assert choose([*candidates, [Option(3, 9, ("a",))]], set_up, limit, free).worth >= worth
    assert choose(candidates, set_up, limit, free | {"a"}).worth >= worth
