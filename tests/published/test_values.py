"""Each value of the table in ``values.py``, and that no calculator is left without one."""

import pytest

from kiosk.numbers.catalogue import CALCULATORS
from tests.published.values import VALUES, Value

IN_WORDS = {"rivet_code"}  # its answer is a part number; tests/published/test_rivets.py holds it


@pytest.mark.parametrize("value", VALUES, ids=str)
def test_value(value: Value) -> None:
    assert value.difference() == pytest.approx(0.0, abs=value.within + 1e-12), value.source


def test_at_least_150_values_are_printed_ones() -> None:
    assert sum(1 for value in VALUES if value.grade == "printed") >= 150


def test_every_calculator_is_held_to_something() -> None:
    assert {value.calculator for value in VALUES} >= set(CALCULATORS) - IN_WORDS
