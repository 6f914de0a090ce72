"""Why a step in hand may not go on as people stand now: whose hands are on the screen, who is in the room."""

from kiosk.dataclass import dataclass
from kiosk.record.authority import room_to_clear, still_in_room
from kiosk.record.context import Context
from kiosk.record.rules import why_not
from kiosk.record.state import Work
from kiosk.shop.procedure import Step


@dataclass(frozen=True)
class Barred:
    """The reason in words, empty when there is none; and whether an adult can clear it by a look round."""

    text: str = ""
    by_the_room: bool = False


def barred(context: Context, work: Work, step: Step) -> Barred:
    """What the door refuses when the one with the screen would carry on with a step in hand."""
    text = why_not(context, "take_up", work.id)
    return Barred(text, by_the_room=bool(text) and text == room_to_clear(context, step))


def stopped_by(context: Context) -> tuple[str, ...]:
    """Who is in the room that may not be for a step in hand, by name, each once."""
    names: dict[str, None] = {}
    for work in context.state.works.values():
        _, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
        if step is not None:
            names.update(dict.fromkeys(person.name for person in still_in_room(context, step)))
    return tuple(names)
