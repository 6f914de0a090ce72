"""A bent channel drawn by walking along its sheet a short way at a time, turning as it goes.

The arc of a bend is walked on its inner and outer face by their own radii. Legs are outside, mould line to
mould line, so a flat is what a leg leaves after tan(half the bend) x (R + T) at each bend beside it: AC
43.13-1B paragraph 4-56b.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

Point = tuple[float, float]
_PIECES = 720  # of an arc


@dataclass(frozen=True)
class Section:
    """Every corner of the sheet, and those of the flange that was bent first."""

    points: tuple[Point, ...]
    first_flange: tuple[Point, ...]

    @property
    def high_in(self) -> float:
        """Between two straight jaws square to the web, which stands upright."""
        ys = [y for _, y in self.points]
        return max(ys) - min(ys)

    @property
    def deep_in(self) -> float:
        """Square off the back of the web."""
        xs = [x for x, _ in self.points]
        return max(xs) - min(xs)


def _walk(
    start: Point, heading_deg: float, path: Sequence[tuple[str, float]], thick: float, radius: float
) -> list[list[Point]]:
    """Walk the outer face; bends turn to the left, the inner face lies to the left. A list a piece."""
    x, y = start
    heading = math.radians(heading_deg)
    pieces = []
    for what, much in path:
        piece: list[Point] = []
        pieces.append(piece)

        piece += _both_faces(x, y, heading, thick)
        if what == "flat":
            x, y = x + much * math.cos(heading), y + much * math.sin(heading)
            piece += _both_faces(x, y, heading, thick)
            continue
        step = math.radians(much) / _PIECES
        for _ in range(_PIECES):
            chord = 2 * (radius + thick) * math.sin(step / 2)
            x += chord * math.cos(heading + step / 2)
            y += chord * math.sin(heading + step / 2)
            heading += step
            piece += _both_faces(x, y, heading, thick)
    return pieces


def _both_faces(x: float, y: float, heading: float, thick: float) -> list[Point]:
    return [(x, y), (x - thick * math.sin(heading), y + thick * math.cos(heading))]


def _setback(bend_deg: float, thick: float, radius: float) -> float:
    return math.tan(math.radians(bend_deg) / 2) * (radius + thick)


def channel(legs: Sequence[float], bends: Sequence[float], thick: float, radius: float) -> Section:
    """The channel with its web upright, its back to the left and its flanges to the right."""
    upper, web, lower = legs
    back = [_setback(bend, thick, radius) for bend in bends]
    half = (web - back[0] - back[1]) / 2
    # From the middle of the web up, then down: each half by itself, the lower one mirrored.
    points: list[Point] = []
    for bend, setback, flange, middle, way in (
        (bends[0], back[0], upper, half, 1),
        (bends[1], back[1], lower, half, -1),
    ):
        path = (("flat", middle), ("bend", bend), ("flat", flange - setback))
        # Walked to the right with the bend to the left, then stood up on end.
        for piece in _walk((0.0, 0.0), 0.0, path, thick, radius):
            points += [(y, way * x) for x, y in piece]
    return Section(tuple(points), ())


def swung_over(
    legs: Sequence[float], bends: Sequence[float], set_deg: float, thick: float, radius: float
) -> Section:
    """The last leg clamped on the bed to the left, its tangent line at 0; web and first leg swung up."""
    first, web, _ = legs
    back = [_setback(bend, thick, radius) for bend in bends]
    path = (
        ("bend", set_deg),
        ("flat", web - back[0] - back[1]),
        ("bend", bends[0]),
        ("flat", first - back[0]),
    )
    pieces = _walk((0.0, 0.0), 0.0, path, thick, radius)
    flange = [point for piece in pieces[2:] for point in piece]
    return Section(tuple(point for piece in pieces for point in piece), tuple(flange))
