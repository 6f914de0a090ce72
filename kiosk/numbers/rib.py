"""A formed rib from a section: web, form block, blank, flutes and holes, in inches.

The outline is the section at the chord, less the skin. The flange is bent inside it: its outside lies on the
outline. The form block is smaller by the metal thickness; the blank is larger by the flange developed. Where
a spar or a stringer passes, the web is cut out; a cut-out from an edge parts the flange into pieces, and each
piece has its own rivets and flutes.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from kiosk.numbers.aerofoil import Point, Section, line_length
from kiosk.numbers.bends import deduction_in
from kiosk.numbers.cut_outs import CutOut, Edge, check_depths, flange_pieces, notched, opening
from kiosk.numbers.flanges import flute_uptake_in
from kiosk.numbers.result import OutOfRange, require, require_finite

POINTS_A_SIDE = 120


@dataclass(frozen=True)
class RibInputs:
    """What the plans give. Stations are shares of the chord, 0 to 1; lengths in inches."""

    chord_in: float
    front_station: float
    rear_station: float
    skin_in: float
    thickness_in: float
    bend_radius_in: float
    flange_width_in: float
    rivet_pitch_in: float = 1.0
    rivet_end_in: float = 0.5
    flute_width_in: float = 0.5
    flute_depth_in: float = 0.09375
    rivet_clear_in: float = 0.1875  # least distance from a rivet's centre to a flute's edge
    cut_outs: tuple[CutOut, ...] = ()


@dataclass(frozen=True)
class FlangeSide:
    """One flange, upper or lower: the outline it follows and what its edge has to do."""

    name: str
    uncut: tuple[Point, ...]  # the outline before any cut-out; distances along the flange are on it
    outline: tuple[Point, ...]
    block: tuple[Point, ...]
    blank: tuple[Point, ...]
    length_in: float
    turning_deg: float  # how far the outward-curved outline turns; negative turns are stretched instead
    shrink_in: float
    stretch_percent: float
    rivets_in: tuple[float, ...]  # along the flange from its front end
    flutes_in: tuple[float, ...]
    flute_depths_in: tuple[float, ...]


@dataclass(frozen=True)
class Rib:
    """A rib laid out: both flanges, the ends, tooling holes, and the sizes to check."""

    section: str
    inputs: RibInputs
    upper: FlangeSide
    lower: FlangeSide
    tooling_holes: tuple[Point, ...]
    openings: tuple[tuple[Point, ...], ...]  # cut-outs within the web, closed
    front_height_in: float
    rear_height_in: float
    blank_length_in: float

    @property
    def web(self) -> tuple[Point, ...]:
        """The finished outline, closed: over the top from the front, back along the bottom."""
        return (*self.upper.outline, *reversed(self.lower.outline), self.upper.outline[0])

    @property
    def blank(self) -> tuple[Point, ...]:
        """The flat blank, closed."""
        return (*self.upper.blank, *reversed(self.lower.blank), self.upper.blank[0])

    @property
    def block(self) -> tuple[Point, ...]:
        """The form block, closed."""
        return (*self.upper.block, *reversed(self.lower.block), self.upper.block[0])


def developed_flange_in(inputs: RibInputs) -> float:
    """How far the blank's edge stands outside the finished outline: flange less one bend deduction."""
    return inputs.flange_width_in - deduction_in(inputs.thickness_in, inputs.bend_radius_in, 90)


