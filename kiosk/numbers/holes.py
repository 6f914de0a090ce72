"""Flanged lightening holes: the geometry between the hole and flange sizes that the plans give."""

import math

from kiosk.numbers.materials import sheet_of
from kiosk.numbers.result import Answer, Quantity, calculator, require


def _flange_angle_rad(flange_angle_deg: float) -> float:
    """The angle in radians. Raises OutOfRange outside 1 to 90 degrees."""
    require(1 <= flange_angle_deg <= 90, "the flange angle is outside 1 to 90 degrees", "45 is usual")
    return math.radians(flange_angle_deg)


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
    angle = _flange_angle_rad(flange_angle_deg)
    cut = finished_hole_in - 2 * flange_slant_in * (1 - math.cos(angle))
    require(0 < flange_slant_in < cut / 2, "the flange is too wide for this hole", "give a narrower flange")
    limit = sheet_of(alloy).elongation_percent
    strain = 100 * flange_slant_in * (1 - math.cos(angle)) / (cut / 2)
    more = (
        Quantity(name="die opening at the face", value=cut + 2 * flange_slant_in, unit="in"),
        Quantity(name="flange height", value=flange_slant_in * math.sin(angle), unit="in"),
        Quantity(name="edge stretch", value=strain, unit="%"),
    )
    warnings = (
        (f"Edge stretch is over the {limit:g} % specified elongation of {alloy}.",) if strain > limit else ()
    )
    return Answer(cut, more, warnings)


@calculator(
    subject="holes",
    title="Flanging dies",
    unit="in",
    formula="opening = cut-out + 2 x slant + 2 x sheet; pilot = cut-out - clearance; cone = 180 - 2 x angle",
    source="FAA-H-8083-31 ch. 4 (pilot the hole's size, shoulder the flange's width and angle); derived cone",
    holds="flange angle 1 to 90 degrees",
)
def flanging_dies(
    cut_out_in: float,
    flange_slant_in: float,
    thickness_in: float,
    flange_angle_deg: float = 45.0,
    pilot_clearance_in: float = 0.004,
) -> Answer:
    """Opening of the female die at its face in inches; pilot, cone and chamfer beside it."""
    angle = _flange_angle_rad(flange_angle_deg)
    require(0 < flange_slant_in < cut_out_in / 2, "the flange is too wide for this hole", "check both")
    more = (
        Quantity(name="male pilot", value=cut_out_in - pilot_clearance_in, unit="in"),
        Quantity(name="male cone, included", value=180 - 2 * flange_angle_deg, unit="deg"),
        Quantity(
            name="female chamfer deep", value=flange_slant_in * math.sin(angle) + thickness_in, unit="in"
        ),
        Quantity(name="male shoulder wide", value=flange_slant_in, unit="in"),
    )
    return Answer(cut_out_in + 2 * flange_slant_in + 2 * thickness_in, more)


@calculator(
    subject="holes",
    title="Press force, roughly",
    unit="lbf",
    formula="(work to stretch the edge + work to bend it) / flange height; doubled for friction and peak",
    source="derived: pi t Y s^2 (1 - cos a) + (Y t^2 / 4) a pi D, over s sin a; friction a guess",
    holds="soft and half-hard sheet, 45 degrees or so; an order of magnitude, not a rating",
)
def press_force(
    cut_out_in: float,
    flange_slant_in: float,
    thickness_in: float,
    alloy: str,
    flange_angle_deg: float = 45.0,
) -> Answer:
    """Force in pounds to allow for at the press; the mean without the doubling is given beside it."""
    strength = sheet_of(alloy).yield_psi
    angle = _flange_angle_rad(flange_angle_deg)
    mean = press_force_mean_lbf(cut_out_in, flange_slant_in, thickness_in, strength, angle)
    return Answer(2 * mean, (Quantity(name="mean, no friction", value=mean, unit="lbf"),))


def press_force_mean_lbf(
    cut_out_in: float, slant_in: float, thickness_in: float, yield_psi: float, angle_rad: float
) -> float:
    """Mean force in pounds without friction. Derived work estimate."""
    hoop = math.pi * thickness_in * yield_psi * slant_in**2 * (1 - math.cos(angle_rad))
    die = cut_out_in + 2 * slant_in
    bend = yield_psi * thickness_in**2 / 4 * angle_rad * math.pi * die
    return (hoop + bend) / (slant_in * math.sin(angle_rad))


@calculator(
    subject="holes",
    title="Room between flanged holes",
    unit="in",
    formula="centre distance - die opening; room to the web's edge = centre to edge - half the opening",
    source="derived: plain geometry; the least web left comes from the plans",
    holds="holes of one size in a row",
)
def hole_spacing(
    cut_out_in: float,
    flange_slant_in: float,
    centre_distance_in: float,
    centre_to_edge_in: float,
    least_web_in: float = 0.5,
) -> Answer:
    """Flat web in inches left between two flanges, and between a flange and the edge."""
    opening = cut_out_in + 2 * flange_slant_in
    between = centre_distance_in - opening
    edge = centre_to_edge_in - opening / 2
    warnings = tuple(
        f"{name} is under {least_web_in:g} in: look at the plans."
        for name, room in (("The web between holes", between), ("The web to the edge", edge))
        if room < least_web_in
    )
    return Answer(between, (Quantity(name="to the edge", value=edge, unit="in"),), warnings)
