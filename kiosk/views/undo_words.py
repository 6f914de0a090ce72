"""What an undo would take back, said with the words of the step instead of its id."""

from kiosk.catalogue import said
from kiosk.record.context import Context
from kiosk.record.state import Undoable
from kiosk.shop.parts import marks_in_full
from kiosk.views.wording import action_words, id_in_words


def undo_words(context: Context, entry: Undoable) -> str:
    """What can be taken back, of somebody else's by whom, its step as whoever has the screen is told it."""
    words = entry.label
    if entry.step is not None:
        _, step = context.shop.find_step(entry.step.procedure, entry.step.step)
        if step is None:
            words = entry.said(id_in_words(entry.step.step))
        else:
            words = entry.said(f"\u2018{action_words(context, step).rstrip('.')}\u2019")
        if entry.of:
            words = said("{parts}: {words}", parts=marks_in_full(entry.of), words=words)
    by = context.shop.people.get(entry.by)
    return said("{words}, by {name}", words=words, name=by.name) if by not in (None, context.doer) else words
