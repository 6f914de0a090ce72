"""The field types that shop files share: text, lengths, minutes, marks and names."""

import re
from collections.abc import Callable
from datetime import date
from typing import Annotated, Any, Self, cast

from pydantic import BaseModel, BeforeValidator, ConfigDict, StringConstraints
from pydantic_core import PydanticCustomError

from kiosk.errors import KioskError
from kiosk.numbers.units import parse_length_in

_MINUTES = re.compile(r"^(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>s|seconds?|min|minutes?|h|hours?|days?)?$")
_PER_UNIT = {"s": 1 / 60, "m": 1.0, "h": 60.0, "d": 1440.0}


def fault(wrong: str, mend: str) -> PydanticCustomError:
    """A pydantic error that keeps what is wrong and how to mend it apart."""
    return PydanticCustomError("kiosk", "{wrong}; {mend}", {"wrong": wrong, "mend": mend})


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


def whole(least: int, most: int) -> Any:
    """The annotation of a whole number in a range, such as how many tools there are."""

    def read(value: Any) -> int:
        text = one_value(value)
        if not _WHOLE.match(text):
            raise fault(f"{text!r} is not a whole number", f"write {least} to {most:,}")
        if not least <= int(text[:20]) <= most:
            raise fault(f"{text!r} is not between {least} and {most:,}", "correct it")
        return int(text)

    return BeforeValidator(read)


def number(least: float, most: float) -> Any:
    """The annotation of a number in a range, such as how much is left."""

    def read(value: Any) -> float:
        text = one_value(value)
        if not _NUMBER.match(text):
            raise fault(f"{text!r} is not a number", f"write {least:g} to {most:,.10g}")
        if not least <= float(text) <= most:
            raise fault(f"{text!r} is not between {least:g} and {most:,.10g}", "correct it")
        return float(text)

    return BeforeValidator(read)


_FIGURE_NAME = re.compile(r"^[a-z][a-z0-9_]*$")


def value_or_name(read: Callable[[Any], float]) -> Callable[[Any], float | str]:
    """A reader that takes the name of a figure of the part kind too, such as ``pot_life``."""

    def taken(value: Any) -> float | str:
        text = one_value(value)
        return text if _FIGURE_NAME.match(text) else read(value)

    return taken


def number_or_name(least: float, most: float) -> Any:
    """The annotation of a number in a range, or of the name of a figure of the part kind."""
    return BeforeValidator(value_or_name(number(least, most).func))


def _one_or_more(value: Any) -> Any:
    return (value,) if isinstance(value, str) else value


MOST_AT_ONCE = 100_000  # of anything that a shop counts
HIGHEST_AGE = 120
COLDEST_F, HOTTEST_F = -40.0, 140.0  # what a workshop's thermometer can show
Date = Annotated[date, BeforeValidator(parse_date)]
LengthIn = Annotated[float, BeforeValidator(_length)]
Minutes = Annotated[float, BeforeValidator(parse_minutes)]
Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=600)]
Name = Annotated[
    str, StringConstraints(pattern=r"^[a-z0-9]+(?:[-_][a-z0-9]+)*$", max_length=60)
]  # an id in a file: small letters, digits, - and _
Mark = Annotated[
    str, StringConstraints(pattern=r"^[A-Z][A-Z0-9]*(?:-[A-Z0-9]+)*$", max_length=20)
]  # what is scribed or tagged on a part or a sheet, such as NR-04

# What a thing was called before, the newest name first: the record still has it so.
FormerNames = Annotated[tuple[Name, ...], BeforeValidator(_one_or_more)]
FormerMarks = Annotated[tuple[Mark, ...], BeforeValidator(_one_or_more)]


class Strict(BaseModel):
    """The base of everything read from a shop file: nothing unknown, nothing changed afterwards."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, defer_build=True)

    @classmethod
    def as_unwritten(cls) -> Self:
        """What stands where nothing is written: every field as it is by default.

        Not checked, for that would build its schema while its module is loaded: a start does without.
        """
        return cast(Self, cls.model_construct())
