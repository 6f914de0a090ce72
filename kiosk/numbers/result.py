"""What a calculator gives back, and the decorator that makes a plain function a calculator.

A calculator is a pure function whose arguments end in their unit (``thickness_in``, ``bend_angle_deg``) and
which returns a :class:`Result` of its own type: a frozen dataclass whose first field is the headline and
whose field names end in their unit too. The decorator leaves the signature as it is; it adds the inputs, the
formula in words, the source and the range to what is returned, so that screen and logbook can show the
working.
"""

import dataclasses
import functools
import inspect
import math
import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from numbers import Real
from typing import Any, ParamSpec, TypeVar

from kiosk.errors import KioskError
from kiosk.numbers.units import UNIT_SUFFIXES, NotALength, parse_length_in, show_in

Value = float | int | str

_BOTH_WAYS = frozenset({"arms_in"})  # lengths counted from a datum, minus on its other side
_LONGEST_SUFFIX_FIRST = sorted(UNIT_SUFFIXES, key=len, reverse=True)


class OutOfRange(KioskError):
    """The inputs are outside the range in which the formula holds.

    ``argument`` is the guilty argument as the function names it (``thickness_in``); empty when it is not one
    alone. ``item`` is which of a list it is, from 0; None when it is no list, or all of it is guilty.
    """

    def __init__(self, wrong: str, mend: str, argument: str = "", item: int | None = None) -> None:
        super().__init__(wrong, mend)
        self.argument = argument
        self.item = item

    def __reduce__(self) -> tuple[type["OutOfRange"], tuple[str, str, str, int | None]]:
        """So that it can be copied and sent between processes; an exception alone keeps only its message."""
        return type(self), (self.wrong, self.mend, self.argument, self.item)


def require(condition: bool, argument: str, wrong: str, mend: str, item: int | None = None) -> None:
    """Refuse inputs outside the range in which a formula holds.

    Parameters
    ----------
    condition : bool
        What must be so.
    argument : str
        The argument to blame when it is not so, as the function names it.
    wrong, mend : str
        What is wrong, and how to mend it.
    item : int, optional
        Which of a list is to blame, from 0.

    Raises
    ------
    OutOfRange
        When the condition does not hold.
    """
    if not condition:
        raise OutOfRange(wrong, mend, argument, item)


def require_finite(arguments: Mapping[str, object]) -> None:
    """Refuse ``nan`` and infinity among arguments by name, in lists too: they are no numbers at a bench.

    Raises
    ------
    OutOfRange
        Naming the argument, and which of a list it is.
    """
    for argument, value in arguments.items():
        is_list = isinstance(value, tuple | list)
        for item, one in enumerate(value if isinstance(value, tuple | list) else (value,)):
            require(
                not isinstance(one, float) or math.isfinite(one),
                argument,
                f"{split_unit(argument)[0]} {one} is not a number",
                "write it in digits, such as 12 or 12.5",
                item if is_list else None,
            )


def split_unit(name: str) -> tuple[str, str]:
    """A name without its unit, and the unit: ``thickness_in`` gives ``thickness`` and ``in``."""
    suffix = next((one for one in _LONGEST_SUFFIX_FIRST if name.endswith(one)), "")
    return (name.removesuffix(suffix), UNIT_SUFFIXES[suffix]) if suffix else (name, "")


@dataclass(frozen=True)
class Quantity:
    """A named value with its unit; the unit is empty for a count, a ratio or a word."""

    name: str
    value: Value
    unit: str = ""

    def show(self) -> str:
        """The value as the screen shows it."""
        if isinstance(self.value, str):
            return self.value
        if self.unit == "in":
            return show_in(float(self.value), _places_in(float(self.value)))
        if isinstance(self.value, int):
            return f"{self.value} {self.unit}".strip()
        if self.unit == "ml":  # no cup at a bench reads finer
            return f"{self.value:.0f} ml" if self.value >= 10 else f"{self.value:.1f} ml"
        return f"{self.value:.4g} {self.unit}".strip()


def _places_in(value_in: float) -> int:
    """Decimals of inches: thousandths, and finer for a film, so that what is shown can be reckoned with."""
    if not 0 < abs(value_in) < 0.1:
        return 3
    return 5 if abs(value_in) < 0.005 and abs(value_in * 1e4 - round(value_in * 1e4)) > 1e-6 else 4


