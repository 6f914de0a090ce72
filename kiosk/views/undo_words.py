"""What an undo would take back, said with the words of the step instead of its id."""

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.plural import so_many
from kiosk.record.context import Context
from kiosk.record.rules.door import Refused, why_not
from kiosk.record.rules.parts import latest_undoable, latest_undoable_by, leans_on, said_at_once, undo
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
    if entry.counted is not None:
        item = context.shop.consumables.get(entry.counted.consumable)
        name = item.name if item is not None else entry.counted.consumable
        left = f"{entry.counted.left:g} {item.unit if item is not None else ''}".rstrip()
        words = said("count of {name}: {left}", name=name, left=left)
    if more := len(said_at_once(context.state, entry)) - 1:
        words = said(
            "{words}, and on {others} at once with it", words=words, others=so_many(more, "part", "parts")
        )
    by = context.shop.people.get(entry.by)
    return said("{words}, by {name}", words=words, name=by.name) if by not in (None, context.doer) else words


@dataclass(frozen=True)
class UndoOffer:
    """What the undo key offers whoever has the screen, their own act first, and what is said of the rest."""

    entries: tuple[Undoable, ...]  # none: what is told is why
    told: str = ""


def undo_offer(context: Context) -> UndoOffer:
    """One's own last act where it can be taken back by itself, whoever acted since on other parts. The
    builder, who may take back anybody's, is offered the last of all besides."""
    state = context.state
    newest, own = latest_undoable(state), latest_undoable_by(state, context.doer.id)
    if newest is None:
        return UndoOffer((), said("Nothing can be taken back."))
    found: list[Undoable] = []
    if own is None:
        words = undo_words(context, newest)
        told = said("Only whoever did it, or the builder, takes back: {label}.", label=words)
    elif (later := leans_on(state, own)) is not None:
        own_words, later_words = undo_words(context, own), undo_words(context, later)
        told = said("{label} stays until this is taken back: {later}.", label=own_words, later=later_words)
    elif why := _refused(context, own):
        told = said("{label} stays: {why}.", label=undo_words(context, own), why=why)
    else:
        found.append(own)
        since = len(state.undoables) - 1 - state.undoables.index(own)
        told = _since(context, newest, since) if since else ""
    if newest is not own and not _refused(context, newest):
        found.append(newest)
        told = told if own is not None else ""
    return UndoOffer(tuple(found), told)


def _refused(context: Context, entry: Undoable) -> str:
    """Why an event cannot be taken back, as the door and the rule say it; empty where it can."""
    if why := why_not(context, "undo", entry.event):
        return why
    try:
        undo(context, entry.event)
    except Refused as error:
        return str(error)
    return ""


def _since(context: Context, newest: Undoable, acts: int) -> str:
    """That others went on with other parts since, which an undo of one's own act leaves as it is."""
    words = undo_words(context, newest)
    if acts == 1:
        return said("Done since on another part, and it stays: {label}.", label=words)
    others = so_many(acts, "act", "acts")
    return said(
        "{others} since on other parts, and they stay. The last: {label}.", others=others, label=words
    )
