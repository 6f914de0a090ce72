"""Openings in the web are as wide as what passes, their corners' drill fits, and metal is left beside them.

Widths and distances are read off the laid-out outlines by plain cuts across them, not by what made them.
"""

from typing import Any

import pytest
import shapely

from kiosk.numbers.aerofoil import naca
from kiosk.numbers.cut_outs import CutOut
from kiosk.numbers.result import OutOfRange
from kiosk.numbers.rib import Rib, lay_out
from kiosk.numbers.rib_inputs import LighteningHole, RibInputs
from tests.numbers.ribs import inputs

MAIN = {"front_station": 0.2, "rear_station": 0.6}
SHALLOW = CutOut(0.4, 0.75, 0.25, "top")
NARROW = CutOut(0.4, 0.625, 0.875, "middle")


def open_at(rib: Rib, outline: Any, x: float, depth_in: float) -> float:
    """How wide an outline is open at a depth below the rib's upper edge, about a station."""
    level = rib.upper.line.height_at_x(x) - depth_in
    across = shapely.LineString([(x - 0.6, level), (x + 0.6, level)])
    return float(across.difference(shapely.Polygon(outline)).length)


@pytest.mark.parametrize("radius_in", [0.0625, 0.125, 0.25])
def test_a_shallow_notch_is_as_wide_as_its_spar_down_to_where_its_round_begins(radius_in: float) -> None:
    rib = lay_out(naca("0012"), inputs(**MAIN, cut_outs=(SHALLOW,), cut_out_radius_in=radius_in))
    for outline in (rib.web, rib.blank):
        for depth_in in (0.04, 0.5 * (0.25 - radius_in) + 0.04):
            assert open_at(rib, outline, 20.0, depth_in) == pytest.approx(0.75, abs=0.015)


@pytest.mark.parametrize("one", [SHALLOW, NARROW, CutOut(0.4, 0.25, 1.0, "bottom")])
def test_the_largest_drill_for_the_corners_stays_within_the_opening(one: CutOut) -> None:
    most = min(one.width_in / 2, one.depth_in / 2 if one.edge == "middle" else one.depth_in)
    given = inputs(**MAIN, cut_outs=(one,), cut_out_radius_in=most)
    rib = lay_out(naca("0012"), given)
    web = shapely.Polygon(rib.web, rib.openings)
    floor = {
        "top": rib.upper.line.height_at_x(20 + one.width_in / 2) - one.depth_in,
        "bottom": rib.lower.line.height_at_x(20 + one.width_in / 2) + one.depth_in,
        "middle": -one.depth_in / 2,
    }[one.edge]
    inward = -1 if one.edge == "bottom" else 1
    for side in (-1, 1):
        centre = (20 + side * (one.width_in / 2 - most), floor + inward * most)
        hole = shapely.Point(centre).buffer(most)
        assert hole.intersection(web).area < 0.005  # what the outline's slope leaves at the other corner
    with pytest.raises(OutOfRange, match="do not fit") as caught:
        lay_out(naca("0012"), inputs(**MAIN, cut_outs=(one,), cut_out_radius_in=most + 0.001))
    assert caught.value.argument == "cut_out_radius_in"


def test_a_square_corner_is_refused_where_there_is_a_cut_out() -> None:
    with pytest.raises(OutOfRange, match="square corner") as caught:
        lay_out(naca("0012"), inputs(**MAIN, cut_outs=(NARROW,), cut_out_radius_in=0.0))
    assert caught.value.argument == "cut_out_radius_in"
    assert not lay_out(naca("0012"), inputs(**MAIN, cut_out_radius_in=0.0)).openings


def test_a_notch_leaves_an_eighth_of_flat_web_to_the_other_bend() -> None:
    bare = lay_out(naca("0012"), inputs(**MAIN))
    high = bare.upper.line.height_at_x(20.5) - bare.lower.line.height_at_x(20.5)
    setback = bare.inputs.setback_in
    deepest = CutOut(0.4, 1.0, high - setback - 0.127, "top")
    assert lay_out(naca("0012"), inputs(**MAIN, cut_outs=(deepest,)))
    deeper = CutOut(0.4, 1.0, high - setback - 0.1, "top")
    with pytest.raises(OutOfRange, match="flat web") as caught:
        lay_out(naca("0012"), inputs(**MAIN, cut_outs=(deeper,)))
    assert caught.value.argument == "cut_outs"


NOSE_OF_TEN = RibInputs(
    chord_in=10,
    front_station=0,
    rear_station=0.55,
    skin_in=0.04,
    thickness_in=0.032,
    bend_radius_in=0.125,
    flange_width_in=0.75,
    rear_flange="down",
    rivet_clear_in=0.12,
    rivet_end_in=0.4,
    tooling_hole_in=0.1,
)


def test_the_tooling_holes_that_are_placed_for_you_keep_clear_of_every_relief() -> None:
    rib = lay_out(naca("23012"), NOSE_OF_TEN)
    assert rib.reliefs and len(rib.tooling_holes) == 3
    for hole in rib.tooling_holes:
        disc = shapely.Point(hole.centre).buffer(hole.diameter_in / 2)
        assert min(disc.distance(relief.surface) for relief in rib.reliefs) >= 0.125 - 1e-4


@pytest.mark.parametrize(
    ("changes", "argument"),
    [
        ({"tooling_hole_stations": (0.75, 0.8, 0.916), "tooling_hole_in": 0.098}, "tooling_hole_stations"),
        ({"lightening_holes": (LighteningHole(0.916, 0.098, 0.098),)}, "lightening_holes"),
    ],
)
def test_a_hole_too_near_a_relief_is_refused(changes: dict[str, Any], argument: str) -> None:
    thick = {"thickness_in": 0.063, "bend_radius_in": 0.25, "flange_width_in": 0.9, "rear_flange": "down"}
    given = {"front_station": 0.7, "rear_station": 0.926, "chord_in": 50.0, **thick}
    with pytest.raises(OutOfRange, match="relief where a flange ends") as caught:
        lay_out(naca("0012"), inputs(**given, **changes))
    assert caught.value.argument == argument