@dataclass(frozen=True)
class Figure:
    """One field of a result: what a procedure calls it, what the screen calls it, and its unit."""

    name: str  # without the unit: what a procedure writes
    field: str  # with the unit: the attribute of the result
    unit: str
    label: str
    is_list: bool


def figure(label: str = "", unit: str = "") -> Any:
    """A field of a result whose words on the screen, or whose unit, its name does not tell."""
    return field(metadata={"label": label, "unit": unit})


@dataclass(frozen=True, kw_only=True)
class Result:
    """One worked figure: what went in, what came out, how, and from which source.

    A calculator returns a subclass of its own. Its first field is the headline, the others stand beside it.
    """

    warnings: tuple[str, ...] = ()
    inputs: tuple[Quantity, ...] = ()  # put in by the decorator
    about: "Calculator | None" = field(default=None, repr=False, compare=False)  # put in by the decorator

    @classmethod
    def figures(cls) -> tuple[Figure, ...]:
        """The fields that hold figures, the headline first."""
        return _figures(cls)

    @property
    def calculator(self) -> str:
        """The name of the calculator."""
        return self._about.name

    @property
    def title(self) -> str:
        """What the headline is called."""
        return self._about.title

    @property
    def formula(self) -> str:
        """How it was worked out, in words."""
        return self._about.formula

    @property
    def source(self) -> str:
        """Where the formula or table is published."""
        return self._about.source

    @property
    def holds(self) -> str:
        """For which inputs it holds."""
        return self._about.holds

    @property
    def _about(self) -> "Calculator":
        if self.about is None:
            raise ValueError(f"{type(self).__name__} was not returned by a calculator")
        return self.about

    @property
    def headline(self) -> Quantity:
        """The value that was asked for."""
        first = self.figures()[0]
        return Quantity(self.title, getattr(self, first.field), first.unit)

    @property
    def value(self) -> Value:
        """The headline's value; the typed field says the same."""
        return self.headline.value

    @property
    def unit(self) -> str:
        """The headline's unit."""
        return self.headline.unit

    @property
    def beside(self) -> tuple[Quantity, ...]:
        """The further figures as the screen lists them; a list gives one quantity an item."""
        found: list[Quantity] = []
        for one in self.figures()[1:]:
            value = getattr(self, one.field)
            if value is None:
                continue
            if one.is_list:
                singular = one.label.removesuffix("s")
                found += [Quantity(f"{singular} {n}", item, one.unit) for n, item in enumerate(value, 1)]
            else:
                found.append(Quantity(one.label, value, one.unit))
        return tuple(found)

    def figure(self, name: str, which: int = 1) -> Quantity:
        """One figure by the name a procedure writes; ``which`` counts the items of a list from 1.

        Raises
        ------
        KeyError
            When there is no such figure, or the list is shorter.
        """
        one = next((one for one in self.figures() if one.name == name), None)
        if one is None:
            raise KeyError(name)
        value = getattr(self, one.field)
        if one.is_list:
            if not 1 <= which <= len(value):
                raise KeyError(f"{name} {which}")
            value = value[which - 1]
        elif which != 1 or value is None:
            raise KeyError(f"{name} {which}")
        return Quantity(one.label, value, one.unit)

    def show(self) -> str:
        """The headline as the screen shows it."""
        return self.headline.show()

    def as_data(self) -> dict[str, object]:
        """The whole result as plain data, for JSON."""
        values = {one.field: getattr(self, one.field) for one in self.figures()}
        return {
            "calculator": self.calculator,
            "title": self.title,
            "value": self.value,
            "unit": self.unit,
            "figures": values,
            "inputs": [dataclasses.asdict(one) for one in self.inputs],
            "formula": self.formula,
            "source": self.source,
            "holds": self.holds,
            "warnings": list(self.warnings),
        }


_BASE_FIELDS = frozenset(one.name for one in dataclasses.fields(Result))


# A class's fields do not change, and each result asks for them several times.
_FIGURES: dict[type[Result], tuple[Figure, ...]] = {}


def _figures(kind: type[Result]) -> tuple[Figure, ...]:
    if kind not in _FIGURES:
        _FIGURES[kind] = _read_figures(kind)
    return _FIGURES[kind]


