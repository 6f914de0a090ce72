"""Weight of sheet parts, and primer for their area."""

import math
from dataclasses import dataclass

from kiosk.numbers.materials import sheet_of
from kiosk.numbers.result import Result, calculator, figure, require

__all__ = [
    "CentreOfGravity",
    "DewPoint",
    "PrimerNeeded",
    "SheetWeight",
    "TankVolume",
    "centre_of_gravity",
    "dew_point",
    "primer_needed",
    "sheet_weight",
    "tank_volume",
]

CUBIC_INCHES_PER_LITRE = 61.0237  # 1000 cm3 / 2.54^3
SQUARE_INCHES_PER_SQUARE_FOOT = 144.0


@dataclass(frozen=True, kw_only=True)
class SheetWeight(Result):
    """Weight of a lot, of one part, and of a square foot of the sheet."""

    weight_lb: float
    each_lb: float
    square_foot_lb: float = figure("a square foot")


@calculator(
    subject="weight",
    title="Weight",
    formula="area x thickness x density x how many",
    source="density of the alloy, standard tables (from memory)",
    holds="sheet parts; the flat area, holes taken out",
)
def sheet_weight(area_in2: float, thickness_in: float, alloy: str, count: int = 1) -> SheetWeight:
    """Weight of a lot of flat parts.

    Parameters
    ----------
    area_in2 : float
        Flat area of one part in square inches, holes taken out, above 0.
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.26.
    alloy : str
        Alloy and temper, such as ``2024-T3``; gives the density.
    count : int, default 1
        How many parts, 1 or more.

    Returns
    -------
    SheetWeight
        ``weight_lb`` of all of them in pounds, ``each_lb`` of one, ``square_foot_lb`` of the sheet [1]_.

    Raises
    ------
    OutOfRange
        When an input is outside its range or the alloy is unknown.

    References
    ----------
    .. [1] Density of the alloy, standard tables (from memory).

    Examples
    --------
    A whole sheet of .032 6061-T6, 4 by 12 feet:

    >>> round(sheet_weight(48 * 144, 0.032, "6061-T6").weight_lb, 2)
    21.68
    """
    sheet = sheet_of(alloy)
    require(area_in2 > 0, "area_in2", "the area is nothing", "check the inputs")
    require(
        0 < thickness_in <= 0.26,
        "thickness_in",
        f"thickness {thickness_in} in is outside 0 to 0.26 in",
        "check the inputs",
    )
    require(count >= 1, "count", "the count is nothing", "check the inputs")
    each = area_in2 * thickness_in * sheet.density_lb_per_in3
    return SheetWeight(
        weight_lb=each * count,
        each_lb=each,
        square_foot_lb=SQUARE_INCHES_PER_SQUARE_FOOT * thickness_in * sheet.density_lb_per_in3,
    )


@dataclass(frozen=True, kw_only=True)
class PrimerNeeded(Result):
    """Mixed primer, what it is mixed from, and how long it can be used."""

    mixed_ml: float
    base_ml: float
    hardener_ml: float
    use_within_minutes: float


@calculator(
    subject="weight",
    title="Primer to mix",
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
) -> PrimerNeeded:
    """Primer to mix for an area, split by the mixing ratio.

    Parameters
    ----------
    area_ft2 : float
        Area to coat in square feet, above 0. Both sides of a part count.
    dry_film_in : float, default 0.00075
        Thickness of the dry film in inches, above 0 to below 0.02.
    solids_percent : float, default 40
        Solids of the mixed primer in percent of its volume, 1 to 100.
    loss_percent : float, default 40
        What the gun loses in percent, 0 to below 100.
    base_parts : float, default 1
        Parts of base by volume, above 0.
    hardener_parts : float, default 1
        Parts of hardener by volume, 0 or more; 0 for a product that is ready to use.
    pot_life_minutes : float, default 240
        Pot life in minutes, from the data sheet, above 0.

    Returns
    -------
    PrimerNeeded
        ``mixed_ml`` in millilitres for one coat [1]_, of which ``base_ml`` and ``hardener_ml``;
        ``use_within_minutes`` of mixing. A pot life over 4 hours is warned of.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    References
    ----------
    .. [1] Plain volume: the dry film over the share of solids, and what the gun loses. A film of .0006 to
       .0009 in is typical: TO 1-1-8, Table 5-2.
    """
    require(area_ft2 > 0, "area_ft2", "the area is out of range", "check the area")
    require(0 < dry_film_in < 0.02, "dry_film_in", "the film is out of range", "check the dry film")
    require(
        1 <= solids_percent <= 100, "solids_percent", "the solids are out of range", "give 1 to 100 percent"
    )
    require(
        0 <= loss_percent < 100, "loss_percent", "the loss is out of range", "give 0 to below 100 percent"
    )
    require(base_parts > 0, "base_parts", "the ratio has a nothing in it", "give both parts")
    require(hardener_parts >= 0, "hardener_parts", "the hardener is less than nothing", "give 0 or more")
    require(pot_life_minutes > 0, "pot_life_minutes", "the pot life is out of range", "see the data sheet")
    solid_in3 = area_ft2 * SQUARE_INCHES_PER_SQUARE_FOOT * dry_film_in
    mixed_ml = solid_in3 / (solids_percent / 100) / (1 - loss_percent / 100) / CUBIC_INCHES_PER_LITRE * 1000
    whole = base_parts + hardener_parts
    warnings = ("Over 4 h from mixing is beyond the typical limit.",) if pot_life_minutes > 240 else ()
    return PrimerNeeded(
        mixed_ml=mixed_ml,
        base_ml=mixed_ml * base_parts / whole,
        hardener_ml=mixed_ml * hardener_parts / whole,
        use_within_minutes=pot_life_minutes,
        warnings=warnings,
    )


