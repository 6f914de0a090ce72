"""Points of a section that stand off the curve of their neighbours: a slip in one line of a file.

The smooth curve goes through every point, a mistyped one too: the rib would be cut with a lump or a hollow.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from kiosk.numbers.aerofoil import Point, Section

# All of the chord. The points of a smooth section lie within the first at 17 a side (tests/numbers). In front
# four points say little: none is taken from the tip, none looked at in the round, none told in the nose.
OFF_CURVE = 0.0012
_TIP, _ROUND, _NOSE = 0.02, 0.05, 0.1


@dataclass(frozen=True)
class StrayPoint:
    """A point as the file has it, and how far it stands off, both at unit chord."""

    at: Point
    off: float


def stray_points(section: Section) -> tuple[StrayPoint, ...]:
    """Each point that stands off the cubic through its two neighbours on either side.

    A stray point draws its neighbours' curves with it, so only the worst of those side by side is one.
    """
    found: list[StrayPoint] = []
    for surface in (section.upper, section.lower):
        off = _off_curve(surface)
        found += [
            StrayPoint(surface[place], far)
            for place, far in enumerate(off)
            if surface[place][0] >= _NOSE
            and far > OFF_CURVE
            and far == max(off[max(0, place - 2) : place + 3])
        ]
    return tuple(found)


def _off_curve(points: Sequence[Point]) -> list[float]:
    roots = [math.sqrt(math.dist(a, b)) for a, b in pairwise(points)]
    places = list(accumulate(roots, initial=0.0))  # as the curve itself goes through them
    off = [0.0] * len(points)
    for at in range(2, len(points) - 2):
        if points[at][0] < _ROUND or points[at - 2][0] < _TIP:
            continue
        beside = (at - 2, at - 1, at + 1, at + 2)
        known = [places[one] for one in beside]
        x, y = (_between(known, [points[one][axis] for one in beside], places[at]) for axis in (0, 1))
        along = math.atan2(points[at + 1][1] - points[at - 1][1], points[at + 1][0] - points[at - 1][0])
        off[at] = abs((points[at][1] - y) * math.cos(along) - (points[at][0] - x) * math.sin(along))
    return off


def _between(places: Sequence[float], values: Sequence[float], at: float) -> float:
    """The polynomial through the values, at a place (Lagrange's form)."""
    return sum(
        value * math.prod((at - other) / (place - other) for other in places if other != place)
        for place, value in zip(places, values, strict=True)
    )
