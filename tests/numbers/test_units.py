"""Lengths as the trade writes them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kiosk.numbers.units import NotALength, in_to_mm, mm_to_in, nearest_fraction, parse_length_in, show_in


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        (".025", 0.025), ("0.625", 0.625), ("5/8", 0.625), ("1-1/4", 1.25), ("1 1/4", 1.25),
        ("8 ft 2-1/4", 98.25), ("8' 2-1/4\"", 98.25), ("8 ft", 96.0), ("2 in", 2.0), ("25.4 mm", 1.0),
        ("2.54 cm", 1.0), ("#30", 0.1285), ("#40", 0.098), ("drill F", 0.257), ("11 ft 8", 140.0), ("0", 0.0),
    ],
)  # fmt: skip
def test_what_is_accepted(text: str, inches: float) -> None:
    assert parse_length_in(text) == pytest.approx(inches)


@pytest.mark.parametrize(
    "text", ["", "ten", "1/0", "5/", "-3", "1..2", "#99", "3 miles", "1e9", "nan", "inf"]
)
def test_what_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(NotALength) as caught:
        parse_length_in(text)
    assert caught.value.mend


@given(st.floats(0, 1000))
def test_millimetres_and_back(inches: float) -> None:
    assert mm_to_in(in_to_mm(inches)) == pytest.approx(inches)
    assert parse_length_in(f"{in_to_mm(inches):.6f} mm") == pytest.approx(inches, abs=1e-6)


@given(st.integers(0, 64 * 200))
def test_fractions_and_back(sixtyfourths: int) -> None:
    assert parse_length_in(nearest_fraction(sixtyfourths / 64)) == pytest.approx(sixtyfourths / 64)


@pytest.mark.parametrize(
    ("inches", "fraction"),
    [(-1.25, "-1-1/4"), (-1 / 16, "-1/16"), (-2.0, "-2"), (-0.001, "0"), (-63 / 64, "-63/64")],
)
def test_a_length_below_nothing_keeps_its_fraction(inches: float, fraction: str) -> None:
    """Once rounded away from nothing: -1.250 was shown as -2-3/4."""
    assert nearest_fraction(inches) == fraction


def test_a_fraction_is_shown_only_where_it_is_one() -> None:
    assert show_in(0.625) == "0.625 in (5/8)"
    assert show_in(0.613) == "0.613 in"
