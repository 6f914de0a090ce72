"""Bends against handbook tables and worked examples. The source stands beside each set of values."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from kiosk.numbers.bends import (
    arc_allowance_in,
    deduction_in,
    empirical_allowance_in,
    flat_layout,
    flat_width,
    minimum_radius,
    overbend,
    setback_in,
)
from kiosk.numbers.result import OutOfRange


@pytest.mark.parametrize(("angle", "printed"), [(86, 0.9324), (159, 5.399), (176, 26.63)])
def test_k_chart_misprints_are_the_tables(angle: float, printed: float) -> None:
    # AC 43.13-1B Table 4-7, K is the setback of a unit of radius and thickness. The half-angle identity
    # (1 - cos N) / sin N is another way to tan(N/2): the calculator has it, the table's cell does not.
    turn = math.radians(angle)
    found = setback_in(1.0, 0.0, angle)
    assert found == pytest.approx((1 - math.cos(turn)) / math.sin(turn), rel=1e-12)
    last_place = 10.0 ** -len(str(printed).partition(".")[2])
    assert int(found / last_place) * last_place != pytest.approx(printed, abs=last_place / 2)


def test_u_channel() -> None:
    # FAA-H-8083-31 ch. 4, U-channel 1/2/1 of .040: SB .2, flats .8 1.6 .8, width 3.74. The handbook mixes
    # R .16 (setback) with R .156 (allowance) and cuts .273 to .27: its own intermediates give its answer.
    layout = flat_layout((1, 2, 1), (90, 90), 0.040, 0.16)
    assert setback_in(0.040, 0.16, 90) == pytest.approx(0.2)
    assert layout.flats_in == pytest.approx((0.8, 1.6, 0.8))
    assert sum(layout.flats_in) + 2 * 0.27 == pytest.approx(3.74)
    # The exact width is .018 to .029 longer than the printed one (derived with one radius throughout).
    assert layout.width_in == pytest.approx(3.7581, abs=0.0005)
    assert flat_layout((1, 2, 1), (90, 90), 0.040, 5 / 32).width_in == pytest.approx(3.7614, abs=0.0005)
    assert flat_layout((1, 2, 1), (90, 90), 0.040, 5 / 32, 0.5).width_in == pytest.approx(3.7687, abs=0.0005)


def test_feature_across_a_bend() -> None:
    # A trade workbook: holes at .620 and 1.175 from the corner with BD .123 lie 1.672 apart in the flat. It
    # does not say which sheet that is: at .050 the radius that takes off .123 is found, and the layout made.
    radius = brentq(lambda one: deduction_in(0.050, one, 90) - 0.123, 0.0, 1.0)
    assert flat_layout((0.620, 1.175), (90,), 0.050, radius).width_in == pytest.approx(1.672, abs=1e-9)
    # Its own sheet, .050 at R .032, takes off .0787 (it rounds to .079).
    layout = flat_layout((0.620, 1.175), (90,), 0.050, 0.032)
    assert layout.width_in == pytest.approx(0.620 + 1.175 - 0.0787, abs=0.0005)


def test_minimum_radius_of_the_u_channel() -> None:
    # FAA-H-8083-31 takes .16 for .040 2024-T3; this reading of AC 43.13-1B is on the safe side of it.
    assert minimum_radius(thickness_in=0.040, alloy="2024-T3").radius_in >= 0.16


def test_minimum_radius_is_not_stretched_beyond_the_table() -> None:
    with pytest.raises(OutOfRange):
        minimum_radius(thickness_in=0.3, alloy="2024-T3")
    with pytest.raises(OutOfRange):
        minimum_radius(thickness_in=0.032, alloy="3003-O")


def test_overbend_is_a_few_degrees_for_usual_sheet() -> None:
    # Derived with the specified minimum yields; FAA-H-8083-31 says only "slightly beyond 90".
    for thickness, radius, alloy in ((0.025, 0.125, "2024-T3"), (0.032, 0.0625, "6061-T6")):
        result = overbend(thickness_in=thickness, inside_radius_in=radius, alloy=alloy)
        assert 90.5 < result.angle_deg < 97


def test_channel_lines_in_scribing_order() -> None:
    worked = flat_width((1, 2, 1), (90, 90), 0.032, 1 / 8)
    lines = {line.name: float(line.value) for line in worked.beside if line.name.startswith("bend")}
    assert len(lines) == 8
    assert lines["bend 1 tangent line"] == pytest.approx(0.8430, abs=1e-4)
    assert lines["bend 1 sight line, leg 1 under the nose"] == pytest.approx(0.9680, abs=1e-4)
    assert lines["bend 1 sight line, leg 2 under the nose"] == pytest.approx(0.9366, abs=1e-4)
    assert lines["bend 1 far tangent line"] == pytest.approx(1.0616, abs=1e-4)
    assert lines["bend 2 tangent line"] == pytest.approx(2.7476, abs=1e-4)
    assert lines["bend 2 far tangent line"] == pytest.approx(2.9661, abs=1e-4)
    values = list(lines.values())
    assert values == sorted(values)


def test_a_leg_shorter_than_its_setbacks_is_refused() -> None:
    with pytest.raises(OutOfRange, match="leg 2"):
        flat_layout((1, 0.2, 1), (90, 90), 0.040, 0.16)


def test_a_bend_that_springs_nearly_flat_is_refused() -> None:
    # By the closed form alone 3 in round in .032 asks for 1,042 degrees.
    with pytest.raises(OutOfRange, match="1042 degrees") as refused:
        overbend(0.032, 3.0, "2024-T3")
    assert refused.value.argument == "inside_radius_in"


def test_a_stronger_sheet_is_bent_further() -> None:
    # The certificate's yield instead of the least that is specified.
    least = overbend(0.032, 0.125, "2024-T3")
    assert least.warnings and overbend(0.032, 0.125, "2024-T3", yield_psi=42_000).angle_deg == least.angle_deg
    assert overbend(0.032, 0.125, "2024-T3", yield_psi=50_000).angle_deg > least.angle_deg


def test_an_alloy_is_found_however_it_is_written() -> None:
    assert minimum_radius(0.032, "clad 2024-t3").radius_in == minimum_radius(0.032, "2024-T3").radius_in


legs_of = st.lists(st.floats(1.0, 10.0), min_size=2, max_size=6)


@given(legs=legs_of, thickness=st.floats(0.01, 0.1), radius=st.floats(0.0, 0.2), angle=st.floats(0, 120))
def test_a_section_reads_the_same_from_either_end_and_never_outgrows_its_legs(
    legs: list[float], thickness: float, radius: float, angle: float
) -> None:
    angles = [angle] * (len(legs) - 1)
    ahead = flat_layout(legs, angles, thickness, radius)
    back = flat_layout(legs[::-1], angles[::-1], thickness, radius)
    assert ahead.width_in == pytest.approx(back.width_in)
    assert ahead.width_in == pytest.approx(
        sum(ahead.flats_in) + len(angles) * empirical_allowance_in(thickness, radius, angle)
    )
    # FAA-H-8083-31: a width larger than the mould line dimensions means wrong arithmetic.
    assert ahead.width_in <= sum(legs) + 1e-9


@given(thickness=st.floats(0.01, 0.2), radius=st.floats(0.0, 1.0))
def test_no_bend_needs_no_allowance(thickness: float, radius: float) -> None:
    assert empirical_allowance_in(thickness, radius, 0) == 0
    assert setback_in(thickness, radius, 0) == 0
    assert flat_layout((2, 3), (0,), thickness, radius).width_in == pytest.approx(5)


@given(
    thickness=st.floats(0.01, 0.2),
    radius=st.floats(0.0, 1.0),
    angle=st.floats(1, 170),
    more=st.floats(0.1, 4),
)
def test_more_bend_uses_more_sheet(thickness: float, radius: float, angle: float, more: float) -> None:
    assert empirical_allowance_in(thickness, radius, angle + more) > empirical_allowance_in(
        thickness, radius, angle
    )
    assert arc_allowance_in(thickness, radius, angle + more) > arc_allowance_in(thickness, radius, angle)
