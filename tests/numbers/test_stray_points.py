"""A slip in one line of a coordinate file is told; the points of smooth sections are not.

The sections are those of NACA Report 460 and 610 by their formulas, at as many points as files have.
"""

from collections.abc import Sequence

import pytest

from kiosk.numbers.aerofoil import Point, Section, naca, ordinate_at
from kiosk.numbers.rib import lay_out
from kiosk.numbers.stray_points import OFF_CURVE, stray_points
from tests.numbers.ribs import inputs

SECTIONS = ("0006", "0009", "2412", "4415", "23012", "23018", "6409", "0021")


@pytest.mark.parametrize("points", [17, 25, 40, 80, 160])
@pytest.mark.parametrize("name", SECTIONS)
def test_no_point_of_a_smooth_section_is_stray(name: str, points: int) -> None:
    assert stray_points(naca(name, points)) == ()


@pytest.mark.parametrize("points", [15, 20, 26, 40])
@pytest.mark.parametrize("name", SECTIONS)
def test_nor_of_one_whose_points_stand_evenly(name: str, points: int) -> None:
    """Too few of them stand in the nose to say how it turns."""
    fine = naca(name, 400)

    def evenly(surface: Sequence[Point]) -> tuple[Point, ...]:
        return tuple((x, ordinate_at(surface, x)) for x in (at / (points - 1) for at in range(points)))

    assert stray_points(Section(name, evenly(fine.upper), evenly(fine.lower))) == ()


def _with_slip(section: Section, place: int, off: float) -> Section:
    upper = list(section.upper)
    upper[place] = (upper[place][0], upper[place][1] + off)
    return Section(section.name, tuple(upper), section.lower)


@pytest.mark.parametrize("points", [25, 40, 80])
@pytest.mark.parametrize("off", [0.004, -0.004, 0.0025])
def test_a_slip_of_a_quarter_percent_of_the_chord_is_found_where_it_is(points: int, off: float) -> None:
    whole = naca("2412", points)
    for place, (x, _) in enumerate(whole.upper):
        if x < 0.11 or place > len(whole.upper) - 4:
            continue
        slip = _with_slip(whole, place, off)
        (found,) = stray_points(slip)
        assert found.at == slip.upper[place], (place, found)
        assert found.off == pytest.approx(abs(off), rel=0.35)


def test_a_hair_is_nothing() -> None:
    assert stray_points(_with_slip(naca("2412", 40), 20, OFF_CURVE / 3)) == ()


def test_the_rib_is_warned_of_with_the_line_to_look_at() -> None:
    whole = naca("2412", 40)
    place = next(at for at, (x, _) in enumerate(whole.upper) if x > 0.1)
    slip = _with_slip(whole, place, 0.004)
    (warning,) = [one for one in lay_out(slip, inputs()).warnings if one.argument == "section"]
    assert f"the point {slip.upper[place][0]:g} {slip.upper[place][1]:g} of NACA 2412" in warning.wrong
    assert "in off the curve of its neighbours" in warning.wrong
    assert not [one for one in lay_out(whole, inputs()).warnings if one.argument == "section"]