@dataclass(frozen=True, kw_only=True)
class DewPoint(Result):
    """The dew point, how warm the surface should be, and how far it is above the dew point."""

    dew_point_f: float
    surface_at_least_f: float
    above_dew_point_f: float | None = figure("surface is above the dew point by", unit="F")


@calculator(
    subject="weight",
    title="Dew point",
    formula="Magnus: g = ln(RH/100) + 17.62 T / (243.12 + T); Td = 243.12 g / (17.62 - g), in C",
    source="WMO-No. 8, Magnus form; BAMS 86:225 (2005) eq. 8; 5 F above it: common practice, no source",
    holds="32 to 120 F, 1 to 100 % humidity",
)
def dew_point(
    temperature_f: float,
    humidity_percent: float,
    surface_f: float | None = None,
    margin_f: float = 5.0,
    least_surface_f: float | None = None,
) -> DewPoint:
    """Dew point of the air, and the coldest surface to coat in it.

    Parameters
    ----------
    temperature_f : float
        Temperature of the air in degrees Fahrenheit, 32 to 120.
    humidity_percent : float
        Relative humidity in percent, 1 to 100.
    surface_f : float, optional
        Temperature of the part's surface in degrees Fahrenheit, 0 to 200, where it was read.
    margin_f : float, default 5
        How far the surface has to be above the dew point, in degrees Fahrenheit, 0 to 40.
    least_surface_f : float, optional
        The coldest surface that the product allows in any air, in degrees Fahrenheit, 0 to 200.

    Returns
    -------
    DewPoint
        ``dew_point_f`` in degrees Fahrenheit [1]_; ``surface_at_least_f`` is the margin warmer [2]_, or what
        the product asks for where that is more. With the surface's own temperature ``above_dew_point_f``
        says how far that is above the dew point, and a warning when it is not far enough.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    References
    ----------
    .. [1] WMO-No. 8, Guide to Instruments and Methods of Observation, saturation vapour pressure over water
       with the coefficients 17.62 and 243.12 C (as later papers quote them), solved for the dew point as in
       Lawrence, Bull. Amer. Meteor. Soc. 86 (2005) 225-233, equation 8.
    .. [2] The default of 5 degrees: general coating practice (common practice, no source).

    Examples
    --------
    >>> round(dew_point(68, 60).dew_point_f, 1)
    53.6
    """
    require(
        32 <= temperature_f <= 120,
        "temperature_f",
        "the temperature is outside 32 to 120 F",
        "give degrees F",
    )
    require(
        1 <= humidity_percent <= 100,
        "humidity_percent",
        "the humidity is outside 1 to 100 %",
        "give percent",
    )
    celsius = (temperature_f - 32) / 1.8
    g = math.log(humidity_percent / 100) + 17.62 * celsius / (243.12 + celsius)
    dew_f = 243.12 * g / (17.62 - g) * 1.8 + 32
    above = None if surface_f is None else surface_f - dew_f
    require(
        surface_f is None or 0 <= surface_f <= 200,
        "surface_f",
        "the surface is outside 0 to 200 F",
        "give degrees F, or leave it out",
    )
    require(0 <= margin_f <= 40, "margin_f", "the margin is outside 0 to 40 F", "give degrees F")
    require(
        least_surface_f is None or 0 <= least_surface_f <= 200,
        "least_surface_f",
        "the coldest surface is outside 0 to 200 F",
        "give degrees F, or leave it out",
    )
    at_least = dew_f + margin_f if least_surface_f is None else max(dew_f + margin_f, least_surface_f)
    warnings: tuple[str, ...] = ()
    if surface_f is not None and surface_f < dew_f + margin_f:
        warnings = ("Do not coat: the surface is too near the dew point.",)
    elif surface_f is not None and surface_f < at_least:
        warnings = ("Do not coat: the surface is colder than the product allows.",)
    return DewPoint(
        dew_point_f=dew_f, surface_at_least_f=at_least, above_dew_point_f=above, warnings=warnings
    )


