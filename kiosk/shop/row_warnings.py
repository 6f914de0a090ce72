"""Warns of more rivets than a row has room for, and of fewer than hold it together."""

from collections.abc import Iterator, Mapping

from kiosk.errors import KioskError
from kiosk.numbers.rivets import LEAST_PITCH_DIAMETERS, MOST_PITCH_DIAMETERS, RivetRow
from kiosk.numbers.units import show_in
from kiosk.shop.figures import Figures
from kiosk.shop.on_route import Routes, StepOnRoute
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import NumberWanted, Step
from kiosk.shop.reader import Document, Location

_ROW = "rivet_row"  # the calculator, and the drawing of what it gives
_TAKEN = ("length", "end", "diameter", "count")


def warn_of_rows(kinds: Mapping[str, PartKind], figures: Figures, document: Document, routes: Routes) -> None:
    """Hold the count of each row of rivets that a step works out or draws to the limits of its pitch.

    The warning stands where the count has its home, once: at a dimension, or in the step where it is typed.
    A row of a rib's own flange is told where the rib is laid out.
    """
    told: set[tuple[str, Location]] = set()
    for kind in kinds.values():
        for on_route in routes.steps_of(kind):
            for place, inputs in _rows_in(on_route.step):
                at, location = _home(kinds, kind, figures, document, on_route, place, inputs["count"])
                if (at.file, location) in told or at.said(location):
                    continue
                wrong = _wrong(kind, figures, inputs)
                if wrong is not None:
                    told.add((at.file, location))
                    at.fault(
                        location, wrong, "ask the designer, or correct it; the plans decide", warning=True
                    )


def _rows_in(step: Step) -> Iterator[tuple[Location, dict[str, str]]]:
    """Each row that is laid out by its count, and where in the step."""
    asked: list[tuple[Location, str, Mapping[str, str]]] = [
        (("numbers", place), wanted.calculator, wanted.inputs)
        for place, wanted in enumerate(step.numbers)
        if isinstance(wanted, NumberWanted)
    ]
    if step.drawing is not None:
        asked.append((("drawing",), step.drawing.draw, step.drawing.inputs))
    for place, name, inputs in asked:
        if name == _ROW and all(one in inputs for one in _TAKEN):
            yield place, {one: inputs[one] for one in _TAKEN}


def _home(
    kinds: Mapping[str, PartKind],
    kind: PartKind,
    figures: Figures,
    document: Document,
    on_route: StepOnRoute,
    place: Location,
    count: str,
) -> tuple[Document, Location]:
    """Where the count is written: in the shop file, else in the step itself."""
    if kind.written(count) is None:
        return on_route.source, (*on_route.location, *place, "inputs", "count")
    home, name = figures.home_of(kind, count)
    here: Location = ("part_kinds", list(kinds).index(home.id))
    under: Location = (*here, "dimensions", name)
    return document, under if under in document.values else here


def _wrong(kind: PartKind, figures: Figures, inputs: dict[str, str]) -> str | None:
    """What is wrong with the count, with what there is room for; None where nothing is."""
    try:
        row = figures.step_number(kind, NumberWanted(calculator=_ROW, inputs=inputs)).result
        length_in = figures.number(kind, inputs["length"], "in")
        diameter_in = figures.number(kind, inputs["diameter"], "in")
    except KioskError:
        return None  # named elsewhere
    assert isinstance(row, RivetRow)
    which = f"{row.rivets} rivets in the {length_in:.3f} in of {kind.id!r} are {show_in(row.pitch_in)} apart"
    if row.rivets > row.most_rivets:
        least_in = LEAST_PITCH_DIAMETERS * diameter_in
        least = f"3 diameters, {least_in:.3f} in (US Navy structural-mechanic manual)"
        return f"{which}, under {least}; it has room for {row.most_rivets}"
    most_in = MOST_PITCH_DIAMETERS * diameter_in
    if row.pitch_in > most_in + 1e-9:
        return f"{which}, over 10 diameters, {most_in:.3f} in (common practice)"
    return None
