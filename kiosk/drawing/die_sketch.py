"""A pair of flanging dies in section with the sheet between them, before the stroke."""

import math

from kiosk.drawing.sketch import InHand, Label, Sketch, Stroke
from kiosk.drawing.step_drawing import step_drawing
from kiosk.numbers.holes import flanging_dies

_RING = 0.3  # of half the opening: how far the dies are drawn beyond it
_BODY = 0.26  # of half the opening: how thick they are drawn
_GAP = 0.14  # of half the opening: between the sheet and the pilot


@step_drawing
def die_stack(
    in_hand: InHand,
    cut_out_in: float,
    flange_slant_in: float,
    thickness_in: float,
    flange_angle_deg: float = 45.0,
) -> Sketch:
    """Male die above, sheet, female die below, each at its own width: the half beside the centre line.

    Half of them is drawn twice as large, so that the slopes show on a small screen too.

    Parameters
    ----------
    in_hand : InHand
        Not shown: the stack looks the same for each hole.
    cut_out_in, flange_slant_in, thickness_in, flange_angle_deg
        The hole and its sheet, as ``flanging_dies`` takes them: inches, and degrees from flat.

    Returns
    -------
    Sketch
        The dies, their bodies as high as suits the eye, widths and slopes to scale: pilot and shoulder are
        the hole's size and the flange's width and angle (FAA-H-8083-31 chapter 4, flanging dies).

    Raises
    ------
    OutOfRange
        As ``flanging_dies``.
    """
    dies = flanging_dies(cut_out_in, flange_slant_in, thickness_in, flange_angle_deg)
    angle = math.radians(flange_angle_deg)
    opening, throat, pilot = dies.opening_in / 2, dies.female_bore_in / 2, dies.male_pilot_in / 2
    shoulder, slope = dies.male_shoulder_diameter_in / 2, dies.male_shoulder_in
    slope_wide, slope_high = slope * math.cos(angle), slope * math.sin(angle)
    outside, body, gap = opening + _RING * opening, opening * _BODY, opening * _GAP
    depth = dies.female_chamfer_in + 0.6 * body
    foot = thickness_in + gap  # of the pilot, over the sheet
    cone = foot + body / 2
    face = cone + slope_high
    top = face + body
    female = (
        (opening, 0.0),
        (throat, -dies.female_chamfer_in),
        (throat, -depth),
        (outside, -depth),
        (outside, 0.0),
        (opening, 0.0),
    )
    male = (
        (0.0, foot),
        (pilot, foot),
        (pilot, cone),
        (shoulder - slope_wide, cone),
        (shoulder, face),
        (outside, face),
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
    centre = Stroke(((0.0, -depth), (0.0, top)), "dotted")
    labels = [
        Label((0.0, top), "PRESS ▼", "above", in_hand=True),
        Label((shoulder / 2, (face + top) / 2), f"MALE  pilot {dies.male_pilot_in:.3f}", "over"),
        Label((shoulder / 2, foot), f"hole {cut_out_in:.3f}", "below"),
        Label((throat / 2, -0.55 * depth), f"bore {dies.female_bore_in:.3f}", "over"),
        Label((0.0, -depth), "centre", "below"),
        Label((throat, -depth), f"FEMALE  opening {dies.opening_in:.3f}", "below"),
        Label((outside, thickness_in / 2), "sheet", "right"),
        Label((outside, face), f"{flange_angle_deg:g}°", "right"),
    ]
    words = (
        "One half, from the centre line. All sizes are diameters.",
        f"Hole in the sheet {cut_out_in:.3f} in, pilot {dies.male_pilot_in:.3f} in.",
        f"Male cone {dies.male_shoulder_diameter_in:.3f} in across at its face.",
        f"Female die: bore {dies.female_bore_in:.3f} in, opening {dies.opening_in:.3f} in at the face.",
        f"The flange stands {flange_slant_in * math.sin(angle):.3f} in high.",
    )
    strokes = (Stroke(female), Stroke(male), Stroke(sheet), centre)
    return Sketch("Dies in section", strokes, (), tuple(labels), words)
