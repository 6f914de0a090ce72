"""Moments at the example shop's bench, made by hand: for the edges that a walk through it would miss."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime
from functools import cache
from typing import Any

from kiosk.record.context import Context
from kiosk.record.pins import secret_of
from kiosk.record.state import PinTries, Sitting, State
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.shop import Person, Shop
from tests.conftest import SteadyClocks

NOW = SteadyClocks().at  # a Saturday at noon
TODAY = NOW.astimezone().date()


@cache
def brambling() -> Shop:
    """The example shop as it comes; make a changed copy with ``dataclasses.replace``."""
    return load_shop(data_folder("scenarios") / "brambling")


def worked_steps(shop: Shop) -> Iterator[tuple[Procedure, Step]]:
    """The steps whose minutes follow from the part kind."""
    for procedure in shop.procedures.values():
        for one in procedure.steps:
            if one.times_are_worked:
                yield procedure, one


def born(years: int, days: int = 0) -> date:
    """The birthday of somebody who turned so many years old so many days ago (before today when negative)."""
    then = date.fromordinal(TODAY.toordinal() - days)
    return then.replace(year=then.year - years)


def builder(**fields: Any) -> Person:
    """A builder, of age unless a birthday is given."""
    return Person(**{"id": "wren", "name": "Wren", "role": "builder", **fields})


def helper(**fields: Any) -> Person:
    """A helper, of age unless a birthday is given."""
    return Person(**{"id": "pip", "name": "Pip", "role": "helper", **fields})


def step(**fields: Any) -> Step:
    """A step that anyone may do at any time, but for these fields."""
    return Step.model_validate(
        {"id": "try", "do": "Try it", "who": "anyone", "minutes": {"each": "1"}, **fields}
    )


def moment(
    doer: Person,
    *others: Person,
    state: State | None = None,
    now: datetime = NOW,
    shop: Shop | None = None,
    cleared: Sequence[str] = (),
) -> Context:
    """A moment with these people at the bench, the first with the screen, in an open sitting."""
    people = (doer, *others)
    shop = replace(shop or brambling(), people={person.id: person for person in people})
    state = state or State()
    if state.sitting is None:
        state.sitting = Sitting(tuple(shop.people), now, "a run", cleared=tuple(cleared))
    return Context(shop, state, now, 1000.0, "a run", people, doer)


def pinned(state: State | None = None, **pins: str) -> State:
    """The state with these people's PINs set."""
    state = state or State()
    state.pins = {person: PinTries(secret=secret_of(pin)) for person, pin in pins.items()}
    return state


def with_steps(shop: Shop, procedure_id: str, *steps: Step) -> tuple[Shop, Procedure]:
    """The shop with other steps in one of its procedures, and that procedure."""
    procedure = shop.procedures[procedure_id].model_copy(update={"steps": steps})
    return replace(shop, procedures={**shop.procedures, procedure_id: procedure}, _steps={}), procedure


def with_kinds(shop: Shop, *kinds: str) -> Shop:
    """The shop with these part kinds and their parts alone."""
    return replace(
        shop,
        kinds={kind: shop.kinds[kind] for kind in kinds},
        parts={mark: part for mark, part in shop.parts.items() if part.kind in kinds},
        _marks={},
    )
