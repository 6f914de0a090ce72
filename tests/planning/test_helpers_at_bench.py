"""With helpers at the bench: a set for each, two where it takes two, each likely to fit in its own times."""

import random
from datetime import timedelta

import pytest

from kiosk.planning.plan import WANTED_CHANCE
from kiosk.planning.spare import SpareAnswer, spare
from kiosk.planning.suggestion import Suggestion
from kiosk.record.context import Context
from kiosk.record.position import left_in_a_run
from kiosk.record.state import PartState, State, StepDone
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.shop import Shop
from tests.conftest import local_time
from tests.planning.test_random_shops import random_state

AFTERNOON = local_time(2027, 5, 8, 14)


@pytest.fixture(scope="module")
def shop() -> Shop:
    return load_shop(data_folder("scenarios") / "brambling")


def answer(shop: Shop, state: State, minutes: int, *names: str) -> SpareAnswer:
    people = [shop.people[name] for name in ("wren", *names)]
    return spare(Context(shop, state, AFTERNOON, 0.0, "", people, people[0]), minutes)


def only_spars(shop: Shop) -> State:
    """Everything is complete but the spars, which wait for their second step: carrying the sheet."""
    state = State(temperature_f=68.0, humidity_percent=50.0, conditions_at=AFTERNOON)
    procedure = shop.procedures["spar-channel"]
    measured = {procedure.steps[0].id: StepDone(AFTERNOON, "wren", procedure.revision)}
    for mark, part in shop.parts.items():
        if shop.kinds[part.kind].route[0].procedure == procedure.id:
            state.parts[mark] = PartState(mark, passes={procedure.id: measured})
        else:
            state.parts[mark] = PartState(mark, completed_at=AFTERNOON)
    return state


def lifts(found: SpareAnswer) -> list[Suggestion]:
    """What is offered that takes two."""
    return [
        one
        for one in (*found.suggestions, *found.instead)
        if any("LIFT" in step.hazards for _, step in one.stretch.steps)
    ]


def test_what_takes_two_is_offered_when_two_are_there_and_takes_both(shop: Shop) -> None:
    state = only_spars(shop)
    for alone in ((), ("pip",)):  # nobody, or a child who is too young to lift
        assert not lifts(answer(shop, state, 40, *alone))
    both = answer(shop, state, 40, "odile")
    lifted = lifts(both)
    assert lifted and all(one.beside == "odile" for one in lifted)
    theirs = sum(one.minutes for one in both.helper_does)
    for one in lifted:
        carried = sum(step.minutes.each for _, step in one.stretch.steps if "LIFT" in step.hazards)
        assert theirs + carried * len(one.marks) <= 40


def with_nothing_in_a_run(shop: Shop, state: State) -> State:
    """What may not be left as it is would come before anybody's share."""
    for mark, part in state.parts.items():
        if left_in_a_run(shop, part) is not None:
            state.parts[mark] = PartState(mark, completed_at=AFTERNOON)
    return state


def test_of_two_pots_that_stand_none_is_left_for_what_a_helper_could_do_meanwhile(shop: Shop) -> None:
    """One of the two stood in no answer, and nothing said so."""
    procedure = shop.procedures["clean-and-prime"]
    state = State(temperature_f=68.0, humidity_percent=50.0, conditions_at=AFTERNOON)
    for mark, last in (("NR-01", "mix"), ("NR-06", "test-panel")):
        kind = shop.kind_of(mark)
        passes: dict[str, dict[str, StepDone]] = {}
        for name in kind.procedures:
            of = shop.procedures[name]
            for step in shop.steps_for(kind, of):
                passes.setdefault(name, {})[step.id] = StepDone(AFTERNOON, "wren", of.revision)
                if (name, step.id) == (procedure.id, last):
                    break
            if name == procedure.id:
                break
        state.parts[mark] = PartState(mark, passes=passes)
        assert left_in_a_run(shop, state.parts[mark]) is not None
    for minutes in range(10, 31, 2):
        found = answer(shop, state, minutes, "odile")
        told = [mark for one in (*found.suggestions, *found.helper_does) for mark in one.marks]
        told += [mark for one in found.not_now for mark in one.marks]
        assert {"NR-01", "NR-06"} <= set(told), minutes


def test_a_helper_gets_a_whole_set_and_not_one_thing(shop: Shop) -> None:
    random_numbers = random.Random(7)
    sets = []
    for _ in range(3):
        state = with_nothing_in_a_run(shop, random_state(shop, random_numbers, AFTERNOON))
        found = answer(shop, state, 45, "odile")
        sets.append(len(found.helper_does))
        assert {one.by for one in found.helper_does} <= {"odile"}
        marks = [mark for one in (*found.suggestions, *found.helper_does) for mark in one.marks]
        assert len(marks) == len(set(marks))
    assert max(sets) > 1


@pytest.mark.parametrize("names", [("pip",), ("odile",), ("pip", "odile")])
def test_each_ones_set_is_as_likely_to_fit_as_wanted(shop: Shop, names: tuple[str, ...]) -> None:
    random_numbers = random.Random(8)
    for minutes in (15, 40):
        state = random_state(shop, random_numbers, AFTERNOON - timedelta(minutes=5))
        found = answer(shop, state, minutes, *names)
        stands = any(one.stretch.in_a_run for one in found.suggestions)  # told whatever its chance
        for one in (*(() if stands else found.suggestions), *found.helper_does):
            assert one.chance >= WANTED_CHANCE - 0.02
