"""The base of what is read from a shop's files, and what pydantic is told of it.

Pydantic is imported when something is read, checked, or shown as JSON Schema, and not before: with the
classes that it makes it was a third of a start, and a start takes what was kept and reads no file
(:mod:`kiosk.shop.kept`). So what is read are frozen dataclasses, which pydantic knows as it knows its own,
and what stands beside the type of a field is made when pydantic asks for it.
"""

import dataclasses
import inspect
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any, Self, cast

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, TypeAdapter
    from pydantic.json_schema import JsonSchemaValue
    from pydantic_core import CoreSchema


class FieldFault(KioskError, ValueError):
    """What stands in a field cannot be taken. Pydantic gathers these with their places, as any ValueError."""


def fault(wrong: str, mend: str) -> FieldFault:
    """What is wrong with a field, and how to mend it."""
    return FieldFault(wrong, mend)


class Told:
    """What pydantic is told beside a type, made when it asks: for it, a group of annotations.

    See GroupedMetadata in the README of annotated-types, which need not be imported for one.
    """

    __is_annotated_types_grouped_metadata__ = True

    def __init__(self, make: Callable[[], Iterable[object]]) -> None:
        self._make = make

    def __iter__(self) -> Iterator[object]:
        return iter(self._make())


def before(read: Callable[[Any], Any], *, json_as: Any = None) -> Told:
    """What is written is given to ``read`` first; ``json_as`` is what that takes, where it takes another."""

    def make() -> Iterable[object]:
        from pydantic import BeforeValidator

        how = {} if json_as is None else {"json_schema_input_type": json_as}
        return [BeforeValidator(read, **how)]

    return Told(make)


def after(check: Callable[[Any], Any]) -> Told:
    """What was read is given to ``check``."""

    def make() -> Iterable[object]:
        from pydantic import AfterValidator

        return [AfterValidator(check)]

    return Told(make)


def letters(*, most: int, least: int | None = None, pattern: str | None = None, strip: bool = False) -> Told:
    """A text of so many characters, as the pattern has it, without the blanks around it if ``strip``."""

    def make() -> Iterable[object]:
        from pydantic import StringConstraints

        limits = StringConstraints(
            strip_whitespace=strip or None, min_length=least, max_length=most, pattern=pattern
        )
        return list(limits)

    return Told(make)


def not_empty() -> Told:
    """At least one of a list."""

    def make() -> Iterable[object]:
        from pydantic import Field

        return list(Field(min_length=1).metadata)

    return Told(make)


def tag(name: str) -> Told:
    """What one of several is called by :func:`told_apart`."""

    def make() -> Iterable[object]:
        from pydantic import Tag

        return [Tag(name)]

    return Told(make)


def told_apart(by: str | Callable[[Any], str]) -> Told:
    """Which of several is written: by a field that each has, or by the tag that ``by`` gives."""

    def make() -> Iterable[object]:
        from pydantic import Discriminator

        return [Discriminator(by)]

    return Told(make)


def shown_as(schema: Mapping[str, Any]) -> Told:
    """What JSON Schema says of it."""

    def make() -> Iterable[object]:
        from pydantic import WithJsonSchema

        return [WithJsonSchema(dict(schema))]

    return Told(make)


def key_of(field: str) -> str:
    """The key that a field has in the file: ``written_minutes`` stands there as ``minutes``."""
    return field.removeprefix("written_")


@dataclass(frozen=True)
class Strict:
    """The base of everything read from a shop file: nothing unknown, nothing changed afterwards.

    Each class below is a frozen dataclass that is made by keywords. What the code makes is taken as it is;
    :meth:`model_validate` reads and checks what a file says. A private field (``init=False``, and without a
    default: pydantic passes over it) is set by ``__post_init__``, which may raise a :func:`fault` as well.
    """

    __pydantic_config__ = {"extra": "forbid", "allow_inf_nan": False, "alias_generator": key_of}

    @classmethod
    @cache
    def _reader(cls) -> "TypeAdapter[Self]":
        from pydantic import TypeAdapter

        return TypeAdapter(cls)

    @classmethod
    def model_validate(cls, written: Any) -> Self:
        """Read one from plain data. Raises pydantic's ValidationError with every fault."""
        return cls._reader().validate_python(written)

    @classmethod
    def model_json_schema(cls) -> dict[str, Any]:
        """What may be written, as JSON Schema."""
        return cls._reader().json_schema()

    def model_copy(self, *, update: Mapping[str, Any] | None = None) -> Self:
        """The same with other values in some fields, which are not checked. Raises TypeError for a name that
        is no field: the change would be none."""
        copy = object.__new__(type(self))
        changed = update or {}
        if strange := changed.keys() - vars(self).keys():
            raise TypeError(f"{type(self).__name__} has no field {', '.join(sorted(strange))}")
        fields = vars(copy)
        fields.update(vars(self))
        fields.update(changed)
        if "fields_written" in fields:
            fields["fields_written"] = _one(fields["fields_written"].union(changed))
        return copy

    @cached_property
    def fields_written(self) -> frozenset[str]:
        """The fields that are written in the file; of what was made in the code, those unlike the default."""
        return frozenset(
            field.name for field in fields_of(type(self)) if getattr(self, field.name) != _default_of(field)
        )

    def as_written(self) -> dict[str, Any]:
        """What is written in the file, as plain data: what is left out there is left out here."""
        written = self.fields_written
        return {key_of(name): _plain(value) for name, value in vars(self).items() if name in written}

    @classmethod
    def take(cls, written: Any, read: Callable[[Any], Self]) -> Self:
        """Read what is written; what is wrong with it as a whole is found before."""
        made = read(written)
        if isinstance(written, dict):
            names = frozenset(name for name in vars(made) if key_of(name) in written)
            vars(made)["fields_written"] = _one(names)
        return made

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: "GetCoreSchemaHandler") -> "CoreSchema":
        from pydantic_core import core_schema

        inner: dict[str, Any] = dict(handler(source))
        name = inner.pop("ref", None)  # the whole has it, as JSON Schema wants it
        return core_schema.no_info_wrap_validator_function(cls.take, cast("CoreSchema", inner), ref=name)

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: "CoreSchema", handler: "GetJsonSchemaHandler"
    ) -> "JsonSchemaValue":
        """As of a model of pydantic's: with the words of the class, and every default."""
        made = handler(schema)
        whole = handler.resolve_ref_schema(made)
        whole["description"] = inspect.cleandoc(cls.__doc__ or "")
        for field in fields_of(cls):
            default = _default_of(field)
            if isinstance(default, Strict):
                default = {key_of(one.name): getattr(default, one.name) for one in fields_of(type(default))}
            if isinstance(default, dict):
                whole["properties"][key_of(field.name)]["default"] = default
        return made


def fields_of(cls: type[Strict]) -> "list[dataclasses.Field[Any]]":
    """The fields that may be written in a file, in order; private ones are not."""
    return [field for field in dataclasses.fields(cls) if field.init]


@cache
def _one(names: frozenset[str]) -> frozenset[str]:
    """The same set for the same names: thousands of steps and checks have few, and are packed with them."""
    return names


def _default_of(field: "dataclasses.Field[Any]") -> Any:
    made = field.default_factory
    return field.default if made is dataclasses.MISSING else made()


def _plain(value: Any) -> Any:
    if isinstance(value, Strict):
        return value.as_written()
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    return vars(value) if dataclasses.is_dataclass(value) else value
