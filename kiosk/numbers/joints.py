"""How many rivets a splice needs, and what a joint carries: the rivets in shear, the sheet in bearing."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from kiosk.numbers.result import OutOfRange, Result, calculator, figure, require
from kiosk.numbers.rivets import NOMINAL_HOLE_IN, size_of

__all__ = ["JointStrength", "SpliceRivets", "joint_strength", "splice_rivets"]

SHEAR_AD_PSI = 30_000  # driven 2117-T3, on the nominal hole's area (MIL-HDBK-5)
BEARING_SHARE = 1.6  # sheet bearing over its tensile strength: AC 43.13-1B Tables 4-9 to 4-11, note b

# Rivets (2117 AD, protruding head) for each inch of width, at 3/32 1/8 5/32 3/16 1/4, as AC 43.13-1B prints
# them, by the sheet's thickness; "-" is a dash. The table's own rounding is not everywhere to nearest.
TABLE_4_10: Mapping[float, str] = MappingProxyType(
    {
        0.016: "6.5 4.9 - - -",
        0.020: "6.5 4.9 3.9 - -",
        0.025: "6.9 4.9 3.9 - -",
        0.032: "8.9 4.9 3.9 3.3 -",
        0.036: "10.0 5.6 3.9 3.3 2.4",
        0.040: "11.1 6.2 4.0 3.3 2.4",
        0.051: "- 7.9 5.1 3.6 2.4",
        0.064: "- 9.9 6.5 4.5 2.5",
        0.081: "- 12.5 8.1 5.7 3.1",
        0.091: "- - 9.1 6.3 3.5",
        0.102: "- - 10.3 7.1 3.9",
        0.128: "- - 12.9 8.9 4.9",
    }
)
TABLE_4_11: Mapping[float, str] = MappingProxyType(
    {
        0.016: "6.3 4.7 - - -",
        0.020: "6.3 4.7 3.8 - -",
        0.025: "6.3 4.7 3.8 - -",
        0.032: "6.3 4.7 3.8 3.2 -",
        0.036: "7.1 4.7 3.8 3.2 2.4",
        0.040: "7.9 4.7 3.8 3.2 2.4",
        0.051: "10.1 5.6 3.8 3.2 2.4",
        0.064: "12.7 7.0 4.6 3.2 2.4",
        0.081: "- 8.9 5.8 4.0 2.4",
        0.091: "- 10.0 6.5 4.5 2.5",
        0.102: "- 11.2 7.3 5.1 2.8",
        0.128: "- - 9.2 6.4 3.5",
    }
)
# The first two columns; the rest of the copy that was seen is jumbled.
TABLE_4_9: Mapping[float, str] = MappingProxyType(
    {
        0.016: "6.5 4.9 - - -",
        0.020: "6.9 4.9 - - -",
        0.025: "8.6 4.9 - - -",
        0.032: "11.1 6.2 - - -",
        0.036: "12.5 7.0 - - -",
        0.040: "13.8 7.7 - - -",
        0.051: "- 9.8 - - -",
        0.064: "- 12.3 - - -",
    }
)
_TABLES = {"4-9": TABLE_4_9, "4-10": TABLE_4_10, "4-11": TABLE_4_11}
_COLUMNS = (3, 4, 5, 6, 8)
SAME_SHEET_IN = 0.0012  # .050 and .051, .063 and .064, .080 and .081: one step of older and newer sheet


def printed_rivets_per_inch(table: str, thickness_in: float, size: int) -> tuple[float, float]:
    """The printed cell for a sheet and a rivet (in 32nds), and the thickness of its row.

    A sheet between two rows takes the thicker one: the table gives no rule between them. Raises OutOfRange
    for a dash, a thickness or a size that is not in the table.
    """
    rows = _TABLES[table]
    row = next((one for one in rows if thickness_in <= one + SAME_SHEET_IN), None)
    if row is None or thickness_in < min(rows) - SAME_SHEET_IN:
        low, high = min(rows), max(rows)
        raise OutOfRange(
            f"sheet {thickness_in:g} in is not in Table {table}",
            f"it goes from {low:g} to {high:g}",
            "thickness_in",
        )
    if size not in _COLUMNS:
        raise OutOfRange("this size is not in the table", "use 3/32 to 1/4", "diameter_in")
    cell = rows[row].split()[_COLUMNS.index(size)]
    if cell == "-":
        raise OutOfRange(
            f"Table {table} gives no {size}/32 rivet for {row:g} sheet",
            "use another diameter, near three times the sheet",
            "diameter_in",
        )
    return float(cell), row


def _rounded_up(rivets: float) -> int:
    """Whole rivets, as the example on page 4-41 rounds before and after the share is taken."""
    return math.ceil(rivets - 1e-9)


@dataclass(frozen=True, kw_only=True)
class SpliceRivets(Result):
    """How many rivets a splice needs on each side, and the table's figure for an inch of it."""

    rivets: int = figure(unit="rivets")
    rivets_per_inch: float = figure("an inch, from the table")
    row_in: float = figure("row of the table")


