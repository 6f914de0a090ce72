"""The drawing of the step in hand, or why it cannot be drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.record.context import Context
from kiosk.record.state import Piece, Work
from kiosk.shop.procedure import Step, StepRef
from kiosk.views.fault_line import fault_line
from kiosk.views.step import piece_in_hand

if TYPE_CHECKING:
    from kiosk.drawing.sketch import Sketch


@dataclass(frozen=True)
class StepDrawingView:
    """What is drawn; without it, what is wrong in a line."""

    sketch: Sketch | None
    wrong: str = ""


def step_drawing_view(context: Context, work: Work) -> StepDrawingView | None:
    """The drawing that the step asks for, of the piece in hand; None when it asks for none.

    Raises KeyError when its procedure or step is gone.
    """
    procedure, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
    if procedure is None or step is None:
        raise KeyError(work.step)
    piece = piece_in_hand(step, work)
    return _drawn(context, step, piece.mark, piece)


def drawing_of_part(context: Context, mark: str, ref: StepRef) -> StepDrawingView | None:
    """The drawing of a step for a part, as far as it is there; None when it asks for none, or is gone."""
    _, step = context.shop.find_step(ref.procedure, ref.step, mark)
    return _drawn(context, step, mark, _piece(context, step, mark, ref)) if step is not None else None


def _piece(context: Context, step: Step, mark: str, ref: StepRef) -> Piece:
    """How far a part is with a step: as it stands in hand, else from the beginning."""
    work = context.state.works.get(context.state.part(mark).work or "")
    if work is None or StepRef(work.procedure, work.step) != ref:
        return Piece(mark)
    if step.batch == "together":
        return piece_in_hand(step, work)
    return work.piece(mark) or Piece(mark)


def _drawn(context: Context, step: Step, mark: str, piece: Piece) -> StepDrawingView | None:
    from kiosk.drawing.sketch import InHand  # what draws is loaded when something is drawn
    from kiosk.drawing.step_drawings import STEP_DRAWINGS
    from kiosk.shop.drawings import draw

    shop, wanted = context.shop, step.drawing
    if wanted is None:
        return None
    drawing = STEP_DRAWINGS.get(wanted.draw)
    if drawing is None:
        return StepDrawingView(
            None, said("There is no drawing {draw}: `kiosk check` says where.", draw=f"{wanted.draw!r}")
        )
    kind = shop.kind_of(mark)
    try:
        times = shop.figures.count(kind, step.repeat) if step.repeat else 0
        in_hand = InHand(shop.parts[mark].hand, piece.count, times, is_enough=bool(piece.enough))
        sketch = draw(
            shop.figures,
            kind,
            drawing,
            wanted,
            lambda given: drawing.draw(shop.figures, kind, given, in_hand),
        )
    except KioskError as error:
        return StepDrawingView(None, fault_line(shop, error))
    return StepDrawingView(sketch)
