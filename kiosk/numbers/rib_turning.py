"""How a flange's outline turns: outward where its edge has to be taken up, hollow where it is stretched.

The two are kept apart and do not cancel. A turn to and fro that is too small to see at the bench, as the
rounded ordinates of a coordinate file make it, is not a turn.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from kiosk.numbers.edge_line import EdgeLine

SMALLEST_CHANGE_IN = 0.005  # of edge to lose or to gain: what nobody sees on a formed flange; no source


@dataclass(frozen=True)
class HollowStretch:
    """A part of a flange whose outline is hollow: from and to, along it, and what its edge stretches.

    ``stretch_percent`` is the greatest in it, at the free edge.
    """

    first_in: float
    last_in: float
    stretch_percent: float


@dataclass(frozen=True)
class Turning:
    """How far a line has turned outward, and how far hollow, at each of its points; neither ever falls."""

    along_in: tuple[float, ...]
    outward_rad: tuple[float, ...]
    hollow_rad: tuple[float, ...]

    def outward_between(self, first_in: float, last_in: float) -> float:
        """How far the line turns outward between two distances along it, in radians."""
        return self._at(self.outward_rad, last_in) - self._at(self.outward_rad, first_in)

    def _at(self, turned: Sequence[float], distance_in: float) -> float:
        place = min(max(1, bisect_right(self.along_in, distance_in)), len(self.along_in) - 1) - 1
        first, last = self.along_in[place], self.along_in[place + 1]
        share = min(1.0, max(0.0, (distance_in - first) / (last - first)))
        return turned[place] + (turned[place + 1] - turned[place]) * share


def turning_of(line: EdgeLine, smallest_rad: float) -> Turning:
    """Split a line's turning into outward and hollow; a turn back under ``smallest_rad`` is neither."""
    turned = line.turned_rad()
    pivots = _pivots(turned, smallest_rad)
    outward, hollow = [0.0], [0.0]
    for first, last in pairwise(pivots):
        up = turned[last] >= turned[first]
        reached = turned[first]
        low, high = min(turned[first], turned[last]), max(turned[first], turned[last])
        for place in range(first + 1, last + 1):
            at = min(high, max(low, turned[place]))
            step = max(0.0, at - reached) if up else max(0.0, reached - at)
            reached = max(reached, at) if up else min(reached, at)
            outward.append(outward[-1] + (step if up else 0.0))
            hollow.append(hollow[-1] + (0.0 if up else step))
    return Turning(line.along_in, tuple(outward), tuple(hollow))


def _pivots(turned: Sequence[float], smallest: float) -> list[int]:
    """Where the turning changes its way for good: first, each turning back of ``smallest`` or more, last."""
    pivots = [0]
    highest = lowest = 0
    way = 0
    for place, value in enumerate(turned):
        highest = place if value > turned[highest] else highest
        lowest = place if value < turned[lowest] else lowest
        if way >= 0 and turned[highest] - value >= smallest:
            if way == 1 or highest > pivots[-1]:
                pivots.append(highest)
            way, lowest = -1, place
        elif way <= 0 and value - turned[lowest] >= smallest:
            if way == -1 or lowest > pivots[-1]:
                pivots.append(lowest)
            way, highest = 1, place
    if pivots[-1] != len(turned) - 1:
        pivots.append(len(turned) - 1)
    return pivots


def hollow_stretches(turning: Turning, edge_in: float, developed_in: float) -> tuple[HollowStretch, ...]:
    """Each hollow part of a flange, with the greatest stretch of its free edge.

    ``edge_in`` is what the edge gains for each radian, ``developed_in`` how far it lies outside the outline
    when flat. Stretch = edge x curvature / (1 - developed x curvature). Derived: plain geometry.
    """
    found: list[HollowStretch] = []
    begun: int | None = None
    for place in range(1, len(turning.along_in)):
        is_hollow = turning.hollow_rad[place] > turning.hollow_rad[place - 1]
        if is_hollow and begun is None:
            begun = place - 1
        ends = begun is not None and (not is_hollow or place == len(turning.along_in) - 1)
        if ends and begun is not None:
            last = place if is_hollow else place - 1
            if edge_in * (turning.hollow_rad[last] - turning.hollow_rad[begun]) >= SMALLEST_CHANGE_IN:
                worst = _worst(turning, begun, last, edge_in, developed_in)
                found.append(HollowStretch(turning.along_in[begun], turning.along_in[last], worst))
            begun = None
    return tuple(found)


def _worst(turning: Turning, first: int, last: int, edge_in: float, developed_in: float) -> float:
    worst = 0.0
    for place in range(first, last):
        turn = turning.hollow_rad[place + 1] - turning.hollow_rad[place]
        long = turning.along_in[place + 1] - turning.along_in[place]
        left = long - developed_in * turn  # of the flat edge
        worst = max(worst, 100 * edge_in * turn / left if left > 0 else float("inf"))
    return worst
