"""A dataclass of the kiosk's is a standard one, whenever its methods are made."""

import copy
import dataclasses
import pickle
import re
import threading
from collections.abc import Callable
from dataclasses import FrozenInstanceError, InitVar, asdict, field, fields, is_dataclass, replace
from typing import Any, ClassVar, Generic, TypeVar

import pytest

from kiosk.dataclass import dataclass

T = TypeVar("T")


@dataclass(frozen=True)
class Hole:
    """A hole and what is known of it."""

    drill: str
    across_in: float = 0.125
    notes: dict[str, str] = field(default_factory=dict)
    seen_by: str = field(default="", compare=False, repr=False)


@dataclass(frozen=True)
class Deep(Hole):
    """One that is deeper than it is wide."""

    deep_in: float = 1.0


@dataclass(frozen=True)
class Box(Generic[T]):
    """Anything in a box."""

    inside: T


@dataclasses.dataclass(frozen=True)
class Standard:
    """The same as Hole by the standard decorator."""

    drill: str
    across_in: float = 0.125
    notes: dict[str, str] = field(default_factory=dict)
    seen_by: str = field(default="", compare=False, repr=False)


def fresh() -> Any:
    """A class of which nothing was made yet."""

    @dataclass(frozen=True)
    class Rivet:
        dash: int
        length: int = 4

    return Rivet


FIRST_USES: dict[str, Callable[[Any], object]] = {
    "made": lambda cls: cls(3),
    "equal": lambda cls: _raw(cls, 3, 4) == _raw(cls, 3, 4),
    "hashed": lambda cls: hash(_raw(cls, 3, 4)),
    "shown": lambda cls: repr(_raw(cls, 3, 4)),
    "fields": lambda cls: fields(cls),
    "replaced": lambda cls: replace(_raw(cls, 3, 4), dash=4),
    "matched": lambda cls: cls.__match_args__,
}


def _raw(cls: Any, dash: int, length: int) -> Any:
    """One that was read from what was kept, past ``__init__``."""
    one = object.__new__(cls)
    one.__dict__.update(dash=dash, length=length)
    return one


@pytest.mark.parametrize("use", FIRST_USES)
def test_whatever_is_wanted_first_it_is_all_there(use: str) -> None:
    cls = fresh()
    FIRST_USES[use](cls)
    assert cls(3) == cls(3, 4) != cls(4)
    assert hash(cls(3)) == hash(cls(3, 4))
    assert repr(cls(3)).endswith("Rivet(dash=3, length=4)")
    assert [one.name for one in fields(cls)] == ["dash", "length"]
    assert replace(cls(3), length=6) == cls(3, 6)
    assert cls.__match_args__ == ("dash", "length")
    assert is_dataclass(Hole) and is_dataclass(Hole("#30"))
    with pytest.raises(TypeError, match="missing 1 required positional argument"):
        cls()


def test_it_is_what_the_standard_decorator_makes() -> None:
    one, same = (
        Hole("#30", notes={"a": "b"}, seen_by="odile"),
        Standard("#30", notes={"a": "b"}, seen_by="odile"),
    )
    assert asdict(one) == asdict(same)
    assert repr(one).replace("Hole", "Standard") == repr(same)
    assert replace(one, seen_by="wren") == one
    assert vars(one) == vars(same) and Hole.seen_by == Standard.seen_by == ""
    assert not hasattr(Hole, "notes") and not hasattr(Standard, "notes")
    params = "__dataclass_params__"
    assert repr(getattr(Hole, params)) == repr(getattr(Standard, params))
    assert copy.deepcopy(one) == one == pickle.loads(pickle.dumps(one))


@pytest.mark.parametrize("name", ["drill", "another"])
def test_nothing_on_it_is_set_or_deleted(name: str) -> None:
    for one in (Hole("#30"), Deep("#30")):
        with pytest.raises(FrozenInstanceError, match="cannot assign to field"):
            setattr(one, name, "#40")
        with pytest.raises(FrozenInstanceError, match="cannot delete field"):
            delattr(one, name)


def test_one_may_be_made_by_keywords_alone() -> None:
    @dataclass(frozen=True, kw_only=True)
    class Sheet:
        alloy: str = "2024-T3"
        thickness_in: float

    assert vars(Sheet)["__init__"].__qualname__.endswith("first")  # nothing of it is made yet
    assert Sheet(thickness_in=0.025) == Sheet(alloy="2024-T3", thickness_in=0.025)
    assert Sheet.__match_args__ == () and [one.kw_only for one in fields(Sheet)] == [True, True]
    with pytest.raises(TypeError, match="positional"):
        Sheet("2024-T3", 0.025)  # type: ignore[call-arg]
    with pytest.raises(FrozenInstanceError):
        Sheet(thickness_in=0.025).alloy = "6061-T6"  # type: ignore[misc]


def test_one_of_another_class_is_never_equal() -> None:
    assert Deep("#30") != Hole("#30")
    assert [one.name for one in fields(Deep)] == ["drill", "across_in", "notes", "seen_by", "deep_in"]
    assert Box(3) == Box(3) and Box(3) != Box(4)


