"""Form blocks, flanging dies and flat patterns: against the handbook's arithmetic and plain geometry."""

import math

import pytest
import shapely

from kiosk.drawing.block_drawing import draw_block
from kiosk.drawing.die_drawing import draw_dies
from kiosk.drawing.flat_drawing import LONGEST_DRAWN_IN, draw_flat
from kiosk.drawing.layers import LAYERS
from kiosk.drawing.marks import Circle, Drawing, Line, Words
from kiosk.numbers import flanged_hole, flanging_dies, flat_width
from kiosk.numbers.aerofoil import naca
from kiosk.numbers.rib import lay_out
from kiosk.numbers.rib_inputs import LighteningHole
from tests.numbers.ribs import inputs


def lines(drawing: Drawing, layer: str) -> list[Line]:
    return [mark for mark in drawing.marks if isinstance(mark, Line) and mark.layer == layer]


def circles(drawing: Drawing, layer: str) -> list[Circle]:
    return [mark for mark in drawing.marks if isinstance(mark, Circle) and mark.layer == layer]


def test_a_block_takes_the_flanges_and_keeps_its_pins_in_wood() -> None:
    holes = tuple(LighteningHole(station, 2.854, 3.354) for station in (0.3, 0.43, 0.56))
    rib = lay_out(
        naca("2412"), inputs(front_station=0.2, rear_station=0.7, rivet_pitch_in=1.5, lightening_holes=holes)
    )
    drawing = draw_block(rib, "block", "left", 93.4)
    (outline,) = lines(drawing, "BLOCK")
    assert shapely.Polygon(outline.points).area == pytest.approx(shapely.Polygon(rib.block).area)
    openings = circles(drawing, "RIMS")
    assert [one.radius_in for one in openings] == pytest.approx([3.354 / 2 + 1 / 16] * 3)
    pins = circles(drawing, "HOLES")
    assert len(pins) == 3
    for pin in pins:  # once the land of the sheet alone was kept, and a pin broke into the opening
        for opening in openings:
            assert math.dist(pin.centre, opening.centre) - pin.radius_in - opening.radius_in >= 0.25 - 1e-3
    assert any("93.4 degrees" in note for note in drawing.notes)
    mirrored = draw_block(rib, "block", "right")
    assert circles(mirrored, "HOLES")[0].centre[0] == -pins[0].centre[0]


def test_dies_have_the_flanges_own_width_and_angle() -> None:
    """FAA-H-8083-31 chapter 4: pilot the hole's size, shoulder the flange's width and angle."""
    hole = flanged_hole(3.0, 0.25, "2024-T3")
    dies = flanging_dies(hole.cut_out_in, 0.25, 0.025)
    drawing = draw_dies(hole, dies, 0.25, "dies")
    (opening,) = circles(drawing, "RIMS")
    assert 2 * opening.radius_in == pytest.approx(3.354, abs=5e-4)  # d0 + 2 s
    right_female, _left, *_ = lines(drawing, "DIES")[:2]
    chamfer = shapely.LineString(right_female.points[1:3])
    (x, y), (inner_x, inner_y) = right_female.points[1:3]
    assert (x - inner_x) == pytest.approx(y - inner_y)  # 45 degrees
    assert chamfer.length == pytest.approx(dies.female_chamfer_in * math.sqrt(2))
    male = lines(drawing, "DIES")[1].points
    assert math.dist(male[1], male[2]) == pytest.approx(0.25)
    assert {mark.layer for mark in drawing.marks} <= set(LAYERS)


def test_a_flat_shows_the_sight_line_for_either_leg_under_the_nose() -> None:
    """FAA-H-8083-31 chapter 4: one inside radius from the tangent line under the nose, into the bend.

    The front spar's second bend: 6.317 with the web under the nose, 6.285 with the second flange.
    """
    flat = flat_width((0.75, 5.694, 0.75), (90.0, 90.0), 0.032, 0.125)
    drawing = draw_flat(flat, (0.75, 5.694, 0.75), (90.0, 90.0), 0.125, 140.0, "spar")
    heights = [flat.width_in - line.points[0][1] for line in lines(drawing, "SIGHT")]  # from the upper edge
    assert heights == pytest.approx([0.718, 0.6866, 6.3166, 6.2851], abs=5e-4)
    tangents = sorted(flat.width_in - line.points[0][1] for line in lines(drawing, "BENDS"))
    assert tangents == pytest.approx([0.593, 0.8116, 6.1916, 6.4101], abs=5e-4)
    words = [mark.text for mark in drawing.marks if isinstance(mark, Words)]
    own = flat.width_in - 6.2851
    far = f"bend 2, 90 degrees from flat: sight 6.285, {own:.3f} from its own edge, leg 3 under the nose"
    assert words[-1] == far
    (outline,) = lines(drawing, "BLANK")
    assert not outline.closed and max(x for x, _ in outline.points) == LONGEST_DRAWN_IN
    assert max(y for _, y in outline.points) == pytest.approx(7.003, abs=5e-4)
    clip = draw_flat(
        flat_width((0.75, 0.75), (90.0,), 0.032, 0.125), (0.75, 0.75), (90.0,), 0.125, 3.0, "clip"
    )
    assert lines(clip, "BLANK")[0].closed


def test_a_bevelled_channel_is_drawn_the_right_way_up() -> None:
    """Upside down its two bends are exchanged: the upper flange is uppermost, and each bend has its angle."""
    legs, bends = (0.75, 5.694, 0.75), (84.04, 89.43)
    drawing = draw_flat(
        flat_width(legs, bends, 0.032, 0.125), legs, bends, 0.125, 140.0, "spar", "channel", "along"
    )
    words = {mark.text: mark.at[1] for mark in drawing.marks if isinstance(mark, Words)}
    assert words["UPPER FLANGE"] > words["WEB"] > words["LOWER FLANGE"]
    upper, lower = (
        next(at for text, at in words.items() if text.startswith(start))
        for start in ("upper bend, 84 degrees", "lower bend, 89.4 degrees")
    )
    assert upper > words["WEB"] > lower
    notes = " ".join(drawing.notes)
    assert "from the free edge of the upper flange, the upper edge of this drawing" in notes
    assert "The printed grain runs along the length." in notes and "across the grain where" not in notes


def test_the_legs_of_a_clip_go_by_their_length() -> None:
    for legs, first in (((1.5, 0.75), "LONG LEG"), ((0.75, 1.5), "SHORT LEG")):
        flat = flat_width(legs, (90.0,), 0.025, 0.125)
        drawing = draw_flat(flat, legs, (90.0,), 0.125, 3.0, "clip", "angle")
        names = [mark for mark in drawing.marks if isinstance(mark, Words) and mark.text.endswith(" LEG")]
        assert max(names, key=lambda mark: mark.at[1]).text == first
