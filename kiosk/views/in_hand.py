"""The step in hand, as Minutes names it before all else that could be done."""

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.shop.parts import marks_in_full
from kiosk.views.step import step_view
from kiosk.views.wording import action_words, clock_line


@dataclass(frozen=True)
class InHand:
    """What of whoever has the screen is under way."""

    work: str
    words: str
    is_known: bool  # how it stands; not, after a power cut, until somebody looks
    comes_first: bool  # it may not be left as it is


def in_hand(context: Context) -> InHand | None:
    """The step that runs in the hands of whoever has the screen, or that nobody has looked at since it was
    cut off; None where nothing is so."""
    for work in context.state.works.values():
        _, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
        runs = work.status == "running" and work.worker == context.doer.id
        if step is None or not (runs or work.status == "unknown"):
            continue
        told = {"parts": marks_in_full(work.marks), "do": action_words(context, step)}
        if not runs:
            words = said("LOOK FIRST how {parts} stands: it was left under way. {do}", **told)
            return InHand(work.id, words, is_known=False, comes_first=True)
        touched = any(piece.touched for piece in work.pieces)
        if step.stop in ("only when finished", "go straight on") or (
            step.stop == "between pieces" and touched
        ):
            view = step_view(context, work)
            left = clock_line(view.elapsed_s, view.estimate_minutes)
            words = said("IN HAND, {left}: {parts}: {do} Finish it before you leave it.", left=left, **told)
            return InHand(work.id, words, is_known=True, comes_first=True)
        return InHand(work.id, said("IN HAND: {parts}: {do}", **told), is_known=True, comes_first=False)
    return None
