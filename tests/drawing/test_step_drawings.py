"""The drawings on a step: against the layout, the handbooks' arithmetic and plain geometry."""

import math
import random
from collections import Counter
from collections.abc import Iterator

import pytest

from kiosk.drawing.bend_sketch import bend
from kiosk.drawing.cells import DOTS_ACROSS, put_on_cells
from kiosk.drawing.die_sketch import die_stack
from kiosk.drawing.rib_sketch import rib as rib_drawing
from kiosk.drawing.rivet_sketch import rivet_row
from kiosk.drawing.sketch import DONE, IN_HAND, RIVET, TO_DO, InHand, Sketch
from kiosk.drawing.step_drawings import STEP_DRAWINGS
from kiosk.numbers.aerofoil import naca
from kiosk.numbers.cut_outs import CutOut
from kiosk.numbers.nomenclature import NOMENCLATURE
from kiosk.numbers.result import OutOfRange
from kiosk.numbers.rib import Rib, lay_out
from kiosk.numbers.rib_inputs import LighteningHole
from tests.drawing.test_cells import assert_whole
from tests.numbers.random_ribs import random_ribs
from tests.numbers.ribs import inputs

BODIES = {"73x20": (71, 9), "80x24": (78, 15), "beside at 120x36": (44, 22), "120x36": (116, 27)}
NOBODY = InHand()


def nose_rib() -> Rib:
    return lay_out(naca("2412"), inputs(rear_flange="down", rear_rivets=4, rivet_pitch_in=1.0))


def text(sketch: Sketch) -> str:
    return " | ".join(label.text for label in sketch.labels)


# The rib


@pytest.mark.parametrize("box", BODIES.values(), ids=list(BODIES))
@pytest.mark.parametrize("hand", ["left", "right", "none"])
def test_flutes_stand_within_a_cell_of_the_layout(box: tuple[int, int], hand: str) -> None:
    laid = nose_rib()
    sketch = rib_drawing.function(InHand(hand), laid)  # type: ignore[arg-type]
    cells = put_on_cells(sketch, *box)
    assert cells is not None
    marked = {
        (row, column)
        for row, line in enumerate(cells.text.splitlines())
        for column, character in enumerate(line)
        if character == TO_DO
    }
    turned = -1.0 if hand == "left" else 1.0
    for side in (laid.upper, laid.lower):
        for at_in in side.flutes_in:
            x, y = side.line.at(at_in)
            row, column = cells.scale.cell((turned * x, y), box[1])
            assert any(abs(row - r) <= 1 and abs(column - c) <= 1 for r, c in marked)
    assert len(marked) >= len(laid.upper.flutes) - 1


def test_the_flute_in_hand_is_the_counted_one_every_second_first() -> None:
    """As the step says: every second line first, then those between, each flange by itself."""
    laid = nose_rib()
    upper, lower = len(laid.upper.flutes), len(laid.lower.flutes)
    flutes = [side.line.at(at) for side in (laid.upper, laid.lower) for at in side.flutes_in]
    order = [*range(0, upper, 2), *range(upper, upper + lower, 2)]
    order += [*range(1, upper, 2), *range(upper + 1, upper + lower, 2)]
    assert sorted(order) == list(range(upper + lower))
    for done in range(len(flutes) + 1):
        in_hand = InHand("right", done, len(flutes))
        sketch = rib_drawing.function(in_hand, laid, "formed", "flute", "every second")
        here = [one.at for one in sketch.symbols if one.character == IN_HAND]
        assert here == ([flutes[order[done]]] if done < len(flutes) else [])
        finished = {one.at for one in sketch.symbols if one.character == DONE}
        assert finished == {flutes[place] for place in order[:done]}
        assert (f"{done + 1} of {len(flutes)}" in text(sketch)) == (done < len(flutes))


def test_what_is_not_counted_is_not_marked() -> None:
    sketch = rib_drawing.function(InHand("left", 2, 9), nose_rib())
    assert not {IN_HAND, DONE} & {one.character for one in sketch.symbols}


