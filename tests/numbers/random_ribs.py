"""Random ribs against constructions made another way: dense lines and distances by numpy, areas by formula.

Nothing here uses the kiosk's splines, its lines or shapely: the section is its own formula (NACA Report 460,
Report 537), the parallel lines are the set of points at a distance from it, areas are shoelaces and the
tube formula of a parallel strip (its width times the line's length, and half its square times its turning).
The suite lays out some; by hand, 500 with the greatest difference of each kind:

    .venv/bin/python -m tests.numbers.random_ribs 500
"""

import itertools
import math
import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kiosk.numbers.aerofoil import naca
from kiosk.numbers.bends import deduction_in
from kiosk.numbers.cut_outs import CutOut
from kiosk.numbers.result import OutOfRange
from kiosk.numbers.rib import Rib, lay_out
from kiosk.numbers.rib_inputs import LighteningHole, RibInputs

Array = np.ndarray
DENSE = 3000

# NACA Report 537, Table I.
_FIVE = {"210": (0.0580, 361.4), "220": (0.1260, 51.64), "230": (0.2025, 15.957), "240": (0.2900, 6.643)}


def section_points(digits: str, sign: int) -> Array:
    """One surface from nose to tail at unit chord, dense, by the published formula."""
    x = (1 - np.cos(np.linspace(0, np.pi, DENSE))) / 2
    t = int(digits[-2:]) / 100
    half = t / 0.2 * (0.2969 * np.sqrt(x) - 0.126 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)
    if len(digits) == 4:
        m, p = int(digits[0]) / 100, int(digits[1]) / 10
        if m == 0:
            y = slope = np.zeros_like(x)
        else:
            y = np.where(
                x < p, m / p**2 * (2 * p * x - x**2), m / (1 - p) ** 2 * (1 - 2 * p + 2 * p * x - x**2)
            )
            slope = np.where(x < p, 2 * m / p**2 * (p - x), 2 * m / (1 - p) ** 2 * (p - x))
    else:
        m, k = _FIVE[digits[:3]]
        y = np.where(
            x < m,
            k / 6 * (x**3 - 3 * m * x**2 + m**2 * (3 - m) * x),
            k * m**3 / 6 * (1 - x),
        )
        slope = np.where(x < m, k / 6 * (3 * x**2 - 6 * m * x + m**2 * (3 - m)), -k * m**3 / 6 + 0 * x)
    angle = np.arctan(slope)
    return np.column_stack([x - sign * half * np.sin(angle), y + sign * half * np.cos(angle)])


def distances(points: Array, line: Array) -> Array:
    """From each point to the nearest piece of a line, by trying the pieces about its nearest corners."""
    found = np.empty(len(points))
    starts, ends = line[:-1], line[1:]
    steps = ends - starts
    squares = np.maximum((steps**2).sum(axis=1), 1e-300)
    for number, point in enumerate(points):
        share = np.clip(((point - starts) * steps).sum(axis=1) / squares, 0, 1)
        found[number] = np.sqrt((((starts + share[:, None] * steps) - point) ** 2).sum(axis=1).min())
    return found


def shoelace(points: Array) -> float:
    """The area within a closed line."""
    x, y = points[:, 0], points[:, 1]
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)


def moved_out(line: Array, distance: float, sign: int) -> Array:
    """A dense line moved square to itself; outside is above for sign 1."""
    step = np.gradient(line, axis=0)
    step /= np.hypot(step[:, 0], step[:, 1])[:, None]
    return line + sign * distance * np.column_stack([-step[:, 1], step[:, 0]])


@dataclass(frozen=True)
class Differences:
    """How far a rib lies from the other construction: lengths in inches, areas in square inches."""

    web_in: float
    block_in: float
    blank_edge_in: float
    web_area_in2: float
    blank_area_in2: float
    rivet_line_in: float
    take_up_in: float
    uncovered_in2: float


