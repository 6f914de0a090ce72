"""What is not said is nothing: an entry of an older kiosk without a field means what it always meant."""

import dataclasses
import importlib
import pkgutil
from collections.abc import Iterator
from types import ModuleType
from typing import Any

import kiosk.record

# What a field says by itself, where that is more than nothing: neither empty, nor none, nor no, nor zero.
SAYS_BY_ITSELF: dict[str, object] = {
    "ClockReading.believed": True,
    "ClockSet.believed": True,
    "RunStarted.believed": True,
    "ClockSet.ends": "begin",
    "Answered.passed": True,
    "Corrected.passed": True,
    "StepFinished.exact": True,
    "Work.exact": True,
    "Work.status": "running",
    "Head.hash": "0" * 64,
    "Times.kept": 1.0,
    "Learnt.weight": 1.0,
    "Learnt.fades": 1.0,
    "TimedThing.pieces": 1,
    "Unseen.pieces": 1,
    # The estimate before anything is seen: two observations, of a log spread of 0.3, and no learning curve.
    "Prior.weight": 2.0,
    "Prior.shape": 6,
    "Prior.spread": 0.3,
    "Prior.slope_weight": 1e12,
}


def modules() -> Iterator[ModuleType]:
    for found in pkgutil.walk_packages(kiosk.record.__path__, "kiosk.record."):
        yield importlib.import_module(found.name)


def given_by_themselves(kind: type) -> Iterator[tuple[str, object]]:
    """The fields of a class that may be left out, and what each is then."""
    if dataclasses.is_dataclass(kind):
        for one in dataclasses.fields(kind):
            if one.default is not dataclasses.MISSING and one.name not in ("kind", "version"):
                yield one.name, one.default
            elif one.default_factory is not dataclasses.MISSING and one.default_factory in (dict, set, list):
                yield one.name, one.default_factory()


def test_a_field_that_is_left_out_says_nothing() -> None:
    found: dict[str, Any] = {}
    for module in modules():
        for kind in vars(module).values():
            if isinstance(kind, type) and kind.__module__ == module.__name__:
                found |= {f"{kind.__name__}.{name}": value for name, value in given_by_themselves(kind)}
    assert len(found) > 150
    assert {name: value for name, value in found.items() if value} == SAYS_BY_ITSELF
