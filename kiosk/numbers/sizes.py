"""Sizes that the trade names by number: drills, taps and sheet gauges; inches and millimetres."""

from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from kiosk.numbers.drills import LETTER_DRILL_IN, NUMBER_DRILL_IN
from kiosk.numbers.result import OutOfRange, Result, calculator, figure, require
from kiosk.numbers.units import MM_PER_INCH, NotALength, parse_length_in

__all__ = [
    "DrillFor",
    "DrillSize",
    "SheetGauge",
    "SizeIn",
    "TapDrill",
    "drill_for",
    "drill_size",
    "sheet_gauge",
    "size_in",
    "tap_drill",
]

SMALLEST_IN, LARGEST_IN = 0.040, 0.500
# Every drill of the three series from 1/16 to 1/2 in, by name.
DRILLS_IN = MappingProxyType(
    {
        **{f"#{number}": size for number, size in NUMBER_DRILL_IN.items()},
        **LETTER_DRILL_IN,
        **{str(Fraction(n, 64)): n / 64 for n in range(4, 33)},
    }
)


@dataclass(frozen=True, kw_only=True)
class DrillSize(Result):
    """How thick a drill is."""

    diameter_in: float
    diameter_mm: float


@calculator(
    subject="sizes",
    title="Drill",
    formula="the standard series: numbers #1 to #60, letters A to Z, 64ths of an inch",
    source="ASME B94.11M twist drills (from memory; the riveting sizes seen in a printed table)",
    holds="a drill as bought: a hole comes out a little larger",
)
def drill_size(drill: str) -> DrillSize:
    """Diameter of a drill from its name.

    Parameters
    ----------
    drill : str
        A number such as ``#30``, a letter such as ``F``, or a fraction such as ``5/32``.

    Returns
    -------
    DrillSize
        ``diameter_in`` and the same in millimetres [1]_.

    Raises
    ------
    OutOfRange
        When no drill here has that name.

    References
    ----------
    .. [1] ASME B94.11M, twist drills (from memory).

    Examples
    --------
    >>> drill_size("#30").diameter_in
    0.1285
    """
    name = drill.strip().upper().removeprefix("DRILL").strip()
    require(name in DRILLS_IN, "drill", f"there is no drill {drill!r} here", "write it like #30, F or 5/32")
    return DrillSize(diameter_in=DRILLS_IN[name], diameter_mm=DRILLS_IN[name] * MM_PER_INCH)


@dataclass(frozen=True, kw_only=True)
class DrillFor(Result):
    """The drills next to a size on either side."""

    drill: str
    diameter_in: float
    smaller: str = figure("next smaller")
    smaller_in: float = figure("next smaller, size")


@calculator(
    subject="sizes",
    title="Drill for a hole",
    formula="the smallest standard drill at or above the size",
    source="ASME B94.11M twist drills (from memory)",
    holds="0.040 to 0.5 in",
)
def drill_for(diameter_in: float) -> DrillFor:
    """The standard drill for a hole: the smallest that is no smaller.

    Parameters
    ----------
    diameter_in : float
        Diameter of the hole in inches, 0.041 to 0.5.

    Returns
    -------
    DrillFor
        ``drill`` by name and its size, and the next smaller one [1]_.

    Raises
    ------
    OutOfRange
        When the size is outside the drills here.

    References
    ----------
    .. [1] ASME B94.11M, twist drills (from memory).

    Examples
    --------
    >>> worked = drill_for(0.128)
    >>> worked.drill, worked.smaller
    ('#30', '1/8')
    """
    require(
        SMALLEST_IN < diameter_in <= LARGEST_IN,
        "diameter_in",
        f"a hole of {diameter_in:g} in is outside the drills here",
        "give 0.041 to 0.5",
    )
    by_size = sorted(DRILLS_IN.items(), key=lambda one: one[1])
    at = next(place for place, (_, size) in enumerate(by_size) if size >= diameter_in - 1e-9)
    (smaller, smaller_in), (drill, size) = by_size[at - 1], by_size[at]
    return DrillFor(drill=drill, diameter_in=size, smaller=smaller, smaller_in=smaller_in)


# Machine-screw thread -> outside diameter, threads an inch, drill that charts give for about 75 % of thread.
_TAPS = MappingProxyType(
    {
        "4-40": (0.112, 40, "#43"),
        "4-48": (0.112, 48, "#42"),
        "6-32": (0.138, 32, "#36"),
        "6-40": (0.138, 40, "#33"),
        "8-32": (0.164, 32, "#29"),
        "8-36": (0.164, 36, "#29"),
        "10-24": (0.190, 24, "#25"),
        "10-32": (0.190, 32, "#21"),
        "12-24": (0.216, 24, "#16"),
        "12-28": (0.216, 28, "#14"),
        "1/4-20": (0.250, 20, "#7"),
        "1/4-28": (0.250, 28, "#3"),
        "5/16-18": (0.3125, 18, "F"),
        "5/16-24": (0.3125, 24, "I"),
        "3/8-16": (0.375, 16, "5/16"),
        "3/8-24": (0.375, 24, "Q"),
    }
)


