"""What is measured at the bench: a figure as it is typed or written, and the limits that it has to keep."""

import math
import re
from collections.abc import Callable
from contextlib import suppress

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.numbers.units import parse_length_in
from kiosk.shop.checked import FieldFault
from kiosk.shop.fields import parse_minutes


@dataclass(frozen=True)
class MeasureLimits:
    """The limits of a measurement in its unit; an open end is None."""

    low: float | None
    high: float | None

    def within(self, value: float) -> bool:
        """True when the value lies within the limits, a hair of rounding allowed."""
        slack = 1e-9 + 1e-9 * abs(value)
        return (self.low is None or value >= self.low - slack) and (
            self.high is None or value <= self.high + slack
        )

    def words(self, unit: str) -> str:
        """The limits for a screen or the logbook: ``0.609 to 0.641 in``. Whatever is shown would pass."""

        def number(value: float, inward: Callable[[float], int]) -> str:
            whole = abs(value * 1000 - round(value * 1000)) < 1e-6
            places = 3 if unit != "in" or whole or abs(value) >= 4 else 4  # calipers read to a thousandth
            places = 1 if unit in ("deg", "F") else places  # no protractor at a bench reads finer
            scale: int = 10**places
            hair = 1e-6 if inward is math.ceil else -1e-6  # what binary arithmetic leaves over
            rounded = inward(value * scale - hair) / scale
            return f"{rounded:.{places}f}" if unit == "in" else f"{rounded:g}"

        if self.low is None:
            return f"at most {number(self.high or 0.0, math.floor)} {unit}"
        if self.high is None:
            return f"at least {number(self.low, math.ceil)} {unit}"
        return f"{number(self.low, math.ceil)} to {number(self.high, math.floor)} {unit}"


def read_number(text: str, unit: str) -> float:
    """Read a typed or written number in a unit; lengths in any way the trade writes them.

    Raises KioskError with an example. ``nan`` and infinity are no numbers at a bench.
    """
    if unit == "F":
        return _read_fahrenheit(text)
    if unit == "in":
        negative = text.strip().startswith("-")
        value = parse_length_in(text.strip().removeprefix("-"))
        return -value if negative else value
    cleaned = text.strip().removesuffix(unit).strip()
    try:
        number = float(cleaned)
    except ValueError:
        number = math.nan
    if unit == "min" and not math.isfinite(number):
        with suppress(FieldFault):
            number = parse_minutes(text)
    if not math.isfinite(number):
        raise KioskError(f"{text!r} is not a number", "type digits, such as 12 or 12.5")
    return number


_TEMPERATURE = re.compile(r"^(?P<number>-?(?:\d+\.?\d*|\.\d+))\s*(?:°|deg)?\s*(?P<unit>[FfCc])?$")


def _read_fahrenheit(text: str) -> float:
    """A temperature in Fahrenheit, typed so or with a C for Celsius: ``63``, ``63 F``, ``17 C``."""
    match = _TEMPERATURE.match(text.strip())
    if not match:
        raise KioskError(f"{text!r} is not a temperature", "type degrees, such as 63, 63 F or 17 C")
    number = float(match["number"])
    return number * 9 / 5 + 32 if (match["unit"] or "F").upper() == "C" else number
