"""The long flanges, upper and lower: their pieces between cut-outs, and each piece's rivets and flutes."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kiosk.numbers.aerofoil import Point
from kiosk.numbers.edge_line import EdgeLine
from kiosk.numbers.flanges import flute_uptake_in
from kiosk.numbers.result import require
from kiosk.numbers.rib_flutes import DEPTH_SHARE, WIDEST_IN, Flute, place_flutes
from kiosk.numbers.rib_inputs import RibInputs, developed_flange_in
from kiosk.numbers.rib_rivets import RivetMark, row
from kiosk.numbers.rib_turning import (
    SMALLEST_CHANGE_IN,
    HollowStretch,
    Turning,
    hollow_stretches,
    turning_of,
)

# Of its width: a flute deeper than this at every rivet is no longer pliers' work. Common practice, no source.
_DEEPEST_IN_A_ROW = 0.25


@dataclass(frozen=True)
class FlangePiece:
    """A flange from one cut to the next: from and to, along the outline, its edges when flat, its rivets."""

    first_in: float
    last_in: float
    outline: tuple[Point, ...]
    flat_edge: tuple[Point, ...]
    rivets: tuple[RivetMark, ...]

    @property
    def first_rivet_in(self) -> float:
        """Its first rivet, along it from its own front end: where a rule is laid on."""
        return self.rivets[0].at_in - self.first_in

    @property
    def pitch_in(self) -> float:
        """From each of its rivets to the next; 0 where it has one alone."""
        return self.rivets[1].at_in - self.rivets[0].at_in if len(self.rivets) > 1 else 0.0

    @property
    def surface(self) -> tuple[Point, ...]:
        """The flat flange outside the finished outline, once round."""
        return (*self.outline, *reversed(self.flat_edge))


@dataclass(frozen=True)
class FlangeSide:
    """One long flange: the outline that it follows, its pieces, and what its edge has to do."""

    name: str
    line: EdgeLine
    pieces: tuple[FlangePiece, ...]
    shrink_in: float  # what the free edges of all pieces have to lose
    hollows: tuple[HollowStretch, ...]
    flutes: tuple[Flute, ...]

    @property
    def length_in(self) -> float:
        """The whole outline, cut-outs included."""
        return self.line.length_in

    @property
    def turning_deg(self) -> float:
        """How far the outline turns from end to end; outward is positive."""
        return math.degrees(self.line.turned_rad()[-1])

    @property
    def stretch_percent(self) -> float:
        """The greatest stretch of the free edge, 0 where it is hollow nowhere."""
        return max((one.stretch_percent for one in self.hollows), default=0.0)

    @property
    def rivets(self) -> tuple[RivetMark, ...]:
        """Every rivet, from the front, whichever piece it stands on."""
        return tuple(rivet for piece in self.pieces for rivet in piece.rivets)

    @property
    def rivets_in(self) -> tuple[float, ...]:
        """How far along the outline each rivet stands, from the front."""
        return tuple(rivet.at_in for rivet in self.rivets)

    @property
    def flutes_in(self) -> tuple[float, ...]:
        """How far along the outline each flute's middle stands, from the front."""
        return tuple(flute.at_in for flute in self.flutes)

    @property
    def flute_depths_in(self) -> tuple[float, ...]:
        """How deep each flute is at the free edge."""
        return tuple(flute.depth_in for flute in self.flutes)


def smallest_turn_rad(inputs: RibInputs) -> float:
    """The least turn to and fro that counts as one."""
    return SMALLEST_CHANGE_IN / inputs.edge_to_take_up_in


def flange_side(
    name: str, line: EdgeLine, spans_in: Sequence[tuple[float, float]], inputs: RibInputs
) -> FlangeSide:
    """A flange on the pieces ``spans_in`` of its outline, which has a point at every end of them.

    Raises OutOfRange naming the guilty input.
    """
    turning = turning_of(line, smallest_turn_rad(inputs))
    edge = inputs.edge_to_take_up_in
    hollows = hollow_stretches(turning, edge, developed_flange_in(inputs))
    for hollow in hollows:
        require(
            math.isfinite(hollow.stretch_percent),
            "flange_width_in",
            f"the {name} outline is hollow more sharply than the flange is wide",
            "give a narrower flange",
        )
    pieces: list[FlangePiece] = []
    flutes: list[Flute] = []
    shrink = 0.0
    for first, last in spans_in:
        long = last - first
        require(
            long >= 2 * inputs.rivet_end_in,
            "cut_outs" if len(spans_in) > 1 else "rivet_end_in",
            f"a piece of the {name} flange is only {long:.2f} in long, less than its two end distances",
            "move the cut-out, make it narrower, or give a smaller rivet_end",
        )
        here = [first + at for at in row(long, inputs.rivet_pitch_in, inputs.rivet_end_in)]
        placed = place_flutes(
            line, (first, last), here, lambda a, b: edge * turning.outward_between(a, b), inputs
        )
        shrink += edge * turning.outward_between(first, last)
        away = developed_flange_in(inputs) - inputs.rivet_line_in
        rivets = tuple(RivetMark(at, line.outside(at, away)) for at in here)
        flutes += placed
        part = line.part(first, last)
        edge_line = part.parallel(developed_flange_in(inputs))
        pieces.append(FlangePiece(first, last, part.points, edge_line, rivets))
    return FlangeSide(name, line, tuple(pieces), shrink, hollows, tuple(flutes))


def nose_relief_in(line: EdgeLine, inputs: RibInputs) -> float:
    """How far from the nose, along the outline, a flange begins.

    Where nothing is given: where a flute in every space between rivets, a quarter as deep as wide, takes the
    edge up, and so for all of the line behind it.
    """
    if inputs.nose_relief_in is not None:
        require(
            inputs.nose_relief_in < line.length_in,
            "nose_relief_in",
            "the relief is longer than the rib",
            "give a shorter one",
        )
        return inputs.nose_relief_in
    turning: Turning = turning_of(line, smallest_turn_rad(inputs))
    width = inputs.flute_width_in
    if width is None:
        width = max(0.0, min(WIDEST_IN, inputs.rivet_pitch_in - 2 * inputs.rivet_clearance_in))
    depth = max(DEPTH_SHARE, _DEEPEST_IN_A_ROW) * width
    most = flute_uptake_in(width, depth) / inputs.rivet_pitch_in if width > 0 else 0.0  # of each inch
    for place in range(len(turning.along_in) - 1, 0, -1):
        long = turning.along_in[place] - turning.along_in[place - 1]
        turn = turning.outward_rad[place] - turning.outward_rad[place - 1]
        if inputs.edge_to_take_up_in * turn > most * long:
            return turning.along_in[place]
    return 0.0
