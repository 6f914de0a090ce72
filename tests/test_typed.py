"""Data is held to the annotations of its classes, whatever is wrong with it and however deep."""

from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Annotated, Any, Literal, NamedTuple

import pytest
from pydantic import Field

from kiosk.dataclass import dataclass
from kiosk.record.apply import fold
from kiosk.record.state import State
from kiosk.shop.data import data_folder
from kiosk.shop.kept import KeptFiles
from kiosk.shop.load import load_shop
from kiosk.typed import WrongType, require_type
from tests.record.what_changes import events_of

STORED = sorted((Path(__file__).parent / "record" / "stored").glob("*.db"))


class Size(NamedTuple):
    """Of a hole."""

    across_in: float
    deep_in: float | None = None


@dataclass(frozen=True)
class Hole:
    """A hole, with what is known of it."""

    size: Size
    drill: Annotated[str, Field(min_length=1)]
    seen: tuple[tuple[str, datetime], ...] = ()
    way: Literal["drilled", "punched"] | None = None


@dataclass(frozen=True)
class Rib:
    """A rib with its holes."""

    holes: dict[str, Hole]
    tags: frozenset[str] = frozenset()

    @cached_property
    def many(self) -> int:
        """How many holes."""
        return len(self.holes)


AT = datetime(2027, 5, 8, 12, tzinfo=UTC)
GOOD = Hole(Size(0.125, 1), "#30", (("wren", AT),), "drilled")


def rib(*holes: Any, **other: Any) -> Rib:
    return Rib(holes={f"H-{number}": one for number, one in enumerate(holes)}, **other)


def changed(thing: Any, **fields: Any) -> Any:
    """The thing with other fields, past whatever would refuse them."""
    twin = object.__new__(type(thing))
    vars(twin).update(vars(thing) | fields)
    return twin


def without(thing: Any, name: str) -> Any:
    twin = changed(thing)
    del vars(twin)[name]
    return twin


def test_what_is_as_it_says_is_taken() -> None:
    counted = rib(GOOD, Hole(Size(1), "#40"), tags=frozenset({"a"}))
    assert counted.many == 2
    for found in (rib(), rib(GOOD), counted):
        require_type(Rib, found)
    require_type(Size | None, None)
    require_type(str | dict[str, int], {"a": 1})


@pytest.mark.parametrize(
    ("hint", "wrong", "said"),
    [
        (Rib, GOOD, "what was kept is Hole"),
        (Rib, "rib", "what was kept is str"),
        (Rib, rib("a hole"), "Rib.holes is str"),
        (Rib, rib(GOOD, GOOD, None), "Rib.holes is NoneType"),
        (Rib, changed(rib(), holes=[GOOD]), "Rib.holes is list"),
        (Rib, changed(rib(), holes={1: GOOD}), "Rib.holes is int"),
        (Rib, changed(rib(), more=1), "Rib has no field more"),
        (Rib, changed(rib(), many="2"), "Rib.many is str"),
        (Rib, without(rib(), "tags"), "Rib.tags is missing"),
        (Rib, rib(tags=frozenset({1})), "Rib.tags is int"),
        (Rib, rib(GOOD, changed(GOOD, drill=30)), "Hole.drill is int"),
        (Rib, rib(GOOD, changed(GOOD, way="bored")), "Hole.way is none of drilled, punched"),
        (Rib, rib(GOOD, changed(GOOD, way=1)), "Hole.way is int"),
        (Rib, rib(GOOD, without(GOOD, "way")), "Hole.way is missing"),
        (Rib, rib(GOOD, changed(GOOD, size=(0.1, None))), "Hole.size is tuple"),
        (Rib, rib(changed(GOOD, size=Size("1/8"))), "Size.across_in is str"),  # type: ignore[arg-type]
        (Rib, rib(changed(GOOD, seen=(("wren", AT, 1),))), "Hole.seen has not 2 values"),
        (Rib, rib(changed(GOOD, seen=(("wren", "today"),))), "Hole.seen.1 is str"),
        (Rib, rib(changed(GOOD, seen=("wren",))), "Hole.seen is str"),
        (float, True, "what was kept is bool"),
        (int | str, 1.0, "what was kept is float"),
        (tuple[int, ...] | tuple[str, int], ("a", "b"), "what was kept.1 is str"),
    ],
)
def test_whatever_is_otherwise_is_told_with_its_field(hint: Any, wrong: object, said: str) -> None:
    with pytest.raises(WrongType) as found:
        require_type(hint, wrong)
    assert str(found.value) == said


@pytest.mark.parametrize("stored", STORED, ids=lambda path: path.stem)
def test_what_a_fold_gives_is_of_its_types(stored: Path) -> None:
    require_type(State, fold(events_of(stored)))


def test_what_is_read_of_a_shop_is_of_its_types() -> None:
    shop = load_shop(data_folder("scenarios") / "brambling")
    shop.figures.lay_out_ribs()
    require_type(KeptFiles, KeptFiles(shop.file, dict(shop.procedures), shop.figures.known, {"a.dat": None}))
