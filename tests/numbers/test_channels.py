"""Channels against a section that is walked round by a turtle: nothing here is the calculators' own."""

import math
import random
from collections.abc import Sequence

import pytest
from shapely import Polygon, box
from shapely.affinity import rotate, translate

from kiosk.numbers.bends import overbend
from kiosk.numbers.channels import channel_height, flange_reach, nose_room
from tests.numbers.channel_sections import channel, swung_over

SPARS = {  # web, upper bend, lower bend: the four of the example, as they are laid out
    "front": (5.6941, 84.0408, 89.4320),
    "rear": (3.6157, 82.5761, 86.3312),
    "tail front": (1.4519, 102.8266, 102.8266),
    "tail rear": (1.8765, 93.5262, 93.5262),
}
# Found at the bench by somebody who drew the sections: over all, and flange off the back, to a thousandth.
FOUND = {"front": 5.779, "rear": 3.761, "tail front": 1.373, "tail rear": 1.857}


def _legs(web_in: float, flange_in: float = 0.75) -> tuple[float, float, float]:
    return (flange_in, web_in, flange_in)


@pytest.mark.parametrize("name", SPARS)
def test_calipers_over_all_read_what_the_drawn_section_measures(name: str) -> None:
    web, upper, lower = SPARS[name]
    worked = channel_height(_legs(web), (upper, lower), 0.032, 0.125)
    section = channel(_legs(web), (upper, lower), 0.032, 0.125)
    assert worked.height_in == pytest.approx(section.high_in, abs=2e-5)
    assert worked.height_in == pytest.approx(FOUND[name], abs=0.001)


def _random(random_numbers: random.Random) -> tuple[tuple[float, float, float], tuple[float, float], float]:
    web, flange = random_numbers.uniform(1.2, 8), random_numbers.uniform(0.6, 1.1)
    bends = (random_numbers.uniform(70, 110), random_numbers.uniform(70, 110))
    return _legs(web, flange), bends, random_numbers.choice((0.025, 0.032, 0.040))


def test_three_hundred_channels_and_their_flanges() -> None:
    random_numbers = random.Random(11)
    for _ in range(300):
        legs, bends, thick = _random(random_numbers)
        section = channel(legs, bends, thick, 0.125)
        worked = channel_height(legs, bends, thick, 0.125)
        assert worked.height_in == pytest.approx(section.high_in, abs=5e-5), (legs, bends)
        reach = max(flange_reach(legs[0], bend, thick).reach_in for bend in bends)
        assert reach == pytest.approx(section.deep_in, abs=5e-5), (legs, bends)


def test_what_passes_piece_by_piece_passes_over_all() -> None:
    """Web and flange 1/64 off and both bends half a degree, all the same way, and no further."""
    random_numbers = random.Random(12)
    for _ in range(100):
        legs, bends, thick = _random(random_numbers)
        if any(abs(bend - 90) < 1 for bend in bends):
            continue  # half a degree changes what the calipers touch
        worked = channel_height(legs, bends, thick, 0.125)
        flange, web, _ = legs
        furthest = 0.0
        for way in (1, -1):
            off = (flange + way / 64, web + way / 64, flange + way / 64)
            turned = tuple(bend - way * 0.5 for bend in bends)
            high = channel(off, turned, thick, 0.125).high_in
            furthest = max(furthest, abs(high - worked.height_in))
        assert worked.limit_in == pytest.approx(furthest, abs=0.001), (legs, bends)


def _polygon(legs: Sequence[float], bend: float, thick: float, radius: float, last_bend: float) -> Polygon:
    """First flange and first bend as one piece, the web flat along x and the second bend's tangent at 0."""
    back = (radius + thick) * math.tan(math.radians(bend / 2))
    web = legs[1] - back - (radius + thick) * math.tan(math.radians(last_bend / 2))
    turn = math.radians(bend)
    sides = []
    for around in (radius, radius + thick):
        arc = [turn * step / 200 for step in range(201)]
        side = [(web + around * math.sin(a), radius - around * math.cos(a)) for a in arc]
        flat = legs[0] - back
        side.append((side[-1][0] + flat * math.cos(turn), side[-1][1] + flat * math.sin(turn)))
        sides.append(side)
    return Polygon(sides[0] + sides[1][::-1])