def test_what_is_in_hand_is_said_in_words_too() -> None:
    """A label has no place on a small screen."""
    laid = nose_rib()
    flutes = len(laid.upper.flutes) + len(laid.lower.flutes)
    sketch = rib_drawing.function(InHand("right", 1, flutes), laid, counted="flute")
    deep = f"{laid.upper.flutes[1].depth_in:.3f}"
    assert f"this one: flute 2 of {flutes}, {deep} deep" in sketch.words[0]
    row = rivet_row.function(InHand("none", 2, 5), 5.694, 0.375, 0.125, 5, counted="hole")
    assert "this one: hole 3 of 5" in row.words[0] and "hole 3 of 5" in text(row)
    enough = rib_drawing.function(InHand("right", 3, flutes, is_enough=True), laid, counted="flute")
    marked = Counter(one.character for one in enough.symbols)
    assert marked[DONE] == 3 and not marked[IN_HAND] and "this one" not in enough.words[0]


def test_corner_holes_are_counted_one_by_one_and_no_whole_cut_out_for_them() -> None:
    """Two corners at an edge and four within the web: of the two cut-outs the second is not hole 2 of 6."""
    cut_outs = (CutOut(0.6, 1.0, 1.0, "middle"), CutOut(0.35, 1.0, 0.8, "bottom"))
    stations = {"front_station": 0.2, "rear_station": 0.7}
    laid = lay_out(naca("2412"), inputs(**stations, cut_outs=cut_outs, cut_out_radius_in=0.125))
    holes = len(laid.cut_out_corners)
    assert holes == 6
    sketch = rib_drawing.function(InHand("right", 4, holes), laid, "flat", "corner hole")
    (here,) = [one.at for one in sketch.symbols if one.character == IN_HAND]
    assert here == laid.cut_out_corners[4] and "corner hole 5 of 6" in text(sketch)
    assert here[0] == pytest.approx(0.6 * laid.inputs.chord_in - 0.5 + 0.125)
    other = rib_drawing.function(InHand("right", 1, holes), laid, "flat", "cut-out")
    assert not {IN_HAND, DONE} & {one.character for one in other.symbols}


def test_a_left_hand_is_the_mirror_image_and_says_so() -> None:
    laid = nose_rib()
    left, right = (rib_drawing.function(InHand(hand), laid) for hand in ("left", "right"))
    for one, other in zip(left.strokes, right.strokes, strict=True):
        assert [(-x, y) for x, y in one.points] == list(other.points)
    assert "FORWARD ►   LEFT HAND" in text(left)
    assert "◄ FORWARD   RIGHT HAND" in text(right)
    assert left.words[-1].endswith("its flanges point to the aeroplane's left.")
    assert min(x for x, _ in right.strokes[-1].points) == pytest.approx(min(x for x, _ in laid.web))


def test_every_hole_and_rivet_is_there_formed_and_flat() -> None:
    holes = tuple(LighteningHole(station, 2.854, 3.354) for station in (0.3, 0.43, 0.56))
    laid = lay_out(
        naca("2412"),
        inputs(
            front_station=0.2,
            rear_station=0.7,
            rivet_pitch_in=1.5,
            front_flange="down",
            front_rivets=4,
            lightening_holes=holes,
        ),
    )
    for shape in ("formed", "flat"):
        sketch = rib_drawing.function(InHand("right", 1, 3), laid, shape, "lightening hole")
        assert len([one for one in sketch.symbols if one.character == RIVET]) == len(laid.flat_rivets)
        (here,) = [one.at for one in sketch.symbols if one.character == IN_HAND]
        assert here == laid.lightening_holes[1].centre
        rounds = [one for one in sketch.strokes if len(one.points) == 91]
        assert len(rounds) == 3
        for one, hole in zip(rounds, laid.lightening_holes, strict=True):
            away = [math.dist(point, hole.centre) for point in one.points]
            assert away == pytest.approx([2.854 / 2] * len(away))
    assert [one.points for one in sketch.strokes if one.pattern == "dashed"] == [laid.web]


# The bend


def test_the_sight_line_is_where_the_handbook_has_it() -> None:
    """FAA-H-8083-31 chapter 4, the U-channel of .040 in 2024-T3, 1.00 / 2.00 / 1.00 and R .16.

    Its setback is .2, its flats .8, 1.6 and .8: the tangent line of the clamped flange is .8 from the edge,
    and the sight line one radius further, .96.
    """
    for which, leg in ((1, 1), (2, 3)):
        sketch = bend.function(NOBODY, (1.0, 2.0, 1.0), (90.0, 90.0), 0.040, 0.16, None, which, leg)
        assert "tangent 0.800" in text(sketch)
        assert "SIGHT LINE 0.960" in text(sketch)
        assert f"edge of leg {leg}" in " ".join(sketch.words)