def test_its_methods_are_made_once_the_first_few_things_are() -> None:
    cls = fresh()
    before = cls.__init__
    few = [cls(3, number) for number in range(200)]
    made = cls.__init__
    assert made is not before and made.__qualname__.endswith("__init__")
    assert [vars(one) for one in few] == [{"dash": 3, "length": number} for number in range(200)]
    cls(4)
    assert cls.__init__ is made


def shaped(decorator: Any) -> dict[str, Any]:
    """Classes of every shape, by the decorator that is given."""

    @decorator(frozen=True)
    class Plain:
        dash: int
        notes: list[str] = field(default_factory=list)
        seen_by: str = field(default="", compare=False)

    @decorator(frozen=True, kw_only=True)
    class Named:
        dash: int
        length: int = 4

    @decorator(frozen=True, order=True)
    class Ordered:
        dash: int
        length: int = 4

    @decorator
    class Changing:
        dash: int
        length: int = 4

    @decorator()
    class Later(Changing):
        alloy: str = "AD"

    @decorator(frozen=True)
    class Checked:
        dash: int
        length: int = 4
        grip_in: float = field(init=False, repr=False, hash=False)

        def __post_init__(self) -> None:
            if self.dash < 0:
                raise ValueError("a rivet without a size")
            object.__setattr__(self, "grip_in", self.length / 16)

    @decorator(frozen=True)
    class Counted:
        dash: int
        seen: list[int] = field(init=False, default_factory=list)

    @decorator(frozen=True)
    class Both:
        dash: int
        length: int = field(default=4, kw_only=True)

    @decorator(frozen=True)
    class WithOfTheClass:
        KINDS: ClassVar[tuple[str, ...]] = ("AD", "DD")
        dash: int
        given: InitVar[int] = 4  # type: ignore[assignment]

        def __post_init__(self, given: int) -> None:
            object.__setattr__(self, "dash", self.dash + given)

    return {
        one.__name__: one
        for one in (Plain, Named, Ordered, Changing, Later, Checked, Counted, Both, WithOfTheClass)
    }


CALLS: tuple[tuple[tuple[Any, ...], dict[str, Any]], ...] = (
    ((), {}),
    ((3,), {}),
    ((3, 5), {}),
    ((3, 5, "DD"), {}),
    ((3, 5, "DD", 7), {}),
    ((), {"dash": 3}),
    ((), {"length": 5, "dash": 3}),
    ((3,), {"length": 6}),
    ((3,), {"dash": 3}),
    ((3,), {"grip_in": 3}),
    ((3,), {"seen": [3]}),
    ((-1,), {}),
)


def told(call: Callable[[], Any]) -> object:
    """What came of it, to be compared: everything that one can see of the thing, or what was raised."""
    try:
        one = call()
    except Exception as error:
        return type(error), re.sub(r"\S+\.__init__", "__init__", str(error))
    return vars(one), list(vars(one)), repr(one).rpartition(".")[2]


@pytest.mark.parametrize("shape", shaped(dataclasses.dataclass))
@pytest.mark.parametrize("call", CALLS, ids=str)
def test_of_every_shape_the_first_thing_and_the_hundredth_are_as_the_standard_decorator_makes_them(
    shape: str, call: tuple[tuple[Any, ...], dict[str, Any]]
) -> None:
    args, named = call
    wanted = told(lambda: shaped(dataclasses.dataclass)[shape](*args, **named))
    cls = shaped(dataclass)[shape]
    found = [told(lambda: cls(*args, **named)) for _ in range(100)]
    assert found == [wanted] * 100


def test_things_that_are_ordered_are_compared_and_those_that_change_are_no_keys() -> None:
    shapes = shaped(dataclass)
    ordered, changing = shapes["Ordered"], shapes["Changing"]
    assert sorted([ordered(4), ordered(3, 5), ordered(3)]) == [ordered(3), ordered(3, 5), ordered(4)]
    assert ordered(3) <= ordered(3) and ordered(4) > ordered(3) and ordered(4) >= ordered(4)
    with pytest.raises(TypeError, match="not supported between"):
        _ = ordered(3) < changing(4)
    one = changing(3)
    one.length = 6
    assert one == changing(3, 6) and repr(one).endswith("Changing(dash=3, length=6)")
    with pytest.raises(TypeError, match="unhashable"):
        hash(one)


def test_two_threads_may_want_it_first() -> None:
    for _ in range(50):
        found: list[bool] = []
        cls, met = fresh(), threading.Barrier(4)

        def use(cls: Any = cls, met: threading.Barrier = met, found: list[bool] = found) -> None:
            met.wait()
            found.append(cls(3) == cls(3, 4))

        threads = [threading.Thread(target=use) for _ in range(4)]
        for one in threads:
            one.start()
        for one in threads:
            one.join()
        assert found == [True] * 4


def test_a_method_of_ones_own_wants_the_standard_decorator() -> None:
    with pytest.raises(TypeError, match="has its own __eq__"):

        @dataclass(frozen=True)
        class Odd:
            dash: int

            def __eq__(self, other: object) -> bool:
                return True
