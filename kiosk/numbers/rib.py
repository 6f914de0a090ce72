"""A formed rib from a section: web, form block, blank, flanges, rivets, flutes and holes, in inches.

The outline is the section at the chord, less the skin (``rib_outline``). The flanges are bent inside it:
their outside lies on the outline (``rib_flange``, ``rib_ends``). The form block is smaller by the metal
thickness; the blank is larger by the flanges developed (``rib_blank``). Where a spar or a stringer passes,
the web is cut out (``cut_outs``, ``rib_openings``); a cut-out from an edge parts the flange into pieces, and
each piece has its own rivets and flutes.
"""

import math
from dataclasses import dataclass
from itertools import pairwise

import shapely

from kiosk.numbers.aerofoil import Point, Section
from kiosk.numbers.cut_outs import span_of
from kiosk.numbers.edge_line import EdgeLine
from kiosk.numbers.rib_blank import blank_of, block_of, web_of
from kiosk.numbers.rib_ends import (
    Corner,
    EndFlange,
    Relief,
    SparBevel,
    corner_of,
    end_flange,
    free_end_relief,
    spar_bevels,
)
from kiosk.numbers.rib_flange import FlangeSide, flange_side, nose_relief_in
from kiosk.numbers.rib_inputs import End, RibInputs, check_inputs
from kiosk.numbers.rib_openings import RoundHole, openings_of
from kiosk.numbers.rib_outline import RibOutline, outline_of
from kiosk.numbers.rib_rivets import SHOP_HEAD_DIAMETERS
from kiosk.numbers.rivets import LEAST_EDGE_DIAMETERS, LEAST_PITCH_DIAMETERS
from kiosk.numbers.stray_points import stray_points


@dataclass(frozen=True)
class RibWarning:
    """Something that a rib can be made with, but that is under a published minimum or hard for a hand."""

    argument: str  # the guilty field of RibInputs
    wrong: str
    mend: str


@dataclass(frozen=True)
class Rib:
    """A rib laid out. Outlines are closed: their last point is their first again."""

    section: str
    inputs: RibInputs
    upper: FlangeSide
    lower: FlangeSide
    ends: tuple[EndFlange, ...]
    reliefs: tuple[Relief, ...]
    bevels: tuple[SparBevel, ...]
    web: tuple[Point, ...]
    block: tuple[Point, ...]
    blank: tuple[Point, ...]
    openings: tuple[tuple[Point, ...], ...]  # cut-outs within the web
    cut_out_corners: tuple[Point, ...]  # where the drill goes that leaves their round corners
    lightening_holes: tuple[RoundHole, ...]
    tooling_holes: tuple[RoundHole, ...]
    front_height_in: float  # 0 where the rib goes round the nose
    rear_height_in: float
    warnings: tuple[RibWarning, ...]

    @property
    def blank_length_in(self) -> float:
        """The blank along the chord."""
        xs = [x for x, _ in self.blank]
        return max(xs) - min(xs)

    @property
    def blank_width_in(self) -> float:
        """The blank square to the chord."""
        ys = [y for _, y in self.blank]
        return max(ys) - min(ys)

    @property
    def flat_rivets(self) -> tuple[Point, ...]:
        """The centre of every rivet on the flat blank, those of the end flanges too."""
        rows = (self.upper.rivets, self.lower.rivets, *(end.rivets for end in self.ends))
        return tuple(mark.flat for one in rows for mark in one)


def lay_out(section: Section, inputs: RibInputs) -> Rib:
    """Lay out a rib between two stations, or from the nose to one.

    Raises OutOfRange when the inputs do not make one; its ``argument`` is the guilty field of RibInputs, or
    ``section``.
    """
    check_inputs(inputs)
    outline = outline_of(section, inputs)
    corners = _corners(outline, inputs)
    spans = {
        line.sign: _spans(line, corners[line.sign], outline.has_nose, inputs)
        for line in (outline.upper, outline.lower)
    }
    # What is cut at a distance along a line shares its point with the line.
    upper, lower = (
        line.with_points_at(at for span in spans[line.sign] for at in span)
        for line in (outline.upper, outline.lower)
    )
    outline = RibOutline(upper, lower, outline.has_nose)
    reliefs = [corner.relief for side in corners.values() for corner in side.values()]
    if outline.has_nose:
        reliefs += [
            free_end_relief(line, spans[line.sign][0][0], True, inputs)
            for line in (upper, lower)
            if spans[line.sign][0][0] > 0
        ]
    openings = openings_of(outline, [relief.surface for relief in reliefs], inputs)
    sides = (
        flange_side("upper", upper, spans[1.0], inputs),
        flange_side("lower", lower, spans[-1.0], inputs),
    )
    ends = tuple(
        end_flange(end, x_in, corners[-1.0][end], corners[1.0][end], inputs)
        for end, x_in in _flanged_ends(outline, inputs)
    )
    blank = blank_of(outline, sides, ends, reliefs, openings)
    return Rib(
        section=section.name,
        inputs=inputs,
        upper=sides[0],
        lower=sides[1],
        ends=ends,
        reliefs=tuple(reliefs),
        bevels=spar_bevels(outline),
        web=web_of(outline, openings),
        block=block_of(outline, inputs),
        blank=blank,
        openings=tuple(tuple(one.exterior.coords) for one in openings.within),
        cut_out_corners=openings.corners,
        lightening_holes=openings.lightening_holes,
        tooling_holes=openings.tooling_holes,
        front_height_in=0.0 if outline.has_nose else upper.points[0][1] - lower.points[0][1],
        rear_height_in=upper.points[-1][1] - lower.points[-1][1],
        warnings=(*_off_the_curve(section, inputs), *_warnings(blank, sides, ends, inputs)),
    )


