"""A line that knows which way it runs: its points, the direction at each, and how far along each one lies.

Parallel lines, places along it and how far it turns are read off it. Lengths are in inches, angles in
radians; the outer side of a line is where its metal ends.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

Point = tuple[float, float]
Evaluate = Callable[[float], tuple[Point, float]]  # a place from 0 to 1: the point there, and its direction

_FIRST_INTERVALS = 48
_MOST_TURN_RAD = math.radians(8)  # between neighbouring points, so that a flat middle hides no wave


@dataclass(frozen=True)
class EdgeLine:
    """A line from front to rear. ``sign`` is 1 where the outer side is on its left (upper), else -1."""

    points: tuple[Point, ...]
    directions_rad: tuple[float, ...]  # without jumps of a whole turn
    sign: float
    along_in: tuple[float, ...]

    @property
    def length_in(self) -> float:
        """From the first point to the last, along the line."""
        return self.along_in[-1]

    def at(self, distance_in: float) -> Point:
        """The point so far along; beyond its ends, on the last piece made longer."""
        place, share = self._place(distance_in)
        (ax, ay), (bx, by) = self.points[place], self.points[place + 1]
        return ax + (bx - ax) * share, ay + (by - ay) * share

    def direction_at(self, distance_in: float) -> float:
        """The direction so far along, in radians."""
        place, share = self._place(distance_in)
        first, second = self.directions_rad[place], self.directions_rad[place + 1]
        return first + (second - first) * min(1.0, max(0.0, share))

    def outside(self, distance_in: float, away_in: float) -> Point:
        """The point so far along and so far outside the line, square to it; inside where negative."""
        x, y = self.at(distance_in)
        direction = self.direction_at(distance_in)
        return (
            x - self.sign * away_in * math.sin(direction),
            y + self.sign * away_in * math.cos(direction),
        )

    def parallel(self, away_in: float) -> tuple[Point, ...]:
        """The line so far outside this one, point for point; inside where negative."""
        return tuple(
            (
                x - self.sign * away_in * math.sin(direction),
                y + self.sign * away_in * math.cos(direction),
            )
            for (x, y), direction in zip(self.points, self.directions_rad, strict=True)
        )

    def part(self, first_in: float, last_in: float) -> "EdgeLine":
        """The line between two distances along it, both within it."""
        inner = range(bisect_right(self.along_in, first_in), bisect_left(self.along_in, last_in))
        points = (self.at(first_in), *(self.points[n] for n in inner), self.at(last_in))
        directions = (
            self.direction_at(first_in),
            *(self.directions_rad[n] for n in inner),
            self.direction_at(last_in),
        )
        return edge_line(points, directions, self.sign)

    def with_points_at(self, distances_in: Iterable[float]) -> "EdgeLine":
        """The same line with a point at each distance, so that what is cut there shares it."""
        merged = sorted(
            [
                *zip(self.along_in, self.points, self.directions_rad, strict=True),
                *(
                    (at, self.at(at), self.direction_at(at))
                    for at in distances_in
                    if min(abs(at - one) for one in self.along_in) > 1e-9
                ),
            ]
        )
        return edge_line([one[1] for one in merged], [one[2] for one in merged], self.sign)

    def distance_at_x(self, x: float, away_in: float = 0.0) -> float:
        """How far along the line so far outside this one crosses a station, the crossing nearest the rear.

        The distance is along this line. Raises ValueError when it does not cross.
        """
        xs = [point[0] for point in (self.parallel(away_in) if away_in else self.points)]
        for place in range(len(xs) - 2, -1, -1):
            if min(xs[place], xs[place + 1]) - 1e-9 <= x <= max(xs[place], xs[place + 1]) + 1e-9:
                width = xs[place + 1] - xs[place]
                share = min(1.0, max(0.0, (x - xs[place]) / width)) if width else 0.0
                return self.along_in[place] + share * (self.along_in[place + 1] - self.along_in[place])
        raise ValueError(f"the line does not cross {x}")

    def height_at_x(self, x: float) -> float:
        """The ordinate at a station, the one nearest the rear. Raises ValueError when it does not cross."""
        return self.at(self.distance_at_x(x))[1]

    def turned_rad(self) -> tuple[float, ...]:
        """At each point, how far the line has turned since its first; outward curving is positive."""
        first = self.directions_rad[0]
        return tuple(self.sign * (first - direction) for direction in self.directions_rad)

    def _place(self, distance_in: float) -> tuple[int, float]:
        place = min(max(1, bisect_right(self.along_in, distance_in)), len(self.along_in) - 1) - 1
        piece = self.along_in[place + 1] - self.along_in[place]
        return place, (distance_in - self.along_in[place]) / piece


def edge_line(points: Sequence[Point], directions_rad: Sequence[float], sign: float) -> EdgeLine:
    """A line from its points and the direction at each; directions may jump by whole turns."""
    smooth = [directions_rad[0]]
    for direction in directions_rad[1:]:
        turns = round((direction - smooth[-1]) / math.tau)
        smooth.append(direction - turns * math.tau)
    along = accumulate((math.dist(a, b) for a, b in pairwise(points)), initial=0.0)
    return EdgeLine(tuple(points), tuple(smooth), sign, tuple(along))


def traced(
    evaluate: Evaluate, first: float, last: float, sign: float, away_in: Sequence[float], within_in: float
) -> EdgeLine:
    """A line through a curve with as many points as it needs, and no more.

    Points are added until the line lies within ``within_in`` of the curve, and each of its parallel lines
    ``away_in`` within as much of its own. ``first`` and ``last`` are places on the curve.
    """

    def moved(found: tuple[Point, float], away: float) -> Point:
        (x, y), direction = found
        return x - sign * away * math.sin(direction), y + sign * away * math.cos(direction)

    def straight(
        a: tuple[Point, float], b: tuple[Point, float], between: Sequence[tuple[Point, float]]
    ) -> bool:
        turn = abs(math.remainder(b[1] - a[1], math.tau))
        return turn < _MOST_TURN_RAD and all(
            _off(moved(one, away), moved(a, away), moved(b, away)) <= within_in
            for away in (0.0, *away_in)
            for one in between
        )

    places = [first + (last - first) * number / _FIRST_INTERVALS for number in range(_FIRST_INTERVALS + 1)]
    found = [evaluate(place) for place in places]
    waiting = [
        (places[n], found[n], places[n + 1], found[n + 1], 0) for n in reversed(range(_FIRST_INTERVALS))
    ]
    kept = [found[0]]
    while waiting:
        a, at_a, b, at_b, depth = waiting.pop()
        middle = (a + b) / 2
        at_middle = evaluate(middle)
        if depth > 20 or straight(at_a, at_b, (at_middle,)):
            kept.append(at_b)
        else:
            waiting += [(middle, at_middle, b, at_b, depth + 1), (a, at_a, middle, at_middle, depth + 1)]
    return edge_line([point for point, _ in kept], [direction for _, direction in kept], sign)


def _off(point: Point, first: Point, last: Point) -> float:
    """How far a point lies from the straight line through two others."""
    dx, dy = last[0] - first[0], last[1] - first[1]
    length = math.hypot(dx, dy)
    if length == 0:
        return math.dist(point, first)
    return abs((point[0] - first[0]) * dy - (point[1] - first[1]) * dx) / length
