"""Rivets in a row, and where their marks stand on the flat blank: on the line that is the flange's own."""

import math
from dataclasses import dataclass

from kiosk.numbers.aerofoil import Point
from kiosk.numbers.result import require
from kiosk.numbers.rivets import LEAST_EDGE_DIAMETERS

SHOP_HEAD_DIAMETERS = 1.5  # US Navy structural-mechanic manual: a driven head's width


@dataclass(frozen=True)
class RivetMark:
    """One rivet: how far along its flange's outside, formed, and its centre on the flat blank."""

    at_in: float
    flat: Point


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


def end_distance_in(diameter_in: float) -> float:
    """From a row's last rivet to the cut end: two diameters of the next size, so that a hole can be mended.

    AC 43.13-1B paragraph 4-57 for the two diameters; the next size is 1/32 in larger (MIL-R-47196A).
    """
    return LEAST_EDGE_DIAMETERS * (diameter_in + 1 / 32)


def row_of(count: int, length_in: float, end_in: float) -> tuple[float, ...]:
    """So many rivets with equal pitch between the ends; one stands in the middle. Raises OutOfRange."""
    span = length_in - 2 * end_in
    require(span >= 0, "rivet_end_in", "the row is shorter than its two end distances", "check the ends")
    if count == 1:
        return (length_in / 2,)
    return tuple(end_in + span * number / (count - 1) for number in range(count))
