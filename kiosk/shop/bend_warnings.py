"""Warns of a bend radius under the published one, and of one that is not its brake's."""

from collections.abc import Mapping

from kiosk.errors import KioskError
from kiosk.numbers.bends import minimum_radius
from kiosk.shop.figures import Figures
from kiosk.shop.parts import PartKind
from kiosk.shop.reader import Document, Location

_SAME_BAR_IN = 0.0005
SAME_RADIUS_IN = 1 / 128  # a bar is as near as its sixty-fourth to the radius of a table


def warn_of_bars(kinds: Mapping[str, PartKind], figures: Figures, document: Document) -> None:
    """Warn where a kind's ``bend_radius`` is not the ``bar_radius`` of the tooling that its route needs.

    The bar's edge is the inside radius of every bend that is made on it: sight lines and flat widths for any
    other radius spoil the sheet.
    """
    for number, kind in enumerate(kinds.values()):
        if kind.written("bend_radius") is None:
            continue
        here: Location = ("part_kinds", number)
        under: Location = (*here, "dimensions", "bend_radius")
        needed = dict.fromkeys(name for stage in kind.route for name in stage.needs)
        for tooling in (kinds[name] for name in needed if name in kinds):
            if tooling.written("bar_radius") is None:
                continue
            try:
                radius_in = figures.number(kind, "bend_radius", "in")
                bar_in = figures.number(tooling, "bar_radius", "in")
            except KioskError:
                continue  # named elsewhere
            if abs(radius_in - bar_in) > _SAME_BAR_IN:
                document.fault(
                    under if under in document.values else here,
                    f"bend_radius {radius_in:.3f} in of {kind.id!r} is not the bar's of {tooling.id!r} that "
                    f"it is bent on, {bar_in:.3f} in",
                    "give this kind tooling of its own radius, or correct one of the two",
                    warning=True,
                )


def warn_of_bends(kinds: Mapping[str, PartKind], figures: Figures, document: Document) -> None:
    """Compare ``bend_radius`` of each kind of sheet with AC 43.13-1B Table 4-6, and warn with both numbers.

    A bend across the grain is held to the lower end of the table's range, one along it to the upper end: a
    bend along the grain cracks sooner (common practice, no source). An alloy that the table does not have,
    and sheet beyond its columns, are left alone. The radius on the plans decides.
    """
    for number, kind in enumerate(kinds.values()):
        if kind.written("bend_radius") is None or kind.material.alloy is None:
            continue
        try:
            radius_in = figures.number(kind, "bend_radius", "in")
            least = minimum_radius(figures.number(kind, "thickness", "in"), kind.material.alloy)
        except KioskError:
            continue  # named elsewhere, or not in the table
        along = figures.bend_grain(kind) == "along" and kind.written("flat_width") is not None
        wanted_in = least.radius_in if along else least.lowest_in
        if radius_in >= wanted_in - (SAME_RADIUS_IN if along else 1e-9):
            continue
        here: Location = ("part_kinds", number)
        under: Location = (*here, "dimensions", "bend_radius")
        lies = ", bent along the grain" if along else ""
        document.fault(
            under if under in document.values else here,
            f"bend_radius {radius_in:.3f} in of {kind.id!r} is less than {wanted_in:.3f} in{lies}"
            f" (AC 43.13-1B Table 4-6: {least.lowest_in:.3f} to {least.radius_in:.3f})",
            "use a larger radius, or try it on a strip and ask the designer; the plans decide",
            warning=True,
        )
