"""Compares the figures that a step's own file has typed with what can be worked out for it.

``plans:`` is compared with what stands beside it, wherever in a step it stands. A figure that is typed alone
is compared with what the same step works out or shows (:mod:`kiosk.shop.meant_in_step`).
"""

from collections.abc import Iterator, Mapping

from kiosk.errors import KioskError
from kiosk.shop.checked import Strict, fields_of, key_of
from kiosk.shop.figures import Figures, Place
from kiosk.shop.meant_in_step import meant_in
from kiosk.shop.on_route import Routes, StepOnRoute
from kiosk.shop.other_figure import other_figure
from kiosk.shop.parts import PartKind
from kiosk.shop.reader import Location
from kiosk.shop.written import Elsewhere, OfRib

_Told = tuple[Place, str, str]  # where in the step, what is wrong, and how to mend it


def compare_in_steps(kinds: Mapping[str, PartKind], figures: Figures, routes: Routes) -> None:
    """Warn of each typed figure of a step that differs, for every kind on whose route it is; once a place."""
    warned: set[tuple[str, Location]] = set()
    for kind in kinds.values():
        for on_route in routes.steps_of(kind):
            for place, wrong, mend in _told_of(on_route, kind, figures):
                location: Location = (*on_route.location, *place)
                source = on_route.source
                if (source.file, location) not in warned:
                    warned.add((source.file, location))
                    source.fault(location, wrong, mend, warning=True)


def _told_of(on_route: StepOnRoute, kind: PartKind, figures: Figures) -> Iterator[_Told]:
    """Where in the step a typed figure differs, and what is then said."""
    for place, written in written_in(on_route.step):
        if written.plans is None:
            continue
        try:
            found = figures.worked(kind, "", written)
        except KioskError:
            continue  # named elsewhere
        beside = other_figure(found, found.home, from_rib=isinstance(written, OfRib))
        if beside is not None and beside.differs_from(written.plans):
            wrong = f"{place[-1]} {written.plans} {beside.told} for {kind.id!r}, {beside.figure}"
            yield (*place, "plans"), wrong, "correct it or what it is worked out from; the plans decide"
    for place, typed, meant in meant_in(on_route.step, kind, figures):
        if meant.differs_from(typed):
            wrong = f"{place[-1]} {typed} {meant.told} for {kind.id!r}, {meant.figure}"
            yield place, wrong, "correct it, or name that figure in its place; the plans decide"


def written_in(model: Strict) -> Iterator[tuple[Place, Elsewhere]]:
    """Every figure of a step that names where it comes from, and where in the step it stands.

    It goes through the fields themselves: one that is added to a step is not to be named here.
    """
    yield from _within(model, ())


def _within(value: object, place: Place) -> Iterator[tuple[Place, Elsewhere]]:
    if isinstance(value, Elsewhere):
        yield place, value
    elif isinstance(value, Strict):
        for field in fields_of(type(value)):
            yield from _within(getattr(value, field.name), (*place, key_of(field.name)))
    elif isinstance(value, tuple):
        for number, one in enumerate(value):
            yield from _within(one, (*place, number))
    elif isinstance(value, dict):
        for name, one in value.items():
            yield from _within(one, (*place, name))
