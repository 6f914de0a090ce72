"""What every calculator gives back, and the decorator that makes a plain function a calculator.

A calculator is one pure function that takes keyword arguments whose names end in their unit
(``thickness_in``, ``bend_angle_deg``) and returns an :class:`Answer`. The decorator adds the inputs, the
formula in words, the source and the range, so that the screen and the logbook can show the working.
"""

import functools
import inspect
import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from pydantic import BaseModel, ConfigDict

from kiosk.errors import KioskError
from kiosk.numbers.units import NotALength, parse_length_in, show_in

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
}


class OutOfRange(KioskError):
    """The inputs are outside the range in which the formula holds."""


class Quantity(BaseModel):
    """A named value with its unit; the unit is empty for a count, a ratio or a word."""

    model_config = ConfigDict(frozen=True)

    name: str
    value: float | int | str
    unit: str = ""

    def show(self) -> str:
        """The value as the screen shows it."""
        if isinstance(self.value, str):
            return self.value
        if self.unit == "in":
            return show_in(float(self.value), 4 if 0 < abs(self.value) < 0.1 else 3)
        if isinstance(self.value, int):
            return f"{self.value} {self.unit}".strip()
        return f"{self.value:.4g} {self.unit}".strip()


class Result(BaseModel):
    """One worked figure: what went in, what came out, how, and from which source."""

    model_config = ConfigDict(frozen=True)

    calculator: str
    title: str
    value: float | int | str
    unit: str
    inputs: tuple[Quantity, ...]
    formula: str
    source: str
    holds: str
    more: tuple[Quantity, ...] = ()
    warnings: tuple[str, ...] = ()

    def show(self) -> str:
        """The value as the screen shows it."""
        return Quantity(name=self.title, value=self.value, unit=self.unit).show()

    def other(self, name: str) -> float | int | str:
        """One of the further values by its name. Raises KeyError when there is none."""
        for quantity in self.more:
            if quantity.name == name:
                return quantity.value
        raise KeyError(name)


@dataclass(frozen=True)
class Answer:
    """What the body of a calculator returns: the value, further values, and warnings to show beside them."""

    value: float | int | str
    more: tuple[Quantity, ...] = ()
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Parameter:
    """One input of a calculator as YAML, the command line and the screen see it."""

    name: str  # without the unit: what a procedure writes
    argument: str  # with the unit: what the function takes
    unit: str
    kind: type
    choices: tuple[str, ...]
    default: object  # inspect.Parameter.empty when it must be given

    @property
    def is_list(self) -> bool:
        """True when several values are given, with commas between them."""
        return self.kind is tuple

    @property
    def required(self) -> bool:
        """True when there is no default."""
        return self.default is inspect.Parameter.empty

    def read(self, text: str) -> float | int | str | tuple[float, ...]:
        """Turn the written text into a value. Raises OutOfRange or NotALength, saying what is accepted."""
        text = text.strip()
        if self.is_list:
            items = [item.strip() for item in text.split(",") if item.strip()]
            return tuple(float(self._read_one(item)) for item in items)
        return self._read_one(text)

    def _read_one(self, text: str) -> float | int | str:
        if self.unit == "in":
            return parse_length_in(text)
        if self.choices:
            by_lower = {choice.lower(): choice for choice in self.choices}
            if text.lower() not in by_lower:
                raise OutOfRange(
                    f"{self.name} {text!r} is not known", f"use one of {', '.join(self.choices)}"
                )
            return by_lower[text.lower()]
        if self.kind is str:
            return text
        try:
            return int(text) if self.kind is int else float(text)
        except ValueError:
            kind = "a whole number" if self.kind is int else "a number"
            raise OutOfRange(f"{self.name} {text!r} is not {kind}", "write it in digits") from None


