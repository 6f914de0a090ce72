"""What an undo would take back, said with the words of the step instead of its id."""

from kiosk.catalogue import said
from kiosk.record.context import Context
from kiosk.record.state import Undoable
from kiosk.shop.parts import marks_in_full
from kiosk.views.wording import action_words, id_in_words


def undo_words(context: Context, entry: Undoable) -> str:
    """What can be taken back, its step as it is said to whoever has the screen."""
    if entry.step is None:
        return entry.label
    _, step = context.shop.find_step(entry.step.procedure, entry.step.step)
    if step is None:
        words = entry.said(id_in_words(entry.step.step))
    else:
        words = entry.said(f"\u2018{action_words(context, step).rstrip('.')}\u2019")
    return said("{parts}: {words}", parts=marks_in_full(entry.of), words=words) if entry.of else words
