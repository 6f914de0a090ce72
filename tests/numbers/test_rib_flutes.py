"""Flutes where the edge turns, and hollow stretches: against the curvature itself."""

import math
from itertools import pairwise

import numpy as np
import pytest

from kiosk.numbers.aerofoil import Section, naca
from kiosk.numbers.flanges import flute_uptake_in
from kiosk.numbers.result import OutOfRange
from kiosk.numbers.rib import lay_out
from kiosk.numbers.rib_flange import FlangeSide
from tests.numbers.random_ribs import moved_out, section_points
from tests.numbers.ribs import inputs

EDGE_IN = 0.5386 + 0.0125  # to the middle of the bent sheet


def needed(digits: str, sign: int, front: float, rear: float, thirds: int) -> list[float]:
    """What an edge has to lose in equal parts of its outline: edge x turning, outward turns alone."""
    line = moved_out(section_points(digits, sign) * 50, -0.025, sign)
    line = line[(line[:, 0] >= front * 50) & (line[:, 0] <= rear * 50)]
    along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    angle = -sign * np.unwrap(np.arctan2(*np.diff(line, axis=0).T[::-1]))
    turns = np.maximum(np.diff(angle), 0)
    at = along[1:-1]
    return [
        EDGE_IN * float(turns[(at >= along[-1] * n / thirds) & (at < along[-1] * (n + 1) / thirds)].sum())
        for n in range(thirds)
    ]


def taken(side: FlangeSide, parts: int) -> list[float]:
    """What the flutes take up in equal parts of the outline."""
    ends = [side.length_in * n / parts for n in range(parts + 1)]
    return [
        sum(one.takes_up_in for one in side.flutes if first <= one.at_in < last)
        for first, last in pairwise(ends)
    ]


def test_flutes_stand_where_the_edge_turns() -> None:
    """The nose rib's lower edge: once .045, .134, .045 in taken up by thirds that turn .136, .044, .022."""
    rib = lay_out(naca("2412"), inputs())
    for sign, side in ((1, rib.upper), (-1, rib.lower)):
        wanted = needed("2412", sign, 0.025, 0.2, 3)
        found = taken(side, 3)
        assert sum(found) == pytest.approx(sum(wanted), abs=0.006)
        # A flute stands between two rivets and takes up 3/32 deep, .046: a third ends within half of one.
        for want, have in zip(wanted, found, strict=True):
            assert have == pytest.approx(want, abs=0.036)
        # From the front to any place, flutes are never further from what is needed than one of them.
        for share in range(1, 20):
            wanted_to = sum(needed("2412", sign, 0.025, 0.2, 20)[:share])
            assert sum(taken(side, 20)[:share]) == pytest.approx(wanted_to, abs=0.094)
        assert found[0] > 1.5 * found[1] > 0


def test_each_flute_takes_up_its_share_between_the_rivets() -> None:
    rib = lay_out(naca("2412"), inputs(front_station=0.2, rear_station=0.7, rivet_pitch_in=1.5))
    for side in (rib.upper, rib.lower):
        for flute in side.flutes:
            assert flute_uptake_in(flute.width_in, flute.depth_in) == pytest.approx(
                flute.takes_up_in, abs=1e-9
            )
            before = max(at for at in side.rivets_in if at < flute.at_in)
            after = min(at for at in side.rivets_in if at > flute.at_in)
            assert flute.at_in == pytest.approx((before + after) / 2)
            assert flute.at_in - before - flute.width_in / 2 >= 0.1875 - 1e-9
            # The usual depth, 3/32, is passed by no flute that serves more than one space.
            assert flute.depth_in <= 0.09375 + 1e-6
        assert sum(one.takes_up_in for one in side.flutes) == pytest.approx(side.shrink_in, abs=0.003)


def test_a_flute_is_marked_from_the_bend_to_the_blanks_edge() -> None:
    """Once .086 in beyond the edge."""
    rib = lay_out(naca("2412"), inputs())
    for side in (rib.upper, rib.lower):
        for flute in side.flutes:
            first, bend, last = flute.flat
            assert math.dist(first, last) == pytest.approx(0.5 * (1 + EDGE_IN / 10), rel=0.1)
            middle = side.line.outside(flute.at_in, 0.5386)
            high = math.dist(bend, middle)
            assert high == pytest.approx(0.625 - 0.15, abs=2e-4)  # the flange less its bend


