"""A rib as it will be made: outlines, ends, reliefs, nose and holes, against published and other geometry."""

import math

import numpy as np
import pytest
import shapely

from kiosk.numbers.aerofoil import Section, naca, read_coordinates
from kiosk.numbers.bends import deduction_in, relief_hole
from kiosk.numbers.cut_outs import CutOut
from kiosk.numbers.rib import Rib, lay_out
from kiosk.numbers.rib_inputs import LighteningHole, developed_flange_in
from tests.numbers.random_ribs import distances, section_points
from tests.numbers.ribs import inputs

DEVELOPED_IN = 0.625 - deduction_in(0.025, 0.125, 90)
SETBACK_IN = 0.15


@pytest.fixture(scope="module")
def nose() -> Rib:
    return lay_out(naca("2412"), inputs(rear_flange="down", rear_rivets=4))


@pytest.mark.parametrize(
    ("station", "upper", "lower"),
    # NACA 2412, percent of the chord: published lofting table, four decimals.
    [(0.05, 4.1304, -3.0054), (0.10, 5.6291, -3.7608), (0.30, 7.8785, -4.1286), (0.70, 5.1778, -2.1540)],
)
def test_ends_stand_where_the_published_ordinates_put_them(
    station: float, upper: float, lower: float
) -> None:
    rib = lay_out(
        naca("2412"), inputs(skin_in=0.0, front_station=station, rear_station=0.9, rivet_pitch_in=2.0)
    )
    top, bottom = rib.upper.line.points[0], rib.lower.line.points[0]
    assert top == pytest.approx((50 * station, upper / 2), abs=6e-4)  # .0008 % of the chord, the table's own
    assert bottom == pytest.approx((50 * station, lower / 2), abs=6e-4)
    assert rib.front_height_in == pytest.approx((upper - lower) / 2, abs=1e-3)


def test_an_end_is_square_to_the_chord_at_its_station(nose: Rib) -> None:
    for side in (nose.upper, nose.lower):
        assert side.line.points[0][0] == pytest.approx(1.25, abs=1e-9)
        assert side.line.points[-1][0] == pytest.approx(10.0, abs=1e-9)


@pytest.mark.parametrize(("name", "chord"), [("2412", 50.0), ("23012", 60.0), ("4412", 24.0)])
def test_lines_are_within_a_thousandth_of_the_true_curve(name: str, chord: float) -> None:
    """Points are placed by error: once 120 of them, .0173 in off on 50 in from .005 to .85."""
    rib = lay_out(
        naca(name), inputs(chord_in=chord, front_station=0.0, rear_station=0.85, rivet_pitch_in=1.0)
    )
    for sign, side in ((1, rib.upper), (-1, rib.lower)):
        skin = section_points(name, sign) * chord
        for line, away in ((side.line.points, 0.025), (side.pieces[0].flat_edge, DEVELOPED_IN - 0.025)):
            points = np.array(line)
            middles = (points[:-1] + points[1:]) / 2  # where a straight piece is furthest off
            assert np.abs(distances(middles, skin) - away).max() < 5e-4


def test_a_coordinate_file_gives_a_smooth_outline() -> None:
    """51 points, as such files come: once joined by pieces with kinks of 17.6 degrees and .015 in off."""
    coarse = naca("2412", points=25)
    rows = [*reversed(coarse.upper), *coarse.lower[1:]]
    section = read_coordinates("coarse\n" + "\n".join(f"{x:.6f} {y:.6f}" for x, y in rows))
    rib = lay_out(section, inputs(rear_station=0.6))
    for sign, side in ((1, rib.upper), (-1, rib.lower)):
        skin = section_points("2412", sign) * 50
        assert np.abs(distances(np.array(side.line.points), skin) - 0.025).max() < 1e-3
        kinks = np.diff(side.line.directions_rad)
        pieces = np.degrees(np.abs(np.arctan2(*np.diff(np.array(side.line.points), axis=0).T[::-1])))
        assert np.abs(kinks).max() < math.radians(8)
        assert np.abs(np.diff(pieces)).max() < 8


# Ends and reliefs


