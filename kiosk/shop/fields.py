"""The field types that shop files share: text, lengths, minutes, marks and names."""

import re
from collections.abc import Callable
from datetime import date
from typing import Annotated, Any

from kiosk.errors import KioskError
from kiosk.numbers.units import parse_length_in
from kiosk.shop.checked import Told, before, fault, letters

_MINUTES = re.compile(r"^(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>s|seconds?|min|minutes?|h|hours?|days?)?$")
_PER_UNIT = {"s": 1 / 60, "m": 1.0, "h": 60.0, "d": 1440.0}


def one_value(value: Any) -> str:
    """A value as text. Raises the fault for a list or a map, which stands where one value is wanted."""
    if isinstance(value, list | tuple | dict):
        raise fault("a list or a map stands here, where one value is wanted", "write the value alone")
    return str(value).strip()


def _length(value: Any) -> Any:
    try:
        return parse_length_in(one_value(value))
    except KioskError as error:
        raise fault(error.wrong, error.mend) from None


def parse_minutes(value: Any) -> float:
    """Read ``45``, ``90 s``, ``30 min``, ``4 h`` or ``2 days`` as minutes, 0 to 60 days."""
    match = _MINUTES.match(one_value(value))
    if not match:
        raise fault(f"{value!r} is not a time", "write it like 45, 90 s, 30 min, 4 h or 2 days")
    minutes = float(match["number"]) * _PER_UNIT[(match["unit"] or "m")[0]]
    if minutes > 86_400:
        raise fault(f"{value!r} is longer than 60 days", "write a shorter time")
    return minutes


_DATE = re.compile(r"^\d{4}-\d{2}-\d{2}$")
FIRST_YEAR, LAST_YEAR = 1900, 2100


def parse_date(value: Any) -> date:
    """Read ``2027-03-31``, of the years 1900 to 2100. Raises the fault with an example."""
    if isinstance(value, date):
        return value
    text = one_value(value)
    wrong, mend = f"{text!r} is not a date", "write year, month and day like 2027-03-31"
    if not _DATE.match(text):
        raise fault(wrong, mend)
    try:
        found = date.fromisoformat(text)
    except ValueError:
        raise fault(f"{wrong} in the calendar", mend) from None
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise fault(f"{text!r} is not between {FIRST_YEAR} and {LAST_YEAR}", "correct the year")
    return found


_WHOLE = re.compile(r"^-?\d+$")
_NUMBER = re.compile(r"^-?(?:\d+\.?\d*|\.\d+)$")


def whole(least: int, most: int) -> Told:
    """The annotation of a whole number in a range, such as how many tools there are."""

    def read(value: Any) -> int:
        text = one_value(value)
        if not _WHOLE.match(text):
            raise fault(f"{text!r} is not a whole number", f"write {least} to {most:,}")
        if not least <= int(text[:20]) <= most:
            raise fault(f"{text!r} is not between {least} and {most:,}", "correct it")
        return int(text)

    return before(read)


def _number_reader(least: float, most: float) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        text = one_value(value)
        if not _NUMBER.match(text):
            raise fault(f"{text!r} is not a number", f"write {least:g} to {most:,.10g}")
        if not least <= float(text) <= most:
            raise fault(f"{text!r} is not between {least:g} and {most:,.10g}", "correct it")
        return float(text)

    return read


def number(least: float, most: float) -> Told:
    """The annotation of a number in a range, such as how much is left."""
    return before(_number_reader(least, most))


_FIGURE_NAME = re.compile(r"^[a-z][a-z0-9_]*$")


def value_or_name(read: Callable[[Any], float]) -> Callable[[Any], float | str]:
    """A reader that takes the name of a figure of the part kind too, such as ``pot_life``."""

    def taken(value: Any) -> float | str:
        text = one_value(value)
        return text if _FIGURE_NAME.match(text) else read(value)

    return taken


def number_or_name(least: float, most: float) -> Told:
    """The annotation of a number in a range, or of the name of a figure of the part kind."""
    return before(value_or_name(_number_reader(least, most)))


def _one_or_more(value: Any) -> Any:
    return (value,) if isinstance(value, str) else value


MOST_AT_ONCE = 100_000  # of anything that a shop counts
HIGHEST_AGE = 120
COLDEST_F, HOTTEST_F = -40.0, 140.0  # what a workshop's thermometer can show
Date = Annotated[date, before(parse_date)]
LengthIn = Annotated[float, before(_length)]
Minutes = Annotated[float, before(parse_minutes)]
Text = Annotated[str, letters(least=1, most=600, strip=True)]
Name = Annotated[
    str, letters(pattern=r"^[a-z0-9]+(?:[-_][a-z0-9]+)*$", most=60)
]  # an id in a file: small letters, digits, - and _
Mark = Annotated[
    str, letters(pattern=r"^[A-Z][A-Z0-9]*(?:-[A-Z0-9]+)*$", most=20)
]  # what is scribed or tagged on a part or a sheet, such as NR-04

# What a thing was called before, the newest name first: the record still has it so.
FormerNames = Annotated[tuple[Name, ...], before(_one_or_more)]
FormerMarks = Annotated[tuple[Mark, ...], before(_one_or_more)]
