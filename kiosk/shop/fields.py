"""The field types that shop files share: text, lengths, minutes, marks and names."""

import re
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, StringConstraints
from pydantic_core import PydanticCustomError

from kiosk.errors import KioskError
from kiosk.numbers.units import parse_length_in

_MINUTES = re.compile(r"^(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>s|seconds?|min|minutes?|h|hours?|days?)?$")
_PER_UNIT = {"s": 1 / 60, "m": 1.0, "h": 60.0, "d": 1440.0}


def fault(wrong: str, mend: str) -> PydanticCustomError:
    """A pydantic error that keeps what is wrong and how to mend it apart."""
    return PydanticCustomError("kiosk", "{wrong}; {mend}", {"wrong": wrong, "mend": mend})


def _length(value: Any) -> Any:
    try:
        return parse_length_in(value)
    except KioskError as error:
        raise fault(error.wrong, error.mend) from None


def parse_minutes(value: Any) -> float:
    """Read ``45``, ``90 s``, ``30 min``, ``4 h`` or ``2 days`` as minutes, 0 to 60 days."""
    match = _MINUTES.match(str(value).strip())
    if not match:
        raise fault(f"{value!r} is not a time", "write it like 45, 90 s, 30 min, 4 h or 2 days")
    minutes = float(match["number"]) * _PER_UNIT[(match["unit"] or "m")[0]]
    if minutes > 86_400:
        raise fault(f"{value!r} is longer than 60 days", "write a shorter time")
    return minutes


LengthIn = Annotated[float, BeforeValidator(_length)]
Minutes = Annotated[float, BeforeValidator(parse_minutes)]
Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=600)]
Name = Annotated[
    str, StringConstraints(pattern=r"^[a-z0-9]+(?:[-_][a-z0-9]+)*$", max_length=60)
]  # an id in a file: small letters, digits, - and _
Mark = Annotated[
    str, StringConstraints(pattern=r"^[A-Z][A-Z0-9]*(?:-[A-Z0-9]+)*$", max_length=20)
]  # what is scribed or tagged on a part or a sheet, such as NR-04


class Strict(BaseModel):
    """The base of everything read from a shop file: nothing unknown, nothing changed afterwards."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, defer_build=True)
