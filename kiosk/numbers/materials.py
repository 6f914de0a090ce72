"""Sheet properties and minimum bend radii, each table under its own name.

Published radius charts disagree by a factor of up to two, so a radius always carries the table it came from.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from kiosk.numbers.result import require


@dataclass(frozen=True)
class SheetProperties:
    """Yield in psi and elongation in percent are the specified minimums; the modulus is in psi."""

    yield_psi: float
    elastic_modulus_psi: float
    elongation_percent: float
    density_lb_per_in3: float
    source: str


_MILL = "specified minimum sheet properties, mill data sheet; modulus and density from memory (high)"

SHEET: dict[str, SheetProperties] = {
    "2024-T3": SheetProperties(42_000, 10.5e6, 10, 0.100, _MILL),
    "2024-O": SheetProperties(14_000, 10.5e6, 12, 0.100, _MILL + "; the yield is a maximum"),
    "6061-T6": SheetProperties(35_000, 9.9e6, 4, 0.098, _MILL),
    "6061-T4": SheetProperties(16_000, 9.9e6, 10, 0.098, _MILL),
    "6061-O": SheetProperties(12_000, 9.9e6, 10, 0.098, _MILL + "; the yield is a maximum"),
    "5052-H32": SheetProperties(23_000, 10.1e6, 4, 0.097, _MILL),
    "5052-H34": SheetProperties(26_000, 10.1e6, 3, 0.097, _MILL),
    "5052-O": SheetProperties(9_500, 10.1e6, 15, 0.097, _MILL),
    "7075-T6": SheetProperties(65_000, 10.3e6, 7, 0.101, _MILL),
    "3003-H14": SheetProperties(17_000, 10.0e6, 1, 0.099, _MILL),
}

RADIUS_TABLE = 'AC 43.13-1B Table 4-6, "Recommended radii for 90-degree bends in aluminum alloys"'
RADIUS_COLUMNS_IN = (0.016, 0.032, 0.064, 0.128, 0.182, 0.258)

# Low and high multiple of the thickness for each column above, as printed.
RADIUS_MULTIPLES: dict[str, tuple[tuple[float, float], ...]] = {
    "2024-O": ((0, 0), (0, 1), (0, 1), (0, 1), (0, 1), (0, 1)),
    "2024-T3": ((1.5, 3), (2, 4), (3, 5), (4, 6), (4, 6), (5, 7)),
    "2024-T6": ((2, 4), (3, 5), (3, 5), (4, 6), (5, 7), (6, 10)),
    "5052-O": ((0, 0), (0, 0), (0, 1), (0, 1), (0, 1), (0, 1)),
    "5052-H32": ((0, 0), (0, 0), (0.5, 1), (0.5, 1.5), (0.5, 1.5), (0.5, 1.5)),
    "5052-H34": ((0, 0), (0, 0), (0.5, 1.5), (1.5, 2.5), (1.5, 2.5), (2, 3)),
    "5052-H36": ((0, 1), (0.5, 1.5), (1, 2), (1.5, 3), (2, 4), (2, 4)),
    "5052-H38": ((0.5, 1.5), (1, 2), (1.5, 3), (2, 4), (3, 5), (4, 6)),
    "6061-O": ((0, 0), (0, 1), (0, 1), (0, 1), (0, 1), (0, 1)),
    "6061-T4": ((0, 1), (0, 1), (0.5, 1.5), (1, 2), (1.5, 3), (2.5, 4)),
    "6061-T6": ((0, 1), (0.5, 1.5), (1, 2), (1.5, 3), (2, 4), (3, 4)),
    "7075-O": ((0, 0), (0, 1), (0, 1), (0.5, 1.5), (1, 2), (1.5, 3)),
    "7075-T6": ((2, 4), (3, 5), (4, 6), (5, 7), (5, 7), (6, 10)),
}


def alloy_named(written: str, table: Mapping[str, object]) -> str:
    """An alloy as a table writes it: capitals or not, clad or bare.

    Clad sheet is formed by the figures of its core: AC 43.13-1B Table 4-6 note 1 lets it be bent a little
    tighter, never asks for more. Raises OutOfRange when the table has no such alloy.
    """
    core = written.strip().upper().removeprefix("ALCLAD").removeprefix("CLAD").strip()
    require(
        core in table, "alloy", f"alloy {written!r} is not in the table", f"use one of {', '.join(table)}"
    )
    return core


def sheet_of(alloy: str) -> SheetProperties:
    """The properties of an alloy's sheet. Raises OutOfRange when the table has none."""
    return SHEET[alloy_named(alloy, SHEET)]
