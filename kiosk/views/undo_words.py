"""What an undo would take back, said with the words of the step instead of its id."""

from kiosk.record.state import Undoable
from kiosk.shop.shop import Shop
from kiosk.views.wording import id_in_words


def undo_words(shop: Shop, entry: Undoable) -> str:
    """What can be taken back, its step as the procedure says it."""
    if entry.step is None:
        return entry.label
    _, step = shop.find_step(entry.step.procedure, entry.step.step)
    words = f"\u2018{step.do.rstrip('.')}\u2019" if step is not None else id_in_words(entry.step.step)
    return entry.said(words)
