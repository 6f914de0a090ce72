"""What a drawing is made of, before it is written in any format. Inches, x forward to aft, y up."""

from dataclasses import dataclass
from itertools import pairwise

from kiosk.numbers.aerofoil import Point
from kiosk.numbers.rib import FlangeSide, Rib

SCALE_BAR_IN = 10.0  # long enough that a printer's one per cent shows on a rule
LAYERS = ("WEB", "BLOCK", "BLANK", "FLUTES", "RIVETS", "HOLES", "CUTOUTS", "SCALE")


@dataclass(frozen=True)
class Line:
    """An open or closed line on a layer."""

    layer: str
    points: tuple[Point, ...]
    closed: bool = False


@dataclass(frozen=True)
class Circle:
    """A circle on a layer."""

    layer: str
    centre: Point
    radius_in: float


@dataclass(frozen=True)
class Words:
    """A line of text on a layer."""

    layer: str
    at: Point
    height_in: float
    text: str


Drawing = tuple[Line | Circle | Words, ...]


def draw_rib(rib: Rib, title: str) -> Drawing:
    """The rib's web, block and blank outlines, flutes, rivets, tooling holes and a scale bar."""
    marks: list[Line | Circle | Words] = [
        Line("BLANK", rib.blank[:-1], closed=True),
        Line("WEB", rib.web[:-1], closed=True),
        Line("BLOCK", rib.block[:-1], closed=True),
    ]
    for side, sign in ((rib.upper, 1.0), (rib.lower, -1.0)):
        marks += _flange_marks(side, sign, rib.inputs.flange_width_in)
    marks += [Circle("HOLES", hole, 0.09375) for hole in rib.tooling_holes]
    marks += [Line("CUTOUTS", opening[:-1], closed=True) for opening in rib.openings]
    left = min(point[0] for point in rib.blank)
    bottom = min(point[1] for point in rib.blank) - 1.0
    marks.append(Line("SCALE", ((left, bottom), (left + SCALE_BAR_IN, bottom))))
    for inch in range(int(SCALE_BAR_IN) + 1):
        tick = 0.25 if inch % 5 == 0 else 0.125
        marks.append(Line("SCALE", ((left + inch, bottom), (left + inch, bottom + tick))))
    words = f"{title}. This bar is 10 in long: measure it before you cut."
    marks.append(Words("SCALE", (left, bottom - 0.35), 0.2, words))
    return tuple(marks)


def _flange_marks(side: FlangeSide, sign: float, flange_in: float) -> list[Line | Circle | Words]:
    found: list[Line | Circle | Words] = []
    for at in side.flutes_in:
        (x, y), (nx, ny) = along(side.uncut, at, sign)
        found.append(Line("FLUTES", ((x, y), (x + nx * flange_in, y + ny * flange_in))))
    for at in side.rivets_in:
        (x, y), (nx, ny) = along(side.uncut, at, sign)
        middle = (x + nx * flange_in / 2, y + ny * flange_in / 2)
        found.append(Circle("RIVETS", middle, 0.0625))
    return found


def along(points: tuple[Point, ...], distance_in: float, sign: float) -> tuple[Point, Point]:
    """The point so far along a line, and the direction square to it on the outer side."""
    left = distance_in
    for (ax, ay), (bx, by) in pairwise(points):
        piece = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
        if left <= piece or (bx, by) == points[-1]:
            share = left / piece
            normal = (-(by - ay) / piece * sign, (bx - ax) / piece * sign)
            return (ax + (bx - ax) * share, ay + (by - ay) * share), normal
        left -= piece
    raise ValueError("the line has one point")


def bounds(drawing: Drawing) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of a drawing, in inches."""
    points: list[Point] = []
    for mark in drawing:
        if isinstance(mark, Line):
            points += mark.points
        elif isinstance(mark, Circle):
            (x, y), r = mark.centre, mark.radius_in
            points += [(x - r, y - r), (x + r, y + r)]
        else:
            points += [mark.at, (mark.at[0] + 0.6 * mark.height_in * len(mark.text), mark.at[1])]
    xs, ys = [point[0] for point in points], [point[1] for point in points]
    return min(xs), min(ys), max(xs), max(ys)
