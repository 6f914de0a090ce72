"""Warns of what a laid-out rib has under a published minimum, and of steps left out that it needs."""

from collections.abc import Mapping

from kiosk.shop.cross_check import Procedures
from kiosk.shop.figures import FigureFault, Figures
from kiosk.shop.parts import PartKind
from kiosk.shop.reader import Document, Location
from kiosk.shop.rib_of_kind import dimension_of, rib_figure

# What a step may hang on with `only_if:`, and that the layout counts.
_COUNTED = ("reliefs", "cut_outs", "lightening_holes")


def warn_of_ribs(
    kinds: Mapping[str, PartKind], figures: Figures, document: Document, procedures: Procedures
) -> None:
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
        for name in _COUNTED:
            laid_out = rib_figure(rib, name).found.value
            if laid_out and kind.written(name) is None and _hangs_on(kind, name, procedures):
                document.fault(
                    here,
                    f"{kind.id}: the layout has {laid_out} {name.replace('_', ' ')}, but the steps that make"
                    f" them are left out: it has no dimension {name!r}",
                    f"add {name}: {{rib: {name}}} under its dimensions",
                    warning=True,
                )


def _hangs_on(kind: PartKind, name: str, procedures: Procedures) -> bool:
    """True when a step of the kind's route is done only if it has this dimension."""
    return any(
        step.only_if == name
        for procedure_id in kind.procedures
        if procedure_id in procedures
        for step in procedures[procedure_id][0].steps
    )