def random_inputs(seed: int) -> tuple[str, RibInputs]:
    """A section and the inputs of a rib that may or may not be one."""
    drawn = random.Random(seed)
    digits = drawn.choice(["0009", "0012", "2412", "4412", "4415", "6412", "23012", "23015", "22012", "1410"])
    chord = drawn.uniform(24, 70)
    front = drawn.uniform(0.03, 0.55)
    rear = min(0.92, front + drawn.uniform(0.18, 0.6))
    thick = drawn.choice([0.02, 0.025, 0.032, 0.04])
    cut_outs = []
    for edge in drawn.sample(["top", "bottom", "middle"], drawn.randint(0, 3)):
        station = drawn.uniform(front, rear)
        cut_outs.append(CutOut(station, drawn.uniform(0.4, 1.2), drawn.uniform(0.4, 0.9), edge))  # type: ignore[arg-type]
    holes = tuple(LighteningHole(drawn.uniform(front, rear), 0.8, 1.1) for _ in range(drawn.randint(0, 2)))
    return digits, RibInputs(
        chord_in=chord,
        front_station=front,
        rear_station=rear,
        skin_in=drawn.choice([0.016, 0.02, 0.025, 0.032]),
        thickness_in=thick,
        bend_radius_in=drawn.choice([1 / 16, 3 / 32, 1 / 8]),
        flange_width_in=drawn.choice([0.5, 0.625, 0.75]),
        front_flange=drawn.choice(["none", "down"]),
        rear_flange=drawn.choice(["none", "down", "up"]),
        rivet_pitch_in=drawn.choice([0.5, 0.75, 1.0, 1.25, 1.5]),
        rivet_diameter_in=drawn.choice([3 / 32, 1 / 8]),
        cut_outs=tuple(cut_outs),
        lightening_holes=holes,
    )


def differences(digits: str, rib: Rib) -> Differences:
    """The rib against its other construction."""
    given = rib.inputs
    developed = given.flange_width_in - deduction_in(given.thickness_in, given.bend_radius_in, 90)
    back = given.bend_radius_in + given.thickness_in
    web_off = block_off = edge_off = take_up_off = 0.0
    outlines: dict[int, Array] = {}
    area = 0.0
    web = np.array(rib.web)
    block = np.array(rib.block)
    blank = np.array(rib.blank)
    front_x, rear_x = given.front_station * given.chord_in, given.rear_station * given.chord_in
    for sign, side in ((1, rib.upper), (-1, rib.lower)):
        skin = section_points(digits, sign) * given.chord_in
        outline = moved_out(skin, -given.skin_in, sign)
        # Parallel lines are compared by distance from the section itself, in the middle of each side.
        kept = np.array(side.line.points)
        between = (kept[:-1] + kept[1:]) / 2
        web_off = max(web_off, float(np.abs(distances(between, skin) - given.skin_in).max()))
        for piece in side.pieces:
            edge = np.array(piece.flat_edge)
            middles = (edge[:-1] + edge[1:]) / 2
            off = np.abs(distances(middles, skin) - (developed - given.skin_in))
            edge_off = max(edge_off, float(off.max()))
        true_block = moved_out(outline, -given.thickness_in, sign)
        true_block = true_block[(true_block[:, 0] > front_x + 0.1) & (true_block[:, 0] < rear_x - 0.1)][::20]
        block_off = max(block_off, float(distances(true_block, block).max()))
        cut = outline[(outline[:, 0] > front_x) & (outline[:, 0] < rear_x)]
        ends = [
            [x, np.interp(x, outline[DENSE // 50 :, 0], outline[DENSE // 50 :, 1])] for x in (front_x, rear_x)
        ]
        outlines[sign] = np.vstack([ends[0], cut, ends[1]])
        # Take-up: the edge's excess is its strip's width, to the middle of the bent sheet, times the turning.
        angle = np.unwrap(np.arctan2(*np.diff(outlines[sign], axis=0).T[::-1]))
        along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(outlines[sign], axis=0).T))])
        middle_along = (along[:-1] + along[1:]) / 2
        needed = 0.0
        steps = np.diff(-sign * angle)
        for piece in side.pieces:
            inside = (middle_along[1:] > piece.first_in) & (middle_along[1:] < piece.last_in)
            needed += (developed + given.thickness_in / 2) * float(np.maximum(steps[inside], 0).sum())
            turned = float(steps[inside].sum())
            area += developed * (piece.last_in - piece.first_in) + developed**2 / 2 * turned
        take_up_off = max(take_up_off, abs(needed - side.shrink_in))
    whole = np.vstack([outlines[1], outlines[-1][::-1]])
    web_area = shoelace(whole)
    notched = web_area
    for one in given.cut_outs:
        if one.edge == "middle":
            continue
        sign = 1 if one.edge == "top" else -1
        notched -= _notch_area(one, outlines[sign], given, sign)
    area += notched
    for end in rib.ends:
        x_end = front_x if end.end == "front" else rear_x
        inward = 1 if end.end == "front" else -1
        heights = []
        for sign in (1, -1):
            bend = moved_out(outlines[sign], -back, sign)
            order = np.argsort(bend[:, 0])
            heights.append(float(np.interp(x_end + inward * back, bend[order, 0], bend[order, 1])))
            slope = np.interp(
                x_end + inward * back,
                outlines[sign][1:, 0],
                np.arctan2(*np.diff(outlines[sign], axis=0).T[::-1]),
            )
            corner = math.pi / 2 - inward * sign * float(slope)  # between the two outward normals
            hole = max(0.125, 2 * given.bend_radius_in) / 2
            area -= back**2 * math.tan(corner / 2) + (1 - corner / math.tau) * math.pi * hole**2
        area += developed * (heights[0] - heights[1])
    rivet_off = 0.0
    for sign, side in ((1, rib.upper), (-1, rib.lower)):
        skin = section_points(digits, sign) * given.chord_in
        marks = np.array([mark.flat for mark in side.rivets])
        away = developed - given.flange_width_in / 2 - given.skin_in
        rivet_off = max(rivet_off, float(np.abs(distances(marks, skin) - away).max()))
    return Differences(
        web_off,
        block_off,
        edge_off,
        abs(shoelace(web[:-1]) - notched),
        abs(shoelace(blank[:-1]) - area),
        rivet_off,
        take_up_off,
        _uncovered(rib, blank),
    )


