"""Compares each figure typed from the plans with the one that can be worked out, and warns with both.

The typed figure is the one that is used: the plans come first. But one of the two is wrong.
"""

from collections.abc import Iterator, Mapping

from kiosk.errors import KioskError
from kiosk.shop.figures import Figures
from kiosk.shop.on_route import Routes
from kiosk.shop.other_figure import OtherFigure, other_figure
from kiosk.shop.other_homes import OtherHomes
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import NumberWanted
from kiosk.shop.reader import Document, Location
from kiosk.shop.rib_of_kind import RIB_FIGURES
from kiosk.shop.rounding import exactly
from kiosk.shop.written import Elsewhere, OfRib


def compare_figures(
    kinds: Mapping[str, PartKind], figures: Figures, document: Document, routes: Routes
) -> None:
    """Warn of each typed figure that differs from the same figure as it can be worked out.

    Compared are ``plans:`` with what stands beside it, a dimension with the figure of the same name of the
    laid-out rib, a dimension with the figure of the same name of a calculator that one of its steps asks, and
    what none of these is named after with its other homes. What a procedure has typed is compared by
    :mod:`kiosk.shop.compare_steps`.
    """
    homes = OtherHomes(kinds, figures, routes)
    for number, kind in enumerate(kinds.values()):
        for name, other in _worked(kind, figures, routes, homes):
            typed = _typed(kind, name)
            if typed is None or not other.differs_from(typed):
                continue
            location: Location = ("part_kinds", number, "dimensions", name)
            plans: Location = (*location, "plans")
            document.fault(
                plans if plans in document.values else location,
                f"{name} {typed} {other.told}, {other.figure}",
                "correct it or what it is worked out from; the plans decide",
                warning=True,
            )
        for name, found in homes.denied(kind):
            document.fault(
                ("part_kinds", number),
                f"{kind.id}: steps are left out, for it has no dimension {name!r}, but there are "
                f"{exactly(found.values[0])} ({found.by})",
                f"take {name} over from that kind under its dimensions, or write {name}: 0",
                warning=True,
            )


def _typed(kind: PartKind, name: str) -> str | None:
    written = kind.dimensions.get(name)
    return written if isinstance(written, str) or written is None else written.plans


def _worked(
    kind: PartKind, figures: Figures, routes: Routes, homes: OtherHomes
) -> Iterator[tuple[str, OtherFigure]]:
    """Each typed dimension with the same figure from elsewhere.

    Faults are named where the figures are worked out.
    """
    compared = set()
    for name, other in _by_its_name(kind, figures, routes):
        compared.add(name)
        yield name, other
    for name, written in kind.dimensions.items():
        if not isinstance(written, str) or name in compared or kind.written(written) is not None:
            continue
        found = homes.of(kind, name)
        if found is not None:
            values = dict.fromkeys(exactly(one) for one in found.values)
            told = f"{' or '.join(values)} ({found.by})"
            yield name, OtherFigure(found.values, found.told, told)


def _by_its_name(kind: PartKind, figures: Figures, routes: Routes) -> Iterator[tuple[str, OtherFigure]]:
    """What says itself where it comes from, or is called as a figure of the rib or of a step's calculator."""
    said = set()
    for name, written in kind.dimensions.items():
        if isinstance(written, str):
            if name not in RIB_FIGURES or kind.written("section") is None:
                continue
            source: Elsewhere = OfRib(rib=name)
        elif written.plans is None:
            continue
        else:
            source = written
        try:
            found = figures.worked(kind, name, source)
        except KioskError:
            continue
        from_rib = isinstance(source, OfRib)
        other = other_figure(found, "rib" if from_rib else found.home, from_rib=from_rib)
        if other is not None:
            said.add(name)
            yield name, other
    # A hole's flange stretches too: what the rib gives is no other thing of the same name.
    yield from ((name, other) for name, other in _asked_by_steps(kind, figures, routes) if name not in said)


def _asked_by_steps(kind: PartKind, figures: Figures, routes: Routes) -> Iterator[tuple[str, OtherFigure]]:
    seen: set[str] = set()
    for on_route in routes.steps_of(kind):
        for wanted in on_route.step.numbers:
            if not isinstance(wanted, NumberWanted):
                continue
            used = {item.strip() for text in wanted.inputs.values() for item in text.split(",")}
            try:
                result = figures.step_number(kind, wanted).result
            except KioskError:
                continue
            if result is None:
                continue
            named = {one.name: one for one in result.figures() if not one.is_list}
            for name in kind.dimensions:
                if name in used or name in seen or not isinstance(kind.dimensions[name], str):
                    continue
                if name == result.calculator:
                    found, what = result.headline, result.title.lower()
                elif name in named and getattr(result, named[name].field) is not None:
                    found = result.figure(name)
                    what = f"{found.name}, by {result.calculator}"
                else:
                    continue
                seen.add(name)
                figure = f"{exactly(found)} ({what})"
                yield name, OtherFigure((found,), "is not what is worked out", figure)
