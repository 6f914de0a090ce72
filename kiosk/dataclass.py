"""The standard ``dataclass``; the methods of a frozen one are made when the first of them is called.

The standard decorator compiles six methods of each class as its module is loaded, on Python 3.11 one by one:
0.4 ms a class. A start loads some ninety frozen classes and makes things of a third of them, so that a tenth
of its time went into methods that nobody called. Here the standard decorator makes them at the first call, on
a twin with the same fields, and from then on they are the class's own: nothing is slower than ever it was.

To whoever uses such a class, to a type checker and to :mod:`dataclasses` it is a standard dataclass; only
``inspect.signature`` shows ``(*args, **kwargs)`` before the first use. It costs a reader this module. Once
the kiosk wants Python 3.13, which compiles all methods at once, put the standard import in its place.
"""

import dataclasses
import inspect
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

# Of the class itself. Without its words the twin would be given some, by a slow look at its signature.
_OF_THE_CLASS = (
    *("__module__", "__qualname__", "__doc__", "__annotations__", "__orig_bases__"),
    "__post_init__",
)
_TO_COMPARE = ("__repr__", "__eq__", "__hash__")
_TABLES = ("__dataclass_fields__", "__match_args__")
_HOW = "__dataclass_params__"


class _Later:
    """What the standard decorator gives to a class, until something of it is wanted.

    Two threads may make it at once: both make the same, and each thing is put in its place whole.
    """

    def __init__(self, cls: type, *, kw_only: bool) -> None:
        fields = inspect.get_annotations(cls)
        wanted = [name for name in (*fields, *_OF_THE_CLASS) if name in cls.__dict__]
        self._cls = cls
        self._kw_only = kw_only
        self._written = {name: cls.__dict__[name] for name in wanted}
        for name, value in self._written.items():
            if isinstance(value, dataclasses.Field):  # as the standard decorator leaves the class
                if value.default is dataclasses.MISSING:
                    delattr(cls, name)
                else:
                    setattr(cls, name, value.default)

    def make(self, *names: str, **how: bool) -> None:
        """Take these from a standard dataclass with the same fields."""
        twin = type(self._cls.__name__, self._cls.__bases__, dict(self._written))
        made: Any = dataclasses.dataclass(frozen=True, kw_only=self._kw_only, **how)(twin)
        for name in names:
            setattr(self._cls, name, getattr(made, name))

    def make_what_goes_with(self, name: str) -> None:
        """Take what is wanted, and no more than is made with it."""
        if name in _TO_COMPARE:
            self.make(*_TO_COMPARE, init=False)
        elif name == _HOW:  # how it was made as a whole
            self.make("__init__", *_TO_COMPARE, *_TABLES, _HOW)
        else:
            self.make("__init__", *_TABLES, repr=False, eq=False)

    def method(self, name: str) -> Callable[..., Any]:
        """A method that makes itself and those that go with it when it is first called."""

        def first(one: object, /, *args: Any, **kwargs: Any) -> Any:
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


def _refuse_to_set(one: object, name: str, value: object) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_to_delete(one: object, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _made_later(cls: type, *, kw_only: bool = False) -> type:
    own: dict[str, Any] = {"__setattr__": _refuse_to_set, "__delattr__": _refuse_to_delete}
    later = _Later(cls, kw_only=kw_only)
    own |= {name: later.method(name) for name in ("__init__", *_TO_COMPARE)}
    own |= {name: _Table(later, name) for name in (*_TABLES, _HOW)}
    for name, value in own.items():
        if name in cls.__dict__:
            raise TypeError(f"{cls.__name__} has its own {name}: give it the standard dataclass")
        setattr(cls, name, value)
    return cls


if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:

    def dataclass(cls=None, /, **how):
        """As the standard one is called. What is not frozen, or asks for more, is handed on to it."""
        if cls is None and how in ({"frozen": True}, {"frozen": True, "kw_only": True}):
            return partial(_made_later, kw_only=how.get("kw_only", False))
        return dataclasses.dataclass(cls, **how)
