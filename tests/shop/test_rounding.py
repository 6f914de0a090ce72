"""How far a typed figure may lie from the true one by its own rounding. 1 in is 25.4 mm exactly (NIST SP 811,
appendix B)."""

import pytest

from kiosk.numbers.result import Quantity
from kiosk.shop.rounding import differs


@pytest.mark.parametrize(
    ("typed", "is_other"),
    [
        ("178 mm", False),  # 178.346 mm, right to the millimetre: it was told as another figure
        ("178.3 mm", False),
        ("178.35 mm", False),
        ("178.45 mm", True),  # and these were not
        ("178.5 mm", True),
        ("179 mm", True),
        ("17.8 cm", False),
        ("17.9 cm", True),
        ("7.021", False),
        ("7.03", True),
        ("7-1/64", False),
    ],
)
def test_a_figure_is_held_as_closely_as_it_is_typed(typed: str, is_other: bool) -> None:
    assert differs(typed, Quantity("flat_width", 178.346 / 25.4, "in"), from_rib=False) is is_other
