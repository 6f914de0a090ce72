"""Wing sections: NACA four- and five-digit by formula, or a coordinate file.

What is refused is refused with OutOfRange on ``section``, as a rib's dimensions call it.
"""

import math
import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from kiosk.numbers.result import OutOfRange, require

Point = tuple[float, float]

# NACA Report 537, Table I: camber line 230 and its relatives: position of the camber, m and k1.
FIVE_DIGIT: dict[str, tuple[float, float]] = {
    "210": (0.0580, 361.4),
    "220": (0.1260, 51.64),
    "230": (0.2025, 15.957),
    "240": (0.2900, 6.643),
    "250": (0.3910, 3.230),
}
_NEAR_A_CORNER = 0.02  # of the chord, either way
_ABOUT_A_CORNER = 20  # points on each side of it
_LEAST_POINTS = 3  # of a surface; two are a straight line
_DECIMAL_COMMAS = re.compile(r"^\s*[-+]?\d*,\d+\s*[;\s]\s*[-+]?\d*,\d+\s*;?\s*$")


@dataclass(frozen=True)
class Section:
    """A section of unit chord: upper and lower surface from the nose to the tail.

    ``about_corner`` are true points of both, upper and lower in turn, about a corner that the formula has
    and a smooth curve rounds off: where the camber line's two parabolas meet, its curvature jumps, and with
    it the direction of the surfaces.
    """

    name: str
    upper: tuple[Point, ...]
    lower: tuple[Point, ...]
    about_corner: tuple[Point, ...] = ()

    def height(self, x: float) -> tuple[float, float]:
        """Upper and lower ordinate at a station, 0 to 1, by straight lines between the points."""
        return ordinate_at(self.upper, x), ordinate_at(self.lower, x)


def ordinate_at(points: Sequence[Point], x: float) -> float:
    """The ordinate at a station of a line that runs from front to rear, by straight pieces."""
    xs = [point[0] for point in points]
    place = min(max(1, bisect_right(xs, x)), len(xs) - 1)
    (x0, y0), (x1, y1) = points[place - 1], points[place]
    return y0 if x1 == x0 else y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def half_thickness(x: float, thickness: float) -> float:
    """Half thickness at a station of unit chord; ``thickness`` is the greatest, as a share of the chord.

    Source: NACA Report 460, equation for the four-digit sections.
    """
    return (
        thickness
        / 0.20
        * (0.2969 * math.sqrt(x) - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)
    )


def nose_radius(thickness: float) -> float:
    """Leading-edge radius as a share of the chord: 1.1019 t^2 (NACA Report 460)."""
    return 1.1019 * thickness**2


def _four_digit_camber(x: float, m: float, p: float) -> Point:
    """Camber ordinate and slope. Source: NACA Report 460."""
    if m == 0:
        return 0.0, 0.0
    if x < p:
        return m / p**2 * (2 * p * x - x * x), 2 * m / p**2 * (p - x)
    return m / (1 - p) ** 2 * (1 - 2 * p + 2 * p * x - x * x), 2 * m / (1 - p) ** 2 * (p - x)


def _five_digit_camber(x: float, m: float, k1: float) -> Point:
    """Camber ordinate and slope. Source: NACA Report 537."""
    if x < m:
        return (
            k1 / 6 * (x**3 - 3 * m * x**2 + m**2 * (3 - m) * x),
            k1 / 6 * (3 * x**2 - 6 * m * x + m**2 * (3 - m)),
        )
    return k1 * m**3 / 6 * (1 - x), -k1 * m**3 / 6