@dataclass(frozen=True, kw_only=True)
class TapDrill(Result):
    """The drill for a tap, and how much of the full thread it leaves."""

    drill: str
    diameter_in: float
    thread_percent: float = figure("of the full thread")


@calculator(
    subject="sizes",
    title="Tap drill",
    formula="the chart's drill; share of thread = (outside - drill) x threads an inch x 100 / 1.299",
    source="tap and drill charts for 75 % of thread; the share by the unified thread's form (2 x 0.6495 / n)",
    holds="4-40 to 3/8, coarse and fine; a drill as bought",
)
def tap_drill(tap: str) -> TapDrill:
    """Drill to use before a tap.

    Parameters
    ----------
    tap : str
        Thread, such as ``10-32`` or ``1/4-28``: 4 to 3/8, coarse and fine.

    Returns
    -------
    TapDrill
        ``drill`` by name [1]_, its size in inches, and what share of the full thread it leaves [2]_.

    Raises
    ------
    OutOfRange
        When the thread is not in the table.

    References
    ----------
    .. [1] Tap and drill charts for about 75 percent of thread.
    .. [2] Machinery's Handbook: share = (outside diameter - drill) x threads an inch x 100 / 1.299.

    Examples
    --------
    >>> tap_drill("10-32").drill
    '#21'
    """
    name = tap.strip().removeprefix("#").strip()
    require(name in _TAPS, "tap", f"thread {tap!r} is not in the table", f"use one of {', '.join(_TAPS)}")
    outside, threads, drill = _TAPS[name]
    size = DRILLS_IN[drill]
    return TapDrill(drill=drill, diameter_in=size, thread_percent=100 * (outside - size) * threads / 1.299)


@dataclass(frozen=True, kw_only=True)
class SheetGauge(Result):
    """How thick a gauge is."""

    thickness_in: float
    thickness_mm: float


@calculator(
    subject="sizes",
    title="Thickness of a sheet gauge",
    formula="0.005 x 92^((36 - gauge) / 39)",
    source="American wire (Brown and Sharpe) gauge, ASTM B258: non-ferrous sheet; steel has another",
    holds="gauges 0 to 36; order sheet by its thickness, never by gauge",
)
def sheet_gauge(gauge: int) -> SheetGauge:
    """Thickness of aluminium sheet from a Brown and Sharpe gauge.

    Parameters
    ----------
    gauge : int
        Number of the gauge, 0 to 36. A higher number is thinner.

    Returns
    -------
    SheetGauge
        ``thickness_in`` and the same in millimetres [1]_.

    Raises
    ------
    OutOfRange
        When the gauge is outside the series.

    References
    ----------
    .. [1] American wire gauge, ASTM B258.

    Examples
    --------
    >>> round(sheet_gauge(20).thickness_in, 4)
    0.032
    """
    require(0 <= gauge <= 36, "gauge", f"gauge {gauge} is outside 0 to 36", "give the number of the gauge")
    thickness = 0.005 * 92 ** ((36 - gauge) / 39)
    return SheetGauge(thickness_in=thickness, thickness_mm=thickness * MM_PER_INCH)


@dataclass(frozen=True, kw_only=True)
class SizeIn(Result):
    """A size as it is written, in inches and in millimetres, and the nearest 64th."""

    size_in: float
    size_mm: float
    nearest_64th: str
    off_in: float = figure("the 64th is off by")


@calculator(
    subject="sizes",
    title="Size",
    formula="25.4 mm to the inch; the nearest 64th",
    source="the inch is 25.4 mm by definition (1959)",
    holds="0 to 1,000 ft",
)
def size_in(size: str) -> SizeIn:
    """A size in inches, in millimetres and as the nearest 64th.

    Parameters
    ----------
    size : str
        As the trade writes it: ``.032``, ``5/32``, ``1-1/4``, ``8 ft 2-1/4``, ``12.5 mm`` or ``#30``.

    Returns
    -------
    SizeIn
        ``size_in`` in inches, the same in millimetres [1]_, the nearest 64th and how far off that is.

    Raises
    ------
    OutOfRange
        When the text is no size.

    References
    ----------
    .. [1] The international inch of 1959: exactly 25.4 mm.

    Examples
    --------
    >>> worked = size_in("0.8 mm")
    >>> round(worked.size_in, 4), worked.nearest_64th, round(worked.off_in, 4)
    (0.0315, '1/32', -0.0002)
    """
    try:
        inches = parse_length_in(size)
    except NotALength as error:
        raise OutOfRange(error.wrong, error.mend, "size") from None
    nearest = Fraction(round(inches * 64), 64)
    whole, part = divmod(nearest, 1)
    shown = str(part) if not whole else f"{whole}-{part}" if part else str(whole)
    return SizeIn(
        size_in=inches,
        size_mm=inches * MM_PER_INCH,
        nearest_64th=shown,
        off_in=float(nearest) - inches,
    )
