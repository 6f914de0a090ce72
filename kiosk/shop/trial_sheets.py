"""Of which sheet a trial strip can be: one that the shop names, of an alloy that it or a table knows."""

from collections.abc import Iterable, Iterator

from kiosk.errors import KioskError
from kiosk.shop.fitted import SAME_IN, plain_alloy
from kiosk.shop.parts import PartKind
from kiosk.shop.shop import Lot

Sheets = tuple[tuple[str, float], ...]  # alloy and thickness in inches of each


def sheets_of_shop(lots: Iterable[Lot], kinds: Iterable[PartKind]) -> Sheets:
    """Every sheet that the shop file names: those of its lots, and those that its part kinds are cut from."""
    return tuple(_named(lots, kinds))


def _named(lots: Iterable[Lot], kinds: Iterable[PartKind]) -> Iterator[tuple[str, float]]:
    for lot in lots:
        if lot.alloy is not None and lot.thickness is not None:
            yield lot.alloy, lot.thickness
    for kind in kinds:
        if kind.material.alloy is not None and kind.material.thickness is not None:
            yield kind.material.alloy, kind.material.thickness


def require_alloy(sheets: Sheets, alloy: str) -> None:
    """Refuse an alloy that neither the shop nor the table of alloys knows. Raises KioskError."""
    from kiosk.numbers.materials import sheet_of  # a start does without

    if not any(plain_alloy(one) == plain_alloy(alloy) for one, _ in sheets):
        sheet_of(alloy)


def require_thickness(sheets: Sheets, alloy: str, thickness_in: float) -> None:
    """Refuse a thickness, in inches, of which the shop has no sheet of the alloy. Raises KioskError.

    Of an alloy that the shop has no sheet of at all, any thickness will do.
    """
    known = sorted({size for one, size in sheets if plain_alloy(one) == plain_alloy(alloy)})
    if known and not any(abs(size - thickness_in) < SAME_IN for size in known):
        sizes = ", ".join(f"{size:.3f}" for size in known)
        raise KioskError(
            f"no {alloy} sheet of {thickness_in:g} in is in shop.yaml",
            f"give the sheet's thickness ({sizes}), or add the sheet to its lots",
        )
