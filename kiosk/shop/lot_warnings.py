"""Warns where no lot of the stock is what a step asks the mark of: a sheet of the kind's own thickness."""

from collections.abc import Mapping, Sequence

from kiosk.shop.figures import Figures
from kiosk.shop.lots import lot_fits, wanted_lot_words
from kiosk.shop.on_route import Routes, StepOnRoute
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import LotCheck
from kiosk.shop.reader import Document, Location
from kiosk.shop.shop import Lot


def warn_of_lots(
    kinds: Mapping[str, PartKind],
    figures: Figures,
    document: Document,
    routes: Routes,
    lots: Sequence[Lot],
) -> None:
    """Warn once of each sheet, packet or tin that some step asks for and that no lot is.

    The warning stands at the first kind that wants it, where its thickness has its home.
    """
    told: set[str] = set()
    for number, kind in enumerate(kinds.values()):
        here: Location = ("part_kinds", number)
        for on_route in routes.steps_of(kind):
            for check in on_route.step.checks:
                if not isinstance(check, LotCheck) or any(lot_fits(lot, check, kind) for lot in lots):
                    continue
                wanted = wanted_lot_words(check, kind)
                if wanted not in told:
                    told.add(wanted)
                    _tell(document, here, kind, on_route, wanted)


def _tell(document: Document, here: Location, kind: PartKind, on_route: StepOnRoute, wanted: str) -> None:
    under: Location = (*here, "material", "thickness")
    document.fault(
        under if under in document.values else here,
        f"no lot of stock is a {wanted}, which {on_route.procedure!r} step {on_route.step.id!r} asks for on "
        f"{kind.id!r}",
        "add it to lots: when it is there, or correct the material",
        warning=True,
    )
