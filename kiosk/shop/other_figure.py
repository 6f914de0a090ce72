"""A figure from elsewhere that a typed one is held to, and what is said where the two differ."""

from contextlib import suppress

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.numbers.result import Quantity
from kiosk.shop.figures import Dimension
from kiosk.shop.measures import read_number
from kiosk.shop.rounding import differs, exactly

_SAME = 1e-6  # inches, degrees or whatever it is: what arithmetic in another order leaves over


@dataclass(frozen=True)
class OtherHome:
    """The values that a typed figure may be, where they are from, and what the typed one is then told."""

    values: tuple[Quantity, ...]
    by: str
    told: str = "is not what is worked out"


@dataclass(frozen=True)
class OtherFigure:
    """The same figure from elsewhere: each value that it may be, what the typed one is then told, and the
    figure in words."""

    values: tuple[Quantity, ...]
    told: str
    figure: str
    from_rib: bool = False

    def differs_from(self, typed: str) -> bool:
        """True when what is typed is none of its values."""
        return all(differs(typed, one, from_rib=self.from_rib) for one in self.values)


def other_figure(found: Dimension, home: str, *, from_rib: bool) -> OtherFigure | None:
    """A figure to compare with: as it is worked out, or as another part kind has it typed."""
    if found.worked is not None:
        shown = f"{exactly(found.worked)} ({home})"
        return OtherFigure((found.worked,), "is not what is worked out", shown, from_rib)
    value = quantity_of(found)
    if value is None:
        return None  # a word, such as the grain
    return OtherFigure((value,), "is not what is borrowed", f"{found.typed} ({home})", from_rib)


def same(one: Quantity, other: Quantity) -> bool:
    """True for the same value, as a word or in the same unit."""
    words = isinstance(one.value, str) or isinstance(other.value, str)
    return (words or one.unit == other.unit) and same_value(one, other)


def same_value(one: Quantity, other: Quantity) -> bool:
    """The same of two that are known to be of one unit: 18 rivets are a count of 18."""
    if isinstance(one.value, str) or isinstance(other.value, str):
        return one.value == other.value
    return abs(one.value - other.value) < _SAME


def quantity_of(found: Dimension) -> Quantity | None:
    """A dimension as a number, worked out or as it is typed; None for a word, such as the grain."""
    if found.worked is not None:
        return found.worked
    typed = found.typed or ""
    for unit in ("",) if typed.isdecimal() else ("in", "deg"):
        with suppress(KioskError):
            return Quantity(found.name, read_number(typed, unit or "count"), unit)
    return None