def _flanged_ends(outline: RibOutline, inputs: RibInputs) -> list[tuple[End, float]]:
    found: list[tuple[End, float]] = []
    if inputs.front_flange != "none":
        found.append(("front", outline.front_x))
    if inputs.rear_flange != "none":
        found.append(("rear", outline.rear_x))
    return found


def _corners(outline: RibOutline, inputs: RibInputs) -> dict[float, dict[End, Corner]]:
    """The corner of each long flange (by its sign) with each end flange."""
    return {
        line.sign: {end: corner_of(line, end, x_in, inputs) for end, x_in in _flanged_ends(outline, inputs)}
        for line in (outline.upper, outline.lower)
    }


def _spans(
    line: EdgeLine, corners: dict[End, Corner], has_nose: bool, inputs: RibInputs
) -> list[tuple[float, float]]:
    """From where to where a long flange goes, along its outline: between its ends and the cut-outs."""
    first = corners["front"].along_in if "front" in corners else 0.0
    if has_nose:
        first = nose_relief_in(line, inputs)
    last = corners["rear"].along_in if "rear" in corners else line.length_in
    edge = "top" if line.sign > 0 else "bottom"
    spans = []
    for one in sorted((one for one in inputs.cut_outs if one.edge == edge), key=lambda one: one.station):
        front, rear = span_of(one, line, inputs.chord_in)
        spans.append((first, line.distance_at_x(front)))
        first = line.distance_at_x(rear)
    return [*spans, (first, last)]


def _off_the_curve(section: Section, inputs: RibInputs) -> list[RibWarning]:
    return [
        RibWarning(
            "section",
            f"the point {one.at[0]:g} {one.at[1]:g} of {section.name} stands"
            f" {one.off * inputs.chord_in:.3f} in off the curve of its neighbours",
            "look at that line of its coordinates: the rib is cut through every one",
        )
        for one in stray_points(section)
    ]


def _warnings(
    blank: tuple[Point, ...], sides: tuple[FlangeSide, ...], ends: tuple[EndFlange, ...], inputs: RibInputs
) -> tuple[RibWarning, ...]:
    found = []
    least = LEAST_EDGE_DIAMETERS * inputs.rivet_diameter_in
    edge = inputs.rivet_line_in
    if edge < least - 1e-9:
        found.append(
            RibWarning(
                "flange_width_in" if inputs.rivet_edge_in is None else "rivet_edge_in",
                f"the rivet line is {edge:.3f} in from the flange's edge, under {least:.3f} (2 diameters, "
                "AC 43.13-1B 4-57)",
                "ask the designer, or make the flange wider",
            )
        )
    head = SHOP_HEAD_DIAMETERS * inputs.rivet_diameter_in / 2
    flat = inputs.flange_width_in - edge - inputs.setback_in
    if flat < head - 1e-9:
        found.append(
            RibWarning(
                "flange_width_in" if inputs.rivet_edge_in is None else "rivet_edge_in",
                f"a driven head needs {head:.3f} in of flat beside the rivet line, and has {flat:.3f}",
                "move the line to the edge, or make the flange wider",
            )
        )
    for end in ends:
        to_edge = inputs.end_rivet_line_in(end.end)
        beside = end.width_in - to_edge - inputs.setback_in
        said = (end.width_in, to_edge) == (inputs.flange_width_in, edge)  # of the long flanges, above
        if end.rivets and not said and beside < head - 1e-9:
            found.append(
                RibWarning(
                    f"{end.end}_flange_width_in",
                    f"a driven head of the {end.end} flange needs {head:.3f} in of flat beside its line, "
                    f"and has {beside:.3f}",
                    "make the flange wider, or ask the designer",
                )
            )
        if end.rivets and to_edge < least - 1e-9:
            found.append(
                RibWarning(
                    f"{end.end}_flange_width_in",
                    f"the {end.end} flange's rivets are {to_edge:.3f} in from its edge, under {least:.3f} "
                    "(2 diameters, AC 43.13-1B 4-57)",
                    "ask the designer, or make the flange wider",
                )
            )
    for name, at_in, argument in (
        *((side.name, side.rivets_in, "rivet_pitch_in") for side in sides),
        *((end.end, tuple(mark.at_in for mark in end.rivets), f"{end.end}_rivets") for end in ends),
    ):
        apart = min((b - a for a, b in pairwise(at_in)), default=math.inf)
        if apart < LEAST_PITCH_DIAMETERS * inputs.rivet_diameter_in - 1e-9:
            found.append(
                RibWarning(
                    argument,
                    f"rivets of the {name} flange are {apart:.3f} in apart, under 3 diameters "
                    "(US Navy structural-mechanic manual)",
                    "ask the designer, or write fewer",
                )
            )
    rim = shapely.LinearRing(blank)
    rows = [(side.name, side.rivets, "rivet_end_in") for side in sides]
    rows += [(end.end, end.rivets, f"{end.end}_rivets") for end in ends]
    allowed = min(least, edge, *(end.width_in / 2 for end in ends))  # what is said already is not said again
    for name, rivets, argument in rows:
        closest = min((rim.distance(shapely.Point(mark.flat)) for mark in rivets), default=least)
        if closest < allowed - 1e-3:
            found.append(
                RibWarning(
                    argument,
                    f"a rivet of the {name} flange is {closest:.3f} in from a cut edge, under {least:.3f} "
                    "(2 diameters, AC 43.13-1B 4-57)",
                    "write a longer rivet_end, or move the cut-out",
                )
            )
    return tuple(found)
