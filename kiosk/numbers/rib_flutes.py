"""Flutes where an edge turns outward: how many, between which rivets, and how deep each.

A flute can only stand between two rivets, so the rivets give the places, and how far the outline turns from
rivet to rivet gives what has to be taken up at each. Neighbouring spaces that need little share one flute, so
that none is too shallow for pliers; a space that needs much has its own, as deep as that takes. Each flute
has its own depth: with the places fixed, nothing else can follow the curve. A hand does not measure depth: it
squeezes until the web lies flat beside the flute, and the depth says where to begin.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from kiosk.numbers.aerofoil import Point
from kiosk.numbers.edge_line import EdgeLine
from kiosk.numbers.flanges import flute_uptake_in
from kiosk.numbers.result import require
from kiosk.numbers.rib_inputs import RibInputs, developed_flange_in
from kiosk.numbers.rib_turning import SMALLEST_CHANGE_IN

WIDEST_IN = 0.5
NARROWEST_IN = 0.125  # less is no flute that pliers make; common practice, no source
DEPTH_SHARE = 0.1875  # of the width: 3/32 on 1/2
DEEPEST_SHARE = 0.5  # a half circle


@dataclass(frozen=True)
class Flute:
    """One flute: its middle along the outline, width and depth at the free edge, and the edge it takes up.

    ``flat`` is how it is marked on the blank: edge, bend, edge. It tapers to nothing at the bend, so that it
    takes up as much as the edge needs at every height of the flange.
    """

    at_in: float
    width_in: float
    depth_in: float
    takes_up_in: float
    flat: tuple[Point, Point, Point]


def least_pitch_in(inputs: RibInputs) -> float:
    """The least distance between rivets with room for a flute."""
    width = NARROWEST_IN if inputs.flute_width_in is None else inputs.flute_width_in
    return width + 2 * inputs.rivet_clearance_in


def flute_width_in(space_in: float, inputs: RibInputs) -> float:
    """How wide a flute is made between rivets so far apart. Raises OutOfRange when there is no room."""
    if inputs.flute_width_in is not None:
        width = inputs.flute_width_in
    else:
        width = min(WIDEST_IN, space_in - 2 * inputs.rivet_clearance_in)
    argument = "rivet_pitch_in" if inputs.flute_width_in is None else "flute_width_in"
    least = least_pitch_in(inputs)
    require(
        width >= NARROWEST_IN - 1e-9 or inputs.flute_width_in is not None,
        argument,
        f"rivets {space_in:.3f} in apart leave no room for a flute",
        f"make rivet_pitch {least:.3f} or more, or write a smaller rivet_clear than "
        f"{inputs.rivet_clearance_in:g}",
    )
    require(
        space_in >= width + 2 * inputs.rivet_clearance_in - 1e-9,
        argument,
        f"rivets {space_in:.3f} in apart leave no room for a {width:g} in flute",
        f"write flute_width {max(0.0, space_in - 2 * inputs.rivet_clearance_in):.3f} or less, or a longer "
        "rivet_pitch",
    )
    return width


def usual_uptake_in(width_in: float, inputs: RibInputs) -> float:
    """What one flute of the wanted depth takes up. Raises OutOfRange when that is too deep."""
    depth = inputs.flute_depth_in if inputs.flute_depth_in is not None else DEPTH_SHARE * width_in
    require(
        depth <= DEEPEST_SHARE * width_in + 1e-9,
        "flute_depth_in",
        f"a flute {depth:g} in deep is deeper than half its width, {width_in:g}",
        "give a shallower or wider flute",
    )
    return flute_uptake_in(width_in, depth)


def place_flutes(
    line: EdgeLine,
    piece: tuple[float, float],
    rivets_in: Sequence[float],
    to_take_up_in: Callable[[float, float], float],
    inputs: RibInputs,
) -> tuple[Flute, ...]:
    """The flutes of one piece of flange, from its first to its last distance along the outline.

    ``to_take_up_in`` gives what the edge has to lose between two distances. Raises OutOfRange when there is
    no room, or when a space needs more than one flute can take up.
    """
    if to_take_up_in(*piece) <= SMALLEST_CHANGE_IN:
        return ()
    require(
        len(rivets_in) > 1,
        "rivet_pitch_in",
        "there is no place for a flute between the rivets",
        "use a smaller pitch",
    )
    spaces = list(pairwise(rivets_in))
    width = flute_width_in(min(last - first for first, last in spaces), inputs)
    ends = [piece[0], *rivets_in[1:-1], piece[1]]  # what lies beyond the last rivet goes to its flute
    needs = [to_take_up_in(first, last) for first, last in pairwise(ends)]
    made = []
    for first, last in _shares(needs, usual_uptake_in(width, inputs)):
        need = sum(needs[first:last])
        if need <= SMALLEST_CHANGE_IN / 2:
            continue
        place = _heaviest(needs, first, last)
        at = sum(spaces[place]) / 2
        made.append(_flute(line, at, width, need, inputs))
    return tuple(made)


def _shares(needs: Sequence[float], usual: float) -> list[tuple[int, int]]:
    """Runs of spaces that share one flute: as few as keep each run of several under the usual uptake.

    Among so few, those with the least sum of squares: flutes as equal as the rivets let them be.
    """
    sums = list(accumulate(needs, initial=0.0))
    # best[n]: for the first n spaces, fewest runs, then least sum of squares, and where the last begins
    best: list[tuple[int, float, int]] = [(0, 0.0, 0)]
    for n in range(1, len(sums)):
        ways = []
        for m in range(n - 1, -1, -1):
            together = sums[n] - sums[m]
            if m < n - 1 and together > usual:
                break
            ways.append((best[m][0] + 1, best[m][1] + together**2, m))
        best.append(min(ways))
    ends = [len(needs)]
    while ends[-1]:
        ends.append(best[ends[-1]][2])
    return list(pairwise(reversed(ends)))


def _heaviest(needs: Sequence[float], first: int, last: int) -> int:
    """The space in which half of a run's need is reached."""
    half, total = sum(needs[first:last]) / 2, 0.0
    for place in range(first, last):
        total += needs[place]
        if total >= half - 1e-12:
            return place
    return last - 1


def _flute(line: EdgeLine, at_in: float, width_in: float, need_in: float, inputs: RibInputs) -> Flute:
    edge = developed_flange_in(inputs)
    bend = edge - (inputs.flange_width_in - inputs.setback_in)  # where the flange is flat again
    flat = (
        line.outside(at_in - width_in / 2, edge),
        line.outside(at_in, bend),
        line.outside(at_in + width_in / 2, edge),
    )
    return Flute(at_in, width_in, depth_for_in(need_in, width_in), need_in, flat)


def depth_for_in(uptake_in: float, width_in: float) -> float:
    """The depth at which a flute takes up so much, by halving. Raises OutOfRange over half its width."""
    low, high = 1e-6, DEEPEST_SHARE * width_in
    require(
        flute_uptake_in(width_in, high) >= uptake_in,
        "rivet_pitch_in",
        f"one flute {width_in:.3f} in wide cannot take up {uptake_in:.3f} in of edge between two rivets",
        "use a smaller pitch or wider flutes, or leave the flange off there with a cut-out or nose_relief",
    )
    for _ in range(60):
        middle = (low + high) / 2
        if flute_uptake_in(width_in, middle) < uptake_in:
            low = middle
        else:
            high = middle
    return high
