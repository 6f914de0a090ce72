"""Warns of what a laid-out rib has under a published minimum, and of steps left out that it needs."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import TYPE_CHECKING

from kiosk.numbers.result import Quantity
from kiosk.numbers.rib_inputs import ENDS
from kiosk.shop.figures import FigureFault, Figures
from kiosk.shop.on_route import Routes
from kiosk.shop.parts import PartKind
from kiosk.shop.reader import Document, Location
from kiosk.shop.rib_of_kind import RIB_FIGURES, dimension_of, over_stretched, rib_figure

if TYPE_CHECKING:  # the geometry behind it is loaded when a rib is laid out
    from kiosk.numbers.rib import Rib

_SAME_LINE_IN = 0.0005
_COUNTED = frozenset({"flutes", "rivets", "reliefs", "cut_outs", "tooling_holes", "lightening_holes"})


def warn_of_ribs(kinds: Mapping[str, PartKind], figures: Figures, document: Document, routes: Routes) -> None:
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
            home, name = kind, dimension_of(warning.argument)
            if kind.written(name) is not None:
                home, name = figures.home_of(kind, name)
            at: Location = ("part_kinds", list(kinds).index(home.id))
            under: Location = (*at, "dimensions", name)
            location = under if under in document.values else at
            if home is kind or not document.told(location):  # what is borrowed is told where it is written
                document.fault(location, f"{home.id}: {warning.wrong}", warning.mend, warning=True)
        _warn_of_stretch(kind, rib, document, here)
        left_out = dict.fromkeys(_left_out(kind, figures, routes))
        _warn_of_end_flanges(kind, rib, document, here, left_out)
        for name in left_out:
            if name in RIB_FIGURES and name != "edge_stretch":  # which is told beside its stretch
                _warn_of_left_out(kind, kinds, name, rib_figure(rib, name).found, figures, document)


def _left_out(kind: PartKind, figures: Figures, routes: Routes) -> Iterator[str]:
    """Every dimension for want of which a step of the kind's route, a check or a number is left out."""
    yield from (one.step.only_if or "" for one in routes.left_out_of(kind))
    for on_route in routes.steps_of(kind):
        for one in (*on_route.step.checks, *on_route.step.numbers):
            if one.only_if is not None and not figures.has(kind, one.only_if):
                yield one.only_if


def _warn_of_left_out(
    kind: PartKind,
    kinds: Mapping[str, PartKind],
    name: str,
    found: Quantity,
    figures: Figures,
    document: Document,
) -> None:
    """What the rib has and the kind says it has not, or does not say: nobody misses a step."""
    if isinstance(found.value, str) or not found.value:
        return
    if name in _COUNTED:
        said, steps = f"{found.value} {name.replace('_', ' ')}", "the steps that make them are"
    else:
        said, steps = f"{name} {found.show()}", "what asks for it is"
    here: Location = ("part_kinds", list(kinds).index(kind.id))
    if kind.written(name) is None:
        document.fault(
            here,
            f"{kind.id}: the layout has {said}, but {steps} left out: it has no dimension {name!r}",
            f"add {name}: {{rib: {name}}} under its dimensions",
            warning=True,
        )
        return
    home, own_name = figures.home_of(kind, name)
    at: Location = ("part_kinds", list(kinds).index(home.id), "dimensions", own_name)
    under: Location = (*at, "plans")
    location = under if under in document.values else at
    if not document.said(location):  # by whoever compared what is typed there
        document.fault(
            location,
            f"{kind.id}: the layout has {said}, but {steps} left out: {own_name} is "
            f"{figures.text(home, own_name)}",
            f"give {name}: {{rib: {name}}} to {kind.id!r}, or correct what the rib is laid out from",
            warning=True,
        )


def _warn_of_end_flanges(
    kind: PartKind, rib: Rib, document: Document, here: Location, left_out: Collection[str]
) -> None:
    """An end flange whose rivets stand on another line than the others', one that nothing measures, and one
    that is not there."""
    for end in ENDS:
        width = f"{end}_flange_width"
        under: Location = (*here, "dimensions", width)
        location = under if under in document.values else here
        if rib.inputs.end_way(end) == "none":
            if kind.written(width) is not None:
                document.fault(
                    location,
                    f"{kind.id}: {width} of a flange that is not there",
                    f"add {end}_flange: down or up, or delete {width}",
                    warning=True,
                )
            continue
        wide_in = rib.inputs.end_width_in(end)
        if width in left_out and kind.written(width) is None:
            document.fault(
                here,
                f"{kind.id}: its {end} flange is laid out {wide_in:.3f} in wide, but what "
                f"measures it is left out: it has no dimension {width!r}",
                f"add {width}: flange_width under its dimensions, or its own width",
                warning=True,
            )
        line_in, name = rib.inputs.end_rivet_line_in(end), f"{end}_rivet_line"
        if abs(line_in - rib.inputs.rivet_line_in) > _SAME_LINE_IN and kind.written(name) is None:
            document.fault(
                location,
                f"{kind.id}: rivets of the {end} flange stand {line_in:.3f} in from its edge, where "
                f"rivet_line is {rib.inputs.rivet_line_in:.3f}",
                f"add {name}: {{rib: {name}}} under its dimensions, and let the joint take that",
                warning=True,
            )


def _warn_of_stretch(kind: PartKind, rib: Rib, document: Document, here: Location) -> None:
    """A hollow edge that the alloy is not specified to stretch so far, and one that no step shows."""
    cracks = over_stretched(rib, kind.material.alloy)
    if cracks:
        under: Location = (*here, "dimensions", "section")
        document.fault(
            under if under in document.values else here,
            f"{kind.id}: {cracks}",
            "give a narrower flange, a cut-out there, or smoother coordinates; else try it on a strip and "
            "ask the designer",
            warning=True,
        )
    stretch = rib_figure(rib, "edge_stretch").found
    if stretch.value and kind.written("edge_stretch") is None:
        document.fault(
            here,
            f"{kind.id}: a hollow edge of its flange stretches {stretch.show()}, which no step shows",
            "add edge_stretch: {rib: edge_stretch} under its dimensions",
            warning=True,
        )
