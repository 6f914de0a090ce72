"""The standard ``dataclass``; its methods are made when the first of them is called.

The standard decorator compiles six methods of each class as its module is loaded, on Python 3.11 one by one:
0.4 ms a class. A start loads some two hundred classes and makes things of a fifth of them, so that a tenth
of its time went into methods that nobody called. Here the standard decorator makes them at the first call, on
a twin with the same fields, and from then on they are the class's own: nothing is slower than ever it was.
The first few things of a class are filled in field by field, which takes less than to compile how.

To whoever uses such a class, to a type checker and to :mod:`dataclasses` it is a standard dataclass; only
``inspect.signature`` shows ``(*args, **kwargs)`` before the first use. It costs a reader this module. Once
the kiosk wants Python 3.13, which compiles all methods at once, put the standard import in its place.
"""

import dataclasses
import inspect
import re
from collections.abc import Callable
from functools import cached_property, partial
from typing import TYPE_CHECKING, Any

# Of the class itself. Without its words the twin would be given some, by a slow look at its signature.
_OF_THE_CLASS = (
    *("__module__", "__qualname__", "__doc__", "__annotations__", "__orig_bases__"),
    "__post_init__",
)
_TO_COMPARE = ("__eq__", "__hash__")
_ORDER = ("__lt__", "__le__", "__gt__", "__ge__")
_TO_SHOW = ("__repr__",)
_TABLES = ("__dataclass_fields__", "__match_args__")
_HOW = "__dataclass_params__"
_HANDLED = {"frozen", "kw_only", "order"}  # what else the standard decorator is asked for is left to it
_FILLED = 64  # things of a class: the last of them have cost as much as to compile its ``__init__``
_NO_FIELD = re.compile(r"\b(ClassVar|InitVar|KW_ONLY)\b")


class _Later:
    """What the standard decorator gives to a class, until something of it is wanted.

    Two threads may make it at once: both make the same, and each thing is put in its place whole.
    """

    def __init__(self, cls: type, how: dict[str, bool]) -> None:
        fields = inspect.get_annotations(cls)
        wanted = [name for name in (*fields, *_OF_THE_CLASS) if name in cls.__dict__]
        self._cls = cls
        self._how = how
        self._fields = fields
        self._to_fill = _FILLED
        self.methods = (*_TO_COMPARE, *_TO_SHOW, *(_ORDER if how.get("order") else ()))
        self._written = {name: cls.__dict__[name] for name in wanted}
        for name, value in self._written.items():
            if isinstance(value, dataclasses.Field):  # as the standard decorator leaves the class
                if value.default is dataclasses.MISSING:
                    delattr(cls, name)
                else:
                    setattr(cls, name, value.default)

    def make(self, *names: str, **less: bool) -> None:
        """Take these from a standard dataclass with the same fields."""
        twin = type(self._cls.__name__, self._cls.__bases__, dict(self._written))
        how: Any = self._how | less
        made: Any = dataclasses.dataclass(**how)(twin)
        for name in names:
            setattr(self._cls, name, getattr(made, name))

    @cached_property
    def _given(self) -> dict[str, Callable[[], Any] | None] | None:
        """The fields that ``__init__`` fills, by name, each with what makes its value where none is given.

        None where one of them is no plain field, or stands in a base.
        """
        if any(map(inspect.get_annotations, self._cls.__mro__[1:-1])):
            return None
        found: dict[str, Callable[[], Any] | None] = {}
        for name, hint in self._fields.items():
            value = self._written.get(name, dataclasses.MISSING)
            if _NO_FIELD.search(str(hint)):
                return None
            if not isinstance(value, dataclasses.Field):
                found[name] = None if value is dataclasses.MISSING else partial(_same, value)
                continue
            made: Any = value.default_factory
            if value.default is not dataclasses.MISSING:
                made = partial(_same, value.default)
            if value.kw_only is True or (not value.init and made is not dataclasses.MISSING):
                return None
            if value.init:
                found[name] = None if made is dataclasses.MISSING else made
        return found

    def fill(self, one: Any, args: tuple[Any, ...], named: dict[str, Any]) -> bool:
        """Give one of the first few what its fields hold. False, and nothing is done, where only the standard
        ``__init__`` can, or would refuse."""
        self._to_fill -= 1
        fields = self._given
        if self._to_fill < 0 or fields is None or (args and self._how.get("kw_only")):
            return False
        values = dict(zip(fields, args, strict=False)) | named
        if len(values) < len(args) + len(named) or not values.keys() <= fields.keys():
            return False
        for name, default in fields.items():
            if name not in values:
                if default is None:
                    return False
                values[name] = default()
        one.__dict__.update({name: values[name] for name in fields})
        if hasattr(one, "__post_init__"):
            one.__post_init__()
        return True

    def make_what_goes_with(self, name: str) -> None:
        """Take what is wanted, and no more than is made with it."""
        if name == _HOW:  # how it was made as a whole
            self.make("__init__", *self.methods, *_TABLES, _HOW)
        elif name in _TO_COMPARE:
            self.make(*_TO_COMPARE, init=False, repr=False, order=False)
        elif name in _ORDER:
            self.make(*_ORDER, init=False, repr=False)
        elif name in _TO_SHOW:
            self.make(*_TO_SHOW, init=False, eq=False, order=False)
        else:
            self.make("__init__", *_TABLES, repr=False, eq=False, order=False)

    def method(self, name: str) -> Callable[..., Any]:
        """A method that makes itself and those that go with it when it is first called."""

        def first(one: object, /, *args: Any, **kwargs: Any) -> Any:
            if name == "__init__" and self.fill(one, args, kwargs):
                return None
            self.make_what_goes_with(name)
            return getattr(self._cls, name)(one, *args, **kwargs)

        return first


class _Table:
    """Stands for what :mod:`dataclasses` keeps on a class, until somebody asks for it."""

    def __init__(self, later: _Later, name: str) -> None:
        self._later, self._name = later, name

    def __get__(self, one: object, cls: type) -> Any:
        self._later.make_what_goes_with(self._name)
        return getattr(cls, self._name)


def _same(value: Any) -> Any:
    return value


def _refuse_to_set(one: object, name: str, value: object) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_to_delete(one: object, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _made_later(cls: type, how: dict[str, bool]) -> type:
    later = _Later(cls, how)
    own: dict[str, Any] = {name: later.method(name) for name in ("__init__", *later.methods)}
    own |= {name: _Table(later, name) for name in (*_TABLES, _HOW)}
    if how.get("frozen"):
        own |= {"__setattr__": _refuse_to_set, "__delattr__": _refuse_to_delete}
    else:
        own["__hash__"] = None  # what may change is no key
    for name, value in own.items():
        if name in cls.__dict__:
            raise TypeError(f"{cls.__name__} has its own {name}: give it the standard dataclass")
        setattr(cls, name, value)
    return cls


if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:

    def dataclass(cls=None, /, **how):
        """As the standard one is called. What asks for more is handed on to it."""
        if how.keys() <= _HANDLED:
            later = partial(_made_later, how=how)
            return later if cls is None else later(cls)
        return dataclasses.dataclass(cls, **how)
