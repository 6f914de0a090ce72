"""The whole way from a shop in any state to the choice: what is offered of real steps is chosen exactly."""

import random
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from kiosk.planning.choose.exact import choose
from kiosk.planning.spare import spare
from kiosk.planning.work.find_work import find_work
from kiosk.planning.work.found_work import FoundWork
from kiosk.planning.work.options import OptionMaker
from kiosk.record.context import Context
from kiosk.record.events import ClockSet
from kiosk.record.position import left_in_a_run, minutes_left_from, steps_left
from kiosk.record.state import PartState, State, StepDone
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.shop import Shop
from tests.benchmarks.spare_minutes import grown_shop
from tests.conftest import local_time
from tests.planning.test_slot import brute_force_with_limits

MONDAY_EVENING = local_time(2027, 5, 10, 20, 5)  # quiet hours begin at 20:30


@pytest.fixture(scope="module")
def shop() -> Shop:
    return load_shop(data_folder("scenarios") / "brambling")


def random_state(shop: Shop, random_numbers: random.Random, now: datetime) -> State:
    """Parts somewhere along their routes, most tooling complete, clocks on the parts of some kinds."""
    with_clock: dict[str, tuple[Any, int]] = {
        kind: (random_numbers.choice(["must_pass", "within"]), random_numbers.randint(1, 90))
        for kind in random_numbers.sample(sorted(shop.kinds), 4)
    }
    state = State(temperature_f=68.0, humidity_percent=55.0, conditions_at=now)
    for mark, part in shop.parts.items():
        kind = shop.kinds[part.kind]
        route = [
            (shop.procedures[name], step)
            for name in kind.procedures
            for step in shop.steps_for(kind, shop.procedures[name])
        ]
        if kind.tooling and random_numbers.random() < 0.7:
            state.parts[mark] = PartState(mark, completed_at=now)
            continue
        if random_numbers.random() < 0.4:
            continue
        far = random_numbers.randrange(len(route))
        passes: dict[str, dict[str, StepDone]] = {}
        for procedure, step in route[:far]:
            passes.setdefault(procedure.id, {})[step.id] = StepDone(now, "wren", procedure.revision)
        clocks: tuple[ClockSet, ...] = ()
        if part.kind in with_clock and random_numbers.random() < 0.7:
            procedure, step = route[far]
            word, minutes = with_clock[part.kind]
            clocks = (
                ClockSet(
                    what="drying or fresh",
                    kind=word,
                    minutes=minutes,
                    until=now + timedelta(minutes=minutes),
                    procedure=procedure.id,
                    step=step.id,
                ),
            )
        looked = {procedure.ref(step): "somebody" for procedure, step in route}
        state.parts[mark] = PartState(mark, passes=passes, clocks=clocks, looked=looked)
    return state


def some_of(found: FoundWork, random_numbers: random.Random) -> FoundWork:
    """A few candidates with a few options each, so that everything can be tried."""
    picked = random_numbers.sample(found.candidates, min(5, len(found.candidates)))
    made = []
    for candidate in picked:
        places = sorted(random_numbers.sample(range(len(candidate.options)), min(5, len(candidate.options))))
        made.append(replace(candidate, options=tuple(candidate.options[place] for place in places)))
    return replace(found, candidates=tuple(made))


def test_real_options_in_random_states_are_chosen_as_brute_force_chooses(shop: Shop) -> None:
    random_numbers = random.Random(41)
    limited = 0
    for _ in range(60):
        now = MONDAY_EVENING + timedelta(minutes=random_numbers.randint(-300, 20))
        minutes = random_numbers.randint(5, 120)
        quiet_in = int((MONDAY_EVENING - now).total_seconds() / 60) + 25
        wren = shop.people["wren"]
        context = Context(shop, random_state(shop, random_numbers, now), now, 0.0, "", [wren], wren)
        found = find_work(context, minutes, quiet_in if quiet_in < minutes else None)
        few = some_of(found, random_numbers)
        options = [list(candidate.options) for candidate in few.candidates]
        limited += any(not option.usual for of_one in options for option in of_one)
        whole = {name: few.set_up.get(name, 0) for of in options for one in of for name in one.families}
        chosen = choose(options, few.set_up, minutes, few.free)
        assert chosen.exact
        assert chosen.worth == brute_force_with_limits((options, whole, minutes, few.free))
    assert limited > 12  # waits, clocks and quiet hours are among them


def test_an_answer_always_fits_and_never_mixes_hands(shop: Shop) -> None:
    random_numbers = random.Random(42)
    for _ in range(7):
        now = MONDAY_EVENING + timedelta(minutes=random_numbers.randint(-300, 20))
        people = [
            shop.people[name]
            for name in ("wren", *random_numbers.sample(["pip", "odile"], random_numbers.randint(0, 2)))
        ]
        minutes = random_numbers.randint(3, 120)
        state = random_state(shop, random_numbers, now)
        answer = spare(Context(shop, state, now, 0.0, "", people, people[0]), minutes)
        cannot_be_left = {mark for mark, part in state.parts.items() if left_in_a_run(shop, part)}
        offered = {mark for one in answer.suggestions for mark in one.marks}
        assert answer.total_minutes <= minutes or not offered or offered & cannot_be_left
        marks = [mark for one in (*answer.suggestions, *answer.helper_does) for mark in one.marks]
        assert len(marks) == len(set(marks))
        assert answer.suggestions or answer.prepare


def test_the_minutes_left_on_a_part_are_those_of_its_steps_left(shop: Shop) -> None:
    state = random_state(shop, random.Random(43), MONDAY_EVENING)
    wren = shop.people["wren"]
    positions = Context(shop, state, MONDAY_EVENING, 0.0, "", [wren], wren).positions
    for mark in shop.parts:
        left = sum(step.minutes.each for _, step in steps_left(shop, state, mark))
        assert minutes_left_from(shop, state, positions.of(mark)) == left


@pytest.fixture(scope="module")
def big(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    folder = tmp_path_factory.mktemp("grown") / "shop"
    grown_shop(folder, 400)
    return load_shop(folder)


@pytest.mark.parametrize("minutes", [5, 12, 40])
def test_leaving_out_like_groups_loses_nothing(
    big: Shop, minutes: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only as many groups with the same steps are made into options as fit: the worth stays the same."""

    def worth() -> tuple[int, int]:
        wren, now = big.people["wren"], MONDAY_EVENING - timedelta(hours=8)
        found = find_work(Context(big, State(), now, 0.0, "", [wren], wren), minutes)
        options = [candidate.options for candidate in found.candidates]
        chosen = choose(options, found.set_up, minutes, found.free)
        assert chosen.exact
        return chosen.worth, len(options)

    few, made = worth()
    monkeypatch.setattr(OptionMaker, "needed", lambda self, groups: list(groups))
    all_of_them, more = worth()
    assert few == all_of_them and (made < more or minutes >= 12)
