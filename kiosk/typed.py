"""Whether data is what the annotations of its classes say, all the way down.

What was packed is read back without a schema (:mod:`kiosk.packed`), so bytes that were made by other code or
by hand may hold a text where a table is wanted. That would stop whoever came upon it, long after it was read.
A schema of pydantic's would tell, and takes longer to build than all of a start may; this looks at one field
of all things of a class at once, so that a state of some 10,000 things costs some milliseconds.

It knows dataclasses, named tuples, tuples, dicts and frozensets of them, unions and literals, and
plain types. A class is meant exactly, without those below it; a whole number may stand for a float.
"""

# With its import, on a state of 279 kB: 4 ms of 250 for a bare app; typeguard 55, beartype 86 and pydantic 51
# look into no dataclass that is made already. msgspec and cattrs can't take dataclasses such as these.

from collections.abc import Sequence
from datetime import date, datetime
from functools import cache, cached_property
from inspect import get_annotations
from itertools import chain
from operator import itemgetter
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

_PLAIN = {str, int, float, bool, type(None), date, datetime}


class WrongType(TypeError):
    """Something is not of the type that its annotation says."""


def require_type(hint: Any, value: object) -> None:
    """Raises WrongType, which names the field, where a value is not what an annotation says."""
    _Look().at(hint, [value], "what was kept")


class _Look:
    """One look through data; what was looked at once is not looked at again."""

    def __init__(self) -> None:
        self._seen: set[int] = set()  # by id: all of them live for as long as the look lasts

    def at(self, hint: Any, values: Sequence[Any], where: str) -> None:
        """Look at the values that stand where an annotation says what they are."""
        kinds = set(map(type, values))
        if kinds <= _plain(hint):
            return
        origin, options = get_origin(hint), get_args(hint)
        if origin is Annotated:
            self.at(options[0], values, where)
        elif origin is Union or origin is UnionType:
            for kind in kinds:
                self._one_of(
                    [one for one in options if kind in _classes_of(one)],
                    [value for value in values if type(value) is kind],
                    where,
                )
        elif not kinds <= _classes_of(hint):
            named = ", ".join(sorted(kind.__name__ for kind in kinds - _classes_of(hint)))
            raise WrongType(f"{where} is {named}")
        elif origin is Literal:
            if not set(values) <= set(options):
                raise WrongType(f"{where} is none of {', '.join(map(str, options))}")
        elif origin is dict:
            self.at(options[0], list(chain.from_iterable(values)), where)
            self.at(options[1], list(chain.from_iterable(map(dict.values, values))), where)
        elif origin is frozenset or (origin is tuple and options[-1] is Ellipsis):
            self.at(options[0], list(chain.from_iterable(values)), where)
        elif origin is tuple:
            self._columns([(str(place), one) for place, one in enumerate(options)], values, where)
        elif issubclass(hint, tuple):
            self._columns(list(_fields_of(hint).items()), values, hint.__name__)
        elif _fields_of(hint):
            new = [value for value in values if id(value) not in self._seen]
            self._things(hint, new)
            self._seen.update(map(id, new))

    def _one_of(self, options: Sequence[Any], values: Sequence[Any], where: str) -> None:
        """Look at values of one class, which one of some annotations of that class says what they are."""
        wrong = WrongType(f"{where} is {type(values[0]).__name__}")
        for hint in options:
            try:
                return self.at(hint, values, where)
            except WrongType as error:
                wrong = error
        raise wrong

    def _columns(
        self, fields: Sequence[tuple[str, Any]], rows: Sequence[tuple[Any, ...]], where: str
    ) -> None:
        """Look at rows of as many values as there are fields."""
        if set(map(len, rows)) - {len(fields)}:
            raise WrongType(f"{where} has not {len(fields)} values")
        for (name, hint), column in zip(fields, zip(*rows, strict=True), strict=False):
            self.at(hint, column, f"{where}.{name}")

    def _things(self, cls: type, things: Sequence[Any]) -> None:
        """Look at things of one class with fields by name. What was worked out once may be kept with them."""
        rows, fields = list(map(vars, things)), _fields_of(cls)
        if extra := set().union(*rows) - fields.keys():
            worked = {name: _worked(cls, name) for name in extra}
            for name, hint in worked.items():
                self.at(hint, [row[name] for row in rows if name in row], f"{cls.__name__}.{name}")
        for name, hint in fields.items():
            try:
                column = list(map(itemgetter(name), rows))
            except KeyError:
                raise WrongType(f"{cls.__name__}.{name} is missing") from None
            self.at(hint, column, f"{cls.__name__}.{name}")


@cache
def _classes_of(hint: Any) -> frozenset[type]:
    """The classes of which a value may be exactly, where an annotation says what it is."""
    origin, options = get_origin(hint), get_args(hint)
    if origin is Annotated:
        return _classes_of(options[0])
    if origin is Union or origin is UnionType:
        return frozenset(chain.from_iterable(map(_classes_of, options)))
    if origin is Literal:
        return frozenset(map(type, options))
    if hint is None:
        return frozenset({type(None)})
    return frozenset({float, int}) if hint is float else frozenset({origin or hint})


@cache
def _plain(hint: Any) -> frozenset[type]:
    """The classes of which a value may be with nothing more to look at; none where there is."""
    origin, options = get_origin(hint), get_args(hint)
    if origin is Annotated:
        return _plain(options[0])
    if origin is Union or origin is UnionType:
        found = [_plain(one) for one in options]
        return frozenset().union(*found) if all(found) else frozenset()
    classes = _classes_of(hint)
    return classes if origin is None and classes <= _PLAIN else frozenset()


@cache
def _fields_of(cls: type) -> dict[str, Any]:
    """The fields of a dataclass, unmade still, or a named tuple with their annotations; none of a plain
    type."""
    if "__dataclass_fields__" not in vars(cls) and not hasattr(cls, "_fields"):
        return {}
    found: dict[str, Any] = {}
    for one in reversed(cls.__mro__):
        found |= get_annotations(one, eval_str=True)
    return found


def _worked(cls: type, name: str) -> Any:
    """The annotation of what things of a class work out once and keep with their fields."""
    found = next((vars(one)[name] for one in cls.__mro__ if name in vars(one)), None)
    if not isinstance(found, cached_property):
        raise WrongType(f"{cls.__name__} has no field {name}")
    return get_annotations(found.func, eval_str=True)["return"]
