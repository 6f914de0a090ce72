"""A bend in section, as the sheet lies in the brake: nose, leg under it, tangent and sight line, angle."""

import math
from collections.abc import Sequence

from kiosk.drawing.leg_names import LegsCalled, bend_names, leg_names, the
from kiosk.drawing.sketch import CUT_SHORT, InHand, Label, Sketch, Stroke, Symbol, arc
from kiosk.drawing.step_drawing import step_drawing
from kiosk.numbers.aerofoil import Point
from kiosk.numbers.bends import FlatLayout, flat_layout
from kiosk.numbers.result import require

_SHOWN = 4.0  # of the outside radius: what is seen of a longer leg, so that the bend itself can be seen
_STUB = 2.0  # of a leg that was bent before
_ARC_STEPS = 24


@step_drawing
def bend(
    in_hand: InHand,
    legs_in: tuple[float, ...],
    bend_angles_deg: tuple[float, ...],
    thickness_in: float,
    inside_radius_in: float,
    neutral_factor: float | None = None,
    bend: int = 1,
    leg_under_nose: int = 1,
    legs_called: LegsCalled = "by number",
) -> Sketch:
    """One bend of a section, its sheet clamped under the nose of the radius bar.

    Parameters
    ----------
    in_hand : InHand
        Not shown: a bend looks the same on each piece.
    legs_in, bend_angles_deg, thickness_in, inside_radius_in, neutral_factor
        The section, as ``flat_width`` takes it: legs in inches outside, degrees from flat.
    bend : int, default 1
        Which bend, from 1; the bends before it are made.
    leg_under_nose : int, default 1
        Which leg is clamped, from 1: the one before the bend or the one after it.
    legs_called : {"by number", "channel", "angle"}
        What the legs go by: a channel's from its upper edge on, an angle's by their length.

    Returns
    -------
    Sketch
        The tangent line of the clamped leg at 0, and the sight line one inside radius into the bend from it,
        straight below the nose's edge (FAA-H-8083-31 chapter 4, sight line).

    Raises
    ------
    OutOfRange
        When the section cannot be laid out, or has no such bend or leg beside it.
    """
    layout = flat_layout(legs_in, bend_angles_deg, thickness_in, inside_radius_in, neutral_factor)
    require(
        1 <= bend <= len(bend_angles_deg), "bend", f"there is no bend {bend}", "give 1 or the next of them"
    )
    require(
        leg_under_nose in (bend, bend + 1),
        "leg_under_nose",
        f"leg {leg_under_nose} is not beside bend {bend}",
        f"give {bend} or {bend + 1}",
    )
    other = 2 * bend + 1 - leg_under_nose
    names, bends = leg_names(legs_in, legs_called), bend_names(legs_in, legs_called)
    clamped_name, other_name = names[leg_under_nose - 1], names[other - 1]
    angle = bend_angles_deg[bend - 1]
    outer = inside_radius_in + thickness_in
    clamped = min(layout.flats_in[leg_under_nose - 1], _SHOWN * outer)
    swung = min(layout.flats_in[other - 1], _SHOWN * outer)
    strokes: list[Stroke] = []
    symbols: list[Symbol] = []
    for leg, way, turned, shown in ((leg_under_nose, -1.0, 0.0, clamped), (other, 1.0, angle, swung)):
        path = [(inside_radius_in, turned, shown)]
        if leg == bend > 1:  # the legs before it are bent already
            stub = min(layout.flats_in[bend - 2], _STUB * outer)
            path.append((inside_radius_in, bend_angles_deg[bend - 2], stub))
        inner, outside, ends = _sheet(path, way, thickness_in)
        strokes += [Stroke(inner), Stroke(outside)]
        if layout.flats_in[leg - 1] > shown + 1e-9:
            symbols.append(Symbol(ends[0], CUT_SHORT, 1))
    strokes += _bar(inside_radius_in, thickness_in, clamped)
    flat_end = inside_radius_in + 0.8 * _SHOWN * outer
    strokes += [Stroke(((0.0, y), (flat_end, y)), "dashed") for y in (0.0, thickness_in)]
    sight, tangent, edge = _lines(layout, bend, leg_under_nose, len(legs_in))
    deep = 0.8 * outer
    strokes += [
        Stroke(((0.0, thickness_in), (0.0, -deep)), "dotted"),
        Stroke(((inside_radius_in, outer), (inside_radius_in, -2 * deep)), "dotted"),
    ]
    swing = arc((inside_radius_in, thickness_in), 2.4 * outer, 0.0, angle)
    strokes.append(Stroke(swing, "dotted"))
    labels = [
        Label((inside_radius_in, -2 * deep), f"SIGHT LINE {sight:.3f}", "below", in_hand=True),
        Label((0.0, -deep), f"tangent {tangent:.3f}", "left"),
        Label((-clamped / 2, outer + 1.2 * outer), "NOSE", "over"),
        Label((-clamped / 2, 0.0), f"{clamped_name} under nose", "below"),
        Label(swing[len(swing) // 2], f"{round(angle, 1):g}°", "right"),
        Label(_end_of(angle, swung, inside_radius_in, thickness_in), other_name, "right"),
    ]
    words = [
        f"{clamped_name.capitalize()}, {legs_in[leg_under_nose - 1]:.3f} in outside, lies under the nose.",
        f"Sight line {sight:.3f} in from the edge of {the(names[edge - 1])}, straight below the nose.",
        f"{other_name.capitalize()}, {legs_in[other - 1]:.3f} in outside, goes up {round(angle, 1):g} degrees"
        " from flat.",
        f"Dashed: the sheet before the bend. {CUT_SHORT} drawn short.",
    ]
    return Sketch(
        f"{bends[bend - 1].capitalize()} in section",
        tuple(strokes),
        tuple(symbols),
        tuple(labels),
        tuple(words),
    )


def _lines(layout: FlatLayout, bend: int, leg: int, legs: int) -> tuple[float, float, int]:
    """Sight and tangent line of the leg under the nose, in inches from an edge, and which leg's edge it is.

    From the edge of the leg itself where it is the last, else from that of leg 1, as all lines are marked.
    """
    if leg == bend:
        return layout.sight_lines_in[bend - 1], layout.tangent_lines_in[bend - 1], 1
    sight, tangent = layout.far_sight_lines_in[bend - 1], layout.far_tangent_lines_in[bend - 1]
    if leg == legs:
        return layout.width_in - sight, layout.width_in - tangent, legs
    return sight, tangent, 1


def _sheet(
    path: Sequence[tuple[float, float, float]], way: float, thickness_in: float
) -> tuple[tuple[Point, ...], tuple[Point, ...], list[Point]]:
    """Both faces of the sheet from the tangent line on, and the middle of the sheet where each flat ends.

    ``path`` is inside radius, degrees bent and the flat after them, in order; ``way`` 1 begins to the right
    and -1 to the left. All bends go up.
    """
    x, y, heading = 0.0, thickness_in / 2, 0.0 if way > 0 else 180.0
    faces: tuple[list[Point], list[Point]] = ([], [])
    ends: list[Point] = []

    def put() -> None:
        up = math.radians(heading + 90 * way)
        for face, side in zip(faces, (1, -1), strict=True):
            away = side * thickness_in / 2
            face.append((x + away * math.cos(up), y + away * math.sin(up)))

    put()
    for radius, angle, flat in path:
        step = math.radians(angle) / _ARC_STEPS
        for _ in range(_ARC_STEPS if angle else 0):
            heading += way * math.degrees(step) / 2
            chord = 2 * (radius + thickness_in / 2) * math.sin(step / 2)
            x += chord * math.cos(math.radians(heading))
            y += chord * math.sin(math.radians(heading))
            heading += way * math.degrees(step) / 2
            put()
        x += flat * math.cos(math.radians(heading))
        y += flat * math.sin(math.radians(heading))
        put()
        ends.append((x, y))
    return tuple(faces[0]), tuple(faces[1]), ends


def _end_of(angle_deg: float, flat_in: float, radius_in: float, thickness_in: float) -> Point:
    """The outside of the leg that is bent up, near its end."""
    angle = math.radians(angle_deg)
    outer = radius_in + thickness_in
    x, y = outer * math.sin(angle), outer - outer * math.cos(angle)
    return x + 0.8 * flat_in * math.cos(angle), y + 0.8 * flat_in * math.sin(angle)


def _bar(radius_in: float, thickness_in: float, clamped_in: float) -> list[Stroke]:
    """The radius bar on the clamped leg, its nose rounded to the inside radius and sloping back above."""
    outer = radius_in + thickness_in
    bottom, nose = thickness_in, (0.0, thickness_in + radius_in)
    back, high = 0.9 * clamped_in, 2.2 * outer
    front = arc(nose, radius_in, -90.0, 0.0)
    top = (max(-back, radius_in - high), thickness_in + radius_in + high)
    return [Stroke(((-back, bottom), *front, top, (-back, top[1]), (-back, bottom)))]
