"""Warns of a blank that no sheet of the shop can give."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from kiosk.errors import KioskError
from kiosk.numbers.cutting import Blank, Sheet, why_not_cut
from kiosk.shop.blanks import USUAL_SHEET_IN, KindBlank, blank_of, is_cut_from_sheet
from kiosk.shop.figures import Figures
from kiosk.shop.lots import is_sheet_for
from kiosk.shop.parts import PartKind
from kiosk.shop.reader import Document, Location
from kiosk.shop.shop import Lot

_NARROWEST_IN = 0.001  # the least that the cutting list counts


def warn_of_sheets(
    kinds: Mapping[str, PartKind], figures: Figures, document: Document, lots: Sequence[Lot]
) -> None:
    """Hold the blank of each kind, with its margin, to the lots of its sheet.

    A lot whose size is not entered is taken for the sheet that the cutting list takes unless it is told
    another. Where there is no lot at all, :mod:`kiosk.shop.lot_warnings` says so; what trim and kerf take is
    asked of the cutting list.
    """
    for kind in kinds.values():
        of_it = [lot for lot in lots if is_sheet_for(lot, kind)]
        if not is_cut_from_sheet(kind) or not of_it:
            continue
        sheets = [
            Sheet.rolled(lot.length or USUAL_SHEET_IN[0], lot.width or USUAL_SHEET_IN[1]) for lot in of_it
        ]
        try:
            blank = blank_of(figures, kind)
        except KioskError:
            continue  # named elsewhere
        if not _fits(blank, sheets):
            sized = all(lot.length for lot in of_it)
            _tell(kinds, figures, document, kind, blank, sheets, sized=sized)


def _fits(blank: KindBlank, sheets: Sequence[Sheet]) -> bool:
    asked = Blank("blank", blank.length_in, blank.width_in, 1, blank.grain)
    return any(why_not_cut(asked, sheet) is None for sheet in sheets)


def _tell(
    kinds: Mapping[str, PartKind],
    figures: Figures,
    document: Document,
    kind: PartKind,
    blank: KindBlank,
    sheets: Sequence[Sheet],
    *,
    sized: bool,
) -> None:
    too_long = not _fits(replace(blank, width_in=_NARROWEST_IN), sheets)
    home, name = figures.home_of(kind, "blank_length" if too_long else "blank_width")
    here: Location = ("part_kinds", list(kinds).index(home.id))
    under: Location = (*here, "dimensions", name)
    lies = "" if blank.grain == "any" else f", its length {blank.grain} the grain"
    sizes = dict.fromkeys(f"{one.length_in:g} x {one.width_in:g} in" for one in sheets)
    document.fault(
        under if under in document.values else here,
        f"the blank of {kind.id!r}, {blank.length_in:.3f} x {blank.width_in:.3f} in{lies}, is in no "
        f"{blank.alloy} {blank.thickness_in:.3f} sheet of the lots: {' or '.join(sizes)}",
        "correct it, splice as the plans allow, or "
        + ("add a larger sheet to lots:" if sized else "give the lot its length: and width:"),
        warning=True,
    )
