"""Solid rivets: length, shop head and drill."""

import math
from fractions import Fraction

from kiosk.numbers.drills import NUMBER_DRILL_IN
from kiosk.numbers.result import Answer, Quantity, calculator, require

# Rivet diameter in 32nds -> number drill. Drill decimals from memory (high), standard series.
RIVET_DRILL = {3: 40, 4: 30, 5: 21, 6: 11}


@calculator(
    subject="rivets",
    title="Rivet length",
    unit="in",
    formula="grip + 1.5 x diameter, rounded up to the next 1/16",
    source="naval structural-mechanic manual (1-1/2 D + G = L); next standard length greater than the sum",
    holds="protruding heads, diameters 3/32 to 3/16",
)
def rivet_length(grip_in: float, diameter_in: float) -> Answer:
    """Length in inches of a solid rivet for a grip, in steps of 1/16."""
    size = round(diameter_in * 32)
    require(
        size in RIVET_DRILL and abs(diameter_in * 32 - size) < 0.05,
        f"no rivet of {diameter_in} in here",
        "use 3/32, 1/8, 5/32 or 3/16",
    )
    require(0 < grip_in <= 1.0, f"grip {grip_in} in is outside 0 to 1 in", "add up the sheets under the head")
    wanted = grip_in + 1.5 * diameter_in
    sixteenths = math.ceil(wanted * 16 - 1e-9)
    drill = RIVET_DRILL[size]
    more = (
        Quantity(name="exact sum", value=wanted, unit="in"),
        Quantity(name="dash length", value=sixteenths),
        Quantity(name="drill", value=f"#{drill} ({NUMBER_DRILL_IN[drill]:.4f} in)"),
        Quantity(name="shop head wide", value=1.5 * diameter_in, unit="in"),
        Quantity(name="shop head high", value=0.5 * diameter_in, unit="in"),
    )
    short = wanted - (sixteenths - 1) / 16
    warnings = (
        (f"{Fraction(sixteenths - 1, 16)} in is only {short:.4f} in short: try both on scrap.",)
        if 0 < short < 0.005
        else ()
    )
    return Answer(sixteenths / 16, more, warnings)
