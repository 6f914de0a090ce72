"""The corners of a cut-out are marked on paper where a drill leaves the round that the layout has."""

import math

import pytest
import shapely

from kiosk.drawing.marks import Line
from kiosk.drawing.rib_drawing import draw_rib
from kiosk.numbers.aerofoil import naca
from kiosk.numbers.cut_outs import CutOut
from kiosk.numbers.rib import lay_out
from tests.numbers.ribs import inputs

MAIN = {"front_station": 0.2, "rear_station": 0.7}
NOTCH = CutOut(0.35, 1.0, 0.9, "top")
BELOW = CutOut(0.5, 1.0, 0.8, "bottom")
WITHIN = CutOut(0.6, 1.0, 1.0, "middle")


@pytest.mark.parametrize(("cut_out", "corners"), [(NOTCH, 2), (BELOW, 2), (WITHIN, 4)])
def test_a_drill_at_each_cross_touches_two_sides_and_crosses_none(cut_out: CutOut, corners: int) -> None:
    """Against the blank itself: it takes none of the metal that stays, and leaves none of the round."""
    rib = lay_out(naca("2412"), inputs(**MAIN, cut_outs=(cut_out,), cut_out_radius_in=0.125))
    assert len(rib.cut_out_corners) == corners
    metal = shapely.Polygon(rib.blank, list(rib.openings))
    for centre in rib.cut_out_corners:
        assert shapely.distance(metal, shapely.Point(centre)) == pytest.approx(0.125, abs=2e-4)
    for one in rib.cut_out_corners:
        for other in rib.cut_out_corners:
            assert one == other or math.dist(one, other) > 0.125


def test_a_half_round_end_is_one_hole() -> None:
    wide = CutOut(0.6, 0.5, 1.0, "middle")
    rib = lay_out(naca("2412"), inputs(**MAIN, cut_outs=(wide,), cut_out_radius_in=0.25))
    assert len(rib.cut_out_corners) == 2


def test_each_corner_has_its_cross_on_paper_and_the_drill_is_said() -> None:
    rib = lay_out(naca("2412"), inputs(**MAIN, cut_outs=(WITHIN,), cut_out_radius_in=0.125))
    drawing = draw_rib(rib, "rib")
    for x, y in rib.cut_out_corners:
        through = [
            mark
            for mark in drawing.marks
            if isinstance(mark, Line) and mark.layer == "NOTES" and len(mark.points) == 2
            if shapely.distance(shapely.LineString(mark.points), shapely.Point(x, y)) < 1e-9
        ]
        assert len(through) == 2
    assert any("Drill 0.250 in at each corner cross of the cut-outs" in note for note in drawing.notes)
    without = draw_rib(lay_out(naca("2412"), inputs(**MAIN)), "rib")
    assert not any("corner cross" in note for note in without.notes)