def test_the_sight_line_is_drawn_one_radius_from_the_tangent_line_under_the_nose() -> None:
    """FAA-H-8083-31 chapter 4, sight line: one bend radius in, directly below the nose of the radius bar."""
    radius, thickness = 0.125, 0.032
    sketch = bend.function(NOBODY, (0.75, 5.694, 0.75), (90.0, 90.0), thickness, radius)
    tangent, sight = [one for one in sketch.strokes if one.pattern == "dotted" and len(one.points) == 2]
    assert {x for x, _ in tangent.points} == {0.0}
    assert {x for x, _ in sight.points} == {radius}
    bar = next(one for one in sketch.strokes if one.points[0] == one.points[-1])
    assert max(x for x, _ in bar.points) == pytest.approx(radius)  # the nose's edge, straight above
    for box in BODIES.values():
        cells = put_on_cells(sketch, *box)
        assert cells is not None
        apart = cells.scale.dot(sight.points[0])[0] - cells.scale.dot(tangent.points[0])[0]
        assert apart == pytest.approx(radius * cells.scale.dots_in)


@pytest.mark.parametrize("angle", [30.0, 45.0, 90.0, 120.0, 150.0])
def test_the_section_is_a_sheet_bent_to_its_angle(angle: float) -> None:
    """Plain geometry: faces half a thickness from the middle, legs at the angle, a setback apart."""
    radius, thickness = 0.25, 0.05
    sketch = bend.function(NOBODY, (3.0, 3.0), (angle,), thickness, radius)
    faces = [one.points for one in sketch.strokes if len(one.points) == 26 and one.pattern == "solid"]
    inner, outer = faces
    for (x0, y0), (x1, y1) in zip(inner, outer, strict=True):
        assert math.hypot(x1 - x0, y1 - y0) == pytest.approx(thickness)
    for face, from_centre in ((inner, radius), (outer, radius + thickness)):
        centre = (0.0, thickness + radius)
        assert [math.dist(point, centre) for point in face[:-1]] == pytest.approx([from_centre] * 25)
        (x0, y0), (x1, y1) = face[-2:]
        assert math.degrees(math.atan2(y1 - y0, x1 - x0)) == pytest.approx(angle)
    # The outsides meet in the mould line, one setback from the tangent line: AC 43.13-1B 4-56b.
    x, y = outer[-2]
    mould = x - y / math.tan(math.radians(angle))
    assert mould == pytest.approx(math.tan(math.radians(angle) / 2) * (radius + thickness))


def test_legs_bent_before_stand_up_already() -> None:
    first = bend.function(NOBODY, (0.75, 3.0, 0.75), (90.0, 90.0), 0.032, 0.125)
    second = bend.function(NOBODY, (0.75, 3.0, 0.75), (90.0, 90.0), 0.032, 0.125, None, 2, 3)
    other = bend.function(NOBODY, (0.75, 3.0, 0.75), (90.0, 90.0), 0.032, 0.125, None, 2, 2)

    def longest(sketch: Sketch) -> int:
        return max(len(one.points) for one in sketch.strokes if one.pattern == "solid")

    assert longest(first) < longest(second)
    assert longest(other) > 26  # behind the nose
    assert "leg 2 under nose" in text(other)