def test_outward_and_hollow_do_not_cancel() -> None:
    """6412 lower, .05 to .95: once end to end, 0 flutes where it needs 3, and no stretch where hollow."""
    rib = lay_out(naca("6412"), inputs(front_station=0.05, rear_station=0.95, rivet_pitch_in=1.5))
    lower = rib.lower
    assert len(lower.flutes) >= 2 and lower.hollows
    assert sum(one.takes_up_in for one in lower.flutes) == pytest.approx(
        needed("6412", -1, 0.05, 0.95, 1)[0], abs=0.006
    )
    last_flute = max(one.at_in for one in lower.flutes)
    for hollow in lower.hollows:
        assert hollow.last_in > hollow.first_in and 0 < hollow.stretch_percent < 5
        assert not any(hollow.first_in + 1 < flute < hollow.last_in - 1 for flute in lower.flutes_in)
    assert last_flute < max(one.first_in for one in lower.hollows) + 1


def test_a_hollow_arc_stretches_by_its_radius() -> None:
    """Edge over radius less flange (derived: plain geometry), on an arc of 20 in."""
    radius = 20.0
    arc = [
        (x / 50, (radius - math.sqrt(radius**2 - (50 * x / 50 - 5) ** 2)) / 50 + 0.05)
        for x in np.linspace(0, 10, 60)
    ]
    level = [(x, -0.05) for x, _ in arc]
    rib = lay_out(
        Section("arc", tuple(arc), tuple(level)), inputs(front_station=0.02, rear_station=0.18, skin_in=0.0)
    )
    (hollow,) = rib.upper.hollows
    assert hollow.stretch_percent == pytest.approx(100 * EDGE_IN / (radius - 0.5386), rel=0.01)
    assert rib.upper.flutes == () and rib.lower.hollows == ()


def test_rounded_ordinates_are_neither_flutes_nor_stretch() -> None:
    """A file of four decimals wavers by .0025 in on a 50 in chord; the builder does not see it."""
    fine = naca("0012", points=60)
    rough = Section(
        "rough",
        tuple((round(x, 4), round(y, 4)) for x, y in fine.upper),
        tuple((round(x, 4), round(y, 4)) for x, y in fine.lower),
    )
    wanted = lay_out(fine, inputs(front_station=0.3, rear_station=0.7))
    found = lay_out(rough, inputs(front_station=0.3, rear_station=0.7))
    assert found.upper.hollows == ()
    assert found.upper.shrink_in == pytest.approx(wanted.upper.shrink_in, abs=0.006)


@pytest.mark.parametrize(("pitch", "width"), [(1.5, 0.5), (0.875, 0.5), (0.75, 0.35), (0.5, 0.12)])
def test_a_short_pitch_makes_a_narrower_flute(pitch: float, width: float) -> None:
    """Once every pitch below about .9 was refused, and no dimension could mend it."""
    rib = lay_out(
        naca("2412"), inputs(rivet_pitch_in=pitch, rivet_diameter_in=0.125 if pitch > 0.5 else 0.09375)
    )
    assert rib.lower.flutes
    for flute in rib.lower.flutes:
        assert width - 0.07 <= flute.width_in <= max(width, 0.2)
        assert flute.depth_in <= flute.width_in / 2


def test_a_flute_without_room_names_what_to_write() -> None:
    with pytest.raises(OutOfRange, match=r"no room for a 0\.5 in flute") as caught:
        lay_out(naca("2412"), inputs(rivet_pitch_in=0.75, flute_width_in=0.5))
    assert caught.value.argument == "flute_width_in" and "write flute_width 0.3" in caught.value.mend
    with pytest.raises(OutOfRange) as caught:
        lay_out(naca("2412"), inputs(rivet_pitch_in=0.4))
    assert caught.value.argument == "rivet_pitch_in" and "rivet_pitch 0.5" in caught.value.mend
    given = lay_out(naca("2412"), inputs(rivet_pitch_in=0.75, flute_width_in=0.3))
    assert {flute.width_in for flute in given.lower.flutes} == {0.3}
