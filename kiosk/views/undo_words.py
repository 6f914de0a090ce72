"""What an undo would take back, said with the words of the step instead of its id."""

import re

from kiosk.record.state import State, Undoable
from kiosk.shop.shop import Shop
from kiosk.views.wording import id_in_words

# Where the record's own label of an event holds the id of a step, before or after words that no id holds.
_STEP = re.compile(
    r"^(?:(?:start|time limit) of (?P<begun>[a-z0-9-]+)(?= on |$)"
    r"|(?P<done>[a-z0-9-]+)(?= (?:done|skipped|reopened) on | put back$))"
)


def undo_words(shop: Shop, state: State, entry: Undoable) -> str:
    """The label of what can be taken back, its step as the procedure says it."""
    found = _STEP.match(entry.label)
    if found is None:
        return entry.label
    group = "begun" if found["begun"] else "done"
    words = _step_words(shop, state, entry, found[group])
    return f"{entry.label[: found.start(group)]}{words}{entry.label[found.end(group) :]}"


def _step_words(shop: Shop, state: State, entry: Undoable, step_id: str) -> str:
    """The step of the work that was touched, else of the route of the part."""
    works = [before or state.works.get(work_id) for work_id, before in entry.works.items()]
    procedures = [work.procedure for work in works if work is not None]
    for mark in entry.parts:
        if mark in shop.parts:
            procedures += shop.kind_of(mark).procedures
    for procedure in procedures:
        _, step = shop.find_step(procedure, step_id)
        if step is not None:
            return f"\u2018{step.do.rstrip('.')}\u2019"
    return id_in_words(step_id)
