"""Curved flanges, lightening holes, weight and finish: derived geometry against independent means."""

import math

import pytest
from scipy.integrate import quad

from kiosk.numbers.flanges import edge_stretch, flute_uptake_in, flutes
from kiosk.numbers.holes import flanged_hole, flanging_dies, hole_spacing, press_force_mean_lbf
from kiosk.numbers.weight import primer_needed


@pytest.mark.parametrize(
    ("chord", "depth", "arc", "needed"),
    [
        # Derived table: a circular arc of this chord and depth; flutes that take up .1875.
        (0.5, 0.0625, 0.02058, 10), (0.5, 0.09375, 0.04563, 5), (0.5, 0.125, 0.07956, 3),
        (0.375, 0.0625, 0.02719, 7), (0.375, 0.09375, 0.05967, 4), (0.625, 0.125, 0.06467, 3),
    ],
)  # fmt: skip
def test_flute_uptake(chord: float, depth: float, arc: float, needed: int) -> None:
    assert flute_uptake_in(chord, depth) == pytest.approx(arc, abs=0.00001)
    # The same arc by numerical integration (scipy).
    radius = (chord**2 / 4 + depth**2) / (2 * depth)
    length, _ = quad(lambda x: radius / math.sqrt(radius**2 - x**2), -chord / 2, chord / 2)
    assert flute_uptake_in(chord, depth) == pytest.approx(length - chord, abs=1e-9)
    result = flutes(
        flange_width_in=0.625,
        turning_angle_deg=math.degrees(0.3),
        flute_width_in=chord,
        flute_depth_in=depth,
    )
    assert result.flutes == needed
    assert result.edge_to_lose_in == pytest.approx(0.1875, abs=1e-6)


def test_a_stretched_edge_is_warned_of_beyond_the_alloys_elongation() -> None:
    for radius, warned in ((3, True), (6, True), (12, False)):
        result = edge_stretch(flange_width_in=0.625, bend_line_radius_in=radius, alloy="2024-T3")
        assert bool(result.warnings) == warned


def test_a_straight_edge_needs_no_flute() -> None:
    assert flutes(flange_width_in=0.625, turning_angle_deg=0).flutes == 0


@pytest.mark.parametrize(
    ("cut", "slant", "opening", "height", "finished", "strain"),
    [
        # Derived cone geometry at 45 degrees.
        (2.0, 0.25, 2.5, 0.1768, 2.1464, 7.32),
        (3.0, 0.25, 3.5, 0.1768, 3.1464, 4.88),
        (1.0, 0.1875, 1.375, 0.1326, 1.1098, 10.98),
    ],
)
def test_flanged_hole(
    cut: float, slant: float, opening: float, height: float, finished: float, strain: float
) -> None:
    result = flanged_hole(finished_hole_in=finished, flange_slant_in=slant, alloy="2024-T3")
    assert result.cut_out_in == pytest.approx(cut, abs=0.0001)
    assert result.die_opening_in == pytest.approx(opening, abs=0.0001)
    assert result.flange_height_in == pytest.approx(height, abs=0.0001)
    assert result.edge_stretch_percent == pytest.approx(strain, abs=0.01)


def test_at_ninety_degrees_the_strain_is_the_hole_expansion_ratio() -> None:
    # ISO 16630 (formula from memory, high): (D - d0) / d0; 2.5 from 2.0 is 25 %.
    result = flanged_hole(finished_hole_in=2.5, flange_slant_in=0.25, alloy="5052-O", flange_angle_deg=90)
    assert result.cut_out_in == pytest.approx(2.0)
    assert result.edge_stretch_percent == pytest.approx(25.0)


def test_dies_agree_with_the_hole() -> None:
    result = flanging_dies(cut_out_in=2.0, flange_slant_in=0.25, thickness_in=0.025)
    assert result.opening_in == pytest.approx(2.5)
    hole = flanged_hole(3.0, 0.25, "2024-T3")
    assert flanging_dies(hole.cut_out_in, 0.25, 0.025).opening_in == hole.die_opening_in
    assert result.male_cone_deg == 90


def test_press_force_estimate() -> None:
    # Derived work estimate: 2024-T3 .025, Y 47,000, hole 2.0, slant .25, 45 degrees: about 640 lbf mean; the
    # published 90 degree form 1.1 pi t Y (D - d0) gives 2030 lbf, an upper bound (from memory, medium).
    mean = press_force_mean_lbf(2.0, 0.25, 0.025, 47_000, math.radians(45))
    assert mean == pytest.approx(640, rel=0.01)
    assert mean < 1.1 * math.pi * 0.025 * 47_000 * 0.5


def test_room_between_holes() -> None:
    result = hole_spacing(cut_out_in=2.854, flange_slant_in=0.25, centre_distance_in=6, centre_to_edge_in=2.2)
    assert result.between_in == pytest.approx(6 - 3.354)
    assert result.to_edge_in == pytest.approx(2.2 - 1.677)
    assert hole_spacing(
        cut_out_in=2.854, flange_slant_in=0.25, centre_distance_in=3.5, centre_to_edge_in=2.2
    ).warnings


def test_primer_volume() -> None:
    # By hand: 100 ft2 at .00075 in is 10.8 in3 dry, 176.98 ml; at 40 % solids 442.4 ml; with 40 % loss 737.4.
    result = primer_needed(area_ft2=100)
    assert result.mixed_ml == pytest.approx(737.4, abs=0.2)
    assert result.base_ml == result.hardener_ml