def _notch_area(one: CutOut, outline: Array, given: RibInputs, sign: int) -> float:
    """What a rounded cut-out takes from the web: under the outline, down to its floor, less its corners."""
    middle = one.station * given.chord_in
    xs = np.linspace(middle - one.width_in / 2, middle + one.width_in / 2, 4001)
    ys = np.interp(xs, outline[:, 0], outline[:, 1])
    floor = sign * (sign * ys).min() - sign * one.depth_in
    radius = given.cut_out_radius_in
    return float(np.trapezoid(np.abs(ys - floor), xs)) - 2 * (1 - math.pi / 4) * radius**2


def _uncovered(rib: Rib, blank: Array) -> float:
    """How much of the web, away from its reliefs, lies outside the blank, in square inches, by points."""
    rng = np.random.default_rng(1)
    low, high = np.array(rib.web).min(axis=0), np.array(rib.web).max(axis=0)
    points = rng.uniform(low, high, (1500, 2))
    inside = _within(points, np.array(rib.web)) & ~_within(points, blank)
    clear = inside.copy()
    for relief in rib.reliefs:
        clear &= np.hypot(*(points - relief.centre).T) > 2.5 * rib.inputs.setback_in + relief.diameter_in
    return float(clear.mean() * np.prod(high - low))


def _within(points: Array, ring: Array) -> Array:
    """Which points lie within a closed line, by counting crossings."""
    found = np.zeros(len(points), dtype=bool)
    for (ax, ay), (bx, by) in itertools.pairwise(ring):
        if ay == by:
            continue
        across = (points[:, 1] >= min(ay, by)) & (points[:, 1] < max(ay, by))
        found ^= across & (points[:, 0] < ax + (points[:, 1] - ay) * (bx - ax) / (by - ay))
    return found


def random_ribs(seeds: range) -> Iterator[tuple[int, str, Rib]]:
    """The ribs of those seeds whose inputs make one."""
    for seed in seeds:
        digits, inputs = random_inputs(seed)
        try:
            yield seed, digits, lay_out(naca(digits), inputs)
        except OutOfRange:
            continue


def main(wanted: int) -> None:
    """Print the greatest differences over so many ribs, and whose they are."""
    worst: dict[str, tuple[float, int]] = {}
    made = 0
    last = 0
    for seed, digits, rib in random_ribs(range(1_000_000)):
        for name, value in vars(differences(digits, rib)).items():
            worst[name] = max(worst.get(name, (-1.0, 0)), (value, seed))
        made, last = made + 1, seed
        if made == wanted:
            break
    print(f"{made} ribs of {last + 1} seeds; the others were refused")
    for name, (value, seed) in worst.items():
        print(f"{name:<16}{value:.6f}  seed {seed}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