def test_an_end_flange_is_developed_like_the_others(nose: Rib) -> None:
    (rear,) = nose.ends
    xs = [x for x, _ in rear.surface]
    assert (min(xs), max(xs)) == pytest.approx((10.0, 10.0 + DEVELOPED_IN))
    assert max(x for x, _ in nose.blank) == pytest.approx(10.0 + DEVELOPED_IN)
    assert [mark.flat[0] for mark in rear.rivets] == pytest.approx([10 + DEVELOPED_IN - 0.3125] * 4)
    wide = lay_out(naca("2412"), inputs(rear_flange="up", rear_flange_width_in=0.75))
    assert wide.ends[0].way == "up"
    assert max(x for x, _ in wide.blank) == pytest.approx(10.0 + DEVELOPED_IN + 0.125)


def test_flanges_end_where_the_other_ones_bend_begins(nose: Rib) -> None:
    """FAA-H-8083-31 chapter 4, box folding: relief where the inside tangent lines cross."""
    (rear,) = nose.ends
    assert len(nose.reliefs) == 2
    for relief, side, end_y in zip(
        nose.reliefs, (nose.upper, nose.lower), (rear.top_in, rear.bottom_in), strict=True
    ):
        x, y = relief.centre
        assert x == pytest.approx(10.0 - SETBACK_IN)
        assert y == pytest.approx(end_y)
        assert distances(np.array([(x, y)]), np.array(side.line.points))[0] == pytest.approx(
            SETBACK_IN, abs=1e-4
        )
        assert relief.diameter_in == relief_hole(0.025, 0.125).diameter_in == 0.25
        last = side.line.at(side.pieces[-1].last_in)  # the long flange ends beside the crossing
        assert math.dist(last, (x, y)) == pytest.approx(SETBACK_IN, abs=1e-6)
        assert not shapely.Polygon(nose.blank).contains(shapely.Point(x, y))
        assert shapely.Polygon(nose.blank).distance(shapely.Point(x, y)) == pytest.approx(0.125, abs=1e-3)


def test_formed_flanges_do_not_meet(nose: Rib) -> None:
    """Bent up, each flange stops a bend's width short of the other one's outside."""
    (rear,) = nose.ends
    top = nose.upper.line.at(nose.upper.pieces[-1].last_in)
    assert 10.0 - top[0] > 0.025 + 0.1  # the end flange is .025 thick
    corner = nose.upper.line.points[-1]
    assert SETBACK_IN < corner[1] - rear.top_in < 1.2 * SETBACK_IN  # it falls forward with the section


def test_the_blank_holds_the_web_to_its_ends() -> None:
    """Once a straight line from flange end to flange end: the web was .052 and .066 in short."""
    for front, rear in ((0.025, 0.2), (0.7, 0.95)):
        rib = lay_out(naca("2412"), inputs(front_station=front, rear_station=rear, rivet_pitch_in=1.5))
        blank = shapely.Polygon(rib.blank).buffer(1e-6)
        assert blank.covers(shapely.Polygon(rib.web))


def test_the_block_is_inside_by_the_sheet_and_flush_where_no_flange_is(nose: Rib) -> None:
    xs = [x for x, _ in nose.block]
    assert min(xs) == pytest.approx(1.25)
    assert max(xs) == pytest.approx(10.0 - 0.025)
    web = shapely.LinearRing(nose.web)
    edges = [web.distance(shapely.Point(point)) for point in nose.block if 2 < point[0] < 9]
    assert edges == pytest.approx([0.025] * len(edges), abs=1e-4)
    notched = lay_out(naca("2412"), inputs(cut_outs=(CutOut(0.12, 0.75, 0.6, "top"),), rivet_pitch_in=1.25))
    plain = lay_out(naca("2412"), inputs(rivet_pitch_in=1.25))
    assert shapely.Polygon(notched.block).symmetric_difference(shapely.Polygon(plain.block)).area < 1e-3


