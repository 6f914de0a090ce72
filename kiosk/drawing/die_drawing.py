"""The full-size drawing of a pair of flanging dies in section, and the female one's face."""

import math

from kiosk.drawing.marks import Circle, Drawing, Line, Mark, Words, cross
from kiosk.numbers.aerofoil import Point
from kiosk.numbers.holes import FlangedHole, FlangingDies

_BODY_IN = 0.75  # how thick each die is drawn
_RING_IN = 0.75  # of die round the opening; a blank that is still flat has room for any
_LETTERS_IN = 0.12


def draw_dies(hole: FlangedHole, dies: FlangingDies, title: str, angle_deg: float = 45.0) -> Drawing:
    """Female die with its chamfer below, male die with pilot and cone above, and the female die's face."""
    opening = dies.opening_in / 2
    angle = math.radians(angle_deg)
    height = dies.male_shoulder_in * math.sin(angle)
    throat = dies.female_bore_in / 2
    outside = opening + _RING_IN
    body = max(_BODY_IN, dies.female_chamfer_in + _BODY_IN / 2)
    pilot = dies.male_pilot_in / 2
    female = (
        (outside, 0.0),
        (opening, 0.0),
        (throat, -dies.female_chamfer_in),
        (throat, -body),
        (outside, -body),
    )
    foot = 0.6  # the section stands so far above the female die
    shoulder = dies.male_shoulder_diameter_in / 2
    male = (
        (pilot, foot - _BODY_IN / 2),
        (pilot, foot),
        (shoulder - dies.male_shoulder_in * math.cos(angle), foot),
        (shoulder, foot + height),
        (outside, foot + height),
        (outside, foot + height + _BODY_IN),
    )
    marks: list[Mark] = []
    for way in (1, -1):
        marks.append(Line("DIES", _turned(female, way), closed=True))
        marks.append(Line("DIES", _turned(male, way)))
    bottom, top = foot - _BODY_IN / 2, foot + height + _BODY_IN
    marks += [
        Line("DIES", ((-pilot, bottom), (pilot, bottom))),
        Line("DIES", ((-outside, top), (outside, top))),
        Line("CENTRE", ((0.0, -body - 0.2), (0.0, top + 0.2))),
    ]
    face = -body - 0.6 - outside
    marks += [
        Circle("DIES", (0.0, face), outside),
        Circle("RIMS", (0.0, face), opening),
        Circle("HOLES", (0.0, face), throat),
        *cross("HOLES", (0.0, face), 0.125),
        Words("NOTES", (outside + 0.2, top - 0.4), _LETTERS_IN, "male die"),
        Words("NOTES", (outside + 0.2, -0.4), _LETTERS_IN, "female die"),
        Words("NOTES", (outside + 0.2, face), _LETTERS_IN, "female die, its face"),
    ]
    return Drawing(
        title,
        tuple(marks),
        (
            f"Cut the hole {hole.cut_out_in:.3f} in before flanging;"
            f" the flange stands {hole.flange_height_in:.3f} high.",
            f"Female die: bore {dies.female_bore_in:.3f} in, then the mouth out to {dies.opening_in:.3f}"
            f" at the face, which makes it {dies.female_chamfer_in:.3f} deep.",
            f"Male die: pilot {dies.male_pilot_in:.3f} in, cone {dies.male_cone_deg:g} degrees included,"
            f" {dies.male_shoulder_diameter_in:.3f} across at its face.",
            "Outside as drawn is for a blank that is flat: flange the holes before the rib is formed.",
            "Break every edge that touches the sheet. The plans decide. This drawing approves nothing.",
        ),
    )


def _turned(points: tuple[Point, ...], way: int) -> tuple[Point, ...]:
    return tuple((way * x, y) for x, y in points)
