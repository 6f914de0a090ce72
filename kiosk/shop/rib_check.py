"""Every rib that the shop's dimensions describe is laid out, so that a fault shows before metal is cut."""

from pathlib import Path

from kiosk.errors import KioskError
from kiosk.numbers.units import NotALength, parse_length_in
from kiosk.shop.reader import Document, Location
from kiosk.shop.rib_of_kind import rib_of_kind
from kiosk.shop.shop import ShopFile

SAME_HEIGHT_IN = 0.01  # a height written in the plans and the section's own may differ by rounding


def check_ribs(file: ShopFile, document: Document, folder: Path) -> None:
    """Lay out every kind that names a section: what makes no rib is a fault, a height that differs a warning.

    Only for ``kiosk check``: it takes too long to do at every start.
    """
    for number, kind in enumerate(file.part_kinds):
        if "section" not in kind.values:
            continue
        here: Location = ("part_kinds", number, "dimensions")
        try:
            rib = rib_of_kind(kind, folder)
        except KioskError as error:
            named = next(
                (name for name in kind.values if error.wrong.startswith((f"{name} ", f"{name}:"))), None
            )
            if "cut-out" in error.wrong and "spar_cut_outs" in kind.values:
                named = "spar_cut_outs"
            document.fault((*here, named) if named else here, error.wrong, error.mend)
            continue
        for name, found in (("front_height", rib.front_height_in), ("rear_height", rib.rear_height_in)):
            written = kind.values.get(name)
            if written is None:
                continue
            try:
                given = parse_length_in(written)
            except NotALength:
                continue  # named where a step uses it
            if abs(given - found) > SAME_HEIGHT_IN:
                document.fault(
                    (*here, name),
                    f"{name} {written} is not what the section gives there, {found:.3f} in",
                    "correct it, or the section, chord, skin or station",
                    warning=True,
                )
