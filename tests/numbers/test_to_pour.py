"""What is poured of base and hardener stands in the ratio, as it is shown, and is enough."""

from fractions import Fraction

import pytest

from kiosk.numbers.coatings import coat_to_mix, to_pour
from kiosk.numbers.result import Quantity


def as_shown(value_ml: float) -> Fraction:
    return Fraction(Quantity("pour", value_ml, "ml").show().removesuffix(" ml"))


@pytest.mark.parametrize(("base", "hardener"), [(1, 1), (2, 1), (3, 1), (4, 1), (3, 2), (1, 2)])
def test_what_is_shown_is_in_the_ratio_and_enough_and_hardly_more(base: int, hardener: int) -> None:
    """By proportion alone: any number of cup marks in the ratio is a whole multiple of it."""
    for tenths in range(20, 3000, 7):
        pair = to_pour(tenths / 10, base, hardener)
        shown = [as_shown(one) for one in pair]
        if base % hardener and tenths < 300:  # the next pair in the ratio would be far too much
            assert shown[0] / shown[1] == pytest.approx(base / hardener, rel=0.01), (tenths, pair)
        else:
            assert shown[0] * hardener == shown[1] * base, (tenths, pair)
        assert Fraction(tenths, 10) <= sum(shown) <= Fraction(tenths, 10) * Fraction(11, 10) + base + hardener


def test_a_ratio_that_no_cup_shows_exactly_is_met_within_a_fiftieth() -> None:
    for mixed_ml in range(20, 400, 9):
        pour_base_ml, pour_hardener_ml = to_pour(mixed_ml, 100, 35)
        assert as_shown(pour_base_ml) / as_shown(pour_hardener_ml) == pytest.approx(100 / 35, rel=0.02)
        assert pour_base_ml + pour_hardener_ml >= mixed_ml


def test_one_part_alone_is_rounded_up() -> None:
    assert to_pour(30.2, 1, 0) == (31, 0) and to_pour(30, 1, 0) == (30, 0) and to_pour(9.11, 1, 0) == (9.2, 0)


def test_the_worked_example_is_poured_in_its_ratio() -> None:
    """Twelve blanks of the published values: 113.267 ml, of which 75.511 and 37.756."""
    mixed = coat_to_mix(36, 2, 0.001, solids_percent=50, loss_percent=50, base_parts=2, count=12)
    assert (mixed.pour_base_ml, mixed.pour_hardener_ml) == (76, 38)
    assert mixed.base_ml == pytest.approx(75.511, abs=0.002)