def test_spar_flanges_are_bevelled_to_the_section() -> None:
    """NACA 0012 at 30 %: level; at 70 %, the slope of the published polynomial (Report 460)."""
    rib = lay_out(naca("0012"), inputs(skin_in=0.0, front_station=0.3, rear_station=0.7, rivet_pitch_in=1.5))
    bevels = {(one.end, one.side): one for one in rib.bevels}
    x = 0.7
    slope = 0.6 * (0.2969 / 2 / math.sqrt(x) - 0.126 - 2 * 0.3516 * x + 3 * 0.2843 * x**2 - 4 * 0.1015 * x**3)
    fall = -math.degrees(math.atan(slope))
    assert bevels["front", "upper"].slope_deg == pytest.approx(0.0, abs=0.02)
    assert bevels["rear", "upper"].aft_bend_deg == pytest.approx(90 + fall, abs=0.02)
    assert bevels["rear", "lower"].aft_bend_deg == pytest.approx(90 + fall, abs=0.02)
    assert bevels["rear", "upper"].forward_bend_deg == pytest.approx(90 - fall, abs=0.02)


# Round the nose


def test_a_rib_round_the_leading_edge_is_one_line() -> None:
    rib = lay_out(naca("2412"), inputs(front_station=0.0, rear_flange="down"))
    assert rib.front_height_in == 0 and rib.upper.line.points[0] == pytest.approx(rib.lower.line.points[0])
    both = np.vstack([section_points("2412", 1)[::-1], section_points("2412", -1)]) * 50
    web = np.array([point for point in rib.web if point[0] < 9.9])
    assert np.abs(distances(web, both) - 0.025).max() < 2e-4
    assert {one.end for one in rib.bevels} == {"rear"}


def test_the_flange_is_left_off_where_flutes_cannot_take_it_up() -> None:
    rib = lay_out(naca("2412"), inputs(front_station=0.0))
    for side in (rib.upper, rib.lower):
        begins = side.pieces[0].first_in
        assert 1.0 < begins < 3.0
        # A quarter of its width, and more for the edge before the first rivet.
        assert max(side.flute_depths_in) < 0.35 * 0.5
    assert len(rib.reliefs) == 2
    blank = shapely.Polygon(rib.blank)
    assert blank.is_valid and blank.bounds[0] == pytest.approx(0.025, abs=5e-3)  # bare at the nose
    given = lay_out(naca("2412"), inputs(front_station=0.0, nose_relief_in=2.5))
    assert [side.pieces[0].first_in for side in (given.upper, given.lower)] == [2.5, 2.5]


@pytest.mark.parametrize(("radius", "width"), [(0.03, 0.5), (0.03, 0.75), (0.0, 0.625), (0.09375, 0.625)])
def test_small_bends_leave_one_blank_with_the_whole_web(radius: float, width: float) -> None:
    """Where a relief's side lies on a flange's end, rounding once left slivers, and the flange was blamed."""
    for rear in (0.3, 0.45, 0.6):
        changes = {"bend_radius_in": radius, "flange_width_in": width, "rear_station": rear}
        rib = lay_out(naca("2412"), inputs(front_station=0.0, rear_flange="down", **changes))
        blank = shapely.Polygon(rib.blank)
        reliefs = shapely.union_all([relief.surface for relief in rib.reliefs])
        assert blank.is_valid
        assert shapely.Polygon(rib.web).difference(reliefs).difference(blank).area < 1e-6


# Rivets


def test_rivets_stand_on_the_flanges_own_middle(nose: Rib) -> None:
    """Once half a flange outside the outline: .226 from the edge on 5/8, .164 on 1/2."""
    for width in (0.625, 0.5):
        rib = lay_out(naca("2412"), inputs(flange_width_in=width))
        edges = shapely.union_all(
            [shapely.LineString(piece.flat_edge) for side in (rib.upper, rib.lower) for piece in side.pieces]
        )
        for centre in rib.flat_rivets:
            assert edges.distance(shapely.Point(centre)) == pytest.approx(width / 2, abs=2e-4)
    assert not nose.warnings


def test_an_edge_distance_under_two_diameters_is_warned_of() -> None:
    """FAA AC 43.13-1B paragraph 4-57."""
    rib = lay_out(naca("2412"), inputs(flange_width_in=0.45))
    (edge, head) = rib.warnings
    assert edge.argument == "flange_width_in" and "0.225 in" in edge.wrong and "0.250" in edge.wrong
    assert head.argument == "flange_width_in" and "driven head" in head.wrong
    moved = lay_out(naca("2412"), inputs(rivet_edge_in=0.2))
    assert [one.argument for one in moved.warnings] == ["rivet_edge_in"]
    assert not lay_out(naca("2412"), inputs(flange_width_in=0.5)).warnings
    close = lay_out(naca("2412"), inputs(rear_flange="down", rear_rivets=30))
    assert [one.argument for one in close.warnings] == ["rear_rivets"]
    at_cut = lay_out(naca("2412"), inputs(rivet_end_in=0.125))
    assert [one.argument for one in at_cut.warnings] == ["rivet_end_in", "rivet_end_in"]


