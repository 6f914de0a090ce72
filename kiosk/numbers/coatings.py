"""What to mix for a batch of parts: their area, the film, and what the gun loses."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from kiosk.numbers.result import Result, calculator, figure, require
from kiosk.numbers.weight import SQUARE_INCHES_PER_SQUARE_FOOT, primer_needed

__all__ = ["CoatToMix", "coat_to_mix"]

BOTH_FACES = 2
MOST_REST_ML = 1000.0
MOST_MIXED_ML = 1_000_000.0  # far over any batch, and few enough marks of a cup to count exactly
_MOST = 1_000_000.0
_TENTHS = 10  # of a millilitre
_READ_WHOLE = 10.0  # millilitres: from here on no cup at a bench reads finer than whole ones
_MOST_OVER = 1.1  # so much hardener, or a millilitre more, is looked at for a pair that stands in the ratio
_MOST_PAIRS = 100  # that are looked at
_SLIP = 1e-6  # of a number that is whole but for the last bits


@dataclass(frozen=True, kw_only=True)
class CoatToMix(Result):
    """What to mix for one coat on a batch, and the area that it was reckoned for."""

    mixed_ml: float
    base_ml: float = figure("base, as worked out")
    hardener_ml: float = figure("hardener, as worked out")
    area_ft2: float
    pour_base_ml: float = figure("base to pour")
    pour_hardener_ml: float = figure("hardener to pour")


@calculator(
    subject="weight",
    title="To mix for these parts",
    formula="both faces of all blanks x dry film / volume solids, and what gun and cup lose",
    source="plain volume; film .0006 to .0009 in is typical (TO 1-1-8 Table 5-2); solids from the data sheet",
    holds="one coat on both faces; holes counted as metal, so a little over; the data sheet wins",
)
def coat_to_mix(
    length_in: float,
    width_in: float,
    dry_film_in: float,
    solids_percent: float,
    loss_percent: float,
    base_parts: float = 1.0,
    hardener_parts: float = 1.0,
    count: int = 1,
    rest_ml: float = 0.0,
    others_in2: float = 0.0,
) -> CoatToMix:
    """Paint to mix for one coat on both faces of a batch of parts, split by the mixing ratio.

    Parameters
    ----------
    length_in : float
        Length of a part's blank in inches, above 0 to 1,000,000.
    width_in : float
        Width of a part's blank in inches, above 0 to 1,000,000.
    dry_film_in : float
        Thickness of the dry film in inches, above 0 to below 0.02.
    solids_percent : float
        Solids of the mixed product in percent of its volume, 1 to 100.
    loss_percent : float
        What the gun loses in percent, 0 to below 100.
    base_parts : float, default 1
        Parts of base by volume, above 0.
    hardener_parts : float, default 1
        Parts of hardener by volume, 0 or more; 0 for a product that is ready to use.
    count : int, default 1
        How many parts, 1 to 1,000,000.
    rest_ml : float, default 0
        What the strainer, the gun's cup and the test panel take in millilitres, however few the parts are,
        0 to 1000.
    others_in2 : float, default 0
        Area in square inches of one face of the blanks of other parts that this mixture is for, 0 to
        1,000,000.

    Returns
    -------
    CoatToMix
        ``mixed_ml`` in millilitres for one coat [1]_, of which ``base_ml`` and ``hardener_ml``; ``area_ft2``
        in square feet is that of both faces of all blanks, the others' included. ``pour_base_ml`` and
        ``pour_hardener_ml`` are what a cup can be filled to, in the ratio and together no less: see
        :func:`to_pour`.

    Raises
    ------
    OutOfRange
        When an input is outside its range, or all of them want more than a cubic metre.

    References
    ----------
    .. [1] Plain volume: the dry film over the share of solids, and what the gun loses.

    Examples
    --------
    Twelve blanks, 36 by 2 inches, and a film of .001 inch of half solids when the gun loses half:

    >>> round(coat_to_mix(36, 2, 0.001, solids_percent=50, loss_percent=50, count=12).mixed_ml)
    113

    Two parts to one of it, 75.5 and 37.8 ml, are poured as

    >>> mixed = coat_to_mix(36, 2, 0.001, 50, 50, base_parts=2, count=12)
    >>> mixed.pour_base_ml, mixed.pour_hardener_ml
    (76.0, 38.0)
    """
    mend = "check the inputs"
    require(0 < length_in <= _MOST, "length_in", "the blank's length is not above 0 to 1,000,000 in", mend)
    require(0 < width_in <= _MOST, "width_in", "the blank's width is not above 0 to 1,000,000 in", mend)
    require(1 <= count <= _MOST, "count", "the count is not 1 to 1,000,000", mend)
    require(0 <= rest_ml <= MOST_REST_ML, "rest_ml", "the rest is not 0 to 1000 ml", mend)
    require(0 <= others_in2 <= _MOST, "others_in2", "the other blanks' area is not 0 to 1,000,000 in2", mend)
    blanks_in2 = length_in * width_in * count + others_in2
    area_ft2 = BOTH_FACES * blanks_in2 / SQUARE_INCHES_PER_SQUARE_FOOT
    mixed = primer_needed(
        area_ft2=area_ft2,
        dry_film_in=dry_film_in,
        solids_percent=solids_percent,
        loss_percent=loss_percent,
        base_parts=base_parts,
        hardener_parts=hardener_parts,
    )
    require(mixed.mixed_ml <= MOST_MIXED_ML, "", "it is more than a cubic metre of paint", mend)
    of_base = base_parts / (base_parts + hardener_parts)
    pour_base_ml, pour_hardener_ml = to_pour(mixed.mixed_ml + rest_ml, base_parts, hardener_parts)
    return CoatToMix(
        mixed_ml=mixed.mixed_ml + rest_ml,
        base_ml=mixed.base_ml + rest_ml * of_base,
        hardener_ml=mixed.hardener_ml + rest_ml * (1 - of_base),
        area_ft2=area_ft2,
        pour_base_ml=pour_base_ml,
        pour_hardener_ml=pour_hardener_ml,
    )


def to_pour(mixed_ml: float, base_parts: float, hardener_parts: float) -> tuple[float, float]:
    """What is poured of base and of hardener, in whole marks of a cup, so that what is shown is in the ratio.

    Parameters
    ----------
    mixed_ml : float
        What is needed in millilitres, above 0. No less is poured; more is what the marks of a cup bring:
        of hardener up to a tenth over its least, or one mark, and the base that goes with it. An uneven
        ratio such as 100:3 can so take a fifth more.
    base_parts, hardener_parts : float
        The ratio by volume: base above 0, hardener 0 or more, 0 for a product that is ready to use.

    Returns
    -------
    tuple of float
        Base and hardener in millilitres: whole ones from 10 ml, tenths below. Of what can be read off a cup
        the pair nearest to the ratio, and of those as near the least. Plain proportion: the hardener is
        rounded up, and the base is worked out from what is then shown.

    Examples
    --------
    >>> to_pour(34.2, 2, 1)
    (24.0, 12.0)
    """
    needed = mixed_ml * _TENTHS - _SLIP
    if hardener_parts == 0:
        return _on_the_cup(needed, math.ceil) / _TENTHS, 0.0
    ratio = base_parts / hardener_parts
    least = _on_the_cup(needed / (1 + ratio), math.ceil)
    found: list[tuple[float, int, int]] = []
    most = max(least * _MOST_OVER, least + _TENTHS)
    hardener = max(1, least)
    while not found or (hardener <= most and len(found) < _MOST_PAIRS and min(found)[0] > 0):
        base = max(1, _on_the_cup(hardener * ratio, round))
        if base + hardener >= needed:
            found.append((round(abs(base / hardener / ratio - 1), 6), hardener, base))
        hardener = _on_the_cup(hardener + 1, math.ceil)
    _, hardener, base = min(found)
    return base / _TENTHS, hardener / _TENTHS


def _on_the_cup(tenths: float, rounded: Callable[[float], int]) -> int:
    """Tenths of a millilitre as a cup is read: whole millilitres from ten on."""
    return rounded(tenths) if tenths < _READ_WHOLE * _TENTHS else rounded(tenths / _TENTHS) * _TENTHS
