"""Which sheet, tin or bag a part may be made from: one rule, for what is offered and for what is accepted."""

from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import LotCheck
from kiosk.shop.shop import Lot, Shop

SAME_THICKNESS_IN = 0.0015  # an older and a newer name of one sheet differ by less


def lot_fits(lot: Lot, check: LotCheck, kind: PartKind) -> bool:
    """True when it is of the sort that is asked for and, for a sheet, of the part's alloy and thickness."""
    if check.of != "sheet" or kind.material.alloy is None:
        return lot.of == check.of
    return is_sheet_for(lot, kind)


def is_sheet_for(lot: Lot, kind: PartKind) -> bool:
    """True for a sheet of the kind's own alloy and thickness."""
    material = kind.material
    return (
        lot.of == "sheet"
        and lot.alloy is not None
        and lot.alloy == material.alloy
        and lot.thickness is not None
        and material.thickness is not None
        and abs(lot.thickness - material.thickness) < SAME_THICKNESS_IN
    )


def lots_for(shop: Shop, check: LotCheck, kind: PartKind) -> tuple[str, ...]:
    """The marks of the lots that fit, in the order of the shop file."""
    return tuple(lot.mark for lot in shop.lots.values() if lot_fits(lot, check, kind))


def wanted_lot_words(check: LotCheck, kind: PartKind) -> str:
    """What is asked for, in words: for a sheet its alloy and thickness too."""
    material = kind.material
    if check.of != "sheet" or material.alloy is None or material.thickness is None:
        return check.of
    return f"{material.alloy} {material.thickness:.3f} {check.of}"


def lot_words(shop: Shop, mark: str) -> str:
    """What a lot is, and under which certificate it came."""
    lot = shop.lots.get(mark)
    if lot is None:
        return ""
    return f"{lot.name}, certificate {lot.certificate}" if lot.certificate else lot.name
