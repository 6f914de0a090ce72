"""A pair of flanging dies in section with the sheet between them, before the stroke."""

import math

from kiosk.drawing.sketch import InHand, Label, Sketch, Stroke
from kiosk.drawing.step_drawing import step_drawing
from kiosk.numbers.aerofoil import Point
from kiosk.numbers.holes import flanging_dies

_RING = 0.28  # of the opening: how far the dies are drawn beyond it
_BODY = 0.3  # of the opening: how thick they are drawn
_GAP = 0.14  # of the opening: between the sheet and the pilot


@step_drawing
def die_stack(
    in_hand: InHand,
    cut_out_in: float,
    flange_slant_in: float,
    thickness_in: float,
    flange_angle_deg: float = 45.0,
) -> Sketch:
    """Male die above, sheet, female die below, each at its own width.

    Parameters
    ----------
    in_hand : InHand
        Not shown: the stack looks the same for each hole.
    cut_out_in, flange_slant_in, thickness_in, flange_angle_deg
        The hole and its sheet, as ``flanging_dies`` takes them: inches, and degrees from flat.

    Returns
    -------
    Sketch
        The dies, their heights as suits the eye and their widths to scale: pilot and shoulder are the hole's
        size and the flange's width and angle (FAA-H-8083-31 chapter 4, flanging dies).

    Raises
    ------
    OutOfRange
        As ``flanging_dies``.
    """
    dies = flanging_dies(cut_out_in, flange_slant_in, thickness_in, flange_angle_deg)
    angle = math.radians(flange_angle_deg)
    opening = dies.opening_in / 2
    slope_high, slope_wide = flange_slant_in * math.sin(angle), flange_slant_in * math.cos(angle)
    outside, body, gap = opening * (1 + 2 * _RING), 2 * opening * _BODY, 2 * opening * _GAP
    throat = opening - slope_wide
    depth = max(body, slope_high + 0.3 * body)
    pilot = dies.male_pilot_in / 2
    foot = thickness_in + gap  # of the pilot, over the sheet
    face = foot + body / 2
    female = (
        (opening, 0.0),
        (throat, -slope_high),
        (throat, -depth),
        (outside, -depth),
        (outside, 0.0),
        (opening, 0.0),
    )
    top = face + slope_high + body
    male = (
        (0.0, foot),
        (pilot, foot),
        (pilot, face),
        (pilot + slope_wide, face + slope_high),
        (outside, face + slope_high),
        (outside, top),
        (0.0, top),
    )
    sheet = (
        (cut_out_in / 2, 0.0),
        (outside, 0.0),
        (outside, thickness_in),
        (cut_out_in / 2, thickness_in),
        (cut_out_in / 2, 0.0),
    )
    strokes = [Stroke(_turned(line, way)) for way in (1, -1) for line in (female, male, sheet)]
    bore = 2 * (opening - slope_wide)
    labels = [
        Label((0.0, top), "PRESS ▼", "above", in_hand=True),
        Label((0.0, (face + slope_high + top) / 2), f"MALE  pilot {dies.male_pilot_in:.3f}", "over"),
        Label((0.0, 0.0), f"hole {cut_out_in:.3f}", "over"),
        Label((0.0, -0.55 * depth), f"opening {dies.opening_in:.3f}", "over"),
        Label((0.0, -depth), "FEMALE", "below"),
        Label((outside, thickness_in / 2), "sheet", "right"),
        Label((outside, face + slope_high), f"{flange_angle_deg:g}°", "right"),
    ]
    words = (
        f"Hole in the sheet {cut_out_in:.3f} in, pilot {dies.male_pilot_in:.3f} in.",
        f"Female die: opening {dies.opening_in:.3f} in at the face, {bore:.3f} in below the slope.",
        f"The flange stands {slope_high:.3f} in high.",
    )
    return Sketch("Dies in section", tuple(strokes), (), tuple(labels), words)


def _turned(points: tuple[Point, ...], way: int) -> tuple[Point, ...]:
    return tuple((way * x, y) for x, y in points)
