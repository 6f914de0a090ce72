"""What may be written where a figure is wanted: the figure itself, or where it comes from.

One value has one home. A figure that can be worked out names its calculator and inputs, a figure of the
laid-out rib names it, and a figure that another part kind has names that kind. ``plans:`` beside it keeps the
figure as the plans print it: that one is used, and `kiosk check` compares the two.
"""

from dataclasses import field
from typing import Annotated, Any, TypeVar

from kiosk.dataclass import dataclass
from kiosk.shop.checked import Strict, before, fault, tag, told_apart
from kiosk.shop.faults import nearest
from kiosk.shop.fields import Minutes, Name, Text, whole


@dataclass(frozen=True, kw_only=True)
class Worked(Strict):
    """A calculator's answer. Each input is a value, or the name of a dimension of the part kind.

    ``figure`` names one of the further figures (``sight_lines``) and ``which`` counts the items of a list.
    """

    calculator: Name | Text
    inputs: dict[str, Text] = field(default_factory=dict)
    figure: Text | None = None
    which: Annotated[int, whole(1, 1_000)] = 1
    plans: Text | None = None


@dataclass(frozen=True, kw_only=True)
class OfRib(Strict):
    """A figure of the rib as it is laid out from the part kind's section, chord and stations."""

    rib: Text
    plans: Text | None = None


@dataclass(frozen=True, kw_only=True)
class OfKind(Strict):
    """A dimension that another part kind gives: the block has the radius of the rib it forms."""

    of: Name
    dimension: Name
    plans: Text | None = None


def _form(value: Any) -> str:
    if isinstance(value, Worked | OfRib | OfKind):
        return type(value).__name__
    if isinstance(value, dict):
        return "OfRib" if "rib" in value else "OfKind" if "of" in value else "Worked"
    return "text"


_HOMES = {"calculator": Worked, "rib": OfRib, "of": OfKind}
_BESIDE = frozenset({"inputs", "figure", "which", "plans", "dimension"})


def _one_home(value: Any) -> Any:
    """A map that names one home; any other is one fault, not one for each key that the guess lacks."""
    if not isinstance(value, dict):
        return value
    named = [key for key in _HOMES if key in value]
    if len(named) > 1:
        raise fault(f"a figure has one home, but {' and '.join(named)} stand here", "delete all but one")
    if not value:
        raise fault("nothing is written here", f"write a value, or {_WHERE_FROM}")
    if not named:
        strange = next((key for key in value if key not in _BESIDE), None)
        if strange is not None:
            raise fault(f"unknown key {strange!r}", nearest(str(strange), _HOMES))
        if "dimension" in value:
            raise fault("'of' is missing here", "add of: and the part kind that has the dimension")
        if set(value) == {"plans"}:
            raise fault("plans: stands alone here", f"write the value alone, or add {_WHERE_FROM}")
        raise fault("'calculator' is missing here", "add calculator: and its name")
    return value


_WHERE_FROM = "where it comes from: calculator:, rib:, or of: and dimension:"
Elsewhere = Worked | OfRib | OfKind
_Itself = TypeVar("_Itself")
_OneHome = Annotated[
    Annotated[_Itself, tag("text")]
    | Annotated[Worked, tag("Worked")]
    | Annotated[OfRib, tag("OfRib")]
    | Annotated[OfKind, tag("OfKind")],
    told_apart(_form),
    before(_one_home),
]
Written = _OneHome[Text]
WrittenMinutes = _OneHome[Minutes]