def lay_out(section: Section, inputs: RibInputs) -> Rib:
    """Lay out a rib between two stations.

    Raises OutOfRange when the inputs do not make one; its ``argument`` is the guilty field of RibInputs.
    """
    require_finite(vars(inputs))
    require(1 <= inputs.chord_in <= 200, "chord_in", "the chord is outside 1 to 200 in", "give it in inches")
    for argument, holds in (
        ("front_station", inputs.front_station >= 0.005),
        ("rear_station", inputs.rear_station <= 1.0),
        ("front_station", inputs.front_station < inputs.rear_station),
    ):
        require(
            holds,
            argument,
            "the stations do not run from 0.005 to 1, front to rear",
            "give shares of the chord",
        )
    require(
        inputs.flange_width_in > inputs.bend_radius_in + inputs.thickness_in,
        "flange_width_in",
        "the flange is no wider than its bend",
        "give a wider flange",
    )
    upper = _side("upper", section, inputs, 1.0)
    lower = _side("lower", section, inputs, -1.0)
    front = upper.uncut[0][1] - lower.uncut[0][1]
    rear = upper.uncut[-1][1] - lower.uncut[-1][1]
    for argument, height in (("front_station", front), ("rear_station", rear)):
        require(
            height > 2 * inputs.flange_width_in / 4,
            argument,
            "the rib is too thin here for its flanges",
            "move the station inward",
        )
    check_depths(upper.uncut, lower.uncut, inputs.cut_outs, inputs.chord_in)
    openings = tuple(
        opening(upper.uncut, lower.uncut, one, inputs.chord_in)
        for one in inputs.cut_outs
        if one.edge == "middle"
    )
    width = upper.uncut[-1][0] - upper.uncut[0][0]
    holes = tuple(
        (
            upper.uncut[0][0] + share * width,
            _middle(upper.uncut, lower.uncut, upper.uncut[0][0] + share * width),
        )
        for share in (0.12, 0.5, 0.88)
    )
    return Rib(
        section=section.name,
        inputs=inputs,
        upper=upper,
        lower=lower,
        tooling_holes=holes,
        openings=openings,
        front_height_in=front,
        rear_height_in=rear,
        blank_length_in=max(point[0] for point in (*upper.blank, *lower.blank))
        - min(point[0] for point in (*upper.blank, *lower.blank)),
    )


def _middle(upper: Sequence[Point], lower: Sequence[Point], x: float) -> float:
    def at(points: Sequence[Point]) -> float:
        return min(points, key=lambda point: abs(point[0] - x))[1]

    return (at(upper) + at(lower)) / 2


def _side(name: str, section: Section, inputs: RibInputs, sign: float) -> FlangeSide:
    surface = section.upper if sign > 0 else section.lower
    chord = inputs.chord_in
    stations = [
        inputs.front_station + (inputs.rear_station - inputs.front_station) * n / POINTS_A_SIDE
        for n in range(POINTS_A_SIDE + 1)
    ]
    skin_line = [(x * chord, y * chord) for x, y in ((x, _smooth(surface, x)) for x in stations)]
    outline = offset(skin_line, -sign * inputs.skin_in)
    turning = turning_deg(outline, sign)
    length = line_length(outline)
    edge: Edge = "top" if sign > 0 else "bottom"
    notches = sorted((one for one in inputs.cut_outs if one.edge == edge), key=lambda one: one.station)
    rivets: list[float] = []
    flutes: list[float] = []
    depths: list[float] = []
    shrink = 0.0
    for begin, piece in flange_pieces(outline, notches, chord):
        along = line_length(piece)
        require(
            along >= 2 * inputs.rivet_end_in,
            "cut_outs" if notches else "rivet_end_in",
            f"a piece of the {name} flange between cut-outs is only {along:.2f} in long",
            "move the cut-out, or make it narrower",
        )
        here = row(along, inputs.rivet_pitch_in, inputs.rivet_end_in)
        lose = inputs.flange_width_in * math.radians(max(0.0, turning_deg(piece, sign)))
        places, depth = place_flutes(lose, here, inputs)
        shrink += lose
        rivets += [begin + at for at in here]
        flutes += [begin + at for at in places]
        depths += [depth] * len(places)
    stretch = 0.0
    if turning < 0:
        radius = length / math.radians(-turning)
        if radius > inputs.flange_width_in:
            stretch = 100 * inputs.flange_width_in / (radius - inputs.flange_width_in)
    return FlangeSide(
        name=name,
        uncut=tuple(outline),
        outline=notched(outline, outline, notches, chord, sign),
        block=notched(offset(outline, -sign * inputs.thickness_in), outline, notches, chord, sign),
        blank=notched(offset(outline, sign * developed_flange_in(inputs)), outline, notches, chord, sign),
        length_in=length,
        turning_deg=turning,
        shrink_in=shrink,
        stretch_percent=stretch,
        rivets_in=tuple(rivets),
        flutes_in=tuple(flutes),
        flute_depths_in=tuple(depths),
    )