@calculator(
    subject="joints",
    title="Rivets on each side of a splice",
    formula="width x rivets an inch from the table, rounded up, x 0.75 for a single lap joint, rounded up",
    source="AC 43.13-1B Tables 4-9, 4-10 and 4-11 with their note c; page 4-27 example",
    holds="AD rivets with protruding heads; a repair rule: the plans and the designer come first",
)
def splice_rivets(
    thickness_in: float,
    width_in: float,
    diameter_in: float,
    single_lap: Literal["yes", "no"] = "yes",
    table: Literal["4-9", "4-10", "4-11"] = "4-10",
) -> SpliceRivets:
    """How many rivets on each side of a splice.

    Parameters
    ----------
    thickness_in : float
        Sheet thickness in inches, 0.016 to 0.128 (Table 4-9: to 0.064).
    width_in : float
        Width of the splice across the load in inches, above 0.
    diameter_in : float
        Diameter of the shank in inches: 3/32, 1/8, 5/32, 3/16 or 1/4 (Table 4-9: 3/32 or 1/8).
    single_lap : {'yes', 'no'}, default 'yes'
        Whether it is a single lap joint, which needs three quarters of the table's rivets.
    table : {'4-9', '4-10', '4-11'}, default '4-10'
        The circular's table: 4-9 for 2014-T6, 2024-T3 and 7075-T6, bare and clad; 4-10 for 2017 and clad
        2024-T3; 4-11 for 5052. Tables 4-9 and 4-10 both name clad 2024-T3; 4-9 gives more rivets.

    Returns
    -------
    SpliceRivets
        ``rivets`` on each side of the splice, ``rivets_per_inch`` of width as printed, and ``row_in``, the
        thickness of the row that was read [1]_. For 4-10 a warning says what 4-9 gives for 2024-T3.

    Raises
    ------
    OutOfRange
        When the sheet or the rivet is not in the table, the table prints a dash for them, or there is no
        width.

    Notes
    -----
    Behind the tables stand the sheet's tensile strength (75, 60 or 43 ksi), the rivet's shear of 30 ksi on
    the nominal hole, and bearing at 160 percent: the tests rework every cell so.

    References
    ----------
    .. [1] FAA AC 43.13-1B, Tables 4-9 to 4-11, their note c, the example on page 4-27, and that on page 4-41,
       which rounds up before and after the share is taken.

    Examples
    --------
    The circular's own example, clad .032 and ten inches wide:

    >>> splice_rivets(0.032, 10, 1 / 8).rivets
    37
    """
    require(width_in > 0, "width_in", "the splice has no width", "give its width across the load")
    size = size_of(diameter_in)
    each, row = printed_rivets_per_inch(table, thickness_in, size)
    share = 0.75 if single_lap == "yes" else 1.0
    warnings: tuple[str, ...] = ()
    if table == "4-10":
        try:
            safe, _row = printed_rivets_per_inch("4-9", thickness_in, size)
        except OutOfRange:
            warnings = ("For 2024-T3 look at Table 4-9 too: it asks for more rivets.",)
        else:
            if safe > each:
                more = _rounded_up(_rounded_up(width_in * safe) * share)
                warnings = (f"For 2024-T3 Table 4-9 asks for {more}: the safe side.",)
    return SpliceRivets(
        rivets=_rounded_up(_rounded_up(width_in * each) * share),
        rivets_per_inch=each,
        row_in=row,
        warnings=warnings,
    )


