"""The blank that a part kind is cut from: what the cutting list reads, and what is checked beforehand."""

from kiosk.dataclass import dataclass
from kiosk.numbers.cutting import Grain
from kiosk.shop.figures import FigureFault, Figures, within
from kiosk.shop.parts import OF_THE_MATERIAL, PartKind

SIZES = ("blank_length", "blank_width")
CUT_MARGIN = "cut_margin"
WIDEST_MARGIN_IN = 1.0
USUAL_SHEET_IN = (144.0, 48.0)  # as `kiosk cut` takes it unless told another; common practice, no source
LONGEST_SHEET_IN = 600.0  # 50 ft, off a coil; common practice, no source
_GRAINS: dict[str, Grain] = {"along": "along", "across": "across", "any": "any"}


@dataclass(frozen=True)
class KindBlank:
    """One blank of a part kind, and the sheet it is cut from. ``grain`` is how the part lies to it."""

    alloy: str
    thickness_in: float
    length_in: float
    width_in: float
    grain: Grain


def is_cut_from_sheet(kind: PartKind) -> bool:
    """True when the kind gives a blank and is not of other material than sheet."""
    return any(kind.written(name) is not None for name in SIZES) and kind.material.other is None


def blank_of(figures: Figures, kind: PartKind) -> KindBlank:
    """The blank of a kind that is cut from sheet. Raises FigureFault at the field to blame."""
    alloy, thickness_in = sheet_of(kind)
    margin_in = margin_of(figures, kind)
    length_in, width_in = (size_in(figures, kind, name) + 2 * margin_in for name in SIZES)
    return KindBlank(alloy, thickness_in, length_in, width_in, grain_of(figures, kind))


def sheet_of(kind: PartKind) -> tuple[str, float]:
    """The alloy and thickness in inches that a blank is cut from.

    Raises FigureFault when one of them, or a size of the blank, is not written.
    """
    for name, other in (SIZES, SIZES[::-1]):
        if kind.written(name) is None:
            raise FigureFault(
                f"{kind.id!r} has {other} without {name}, so it is not on the cutting list",
                f"add {name}: … under its dimensions",
                kind=kind.id,
                dimension=other,
            )
    material = kind.material
    if material.alloy is None or material.thickness is None:
        name = next(one for one in OF_THE_MATERIAL if getattr(material, one) is None)
        raise FigureFault(
            f"{kind.id!r} has a blank but its material has no {name}, so it is not on the cutting list",
            f"add {name}: … under its material",
            kind=kind.id,
            dimension=SIZES[0],
        )
    return material.alloy, material.thickness


def size_in(figures: Figures, kind: PartKind, name: str) -> float:
    """The length or width of a blank in inches, above 0. Raises FigureFault."""
    with within(kind, name):
        value = figures.number(kind, name, "in")
    if value <= 0:
        raise FigureFault(
            f"{name} is {value:g} in, which is no blank", "correct it", kind=kind.id, dimension=name
        )
    if value > LONGEST_SHEET_IN:
        raise FigureFault(
            f"{name} is {value:g} in, which no sheet is long enough for",
            f"give at most {LONGEST_SHEET_IN:g} in, or splice it as the plans allow",
            kind=kind.id,
            dimension=name,
        )
    return value


def margin_of(figures: Figures, kind: PartKind) -> float:
    """What is left outside the line on every side when the blank is cut, in inches. Raises FigureFault."""
    if not figures.has(kind, CUT_MARGIN):
        return 0.0
    with within(kind, CUT_MARGIN):
        margin_in = figures.number(kind, CUT_MARGIN, "in")
    if not 0 <= margin_in <= WIDEST_MARGIN_IN:
        raise FigureFault(
            f"{CUT_MARGIN} is {margin_in:g} in",
            f"give 0 to {WIDEST_MARGIN_IN:g} in",
            kind=kind.id,
            dimension=CUT_MARGIN,
        )
    return margin_in


def grain_of(figures: Figures, kind: PartKind, name: str = "grain") -> Grain:
    """How the grain of the sheet has to run. Raises FigureFault."""
    text = figures.text(kind, name, "any")
    if text not in _GRAINS:
        raise FigureFault(
            f"{name} {text!r} of {kind.id!r} is not known",
            "write along, across or any",
            kind=kind.id,
            dimension=name,
        )
    return _GRAINS[text]
