"""Checks the drawings that steps ask for: that there are such, and that each part kind has what they need."""

from collections.abc import Mapping
from functools import partial

from kiosk.shop.drawings import Drawings, draw
from kiosk.shop.faults import nearest
from kiosk.shop.figure_check import note_fault
from kiosk.shop.figures import Figures
from kiosk.shop.on_route import Routes
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import Procedure
from kiosk.shop.reader import Document, Location


def check_drawing_names(procedure: Procedure, document: Document, drawings: Drawings) -> None:
    """Note each drawing of a procedure that there is none of, and each input that it does not take."""
    for number, step in enumerate(procedure.steps):
        wanted = step.drawing
        if wanted is None:
            continue
        here: Location = ("steps", number, "drawing")
        if wanted.draw not in drawings:
            under: Location = (*here, "draw")
            document.fault(
                under if under in document.values else here,
                f"unknown drawing {wanted.draw!r}",
                nearest(wanted.draw, drawings),
            )
            continue
        known = [one.name for one in drawings[wanted.draw].parameters]
        for name in wanted.inputs:
            if name not in known:
                mend = nearest(name, known) if known else "delete it: this drawing takes no inputs"
                document.fault(
                    (*here, "inputs", name), f"drawing {wanted.draw} has no input {name!r}", mend, key=True
                )


def check_drawings(
    kinds: Mapping[str, PartKind],
    figures: Figures,
    document: Document,
    routes: Routes,
    drawings: Drawings,
) -> None:
    """Draw each drawing of each kind's steps once, and note what it lacks at the guilty line."""
    for number, kind in enumerate(kinds.values()):
        for on_route in routes.steps_of(kind):
            wanted = on_route.step.drawing
            if wanted is None or wanted.draw not in drawings:
                continue
            drawing = drawings[wanted.draw]
            if not {one.name for one in drawing.parameters}.issuperset(wanted.inputs):
                continue  # named already
            note_fault(
                partial(draw, figures, kind, drawing, wanted, partial(drawing.try_out, figures, kind)),
                (document, ("part_kinds", number)),
                kinds,
                (on_route.source, (*on_route.location, "drawing")),
                used_by=f", which {on_route.procedure!r} step {on_route.step.id!r} draws",
            )
