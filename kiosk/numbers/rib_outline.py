"""The finished outline of a rib: the section at its chord, less the skin, between its two stations.

Upper and lower line run from front to rear. Their outer side is the outside of the flanges. Both lie within
``WITHIN_IN`` of the smooth curve through the section, and so do the lines parallel to them that a rib is made
by. Where the camber line of four digits has its highest point, the true surfaces have a corner, slight but
for one at 10 or 20 % of the chord, which no rib is made with: the curve rounds it off, and a section that it
would leave by more than ``FROM_TRUE_IN`` is refused.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from kiosk.numbers.aerofoil import Point, Section
from kiosk.numbers.edge_line import EdgeLine, Evaluate, edge_line, traced
from kiosk.numbers.result import require
from kiosk.numbers.rib_inputs import RibInputs, developed_flange_in
from kiosk.numbers.section_curve import SectionCurve, section_curve

WITHIN_IN = 1e-4
FROM_TRUE_IN = 1e-3
_HALVINGS = 45  # of the surface: 1e-12 in on a chord of 50
_LEAST_FLAT_IN = 0.0625  # of web between two bends: less is no web


@dataclass(frozen=True)
class RibOutline:
    """Both lines of a rib from front to rear; they meet in front where the rib goes round the nose."""

    upper: EdgeLine
    lower: EdgeLine
    has_nose: bool

    @property
    def points(self) -> tuple[Point, ...]:
        """The outline once round: over the top from the front, back along the bottom."""
        bottom = self.lower.points[1:] if self.has_nose else self.lower.points
        return (*self.upper.points, *reversed(bottom))

    @property
    def front_x(self) -> float:
        """The station of the front end, in inches from the leading edge; of the nose where there is one."""
        return self.upper.points[0][0]

    @property
    def rear_x(self) -> float:
        """The station of the rear end, in inches from the leading edge."""
        return self.upper.points[-1][0]

    @property
    def web(self) -> shapely.Polygon:
        """The web as a surface, uncut."""
        return shapely.Polygon(self.points)


def outline_of(section: Section, inputs: RibInputs) -> RibOutline:
    """The finished outline. Raises OutOfRange naming the guilty input."""
    curve = section_curve(section)
    round_nose = inputs.front_station == 0
    require(
        curve.has_nose or not round_nose,
        "section",
        "the section is open in front: its upper and lower surface do not meet",
        "give it a nose point, or give front_station",
    )
    away = tuple(
        distance - inputs.skin_in
        for distance in (
            0.0,
            developed_flange_in(inputs),
            -inputs.thickness_in,
            -inputs.setback_in,
        )
    )
    lines, surfaces = [], []
    for evaluate, sign in ((curve.upper, 1.0), (curve.lower, -1.0)):
        surface = _at_chord(evaluate, inputs.chord_in)
        first = (
            0.0
            if round_nose
            else _place_at(surface, inputs.front_station * inputs.chord_in, sign, inputs, "front_station")
        )
        last = _place_at(surface, inputs.rear_station * inputs.chord_in, sign, inputs, "rear_station")
        skin_line = traced(surface, first, last, sign, away, WITHIN_IN)
        surfaces.append(skin_line)
        lines.append(edge_line(skin_line.parallel(-inputs.skin_in), skin_line.directions_rad, sign))
    _require_smooth(section, surfaces, inputs)
    made = RibOutline(lines[0], lines[1], round_nose)
    _check(made, section, curve, inputs)
    return made


def _require_smooth(section: Section, surfaces: Sequence[EdgeLine], inputs: RibInputs) -> None:
    """Refuse a corner of the true section that its smooth curve rounds off by too much. Raises OutOfRange."""
    off_in = 0.0
    for place, surface in enumerate(surfaces):
        true = [(x * inputs.chord_in, y * inputs.chord_in) for x, y in section.about_corner[place::2]]
        first, last = surface.points[0][0], surface.points[-1][0]
        line = shapely.LineString(surface.points)
        off_in = max(
            [off_in, *(line.distance(shapely.Point(x, y)) for x, y in true if first < x < last)],
        )
    require(
        off_in <= FROM_TRUE_IN,
        "section",
        f"{section.name} has a corner at its highest camber, which a smooth edge leaves by {off_in:.4f} in",
        "give the coordinates that the plans print as a file, or begin the rib further aft",
    )


def _at_chord(evaluate: Evaluate, chord_in: float) -> Evaluate:
    def at_chord(place: float) -> tuple[Point, float]:
        (x, y), direction = evaluate(place)
        return (x * chord_in, y * chord_in), direction

    return at_chord


def _place_at(surface: Evaluate, x_in: float, sign: float, inputs: RibInputs, argument: str) -> float:
    """Where on the surface its line less the skin crosses a station, the crossing nearest the tail."""

    def station(place: float) -> float:
        point, direction = surface(place)
        return edge_line((point,), (direction,), sign).parallel(-inputs.skin_in)[0][0]

    low, high = 0.0, 1.0
    if station(high) < x_in:  # at the very tail the skin leaves nothing
        require(
            station(high) > x_in - inputs.skin_in, argument, "the section ends before it", "move it inward"
        )
        return high
    require(
        station(low) <= x_in,
        argument,
        "the rib is too thin here for its skin",
        "move the station inward",
    )
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if station(middle) <= x_in:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _check(made: RibOutline, section: Section, curve: SectionCurve, inputs: RibInputs) -> None:
    least = 2 * inputs.setback_in + _LEAST_FLAT_IN
    ends = [("rear_station", made.upper.points[-1], made.lower.points[-1])]
    if not made.has_nose:
        ends.append(("front_station", made.upper.points[0], made.lower.points[0]))
    for argument, top, bottom in ends:
        require(
            top[1] - bottom[1] > least,
            argument,
            f"the rib is {max(0.0, top[1] - bottom[1]):.3f} in high here, too thin for its two flanges",
            f"check chord, or move the station to where it is over {least:.3f} in high",
        )
    if made.web.is_valid:
        return
    bare = shapely.Polygon([*section.upper, *reversed(section.lower)])
    require(
        bare.is_valid,
        "section",
        f"the outline of {section.name} crosses itself",
        "put its points in order, once round",
    )
    require(
        False,
        "skin_in",
        "the outline less its skin crosses itself",
        "give a thinner skin, or begin further aft",
    )
