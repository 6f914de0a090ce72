"""Lengths as the trade writes them, in and out.

Inches are the unit inside. Accepted: ``.025``, ``5/32``, ``1-1/4``, ``1 1/4``, ``8 ft 2-1/4``, ``2 in``,
``12.5 mm``, ``#30`` (a number drill) and ``drill F`` (a letter drill).
"""

import re
from fractions import Fraction
from functools import lru_cache

from kiosk.errors import KioskError
from kiosk.numbers.drills import LETTER_DRILL_IN, NUMBER_DRILL_IN

__all__ = [
    "NotALength",
    "in_to_mm",
    "mm_to_in",
    "nearest_fraction",
    "parse_length_in",
    "show_in",
    "show_mm",
]

# How a name ends that has this unit: ``thickness_in`` is in inches.
UNIT_SUFFIXES = {
    "_in": "in",
    "_deg": "deg",
    "_psi": "psi",
    "_lb": "lb",
    "_lbf": "lbf",
    "_minutes": "min",
    "_percent": "%",
    "_in2": "in2",
    "_ft2": "ft2",
    "_f": "F",
    "_in_lb": "in-lb",
    "_ml": "ml",
}

MM_PER_INCH = 25.4  # exact, by definition of the inch (1959)
LONGEST_IN = 12_000.0  # 1,000 ft: anything longer at a bench is a slip of the finger

_NUMBER = (
    r"(?:(?P<whole>\d+)[\s-]+(?P<top>\d+)/(?P<bottom>\d+)"
    r"|(?P<top2>\d+)/(?P<bottom2>\d+)|(?P<plain>\d+\.?\d*|\.\d+))"
)
_FEET = re.compile(r"^(?P<feet>\d+(?:\.\d+)?)\s*(?:ft|')\s*(?P<rest>.*)$")
_INCHES = re.compile(rf'^{_NUMBER}\s*(?P<unit>in|"|mm|cm)?$')
_NUMBER_DRILL = re.compile(r"^#\s*(\d{1,2})$")
_LETTER_DRILL = re.compile(r"^drill\s+([A-Za-z])$")
EXAMPLES = "write it like 0.625, 5/8, 1-1/4, 8 ft 2-1/4, 12.5 mm or #30"


class NotALength(KioskError):
    """The text cannot be read as a length."""


def parse_length_in(text: str | float) -> float:
    """Read a length and give it in inches, 0 to 12,000.

    Raises :class:`NotALength` with an example of what is accepted.
    """
    if isinstance(text, int | float):
        value = float(text)
    else:
        value = _parse_text(text.strip().removesuffix("."))
    if not 0 <= value <= LONGEST_IN:
        raise NotALength(f"{text!r} is not a length between 0 and 1,000 ft", EXAMPLES)
    return value


@lru_cache(maxsize=1_000)  # a shop writes few lengths, and reads each for every kind and step
def _parse_text(text: str) -> float:
    drill = _NUMBER_DRILL.match(text)
    if drill:
        number = int(drill[1])
        if number not in NUMBER_DRILL_IN:
            raise NotALength(f"there is no number drill #{number}", "number drills run from #1 to #60")
        return NUMBER_DRILL_IN[number]
    letter = _LETTER_DRILL.match(text)
    if letter:
        return LETTER_DRILL_IN[letter[1].upper()]
    feet = _FEET.match(text)
    if feet:
        rest = feet["rest"].strip().lstrip("-").strip()
        if rest and not _INCHES.match(rest):
            raise NotALength(f"{text!r} is not a length", EXAMPLES)
        return float(feet["feet"]) * 12 + (_parse_text(rest) if rest else 0.0)
    match = _INCHES.match(text)
    if not match:
        raise NotALength(f"{text!r} is not a length", EXAMPLES)
    bottom = match["bottom"] or match["bottom2"]
    if bottom and int(bottom) == 0:
        raise NotALength(f"{text!r} divides by nothing", EXAMPLES)
    if match["whole"]:
        value = int(match["whole"]) + int(match["top"]) / int(match["bottom"])
    elif match["top2"]:
        value = int(match["top2"]) / int(match["bottom2"])
    else:
        value = float(match["plain"])
    return value / {"mm": MM_PER_INCH, "cm": MM_PER_INCH / 10}.get(match["unit"] or "in", 1.0)


def in_to_mm(length_in: float) -> float:
    """Inches to millimetres."""
    return length_in * MM_PER_INCH


def mm_to_in(length_mm: float) -> float:
    """Millimetres to inches."""
    return length_mm / MM_PER_INCH


def nearest_fraction(length_in: float, smallest: int = 64) -> str:
    """The nearest fraction of an inch as a rule shows it, such as ``1-13/32``; ``smallest`` is 2, 4 … 64."""
    parts = round(abs(length_in) * smallest)
    sign = "-" if length_in < 0 and parts else ""
    whole, rest = divmod(parts, smallest)
    if rest == 0:
        return f"{sign}{whole}"
    fraction = Fraction(rest, smallest)
    text = f"{fraction.numerator}/{fraction.denominator}"
    return f"{sign}{whole}-{text}" if whole else f"{sign}{text}"


def show_in(length_in: float, places: int = 3) -> str:
    """A length for the screen: decimals, and the fraction beside it where it is one to half a thousandth."""
    text = f"{length_in:.{places}f}"
    fraction = nearest_fraction(length_in, 32)
    exact = abs(length_in * 32 - round(length_in * 32)) < 0.0161
    return f"{text} in ({fraction})" if exact and "/" in fraction else f"{text} in"


def show_mm(length_in: float) -> str:
    """A length in millimetres for the screen."""
    return f"{in_to_mm(length_in):.2f} mm"
