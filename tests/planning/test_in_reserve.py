"""What is kept back and never made could not have been in the best plan: the choice is the same."""

import random

import pytest

from kiosk.planning.likely_plan import best_plan, likely_plan
from kiosk.planning.plan import Plan
from kiosk.planning.spare import _instead
from kiosk.planning.work.find_work import find_work
from kiosk.planning.work.in_reserve import InReserve, could_be_chosen, most_worth
from kiosk.record.context import Context
from kiosk.record.state import PartState
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.shop import Shop
from tests.conftest import local_time
from tests.planning.test_random_shops import random_state

FORENOON = local_time(2027, 5, 10, 10)  # no quiet hours near: what is loud may be kept back too
SLOTS = (4, 9, 15, 30, 60, 110)


@pytest.fixture(scope="module")
def shop() -> Shop:
    return load_shop(data_folder("scenarios") / "brambling")


def moment(shop: Shop, seed: int) -> Context:
    """The builder alone, with parts anywhere along their routes."""
    builder = shop.people["wren"]
    state = random_state(shop, random.Random(seed), FORENOON)
    for mark, part in shop.parts.items():  # what is short of nothing is alike
        if shop.kinds[part.kind].tooling and seed % 3:
            state.parts[mark] = PartState(mark, completed_at=FORENOON)
    return Context(shop, state, FORENOON, 0.0, "run", [builder], builder)


def nothing() -> None:
    """Makes no candidate."""


def told(plan: Plan) -> tuple[object, ...]:
    """All that a plan is told apart by."""
    return plan.stretches, plan.chosen.worth, plan.chosen.minutes, plan.chosen.families, plan.chosen.exact


def test_a_choice_with_a_reserve_is_the_choice_from_everything(shop: Shop) -> None:
    kept_back = 0
    for seed in range(4):
        context = moment(shop, seed)
        for minutes in SLOTS:
            everything = find_work(context, minutes)
            some = find_work(context, minutes, with_reserve=True)
            plan = best_plan(some, minutes)
            assert told(plan) == told(best_plan(everything, minutes)), (seed, minutes)
            assert told(likely_plan(some, minutes)) == told(likely_plan(everything, minutes)), (seed, minutes)
            kept_back += len(plan.found.reserve)
    assert kept_back > 50, kept_back


def test_what_is_shown_besides_is_the_same_with_a_reserve(shop: Shop) -> None:
    shown = kept_back = 0
    for seed in range(4):
        context = moment(shop, seed)
        for minutes in SLOTS:
            some = best_plan(find_work(context, minutes, with_reserve=True), minutes)
            everything = best_plan(find_work(context, minutes), minutes)
            besides = [list(_instead(plan, minutes, 3, frozenset())) for plan in (some, everything)]
            assert besides[0] == besides[1], (seed, minutes)
            shown += len(besides[0])
            kept_back += len(some.found.reserve)
    assert shown > 20, shown
    assert kept_back > 50, kept_back


def test_quiet_hours_keep_back_what_is_not_loud(shop: Shop) -> None:
    kept_back = 0
    for seed in range(4):
        context = moment(shop, seed)
        for minutes in SLOTS:
            quiet_in = minutes // 2
            some = find_work(context, minutes, quiet_in, with_reserve=True)
            plan, whole = best_plan(some, minutes), best_plan(find_work(context, minutes, quiet_in), minutes)
            assert (plan.chosen.worth, plan.chosen.exact) == (whole.chosen.worth, whole.chosen.exact)
            kept_back += len(plan.found.reserve)
    assert kept_back > 0


def test_no_option_kept_back_is_worth_more_than_is_said(shop: Shop) -> None:
    looked_at = 0
    for seed in range(4):
        context = moment(shop, seed)
        for minutes in SLOTS:
            for one in find_work(context, minutes, with_reserve=True).reserve:
                candidate = one.make()
                for option in candidate.options if candidate is not None else ():
                    looked_at += 1
                    assert option.usual
                    assert option.worth <= most_worth(one.by_parts, option.minutes, one.in_one_go)
    assert looked_at > 500, looked_at


def test_what_could_be_worth_as_much_is_made() -> None:
    usual, much = (InReserve(place, ("saw", "cut"), by, nothing) for place, by in ((3, 0.0), (4, 500.0)))
    full = [0, 100, 500, 1000, 1500, 2000]  # by minutes: each of them is worth 500 more
    assert could_be_chosen([usual], 2000, full, 5) == []
    assert could_be_chosen([usual, much], 2000, full, 5) == [
        much
    ]  # beside which the other is worth too little
    assert could_be_chosen([usual], 2000, [0, 100, 500, 1990, 1990, 2000], 5) == [usual]
    as_much = 1500 + int(most_worth(0.0, 2))
    assert could_be_chosen([usual], as_much, [0, 0, 0, 1500, 1500, as_much], 5) == [usual]
    assert could_be_chosen([usual], as_much + 500, [0, 0, 0, 1500, 1500, as_much + 500], 5) == []