class Calculator:
    """A calculator with everything that is known about it; call it with keyword arguments."""

    def __init__(
        self,
        function: Callable[..., Answer],
        *,
        subject: str,
        title: str,
        unit: str,
        formula: str,
        source: str,
        holds: str,
    ) -> None:
        functools.update_wrapper(self, function)
        self.name = function.__name__
        self.function = function
        self.subject = subject
        self.title = title
        self.unit = unit
        self.formula = formula
        self.source = source
        self.holds = holds
        self.parameters = _parameters(function)

    def __call__(self, **arguments: typing.Any) -> Result:
        given = {
            parameter.argument: arguments.get(parameter.argument, parameter.default)
            for parameter in self.parameters
        }
        unknown = set(arguments) - set(given)
        if unknown:
            raise TypeError(f"{self.name} takes no {', '.join(sorted(unknown))}")
        answer = self.function(**arguments)
        inputs = tuple(
            Quantity(name=parameter.name.replace("_", " "), value=value, unit=parameter.unit)
            for parameter in self.parameters
            if (value := _plain(given[parameter.argument])) is not None
        )
        return Result(
            calculator=self.name,
            title=self.title,
            value=answer.value,
            unit=self.unit,
            inputs=inputs,
            formula=self.formula,
            source=self.source,
            holds=self.holds,
            more=answer.more,
            warnings=answer.warnings,
        )

    def work_out(self, written: Mapping[str, str]) -> Result:
        """Work from written inputs (names without units, values as text).

        Raises OutOfRange for a missing or unknown input and NotALength for a bad one.
        """
        known = {parameter.name: parameter for parameter in self.parameters}
        for name in written:
            if name not in known:
                raise OutOfRange(f"{self.name} has no input {name!r}", f"its inputs are {', '.join(known)}")
        arguments: dict[str, object] = {}
        for name, parameter in known.items():
            if name in written:
                try:
                    arguments[parameter.argument] = parameter.read(written[name])
                except NotALength as error:
                    raise OutOfRange(f"{name}: {error.wrong}", error.mend) from None
            elif parameter.required:
                raise OutOfRange(f"{self.name} needs {name}", "give it as a value or a dimension name")
        return self(**arguments)


def calculator(
    *, subject: str, title: str, unit: str, formula: str, source: str, holds: str
) -> Callable[[Callable[..., Answer]], Calculator]:
    """Make a function a :class:`Calculator`; all arguments are shown to the builder."""

    def make(function: Callable[..., Answer]) -> Calculator:
        return Calculator(
            function, subject=subject, title=title, unit=unit, formula=formula, source=source, holds=holds
        )

    return make


def _plain(value: object) -> float | int | str | None:
    """An input as a result keeps it; a list as its items with commas."""
    if isinstance(value, tuple):
        return ", ".join(f"{item:g}" for item in value)
    return value if isinstance(value, int | float | str) else None


def require(condition: bool, wrong: str, mend: str) -> None:
    """Refuse inputs outside the range in which a formula holds. Raises OutOfRange."""
    if not condition:
        raise OutOfRange(wrong, mend)


def _parameters(function: Callable[..., Answer]) -> tuple[Parameter, ...]:
    hints = typing.get_type_hints(function)
    found = []
    for argument, parameter in inspect.signature(function).parameters.items():
        hint = hints[argument]
        if isinstance(hint, types.UnionType):
            hint = next(part for part in typing.get_args(hint) if part is not types.NoneType)
        choices = typing.get_args(hint) if typing.get_origin(hint) is typing.Literal else ()
        if typing.get_origin(hint) is tuple:
            hint = tuple
        suffix = next((s for s in sorted(UNIT_SUFFIXES, key=len, reverse=True) if argument.endswith(s)), "")
        found.append(
            Parameter(
                name=argument.removesuffix(suffix),
                argument=argument,
                unit=UNIT_SUFFIXES.get(suffix, ""),
                kind=str if choices else hint,
                choices=tuple(str(choice) for choice in choices),
                default=parameter.default,
            )
        )
    return tuple(found)
