"""Warns of what a laid-out rib can be made with, but that is under a published minimum."""

from collections.abc import Mapping

from kiosk.shop.figures import FigureFault, Figures
from kiosk.shop.parts import PartKind
from kiosk.shop.reader import Document, Location
from kiosk.shop.rib_of_kind import dimension_of


def warn_of_ribs(kinds: Mapping[str, PartKind], figures: Figures, document: Document) -> None:
    """Note each warning of each kind's rib at the guilty dimension, or at the kind where it has a default."""
    for number, kind in enumerate(kinds.values()):
        if kind.written("section") is None:
            continue
        try:
            rib = figures.rib(kind)
        except FigureFault:
            continue  # named elsewhere
        here: Location = ("part_kinds", number)
        for warning in rib.warnings:
            under: Location = (*here, "dimensions", dimension_of(warning.argument))
            location = under if under in document.values else here
            document.fault(location, f"{kind.id}: {warning.wrong}", warning.mend, warning=True)
