"""Curved flanges: how much a shrunk edge must lose, how many flutes take it up, how far an edge stretches.

No published numeric rule for flutes was found. The geometry here is derived and says so.
"""

import math

from kiosk.numbers.materials import sheet_of
from kiosk.numbers.result import Answer, Quantity, calculator, require


def flute_uptake_in(chord_in: float, depth_in: float) -> float:
    """Edge length in inches that one flute takes up, as a circular arc of this chord and depth.

    2 r asin(c / 2 r) - c with r = (c^2/4 + h^2) / (2 h). Derived: plain geometry.
    """
    radius = (chord_in**2 / 4 + depth_in**2) / (2 * depth_in)
    return 2 * radius * math.asin(min(1.0, chord_in / (2 * radius))) - chord_in


@calculator(
    subject="flanges",
    title="Flutes to take up the edge",
    unit="flutes",
    formula="excess = flange width x turning angle in radians; flutes = excess / edge taken up by one arc",
    source="derived: plain geometry; no published rule for flutes was found",
    holds="outward-curved (shrunk) flange; depth no more than half the flute's width; an upper bound",
)
def flutes(
    flange_width_in: float,
    turning_angle_deg: float,
    flute_width_in: float = 0.5,
    flute_depth_in: float = 0.09375,
) -> Answer:
    """How many flutes bring an outward-curved flange flat. The metal takes some shrink without them."""
    require(flange_width_in > 0, "the flange has no width", "give the flange width")
    require(
        0 <= turning_angle_deg <= 360, "the turning angle is outside 0 to 360 degrees", "add up the bends"
    )
    require(
        0 < flute_depth_in <= flute_width_in / 2,
        "the flute is deeper than half its width",
        "give a wider or shallower flute",
    )
    excess = flange_width_in * math.radians(turning_angle_deg)
    each = flute_uptake_in(flute_width_in, flute_depth_in)
    count = math.ceil(excess / each - 1e-9)
    more = [
        Quantity(name="edge to lose", value=excess, unit="in"),
        Quantity(name="each flute takes", value=each, unit="in"),
    ]
    warnings: tuple[str, ...] = ()
    if turning_angle_deg > 120:
        warnings = ("A nose this round is usually cut into tabs: follow the plans.",)
    return Answer(count, tuple(more), warnings)


@calculator(
    subject="flanges",
    title="Edge stretch",
    unit="%",
    formula="flange width / (radius of the bend line - flange width)",
    source="derived: plain geometry; limit from the specified elongation of the alloy",
    holds="inward-curved (stretched) flange narrower than its radius; file the edge smooth first",
)
def edge_stretch(flange_width_in: float, bend_line_radius_in: float, alloy: str) -> Answer:
    """How far the free edge of an inward-curved flange must stretch, in percent."""
    require(
        0 < flange_width_in < bend_line_radius_in,
        "the flange is wider than its curve's radius",
        "check both sizes",
    )
    limit = sheet_of(alloy).elongation_percent
    stretch = 100 * flange_width_in / (bend_line_radius_in - flange_width_in)
    warnings = (
        (f"Over the {limit:g} % specified elongation of {alloy}: expect cracks.",) if stretch > limit else ()
    )
    return Answer(stretch, (Quantity(name="specified elongation", value=float(limit), unit="%"),), warnings)