def _lowest_over_the_nose(piece: Polygon, swung_deg: float, radius: float) -> float:
    turn = math.radians(swung_deg)
    swung = rotate(piece, swung_deg, origin=(0, 0))
    moved = translate(swung, radius * math.sin(turn), radius - radius * math.cos(turn))
    over = moved.intersection(box(-100, -100, radius, 100))
    return math.inf if over.is_empty else float(over.bounds[1])


def _lowest(web: float, bends: tuple[float, float], set_deg: float) -> float:
    """The lowest that the first flange comes over the nose, all along the swing."""
    piece = _polygon(_legs(web), bends[0], 0.032, 0.125, bends[1])
    return min(_lowest_over_the_nose(piece, set_deg * share / 200, 0.125) for share in range(100, 201))


@pytest.mark.parametrize("name", SPARS)
def test_the_first_flange_comes_down_where_it_is_drawn(name: str) -> None:
    web, upper, lower = SPARS[name]
    worked = nose_room(_legs(web), (upper, lower), 0.032, 0.125, "2024-T3")
    set_deg = overbend(0.032, 0.125, "2024-T3", lower).angle_deg
    drawn = swung_over(_legs(web), (upper, lower), set_deg, 0.032, 0.125)
    assert worked.flange_in == pytest.approx(_lowest(web, (upper, lower), set_deg), abs=0.002)
    assert worked.nose_in == pytest.approx(worked.flange_in - 1 / 16)
    behind = 0.125 - min(x for x, _ in drawn.first_flange)
    assert worked.behind_in == pytest.approx(behind, abs=0.002)
    other_deg = overbend(0.032, 0.125, "2024-T3", upper).angle_deg
    assert worked.other_order_in == pytest.approx(_lowest(web, (lower, upper), other_deg) - 1 / 16, abs=0.002)


def test_the_flange_is_lowest_at_the_end_of_the_swing() -> None:
    """Where it lies over the nose at all, it is higher at every angle before: one figure says enough."""
    for web, upper, lower in SPARS.values():
        final = overbend(0.032, 0.125, "2024-T3", lower).angle_deg
        room = nose_room(_legs(web), (upper, lower), 0.032, 0.125, "2024-T3")
        for share in (0.5, 0.7, 0.8, 0.9, 0.95):
            drawn = swung_over(_legs(web), (upper, lower), share * final, 0.032, 0.125)
            over: Sequence[float] = [y - 0.032 for x, y in drawn.first_flange if x <= 0.125]
            assert all(y >= room.flange_in - 0.002 for y in over)


def test_a_flange_that_lies_across_the_noses_edge_is_cut_there() -> None:
    """Bends set below 90 leave half of it in front: what counts is how high it stands at the edge itself.

    Against a polygon that is turned about the second bend and cut with a geometry library.
    """
    random_numbers = random.Random(31)
    across = 0
    for _ in range(60):
        legs, bends, thick = _random(random_numbers)
        room = nose_room(legs, bends, thick, 0.125, "2024-T3")
        piece = _polygon(legs, bends[0], thick, 0.125, bends[1])
        lowest = min(
            _lowest_over_the_nose(piece, room.set_deg * share / 40, 0.125) for share in range(12, 41)
        )
        if lowest < math.inf:
            across += 1
            assert room.flange_in <= lowest + 0.004, (legs, bends)
            assert room.flange_in >= lowest - 0.03, (legs, bends)
    assert across > 30
    straddles = nose_room((0.75, 5.694, 0.75), (84.0, 84.0), 0.032, 0.125, "2024-T3")
    assert straddles.flange_in == pytest.approx(5.672, abs=0.001)  # 5.744 by its corners alone


def test_a_square_channel_is_as_high_as_its_web() -> None:
    worked = channel_height(_legs(5.694), (90.0, 90.0), 0.032, 0.125)
    assert worked.height_in == pytest.approx(5.694)
    assert math.isclose(flange_reach(0.75, 90.0, 0.032).reach_in, 0.75)