def _smooth(surface: Sequence[Point], x: float) -> float:
    """The ordinate at a station through three neighbouring points (Lagrange), so that slopes are smooth."""
    xs = [point[0] for point in surface]
    place = min(range(len(xs)), key=lambda n: abs(xs[n] - x))
    place = min(max(1, place), len(xs) - 2)
    (x0, y0), (x1, y1), (x2, y2) = surface[place - 1 : place + 2]
    if len({x0, x1, x2}) < 3:
        return y1
    return (
        y0 * (x - x1) * (x - x2) / ((x0 - x1) * (x0 - x2))
        + y1 * (x - x0) * (x - x2) / ((x1 - x0) * (x1 - x2))
        + y2 * (x - x0) * (x - x1) / ((x2 - x0) * (x2 - x1))
    )


def offset(points: Sequence[Point], distance_in: float) -> list[Point]:
    """Each point moved square to the line through its neighbours; positive moves it up.

    Exact for a straight line and for a circle; on a section the error is of second order in the spacing.
    """
    moved = []
    for number, (x, y) in enumerate(points):
        ax, ay = points[max(0, number - 1)]
        bx, by = points[min(len(points) - 1, number + 1)]
        length = math.hypot(bx - ax, by - ay)
        moved.append((x - (by - ay) / length * distance_in, y + (bx - ax) / length * distance_in))
    return moved


def turning_deg(points: Sequence[Point], sign: float = 1.0) -> float:
    """How far a line turns from its first to its last piece, in degrees; outward curving is positive."""
    (ax, ay), (bx, by) = points[0], points[1]
    (cx, cy), (dx, dy) = points[-2], points[-1]
    return sign * math.degrees(math.atan2(by - ay, bx - ax) - math.atan2(dy - cy, dx - cx))


def row(length_in: float, pitch_in: float, end_in: float) -> tuple[float, ...]:
    """Rivet positions with equal pitch between the ends, the pitch at most ``pitch_in``.

    Raises OutOfRange, which names the input of the rib: ``rivet_end_in`` or ``rivet_pitch_in``.
    """
    span = length_in - 2 * end_in
    require(span >= 0, "rivet_end_in", "the row is shorter than its two end distances", "check the ends")
    require(pitch_in > 0, "rivet_pitch_in", "the rivet pitch is nothing", "give the pitch")
    spaces = max(1, math.ceil(span / pitch_in - 1e-9)) if span > 1e-9 else 0
    if spaces == 0:
        return (end_in,)
    return tuple(end_in + span * number / spaces for number in range(spaces + 1))


def place_flutes(
    shrink_in: float, rivets_in: Sequence[float], inputs: RibInputs
) -> tuple[tuple[float, ...], float]:
    """Where the flutes go and how deep: midway between rivets, spread evenly, clear of every rivet.

    As many as the wanted depth needs; where there are fewer places, they are made deeper (up to half their
    width). Derived geometry; no published rule was found. Raises OutOfRange when the edge cannot be taken up.
    """
    if shrink_in <= 0.005:
        return (), 0.0
    gaps = [(a + b) / 2 for a, b in pairwise(rivets_in)]
    room = min((b - a for a, b in pairwise(rivets_in)), default=0.0)
    width = inputs.flute_width_in
    require(
        room >= width + 2 * inputs.rivet_clear_in - 1e-9,
        "rivet_pitch_in",
        f"rivets {room:.2f} in apart leave no room for a {width:g} in flute",
        "make the pitch longer or the flute narrower",
    )
    wanted = math.ceil(shrink_in / flute_uptake_in(width, inputs.flute_depth_in) - 1e-9)
    count = min(wanted, len(gaps))
    if count == 0:
        raise OutOfRange(
            "there is no place for a flute between the rivets", "use a smaller pitch", "rivet_pitch_in"
        )
    places = [gaps[(2 * number + 1) * len(gaps) // (2 * count)] for number in range(count)]
    depth = _depth_for(shrink_in / count, width)
    return tuple(places), depth


def _depth_for(uptake_in: float, width_in: float) -> float:
    """The depth at which one flute takes up so much, by bisection; half its width at most."""
    low, high = 1e-6, width_in / 2
    require(
        flute_uptake_in(width_in, high) >= uptake_in,
        "rivet_pitch_in",
        "so few flutes cannot take up the edge",
        "use more rivet spaces or wider flutes",
    )
    for _ in range(60):
        middle = (low + high) / 2
        if flute_uptake_in(width_in, middle) < uptake_in:
            low = middle
        else:
            high = middle
    return high
