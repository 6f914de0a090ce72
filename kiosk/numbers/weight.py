"""Weight of sheet parts, and primer for their area."""

import math

from kiosk.numbers.materials import sheet_of
from kiosk.numbers.result import Answer, Quantity, calculator, require

CUBIC_INCHES_PER_LITRE = 61.0237  # 1000 cm3 / 2.54^3
SQUARE_INCHES_PER_SQUARE_FOOT = 144.0


@calculator(
    subject="weight",
    title="Weight",
    unit="lb",
    formula="area x thickness x density x how many",
    source="density of the alloy, standard tables (from memory, high)",
    holds="sheet parts; the flat area, holes taken out",
)
def sheet_weight(area_in2: float, thickness_in: float, alloy: str, count: int = 1) -> Answer:
    """Weight in pounds of a lot of flat parts."""
    sheet = sheet_of(alloy)
    require(area_in2 > 0 and 0 < thickness_in <= 0.26 and count >= 1, "a size is nothing", "check the inputs")
    each = area_in2 * thickness_in * sheet.density_lb_per_in3
    a_foot = SQUARE_INCHES_PER_SQUARE_FOOT * thickness_in * sheet.density_lb_per_in3
    more = (
        Quantity(name="each", value=each, unit="lb"),
        Quantity(name="a square foot", value=a_foot, unit="lb"),
    )
    return Answer(each * count, more)


@calculator(
    subject="weight",
    title="Primer to mix",
    unit="ml",
    formula="area x dry film / volume solids, and what the gun loses",
    source="plain volume; film .0006 to .0009 in is typical (TO 1-1-8 Table 5-2); solids from the data sheet",
    holds="one coat; the data sheet wins",
)
def primer_needed(
    area_ft2: float,
    dry_film_in: float = 0.00075,
    solids_percent: float = 40.0,
    loss_percent: float = 40.0,
    base_parts: float = 1.0,
    hardener_parts: float = 1.0,
    pot_life_minutes: float = 240.0,
) -> Answer:
    """Mixed primer in millilitres, split by the mixing ratio. Both sides of a part count in the area."""
    require(area_ft2 > 0 and 0 < dry_film_in < 0.02, "area or film is out of range", "check both")
    require(0 < solids_percent <= 100 and 0 <= loss_percent < 100, "a percentage is out of range", "0 to 100")
    require(base_parts > 0 and hardener_parts > 0, "the ratio has a nothing in it", "give both parts")
    solid_in3 = area_ft2 * SQUARE_INCHES_PER_SQUARE_FOOT * dry_film_in
    mixed_ml = solid_in3 / (solids_percent / 100) / (1 - loss_percent / 100) / CUBIC_INCHES_PER_LITRE * 1000
    whole = base_parts + hardener_parts
    more = (
        Quantity(name="base", value=mixed_ml * base_parts / whole, unit="ml"),
        Quantity(name="hardener", value=mixed_ml * hardener_parts / whole, unit="ml"),
        Quantity(name="use within", value=pot_life_minutes, unit="min"),
    )
    warnings = ("Over 4 h from mixing is beyond the typical limit.",) if pot_life_minutes > 240 else ()
    return Answer(mixed_ml, more, warnings)


@calculator(
    subject="weight",
    title="Dew point",
    unit="F",
    formula="Magnus: g = ln(RH/100) + 17.62 T / (243.12 + T); Td = 243.12 g / (17.62 - g), in C",
    source="Magnus formula (from memory, high); surface 5 F above it, general coating practice",
    holds="32 to 120 F, 1 to 100 % humidity",
)
def dew_point(temperature_f: float, humidity_percent: float) -> Answer:
    """Dew point in Fahrenheit; the surface should be at least 5 F warmer."""
    require(32 <= temperature_f <= 120, "the temperature is outside 32 to 120 F", "give degrees F")
    require(1 <= humidity_percent <= 100, "the humidity is outside 1 to 100 %", "give percent")
    celsius = (temperature_f - 32) / 1.8
    g = math.log(humidity_percent / 100) + 17.62 * celsius / (243.12 + celsius)
    dew_f = 243.12 * g / (17.62 - g) * 1.8 + 32
    return Answer(dew_f, (Quantity(name="surface at least", value=dew_f + 5, unit="F"),))