# Cut-outs and holes

MIDDLE = CutOut(0.11, 1.5, 2.0, "middle")
TOP = CutOut(0.12, 0.75, 0.6, "top")
BOTTOM = CutOut(0.09, 1.0, 0.5, "bottom")


def test_a_cut_out_parts_the_flange_square_and_rounds_its_corners() -> None:
    rib = lay_out(naca("2412"), inputs(cut_outs=(MIDDLE, TOP, BOTTOM), rivet_pitch_in=1.25))
    for side, notch in ((rib.upper, TOP), (rib.lower, BOTTOM)):
        first, second = side.pieces
        middle = 50 * notch.station
        assert side.line.at(first.last_in)[0] == pytest.approx(middle - notch.width_in / 2)
        assert side.line.at(second.first_in)[0] == pytest.approx(middle + notch.width_in / 2)
        for rivet in side.rivets_in:
            assert rivet < first.last_in - 0.49 or rivet > second.first_in + 0.49
    (opening,) = rib.openings
    assert shapely.Polygon(opening).area == pytest.approx(3.0 - (4 - math.pi) * 0.125**2, abs=1e-4)
    slot = lay_out(naca("2412"), inputs(cut_outs=(CutOut(0.11, 0.25, 1.0, "middle"),)))
    assert shapely.Polygon(slot.openings[0]).area == pytest.approx(0.75 * 0.25 + math.pi / 64, abs=1e-3)


def test_holes_are_where_the_plans_put_them() -> None:
    holes = (LighteningHole(0.3, 2.854, 3.354), LighteningHole(0.45, 2.854, 3.354))
    rib = lay_out(
        naca("2412"),
        inputs(
            front_station=0.2,
            rear_station=0.7,
            lightening_holes=holes,
            tooling_hole_stations=(0.24, 0.6),
            rivet_pitch_in=1.5,
        ),
    )
    # NACA 2412 at 30 %: 7.8785 and -4.1286 percent; the middle of a 50 in chord's web.
    assert rib.lightening_holes[0].centre == pytest.approx((15.0, (7.8785 - 4.1286) / 4), abs=1e-3)
    assert [hole.centre[0] for hole in rib.tooling_holes] == pytest.approx([12.0, 30.0])
    assert lay_out(naca("2412"), inputs(tooling_hole_stations=())).tooling_holes == ()


def test_tooling_holes_find_a_clear_place() -> None:
    """Once at 12, 50 and 88 % of the length whatever was there: in a cut-out on 34 of 206 random ribs."""
    cut_out = CutOut(0.1125, 1.5, 2.0, "middle")  # the middle of the rib
    rib = lay_out(naca("2412"), inputs(cut_outs=(cut_out,)))
    assert len(rib.tooling_holes) == 3
    (opening,) = rib.openings
    for hole in rib.tooling_holes:
        clear = shapely.Polygon(opening).distance(shapely.Point(hole.centre)) - hole.diameter_in / 2
        assert clear >= 0.125 - 1e-6


def test_the_developed_flange_is_less_one_deduction() -> None:
    assert developed_flange_in(inputs()) == pytest.approx(DEVELOPED_IN) == pytest.approx(0.5386, abs=5e-5)


def test_a_straight_edge_has_no_flutes_and_no_stretch() -> None:
    wedge = Section(
        "wedge", tuple((n / 50, 0.06) for n in range(51)), tuple((n / 50, -0.06) for n in range(51))
    )
    rib = lay_out(wedge, inputs(front_station=0.1, rear_station=0.6))
    for side in (rib.upper, rib.lower):
        assert side.flutes == () and side.shrink_in == pytest.approx(0, abs=1e-9)
        assert side.stretch_percent == 0
