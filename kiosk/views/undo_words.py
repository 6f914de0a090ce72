"""What an undo would take back, said with the words of the step instead of its id."""

from kiosk.record.context import Context
from kiosk.record.state import Undoable
from kiosk.views.wording import action_words, id_in_words


def undo_words(context: Context, entry: Undoable) -> str:
    """What can be taken back, its step as it is said to whoever has the screen."""
    if entry.step is None:
        return entry.label
    _, step = context.shop.find_step(entry.step.procedure, entry.step.step)
    if step is None:
        return entry.said(id_in_words(entry.step.step))
    return entry.said(f"\u2018{action_words(context, step).rstrip('.')}\u2019")
