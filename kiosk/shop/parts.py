"""Part kinds and the parts made to them."""

import re
from collections.abc import Sequence
from dataclasses import field
from typing import Annotated, Literal

from kiosk.dataclass import dataclass
from kiosk.shop.checked import Strict, fault, not_empty
from kiosk.shop.fields import (
    MOST_AT_ONCE,
    FormerMarks,
    FormerNames,
    LengthIn,
    Mark,
    Name,
    Text,
    whole,
)
from kiosk.shop.finish import FINISH_FIGURES, Finish, is_of_a_finish, is_to_read, written_for
from kiosk.shop.written import Elsewhere, Written

_NUMBERED = re.compile(r"^(?P<stem>.*?)(?P<number>\d+)$")
Hand = Literal["left", "right", "none"]
OF_THE_MATERIAL = ("alloy", "thickness")  # dimensions whose one home is the material


@dataclass(frozen=True, kw_only=True)
class Material(Strict):
    """What the part is made from. Tooling of wood gives ``other`` and no alloy."""

    alloy: Text | None = None
    thickness: LengthIn | None = None
    other: Text | None = None


@dataclass(frozen=True, kw_only=True)
class RouteStage(Strict):
    """One procedure in a route, and what must exist before it: part kinds and how many finished.

    A ``repair`` is passed over until a snag's rework sends a part to it; it stands before what it mends.
    """

    procedure: Name
    repair: bool = False
    needs: dict[Name, Annotated[int, whole(0, MOST_AT_ONCE)]] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Marks(Strict):
    """A run of part marks, first to last, or one mark; ``made_from`` are marks built into it."""

    first: Mark
    last: Mark | None = None
    renamed_from: FormerMarks = ()  # what the first was called; the others follow it
    hand: Hand = "none"
    made_from: tuple[Mark, ...] = ()

    def __post_init__(self) -> None:
        self.expand()
        for first in self.renamed_from:
            self.former(first)

    def former(self, first: str) -> tuple[str, ...]:
        """What the marks of the run were called when its first was called so, in order."""
        many = len(self.expand())
        if many == 1:
            return (first,)
        match = _NUMBERED.match(first)
        if not match:
            raise fault(f"{first} does not begin a run of {many} marks", "write it like NR-01")
        width = len(match["number"])
        return tuple(f"{match['stem']}{int(match['number']) + further:0{width}d}" for further in range(many))

    def expand(self) -> tuple[str, ...]:
        """Every mark in the run, in order."""
        if self.last is None:
            return (self.first,)
        start, end = _NUMBERED.match(self.first), _NUMBERED.match(self.last)
        if not start or not end or start["stem"] != end["stem"]:
            raise fault(
                f"{self.first} to {self.last} is not a run of marks", "write them like NR-01 and NR-14"
            )
        low, high = int(start["number"]), int(end["number"])
        if not 0 <= high - low < 500:
            raise fault(
                f"{self.first} to {self.last} runs backwards or is over 500", "give the lower one first"
            )
        width = len(start["number"])
        return tuple(f"{start['stem']}{number:0{width}d}" for number in range(low, high + 1))


@dataclass(frozen=True, kw_only=True)
class PartKind(Strict):
    """What several parts have in common: drawing, material, dimensions, how many and their route."""

    id: Name
    renamed_from: FormerNames = ()
    name: Text
    drawing: Text
    tooling: bool = False
    material: Material = Material()
    finish: Name | None = None  # one of the shop's finishes; its figures are named like dimensions
    dimensions: dict[str, Written] = field(default_factory=dict)
    route: Annotated[tuple[RouteStage, ...], not_empty()]
    marks: Annotated[tuple[Marks, ...], not_empty()]
    _of_finish: Finish | None = field(init=False, repr=False, hash=False)

    def __post_init__(self) -> None:
        self.gets(None)

    @property
    def its_finish(self) -> Finish | None:
        """The finish that it gets; None when it names none, or one that the shop does not have."""
        return self._of_finish

    def gets(self, finish: Finish | None) -> None:
        """Join it to its finish, once, when the shop file has been read."""
        object.__setattr__(self, "_of_finish", finish)

    def is_typical(self, name: str) -> bool:
        """True when a name is a finish's figure of which only the typical published value is known."""
        if name in self.dimensions or name not in FINISH_FIGURES:
            return False
        return is_to_read(self._of_finish, name)

    def written(self, name: str) -> str | Elsewhere | None:
        """A dimension as written.

        ``thickness`` and ``alloy`` come from the material, and a finish's figures from the finish, where not
        given.
        """
        if name in self.dimensions:
            return self.dimensions[name]
        if name == "alloy":
            return self.material.alloy
        if name == "thickness" and self.material.thickness is not None:
            return f"{self.material.thickness:.6g}"
        if name in OF_THE_MATERIAL or not is_of_a_finish(name):
            return None
        return written_for(self._of_finish, name)

    @property
    def names(self) -> tuple[str, ...]:
        """The names of all dimensions, those from the material included."""
        own = [name for name in OF_THE_MATERIAL if self.written(name) is not None]
        return tuple(dict.fromkeys([*self.dimensions, *own]))

    @property
    def procedures(self) -> tuple[str, ...]:
        """The ids of the route's procedures in order."""
        return tuple(stage.procedure for stage in self.route)

    @property
    def repairs(self) -> tuple[str, ...]:
        """The ids of those that a part goes through only when a snag's rework sends it there."""
        return tuple(stage.procedure for stage in self.route if stage.repair)


@dataclass(frozen=True)
class Part:
    """One physical thing with a mark on it: what its kind and its run of marks say of it."""

    mark: str
    kind: str
    hand: Hand = "none"
    made_from: tuple[str, ...] = ()


FEW_MARKS = 4  # so many are named each


def marks_in_full(marks: Sequence[str]) -> str:
    """All marks where they are few; first, last and how many where they are a run."""
    return marks_from_to(marks) if len(marks) <= FEW_MARKS else f"{marks_from_to(marks)} ({len(marks)} parts)"


def marks_from_to(marks: Sequence[str]) -> str:
    """The same where it was said already how many they are."""
    return ", ".join(marks) if len(marks) <= FEW_MARKS else f"{marks[0]} … {marks[-1]}"