def _read_figures(kind: type[Result]) -> tuple[Figure, ...]:
    hints = typing.get_type_hints(kind)
    found = []
    for one in dataclasses.fields(kind):
        if one.name in _BASE_FIELDS:
            continue
        name, unit = split_unit(one.name)
        label = one.metadata.get("label") or name.replace("_", " ")
        hint = hints[one.name]
        is_list = typing.get_origin(hint) is tuple
        found.append(Figure(name, one.name, one.metadata.get("unit") or unit, label, is_list))
    return tuple(found)


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
    def is_text(self) -> bool:
        """True for a word such as an alloy."""
        return self.kind is str

    @property
    def required(self) -> bool:
        """True when there is no default."""
        return self.default is inspect.Parameter.empty

    def read(self, text: str) -> Value | tuple[float, ...]:
        """Turn the written text into a value. Raises OutOfRange, saying what is accepted."""
        text = text.strip()
        try:
            if self.is_list:
                items = [item.strip() for item in text.split(",") if item.strip()]
                return tuple(float(self.read_one(item)) for item in items)
            return self.read_one(text)
        except NotALength as error:
            raise OutOfRange(f"{self.name}: {error.wrong}", error.mend, self.argument) from None

    def accept(self, value: object) -> None:
        """Refuse what is none of its choices, no number, no whole one or no list, whoever calls.

        Raises
        ------
        OutOfRange
            Naming the argument.
        """
        if value is None and self.default is None:
            return
        if self.choices or self.is_text:
            require(
                isinstance(value, str), self.argument, f"{self.name} {value!r} is no word", "write a word"
            )
            if self.choices and value not in self.choices:
                raise self._not_known(str(value))
            return
        items = value if self.is_list else (value,)
        if not isinstance(items, tuple | list):
            raise OutOfRange(f"{self.name} {value!r} is no list", "give every value of it", self.argument)
        for item, one in enumerate(items):
            at = item if self.is_list else None
            is_number = isinstance(one, Real) and not isinstance(one, bool)
            mend = "write it in digits, such as 12 or 12.5"
            require(is_number, self.argument, f"{self.name} {one!r} is not a number", mend, at)
        if self.kind is int and isinstance(value, Real):
            is_whole = float(value).is_integer()
            mend = "write it in digits"
            require(is_whole, self.argument, f"{self.name} {value} is not a whole number", mend)

    def _not_known(self, text: str) -> OutOfRange:
        mend = f"use one of {', '.join(self.choices)}"
        return OutOfRange(f"{self.name} {text!r} is not known", mend, self.argument)

    def read_one(self, text: str) -> Value:
        """Turn one item into a value. Raises OutOfRange or NotALength."""
        if self.unit == "in":
            behind = self.argument in _BOTH_WAYS and text.startswith("-")
            return -parse_length_in(text[1:].strip()) if behind else parse_length_in(text)
        if self.choices:
            by_lower = {choice.lower(): choice for choice in self.choices}
            if text.lower() not in by_lower:
                raise self._not_known(text)
            return by_lower[text.lower()]
        if self.kind is str:
            return text
        try:
            return int(text) if self.kind is int else float(text)
        except ValueError:
            kind = "a whole number" if self.kind is int else "a number"
            degrees = ", in degrees Fahrenheit" if self.unit == "F" else ""
            raise OutOfRange(
                f"{self.name} {text!r} is not {kind}", f"write it in digits{degrees}", self.argument
            ) from None


@dataclass(frozen=True, eq=False)
class Calculator:
    """Everything that is known about a calculator: its words, its inputs, its figures and its function."""

    function: Callable[..., Result]
    subject: str
    title: str
    formula: str
    source: str
    holds: str

    @property
    def name(self) -> str:
        """What a procedure and the command line call it."""
        return self.function.__name__

    @functools.cached_property
    def parameters(self) -> tuple[Parameter, ...]:
        """Its inputs in order."""
        return parameters_of(self.function)

    @functools.cached_property
    def figures(self) -> tuple[Figure, ...]:
        """What it gives, the headline first."""
        made: type[Result] = typing.get_type_hints(inspect.unwrap(self.function))["return"]
        return made.figures()

    def parameter_of(self, argument: str) -> Parameter | None:
        """The input with this argument name, as an OutOfRange carries it."""
        return next((one for one in self.parameters if one.argument == argument), None)

    def work_out(self, written: Mapping[str, str]) -> Result:
        """Work from written inputs (names without units, values as text).

        Raises
        ------
        OutOfRange
            For a missing, unknown or unreadable input, and for one outside the range.
        """
        known = {one.name: one for one in self.parameters}
        for name in written:
            if name not in known:
                raise OutOfRange(f"{self.name} has no input {name!r}", f"its inputs are {', '.join(known)}")
        return self.work(
            {known[name].argument: known[name].read(text) for name, text in written.items()},
        )

    def work(self, arguments: Mapping[str, object]) -> Result:
        """Work from values by argument name. Raises OutOfRange as :meth:`work_out` does."""
        for one in self.parameters:
            if one.required and one.argument not in arguments:
                raise OutOfRange(
                    f"{self.name} needs {one.name}", "give it as a value or a dimension name", one.argument
                )
        # A shop asks for the same again for each kind of a size, and when one of its files was saved.
        asked = (self, repr(sorted(arguments.items())))
        if asked not in _answers:
            made = self.function(**arguments)
            if len(_answers) >= _MOST_ANSWERS:
                _answers.clear()
            _answers[asked] = made
        return _answers[asked]


