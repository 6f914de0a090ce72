"""What a written value means for one part kind: a plain value, or one of the kind's dimensions."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kiosk.errors import KioskError
from kiosk.numbers.units import parse_length_in
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import CountCheck, MeasureCheck, NumberWanted, Repeat

if TYPE_CHECKING:
    from kiosk.numbers.result import Result

_A_NAME = re.compile(r"^[a-z][a-z_]*[a-z0-9_]*$")


class UnknownDimension(KioskError):
    """A step names a dimension that the part kind does not give."""

    def __init__(self, name: str, kind: PartKind) -> None:
        self.name = name
        super().__init__(
            f"part kind {kind.id!r} has no dimension {name!r}", f"add {name}: … under its dimensions"
        )


class BadDimension(KioskError):
    """A dimension is given but cannot be read as what the step needs."""

    def __init__(self, name: str, wrong: str, mend: str) -> None:
        self.name = name
        super().__init__(wrong, mend)


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


def written_value(text: str, kind: PartKind) -> str:
    """The text itself, or the dimension it names. Raises UnknownDimension."""
    if text in kind.values:
        return kind.values[text]
    if _A_NAME.match(text):
        raise UnknownDimension(text, kind)
    return text


def read_number(text: str, unit: str) -> float:
    """Read a typed or written number in a unit; lengths in any way the trade writes them.

    Raises KioskError with an example.
    """
    if unit == "in":
        negative = text.strip().startswith("-")
        value = parse_length_in(text.strip().lstrip("-"))
        return -value if negative else value
    cleaned = text.strip().removesuffix(unit).strip()
    try:
        return float(cleaned)
    except ValueError:
        raise KioskError(f"{text!r} is not a number", "type digits, such as 12 or 12.5") from None


def _number(text: str, unit: str, kind: PartKind) -> float:
    written = written_value(text, kind)
    try:
        return read_number(written, unit)
    except KioskError as error:
        if text in kind.values:
            raise BadDimension(text, f"dimension {text!r}: {error.wrong}", error.mend) from None
        raise


def limits_of(check: MeasureCheck, kind: PartKind) -> MeasureLimits:
    """The limits of a measurement for this kind. Raises UnknownDimension, BadDimension or KioskError."""

    def number(text: str | None) -> float | None:
        return None if text is None else _number(text, check.unit, kind)

    if check.nominal is not None:
        nominal = _number(check.nominal, check.unit, kind)
        return MeasureLimits(nominal - (number(check.minus) or 0.0), nominal + (number(check.plus) or 0.0))
    return MeasureLimits(number(check.low), number(check.high))


def wanted_count(item: CountCheck | Repeat, kind: PartKind) -> int:
    """How many there must be. Raises UnknownDimension, BadDimension or KioskError."""
    text = item.want if isinstance(item, CountCheck) else item.times
    value = _number(text, "count", kind)
    if value != int(value) or not 0 < value <= 10_000:
        raise BadDimension(text, f"{text!r} is not a count of 1 to 10,000", "write a whole number")
    return int(value)


def work_out(wanted: NumberWanted, kind: PartKind) -> Result:
    """The bench number a step asks for, with the kind's dimensions put in.

    Raises UnknownDimension, BadDimension or KioskError.
    """
    from kiosk.numbers.catalogue import CALCULATORS  # all of bench arithmetic: a start does without it

    calculator = CALCULATORS[wanted.calculator]
    text_inputs = {parameter.name for parameter in calculator.parameters if parameter.kind is str}
    inputs = {
        name: kind.values.get(text, text)
        if name in text_inputs
        else ", ".join(written_value(item.strip(), kind) for item in text.split(","))
        for name, text in wanted.inputs.items()
    }
    named = [text for text in wanted.inputs.values() if text in kind.values]
    try:
        return calculator.work_out(inputs)
    except KioskError as error:
        if named:
            opening = set(error.wrong.split()[:2])
            blamed = next(
                (text for name, text in wanted.inputs.items() if opening.intersection(name.split("_"))), ""
            )
            raise BadDimension(
                blamed if blamed in kind.values else named[0],
                f"{wanted.calculator} for {kind.id!r}: {error.wrong}",
                error.mend,
            ) from None
        raise
