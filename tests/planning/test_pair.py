"""The pair for builder and helper is exact: the same worth as trying everything."""

import itertools
import random

from kiosk.planning.choose.option import Option
from kiosk.planning.choose.with_helper import HelperOption, choose_pair
from tests.planning.test_slot import random_shop

Held = list[list[frozenset[str]]]


def random_pair(random_numbers: random.Random) -> tuple[tuple[object, ...], Held, list[HelperOption]]:
    shop = random_shop(random_numbers, 4, 40)
    names = [f"thing {number}" for number in range(4)]

    def some() -> frozenset[str]:
        return frozenset(name for name in names if random_numbers.random() < 0.25)

    held = [[some() for _ in options] for options in shop[0]]
    helper = [
        HelperOption(random_numbers.randint(0, 80), some(), random_numbers.randint(0, 6))
        for _ in range(random_numbers.randint(0, 8))
    ]
    return shop, held, helper


def brute_force(shop: tuple[object, ...], held: Held, helper: list[HelperOption]) -> int | None:
    """Everything the helper could do with everything the builder could do beside it."""
    candidates, set_up, limit, free = shop
    best: int | None = None
    for option in helper:
        if option.look_minutes > limit:  # type: ignore[operator]
            continue
        for picks in itertools.product(*[[None, *range(len(options))] for options in candidates]):  # type: ignore[attr-defined]
            taken = [(number, place) for number, place in enumerate(picks) if place is not None]
            if any(held[number][place] & option.holds for number, place in taken):
                continue
            done: list[Option] = [candidates[number][place] for number, place in taken]  # type: ignore[index]
            families = {name for one in done for name in one.families} - free  # type: ignore[operator]
            minutes = sum(one.minutes for one in done) + sum(set_up[name] for name in families)  # type: ignore[index]
            if minutes > limit - option.look_minutes:  # type: ignore[operator]
                continue
            worth = option.worth + sum(one.worth for one in done) - len(families)
            best = worth if best is None else max(best, worth)
    return best


def test_equals_brute_force_on_a_thousand_random_pairs() -> None:
    random_numbers = random.Random(31)
    for _ in range(1000):
        shop, held, helper = random_pair(random_numbers)
        candidates, set_up, limit, free = shop
        pair = choose_pair(candidates, held, set_up, limit, free, helper)  # type: ignore[arg-type]
        assert (None if pair is None else pair.worth) == brute_force(shop, held, helper)
        if pair is not None:
            taken = pair.builder.options.items()
            assert not any(held[number][place] & helper[pair.helper].holds for number, place in taken)


def test_most_of_the_helpers_options_need_not_be_tried() -> None:
    random_numbers = random.Random(32)
    tried = offered = 0
    for _ in range(200):
        shop, held, helper = random_pair(random_numbers)
        candidates, set_up, limit, free = shop
        pair = choose_pair(candidates, held, set_up, limit, free, helper)  # type: ignore[arg-type]
        if pair is not None:
            tried, offered = tried + pair.tried, offered + len(helper)
    assert tried < 0.7 * offered