_MOST_ANSWERS = 2_000  # a shop of a few dozen kinds asks for some four hundred
_answers: dict[tuple[Calculator, str], Result] = {}


P = ParamSpec("P")
R = TypeVar("R", bound=Result)

_KNOWN: dict[str, Calculator] = {}


def known_calculators() -> Mapping[str, Calculator]:
    """Every calculator whose module is loaded, by name."""
    return _KNOWN


def calculator(
    *, subject: str, title: str, formula: str, source: str, holds: str
) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Make a function a calculator: what it returns then carries its inputs and its words.

    The signature stays the function's own, so that a type checker and ``help`` see it. An input that is not
    finite, or is none of the choices that its type names, never reaches the function: the call raises
    OutOfRange, naming it.
    """

    def make(function: Callable[P, R]) -> Callable[P, R]:
        @functools.wraps(function)
        def work(*args: P.args, **kwargs: P.kwargs) -> R:
            given = signature.bind(*args, **kwargs)
            given.apply_defaults()
            require_finite(given.arguments)
            for one in about.parameters:
                one.accept(given.arguments[one.argument])
            try:
                made = function(*args, **kwargs)
            except (OverflowError, ZeroDivisionError):  # finite, but beyond what a number can hold
                raise OutOfRange(*_TOO_FAR) from None
            _require_answer(made)
            inputs = tuple(
                Quantity(one.name.replace("_", " "), value, one.unit)
                for one in about.parameters
                if (value := _plain(given.arguments[one.argument])) is not None
            )
            return dataclasses.replace(made, inputs=inputs, about=about)

        signature = inspect.signature(function)
        about = Calculator(work, subject, title, formula, source, holds)
        _KNOWN[about.name] = about
        return work

    return make


_TOO_FAR = ("an input is too large or too small to work with", "give sizes as they are at a bench")


def _require_answer(made: Result) -> None:
    """Refuse an answer that ran out of the numbers there are."""
    for one in made.figures():
        value = getattr(made, one.field)
        for item in value if isinstance(value, tuple) else (value,):
            if isinstance(item, float) and not math.isfinite(item):
                raise OutOfRange(*_TOO_FAR)


def _plain(value: object) -> Value | None:
    """An input as a result keeps it; a list as its items with commas."""
    if isinstance(value, tuple):
        return ", ".join(f"{item:g}" for item in value)
    return value if isinstance(value, int | float | str) else None


def parameters_of(
    function: Callable[..., object], names: Mapping[str, object] | None = None
) -> tuple[Parameter, ...]:
    """The inputs of a function whose arguments end in their unit, in order.

    ``names`` stand for what its annotations name and its module does not import.
    """
    function = inspect.unwrap(function)
    hints = typing.get_type_hints(function, localns=dict(names or {}))
    found = []
    for argument, parameter in inspect.signature(function).parameters.items():
        hint = hints[argument]
        if isinstance(hint, types.UnionType):
            hint = next(part for part in typing.get_args(hint) if part is not types.NoneType)
        choices = typing.get_args(hint) if typing.get_origin(hint) is typing.Literal else ()
        if typing.get_origin(hint) is tuple:
            hint = tuple
        name, unit = split_unit(argument)
        found.append(
            Parameter(
                name=name,
                argument=argument,
                unit=unit,
                kind=str if choices else hint,
                choices=tuple(str(choice) for choice in choices),
                default=parameter.default,
            )
        )
    return tuple(found)
