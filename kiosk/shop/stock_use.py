"""How much of a consumable a step takes from the stock, for parts of one kind."""

from collections.abc import Iterable

from kiosk.shop.figures import FigureFault, Figures
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import Uses

MOST_USED = 100_000.0  # of one part, in whatever unit


def amount_used(figures: Figures, kind: PartKind, uses: Uses) -> float:
    """What one part of a kind takes, in the unit that is written. Raises FigureFault."""
    amount = figures.number(kind, uses.amount, "count")
    if not 0 < amount <= MOST_USED:
        raise FigureFault(
            f"a part cannot take {amount:g} {uses.unit} of {uses.of}",
            "write how much each part takes",
            place=("amount",),
        )
    return amount


def all_used(figures: Figures, kinds: Iterable[PartKind], uses: Uses) -> float:
    """What parts of these kinds take together. Raises FigureFault."""
    return sum(amount_used(figures, kind, uses) for kind in kinds)


def same_unit(one: str, other: str) -> bool:
    """True for the same word, one or many: litre, litres."""
    return _one(one) == _one(other)


def _one(unit: str) -> str:
    return unit.strip().casefold().removesuffix("s")
