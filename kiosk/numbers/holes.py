"""Flanged lightening holes: the geometry between the hole and flange sizes that the plans give."""

import math

from kiosk.numbers.materials import SHEET
from kiosk.numbers.result import Answer, Quantity, calculator, require


@calculator(
    subject="holes",
    title="Cut-out before flanging",
    unit="in",
    formula="finished hole - 2 x slant x (1 - cos angle)",
    source="derived: cone geometry at the sheet's mid-line, bend radius neglected",
    holds="flange angle 1 to 90 degrees, slant shorter than the hole's radius",
)
def flanged_hole(
    finished_hole_in: float, flange_slant_in: float, alloy: str, flange_angle_deg: float = 45.0
) -> Answer:
    """Diameter in inches to cut, so that the flanged hole comes out at the wanted clear diameter."""
    require(1 <= flange_angle_deg <= 90, "the flange angle is outside 1 to 90 degrees", "45 is usual")
    angle = math.radians(flange_angle_deg)
    cut = finished_hole_in - 2 * flange_slant_in * (1 - math.cos(angle))
    require(0 < flange_slant_in < cut / 2, "the flange is too wide for this hole", "give a narrower flange")
    require(alloy in SHEET, f"alloy {alloy!r} is not in the table", f"use one of {', '.join(SHEET)}")
    strain = 100 * flange_slant_in * (1 - math.cos(angle)) / (cut / 2)
    more = (
        Quantity(name="die opening at the face", value=cut + 2 * flange_slant_in, unit="in"),
        Quantity(name="flange height", value=flange_slant_in * math.sin(angle), unit="in"),
        Quantity(name="edge stretch", value=strain, unit="%"),
    )
    limit = SHEET[alloy].elongation_percent
    warnings = (
        (f"Edge stretch is over the {limit:g} % specified elongation of {alloy}.",) if strain > limit else ()
    )
    return Answer(cut, more, warnings)