@lru_cache(maxsize=16)  # several ribs of a wing have one section
def naca(designation: str, points: int = 160) -> Section:
    """A NACA four- or five-digit section with closely spaced points, the nose finest.

    The five-digit family is the normal (not reflexed) one. Raises OutOfRange for other designations.
    """
    digits = designation.upper().removeprefix("NACA").strip()
    require(
        digits.isdigit() and len(digits) in (4, 5),
        "section",
        f"{designation!r} is no NACA section here",
        "give four or five digits, such as 2412 or 23012",
    )
    thickness = int(digits[-2:]) / 100
    require(
        0.02 <= thickness <= 0.40,
        "section",
        f"{designation!r} is {thickness:.0%} thick",
        "2 to 40 % is covered",
    )
    if len(digits) == 4:
        m, p = int(digits[0]) / 100, int(digits[1]) / 10
        require(
            m == 0 or p > 0, "section", f"{designation!r} has camber nowhere", "the second digit says where"
        )

        def camber(x: float) -> Point:
            return _four_digit_camber(x, m, p)

    else:
        require(
            digits[:3] in FIVE_DIGIT,
            "section",
            f"camber line {digits[:3]} is not covered",
            ", ".join(FIVE_DIGIT),
        )
        position, k1 = FIVE_DIGIT[digits[:3]]

        def camber(x: float) -> Point:
            return _five_digit_camber(x, position, k1)

    def surfaces(x: float) -> tuple[Point, Point]:
        y, slope = camber(x)
        half = half_thickness(x, thickness)
        angle = math.atan(slope)
        away = (half * math.sin(angle), half * math.cos(angle))
        return (x - away[0], y + away[1]), (x + away[0], y - away[1])

    found = [surfaces((1 - math.cos(math.pi * number / points)) / 2) for number in range(points + 1)]
    corner: list[Point] = []
    if len(digits) == 4 and m > 0:  # a five-digit camber line's curvature is 0 on both sides
        for number in range(-_ABOUT_A_CORNER, _ABOUT_A_CORNER + 1):
            corner += surfaces(p + number * _NEAR_A_CORNER / _ABOUT_A_CORNER)
    return Section(
        f"NACA {digits}", tuple(one for one, _ in found), tuple(one for _, one in found), tuple(corner)
    )


def read_coordinates(text: str, name: str = "") -> Section:
    """Read the common two-column file: a title line, then x y from the tail over the top round to the tail.

    Files that give the upper and then the lower surface, each from the nose, are read too. Raises OutOfRange
    with the line that cannot be read, or where a surface is missing.
    """
    title = name
    points: list[Point] = []
    breaks: list[int] = []
    remark = 0  # the line of one after the points
    for number, line in enumerate(text.splitlines(), 1):
        if _DECIMAL_COMMAS.match(line):
            raise OutOfRange(
                f"line {number} has decimal commas", "write both numbers with points, as 0.5 0.08", "section"
            )
        cells = line.replace(",", " ").split()
        if not cells:
            if points:
                breaks.append(len(points))
            continue
        try:
            x, y = float(cells[0]), float(cells[1])
            if not (math.isfinite(x) and math.isfinite(y)):
                raise ValueError
        except (ValueError, IndexError):
            if points and any(one.isdigit() for one in line):
                raise OutOfRange(
                    f"line {number} is no pair of numbers", "write x and y on it", "section"
                ) from None
            if points:
                remark = remark or number
            else:
                title = title or line.strip()
            continue
        if remark:
            raise OutOfRange(
                f"line {remark} is no pair of numbers, and points go on after it", "delete it", "section"
            )
        if x > 1.5 and y > 1.5 and not points:
            continue  # the count line of the upper-then-lower form
        points.append((x, y))
    require(len(points) >= 10, "section", "the file holds fewer than 10 points", "give a finer section")
    require(
        max(x for x, _ in points) <= 1.01 and min(x for x, _ in points) >= -0.01,
        "section",
        "a station lies outside 0 to 1",
        "give the section at unit chord",
    )
    nose = min(range(len(points)), key=lambda place: points[place][0])
    if points[0][0] > 0.5:
        upper, lower = points[nose::-1], points[nose:]
    else:
        cut = next((place for place in breaks if 0 < place < len(points)), None)
        if cut is None:
            back = (place for place in range(1, len(points)) if points[place][0] < points[place - 1][0])
            cut = next(back, len(points))
        upper, lower = points[:cut], points[cut:]
    fewest = min(len(set(upper)), len(set(lower)))
    require(
        fewest >= _LEAST_POINTS,
        "section",
        f"one of its two surfaces has {('no points', '1 point', '2 points')[min(fewest, 2)]}",
        "give the points of both at unit chord: from the tail over the top and back, or each from the nose",
    )
    if sum(y for _, y in upper) < sum(y for _, y in lower):
        upper, lower = lower, upper
    return Section(title or "section", tuple(upper), tuple(lower))