@pytest.mark.parametrize(
    ("which", "leg", "guilty"),
    [(0, 1, "bend"), (3, 3, "bend"), (1, 3, "leg_under_nose"), (2, 1, "leg_under_nose")],
)
def test_a_bend_or_leg_that_is_not_there_is_refused(which: int, leg: int, guilty: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        bend.function(NOBODY, (1.0, 2.0, 1.0), (90.0, 90.0), 0.04, 0.16, None, which, leg)
    assert caught.value.argument == guilty


def test_the_flute_in_hand_says_how_deep_it_begins() -> None:
    """The chord of an arc that takes up u over a width c: its depth is near sqrt(3 c u / 8)."""
    laid = nose_rib()
    sketch = rib_drawing.function(InHand("left", 0, 9), laid, counted="flute")
    first = laid.upper.flutes[0]
    about = math.sqrt(3 * first.width_in * first.takes_up_in / 8)
    (label,) = [one for one in sketch.labels if " deep" in one.text]
    assert float(label.text.split(", ")[1].split()[0]) == pytest.approx(about, rel=0.05)
    assert sum("Begin the" in one for one in sketch.words) == 2


# The dies


def test_dies_are_drawn_at_their_own_widths() -> None:
    """FAA-H-8083-31 chapter 4: pilot the hole's size, shoulder the flange's angle.

    The shoulder's wide end is inside the opening by the sheet between them: 2 T tan 22.5 in diameter.
    """
    sketch = die_stack.function(NOBODY, 2.854, 0.25, 0.025)
    female, male, sheet = (one.points for one in sketch.strokes[:3])
    assert female[0][0] == pytest.approx((2.854 + 0.5) / 2)  # the opening, d0 + 2 s
    assert math.dist(female[0], female[1]) == pytest.approx(0.25)
    assert male[4][0] == pytest.approx((3.354 - 2 * 0.025 * math.tan(math.radians(22.5))) / 2)
    assert math.dist(male[3], male[4]) == pytest.approx(0.346, abs=5e-4)
    for line in (female[:2], male[3:5]):
        (x0, y0), (x1, y1) = line
        assert abs((y1 - y0) / (x1 - x0)) == pytest.approx(1.0)  # 45 degrees
    assert male[1][0] == pytest.approx(2.844 / 2)
    assert sheet[0][0] == pytest.approx(2.854 / 2)
    assert male[0][1] > sheet[2][1]  # nothing touches before the stroke
    assert "opening 3.354" in text(sketch) and "pilot 2.844" in text(sketch) and "PRESS ▼" in text(sketch)


@pytest.mark.parametrize("box", BODIES.values(), ids=list(BODIES))
@pytest.mark.parametrize(("hole", "slant"), [(2.854, 0.25), (0.927, 0.125)])
def test_both_slopes_are_seen_on_the_smallest_screen(box: tuple[int, int], hole: float, slant: float) -> None:
    """A slope that is less than a cell wide looks like a step."""
    sketch = die_stack.function(NOBODY, hole, slant, 0.025)
    cells = put_on_cells(sketch, *box)
    assert cells is not None
    female, male = (one.points for one in sketch.strokes[:2])
    for line in (female[:2], male[3:5]):
        assert abs(line[0][0] - line[1][0]) * cells.scale.dots_in >= DOTS_ACROSS


# The row


def test_a_row_has_its_pitch_and_ends() -> None:
    """Plain division: 5 rivets in 5.694 in with .375 at each end leave 4 spaces of 1.236."""
    sketch = rivet_row.function(InHand("none", 2, 5), 5.694, 0.375, 0.125, 5)
    centres = sorted(one.at[0] for one in sketch.symbols)
    assert centres == pytest.approx([0.375 + 1.236 * number for number in range(5)])
    assert [one.character for one in sorted(sketch.symbols, key=lambda one: one.at)] == [
        "x",
        "x",
        "█",
        "+",
        "+",
    ]
    assert "pitch 1.236" in text(sketch) and "end 0.375" in text(sketch) and "3 of 5" in text(sketch)


def test_the_edge_is_the_least_published_unless_it_is_given() -> None:
    """FAA AC 43.13-1B paragraph 4-57: two diameters from the centre to the edge."""
    assert "edge ≥ 0.250" in text(rivet_row.function(NOBODY, 6.0, 0.5, 0.125, 5))
    assert "edge 0.300" in text(rivet_row.function(NOBODY, 6.0, 0.5, 0.125, 5, 0.3))


@pytest.mark.parametrize(
    ("changes", "guilty"), [({"count": 1}, "count"), ({"count": 201}, "count"), ({"edge_in": 0.0}, "edge_in")]
)
def test_a_row_that_cannot_be_drawn_is_refused(changes: dict[str, float], guilty: str) -> None:
    given = {"length_in": 50.0, "end_in": 0.5, "diameter_in": 0.125, "count": 5, **changes}
    with pytest.raises(OutOfRange) as caught:
        rivet_row.function(in_hand=NOBODY, **given)
    assert caught.value.argument == guilty


# All of them


def _random_sketches(seed: int) -> Iterator[Sketch]:
    chance = random.Random(seed)
    while True:
        try:
            thickness = chance.choice([0.016, 0.02, 0.025, 0.032, 0.04, 0.063, 0.125])
            radius = chance.choice([0.0, 1 / 32, 1 / 16, 1 / 8, 1 / 4, 1.0, 9.0])
            bends = chance.randint(1, 4)
            legs = tuple(chance.uniform(0.1, chance.choice([1, 8, 40])) for _ in range(bends + 1))
            angles = tuple(chance.choice([0.0, 3.0, 15.0, 88.0, 90.0, 135.0, 174.0]) for _ in range(bends))
            which = chance.randint(1, bends)
            leg = which + chance.randint(0, 1)
            yield bend.function(NOBODY, legs, angles, thickness, radius, None, which, leg)
        except OutOfRange:
            pass
        try:
            hole = chance.uniform(0.3, 12)
            slant, angle = chance.uniform(0.02, 2), chance.choice([1.0, 30.0, 45.0, 60.0, 90.0])
            yield die_stack.function(NOBODY, hole, slant, thickness, angle)
        except OutOfRange:
            pass
        try:
            many = chance.randint(2, 200)
            in_hand = InHand("none", chance.randint(0, many), many)
            edge = chance.choice([None, 0.1, 0.3, 2.0])
            yield rivet_row.function(
                in_hand, chance.uniform(0.5, 150), chance.uniform(0.1, 1), 0.125, many, edge
            )
        except OutOfRange:
            pass


def test_a_hundred_random_drawings_keep_to_their_boxes() -> None:
    """And what a person needs most is always placed: sight line, pitch, die sizes, what is in hand."""
    found = _random_sketches(7)
    for _ in range(100):
        sketch = next(found)
        for name, box in BODIES.items():
            cells = put_on_cells(sketch, *box)
            assert cells is not None
            assert_whole(cells, *box)
            lost = [label.text for label, place in cells.placed if place is None]
            assert not lost, f"{sketch.title} at {name}: {lost}"


def test_random_ribs_keep_to_their_boxes() -> None:
    chance = random.Random(3)
    drawn = 0
    for _, _, laid in random_ribs(range(40)):
        flutes = len(laid.upper.flutes) + len(laid.lower.flutes)
        in_hand = InHand(chance.choice(["left", "right", "none"]), chance.randint(0, flutes), flutes)
        for shape in ("formed", "flat"):
            sketch = rib_drawing.function(in_hand, laid, shape, "flute", "every second")
            for box in BODIES.values():
                cells = put_on_cells(sketch, *box)
                assert cells is not None
                assert_whole(cells, *box)
                assert all(place is not None for _, place in cells.placed)
                assert (IN_HAND in cells.text) == (in_hand.next is not None)
                drawn += 1
    assert drawn >= 100


def test_inputs_are_called_as_a_calculators_are() -> None:
    own = {"bend", "leg_under_nose", "legs_called", "shape", "counted", "order"}
    for drawing in STEP_DRAWINGS.values():
        for parameter in drawing.parameters:
            assert parameter.argument in NOMENCLATURE or parameter.name in own, parameter.argument
        assert drawing.function.__doc__ and "Parameters\n" in drawing.function.__doc__
    assert set(STEP_DRAWINGS) == {"rib", "bend", "die_stack", "rivet_row"}


def test_a_dash_needs_no_colour() -> None:
    """Lines are told apart by pattern: what is there, what was before, what is only looked along."""
    patterns = {one.pattern for one in bend.function(NOBODY, (1.0, 2.0), (90.0,), 0.04, 0.16).strokes}
    assert patterns == {"solid", "dashed", "dotted"}


def test_a_row_drilled_from_its_ends_marks_its_ends_first() -> None:
    """First and last hole, then the middle, then the rest: what the step says is what is marked."""
    places = []
    for done in range(5):
        sketch = rivet_row.function(InHand("none", done, 5), 5.0, 0.3125, 0.125, 5, order="ends first")
        (marked,) = [one.at[0] for one in sketch.symbols if one.character == IN_HAND]
        places.append(round((marked - 0.3125) / ((5.0 - 0.625) / 4)))
    assert places == [0, 4, 2, 1, 3]


def test_the_leg_under_the_nose_is_named() -> None:
    clip = bend.function(
        in_hand=NOBODY,
        legs_in=(1.5, 0.75),
        bend_angles_deg=(90.0,),
        thickness_in=0.025,
        inside_radius_in=0.125,
        legs_called="angle",
    )
    assert "long leg under nose" in [one.text for one in clip.labels]
    assert clip.words[0] == "Long leg, 1.500 in outside, lies under the nose."