@dataclass(frozen=True, kw_only=True)
class CentreOfGravity(Result):
    """Where the pieces balance together, and what they weigh."""

    arm_in: float
    weight_lb: float


@calculator(
    subject="weight",
    title="Centre of gravity, from the datum",
    formula="sum of each weight x its arm, over the sum of the weights",
    source="FAA-H-8083-1 ch. 2 and 3 (moment = weight x arm; CG = total moment / total weight)",
    holds="arms from one datum, behind it counted plus, all in one line",
)
def centre_of_gravity(weights_lb: tuple[float, ...], arms_in: tuple[float, ...]) -> CentreOfGravity:
    """Where several pieces balance together.

    Parameters
    ----------
    weights_lb : tuple of float
        Weight of each piece in pounds, above 0. One at least.
    arms_in : tuple of float
        Where each piece balances, in inches from one datum; before the datum is minus.

    Returns
    -------
    CentreOfGravity
        ``arm_in`` from the datum [1]_ and the ``weight_lb`` of all.

    Raises
    ------
    OutOfRange
        When there is no piece, one weighs nothing, or there are not as many arms as weights.

    References
    ----------
    .. [1] FAA-H-8083-1, weight and balance theory: centre of gravity = total moment / total weight.

    Examples
    --------
    The handbook's board: 100 lb at 50, 100 lb at 90 and 200 lb at 150 inches balance at 110:

    >>> centre_of_gravity((100, 100, 200), (50, 90, 150)).arm_in
    110.0
    """
    require(len(weights_lb) >= 1, "weights_lb", "there is no piece", "give each piece's weight")
    require(
        len(arms_in) == len(weights_lb),
        "arms_in",
        f"{len(weights_lb)} weights and {len(arms_in)} arms",
        "give one arm for each weight",
    )
    for item, weight_lb in enumerate(weights_lb):
        require(weight_lb > 0, "weights_lb", "a piece weighs nothing", "weigh it", item)
    whole = sum(weights_lb)
    moment = sum(weight * arm for weight, arm in zip(weights_lb, arms_in, strict=True))
    return CentreOfGravity(arm_in=moment / whole, weight_lb=whole)


CUBIC_INCHES_PER_GALLON = 231.0  # US liquid gallon, by definition (NIST Handbook 44, Appendix C)


@dataclass(frozen=True, kw_only=True)
class TankVolume(Result):
    """What a tank holds."""

    volume_gal: float
    volume_l: float


@calculator(
    subject="weight",
    title="Tank volume, US gallons",
    formula="length x width x mean depth / 231",
    source="NIST Handbook 44 Appendix C (a US gallon is 231 cubic inches)",
    holds="inside sizes; nothing taken off for baffles, sump or the room to expand",
)
def tank_volume(length_in: float, width_in: float, depth_in: float) -> TankVolume:
    """What a tank of plain shape holds.

    Parameters
    ----------
    length_in : float
        Inside length in inches, above 0.
    width_in : float
        Inside width in inches, above 0.
    depth_in : float
        Mean inside depth in inches, above 0.

    Returns
    -------
    TankVolume
        ``volume_gal`` in US gallons and ``volume_l`` in litres [1]_. Leave room to expand as the plans say.

    Raises
    ------
    OutOfRange
        When a size is not above nothing.

    References
    ----------
    .. [1] NIST Handbook 44, Appendix C: a US gallon is 231 cubic inches.

    Examples
    --------
    >>> round(tank_volume(23.1, 10, 10).volume_gal, 6)
    10.0
    """
    for argument, size in (("length_in", length_in), ("width_in", width_in), ("depth_in", depth_in)):
        require(0 < size <= 1_000, argument, f"a size of {size} in is outside 0 to 1,000", "measure it")
    volume = length_in * width_in * depth_in
    return TankVolume(volume_gal=volume / CUBIC_INCHES_PER_GALLON, volume_l=volume / CUBIC_INCHES_PER_LITRE)
