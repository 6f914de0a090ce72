"""Form blocks, flanging dies and flat patterns: against the handbook's arithmetic and plain geometry."""

import math
from functools import partial

import pytest
import shapely

from kiosk.drawing.block_drawing import draw_block
from kiosk.drawing.die_drawing import draw_dies
from kiosk.drawing.die_sketch import die_stack
from kiosk.drawing.flat_drawing import LONGEST_DRAWN_IN, draw_flat
from kiosk.drawing.layers import LAYERS
from kiosk.drawing.marks import Circle, Drawing, Line, Words
from kiosk.drawing.rib_drawing import draw_rib
from kiosk.drawing.sketch import InHand
from kiosk.numbers import flanged_hole, flanging_dies, flat_width
from kiosk.numbers.aerofoil import naca
from kiosk.numbers.rib import lay_out
from kiosk.numbers.rib_inputs import LighteningHole
from kiosk.shop.procedure import MeasureCheck
from tests.numbers.ribs import inputs
from tests.record.moments import brambling


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
    (around,) = lines(drawing, "WEB")  # a strip of the sheet on edge covers what is between the two
    apart = [shapely.LinearRing(around.points).distance(shapely.Point(at)) for at in outline.points]
    assert max(apart) == pytest.approx(rib.inputs.thickness_in, abs=1e-3)
    openings = circles(drawing, "OPENINGS")
    # Who takes an opening for the rim adds the room once more, and cuts 3.604 where 3.479 is wanted.
    assert not circles(drawing, "RIMS") and "cut here" in LAYERS["OPENINGS"].key
    assert [one.radius_in for one in openings] == pytest.approx([3.354 / 2 + 1 / 16] * 3)
    pins = circles(drawing, "HOLES")
    assert len(pins) == 3
    for pin in pins:  # once the land of the sheet alone was kept, and a pin broke into the opening
        for opening in openings:
            assert math.dist(pin.centre, opening.centre) - pin.radius_in - opening.radius_in >= 0.25 - 1e-3
    assert any("93.4 degrees" in note for note in drawing.notes)
    mirrored = draw_block(rib, "block", "right")
    assert circles(mirrored, "HOLES")[0].centre[0] == -pins[0].centre[0]


DIES = [
    (3.0, 0.25, 0.025, 45.0),
    (1.0, 0.125, 0.025, 45.0),
    (2.0, 0.1875, 0.04, 45.0),
    (4.0, 0.25, 0.032, 30.0),
]


@pytest.mark.parametrize(("finished", "slant", "thickness", "angle"), DIES)
def test_bottomed_dies_hold_the_sheet_on_both_faces_and_both_slopes(
    finished: float, slant: float, thickness: float, angle: float
) -> None:
    """Lowered until the web is clamped, the flange stands at its angle and the hole is what was wanted.

    The sheet is made here by itself: its mid-line, half a thickness over the female die's face and slope, and
    a flange as long as what is left of the hole beyond the bend. Made only as wide as the flange, a shoulder
    bottomed on the web with .051 in of air beside the slope.
    """
    hole = flanged_hole(finished, slant, "5052-O", angle)
    drawing = draw_dies(hole, flanging_dies(hole.cut_out_in, slant, thickness, angle), "dies", angle)
    below, above = lines(drawing, "DIES")[:2]
    female = shapely.Polygon(below.points)
    face, throat = below.points[1], below.points[2]
    shoulder = max(above.points[:-2], key=lambda point: point[1])
    assert above.points[-2][1] == pytest.approx(shoulder[1])  # its face
    down = shoulder[1] - (face[1] + thickness)  # until the two faces are a thickness apart
    lowered = [(x, y - down) for x, y in above.points]
    male = shapely.Polygon([*lowered, (0.0, lowered[-1][1]), (0.0, lowered[0][1])])
    turn = math.radians(angle)
    bend = face[0] - thickness / 2 * math.tan(turn / 2), thickness / 2
    long = bend[0] - hole.cut_out_in / 2
    rim = bend[0] - long * math.cos(turn), bend[1] - long * math.sin(turn)
    middle = shapely.LineString([(below.points[0][0], bend[1]), bend, rim])
    sheet = middle.buffer(thickness / 2, cap_style="flat", join_style="mitre")
    assert sheet.intersection(female).area < 1e-6 and sheet.intersection(male).area < 1e-6
    for tool in (female, male):  # both lie against it along all of the flange's slope
        for share in (0.15, 0.5, 0.85):
            x, y = bend[0] + share * (rim[0] - bend[0]), bend[1] + share * (rim[1] - bend[1])
            assert shapely.Point(x, y).distance(tool) == pytest.approx(thickness / 2, abs=1e-6)
    assert 2 * rim[0] == pytest.approx(finished, abs=0.005)  # 1/32 is allowed
    assert 2 * throat[0] == pytest.approx(finished)  # one bore


def test_one_bore_is_on_the_step_the_sketch_and_the_paper() -> None:
    """Once 3.000 was bored, and a chamfer drawn to 2.950 would have opened the mouth to 3.404."""
    shop = brambling()
    for name in ("main-rib", "tailplane-rib"):
        rib = shop.kinds[name]
        dies_kind = shop.kinds["dies-3in" if name == "main-rib" else "dies-1in"]
        number = partial(shop.figures.number, dies_kind)
        hole = flanged_hole(number("finished_hole", "in"), number("flange_slant", "in"), "2024-T3")
        dies = flanging_dies(hole.cut_out_in, number("flange_slant", "in"), rib.material.thickness or 0.0)
        (check,) = next(one for one in shop.procedures["hole-dies"].steps if one.id == "bore-die").checks
        assert isinstance(check, MeasureCheck)
        bored = shop.figures.limits(dies_kind, check).low
        assert bored is not None
        assert bored == pytest.approx(dies.female_bore_in)
        drawing = draw_dies(hole, dies, "dies")
        assert {mark.layer for mark in drawing.marks} <= set(LAYERS)
        throat = circles(drawing, "HOLES")[0]
        assert 2 * throat.radius_in == pytest.approx(bored)
        assert any(f"bore {bored:.3f}" in note for note in drawing.notes)
        sketch = die_stack.function(InHand(), hole.cut_out_in, number("flange_slant", "in"), 0.025)
        assert any(f"bore {bored:.3f}" in words for words in sketch.words)
        mouth = bored + 2 * dies.female_chamfer_in  # 45 degrees
        assert mouth == pytest.approx(number("die_opening", "in"), abs=1e-6)


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
    far = f"sight 6.285, {own:.3f} from its own edge, leg 3 under the nose"
    assert words[-1] == far
    # Each line has its own words over or under it: those of the wrong leg would be marked by somebody.
    for line in lines(drawing, "SIGHT"):
        (first, height), (last, _) = line.points
        said = f"sight {flat.width_in - height:.3f}"
        (of_line,) = (one for one in drawing.marks if isinstance(one, Words) and said in one.text)
        assert first < of_line.at[0] < last
    # The left half has the lines for a flange under the nose at both bends: who marks an end from it gets one
    # way of clamping, never one line of each (.033 in off on a bevelled spar).
    at_left = [one for one in lines(drawing, "SIGHT") if one.points[0][0] == 0.0]
    assert [flat.width_in - one.points[0][1] for one in at_left] == pytest.approx([0.718, 6.2851], abs=5e-4)
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


def test_a_rib_without_a_front_spar_names_no_bend_for_one() -> None:
    rib = lay_out(naca("2412"), inputs(rear_flange="down"))
    notes = " ".join(draw_rib(rib, "rib").notes)
    assert "Rear spar, upper flange" in notes and "Front spar" not in notes