@dataclass(frozen=True, kw_only=True)
class JointStrength(Result):
    """What a joint's rivets carry, which way it fails first, and both ways for one rivet."""

    strength_lb: float
    fails_by: str
    each_shear_lb: float = figure("each rivet in shear")
    each_bearing_lb: float = figure("sheet at each rivet")


@calculator(
    subject="joints",
    title="Ultimate strength of a joint",
    formula="rivets x the lesser of 30,000 psi x area of the nominal hole, and 1.6 x sheet's tensile x t x D",
    source="MIL-HDBK-5 (shear of driven 2117); AC 43.13-1B Table 4-10 note b (bearing 160 % of tensile)",
    holds="AD rivets in single shear, edge distance 2 D or more; ultimate, no factor taken off",
)
def joint_strength(
    count: int, diameter_in: float, thickness_in: float, tensile_psi: float = 60_000.0
) -> JointStrength:
    """Ultimate strength of a row of rivets: their shear, or the sheet's bearing where that is less.

    Parameters
    ----------
    count : int
        How many rivets, 1 or more.
    diameter_in : float
        Diameter of the shank in inches: 3/32, 1/8, 5/32, 3/16 or 1/4.
    thickness_in : float
        Thickness of the thinnest sheet of the joint in inches, above 0 to 0.26.
    tensile_psi : float, default 60000
        Tensile strength of that sheet in psi, 5,000 to 90,000; the default is that of Table 4-10 (2017 and
        clad 2024-T3).

    Returns
    -------
    JointStrength
        ``strength_lb`` of all rivets in pounds [1]_ [2]_, which way it ``fails_by`` first, and both for one
        rivet. Ultimate: no factor is taken off.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    References
    ----------
    .. [1] MIL-HDBK-5, driven 2117-T3 rivets on the nominal hole's area.
    .. [2] FAA AC 43.13-1B, Table 4-10, engineering note b: bearing at 160 percent of the tensile strength.

    Examples
    --------
    >>> worked = joint_strength(10, 1 / 8, 0.025)
    >>> round(worked.strength_lb), worked.fails_by
    (3084, 'bearing of the sheet')
    """
    size = size_of(diameter_in)
    require(size in NOMINAL_HOLE_IN, "diameter_in", "this size is not in the table", "use 3/32 to 1/4")
    require(1 <= count <= 1_000_000, "count", "a joint has one rivet or more", "give a count")
    require(
        0 < thickness_in <= 0.26,
        "thickness_in",
        f"sheet {thickness_in} in is outside 0 to 0.26",
        "measure it",
    )
    require(
        5_000 <= tensile_psi <= 90_000,
        "tensile_psi",
        f"a tensile strength of {tensile_psi:g} psi is no aluminium sheet's",
        "give 5,000 to 90,000 psi",
    )
    hole = NOMINAL_HOLE_IN[size]
    shear = SHEAR_AD_PSI * math.pi / 4 * hole**2
    bearing = BEARING_SHARE * tensile_psi * thickness_in * hole
    return JointStrength(
        strength_lb=count * min(shear, bearing),
        fails_by="shear of the rivets" if shear <= bearing else "bearing of the sheet",
        each_shear_lb=shear,
        each_bearing_lb=bearing,
    )
