"""The full-size drawing of a pair of flanging dies in section, and the female one's face."""

import math

from kiosk.drawing.marks import Circle, Drawing, Line, Mark, Words, cross
from kiosk.numbers.aerofoil import Point
from kiosk.numbers.holes import FlangedHole, FlangingDies

_BODY_IN = 0.75  # how thick each die is drawn
_RING_IN = 0.75  # of die round the opening
_LETTERS_IN = 0.12


def draw_dies(
    hole: FlangedHole, dies: FlangingDies, slant_in: float, title: str, angle_deg: float = 45.0
) -> Drawing:
    """Female die with its chamfer below, male die with pilot and cone above, and the female die's face."""
    opening = hole.die_opening_in / 2
    angle = math.radians(angle_deg)
    height = slant_in * math.sin(angle)
    throat = opening - dies.female_chamfer_in / math.tan(angle)
    outside = opening + _RING_IN
    pilot = dies.male_pilot_in / 2
    female = (
        (outside, 0.0),
        (opening, 0.0),
        (throat, -dies.female_chamfer_in),
        (throat, -_BODY_IN),
        (outside, -_BODY_IN),
    )
    foot = 0.6  # the section stands so far above the female die
    shoulder = pilot + slant_in * math.cos(angle)
    male = (
        (pilot, foot - _BODY_IN / 2),
        (pilot, foot),
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
        Line("CENTRE", ((0.0, -_BODY_IN - 0.2), (0.0, top + 0.2))),
    ]
    face = -_BODY_IN - 0.6 - outside
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
            f"Female die: opening {hole.die_opening_in:.3f} in at the face,"
            f" chamfer {dies.female_chamfer_in:.3f} deep.",
            f"Male die: pilot {dies.male_pilot_in:.3f} in, cone {dies.male_cone_deg:g} degrees included,"
            f" shoulder {dies.male_shoulder_in:.3f} along its slope.",
            "Break every edge that touches the sheet. The plans decide. This drawing approves nothing.",
        ),
    )


def _turned(points: tuple[Point, ...], way: int) -> tuple[Point, ...]:
    return tuple((way * x, y) for x, y in points)
