"""The smooth curve through a section's points: from the tail over the top, round the nose, and back.

The curve is a cubic spline through every point (ezdxf's B-spline interpolation, parameter by the square root
of the distance between points: E. T. Y. Lee, "Choosing nodes in parametric curve interpolation",
Computer-Aided Design 21, 1989). Upper and lower surface are one curve where they meet in the nose, so that
the nose is round.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from ezdxf.math import BSpline, Vec3, global_bspline_interpolation

from kiosk.numbers.aerofoil import Point, Section
from kiosk.numbers.edge_line import Evaluate

_SAME = 1e-9  # of the chord


@dataclass(frozen=True)
class SectionCurve:
    """Both surfaces of a section, each from the nose (0) to the tail (1), at unit chord."""

    upper: Evaluate
    lower: Evaluate
    has_nose: bool  # the surfaces meet in front


@lru_cache(maxsize=16)  # several ribs of a wing have one section
def section_curve(section: Section) -> SectionCurve:
    """The smooth curve through a section's points."""
    upper, lower = _without_doubles(section.upper), _without_doubles(section.lower)
    if math.dist(upper[0], lower[0]) > _SAME:
        return SectionCurve(_side(_through(upper), 0.0, 1.0), _side(_through(lower), 0.0, 1.0), False)
    whole = [*reversed(upper), *lower[1:]]
    spline = _through(whole)
    nose = _places(whole)[len(upper) - 1]
    return SectionCurve(_side(spline, nose, 0.0), _side(spline, nose, 1.0), True)


def _without_doubles(points: Sequence[Point]) -> list[Point]:
    kept = [points[0]]
    for point in points[1:]:
        if math.dist(point, kept[-1]) > _SAME:
            kept.append(point)
    return kept


def _through(points: Sequence[Point]) -> BSpline:
    return global_bspline_interpolation(
        [Vec3(x, y) for x, y in points], degree=min(3, len(points) - 1), method="centripetal"
    )


def _places(points: Sequence[Point]) -> list[float]:
    """Where on the spline each point lies, 0 to 1: the parameter that the interpolation gives it."""
    roots = [math.sqrt(math.dist(a, b)) for a, b in pairwise(points)]
    total = sum(roots)
    places = [0.0]
    for root in roots:
        places.append(places[-1] + root / total)
    return places


def _side(spline: BSpline, first: float, last: float) -> Evaluate:
    """One surface of the spline, from one place on it to another."""

    def evaluate(place: float) -> tuple[Point, float]:
        at = min(1.0, max(0.0, first + (last - first) * place)) * spline.max_t
        point, slope = spline.derivative(at, 1)
        backward = 1.0 if last > first else -1.0
        return (point.x, point.y), math.atan2(backward * slope.y, backward * slope.x)

    return evaluate
